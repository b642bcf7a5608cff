//! Readings that were looked at, kept in a job.

use super::Incoming;
use jobbook::{Book, BookError, ContentHash, Draft, JobRecord, Place, Stamp};
use sheets::words::{self, exchange as text};

/// The mark under which a file's readings are kept in a job, once.
pub fn mark(bytes: &[u8], job: &JobRecord) -> String {
    let hash = ContentHash::of(bytes);
    // Half of it tells any two files apart, and a number has room behind it.
    format!("csv-{}-{}", job.number, &hash.as_str()[..32])
}

/// Keeps them all or none. `false` if they were kept before under this mark, and nothing was written. Who took a reading stands
/// as its writer; where the file does not say, whoever takes it in.
///
/// # Errors
/// The book's.
pub fn keep(book: &mut Book, job: &JobRecord, incoming: &[Incoming], mark: &str, stamp: Stamp) -> Result<bool, BookError> {
    let first = format!("{mark}-0");
    if book.sent(&first)?.is_some() {
        return Ok(false);
    }
    let drafts: Vec<Draft> =
        incoming.iter().enumerate().map(|(n, row)| Draft::new(row.reading.clone()).token(format!("{mark}-{n}"))).collect();
    let by = |row: &'_ Incoming| if row.who.is_empty() { stamp.who.trim().to_owned() } else { row.who.clone() };
    let writers: Vec<String> = incoming.iter().map(by).collect();
    let each = writers.iter().zip(&drafts).map(|(who, draft)| (Stamp { who, at: stamp.at }, draft));
    book.append_each(Place::Job(job.id), each)?;
    Ok(true)
}

impl Incoming {
    /// In a line.
    pub fn words(&self) -> String {
        let said = words::page::entry(&self.reading.clone().into());
        text::reading_line(self.line, &said, &words::page::beside(&self.reading), &self.who)
    }
}
