//! Calibration: what the readings on the throttle stop say about flame, friction and opening, what they leave open, and what to read next.
//!
//! Each unknown is known before the readings by the value and ± in the machine file; that counts as one reading of it. The true idle speed
//! is one of the unknowns, and the opening at the stop follows from it: the one that holds it. A speed that the engine
//! settled to says that its mean torque is zero there, at that opening, with plate and screw as they stood then; so
//!
//! r = T(N seen, opening, advance) / u(T),   u(T)² = (change of T over the ± of speed, plate and screw)² + (what the map may be off)²
//!
//! Torque is the better measure than speed: it is smooth everywhere, while the rest speed itself jumps at a fold. u is worked out anew
//! at each round and held while the unknowns move, so that the fit cannot buy a small residual with a large doubt.
//! Source: effective variance, Orear, *Least squares when both variables have uncertainties*, Am. J. Phys. 50 (1982) 912–916.
//!
//! A hang has to be firm besides: where the torque at the fitted engine rises through zero at the speed seen, that is said.

mod motored;
mod next;
mod screw;
mod seen;
mod unknowns;

use super::{
    Finding,
    curve::CurveStudy,
    idle::{Chance, Parameter, SAME_HANG},
    model::EngineModel,
    unknowns::{Joint, Unknown as Named},
};
use crate::{machine::Machine, sampling::Sobol};
use motored::Motored;
use physics::{
    fit::{Posterior, least_squares},
    interval::wilson,
};
use rayon::prelude::*;
use seen::Row;
use unknowns::Bench;

/// Something that is not known for sure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// The idle speed as it truly is [rad/s].
    IdleSpeed,
    /// What the rev counter shows of a speed, as a share of it \[1\].
    RevCounter,
    /// A parameter of the machine file.
    Given(Parameter),
    /// Factor on the part of the friction that grows with speed \[1\].
    FrictionSlope,
    /// Opening for one turn of the stop screw, per throttle [m²].
    OpeningPerTurn,
    /// Inertia of all that turns with the crank [kg·m²].
    Inertia,
    /// One of the independent directions in which the curve is uncertain, in standard deviations \[1\].
    Curve(usize),
}

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// The idle itself.
    Idle,
    /// The speed at which it hangs.
    Hang,
    /// The speed with the plate turned.
    Nudge {
        /// By so much [rad], positive = earlier.
        turned_rad: f64,
    },
    /// The speed with the stop screw turned.
    Screw {
        /// Turns, positive = more air.
        turns: f64,
    },
    /// The time of a run-down.
    RunDown {
        /// From [rad/s].
        from_rad_s: f64,
        /// To [rad/s].
        to_rad_s: f64,
    },
}

/// A reading set against the fitted engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// What was seen.
    pub what: Seen,
    /// The reading [rad/s, or s for a run-down].
    pub seen: Finding,
    /// The same from the fitted engine; `None` where it has no firm rest near there.
    pub computed: Option<f64>,
    /// How far it is off, in the reading's own ± and that of what goes with it \[1\]; positive = computed faster or longer.
    pub off: f64,
}

/// An unknown before and after the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Narrowed {
    /// Which.
    pub unknown: Unknown,
    /// As the file has it.
    pub before: Finding,
    /// As the readings have it as well.
    pub after: Finding,
    /// ± after as a share of that before \[1\].
    pub left: f64,
}

/// Two unknowns that the readings tie together without telling them apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tied {
    /// One.
    pub one: Unknown,
    /// The other.
    pub other: Unknown,
    /// Their correlation after the readings \[1\]; positive = more of both gives the same readings.
    pub correlation: f64,
}

/// A direction that the readings narrowed, or did not.
#[derive(Clone, Debug, PartialEq)]
pub struct Direction {
    /// Variance left along it \[1\]; 1 = the readings say nothing of it.
    pub share: f64,
    /// Parts of the unknowns in it, each in its own ± before.
    pub along: Vec<(Unknown, f64)>,
}

