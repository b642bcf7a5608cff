//! Ways that can be undone, computed beside a cut.

use super::{KnockRoom, Objection, Reversible, ReversibleWay, cut::Found, plan::rarely_hangs};
use crate::study::{
    Finding, NotStudied,
    cases::{self, Change, Sampling},
    idle::Verdict,
    load::{Bound, LoadStudy, Sweep, earliest},
};
use physics::law::{Law, Ramp, Segment, Sensed, TwoEdge, Wiring};
use quantity::CrankAngle;

/// Furthest that the top end may move before a way counts as spoiling it [rad]: a strobe is honest to ±1–2° and 2° is the usual
/// limit between cylinders (common practice, no source).
const TOP_END: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// Shifts of the plate that are tried [rad]: every half degree up to 20°, more than slots allow (common practice, no source).
const SHIFT_STEP: f64 = 0.5 * std::f64::consts::PI / 180.0;
const SHIFTS: usize = 40;
/// Modules that are tried: the start of the advance later in this many equal steps from where it is towards the speed of full advance,
/// which stays, so that the top end does too. The last step, no ramp at all, is left out.
const LATER: usize = 20;

/// A spark that comes earlier by less than this is not moved [rad] (own choice): a tenth of a degree, as fine as marks are scribed.
const MOVED: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// The ways that apply to this machine, those that serve first.
///
/// # Errors
/// [`NotStudied::Stopped`].
pub fn ways(found: &Found, load: &LoadStudy, sampling: Sampling) -> Result<Vec<Reversible>, NotStudied> {
    let ways = [leads(found, load, sampling), plate(found, load, sampling), module(found, load, sampling)];
    let mut ways: Vec<Reversible> = ways.into_iter().flatten().collect::<Result<_, _>>()?;
    ways.sort_by_key(|w| !w.serves());
    Ok(ways)
}

/// Judges a way by what it does to a law. It serves like a cut does, and must leave the top end at `wanted_top` [rad] and stay below the
/// knock limit wherever it makes the spark earlier.
fn judged(
    (found, load, sampling): (&Found, &LoadStudy, Sampling),
    way: ReversibleWay,
    change: Change,
    wanted_top: f64,
) -> Option<Result<Reversible, NotStudied>> {
    let laws = changed(found, change)?;
    let full_advance_rad = top(found, &laws);
    let moved = moved_earlier(found, load, &laws);
    // The least room below the knock limit.
    let rooms = moved.iter().filter_map(|(s, now)| Some(KnockRoom { at_rad_s: s.speed_rad_s, room: s.knock.room(*now)? }));
    let knock = rooms.min_by(|a, b| a.room.si.total_cmp(&b.room.si));
    let kick = found.kick_back(&laws);
    let verdict = found.judge(laws).verdict;
    let mut objections = Vec::new();
    if verdict == Verdict::Steady {
        let hanging = match sampling.engines.not_cured(change, cases::FEWER_POINTS, sampling.watch) {
            Ok(hanging) => hanging,
            Err(why) => return Some(Err(why)),
        };
        objections.extend((!rarely_hangs(hanging)).then_some(Objection::MayHang(hanging)));
    } else {
        objections.push(Objection::NotSteady);
    }
    objections.extend((!kick.passes).then_some(Objection::KicksBack));
    let by_rad = full_advance_rad - wanted_top;
    objections.extend((by_rad.abs() > TOP_END).then_some(Objection::TopEndMoves { by_rad }));
    objections.extend(knock.filter(|k| k.room.si < k.room.plus_minus_si).map(Objection::Knocks));
    let unknown = moved.iter().find(|(s, _)| s.knock == Bound::Unknown);
    objections.extend(unknown.map(|(s, _)| Objection::KnockNotKnown { at_rad_s: s.speed_rad_s }));
    Some(Ok(Reversible { way, verdict, full_advance_rad, knock, objections }))
}

/// The wide-open loads at which the earliest cylinder's spark is moved earlier, with its advance then.
fn moved_earlier<'s>(found: &Found, load: &'s LoadStudy, laws: &[Law]) -> Vec<(&'s Sweep, Finding)> {
    let moved = |sweep: &'s Sweep| {
        let before = earliest(found.curve, sweep.speed_rad_s)?;
        let si = laws.iter().map(|l| l.advance(sweep.speed_rad_s).radians()).fold(f64::NEG_INFINITY, f64::max);
        (si > before.si + MOVED).then_some((sweep, Finding { si, ..before }))
    };
    load.wide_open.iter().filter_map(moved).collect()
}

