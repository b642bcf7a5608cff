//! The least cut that serves, and what bounds it.

use super::{
    Advice, CutOutcome, CutWindow, Limit, Reversible, TrimStudy,
    cut::{Fired, Found, TOLERANCE_M},
    reversible, rotor,
};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        alike::Explains,
        cases::{Engines, Sampling, made},
        curve::CurveStudy,
        idle::{Chance, Verdict},
        load::LoadStudy,
        model::EngineModel,
        sensitivity,
        unknowns::Unknowns,
        warning::Warning,
    },
};
use physics::{law::Law, surface::Progress};
use rayon::prelude::*;

/// Step between the cuts that are judged [m]: about the workshop's own tolerance (own choice).
const STEP_M: f64 = 0.25e-3;
/// The working cycle itself is run for every so many of these cuts: every 2 mm, some 2° of the crank.
const FIRED_EVERY: usize = 8;
/// Cuts are advised in halves of a millimetre [m], which a rule shows (own choice).
const WORKABLE_M: f64 = 0.5e-3;
/// Width of a pickup's pole [m], below which a segment may not be seen: 5–6 mm (common practice, no source).
const POLE_M: f64 = 6.0e-3;
/// Most that is ever cut off, as a share of the segment \[1\]. This project's choice, no source.
const MOST_SHARE: f64 = 0.5;
/// A cut serves if no more than this share of the sampled cases still hangs \[1\]: 95 % confidence, the same as every ± here (own choice).
pub const MOST_HANGING: f64 = 0.05;

/// Plans the trim of the segment's trailing end.
///
/// Every cut from none to the limit is judged with the stop left alone and with the stop reset to the idle seen. A cut *serves* where the
/// idle is steady, at most one sampled case in twenty still hangs, and the kick-back test passes. The least of them, with
/// the workshop's tolerance added and rounded outward to half a millimetre, is advised. `load` has the limits of knock and kick, `explains` what
/// else would explain a hang that was seen: while something does, nothing is to be altered yet ([`Advice::RuleOutFirst`]).
///
/// # Errors
/// [`NotStudied`]: no segment, a law that does not use it, no idle seen, no curve, or an idle that the engine model cannot reproduce.
pub fn study(
    machine: &Machine,
    curve: &CurveStudy,
    model: &EngineModel,
    load: &LoadStudy,
    explains: Option<Explains>,
) -> Result<TrimStudy, NotStudied> {
    let engines = Engines::new(machine, curve, model, Unknowns::stated(machine, model));
    sampled(machine, curve, model, load, explains, Sampling { engines: &engines, watch: &Progress::default() })
}

/// The same, with the cases drawn from given engines, watched.
///
/// # Errors
/// [`NotStudied::Stopped`] too.
pub fn sampled(
    machine: &Machine,
    curve: &CurveStudy,
    model: &EngineModel,
    load: &LoadStudy,
    explains: Option<Explains>,
    sampling: Sampling,
) -> Result<TrimStudy, NotStudied> {
    let found = Found::new(machine, curve, model, load.kick.limit)?;
    let (most_m, limit) = most_cut(found.segment.arc_m);
    let steps = (most_m / STEP_M + 1e-9).floor().max(0.0) as usize;
    let cut_of = |i: usize| STEP_M * i as f64;
    let row: Vec<_> = (0..=steps).map(|i| found.cut_and_doubt(cut_of(i))).collect();
    let over = sampling.engines.over_cuts(&row, sampling.watch)?;
    let fired: Vec<_> = (0..=steps)
        .into_par_iter()
        .filter(|i| i % FIRED_EVERY == 0 || *i == steps)
        .filter_map(|i| Some((cut_of(i), found.fire(cut_of(i))?)))
        .collect();
    let cuts: Vec<CutOutcome> = (0..=steps)
        .into_par_iter()
        .filter_map(|i| found.outcome(cut_of(i), Fired::between(&fired, cut_of(i))?, Some(over.chances[i])))
        .collect();

    let window = window(&found, &cuts, limit);
    let reversible = reversible::ways(&found, load, sampling)?;
    let advice = if found.judged.verdict == Verdict::Steady {
        Advice::NoneNeeded
    } else if let Some(way) = reversible.iter().position(Reversible::serves) {
        Advice::TryReversibleFirst { way, otherwise: window }
    } else {
        match window {
            Some(window) => Advice::Cut(window),
            None => Advice::NoCutServes { because: stopped_by(&found, &cuts, limit) },
        }
    };
    let advice = advice.after(explains);
    let cut_m = advice.window().map_or(0.0, |w| w.advised.si);
    let doubt = if cut_m > 0.0 {
        let (cut, doubt) = found.cut_and_doubt(cut_m);
        let change = move |law: &Law, z: f64| law.with_trailing_cut(made(cut, doubt, z));
        Some(sensitivity::study(sampling.engines, &change, sampling.watch)?)
    } else {
        None
    };
    let warnings = if over.left_out > 0.0 { vec![Warning::CasesLeftOut { share: over.left_out }] } else { Vec::new() };
    let drawing = rotor::picture(machine, &found.segment, cut_m);
    Ok(TrimStudy { advice, cuts, tried: (over.tried, over.out_of_order), doubt, drawing, reversible, warnings })
}

