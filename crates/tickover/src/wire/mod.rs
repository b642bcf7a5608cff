//! The answers as JSON. This is format 1; a field that is there stays there with its meaning, new ones may be added,
//! and anything else makes it format 2.
//!
//! Units are in the names: `_rpm`, `_deg` (crank degrees; advance counts before top dead centre), `_mm`, `_mm2`,
//! `_kpa`, `_nm`, `_j`, `_g_mm`, `_kg`, `_kg_m2`, `_mpa`, `_t`, `_s`, `_a`, `_v`, `_ohm`, `_w`, `_k` (a difference), `_c` (°C), `_km_h`, `_km`, `_share` (0 to 1). A measured or computed number with a ± is
//! `{"value": …, "plus_minus": …}`, the half-width within which it lies with about 95 % confidence. What could not be
//! computed is `null`, never left out.

mod alike;
mod beside;
mod calibration;
mod chance;
mod curve;
pub mod electric;
pub mod fault;
mod fitting;
mod holds;
mod idle;
mod load;
pub mod part;
mod recorded;
mod recording;
mod rotor;
mod run;
mod spark;
mod trim;
mod warning;
mod windings;
mod wires;

use serde::Serialize;
use workshop::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        rotor::{Held, RotorStudy, held::HeldStudy},
    },
};

pub use alike::Alike;
pub use beside::BesideAnswer;
pub use chance::Sensitivity;
pub use curve::Curve;
pub use electric::Charge;
pub use fault::Fault;
pub use holds::Holds;
pub use idle::{Chance, Idle, Rest, verdict_code};
pub use load::Load;
pub use recording::RecordingAnswer;
pub use rotor::Rotor;
pub use run::Run;
pub use spark::{Spark, spark};
pub use trim::Trim;
pub use warning::Warning;
pub use windings::Windings;
pub use wires::Wires;

/// Format of the answers.
pub const FORMAT: u32 = 1;

/// Head of every answer.
#[derive(Debug, Serialize)]
pub struct Head {
    format: u32,
    version: &'static str,
}

/// A whole answer; studies that were not asked for are left out.
#[derive(Debug, Serialize)]
pub struct Answer {
    tickover: Head,
    /// Name of the machine.
    machine: String,
    /// What must be said about the reading of the file.
    warnings: Vec<Warning>,
    /// Where the spark comes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curve: Option<Part<Curve>>,
    /// Whether it idles.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub idle: Option<Part<Idle>>,
    /// What explains the hang.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alike: Option<Part<Alike>>,
    /// What advance does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<Part<Load>>,
    /// What a cut does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trim: Option<Part<Trim>>,
    /// The rotor in the hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rotor: Option<Part<Rotor>>,
    /// The spark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spark: Option<Part<Spark>>,
    /// Windings that were measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub windings: Option<Part<Windings>>,
    /// Charging and the ride.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub charge: Option<Part<Charge>>,
    /// Wires.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wires: Option<Part<Wires>>,
    /// Complaints that can be chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub complaints: Option<Vec<fault::Choice>>,
    /// Where the search for a fault stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fault: Option<Fault>,
    /// Parts that may stand in for another.
    #[serde(rename = "match", skip_serializing_if = "Option::is_none")]
    pub matched: Option<part::Matched>,
    /// Parts that only work together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sets: Option<part::Sets>,
}

impl Answer {
    /// An answer without any study yet.
    pub fn about(machine: &str, warnings: &[workshop::study::warning::Warning]) -> Self {
        Self {
            tickover: Head { format: FORMAT, version: env!("CARGO_PKG_VERSION") },
            machine: machine.to_owned(),
            warnings: warning::all(warnings),
            curve: None,
            idle: None,
            alike: None,
            load: None,
            trim: None,
            rotor: None,
            spark: None,
            windings: None,
            charge: None,
            wires: None,
            complaints: None,
            fault: None,
            matched: None,
            sets: None,
        }
    }

