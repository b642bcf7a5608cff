//! An entry of the log, and how one is written.

use crate::{Body, BookError, UnixSeconds};
use rusqlite::{Connection, OptionalExtension, Row};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An entry's place in the log: later entries have greater numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct EntryId(pub i64);

/// A job inside the book. On paper and in addresses a job has its number, such as `2026-0014`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct JobId(pub i64);

/// What an entry belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place<'a> {
    /// The workshop as a whole: instruments, shelves of parts and their photos.
    Workshop,
    /// A machine, by its slug, whatever the job.
    Machine(&'a str),
    /// A job, and with it the job's machine.
    Job(JobId),
}

/// Who writes, and when.
#[derive(Clone, Copy, Debug)]
pub struct Stamp<'a> {
    /// Name or initials; may be empty.
    pub who: &'a str,
    /// By the caller's clock.
    pub at: UnixSeconds,
}

/// An entry to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// What it says.
    pub body: Body,
    /// The entry that it takes the place of. If that has been replaced meanwhile, nothing is written.
    pub replaces: Option<EntryId>,
    /// The device's own mark for this entry, never used for another. Sent twice, it is kept once.
    pub token: Option<String>,
}

impl Draft {
    /// A new entry.
    pub fn new(body: impl Into<Body>) -> Self {
        Draft { body: body.into(), replaces: None, token: None }
    }

    /// Takes the place of another.
    #[must_use]
    pub fn replacing(self, entry: EntryId) -> Self {
        Draft { replaces: Some(entry), ..self }
    }

    /// Is kept once, however often it is sent.
    #[must_use]
    pub fn token(self, token: impl Into<String>) -> Self {
        Draft { token: Some(token.into()), ..self }
    }
}

/// A written entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its place in the log.
    pub id: EntryId,
    /// The job that it belongs to, if any.
    pub job: Option<JobId>,
    /// Slug of the machine that it belongs to, if any.
    pub machine: Option<String>,
    /// What it says.
    pub body: Body,
    /// The entry that it took the place of.
    pub replaces: Option<EntryId>,
    /// Who wrote it.
    pub who: String,
    /// When, by the clock of the program that kept it.
    pub at: UnixSeconds,
}

/// Columns of an entry in the order that [`read`] wants them; `e` is the entry, `m` its machine.
pub(crate) const COLUMNS: &str = "e.id, e.job, m.slug, e.kind, e.body, e.replaces, e.who, e.at";
/// Where they come from.
pub(crate) const FROM: &str = "entry e LEFT JOIN machine m ON m.id = e.machine";

pub(crate) fn read(row: &Row) -> rusqlite::Result<Entry> {
    let (kind, body) = (row.get_ref(3)?.as_str()?, row.get_ref(4)?.as_str()?);
    Ok(Entry {
        id: EntryId(row.get(0)?),
        job: row.get::<_, Option<i64>>(1)?.map(JobId),
        machine: row.get(2)?,
        body: Body::read(kind, body),
        replaces: row.get::<_, Option<i64>>(5)?.map(EntryId),
        who: row.get(6)?,
        at: UnixSeconds(row.get(7)?),
    })
}

pub(crate) fn by_id(db: &Connection, id: EntryId) -> Result<Entry, BookError> {
    let mut query = db.prepare_cached(&format!("SELECT {COLUMNS} FROM {FROM} WHERE e.id = ?1"))?;
    query.query_row([id.0], read).optional()?.ok_or(BookError::UnknownEntry { entry: id })
}

/// The entry that replaces another.
pub(crate) fn next(db: &Connection, id: EntryId) -> Result<Option<Entry>, BookError> {
    let mut query = db.prepare_cached(&format!("SELECT {COLUMNS} FROM {FROM} WHERE e.replaces = ?1"))?;
    Ok(query.query_row([id.0], read).optional()?)
}

/// The last of the entries that took each other's place, from this one on.
pub(crate) fn newest(db: &Connection, from: Entry) -> Result<Entry, BookError> {
    let mut at = from;
    while let Some(later) = next(db, at.id)? {
        at = later;
    }
    Ok(at)
}