fn changed(found: &Found, change: Change) -> Option<Vec<Law>> {
    found.laws.iter().map(|l| change(l, 0.0)).collect()
}

fn steady(found: &Found, change: Change) -> bool {
    changed(found, change).is_some_and(|laws| found.judge(laws).verdict == Verdict::Steady)
}

/// Mean advance at top speed.
fn top(found: &Found, laws: &[Law]) -> f64 {
    let speed = found.machine.engine.top_speed.si;
    laws.iter().map(|l| l.advance(speed).radians()).sum::<f64>() / laws.len().max(1) as f64
}

/// The least shift that gives a steady idle, or the furthest tried.
fn plate(found: &Found, load: &LoadStudy, sampling: Sampling) -> Option<Result<Reversible, NotStudied>> {
    let shift = |i: usize| move |law: &Law, _: f64| Some(law.shifted(CrankAngle::from_radians(SHIFT_STEP * i as f64)));
    let steps = (1..=SHIFTS).find(|i| steady(found, &shift(*i))).unwrap_or(SHIFTS);
    let way = ReversibleWay::PlateShift { by_rad: SHIFT_STEP * steps as f64 };
    judged((found, load, sampling), way, &shift(steps), top(found, &found.laws))
}

/// The reversed leads put right; the top end is then what the rotor was made for, so it is not held against it.
fn leads(found: &Found, load: &LoadStudy, sampling: Sampling) -> Option<Result<Reversible, NotStudied>> {
    let right = |law: &Law, _: f64| Some(leads_right(law).unwrap_or_else(|| law.clone()));
    let any = found.laws.iter().any(|l| l.segment().is_some_and(|s| s.wiring() != Wiring::Right));
    let wanted = top(found, &changed(found, &right)?);
    if any { judged((found, load, sampling), ReversibleWay::PickupLeads, &right, wanted) } else { None }
}

fn leads_right(law: &Law) -> Option<Law> {
    let right = |s: Segment| Segment::new(s.lead(), s.arc()).ok();
    match law {
        Law::Ramp(ramp) => Some(Law::Ramp(ramp.on(right(ramp.segment())?))),
        Law::TwoEdge(edges) => Some(Law::TwoEdge(edges.on(right(edges.segment())?))),
        Law::Sensed(sensed) => Some(Law::Sensed(Box::new(Sensed { law: leads_right(&sensed.law)?, pickup: sensed.pickup }))),
        _ => None,
    }
}

/// The least late of the modules tried that gives a steady idle, or the latest tried.
fn module(found: &Found, load: &LoadStudy, sampling: Sampling) -> Option<Result<Reversible, NotStudied>> {
    let change = |i: usize| move |law: &Law, _: f64| later(law, i as f64 / LATER as f64);
    let steps = (1..LATER).find(|i| steady(found, &change(*i))).unwrap_or(LATER - 1);
    let law = changed(found, &change(steps))?.into_iter().next()?;
    let (start_rad_s, full_rad_s) = law.knees()?;
    // Below its start the advance is least.
    let least_advance_rad = law.advance(0.5 * start_rad_s).radians();
    let way = ReversibleWay::LaterModule { start_rad_s, full_rad_s, least_advance_rad };
    judged((found, load, sampling), way, &change(steps), top(found, &found.laws))
}

/// The same segment under a module whose advance starts a `share` of the way from its start to its full speed.
fn later(law: &Law, share: f64) -> Option<Law> {
    let start = |start: f64, full: f64| start + share * (full - start);
    match law {
        Law::Ramp(r) => Ramp::from_speeds(r.segment(), start(r.start(), r.full()), r.full()).ok().map(Law::Ramp),
        Law::TwoEdge(t) => TwoEdge::from_speeds(t.segment(), start(t.start(), t.full()), t.full()).ok().map(Law::TwoEdge),
        Law::Sensed(s) => Some(Law::Sensed(Box::new(Sensed { law: later(&s.law, share)?, pickup: s.pickup }))),
        _ => None,
    }
}
