//! The battery over a ride.

use super::share_pm;
use crate::words::{number, percent, pm, rpm};
use workshop::{
    machine::{
        Machine,
        charging::{RideKind, RidePart},
    },
    study::electric::ride::{Alone, Plan, RideStudy},
};

/// Heading.
pub const RIDE: &str = "Over a ride";
/// Chart.
pub const RIDE_TITLE: &str = "State of charge over the ride";
/// Axis.
pub const TIME: &str = "Time";
/// Unit.
pub const MINUTES: &str = "min";
/// Axis.
pub const STATE_OF_CHARGE: &str = "State of charge";
/// Series.
pub const ALL_ON: &str = "everything on";
/// Series.
pub const AS_PLANNED: &str = "by the plan";
/// Description.
pub const RIDE_DESCRIPTION: &str =
    "State of charge of the battery against time on the ride, with everything on and, where less stays on, by the plan.";
/// Heads of the table of parts.
pub const PARTS_HEAD: [&str; 4] = ["speed", "on the road", "of the time", "battery"];

/// Which ride.
pub fn ride_kind(kind: RideKind) -> &'static str {
    match kind {
        RideKind::Town => "a ride through town (speeds and shares of time are common practice, no source)",
        RideKind::Country => "a ride through the country (speeds and shares of time are common practice, no source)",
        RideKind::Own => "the ride in the file",
    }
}

/// What is found, in sentences.
pub fn ride(machine: &Machine, study: &RideStudy) -> Vec<String> {
    let [start, end] = study.ends;
    let mut all = vec![format!(
        "Over {} of {} the battery goes from {} of its charge to {}, everything switched on.",
        minutes(study.lasts_s),
        ride_kind(study.kind),
        share_pm(start),
        share_pm(end)
    )];
    let name = |k: &usize| machine.electric.loads.get(*k).map_or(String::new(), |l| l.name.clone());
    let names = |list: &[usize]| list.iter().map(name).collect::<Vec<_>>().join(", then ");
    all.push(match &study.plan {
        Plan::AllOn => "Charge holds with everything on.".to_owned(),
        Plan::Off(list) => format!("So that charge holds, switch off: {}. What the law asks to be lit stays lit.", names(list)),
        Plan::NotEnough(list) if list.is_empty() => {
            "Charge falls, and the file names no load that may go off. Ride faster, charge from the mains, or fit lamps that take less.".to_owned()
        }
        Plan::NotEnough(list) => {
            format!("Charge falls even with off: {}. Ride faster, charge from the mains, or fit lamps that take less.", names(list))
        }
    });
    match &study.alone {
        None => all.push("How far the battery alone carries is not told: ride.ignition_needs is not in the file, so the ignition is taken to need no battery.".to_owned()),
        Some([needed, all_on]) => {
            all.push(format!("If charging fails, the battery alone carries the ignition {} with only what must stay on.", far(needed)));
            if all_on.draws_a > needed.draws_a {
                all.push(format!("With everything on, {}.", far(all_on)));
            }
        }
    }
    all
}

fn far(alone: &Alone) -> String {
    if alone.draws_a <= 0.0 || alone.draws_a.is_nan() {
        return "without an end: no load that stays on is in the file. Give the ignition as a load that must stay on".to_owned();
    }
    if alone.lasts.si <= 0.0 {
        return format!("not at all: under {}\u{a0}A its volts are too low from the start", number(alone.draws_a, 1));
    }
    let by = |f: workshop::study::Finding, per: f64| pm(f.si * per, f.plus_minus_si * per, 0);
    let empty = if alone.left > 0.0 { format!(", {} of its charge still in it", percent(alone.left)) } else { String::new() };
    format!(
        "for {}\u{a0}min, about {}\u{a0}km at this ride's speed, at {}\u{a0}A{empty}",
        by(alone.lasts, 1.0 / 60.0),
        by(alone.way, 1e-3),
        number(alone.draws_a, 1)
    )
}

fn minutes(seconds: f64) -> String {
    format!("{}\u{a0}min", number(seconds / 60.0, 0))
}

/// A row of the table of parts.
pub fn part_row(part: &RidePart, battery_a: f64) -> Vec<String> {
    vec![
        rpm(part.crank_rad_s),
        format!("{}\u{a0}km/h", number(part.road_m_s * 3.6, 0)),
        percent(part.share),
        format!("{}\u{a0}A", number(battery_a, 1)),
    ]
}
