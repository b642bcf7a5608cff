//! Opening a book: is it one, is it of a known version, and does it need bringing forward.

use crate::{BookError, VERSION, check, leftovers, schema};
use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};
use std::{
    fs,
    io::Read,
    path::{Path, PathBuf},
    time::Duration,
};

/// How long a writer waits for another one. A save takes milliseconds; only a backup of a big book takes longer.
pub(crate) const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// Books up to this size are looked through at every opening, which takes some 20 ms [bytes]. A bigger one would keep the
/// mechanic waiting: its header and length are looked at, SQLite sees to what it reads, and [`Book::check`] is for the
/// background.
const LOOKED_THROUGH_BYTES: u64 = 8 << 20;
/// Statements kept ready; about as many as there are.
const STATEMENTS: usize = 64;
/// Pages kept in memory, as `cache_size` wants it: minus KiB. 32 MiB hold the indexes of a big book.
const CACHE_KIB: i64 = -32 * 1024;

/// An open job book. It is one connection: threads that work at the same time each open their own on the same file.
#[derive(Debug)]
pub struct Book {
    pub(crate) db: Connection,
    pub(crate) path: Option<PathBuf>,
    left_open: bool,
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
        Ok(Self { db, path: None, left_open: false })
    }

    pub(crate) fn open_up_to(path: &Path, version: u32) -> Result<(Self, Opened), BookError> {
        let files = |why| BookError::of_file(path, why);
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            fs::create_dir_all(folder).map_err(files)?;
        }
        let left_open = log_beside(path);
        if is_cut_short(path) {
            return Err(BookError::Damaged { path: path.to_owned() });
        }
        let mut book = Self { db: connect(path)?, path: Some(path.to_owned()), left_open };
        let opened = book.settle(path, version).map_err(|e| damage(e, path))?;
        set_up(&book.db).map_err(|e| damage(e.into(), path))?;
        leftovers::sweep(path);
        Ok((book, opened))
    }

    /// Looks before it touches: nothing is written to a file that is not a book of a version known here.
    fn settle(&mut self, path: &Path, version: u32) -> Result<Opened, BookError> {
        let found = self::version(&self.db, path)?;
        if found > version {
            return Err(BookError::Newer { found, known: version });
        }
        let size = fs::metadata(path).map_or(0, |m| m.len());
        if size <= LOOKED_THROUGH_BYTES {
            let sound: String = self.db.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
            if sound != "ok" {
                return Err(BookError::Damaged { path: path.to_owned() });
            }
        }
        if found == version {
            return Ok(Opened::AsItWas);
        }
        let backup = if found == 0 { None } else { Some(self.back_up_beside(&format!("version-{found}"))?.0) };
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

    /// Looks at the book as it stands at one moment: what others write meanwhile is not seen. Only to read; a backup or a
    /// check has a moment of its own.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn at_one_moment<T>(&self, look: impl FnOnce(&Book) -> T) -> Result<T, BookError> {
        let moment = self.db.unchecked_transaction()?;
        // It begins with the first thing read.
        moment.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()))?;
        Ok(look(self))
    }

    /// The file; `None` for a book in memory.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// When it was opened, the book had saves that were not folded into it yet: another program has it open, or the last
    /// one did not end in order (power cut). Nothing is lost by that, but it is a good moment for [`Book::check`].
    pub fn was_left_open(&self) -> bool {
        self.left_open
    }

    /// The file can be read only; every write will be [`BookError::ReadOnly`].
    pub fn is_read_only(&self) -> bool {
        self.db.is_readonly("main").unwrap_or(false)
    }
}

/// A connection with nothing done to the file yet.
pub(crate) fn connect(path: &Path) -> rusqlite::Result<Connection> {
    // No URI flag: a path that happens to begin with "file:" is a path like any other.
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let db = Connection::open_with_flags(path, flags)?;
    db.busy_timeout(BUSY_TIMEOUT)?;
    Ok(db)
}

