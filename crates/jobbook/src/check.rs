//! Is the book sound, and what is in it?

use crate::{Book, BookError, ContentHash, blobs::hex};
use rusqlite::{Connection, types::ValueRef};
use sha2::{Digest, Sha256};

/// What is in a book, and a digest of all of it that is never changed. Two books with the same tally have the same log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// Machines.
    pub machines: u64,
    /// Revisions of all of them.
    pub revisions: u64,
    /// Jobs.
    pub jobs: u64,
    /// Entries of the log.
    pub entries: u64,
    /// Pictures, recordings, papers.
    pub blobs: u64,
    /// SHA-256 over every row of these, blobs by their hash. A machine's name is left out: it may change.
    pub digest: String,
}

/// The tables that are only ever added to, so that their first rows stay their first rows; and what of each is digested.
const TABLES: [(&str, &str); 5] = [
    ("machine", "SELECT id, slug, added_at FROM machine ORDER BY rowid LIMIT ?1"),
    ("revision", "SELECT machine, number, text, note, kept_at FROM revision ORDER BY rowid LIMIT ?1"),
    ("job", "SELECT id, machine, number, opened_at FROM job ORDER BY rowid LIMIT ?1"),
    ("entry", "SELECT id, job, machine, kind, body, replaces, who, at, token, due FROM entry ORDER BY rowid LIMIT ?1"),
    ("blob", "SELECT hash, kept_at FROM blob ORDER BY rowid LIMIT ?1"),
];

impl Book {
    /// Reads the whole book: every page of the file, every reference, every blob's hash. Takes seconds for a big book,
    /// so it is no part of opening one; do it on a second [`Book`] on the same file while the first goes on working,
    /// after a start that followed a power cut ([`Book::was_left_open`]) and now and then.
    ///
    /// # Errors
    /// [`BookError::Damaged`], [`BookError::DamagedBlob`], [`BookError::Database`].
    pub fn check(&self) -> Result<Tally, BookError> {
        let look = self.db.unchecked_transaction()?;
        if !is_sound(&look)? {
            return Err(BookError::Damaged { path: self.path.clone().unwrap_or_default() });
        }
        blobs_are_sound(&look)?;
        tally(&look, None)
    }

    /// Counts and digests what is in the book.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn tally(&self) -> Result<Tally, BookError> {
        let look = self.db.unchecked_transaction()?;
        tally(&look, None)
    }
}

/// Structure, indexes and references.
pub(crate) fn is_sound(db: &Connection) -> Result<bool, BookError> {
    let said: rusqlite::Result<String> = db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0));
    let said = match said {
        Err(e) if is_damage(&e) => return Ok(false),
        other => other?,
    };
    let stray = db.prepare("PRAGMA foreign_key_check")?.exists([])?;
    Ok(said == "ok" && !stray)
}

/// The file itself is at fault.
pub(crate) fn is_damage(e: &rusqlite::Error) -> bool {
    use rusqlite::ErrorCode;
    matches!(e.sqlite_error_code(), Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt))
}

pub(crate) fn blobs_are_sound(db: &Connection) -> Result<(), BookError> {
    if !has(db, "blob")? {
        return Ok(());
    }
    let mut query = db.prepare("SELECT hash, bytes FROM blob")?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let hash: String = row.get(0)?;
        if ContentHash::of(row.get_ref(1)?.as_blob()?).as_str() != hash {
            let hash = ContentHash::parse(&hash).unwrap_or_else(|| ContentHash::of(hash.as_bytes()));
            return Err(BookError::DamagedBlob { hash });
        }
    }
    Ok(())
}

/// Of the whole book, or of as many first rows of each table as an earlier tally had.
pub(crate) fn tally(db: &Connection, first: Option<&Tally>) -> Result<Tally, BookError> {
    let limits = first.map(|t| [t.machines, t.revisions, t.jobs, t.entries, t.blobs]);
    let mut counts = [0u64; TABLES.len()];
    let mut digest = Sha256::new();
    for (n, (table, query)) in TABLES.iter().enumerate() {
        // An older book has fewer tables.
        if !has(db, table)? {
            continue;
        }
        let limit = limits.map_or(i64::MAX, |l| i64::try_from(l[n]).unwrap_or(i64::MAX));
        let mut query = db.prepare(query)?;
        let columns = query.column_count();
        let mut rows = query.query([limit])?;
        while let Some(row) = rows.next()? {
            counts[n] += 1;
            for column in 0..columns {
                // Kind and length go before the bytes, so that no two rows give the same stream.
                let mut add = |kind: u8, bytes: &[u8]| {
                    digest.update([kind]);
                    digest.update((bytes.len() as u64).to_le_bytes());
                    digest.update(bytes);
                };
                match row.get_ref(column)? {
                    ValueRef::Null => add(0, &[]),
                    ValueRef::Integer(i) => add(1, &i.to_le_bytes()),
                    ValueRef::Real(r) => add(2, &r.to_bits().to_le_bytes()),
                    ValueRef::Text(t) => add(3, t),
                    ValueRef::Blob(b) => add(4, b),
                }
            }
        }
        digest.update(counts[n].to_le_bytes());
    }
    let [machines, revisions, jobs, entries, blobs] = counts;
    Ok(Tally { machines, revisions, jobs, entries, blobs, digest: hex(&digest.finalize()) })
}

fn has(db: &Connection, table: &str) -> rusqlite::Result<bool> {
    db.prepare_cached("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?1")?.exists([table])
}
