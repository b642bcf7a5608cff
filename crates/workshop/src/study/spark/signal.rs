//! The pickup's signal at the kick, and which edge fires.

use super::{Finding, Held};
use crate::{
    machine::{Machine, Pickup as PickupData, Polarity, PulseSeen},
    study::curve::CurveStudy,
};
use physics::{law::Pickup, rim::Rim, spark::signal::largest_gap_m};
use quantity::CrankAngle;

/// Width of the pole along the rim [m], no source. Nothing in the machine file gives it; for a sharp pole the pulse falls most as the gap widens, so the
/// largest gap is on the safe side.
const SHARP_POLE_M: f64 = 0.0;

/// An edge of the segment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The one that passes first.
    Leading,
    /// The one that passes last.
    Trailing,
}

/// One pickup.
#[derive(Clone, Debug, PartialEq)]
pub struct SignalAt {
    /// Its place in the file.
    pub pickup: usize,
    /// Peak at the kick over its own gap [V].
    pub peak: Finding,
    /// What the module needs [V].
    pub need: Finding,
    /// One over the other \[1\].
    pub margin: Finding,
    /// Lowest crank speed that fires [rad/s].
    pub fires_from: Finding,
    /// Its gap [m].
    pub gap: Finding,
    /// Largest gap that still fires at the kick [m].
    pub largest_gap: Finding,
    /// Leads.
    pub polarity: Polarity,
    /// The edge nearest to where the spark comes at the kick; `None` without a curve.
    pub kick_edge: Option<Edge>,
    /// The same at the top speed.
    pub top_edge: Option<Edge>,
}

/// Peak [V] at a speed and the signal's need, over speed: for a chart.
pub fn peak_v(signal: &SignalAt, kick_rad_s: f64, speed_rad_s: f64) -> f64 {
    signal.peak.si * speed_rad_s / kick_rad_s
}

/// Every pickup, with its own pulse or that of another on the plate.
///
/// # Errors
/// [`Held::Missing`] without a pickup that has a pulse.
pub fn study(machine: &Machine, curve: Option<&CurveStudy>) -> Result<Vec<SignalAt>, Held> {
    let trigger = machine.trigger.as_ref().ok_or(Held::Missing("trigger"))?;
    let rim = Rim::new(trigger.rim_diameter.si, trigger.drive).ok_or(Held::Missing("trigger.rim_diameter"))?;
    let seen = trigger.pickups.iter().find_map(|p| p.pulse.as_ref().map(|pulse| (p, pulse)));
    let (other, shared) = seen.ok_or(Held::Missing("trigger.pickup.pulse"))?;
    let found = trigger.pickups.iter().enumerate().filter_map(|(k, p)| {
        let (read_at, pulse) = p.pulse.as_ref().map_or((other, shared), |pulse| (p, pulse));
        one(machine, curve, rim, (k, p), (read_at.gap.si, pulse))
    });
    Ok(found.collect())
}

fn one(
    machine: &Machine,
    curve: Option<&CurveStudy>,
    rim: Rim,
    (k, p): (usize, &PickupData),
    (read_at_m, pulse): (f64, &PulseSeen),
) -> Option<SignalAt> {
    let kick = &machine.engine.kicking_speed;
    let of = |volts: f64, speed: f64, need: f64, gap: f64| {
        let there = Pickup::from_pulse(rim, read_at_m, SHARP_POLE_M, volts, speed, need).ok()?;
        there.with_gap(gap).ok()
    };
    let (v, n, need, gap) = (pulse.volts.si, pulse.speed.si, pulse.threshold.si, p.gap.si);
    let here = of(v, n, need, gap)?;
    let share = |r: &quantity::Reading| r.plus_minus_si / r.si;
    // A sharp pole's pulse goes with one over the square of the gap; its own gap is in the reading.
    let by_gap = if read_at_m == gap { 0.0 } else { 2.0 * share(&p.gap) };
    let peak_si = here.peak_v(kick.si);
    let peak = Finding {
        si: peak_si,
        plus_minus_si: peak_si * share(&pulse.volts).hypot(share(&pulse.speed)).hypot(share(kick)).hypot(by_gap),
    };
    let need = Finding::of(&pulse.threshold);
    let margin_si = peak.si / need.si;
    let doubt = (peak.plus_minus_si / peak.si).hypot(need.plus_minus_si / need.si);
    // The speed from which it fires knows nothing of the kick.
    let fires = share(&pulse.volts).hypot(share(&pulse.speed)).hypot(share(&pulse.threshold)).hypot(by_gap);
    let largest = largest_gap_m(&here, gap, kick.si).ok()?;
    let lowest = here.lowest_firing_speed();
    Some(SignalAt {
        pickup: k,
        peak,
        need,
        margin: Finding { si: margin_si, plus_minus_si: margin_si * doubt },
        fires_from: Finding { si: lowest, plus_minus_si: lowest * fires },
        gap: Finding::of(&p.gap),
        largest_gap: Finding { si: largest, plus_minus_si: largest * (0.5 * doubt).hypot(share(&p.gap)) },
        polarity: p.polarity,
        kick_edge: edge(machine, curve, p, kick.si),
        top_edge: edge(machine, curve, p, machine.engine.top_speed.si),
    })
}

/// The edge nearest to the spark of the pickup's first cylinder.
fn edge(machine: &Machine, curve: Option<&CurveStudy>, p: &PickupData, speed_rad_s: f64) -> Option<Edge> {
    let trigger = machine.trigger.as_ref()?;
    let rim = Rim::new(trigger.rim_diameter.si, trigger.drive)?;
    let arc_m = match &trigger.segment {
        crate::machine::SegmentLength::Arc(arc) => arc.si,
        crate::machine::SegmentLength::Chord(chord) => rim.arc_of_chord(chord.si)?,
    };
    let lead = CrankAngle::from_radians(trigger.lead.si);
    let trail = lead - rim.crank_of_arc(arc_m);
    let at = curve?.cylinders.get(*p.fires.first()?)?.law.advance(speed_rad_s);
    let off = |edge: CrankAngle| (at - edge).radians().abs();
    Some(if off(lead) <= off(trail) { Edge::Leading } else { Edge::Trailing })
}