/// The book's version; 0 for an empty file.
pub(crate) fn version(db: &Connection, path: &Path) -> Result<u32, BookError> {
    // One transaction, so that all three belong to the same moment while another program makes the book.
    let look = db.unchecked_transaction()?;
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

/// A write-ahead log with something in it stands beside the book.
fn log_beside(path: &Path) -> bool {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    fs::metadata(log).is_ok_and(|m| m.len() > 0)
}

/// The file is shorter than its own header says. (SQLite, "Database file format", 1.3: page size at byte 16, number of
/// pages at byte 28, valid if the numbers at bytes 24 and 92 are the same.)
fn is_cut_short(path: &Path) -> bool {
    let mut header = [0; 100];
    let read = fs::File::open(path).and_then(|mut file| file.read_exact(&mut header).and_then(|()| file.metadata()));
    // Too short for a header, or no database: SQLite finds that out.
    let Ok(length) = read.map(|m| m.len()) else { return false };
    if !header.starts_with(b"SQLite format 3\0") || header[24..28] != header[92..96] {
        return false;
    }
    let page = match u64::from(u16::from_be_bytes([header[16], header[17]])) {
        1 => 1 << 16,
        size => size,
    };
    let pages = u64::from(u32::from_be_bytes([header[28], header[29], header[30], header[31]]));
    // Looked at last: while a log is being folded in, the header may be ahead of the length.
    length < page * pages && !log_beside(path)
}

/// Settings that belong to the connection rather than to the file, write-ahead logging apart.
pub(crate) fn set_up(db: &Connection) -> rusqlite::Result<()> {
    db.pragma_update(None, "journal_mode", "WAL")?;
    // With a write-ahead log NORMAL can lose the last save in a power cut but never the book.
    // FULL keeps the save too, and a save is rare: a mechanic types it.
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "cache_size", CACHE_KIB)?;
    db.set_prepared_statement_cache_capacity(STATEMENTS);
    db.pragma_update(None, "trusted_schema", false)
}

pub(crate) fn damage(e: BookError, path: &Path) -> BookError {
    match &e {
        BookError::Database(inner) if check::is_damage(inner) => BookError::Damaged { path: path.to_owned() },
        // The file is there, but its companions cannot be made beside it.
        BookError::Database(inner) if inner.sqlite_error_code() == Some(ErrorCode::CannotOpen) && path.is_file() => {
            BookError::ReadOnly
        }
        _ => e,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnixSeconds;

    #[test]
    fn an_older_book_is_copied_then_brought_forward() {
        let folder = tempfile::tempdir().unwrap();
        for version in 1..VERSION {
            let path = folder.path().join(format!("book-{version}.sqlite"));
            let (old, _) = Book::open_up_to(&path, version).unwrap();
            old.db
                .execute_batch(
                    "INSERT INTO machine VALUES (1, 'm', 'Tarn', 1); INSERT INTO revision VALUES (1, 1, 'one', '', 1);",
                )
                .unwrap();
            drop(old);

            let (mut book, opened) = Book::open(&path).unwrap();
            let Opened::BroughtForward { from, backup } = opened else { panic!("{opened:?}") };
            assert_eq!(from, version);
            book.keep_surface("k", b"new table", UnixSeconds(2)).unwrap();
            assert_eq!(book.machine("m").unwrap().newest.text, "one");
            assert_eq!(book.check().unwrap().machines, 1);
            if version < 3 {
                assert_eq!(book.search("tar", 5).unwrap().machines.len(), 1, "version {version}: old names can be looked for");
            }

            let (copy, opened) = Book::open_up_to(&backup, version).unwrap();
            assert_eq!(opened, Opened::AsItWas);
            assert_eq!(copy.machine("m").unwrap().newest.text, "one");
            assert!(copy.surface("k").map_or(true, |kept| kept.is_none()), "the copy is the old book");
        }
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
