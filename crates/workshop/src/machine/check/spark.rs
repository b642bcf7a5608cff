//! The ignition's parts set against each other.

use std::f64::consts::TAU;

use crate::machine::{Machine, Strokes, defect::Inconsistency as Odd, walk::Walk};

/// Volts at the ignition over the nominal ones of the battery, engine running, and kicked or weak \[1\] (common practice, no source): 5 to 8 V and 1.5 to 6.9 V at 6,
/// 10 to 16 V and 3 to 13.8 V at 12.
const RUNNING: (f64, f64) = (0.83, 1.34);
const KICKED: (f64, f64) = (0.25, 1.15);

pub(super) fn spark(machine: &Machine, walk: &mut Walk<'_>) {
    let i = &machine.ignition;
    if let (Some(supply), Some(battery)) = (&i.supply, &machine.electric.battery) {
        let battery_v = 2.0 * f64::from(battery.cells);
        let read = [
            ("supply.running", Some(&supply.running), RUNNING),
            ("supply.kicking", Some(&supply.kicking), KICKED),
            ("supply.weak", supply.weak.as_ref(), KICKED),
        ];
        for (path, reading, (least, most)) in read {
            let odd =
                |r: &&quantity::Reading| r.si + r.plus_minus_si < least * battery_v || r.si - r.plus_minus_si > most * battery_v;
            if let Some(r) = reading.filter(odd) {
                walk.inconsistent(path, Odd::SupplyNotForBattery { supply_v: r.si, battery_v });
            }
        }
    }
    let (Some(spark), Some(dwell)) = (i.spark, i.breaker.as_ref().and_then(|b| b.dwell.as_ref())) else { return };
    let turns = if spark.every_turn || machine.engine.strokes == Strokes::Two { 1.0 } else { 2.0 };
    let shared = if spark.serves_all { machine.engine.cylinders.len().max(1) as f64 } else { 1.0 };
    let between_rad = turns * TAU / shared;
    if dwell.si >= between_rad {
        walk.inconsistent("breaker.dwell", Odd::DwellTooLong { dwell_rad: dwell.si, between_rad });
    }
}
