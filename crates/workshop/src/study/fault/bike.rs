//! What a machine can have wrong with it, and which tests it bears.

use super::{
    data::{Cause, Complaint, Faults, System, Test, Weight},
    own::counted_weight,
};
use crate::machine::{LawData, Machine, Strokes, charging::Keeps, spark::Kind};

/// What of a machine tells which faults it can have.
#[derive(Clone, Debug, PartialEq)]
pub struct Bike {
    /// Ignitions that it may have: one where the file says which, more where it does not.
    pub systems: Vec<System>,
    /// Strokes.
    pub strokes: u8,
    /// Cylinders.
    pub cylinders: u8,
    /// Whether a battery is fitted; `None` = the file does not say.
    pub battery: Option<bool>,
    /// Whether a regulator is; `None` = the file does not say.
    pub regulator: Option<bool>,
}

impl Bike {
    /// From a machine file.
    pub fn of(machine: &Machine) -> Self {
        let battery = (machine.electric.battery.is_some() || machine.ignition.supply.is_some()).then_some(true);
        let systems = match (machine.ignition.spark.map(|s| s.kind), &machine.law) {
            (Some(Kind::CapacitorFromSource), _) => vec![System::CdiSource],
            (Some(Kind::CapacitorFromBattery), _) => vec![System::CdiBattery],
            (Some(Kind::Points), _) if battery == Some(true) => vec![System::Points],
            (Some(Kind::Points), _) => vec![System::Points, System::Magneto],
            (Some(Kind::Transistor), _) => vec![System::Transistor],
            (None, _) if machine.ignition.source.is_some() => vec![System::CdiSource],
            (None, _) if machine.trigger.is_some() => vec![System::CdiSource, System::CdiBattery, System::Transistor],
            (None, Some(LawData::BobWeights(_))) => vec![System::Points, System::Magneto, System::Transistor],
            (None, _) => System::ALL.to_vec(),
        };
        Self {
            systems,
            strokes: if machine.engine.strokes == Strokes::Two { 2 } else { 4 },
            // A machine file has a dozen cylinders at most.
            cylinders: machine.engine.cylinders.len().min(255) as u8,
            battery,
            regulator: machine.electric.charging.as_ref().map(|c| c.keeps != Keeps::Nothing),
        }
    }

    fn meets(&self, systems: &[System]) -> bool {
        systems.is_empty() || systems.iter().any(|s| self.systems.contains(s))
    }

    /// Whether it can have a cause.
    pub fn can_have(&self, cause: &Cause) -> bool {
        self.meets(&cause.systems)
            && (cause.strokes.is_empty() || cause.strokes.contains(&self.strokes))
            && self.cylinders >= cause.min_cyl
            && !(cause.needs_battery && self.battery == Some(false))
            && !(cause.needs_regulator && self.regulator == Some(false))
    }

    /// Whether a complaint can be its own.
    pub fn can_show(&self, complaint: &Complaint) -> bool {
        self.cylinders >= complaint.min_cyl
    }

    /// Whether a test can be done on it.
    pub fn bears(&self, test: &Test) -> bool {
        self.meets(&test.applies)
            && (test.strokes.is_empty() || test.strokes.contains(&self.strokes))
            && self.cylinders >= test.min_cyl
    }

    /// The causes of a complaint that it can have.
    pub fn causes<'f>(&self, faults: &'f Faults, complaint: &'f Complaint) -> Vec<&'f Weight> {
        let can = |w: &&Weight| self.can_have(&faults.causes[w.cause]) && self.meets(&w.only);
        complaint.causes.iter().filter(can).collect()
    }
}

/// Weights of some causes, and of what is left over, with what the workshop counted.
pub fn weights(complaint: &Complaint, causes: &[&Weight]) -> (Vec<f64>, f64) {
    let of = causes.iter().map(|w| counted_weight(w.weight, w.jobs)).collect();
    (of, counted_weight(complaint.other, complaint.other_jobs))
}
