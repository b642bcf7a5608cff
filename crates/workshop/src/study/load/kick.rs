//! The advance at which a kick would turn back.

use super::{Bound, Kick, earliest};
use crate::{
    machine::Machine,
    study::{Finding, curve::CurveStudy, model::WorkingCycle},
};
use physics::kickback::KickBack;
use rayon::prelude::*;

/// Advances at which the work against a kick is worked out [°] (own choice), every 5° from top dead centre. It grows ever faster with
/// advance, so the straight line between two of them lies above it, and the limit errs on the safe side by a fraction of a degree.
const STEP: f64 = 5.0;
const STEPS: u8 = 12;

/// When a kick would turn back. The limit's ± is that of inertia and kicking speed, through the energy of the turning parts.
pub fn limit(machine: &Machine, curve: &CurveStudy, cycle: &dyn WorkingCycle) -> Kick {
    let (inertia, speed) = (&machine.engine.inertia, &machine.engine.kicking_speed);
    let work: Vec<(f64, f64)> = (0..=STEPS)
        .into_par_iter()
        .map(|i| (f64::from(i) * STEP).to_radians())
        .map(|advance| (advance, cycle.kick_back_work_j(speed.si, advance)))
        .collect();
    let energy = |inertia: f64, speed: f64| KickBack::MOST_SHARE * 0.5 * inertia * speed * speed;
    let nominal = energy(inertia.si, speed.si);
    // A product's ± (JCGM 100:2008, 5.1.6); a speed that may be anything still turns forwards.
    let doubt = (inertia.plus_minus_si / inertia.si).hypot(2.0 * speed.plus_minus_si / speed.si);
    let limit = match reaches(&work, nominal) {
        Some(si) => {
            let end = |share: f64| reaches(&work, nominal * share);
            let (low, high) = (end((1.0 - doubt).max(0.0)), end(1.0 + doubt));
            let reach = |end: Option<f64>| end.map_or(0.0, |e| (e - si).abs());
            Bound::At(Finding { si, plus_minus_si: reach(low).max(reach(high)) })
        }
        None if work.iter().all(|w| w.1.is_finite()) => Bound::Above(work.last().map_or(0.0, |w| w.0)),
        None => Bound::Unknown,
    };
    Kick { speed: Finding { si: speed.si, plus_minus_si: speed.plus_minus_si }, now: earliest(curve, speed.si), limit }
}

/// The advance at which the work reaches an energy; `None` where it never does, or where one of the works is no number.
fn reaches(work: &[(f64, f64)], energy_j: f64) -> Option<f64> {
    let after = work.iter().position(|w| w.1 >= energy_j).filter(|_| work.iter().all(|w| w.1.is_finite()))?;
    let Some(before) = after.checked_sub(1) else { return Some(work[0].0) };
    let ((x, a), (y, b)) = (work[before], work[after]);
    Some(x + (energy_j - a) / (b - a) * (y - x))
}
