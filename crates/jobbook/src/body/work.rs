//! What is done to the machine, with whose leave, and what it costs.

use crate::{EntryId, UnixSeconds};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Money: a whole number of the currency's smallest unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Price {
    /// Cents, pence, yen.
    pub minor: i64,
    /// Three letters of ISO 4217.
    pub currency: String,
}

/// How far a piece of work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Progress {
    /// To be done.
    Planned,
    /// Done.
    Done,
    /// Will not be done, or was stopped.
    GivenUp,
}

/// Work that changes the machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Alteration {
    /// Stable key of the kind of work, for instance `trim`.
    pub work: String,
    /// Planned, done, given up.
    pub progress: Progress,
    /// What, in words.
    pub words: String,
    /// How much along the rim or otherwise [m]. Not given where it has no such measure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// How much as an angle of the rotor [rad].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_rad: Option<f64>,
    /// It cannot be undone, so it wants consent.
    pub irreversible: bool,
    /// Readings taken after it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured_after: Vec<EntryId>,
}

/// The owner's leave for work that cannot be undone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Consent {
    /// The alteration, in the version that the owner was shown.
    pub alteration: EntryId,
    /// The one plain sentence of risk, as shown.
    pub risk: String,
    /// Who gave it.
    pub by: String,
    /// How: on paper, by telephone, on the page.
    pub how: String,
    /// When.
    pub given_at: UnixSeconds,
}

/// A part used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Part {
    /// What it is.
    pub name: String,
    /// How many, or how much [1].
    pub quantity: f64,
    /// Price of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Price>,
    /// Where it came from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
    /// When it was bought or fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<UnixSeconds>,
}

/// Time spent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Work {
    /// How long [min].
    pub minutes: u32,
    /// On what.
    pub words: String,
    /// Price of an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hourly: Option<Price>,
}
