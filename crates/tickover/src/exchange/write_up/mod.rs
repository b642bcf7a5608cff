//! The shared write-up: a job as another mechanic may see it, in one file.
//!
//! It is an HTML page that any browser opens without a network, and it carries the same as JSON, so that Tickover can take it
//! in. There is no place in it for owner, contact, plate, frame number, writers, leave, devices or the job's number; and in
//! all text that people wrote these are looked for and taken out.

mod clean;
mod cleaner;
mod fault;
mod fold;
mod gather;
mod html;
mod keep;
pub mod picture;
mod read;
mod told;
mod toml_text;

pub use clean::{Secret, TakenOut};
pub use fault::{Fault, PictureFault};
pub use gather::{Choice, Gathered, LeftOut, NotWritten, Wanted, gather};
pub use html::{Shown, body, page};
pub use keep::{Kept, keep, kept_before};
pub use read::{MOST_BYTES, Received, is_one, read};

use jobbook::{ContentHash, Progress, Stage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use workshop::job::TRIM;

/// Version of the format. Anything that is not understood in its fields makes another version.
pub const FORMAT: u32 = 1;

/// A job as another mechanic may see it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WriteUp {
    /// What wrote it.
    pub tickover: Written,
    /// The machine file, TOML.
    pub machine: String,
    /// The complaint, word for word.
    pub complaint: String,
    /// Readings of all stages, in the order in which they were taken.
    pub readings: Vec<Measured>,
    /// What studies gave.
    pub findings: Vec<Finding>,
    /// What was planned, done, given up.
    pub alterations: Vec<Alteration>,
    /// Notes.
    pub notes: Vec<Note>,
    /// Pictures. Their bytes stand in the page, under the hash.
    pub pictures: Vec<Picture>,
}

/// What wrote the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Version of this format.
    pub write_up: u32,
    /// Version of the program.
    pub version: String,
}

/// A measured value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// As found, during the work, as left.
    pub stage: Stage,
    /// Key of the quantity.
    pub what: String,
    /// Cylinder, winding, side; may be empty.
    pub place: String,
    /// Value with ± and unit.
    pub value: String,
    /// What it was measured with; may be empty.
    pub instrument: String,
    /// Temperature of the thing measured, with its unit; may be empty.
    pub temperature: String,
    /// Speed of the crank, with its unit; may be empty.
    pub speed: String,
    /// Loaded, open, kicking, running, still, or in words; may be empty.
    pub condition: String,
    /// Day on which it was taken.
    pub taken_on: String,
}

/// What a study gave.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// Name of the study.
    pub study: String,
    /// Version of the program that made it.
    pub program: String,
    /// What was said of it, sentence by sentence.
    pub words: Vec<String>,
    /// The result in the program's JSON.
    pub result: serde_json::Value,
}

/// Work that changes the machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alteration {
    /// Key of the kind of work; may be empty.
    pub work: String,
    /// Planned, done, given up.
    pub progress: Progress,
    /// What, in words.
    pub words: String,
    /// How much along the rim or otherwise [m].
    pub length_m: Option<f64>,
    /// How much as an angle of the rotor [rad].
    pub angle_rad: Option<f64>,
    /// It cannot be undone.
    pub irreversible: bool,
}

impl Alteration {
    /// It cannot be undone, whatever the file says of it: metal that was cut off does not grow again.
    pub fn is_for_good(&self) -> bool {
        self.irreversible || self.work == TRIM
    }
}

/// A note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// What it says.
    pub words: String,
    /// What it is about; may be empty.
    pub about: String,
}

/// A picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// SHA-256 of its bytes.
    pub hash: ContentHash,
    /// `image/jpeg` or `image/png`.
    pub media: String,
    /// As found, during the work, as left.
    pub stage: Stage,
    /// What it shows; may be empty.
    pub words: String,
}

/// JSON Schema (draft 2020-12) of the data in the page. A test keeps `docs/write-up.schema.json` equal to it.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(WriteUp).to_value()
}
