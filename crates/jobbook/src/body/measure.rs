//! Readings, and what they were taken with.

use crate::UnixSeconds;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// When in the job something was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Before anything was touched.
    AsFound,
    /// While work went on.
    During,
    /// When the machine was handed over.
    AsLeft,
}

/// In what condition something was measured: the same coil reads twice as much open as loaded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// Into its usual load.
    Loaded,
    /// Disconnected.
    Open,
    /// While kicking or on the starter.
    Kicking,
    /// Engine running.
    Running,
    /// Engine stopped.
    Still,
    /// Something else, in the mechanic's words.
    Other(String),
}

/// How a reading came into the book.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Measured on this machine in this job.
    #[default]
    Measured,
    /// The maker's figure.
    Maker,
    /// Somebody's estimate.
    Estimate,
    /// Taken from a file of readings.
    File,
    /// Worked out from a recording.
    Recording,
    /// Came with another mechanic's write-up.
    Shared,
}

/// One measured value. Without temperature, speed and instrument it is gossip, so each has its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// As found, during the work, as left.
    pub stage: Stage,
    /// Stable key of the quantity, for instance `pickup.resistance`.
    pub what: String,
    /// The quantity in words, as it was shown when the reading was taken.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Where: which cylinder, which winding. Empty where there is but one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// The value as typed, comma or point and all.
    pub typed: String,
    /// The value in SI.
    pub value_si: f64,
    /// 95 % half-width in SI; zero where none was given.
    pub plus_minus_si: f64,
    /// Unit in which it was typed.
    pub unit: String,
    /// What it was measured with; empty if not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub instrument: String,
    /// Temperature of the thing measured [K].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_k: Option<f64>,
    /// Speed of the crank [rad/s].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crank_rad_s: Option<f64>,
    /// Loaded, open, …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<Condition>,
    /// How it came into the book.
    #[serde(default)]
    pub origin: Origin,
    /// When it was taken, by the clock of the device; the entry itself says when it was kept.
    pub taken_at: UnixSeconds,
}

/// An instrument with the unit it shows and its ±, remembered for next time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Instrument {
    /// What the workshop calls it.
    pub name: String,
    /// Unit it shows.
    pub unit: String,
    /// Its ± as typed, such as "1 %" or "0.02".
    pub plus_minus: String,
    /// Quantity it was last used for; empty for any.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub what: String,
}