/// What the readings on the stop say.
#[derive(Clone, Debug)]
pub struct Calibration {
    /// Every reading against the fitted engine, the idle first.
    pub compared: Vec<Compared>,
    /// Run-downs that could not be used: the engine cannot tell its torque without fire, or the ± of their speeds reach over each other.
    pub left_out: usize,
    /// Sum of the squared distances in standard uncertainties, those of the unknowns from the file's values included.
    pub chi_square: f64,
    /// Readings beside the idle, which is what chi square has to spare.
    pub freedom: usize,
    /// Is the hang seen a firm rest of the fitted engine? `None` where none was seen.
    pub hang_is_firm: Option<bool>,
    /// The unknowns, but for those of the curve.
    pub unknowns: Vec<Narrowed>,
    /// Opening at the stop, per throttle [m²], before and after.
    pub opening: (Finding, Finding),
    /// What is tied together, the closest first.
    pub tied: Vec<Tied>,
    /// Directions of all unknowns but those of the curve, the widest first.
    pub directions: Vec<Direction>,
    /// Share of sampled cases that hang given what was read, where the readings go together with the engine; the whole study works it out. From the file
    /// alone it is that of the idle study.
    pub given_seen: Option<Chance>,
    joint: Option<Joint>,
    /// What to read next, the best first.
    pub next: Vec<NextReading>,
}

pub use next::{Candidate, NextReading};

/// Standard normal deviate beyond which chi square counts as too great \[1\] (own choice): by chance once in two hundred times.
const TOO_FAR: f64 = 2.576;

/// The chi square that so much freedom exceeds as seldom as [`TOO_FAR`] says.
///
/// Source: Wilson & Hilferty, *The distribution of chi-square*, Proc. Natl. Acad. Sci. 17 (1931) 684–688 (from memory); within 1 % of the tables.
fn too_far(freedom: usize) -> f64 {
    let k = freedom as f64;
    let part = 2.0 / (9.0 * k);
    k * (1.0 - part + TOO_FAR * part.sqrt()).powi(3)
}

impl Calibration {
    /// Do the readings and the engine go together? Only then anything may rest on the values fitted.
    pub fn holds(&self) -> bool {
        self.freedom == 0 || (self.chi_square <= too_far(self.freedom) && self.hang_is_firm != Some(false))
    }

    /// What is known of the engine given the readings, for the sampled cases: the marginal distribution of what they have names for.
    /// The curve's own readings count in it, and what those on the stop say of the curve besides. `None` where there are no readings or they do not go together.
    pub fn joint(&self) -> Option<Joint> {
        self.joint.clone().filter(|_| self.freedom > 0 && self.holds())
    }
}

/// Most rounds in which the uncertainties are worked out anew, and the change of them that no longer matters, both [1] (own choice).
const ROUNDS: usize = 4;
const SAME: f64 = 0.02;
/// Size of a step that matters, in standard deviations [1] (own choice): it makes the solver's difference 6e-4 of one, which is large against
/// the 1e-8 to which an opening is found and small against the corners of a curve.
const STEP_SCALE: f64 = 100.0;
/// Step of slopes for what is reported, in standard deviations [1] (own choice).
const SLOPE_STEP: f64 = 0.1;
/// Correlation from which two unknowns are called tied together \[1\] (own choice): together they are known half again as well as apart.
const TIED: f64 = 0.5;
/// Standard uncertainties in a ± [1] (JCGM 100:2008, 6.2).
const COVERAGE: f64 = 2.0;
/// Cases for what to read next [1]: a share of a half is then known to ±4 % (Wilson, 95 %), one near 0 or 1 much better. A power of two, as a Sobol sequence needs.
pub const CASES: u32 = 512;
/// Seed of the cases, that of no other sampling (any number would do).
const SEED: u64 = 1120;

