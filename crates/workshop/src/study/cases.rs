//! The same engine many times over, each time with readings and parameters moved within their ±.
//!
//! A case is drawn by a point of a scrambled Sobol sequence: one coordinate for each [`Unknown`], one for how
//! exactly a cut is made, the rest for the curve. What is uncertain, and whether it varies together, `unknowns` says; a posterior
//! goes in there. Ten independent scrambles of 2048 points make a sample.
//!
//! The interval of a share is the wider of two, since each can be too narrow: Student's interval of the ten scrambles' shares, which knows
//! how evenly these very points fill, and Wilson's interval of all cases as if they were independent, which does not shrink to nothing
//! where all scrambles happen to agree.

use super::{
    Finding, NotStudied,
    curve::{CurveStudy, Origin},
    idle::{self, Chance},
    judge::{APART, friction_slope},
    model::EngineModel,
    unknowns::{Unknown, Unknowns},
};
use crate::{machine::Machine, sampling::Sobol};
use physics::{
    friction::corrected_nm,
    interval::{student_95, wilson},
    law::Law,
    rest::{Blend, Held, Hold},
    surface::Progress,
};
use rayon::prelude::*;

/// Independent scrambles of a sample: the interval of their mean is then only 15 % wider than with very many (Student's t, 9 degrees of freedom).
pub const SCRAMBLES: usize = 10;
/// Points of a scramble: a power of two, as a Sobol sequence needs, that makes 20,480 cases in all. As independent cases they would know a share
/// of one half to ±0.7 %.
pub const POINTS: u32 = 2048;
/// Points of a scramble where many samples are wanted: 5120 cases, ±1.4 % at one half and ±0.6 % at 5 %, as independent ones.
pub const FEWER_POINTS: u32 = 512;
/// Seed of the cases. Any number would do; it is fixed so that the same job gives the same sheet.
const SEED: u64 = 360;
/// Least factor on friction in a case \[1\], so that a wide ± cannot turn friction into drive (own choice).
pub(super) const LEAST_FRICTION: f64 = 0.1;

/// Place of the normal number for how exactly a cut is made.
pub(super) const CHANGE: usize = Unknown::ALL.len();
/// Place of the first normal number for the curve.
pub(super) const CURVE: usize = CHANGE + 1;
/// Looks at cases that a whole study takes at most, about: those as found, those over the cuts with ten to a case, three ways that can be undone, those
/// given what was read on the stop, and twice where the doubt comes from with a dozen to a point. For a bar of progress.
pub const LOOKS: usize = SCRAMBLES
    * ((1 + LOOKS_AT_CUTS) * POINTS as usize + (3 + 1) * FEWER_POINTS as usize + 2 * 12 * super::sensitivity::POINTS as usize);
/// Looks that the least cut of a case takes, about.
const LOOKS_AT_CUTS: usize = 10;
/// Cases between two looks at the wish to stop.
const CHUNK: u32 = 64;

/// What is done to a law; the number is a standard normal deviate for the doubt of doing it. `None` where it cannot be done.
pub type Change<'a> = &'a (dyn Fn(&Law, f64) -> Option<Law> + Sync);

/// Nothing is done.
pub fn as_found(law: &Law, _: f64) -> Option<Law> {
    Some(law.clone())
}

/// All engines that one engine may be, within what is known of it, ready to be drawn.
pub struct Engines<'a> {
    curve: &'a CurveStudy,
    model: &'a EngineModel,
    unknowns: Unknowns,
    blend: Blend,
    /// Crank speeds of the blend's rows [rad/s], and friction there with factor 1 [N·m].
    rows: Vec<(f64, f64)>,
    /// What the file says of the model's parameters, in their order.
    given: Vec<(Unknown, Finding)>,
    /// Idle speed seen [rad/s].
    seen: f64,
    /// Level and slope of the friction as the file has them, and friction at standstill with factor 1 [N·m].
    friction: f64,
    slope: f64,
    standing_nm: f64,
    normals: usize,
}

/// Engines to draw from, and who watches how far that is.
#[derive(Clone, Copy)]
pub struct Sampling<'a> {
    /// What is drawn from.
    pub engines: &'a Engines<'a>,
    /// Counts, and stops.
    pub watch: &'a Progress,
}

/// One of them.
#[derive(Clone, Debug)]
pub struct Case {
    /// One law for each cylinder.
    pub laws: Vec<Law>,
    /// Idle speed [rad/s].
    pub idle: f64,
    /// Standard normal deviate for how exactly a cut is made.
    pub change: f64,
    /// Weights of the model's maps \[1\].
    pub weights: Vec<f64>,
    /// Friction factor and slope, as [`Unknown`] has them \[1\].
    pub friction: (f64, f64),
}

