//! Charging, in short.

use super::told::{Concern, Skipped, State, Told, What};
use crate::{
    machine::Machine,
    study::electric::charge::{BreakEven, HotWinding, Warning, brief},
};

/// Cruising is this share of the top speed \[1\] (own choice).
const CRUISE: f64 = 0.5;

/// Current and volts at idle and cruise, where charging covers the loads, the winding's heat.
pub fn state(machine: &Machine) -> Result<State, Skipped> {
    let cruise = CRUISE * machine.engine.top_speed.si;
    let idle = machine.idle.as_ref().map(|i| i.speed.si);
    let speeds: Vec<f64> = idle.into_iter().chain([cruise]).collect();
    let found = brief(machine, &speeds).map_err(Skipped::Charge)?;
    let mut values = Vec::new();
    if let [at_idle, _] = &found.points[..] {
        values.push((What::AmpsIdle, Told::At(at_idle.battery)));
    }
    if let Some(at_cruise) = found.points.last() {
        values.extend([(What::AmpsCruise, Told::At(at_cruise.battery)), (What::VoltsCruise, Told::At(at_cruise.plus))]);
    }
    match found.break_even {
        BreakEven::At(speed) => values.push((What::BreakEven, Told::At(speed))),
        BreakEven::Never => values.push((What::BreakEven, Told::Never)),
        BreakEven::Always => values.push((What::BreakEven, Told::Always)),
        BreakEven::Unknown(_) => {}
    }
    if let HotWinding::At(kelvin) = found.hot {
        values.push((What::Winding, Told::At(kelvin)));
    }
    let mut concerns: Vec<Concern> = found
        .warnings
        .iter()
        .map(|w| match *w {
            Warning::Boils { volts, limit_v, .. } => Concern::Boils { volts, limit_v },
            Warning::WindingTooWarm { reaches, bears_k } => Concern::TooWarm { reaches, bears_k },
            Warning::WindingRunsAway => Concern::RunsAway,
        })
        .collect();
    if found.break_even == BreakEven::Never {
        concerns.push(Concern::NeverCovers);
    }
    Ok(State { values, concerns })
}
