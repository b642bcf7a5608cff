//! Warnings as JSON: a code, and the values that belong to it.

use super::{deg, mm, rpm};
use serde::Serialize;
use workshop::study::warning::{BoreNumber, Submodel, Warning as Found};

/// A warning. The code says which; see the variants.
#[derive(Debug, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
#[allow(missing_docs, reason = "each stands for the workshop's warning of the same name, which has the words")]
pub enum Warning {
    DefaultUsed { field: String },
    TakenAsExact { field: String },
    LateTrailingEdge { least_advance_deg: f64 },
    WildReading { reading: usize, off_deg: f64 },
    ReadingUnusable { reading: usize },
    LawAgainstReadings { by_deg: f64, at_rpm: f64 },
    NoPickupFires { cylinder: usize },
    LawFitsPoorly { misfit: f64 },
    LawsAlike,
    PickupReversed { pickup: usize, late_deg: f64 },
    PolarityUnknown { pickup: usize },
    WeakPulse { pickup: usize, fires_from_rpm: f64 },
    CylindersDiffer { by_deg: f64 },
    NotCalibrated,
    IdleNotReproduced,
    HangNotReproduced { seen_rpm: f64, nearest_rpm: Option<f64> },
    RestBeyondRange { from_rpm: f64 },
    CasesLeftOut { share: f64 },
    CyclesUnsettled { share: f64 },
    BestTorqueNotFound { from_rpm: f64, tried_deg: f64 },
    BeyondKnockLimit { at_rpm: f64, by_deg: f64, plus_minus_deg: f64 },
    RotorSlowerThanEngine { rotor_rpm: f64, engine_rpm: f64 },
    BoreNotTheTaper { number: &'static str, taper: f64, section: f64 },
    OutsideValidity { model: &'static str },
}

/// All of them, in the order found. Readings and pickups count from 1, as on paper.
pub fn all(found: &[Found]) -> Vec<Warning> {
    found.iter().map(one).collect()
}

fn one(found: &Found) -> Warning {
    match found {
        Found::DefaultUsed { field } => Warning::DefaultUsed { field: field.to_string() },
        Found::TakenAsExact { field } => Warning::TakenAsExact { field: field.to_string() },
        Found::LateTrailingEdge { least_advance_rad } => Warning::LateTrailingEdge { least_advance_deg: deg(*least_advance_rad) },
        Found::WildReading { index, off_rad } => Warning::WildReading { reading: index + 1, off_deg: deg(*off_rad) },
        Found::ReadingUnusable { index } => Warning::ReadingUnusable { reading: index + 1 },
        Found::LawAgainstReadings { by_rad, at_rad_s } => {
            Warning::LawAgainstReadings { by_deg: deg(*by_rad), at_rpm: rpm(*at_rad_s) }
        }
        Found::NoPickupFires { cylinder } => Warning::NoPickupFires { cylinder: cylinder + 1 },
        Found::LawFitsPoorly { misfit } => Warning::LawFitsPoorly { misfit: *misfit },
        Found::LawsAlike => Warning::LawsAlike,
        Found::PickupReversed { pickup, late_rad } => Warning::PickupReversed { pickup: pickup + 1, late_deg: deg(*late_rad) },
        Found::PolarityUnknown { pickup } => Warning::PolarityUnknown { pickup: pickup + 1 },
        Found::WeakPulse { pickup, fires_from_rad_s } => {
            Warning::WeakPulse { pickup: pickup + 1, fires_from_rpm: rpm(*fires_from_rad_s) }
        }
        Found::CylindersDiffer { by_rad } => Warning::CylindersDiffer { by_deg: deg(*by_rad) },
        Found::NotCalibrated => Warning::NotCalibrated,
        Found::IdleNotReproduced => Warning::IdleNotReproduced,
        Found::HangNotReproduced { seen_rad_s, nearest_rad_s } => {
            Warning::HangNotReproduced { seen_rpm: rpm(*seen_rad_s), nearest_rpm: nearest_rad_s.map(rpm) }
        }
        Found::RestBeyondRange { from_rad_s } => Warning::RestBeyondRange { from_rpm: rpm(*from_rad_s) },
        Found::CasesLeftOut { share } => Warning::CasesLeftOut { share: *share },
        Found::CyclesUnsettled { share } => Warning::CyclesUnsettled { share: *share },
        Found::BestTorqueNotFound { from_rad_s, tried_rad } => {
            Warning::BestTorqueNotFound { from_rpm: rpm(*from_rad_s), tried_deg: deg(*tried_rad) }
        }
        Found::BeyondKnockLimit { at_rad_s, by_rad, plus_minus_rad } => {
            Warning::BeyondKnockLimit { at_rpm: rpm(*at_rad_s), by_deg: deg(*by_rad), plus_minus_deg: deg(*plus_minus_rad) }
        }
        Found::RotorSlowerThanEngine { rotor_rad_s, engine_rad_s } => {
            Warning::RotorSlowerThanEngine { rotor_rpm: rpm(*rotor_rad_s), engine_rpm: rpm(*engine_rad_s) }
        }
        Found::BoreNotTheTaper { number, taper, section } => {
            // Ends in mm, the ratio as it is.
            let (number, of): (_, fn(f64) -> f64) = match number {
                BoreNumber::LargeEnd => ("large_end_mm", mm),
                BoreNumber::SmallEnd => ("small_end_mm", mm),
                BoreNumber::Ratio => ("ratio", |x| x),
            };
            Warning::BoreNotTheTaper { number, taper: of(taper.si), section: of(section.si) }
        }
        Found::OutsideValidity { model } => Warning::OutsideValidity {
            model: match model {
                Submodel::FlameSpeed => "flame_speed",
                Submodel::Dilution => "dilution",
                Submodel::Friction => "friction",
            },
        },
    }
}
