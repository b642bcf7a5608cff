//! What can go wrong with a book.

use std::path::PathBuf;

/// Why the book did not do what was asked. The file is as it was before.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// A newer Tickover wrote this book; this one would not understand it.
    #[error("the book has version {found}, newest known is {known}")]
    Newer {
        /// Version in the file.
        found: u32,
        /// Newest version known here.
        known: u32,
    },
    /// The file is some other program's database.
    #[error("not a job book: {}", .path.display())]
    NotABook {
        /// The file.
        path: PathBuf,
    },
    /// The file is no database, or a damaged one.
    #[error("damaged, or no database at all: {}", .path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
    },
    /// The folder for the book, or the backup, could not be made.
    #[error("{}: {why}", .path.display())]
    Files {
        /// Which.
        path: PathBuf,
        /// What the system said.
        why: std::io::Error,
    },
    /// No machine of that slug.
    #[error("no machine {slug:?}")]
    UnknownMachine {
        /// The slug asked for.
        slug: String,
    },
    /// The machine has no revision of that number.
    #[error("no revision {number} of {slug:?}")]
    UnknownRevision {
        /// The machine.
        slug: String,
        /// The number asked for.
        number: u32,
    },
    /// A machine of that slug is there already.
    #[error("machine {slug:?} is in the book already")]
    SlugTaken {
        /// The slug.
        slug: String,
    },
    /// Slugs are made of `a-z`, `0-9` and single inner `-`, at most 80 letters.
    #[error("{slug:?} cannot be a slug")]
    BadSlug {
        /// The slug offered.
        slug: String,
    },
    /// Somebody saved the machine meanwhile; the edit was made on an older revision.
    #[error("{slug:?} stands at revision {newest}, the edit began at {began_at}")]
    EditedMeanwhile {
        /// The machine.
        slug: String,
        /// Newest revision.
        newest: u32,
        /// Revision the edit began at.
        began_at: u32,
    },
    /// The database refused for another reason (disk full, locked for longer than the busy time-out, …).
    #[error("database: {0}")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for BookError {
    fn from(e: rusqlite::Error) -> Self {
        BookError::Database(e)
    }
}
