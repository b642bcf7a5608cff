//! What pulses tell of pickups.

use super::{Add, From, Of, PAIR_OFF, Signature, UNEVEN, above, beyond};
use crate::{
    machine::Machine,
    study::{
        Finding,
        fault::{data::Faults, evidence::kept::PICKUP_GAP_M},
        recording::pickups::{Alike, Pickups},
    },
};
use physics::interval::normal_density;
use std::f64::consts::PI;

/// Spread of the ratio of two sound pickups' peaks, and what one that ails adds to it, in the logarithm \[1\] (common practice, no source: alike within 15 %; own
/// choice: a half).
const ALIKE_SD: f64 = 0.075;
const WEAKER_SD: f64 = 0.5;
/// Chance that pulses which point against each other are the pickups' leads, not the recorder's \[1\] (own choice).
const TURNED: f64 = 0.8;

/// The peak in proportion to the speed, brought down to the kick [V]. By as much as it fell behind the speed while it was recorded it may be off there.
pub(super) fn at_the_kick(machine: &Machine, per_speed: Finding, lags: Option<f64>) -> Finding {
    let kick = &machine.engine.kicking_speed;
    let si = per_speed.si * kick.si;
    let shares = [per_speed.plus_minus_si / per_speed.si, kick.plus_minus_si / kick.si, lags.unwrap_or(0.0)];
    Finding { si, plus_minus_si: si * shares.iter().map(|s| s * s).sum::<f64>().sqrt() }
}

/// Bounds on a gap: they answer where it is surely too small, or surely within what is usual. That it is too wide they never say: the pulse over a wide pole looks
/// like that over a wide gap, and how alike rests on the model of the pulse.
pub(super) fn gap(at_least: Option<Finding>, at_most: Option<Finding>, add: Add) {
    let (least, most) = PICKUP_GAP_M;
    let Some(high) = at_most else { return };
    let close = 1.0 - above(high, least);
    let within = at_least.map_or(0.0, |low| above(low, least) * (1.0 - above(high, most)));
    if close.max(within) > 0.5 {
        add("pickup-gap", if close > within { close } else { 1.0 - within }, From::GapHeard(at_least, at_most));
    }
}

pub(super) fn two_pickups(faults: &Faults, machine: &Machine, p: &Pickups, add: Add, out: &mut Vec<Signature>) {
    if p.alike == Alike::Turned {
        add("pickup-polarity", TURNED, From::Turned);
    }
    for one in &p.each {
        gap(one.pulses.gap_at_least, one.pulses.gap_at_most, add);
    }
    if let Some(ratio) = p.ratio.filter(|r| r.si > 0.0) {
        let (alike, weaker) = ratio_likelihoods(ratio);
        // A gap moves the width as well; what the width says already is not asked twice.
        let (of_gap, of_winding) = match p.alike {
            Alike::WiderGap(_) => (weaker, alike),
            Alike::Weaker(_) => (alike, weaker),
            _ => (weaker, weaker),
        };
        let named = [("pickup-gap-wide", of_gap), ("pickup-loose", of_gap), ("pickup-dead", of_winding)];
        out.push(Signature::of_shown(faults, &["pickup-peak", "pickup-gap"], named, alike, (2, Of::Pickups)));
    }
    if let (apart, Some(file)) = p.apart
        && machine.engine.cylinders.len() == 2
    {
        let by = apart.plus_minus_si.hypot(file.plus_minus_si).hypot(UNEVEN * file.si);
        let off = Finding { si: (apart.si - file.si + PI).rem_euclid(2.0 * PI) - PI, plus_minus_si: by };
        add("strobe-pair", beyond(off, PAIR_OFF), From::Pair(off));
    }
}

/// Likelihoods of peaks in this ratio: of two sound pickups, and of one that is weaker; normal in the logarithm.
pub(super) fn ratio_likelihoods(ratio: Finding) -> (f64, f64) {
    let sd = ALIKE_SD.hypot(0.5 * ratio.plus_minus_si / ratio.si);
    (normal_density(ratio.si.ln(), sd), normal_density(ratio.si.ln(), sd.hypot(WEAKER_SD)))
}
