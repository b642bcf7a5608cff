//! The job itself, whose machine it is, and what is pinned to the card.

use crate::{ContentHash, EntryId, Price, Stage, UnixSeconds};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a job stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum JobState {
    /// Being worked on.
    #[default]
    Open,
    /// Waiting for a part, for permission, for the owner.
    Waiting,
    /// Done and gone.
    HandedOver,
}

impl JobState {
    /// Every state.
    pub const ALL: [JobState; 3] = [JobState::Open, JobState::Waiting, JobState::HandedOver];

    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            JobState::Open => "open",
            JobState::Waiting => "waiting",
            JobState::HandedOver => "handed_over",
        }
    }
}

/// What a job is. Each job has exactly one, which is replaced as the job goes on and never taken back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Headline {
    /// The owner's complaint, word for word.
    pub complaint: String,
    /// Distance run as the odometer has it, as typed with its unit; empty if not read.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub odometer: String,
    /// What the owner allows to be spent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spend: Option<Price>,
    /// What the owner allows to be cut or changed for good, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub may_cut: String,
    /// Revision of the machine file as the machine came in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file_as_found: Option<u32>,
    /// How the job stands.
    #[serde(default)]
    pub state: JobState,
    /// Hash of the write-up that the job came in with, if it was worked in another workshop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub write_up: Option<ContentHash>,
}

/// Whose machine it is. All that must not travel in a shared write-up is here, and nothing else is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Custody {
    /// The owner's name.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub owner: String,
    /// Telephone, address, as the owner gave it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub contact: String,
    /// Number plate.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plate: String,
    /// Frame number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub frame: String,
}

/// Words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Note {
    /// What it says.
    pub words: String,
    /// The fold of the card it stands in, or what it is about; empty for the job as a whole.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub about: String,
}

/// A picture, a recording, a paper. Its bytes are in the book under their hash.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Attachment {
    /// Name of the file as it came. Never used as a path.
    pub file: String,
    /// Media type, as found by looking at the content.
    pub media: String,
    /// Hash of the bytes.
    pub hash: ContentHash,
    /// As found, during the work, as left.
    pub stage: Stage,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// The reading that it belongs to, if it belongs to one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<EntryId>,
}

/// What a study gave, with all that is needed to have it again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// Name of the study.
    pub study: String,
    /// Revision of the machine file that it read.
    pub file_revision: u32,
    /// Hash of all inputs.
    pub inputs: String,
    /// Version of the program.
    pub program: String,
    /// The result in the program's JSON.
    pub result: serde_json::Value,
    /// What was said of it, sentence by sentence as it was shown; the verdict first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<String>,
}

/// Something due later: glue to look at, a nut to torque again, a gap to check.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reminder {
    /// What.
    pub what: String,
    /// From when on.
    pub due: UnixSeconds,
    /// When it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub done: Option<UnixSeconds>,
}
