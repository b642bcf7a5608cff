//! Ways that can be undone, computed beside a cut.

use super::{Reversible, ReversibleWay, cut::Found, plan::rarely_hangs};
use crate::study::{cases::Change, idle::Verdict};
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

/// The ways that apply to this machine, those that serve first.
pub fn ways(found: &Found) -> Vec<Reversible> {
    let mut ways: Vec<Reversible> = [leads(found), plate(found), module(found)].into_iter().flatten().collect();
    ways.sort_by_key(|w| !w.serves);
    ways
}

/// Judges a way by what it does to a law. It serves like a cut does, and must leave the top end at `wanted_top` [rad].
fn judged(found: &Found, way: ReversibleWay, change: Change, wanted_top: f64) -> Option<Reversible> {
    let laws = changed(found, change)?;
    let full_advance_rad = top(found, &laws);
    let kick = found.kick_back(&laws);
    let verdict = found.judge(laws).verdict;
    let serves = verdict == Verdict::Steady
        && kick.passes
        && (full_advance_rad - wanted_top).abs() <= TOP_END
        && rarely_hangs(found.shares(&[change]).hanging[0]);
    Some(Reversible { way, verdict, full_advance_rad, serves })
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
fn plate(found: &Found) -> Option<Reversible> {
    let shift = |i: usize| move |law: &Law, _: f64| Some(law.shifted(CrankAngle::from_radians(SHIFT_STEP * i as f64)));
    let steps = (1..=SHIFTS).find(|i| steady(found, &shift(*i))).unwrap_or(SHIFTS);
    let way = ReversibleWay::PlateShift { by_rad: SHIFT_STEP * steps as f64 };
    judged(found, way, &shift(steps), top(found, &found.laws))
}

/// The reversed leads put right; the top end is then what the rotor was made for, so it is not held against it.
fn leads(found: &Found) -> Option<Reversible> {
    let right = |law: &Law, _: f64| Some(leads_right(law).unwrap_or_else(|| law.clone()));
    let any = found.laws.iter().any(|l| l.segment().is_some_and(|s| s.wiring() != Wiring::Right));
    let wanted = top(found, &changed(found, &right)?);
    if any { judged(found, ReversibleWay::PickupLeads, &right, wanted) } else { None }
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
fn module(found: &Found) -> Option<Reversible> {
    let change = |i: usize| move |law: &Law, _: f64| later(law, i as f64 / LATER as f64);
    let steps = (1..LATER).find(|i| steady(found, &change(*i))).unwrap_or(LATER - 1);
    let (start_rad_s, full_rad_s) = changed(found, &change(steps))?.first()?.knees()?;
    let way = ReversibleWay::LaterModule { start_rad_s, full_rad_s };
    judged(found, way, &change(steps), top(found, &found.laws))
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