/// The greatest cut that is judged [m], and what bounds it.
fn most_cut(arc_m: f64) -> (f64, Limit) {
    let by_pole = arc_m - POLE_M - TOLERANCE_M;
    let by_share = MOST_SHARE * arc_m;
    if by_pole < by_share { (by_pole.max(0.0), Limit::SegmentLength) } else { (by_share, Limit::HalfOfSegment) }
}

/// Few enough cases hang.
pub fn rarely_hangs(chance: Chance) -> bool {
    chance.of > 0 && chance.hanging as f64 <= MOST_HANGING * chance.of as f64
}

fn idles(cut: &CutOutcome) -> bool {
    cut.verdict == Verdict::Steady && cut.chance.is_some_and(rarely_hangs)
}

/// The first unbroken run of cuts that serve. No cut is not a cut.
fn window(found: &Found, cuts: &[CutOutcome], limit: Limit) -> Option<CutWindow> {
    let serves = |c: &CutOutcome| idles(c) && c.kick_back.passes;
    let least = (1..cuts.len()).find(|i| serves(&cuts[*i]))?;
    let most = (least..cuts.len()).take_while(|i| serves(&cuts[*i])).last()?;
    let bounded_by = match cuts.get(most + 1) {
        None => limit,
        Some(next) if !next.kick_back.passes => Limit::KickBack,
        Some(_) => Limit::HangRemains,
    };
    let (least_m, most_m) = (cuts[least].cut_m, cuts[most].cut_m);
    let advised_m = advised(least_m, most_m);
    let crank = |m: f64| found.segment.rim.crank_of_arc(m).radians();
    Some(CutWindow {
        least_m,
        most_m,
        advised: Finding { si: advised_m, plus_minus_si: TOLERANCE_M },
        advised_crank: Finding { si: crank(advised_m), plus_minus_si: crank(TOLERANCE_M) },
        bounded_by,
    })
}

/// The least cut and the workshop's tolerance, up to the next workable length; in a window too narrow for that, its middle.
fn advised(least_m: f64, most_m: f64) -> f64 {
    let sure = least_m + TOLERANCE_M;
    let workable = (sure / WORKABLE_M - 1e-9).ceil() * WORKABLE_M;
    if workable + TOLERANCE_M <= most_m { workable } else { sure.min(0.5 * (least_m + most_m)) }
}

/// Why no cut serves.
fn stopped_by(found: &Found, cuts: &[CutOutcome], limit: Limit) -> Limit {
    if cuts.iter().skip(1).any(idles) {
        return Limit::KickBack;
    }
    // Would a cut beyond the limit cure it?
    let last = cuts.last().map_or(0.0, |c| c.cut_m);
    let beyond = (1..).map(|i| last + STEP_M * f64::from(i)).take_while(|m| *m < found.segment.arc_m);
    let cured = beyond.filter_map(|m| found.cut_laws(m)).any(|laws| found.judge(laws).verdict == Verdict::Steady);
    if cured { limit } else { Limit::HangRemains }
}
