//! Opening a book: is it one, is it of a known version, and does it need bringing forward.

use crate::{BookError, VERSION, schema};
use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior, backup::Backup};
use std::{
    path::{Path, PathBuf},
    time::Duration,
};

/// How long a writer waits for another one. A save takes milliseconds; only a backup of a big book takes longer.
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// Pages copied at a time while backing up.
const BACKUP_PAGES: std::ffi::c_int = 256;

/// An open job book.
#[derive(Debug)]
pub struct Book {
    pub(crate) db: Connection,
}

/// What opening did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Opened {
    /// The book was there, of today's version.
    AsItWas,
    /// There was none; an empty one was made.
    Fresh,
    /// An older one was brought forward.
    BroughtForward {
        /// Version it had.
        from: u32,
        /// The copy made before, in the older version.
        backup: PathBuf,
    },
}

impl Book {
    /// Opens the book at `path`, or makes an empty one there. An older book is copied to a file beside it, then
    /// brought forward; if that fails it stays as it was.
    ///
    /// # Errors
    /// [`BookError::Newer`], [`BookError::NotABook`], [`BookError::Damaged`], [`BookError::Files`],
    /// [`BookError::Database`]. The file is not changed by any of them.
    pub fn open(path: &Path) -> Result<(Self, Opened), BookError> {
        Self::open_up_to(path, VERSION)
    }

    /// A book that is gone when it is dropped.
    ///
    /// # Errors
    /// [`BookError::Database`] if there is no memory for it.
    pub fn in_memory() -> Result<Self, BookError> {
        let mut db = Connection::open_in_memory()?;
        let step = db.transaction()?;
        schema::bring_forward(&step, 0, VERSION)?;
        step.commit()?;
        set_up(&db)?;
        Ok(Self { db })
    }

    pub(crate) fn open_up_to(path: &Path, version: u32) -> Result<(Self, Opened), BookError> {
        let files = |why| BookError::Files { path: path.to_owned(), why };
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(files)?;
        }
        // No URI flag: a path that happens to begin with "file:" is a path like any other.
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let db = Connection::open_with_flags(path, flags)?;
        db.busy_timeout(BUSY_TIMEOUT)?;
        let mut book = Self { db };
        let opened = book.settle(path, version).map_err(|e| damage(e, path))?;
        set_up(&book.db).map_err(|e| damage(e.into(), path))?;
        Ok((book, opened))
    }

    /// Looks before it touches: nothing is written to a file that is not a book of a version known here.
    fn settle(&mut self, path: &Path, version: u32) -> Result<Opened, BookError> {
        let found = self.version(path)?;
        if found > version {
            return Err(BookError::Newer { found, known: version });
        }
        let sound: String = self.db.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
        if sound != "ok" {
            return Err(BookError::Damaged { path: path.to_owned() });
        }
        if found == version {
            return Ok(Opened::AsItWas);
        }
        let backup = if found == 0 { None } else { Some(self.back_up_beside(path, found)?) };
        let step = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Another program may have brought it forward while this one waited for the lock.
        let now: u32 = step.pragma_query_value(None, "user_version", |row| row.get(0))?;
        if now < version {
            schema::bring_forward(&step, now, version)?;
        }
        step.commit()?;
        Ok(match backup {
            Some(backup) => Opened::BroughtForward { from: found, backup },
            None => Opened::Fresh,
        })
    }

    /// The book's version; 0 for an empty file.
    fn version(&self, path: &Path) -> Result<u32, BookError> {
        // One transaction, so that all three belong to the same moment while another program makes the book.
        let look = self.db.unchecked_transaction()?;
        let number = |name| look.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        let tables: i64 = look.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        let (version, application) = (number("user_version")?, number("application_id")?);
        drop(look);
        let ours = application == i64::from(schema::APPLICATION_ID);
        let untouched = version == 0 && application == 0 && tables == 0;
        match u32::try_from(version) {
            Ok(version) if (ours && version > 0) || untouched => Ok(version),
            _ => Err(BookError::NotABook { path: path.to_owned() }),
        }
    }

    fn back_up_beside(&self, path: &Path, version: u32) -> Result<PathBuf, BookError> {
        let target = (0..)
            .map(|n| {
                let again = if n == 0 { String::new() } else { format!("-{n}") };
                let mut name = path.as_os_str().to_owned();
                name.push(format!(".version-{version}{again}.backup"));
                PathBuf::from(name)
            })
            .find(|candidate| !candidate.exists())
            .expect("the numbers do not run out");
        self.back_up(&target)?;
        Ok(target)
    }

    /// Copies the whole book, as it stands between two writes, to a new file.
    ///
    /// # Errors
    /// [`BookError::Files`] when `target` exists already, [`BookError::Database`] when the copy fails.
    pub fn back_up(&self, target: &Path) -> Result<(), BookError> {
        let files = |why| BookError::Files { path: target.to_owned(), why };
        // Taken by name first, so that no other file is ever written over.
        std::fs::File::create_new(target).map_err(files)?;
        let copy = || -> rusqlite::Result<()> {
            let mut copy = Connection::open(target)?;
            Backup::new(&self.db, &mut copy)?.run_to_completion(BACKUP_PAGES, Duration::ZERO, None)?;
            // A copy of a write-ahead book would leave two companion files beside it when it is looked at.
            copy.pragma_update(None, "journal_mode", "DELETE")
        };
        copy().inspect_err(|_| {
            let _ = std::fs::remove_file(target);
        })?;
        Ok(())
    }
}

/// Settings that belong to the connection rather than to the file, write-ahead logging apart.
fn set_up(db: &Connection) -> rusqlite::Result<()> {
    db.pragma_update(None, "journal_mode", "WAL")?;
    // With a write-ahead log NORMAL can lose the last save in a power cut but never the book.
    // FULL keeps the save too, and a save is rare: a mechanic types it.
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "trusted_schema", false)
}

fn damage(e: BookError, path: &Path) -> BookError {
    match &e {
        BookError::Database(inner)
            if matches!(inner.sqlite_error_code(), Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt)) =>
        {
            BookError::Damaged { path: path.to_owned() }
        }
        _ => e,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Kept, UnixSeconds};

    #[test]
    fn an_older_book_is_copied_then_brought_forward() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.sqlite");
        let (mut old, _) = Book::open_up_to(&path, 1).unwrap();
        old.add("m", &Kept { name: "M", text: "one", note: "", at: UnixSeconds(1) }).unwrap();
        drop(old);

        let (mut book, opened) = Book::open(&path).unwrap();
        let Opened::BroughtForward { from: 1, backup } = opened else { panic!("{opened:?}") };
        book.keep_surface("k", b"new table", UnixSeconds(2)).unwrap();
        assert_eq!(book.machine("m").unwrap().newest.text, "one");

        let (copy, opened) = Book::open_up_to(&backup, 1).unwrap();
        assert_eq!(opened, Opened::AsItWas);
        assert_eq!(copy.machine("m").unwrap().newest.text, "one");
        assert!(copy.surface("k").is_err(), "the copy has no such table yet");
    }

    #[test]
    fn a_backup_writes_over_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let taken = folder.path().join("taken");
        std::fs::write(&taken, "something else").unwrap();
        let book = Book::in_memory().unwrap();
        assert!(matches!(book.back_up(&taken), Err(BookError::Files { .. })));
        assert_eq!(std::fs::read_to_string(&taken).unwrap(), "something else");
    }
}