/// Hanging cases, cases that tell, and cases in all of one scramble.
type Count = (usize, usize, usize);

impl<'a> Engines<'a> {
    /// The engines that the unknowns allow.
    pub fn new(machine: &Machine, curve: &'a CurveStudy, model: &'a EngineModel, unknowns: Unknowns) -> Self {
        let blend = Blend::new(&model.maps());
        let rows = blend.speeds().into_iter().map(|n| (n, model.cycle().friction_nm(n))).collect();
        let given = model.parameters().filter_map(|p| Some((Unknown::of(p), idle::given(machine, p)?))).collect();
        let normals = curve.cylinders.iter().map(|c| c.doubt.normals()).max().unwrap_or(0);
        let seen = machine.idle.as_ref().map_or(f64::NAN, |i| i.speed.si);
        let (friction, slope) = (machine.engine.friction_factor.si, friction_slope(machine));
        let standing_nm = model.cycle().friction_nm(0.0);
        Self { curve, model, unknowns, blend, rows, given, seen, friction, slope, standing_nm, normals }
    }

    /// What is uncertain of engine and idle.
    pub fn unknowns(&self) -> &Unknowns {
        &self.unknowns
    }

    /// Number of standard normal numbers that make a case.
    pub fn normals(&self) -> usize {
        CURVE + self.normals
    }

    /// What each of the normal numbers from the first for the curve on stands for.
    pub fn origins(&self) -> Vec<Origin> {
        self.curve.cylinders.iter().map(|c| c.doubt.origins()).max_by_key(Vec::len).unwrap_or_default()
    }

    /// The case that standard normal numbers make, [`Engines::normals`] of them.
    pub fn case(&self, z: &[f64]) -> Case {
        let mut curve = z[CURVE..].to_vec();
        let drawn = self.unknowns.draw(&std::array::from_fn(|i| z[i]), &mut curve);
        let of = |unknown: Unknown| drawn[unknown.place()];
        // A parameter that nothing is known of stays as given.
        let off = |given: &(Unknown, Finding)| match of(given.0) {
            Some(value) if given.1.plus_minus_si > 0.0 => (value - given.1.si) / given.1.plus_minus_si,
            _ => 0.0,
        };
        let half_widths: Vec<f64> = self.given.iter().map(off).collect();
        let laws = self.curve.cylinders.iter().map(|c| c.doubt.draw(&curve).unwrap_or_else(|| c.law.clone())).collect();
        Case {
            laws,
            idle: of(Unknown::IdleSpeed).unwrap_or(self.seen),
            change: z[CHANGE],
            weights: self.model.weights(&half_widths),
            friction: (of(Unknown::FrictionFactor).unwrap_or(self.friction), of(Unknown::FrictionSlope).unwrap_or(self.slope)),
        }
    }

    /// Friction torque of a case [N·m] at a speed [rad/s].
    pub fn friction_nm(&self, case: &Case, speed_rad_s: f64) -> f64 {
        self.friction(case, self.model.cycle().friction_nm(speed_rad_s))
    }

    /// The same, from that with factor 1.
    fn friction(&self, case: &Case, nm: f64) -> f64 {
        corrected_nm(nm, self.standing_nm, case.friction.0.max(LEAST_FRICTION), case.friction.1)
    }

    /// The stop that holds a case at its idle on these laws; `None` where none does.
    fn stop(&self, case: &Case, laws: &[Law]) -> Option<Held> {
        let advances: Vec<f64> = laws.iter().map(|l| l.advance(case.idle).radians()).collect();
        let friction = self.friction_nm(case, case.idle);
        match self.blend.opening_for(&case.weights, case.idle, &advances, friction) {
            Hold::At { opening_m2, .. } => Some(self.blend.held(&case.weights, opening_m2)),
            _ => None,
        }
    }

    /// Net torque over friction in a row.
    fn spare(&self, case: &Case, laws: &[Law], held: &Held, row: usize) -> f64 {
        let (speed, nm) = self.rows[row];
        let mut torque = 0.0;
        for law in laws {
            torque += self.blend.torque_in_row(row, law.advance(speed).radians(), held);
        }
        torque / self.friction(case, nm) - 1.0
    }

