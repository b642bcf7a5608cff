//! The sheet of the spark: steps, each with its boxes.

use super::{kv, volts};
use crate::words::number;
use workshop::machine::Machine;
use workshop::study::{Finding, spark::SparkStudy};

/// Title.
pub const TITLE: &str = "Ignition: spark and signal";
/// Heading.
pub const STEPS: &str = "What is measured, in this order";
/// Heads of the steps.
pub const STEPS_HEAD: [&str; 3] = ["step", "should be", "read"];
/// Box to fill in.
pub const READ: &[&str] = &["read", "with"];

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is done.
    pub what: String,
    /// What should come of it.
    pub should: String,
}

/// Steps with the engine still, and then at the kick: cautions stand before both.
pub fn steps(machine: &Machine, study: &SparkStudy) -> [Vec<Step>; 2] {
    let i = &machine.ignition;
    let read = |r: &quantity::Reading| r.to_string();
    let named = |k: usize| super::capital(&super::pickup(machine, k));
    let mut still = Vec::new();
    let mut kicked = Vec::new();
    if let Some(c) = &i.coil {
        still.push(Step {
            what: "Coil, primary, leads taken off, zero of the meter's leads taken off".to_owned(),
            should: read(&c.primary_resistance),
        });
        still.push(Step { what: "Coil, secondary, cap taken off".to_owned(), should: read(&c.secondary_resistance) });
    }
    if let Some(p) = &i.plug {
        still.push(Step { what: "Cap with lead, end to end".to_owned(), should: read(&p.cap) });
        still.push(Step { what: "Plug gap".to_owned(), should: read(&p.gap) });
    }
    for w in i.source.iter().flat_map(|s| &s.windings) {
        still.push(Step { what: "Source coil, cold, leads taken off".to_owned(), should: read(&w.resistance) });
        let speed = w.volts.si / w.speed.si * machine.engine.kicking_speed.si;
        let share = (w.volts.plus_minus_si / w.volts.si)
            .hypot(machine.engine.kicking_speed.plus_minus_si / machine.engine.kicking_speed.si);
        kicked.push(Step {
            what: "Source coil, peak with nothing connected, peak-hold adaptor, best of three kicks".to_owned(),
            should: volts(Finding { si: speed, plus_minus_si: share * speed }),
        });
    }
    if let (true, Some(first)) = (study.kind.discharges(), study.margin.points.first()) {
        kicked.push(Step { what: "Module's output at the coil, peak, coil connected".to_owned(), should: volts(first.filled) });
    }
    if let Some(b) = &i.breaker {
        still.push(Step {
            what: "Condenser off the machine, at 250 to 500 V: leakage. Discharge it through a resistor; then capacitance"
                .to_owned(),
            should: read(&b.condenser),
        });
    }
    for s in study.signal.iter().flatten() {
        kicked.push(Step { what: format!("{}: peak with the module connected", named(s.pickup)), should: volts(s.peak) });
        still.push(Step {
            what: format!("{}: gap all round the rim, brass or plastic feeler", named(s.pickup)),
            should: format!("{}, no more than {} mm", super::gap(s.gap), number(s.largest_gap.si * 1e3, 2)),
        });
    }
    if let Some(lowest) = study.battery.and_then(|b| b.volts) {
        kicked.push(Step {
            what: "Battery volts at the ignition while it is kicked".to_owned(),
            should: format!("above {}", volts(lowest)),
        });
    }
    if let Some(first) = study.margin.points.first() {
        kicked.push(Step {
            what: "Spark over an earthed test gap that needs as much as the plug".to_owned(),
            should: kv(first.needed.volts),
        });
    }
    [still, kicked]
}

/// Heading.
pub const STILL: &str = "Engine still, key off, the capacitor in the module discharged";
/// Heading.
pub const KICKED: &str = "At the kick";
