//! Windings, charging, the ride, wires.

mod cautions;
mod charge;
pub mod defect;
mod likeness;
mod ride;
mod windings;
mod wires;

pub use cautions::*;
pub use charge::*;
pub use likeness::*;
pub use ride::*;
pub use windings::*;
pub use wires::*;

use crate::words::pm;
use workshop::{
    machine::limits,
    study::{
        Finding,
        electric::{NotSettled, NotTold},
    },
};

/// What is missing, and what to do.
pub fn not_told(why: NotTold) -> String {
    match why {
        NotTold::Missing(path) => match limits::field(path) {
            Some(field) => format!("Not told: {path} is not in the file ({}).", field.label),
            None => format!("Not told: the machine file has no [{path}]."),
        },
        NotTold::NoInductance => "Not told: without its inductance nobody can say what current an alternator gives. Read charging.inductance with a meter for inductance, or do the last step of the charging check: all leads joined, a clamp round one of them (charging.joined_amps).".to_owned(),
        NotTold::JoinedTooMuch => "Not told: with all leads joined more amps were read than the winding's resistance alone would let through. Check amps, speed, no-load volts and pole pairs.".to_owned(),
        NotTold::NotSolved(why) => format!("Not told: {}.", not_solved(why)),
        NotTold::Overloaded => "Not told: what is switched on takes more than battery and alternator can give at any volts. Check the currents of the loads and the battery's resistance.".to_owned(),
    }
}

/// Why a circuit was not solved, and what to do.
pub fn not_solved(why: NotSettled) -> &'static str {
    match why {
        NotSettled::NotACircuit(_) => "these readings make no circuit; check resistance, inductance and volts",
        NotSettled::BadSpeed => "there is no speed to work it out for; check pole pairs and turns",
        NotSettled::Chatter => "diodes switch without end in it; check resistance and inductance: a slip of a thousand does that",
        NotSettled::Wanders => {
            "the computed current does not come to rest; check resistance and inductance: a slip of a thousand does that"
        }
    }
}

/// No winding in the file.
pub const NO_WINDINGS: &str = "Not told: the machine file has no [[winding]].";
/// No wire in the file.
pub const NO_WIRES: &str = "Not told: the machine file has no [[wire]].";

/// `8.5 ± 0.4 A`.
pub fn amps(f: Finding) -> String {
    format!("{}\u{a0}A", pm(f.si, f.plus_minus_si, 1))
}

/// `13.4 ± 0.1 V`.
pub fn volts(f: Finding) -> String {
    format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 1))
}

/// `13.4 V`.
pub fn volts_alone(v: f64) -> String {
    volts(Finding { si: v, plus_minus_si: 0.0 })
}

/// `0.42 ± 0.03 Ω`, in kΩ from 10 000 Ω on.
pub fn ohms(f: Finding) -> String {
    let decimals = if f.si < 20.0 { 2 } else { 0 };
    if f.si < 1e4 {
        format!("{}\u{a0}Ω", pm(f.si, f.plus_minus_si, decimals))
    } else {
        format!("{}\u{a0}kΩ", pm(f.si * 1e-3, f.plus_minus_si * 1e-3, 1))
    }
}

/// `105 ± 12 W`.
pub fn watts(f: Finding) -> String {
    format!("{}\u{a0}W", pm(f.si, f.plus_minus_si, 0))
}

/// A share as per cent with its ±: `81 ± 13 %`.
pub fn share_pm(f: Finding) -> String {
    format!("{}\u{a0}%", pm(f.si * 100.0, f.plus_minus_si * 100.0, 0))
}