    /// The greatest net torque above the idle, over friction there \[1\]: with the stop set to the idle, how much more than its friction the
    /// engine pulls at the speed where it pulls most. Positive: it hangs. Negative: so much is missing. It says the same
    /// as the count of rest points, but continuously. `None` where no stop holds the idle.
    pub fn spare_above(&self, case: &Case, laws: &[Law]) -> Option<f64> {
        let held = self.stop(case, laws)?;
        let (first, edge) = self.above(case, laws, &held);
        let rest = (first..self.rows.len()).map(|row| self.spare(case, laws, &held, row));
        Some(rest.fold(edge, f64::max))
    }

    /// Does a case have a second stable rest above its idle on these laws, with the stop set to the idle? `None` where no stop holds it.
    pub fn hangs(&self, case: &Case, laws: &[Law]) -> Option<bool> {
        let held = self.stop(case, laws)?;
        let (first, edge) = self.above(case, laws, &held);
        Some(edge > 0.0 || (first..self.rows.len()).any(|row| self.spare(case, laws, &held, row) > 0.0))
    }

    /// The first row above the idle, and the torque to spare at the speed from which a rest counts as another one.
    fn above(&self, case: &Case, laws: &[Law], held: &Held) -> (usize, f64) {
        let from = case.idle * APART;
        let first = self.rows.partition_point(|r| r.0 <= from).min(self.rows.len() - 1);
        let Some(before) = first.checked_sub(1) else { return (first, f64::NEG_INFINITY) };
        let (low, high) = (self.rows[before].0, self.rows[first].0);
        let share = ((from - low) / (high - low)).min(1.0);
        let (a, b) = (self.spare(case, laws, held, before), self.spare(case, laws, held, first));
        (first, a + share * (b - a))
    }

    /// The cases of a sample with so many points to a scramble, in order.
    pub fn sample(&self, points: u32) -> impl Iterator<Item = Case> + '_ {
        let scramble = move |s: usize| {
            let sobol = self.scramble(self.normals(), s);
            (0..points).map(move |point| self.drawn(&sobol, point))
        };
        (0..SCRAMBLES).flat_map(scramble)
    }

    fn scramble(&self, dimensions: usize, number: usize) -> Sobol {
        Sobol::scrambled(dimensions, SEED + number as u64)
    }

    /// The case of a point.
    fn drawn(&self, sobol: &Sobol, point: u32) -> Case {
        let z: Vec<f64> = (0..self.normals()).map(|d| sobol.normal(point, d)).collect();
        self.case(&z)
    }

    /// The share of cases that hang after a change, the stop set again to the idle, and the share that no stop holds at its idle then,
    /// which are left out.
    ///
    /// # Errors
    /// [`NotStudied::Stopped`]. `watch` counts every case.
    pub fn share(&self, change: Change, points: u32, watch: &Progress) -> Result<(Chance, f64), NotStudied> {
        let counts = self.each(points, watch, |case| {
            let laws = case.laws.iter().map(|l| change(l, case.change)).collect::<Option<Vec<_>>>();
            match laws.and_then(|laws| self.hangs(case, &laws)) {
                None => (0, 0, 1),
                Some(hangs) => (usize::from(hangs), 1, 1),
            }
        })?;
        let (of, all) = counts.iter().fold((0, 0), |sum, c| (sum.0 + c.1, sum.1 + c.2));
        Ok((chance(&counts), (all - of) as f64 / all.max(1) as f64))
    }

    /// The share of cases that a change does not cure, the stop set again to the idle. Cases that no stop holds at their idle as found are left out.
    ///
    /// # Errors
    /// [`NotStudied::Stopped`]. `watch` counts every case.
    pub fn not_cured(&self, change: Change, points: u32, watch: &Progress) -> Result<Chance, NotStudied> {
        let counts = self.each(points, watch, |case| match self.hangs(case, &case.laws) {
            None => (0, 0, 1),
            Some(_) => (usize::from(self.ill_after(case, change)), 1, 1),
        })?;
        Ok(chance(&counts))
    }

    /// Does a case hang after a change? One that no stop holds at its idle then, or whose change cannot be made, is no better off.
    fn ill_after(&self, case: &Case, change: Change) -> bool {
        let laws = case.laws.iter().map(|l| change(l, case.change)).collect::<Option<Vec<_>>>();
        laws.and_then(|laws| self.hangs(case, &laws)) != Some(false)
    }

    /// Counts the cases of each scramble.
    fn each(&self, points: u32, watch: &Progress, of: impl Fn(&Case) -> Count + Sync) -> Result<Vec<Count>, NotStudied> {
        let sums = self.chunks(points, self.normals(), (watch, 1), |sobol, range| {
            range.map(|i| of(&self.drawn(sobol, i))).fold((0, 0, 0), |a, b| (a.0 + b.0, a.1 + b.1, a.2 + b.2))
        })?;
        Ok(sums.iter().map(|s| s.iter().fold((0, 0, 0), |a, b| (a.0 + b.0, a.1 + b.1, a.2 + b.2))).collect())
    }

    /// What `of` makes of every chunk of points of every scramble in so many dimensions, on all cores, in order. Each point is counted as so many
    /// looks at a case.
    pub(super) fn chunks<T: Send>(
        &self,
        points: u32,
        dimensions: usize,
        (watch, looks): (&Progress, usize),
        of: impl Fn(&Sobol, std::ops::Range<u32>) -> T + Sync,
    ) -> Result<Vec<Vec<T>>, NotStudied> {
        let scrambles: Vec<Sobol> = (0..SCRAMBLES).map(|s| self.scramble(dimensions, s)).collect();
        let per = points.div_ceil(CHUNK);
        let done: Vec<Option<T>> = (0..SCRAMBLES as u32 * per)
            .into_par_iter()
            .map(|task| {
                let (scramble, chunk) = ((task / per) as usize, task % per);
                let range = chunk * CHUNK..(chunk * CHUNK + CHUNK).min(points);
                if watch.stopped() {
                    return None;
                }
                let news = looks * range.len();
                let out = of(&scrambles[scramble], range);
                watch.step(news);
                Some(out)
            })
            .collect();
        if watch.stopped() {
            return Err(NotStudied::Stopped);
        }
        let mut done = done.into_iter().flatten();
        Ok((0..SCRAMBLES).map(|_| done.by_ref().take(per as usize).collect()).collect())
    }
}