/// Calibrates an engine at its idle.
///
/// `cases` are sampled for what to read next ([`CASES`] is enough); with none of them only the fit is made.
/// `None` where no idle was seen, no opening holds it, or the fit does not come to an end.
pub fn study(machine: &Machine, curve: &CurveStudy, model: &EngineModel, cases: u32) -> Option<Calibration> {
    let idle = machine.idle.as_ref()?;
    let opening_m2 = unknowns::opening_as_given(machine, curve, model)?;
    let bench = Bench::new(machine, curve, model, opening_m2)?;
    let motored = Motored::new(model, next::run_down_speeds(idle), opening_m2);
    let motored = motored.as_ref();
    let mut rows = seen::rows(idle, motored.is_some());
    // A run-down whose ± reach over each other has no time to compare with.
    let start = vec![0.0; bench.priors.len()];
    let usable: Vec<bool> =
        bench.ask(&start, |guess, _| rows.iter().map(|row| row.uncertainty(&bench, motored, guess).is_finite()).collect());
    let mut usable = usable.into_iter();
    let all = rows.len();
    rows.retain(|_| usable.next().unwrap_or(false));
    let unusable = all - rows.len();
    let (posterior, uncertainties) = fit(&bench, motored, &rows)?;
    let x = &posterior.mean;

    let read: Vec<Compared> = bench.ask(x, |guess, _| {
        let compare = |(row, u): (&Row, &f64)| {
            let seen = row.seen();
            Compared {
                what: row.what,
                seen: Finding { si: seen.si, plus_minus_si: COVERAGE * seen.deviation },
                computed: row.computed(&bench, motored, guess),
                off: row.residual(&bench, motored, guess, *u) / COVERAGE,
            }
        };
        rows.iter().zip(&uncertainties).map(compare).collect()
    });
    let idle_off = bench.place(Unknown::IdleSpeed).map_or(0.0, |i| x[i]);
    let idle_row = Compared {
        what: Seen::Idle,
        seen: Finding::of(&idle.speed),
        computed: Some(bench.ask(x, |guess, _| guess.shown * guess.idle_rad_s)),
        off: idle_off / COVERAGE,
    };
    let squares = |values: &mut dyn Iterator<Item = f64>| values.map(|v| v * v).sum::<f64>();
    let chi_square = squares(&mut read.iter().map(|c| COVERAGE * c.off)) + squares(&mut x.iter().copied());
    let hang_is_firm = read.iter().find(|c| c.what == Seen::Hang).map(|c| {
        // A firm rest elsewhere is no firm rest there.
        c.computed.is_some_and(|at| (at / c.seen.si).ln().abs() <= SAME_HANG.ln()) && c.off.abs() <= COVERAGE
    });

    let named: Vec<usize> = (0..x.len()).filter(|i| !matches!(bench.priors[*i].unknown, Unknown::Curve(_))).collect();
    let unknowns = named.iter().map(|i| narrowed(&bench, &posterior, *i)).collect();
    let ln_opening = bench.slopes(x, SLOPE_STEP, |x| bench.ln_opening(x));
    let before = bench.slopes(&vec![0.0; x.len()], SLOPE_STEP, |x| bench.ln_opening(x));
    let at = |x: &[f64], share: f64| {
        let si = bench.ln_opening(x).exp();
        Finding { si, plus_minus_si: COVERAGE * share * si }
    };
    let opening = (
        at(&vec![0.0; x.len()], before.iter().map(|s| s * s).sum::<f64>().sqrt()),
        at(x, posterior.deviation_along(&ln_opening)),
    );
    let directions = posterior
        .directions(&named)
        .into_iter()
        .map(|d| Direction {
            share: d.share,
            along: named.iter().zip(d.along).map(|(i, part)| (bench.priors[*i].unknown, part)).collect(),
        })
        .collect();
    let factor = posterior.factor()?;
    let draws = Draws { sobol: Sobol::scrambled(x.len(), SEED), cases, unknowns: x.len() };
    let hang = margins(&bench, &draws, |u| moved(x, &factor, u));
    let after = chance(&hang);
    let joint = joint(&bench, &posterior);
    Some(Calibration {
        left_out: unusable + if motored.is_some() { 0 } else { idle.run_downs.len() },
        chi_square,
        freedom: rows.len(),
        hang_is_firm,
        unknowns,
        opening,
        tied: tied(&bench, &posterior, &named),
        directions,
        given_seen: None,
        joint,
        next: next::readings(&bench, motored, &posterior, &factor, &draws, &hang, after),
        compared: [idle_row].into_iter().chain(read).collect(),
    })
}

/// The unknowns that fit best, and the uncertainty of each reading's residual there.
fn fit(bench: &Bench, motored: Option<&Motored>, rows: &[Row]) -> Option<(Posterior, Vec<f64>)> {
    let mut x = vec![0.0; bench.priors.len()];
    let mut fitted: Option<(Posterior, Vec<f64>)> = None;
    for _ in 0..ROUNDS {
        let uncertainties: Vec<f64> =
            bench.ask(&x, |guess, _| rows.iter().map(|row| row.uncertainty(bench, motored, guess)).collect());
        let same = |before: &[f64]| before.iter().zip(&uncertainties).all(|(a, b)| (a / b - 1.0).abs() < SAME);
        if fitted.as_ref().is_some_and(|(_, before)| same(before)) {
            break;
        }
        let residuals = |x: &[f64]| {
            let mut all: Vec<f64> = bench.ask(x, |guess, _| {
                rows.iter().zip(&uncertainties).map(|(row, u)| row.residual(bench, motored, guess, *u)).collect()
            });
            all.extend(x);
            all
        };
        let fit = least_squares(residuals, &x, &vec![STEP_SCALE; x.len()]).ok()?;
        x.clone_from(&fit.parameters);
        fitted = Some((Posterior::new(&fit), uncertainties));
    }
    fitted
}

