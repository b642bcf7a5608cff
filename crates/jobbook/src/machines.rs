//! Machines and their revisions.

use crate::{Book, BookError, UnixSeconds, search};
use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior, params};

/// Longest slug; it is part of an address and of a file name.
const LONGEST_SLUG: usize = 80;

/// A machine's text to be kept.
#[derive(Clone, Copy, Debug)]
pub struct Kept<'a> {
    /// Name of the machine as this text has it.
    pub name: &'a str,
    /// The machine file.
    pub text: &'a str,
    /// What was changed, in a few words.
    pub note: &'a str,
    /// When.
    pub at: UnixSeconds,
}

/// A machine and its newest revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MachineRecord {
    /// Its place in addresses and file names.
    pub slug: String,
    /// Name as the newest revision has it.
    pub name: String,
    /// Newest revision.
    pub newest: Revision,
}

/// One kept text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    /// Counted from 1.
    pub number: u32,
    /// The machine file.
    pub text: String,
    /// What was changed.
    pub note: String,
    /// When.
    pub at: UnixSeconds,
}

const NEWEST: &str = "SELECT m.slug, m.name, r.number, r.text, r.note, r.kept_at FROM machine m
     JOIN revision r ON r.machine = m.id
     AND r.number = (SELECT max(number) FROM revision WHERE machine = m.id)";

impl Book {
    /// Every machine, in the order they were added.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn machines(&self) -> Result<Vec<MachineRecord>, BookError> {
        let mut query = self.db.prepare_cached(&format!("{NEWEST} ORDER BY m.id"))?;
        let rows = query.query_map([], record)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One machine.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::Database`].
    pub fn machine(&self, slug: &str) -> Result<MachineRecord, BookError> {
        let mut query = self.db.prepare_cached(&format!("{NEWEST} WHERE m.slug = ?1"))?;
        query.query_row([slug], record).optional()?.ok_or_else(|| unknown(slug))
    }

    /// Every revision of a machine, newest first.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::Database`].
    pub fn revisions(&self, slug: &str) -> Result<Vec<Revision>, BookError> {
        let mut query = self.db.prepare_cached(
            "SELECT number, text, note, kept_at FROM revision
             WHERE machine = (SELECT id FROM machine WHERE slug = ?1) ORDER BY number DESC",
        )?;
        let all: Vec<_> = query.query_map([slug], |row| revision(row, 0))?.collect::<Result<_, _>>()?;
        // A machine always has its first revision.
        if all.is_empty() { Err(unknown(slug)) } else { Ok(all) }
    }

    /// One revision.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::UnknownRevision`], [`BookError::Database`].
    pub fn revision(&self, slug: &str, number: u32) -> Result<Revision, BookError> {
        let mut query = self.db.prepare_cached(
            "SELECT number, text, note, kept_at FROM revision
             WHERE machine = (SELECT id FROM machine WHERE slug = ?1) AND number = ?2",
        )?;
        match query.query_row(rusqlite::params![slug, number], |row| revision(row, 0)).optional()? {
            Some(found) => Ok(found),
            None => self.machine(slug).and(Err(BookError::UnknownRevision { slug: slug.to_owned(), number })),
        }
    }

    /// Takes a new machine into the book.
    ///
    /// # Errors
    /// [`BookError::BadSlug`], [`BookError::SlugTaken`], [`BookError::Database`].
    pub fn add(&mut self, slug: &str, first: &Kept) -> Result<(), BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        add_to(&write, slug, first)?;
        write.commit()?;
        Ok(())
    }

    /// Keeps a changed text as the next revision and gives its number. `began_at` is the revision that the edit was
    /// made on: if a newer one is there by now, nothing is kept. The same text again makes no new revision.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::EditedMeanwhile`], [`BookError::Database`].
    pub fn save(&mut self, slug: &str, began_at: u32, next: &Kept) -> Result<u32, BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let id = id_of(&write, slug)?.ok_or_else(|| unknown(slug))?;
        let (newest, text): (u32, String) = write.query_row(
            "SELECT number, text FROM revision WHERE machine = ?1 ORDER BY number DESC LIMIT 1",
            [id],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?;
        if newest != began_at {
            return Err(BookError::EditedMeanwhile { slug: slug.to_owned(), newest, began_at });
        }
        if text == next.text {
            return Ok(newest);
        }
        write_revision(&write, id, newest + 1, next)?;
        if write.execute("UPDATE machine SET name = ?2 WHERE id = ?1 AND name <> ?2", params![id, next.name])? > 0 {
            search::index_machine(&write, id)?;
        }
        write.commit()?;
        Ok(newest + 1)
    }
}

/// A new machine, in a transaction of the caller's.
pub(crate) fn add_to(write: &Connection, slug: &str, first: &Kept) -> Result<i64, BookError> {
    if !is_slug(slug) {
        return Err(BookError::BadSlug { slug: slug.to_owned() });
    }
    if id_of(write, slug)?.is_some() {
        return Err(BookError::SlugTaken { slug: slug.to_owned() });
    }
    write.execute("INSERT INTO machine (slug, name, added_at) VALUES (?1, ?2, ?3)", params![slug, first.name, first.at.0])?;
    let id = write.last_insert_rowid();
    write_revision(write, id, 1, first)?;
    search::index_machine(write, id)?;
    Ok(id)
}

/// Lower-case letters and figures in groups joined by single hyphens.
fn is_slug(slug: &str) -> bool {
    let group = |g: &str| !g.is_empty() && g.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    slug.len() <= LONGEST_SLUG && slug.split('-').all(group)
}

fn unknown(slug: &str) -> BookError {
    BookError::UnknownMachine { slug: slug.to_owned() }
}

fn id_of(db: &Connection, slug: &str) -> rusqlite::Result<Option<i64>> {
    db.query_row("SELECT id FROM machine WHERE slug = ?1", [slug], |row| row.get(0)).optional()
}

fn write_revision(db: &Connection, machine: i64, number: u32, kept: &Kept) -> rusqlite::Result<usize> {
    db.execute(
        "INSERT INTO revision (machine, number, text, note, kept_at) VALUES (?1, ?2, ?3, ?4, ?5)",
        params![machine, number, kept.text, kept.note, kept.at.0],
    )
}

fn revision(row: &Row, from: usize) -> rusqlite::Result<Revision> {
    Ok(Revision {
        number: row.get(from)?,
        text: row.get(from + 1)?,
        note: row.get(from + 2)?,
        at: UnixSeconds(row.get(from + 3)?),
    })
}

fn record(row: &Row) -> rusqlite::Result<MachineRecord> {
    Ok(MachineRecord { slug: row.get(0)?, name: row.get(1)?, newest: revision(row, 2)? })
}