/// A share from the counts of independent scrambles.
fn chance(counts: &[Count]) -> Chance {
    let hanging = counts.iter().map(|c| c.0).sum();
    let of = counts.iter().map(|c| c.1).sum();
    let (low, high) = wilson(hanging, of);
    let shares: Vec<f64> = counts.iter().filter(|c| c.1 > 0).map(|c| c.0 as f64 / c.1 as f64).collect();
    let (mean, half) = mean_of(&shares);
    Chance { hanging, of, low: low.min((mean - half).max(0.0)), high: high.max((mean + half).min(1.0)) }
}

/// Mean of independent estimates and the half-width of its 95 % interval (Student's t); fewer than two tell nothing of it, and 0 stands.
pub(super) fn mean_of(estimates: &[f64]) -> (f64, f64) {
    let n = estimates.len() as f64;
    let mean = estimates.iter().sum::<f64>() / n;
    if estimates.len() < 2 {
        return (mean, 0.0);
    }
    let variance = estimates.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, student_95(estimates.len() - 1) * (variance / n).sqrt())
}

mod cuts;

pub use cuts::{OverCuts, made};

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares that are known: a sum of five normal numbers above a bound has probability 1 − Φ(bound/√5). The interval must hold it in about
    /// 19 of 20 samples, and be narrower than ±1 %.
    #[test]
    fn the_interval_holds_a_known_share_nineteen_times_in_twenty() {
        // Φ(0.5), Φ(1.5) and Φ(3) of SciPy 1.17.1.
        for (bound, share) in [(0.5, 0.308_537_538_725_987), (1.5, 0.066_807_201_268_858_06), (3.0, 0.001_349_898_031_630_094_6)]
        {
            let samples = 100;
            let holds = (0..samples)
                .filter(|sample| {
                    let counts: Vec<Count> = (0..SCRAMBLES as u64)
                        .map(|s| {
                            let sobol = Sobol::scrambled(5, 1000 * sample + s);
                            let sum = |i: u32| (0..5).map(|d| sobol.normal(i, d)).sum::<f64>();
                            let hits = (0..POINTS).filter(|i| sum(*i) > bound * 5f64.sqrt()).count();
                            (hits, POINTS as usize, POINTS as usize)
                        })
                        .collect();
                    let c = chance(&counts);
                    assert!(c.high - c.low < 0.02, "{c:?}");
                    c.low <= share && share <= c.high
                })
                .count();
            // 100 samples at 95 %: fewer than 89 have a chance of 0.4 % (binomial).
            assert!(holds >= 89, "{bound}: {holds} of {samples}");
        }
    }

    #[test]
    fn all_or_none_is_not_certainty() {
        let none = chance(&[(0, 2048, 2048); SCRAMBLES]);
        assert_eq!((none.low, none.high > 1e-4), (0.0, true));
        let left_out = chance(&[(0, 0, 2048); SCRAMBLES]);
        assert_eq!((left_out.of, left_out.low, left_out.high), (0, 0.0, 1.0));
    }
}