/// Mean and covariance [SI] of the unknowns that the sampled cases have names for.
fn joint(bench: &Bench, posterior: &Posterior) -> Option<Joint> {
    let name = |unknown: Unknown| match unknown {
        Unknown::IdleSpeed => Some(Named::IdleSpeed),
        Unknown::Given(p) => Some(Named::of(p)),
        Unknown::FrictionSlope => Some(Named::FrictionSlope),
        Unknown::RevCounter | Unknown::OpeningPerTurn | Unknown::Inertia | Unknown::Curve(_) => None,
    };
    let is_curve = |i: &usize| matches!(bench.priors[*i].unknown, Unknown::Curve(_));
    let (names, mut places): (Vec<Named>, Vec<usize>) =
        bench.priors.iter().enumerate().filter_map(|(i, p)| Some((name(p.unknown)?, i))).unzip();
    places.extend((0..bench.priors.len()).filter(is_curve));
    let rows: Vec<Vec<f64>> = places.iter().map(|i| bench.row_of(*i, &posterior.mean)).collect();
    let covariance: Vec<f64> = rows.iter().flat_map(|a| rows.iter().map(|b| posterior.covariance_along(a, b))).collect();
    let mean = places.iter().map(|i| bench.true_value(*i, &posterior.mean)).collect();
    let directions = places.len() - names.len();
    Joint::new(names, directions, mean, &covariance).ok()
}

fn narrowed(bench: &Bench, posterior: &Posterior, i: usize) -> Narrowed {
    let prior = &bench.priors[i];
    let nothing = vec![0.0; posterior.mean.len()];
    let length = |row: &[f64]| row.iter().map(|s| s * s).sum::<f64>().sqrt();
    let (before, row) = (length(&bench.row_of(i, &nothing)), bench.row_of(i, &posterior.mean));
    let after = posterior.deviation_along(&row);
    let left = after / length(&row);
    let at = |x: &[f64], u: f64| Finding { si: bench.true_value(i, x), plus_minus_si: COVERAGE * u };
    Narrowed { unknown: prior.unknown, before: at(&nothing, before), after: at(&posterior.mean, after), left }
}

/// Pairs of unknowns that are tied together, the closest first.
fn tied(bench: &Bench, posterior: &Posterior, named: &[usize]) -> Vec<Tied> {
    let pairs = named.iter().enumerate().flat_map(|(n, i)| named[n + 1..].iter().map(move |j| (*i, *j)));
    let mut tied: Vec<Tied> = pairs
        .map(|(i, j)| Tied {
            one: bench.priors[i].unknown,
            other: bench.priors[j].unknown,
            correlation: posterior.correlation(i, j),
        })
        .filter(|tied| tied.correlation.abs() >= TIED)
        .collect();
    tied.sort_by(|a, b| b.correlation.abs().total_cmp(&a.correlation.abs()));
    tied
}

/// The mean plus L u.
fn moved(mean: &[f64], factor: &[Vec<f64>], u: &[f64]) -> Vec<f64> {
    mean.iter().zip(factor).map(|(m, row)| m + row.iter().zip(u).map(|(l, u)| l * u).sum::<f64>()).collect()
}

/// Standard normal numbers for a number of cases.
struct Draws {
    sobol: Sobol,
    cases: u32,
    unknowns: usize,
}

impl Draws {
    fn normals(&self, case: u32) -> Vec<f64> {
        (0..self.unknowns).map(|i| self.sobol.normal(case, i)).collect()
    }
}

/// How near each case is to a hang [N·m]; `None` where it cannot idle.
fn margins(bench: &Bench, draws: &Draws, at: impl Fn(&[f64]) -> Vec<f64> + Sync) -> Vec<Option<f64>> {
    (0..draws.cases).into_par_iter().map(|case| bench.hang_margin_nm(&at(&draws.normals(case)))).collect()
}

fn chance(margins: &[Option<f64>]) -> Chance {
    let of = margins.iter().flatten().count();
    let hanging = margins.iter().flatten().filter(|m| **m > 0.0).count();
    let (low, high) = wilson(hanging, of);
    Chance { hanging, of, low, high }
}
