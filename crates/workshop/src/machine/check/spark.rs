//! The ignition's parts set against each other.

use std::f64::consts::TAU;

use crate::machine::{Machine, Strokes, defect::Inconsistency as Odd, walk::Walk};

pub(super) fn spark(machine: &Machine, walk: &mut Walk<'_>) {
    let i = &machine.ignition;
    let (Some(spark), Some(dwell)) = (i.spark, i.breaker.as_ref().and_then(|b| b.dwell.as_ref())) else { return };
    let turns = if spark.every_turn || machine.engine.strokes == Strokes::Two { 1.0 } else { 2.0 };
    let shared = if spark.serves_all { machine.engine.cylinders.len().max(1) as f64 } else { 1.0 };
    let between_rad = turns * TAU / shared;
    if dwell.si >= between_rad {
        walk.inconsistent("breaker.dwell", Odd::DwellTooLong { dwell_rad: dwell.si, between_rad });
    }
}
