//! Alternator, battery and windings set against each other.

use crate::machine::{
    Machine,
    charging::{Keeps, Kind},
    defect::Inconsistency as Odd,
    walk::Walk,
};

/// Volts that a regulator may hold over the nominal ones of its battery \[1\]: 6.6 to 8 V at 6, 13.2 to 16 V at 12 (common practice, no source).
const HELD: (f64, f64) = (1.0, 1.34);

pub(super) fn electric(machine: &Machine, walk: &mut Walk<'_>) {
    let e = &machine.electric;
    if let (Some(charging), Some(battery)) = (&e.charging, &e.battery)
        && let Keeps::Shunt(held) | Keeps::Series(held) = &charging.keeps
    {
        let battery_v = 2.0 * f64::from(battery.cells);
        if held.si < HELD.0 * battery_v || held.si > HELD.1 * battery_v {
            walk.inconsistent("charging.regulator_volts", Odd::RegulatorNotForBattery { held_v: held.si, battery_v });
        }
    }
    if let Some(charging) = &e.charging {
        let single = matches!(charging.kind, Kind::HalfWave | Kind::FullWave);
        for (k, seen) in charging.seen.iter().enumerate() {
            for (list, what) in [(&seen.leads, "leads"), (&seen.unplugged, "unplugged")] {
                for (pair, there) in [(1, "23"), (2, "31")] {
                    if single && list[pair].is_some() {
                        walk.inconsistent(&format!("charging.seen[{k}].{what}_{there}"), Odd::NoSuchLead);
                    }
                }
            }
        }
    }
    for (k, w) in e.windings.iter().enumerate() {
        if let Some(leads) = &w.leads
            && leads.si - leads.plus_minus_si > w.resistance.si + w.resistance.plus_minus_si
        {
            let kind = Odd::LeadsExceed { leads_ohm: leads.si, shown_ohm: w.resistance.si };
            walk.inconsistent(&format!("winding[{k}].leads"), kind);
        }
    }
}