    /// The text to print or send.
    ///
    /// # Panics
    /// Never: these structs have only string keys.
    pub fn to_text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("string keys and plain values");
        text.push('\n');
        text
    }
}

/// A study, or why it does not cover the machine.
#[derive(Debug, Serialize)]
#[serde(untagged)]
pub enum Part<T> {
    /// What was found.
    Found(T),
    /// Why nothing was.
    Not {
        /// See [`reason`].
        not_studied: &'static str,
    },
}

/// The rotor, or what is missing for it.
pub fn rotor(machine: &Machine, found: &Result<RotorStudy, Held>, holds: Option<&HeldStudy>) -> Part<Rotor> {
    match found {
        Ok(found) => Part::Found(Rotor::of(machine, found, holds)),
        Err(why) => Part::Not { not_studied: rotor::held(*why) },
    }
}

impl<T> Part<T> {
    /// From a study's result.
    pub fn of<S>(study: Result<&S, NotStudied>, wire: impl FnOnce(&S) -> T) -> Self {
        match study {
            Ok(found) => Part::Found(wire(found)),
            Err(why) => Part::Not { not_studied: reason(why) },
        }
    }
}

/// The code of a reason.
pub fn reason(why: NotStudied) -> &'static str {
    match why {
        NotStudied::TwoStroke => "two_stroke",
        NotStudied::NoBreathing => "no_valves_or_inlet",
        NotStudied::NoSegment => "no_segment",
        NotStudied::LawWithoutSegment => "law_without_segment",
        NotStudied::NoIdleSeen => "no_idle_seen",
        NotStudied::NoHangSeen => "no_hang_seen",
        NotStudied::NoCurve => "no_curve",
        NotStudied::IdleNotReproduced => "idle_not_reproduced",
        NotStudied::NotComputable => "not_computable",
        NotStudied::Stopped => "stopped",
        NotStudied::Impossible => "impossible",
    }
}

/// A number with its ±, in the unit of the field's name.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Number {
    value: f64,
    plus_minus: f64,
}

/// Something read beside what is computed.
#[derive(Debug, Serialize)]
struct Check {
    read: Number,
    computed: Number,
    agrees: bool,
}

impl Check {
    fn of(check: workshop::study::Check) -> Self {
        let si = |f: Finding| number(f, |x| x);
        Self { read: si(check.read), computed: si(check.computed), agrees: check.agrees() }
    }
}

/// A finding in another unit.
fn number(f: Finding, from_si: fn(f64) -> f64) -> Number {
    Number { value: from_si(f.si), plus_minus: from_si(f.plus_minus_si) }
}

/// rad/s to turns per minute.
pub fn rpm(rad_s: f64) -> f64 {
    rad_s * 60.0 / std::f64::consts::TAU
}

/// rad to degrees.
pub fn deg(rad: f64) -> f64 {
    rad.to_degrees()
}

/// m to mm.
pub fn mm(m: f64) -> f64 {
    m * 1e3
}

/// m² to mm².
pub fn mm2(m2: f64) -> f64 {
    m2 * 1e6
}

/// Pa to kPa.
pub fn kpa(pa: f64) -> f64 {
    pa * 1e-3
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_a_number_is_null() {
        let text = serde_json::to_string(&number(Finding { si: f64::NAN, plus_minus_si: 0.0 }, deg)).unwrap();
        assert_eq!(text, r#"{"value":null,"plus_minus":0.0}"#);
    }

    #[test]
    fn units_turn_over_as_defined() {
        // SI Brochure, 9th edition, table 8: 1° = π/180 rad; a turn a second is 60 rpm and 2π rad/s.
        assert_eq!(deg(std::f64::consts::PI), 180.0);
        /// Two roundings.
        const ROUNDING: f64 = 1e-15;
        assert!((rpm(std::f64::consts::TAU) / 60.0 - 1.0).abs() < ROUNDING);
        assert_eq!((mm(0.25), mm2(0.25), kpa(250.0)), (250.0, 250_000.0, 0.25));
    }
}
