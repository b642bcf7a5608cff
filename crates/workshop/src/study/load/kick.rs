//! The advance at which a kick would turn back.

use super::{Bound, Kick, earliest};
use crate::{
    machine::Machine,
    study::{
        Finding,
        curve::CurveStudy,
        idle::Parameter,
        model::{Which, WorkingCycle},
    },
};
use physics::kickback::KickBack;
use rayon::prelude::*;

/// Advances at which the work against a kick is worked out [°] (own choice), every 5° from top dead centre. It grows ever faster with
/// advance, so the straight line between two of them lies above it, and the limit errs on the safe side by a fraction of a degree.
const STEP: f64 = 5.0;
const STEPS: u8 = 12;

/// When a kick would turn back. The limit's ± is that of inertia and kicking speed, through the energy of the turning parts, and that of the
/// flame, through the work.
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
    let now = earliest(curve, speed.si);
    let taken_now = now.map(|now| taken(cycle, speed.si, now));
    let limit = match reaches(&work, nominal) {
        Some(si) => {
            // So much more work is as good as so much less energy.
            let of_flame = of_flame(cycle, speed.si, si) / nominal;
            let doubt = doubt.hypot(of_flame);
            let end = |share: f64| reaches(&work, nominal * share);
            let (low, high) = (end((1.0 - doubt).max(0.0)), end(1.0 + doubt));
            let reach = |end: Option<f64>| end.map_or(0.0, |e| (e - si).abs());
            Bound::At(Finding { si, plus_minus_si: reach(low).max(reach(high)) })
        }
        None if work.iter().all(|w| w.1.is_finite()) => Bound::Above(work.last().map_or(0.0, |w| w.0)),
        None => Bound::Unknown,
    };
    let whole = nominal / KickBack::MOST_SHARE;
    Kick { speed: Finding::of(speed), now, limit, energy: Finding { si: whole, plus_minus_si: doubt * whole }, taken_now }
}

/// Half of what the work [J] at an advance changes over the ± of the flame.
fn of_flame(cycle: &dyn WorkingCycle, speed: f64, advance: f64) -> f64 {
    let of = |which: Which| cycle.kick_back_work_of_j(which, speed, advance);
    let burn = Parameter::BurnFactor;
    of(Which::High(burn)).zip(of(Which::Low(burn))).map_or(0.0, |(high, low)| 0.5 * (high - low).abs())
}

/// What the burn takes at an advance [J]; its ± is that of the advance and of the flame.
fn taken(cycle: &dyn WorkingCycle, speed: f64, advance: Finding) -> Finding {
    let at = |by: f64| cycle.kick_back_work_j(speed, advance.si + by * advance.plus_minus_si);
    let of_advance = if advance.plus_minus_si > 0.0 { 0.5 * (at(1.0) - at(-1.0)).abs() } else { 0.0 };
    Finding { si: at(0.0), plus_minus_si: of_advance.hypot(of_flame(cycle, speed, advance.si)) }
}

/// The advance at which the work reaches an energy; `None` where it never does, or where one of the works is no number.
fn reaches(work: &[(f64, f64)], energy_j: f64) -> Option<f64> {
    let after = work.iter().position(|w| w.1 >= energy_j).filter(|_| work.iter().all(|w| w.1.is_finite()))?;
    let Some(before) = after.checked_sub(1) else { return Some(work[0].0) };
    let ((x, a), (y, b)) = (work[before], work[after]);
    Some(x + (energy_j - a) / (b - a) * (y - x))
}
