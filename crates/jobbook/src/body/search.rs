//! The search for a fault, step by step.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What was done in a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Did {
    /// The search began.
    Begun,
    /// A test came out positive.
    Positive,
    /// A test passed.
    Passed,
    /// A test told nothing.
    CannotTell,
    /// A cause was put right, and the complaint was not tried yet, for it is barred.
    Untried,
    /// A cause was put right, and the complaint stays.
    PutRight,
    /// This was it, and the complaint is gone.
    Found,
}

/// A step of a search. A later one never changes it; an answer that was wrong is taken back as any other entry is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SearchStep {
    /// The complaint, by its name in the fault data.
    pub complaint: String,
    /// What was done.
    pub did: Did,
    /// The test or the cause, by its name in the fault data; empty where the search begins.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub what: String,
    /// The step in words, as it was shown.
    pub words: String,
}
