//! A log as JSON, format 1: that of a job, of a machine, or of the workshop as a whole.

use super::when;
use jobbook::{Body, Entry, JobRecord};
use schemars::JsonSchema;
use serde::Serialize;

/// Version of this format. What is there stays there with its meaning; anything else makes it another version.
pub const FORMAT: u32 = 1;

/// A log, and whose it is. Times written as text are UTC (RFC 3339), times written as numbers count seconds since
/// 1970-01-01 00:00 UTC. Other numbers are in SI; names ending in `_si`, `_k`, `_m`, `_rad`, `_rad_s` say so.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LogFile {
    /// What wrote it.
    pub tickover: Written,
    /// Number of the job; null for a machine or the workshop.
    pub job: Option<String>,
    /// The machine's place in addresses; null for the workshop.
    pub machine: Option<String>,
    /// Name of the machine as its newest file has it; null for the workshop.
    pub machine_name: Option<String>,
    /// When the job was opened; null for a machine or the workshop.
    pub opened_at: Option<String>,
    /// All that was ever written, in order. An entry whose number stands in a later one's `replaces` no longer stands.
    pub log: Vec<LogEntry>,
}

/// What wrote the file.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Version of this format.
    pub log: u32,
    /// Version of the program.
    pub version: String,
}

/// An entry.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LogEntry {
    /// Its number; later entries have greater ones.
    pub id: i64,
    /// What it says: `kind` and `body`.
    #[serde(flatten)]
    pub body: Body,
    /// Number of the entry that it took the place of.
    pub replaces: Option<i64>,
    /// Who wrote it; may be empty.
    pub who: String,
    /// When it was written.
    pub at: String,
}

impl LogFile {
    /// Of a job, of a machine without its jobs (`None` and its slug and name), or of the workshop.
    pub fn of(job: Option<&JobRecord>, machine: Option<(&str, &str)>, log: Vec<Entry>) -> Self {
        LogFile {
            tickover: Written { log: FORMAT, version: env!("CARGO_PKG_VERSION").to_owned() },
            job: job.map(|j| j.number.clone()),
            machine: machine.map(|(slug, _)| slug.to_owned()),
            machine_name: machine.map(|(_, name)| name.to_owned()),
            opened_at: job.map(|j| when::written(j.opened_at)),
            log: log.into_iter().map(LogEntry::of).collect(),
        }
    }

    /// As text.
    ///
    /// # Errors
    /// None that a log could give: every value of it was JSON before.
    pub fn to_text(&self) -> serde_json::Result<String> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

impl LogEntry {
    fn of(entry: Entry) -> Self {
        LogEntry {
            id: entry.id.0,
            body: entry.body,
            replaces: entry.replaces.map(|id| id.0),
            who: entry.who,
            at: when::written(entry.at),
        }
    }
}

/// JSON Schema (draft 2020-12) of the file. A test keeps `docs/log.schema.json` equal to it.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(LogFile).to_value()
}
