//! What can go wrong with a book.

use crate::{ContentHash, Entry, EntryId};
use std::path::{Path, PathBuf};

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
    /// No job of that number.
    #[error("no job {job:?}")]
    UnknownJob {
        /// As asked for.
        job: String,
    },
    /// No such entry, or not in that place.
    #[error("no entry {}", .entry.0)]
    UnknownEntry {
        /// As asked for.
        entry: EntryId,
    },
    /// The entry was replaced by somebody else meanwhile. Nothing was written.
    #[error("entry {} was replaced, entry {} is there now", .wanted.0, .now.id.0)]
    Replaced {
        /// The entry that was to be replaced.
        wanted: EntryId,
        /// What is there now.
        now: Box<Entry>,
    },
    /// A reading can be replaced by a reading only, and so on.
    #[error("entry {} is a {is:?}", .entry.0)]
    OtherKind {
        /// The entry that was to be replaced.
        entry: EntryId,
        /// Its kind.
        is: String,
    },
    /// A job has one headline from the beginning. It can be replaced, but not taken back, and there is no second one.
    #[error("a job has one headline")]
    OneHeadline,
    /// The token came before, with something else.
    #[error("token {token:?} was used for entry {}", .there.id.0)]
    TokenReused {
        /// The token.
        token: String,
        /// What came with it the first time.
        there: Box<Entry>,
    },
    /// Something in an entry cannot be kept as it is.
    #[error("{field} of {kind} cannot be kept")]
    Unfit {
        /// Kind of the entry.
        kind: String,
        /// Which field; `length` if the whole is too long, `body` if it would not read back the same.
        field: &'static str,
    },
    /// No bytes of that hash.
    #[error("no blob {hash}")]
    UnknownBlob {
        /// As asked for.
        hash: ContentHash,
    },
    /// The bytes no longer have the hash under which they were kept.
    #[error("blob {hash} is damaged")]
    DamagedBlob {
        /// The hash.
        hash: ContentHash,
    },
    /// More bytes than the book takes at once.
    #[error("a blob of {bytes} bytes, {most} are the most")]
    BlobTooBig {
        /// As offered.
        bytes: usize,
        /// The limit.
        most: usize,
    },
    /// The copy is not what was copied: the disk does not keep what it is given. The copy was removed.
    #[error("the copy differs: {}", .path.display())]
    CopyDiffers {
        /// Where it was to be.
        path: PathBuf,
    },
    /// The book is in memory only; it has no file to put a backup beside.
    #[error("the book has no file")]
    NoFile,
    /// No room on the disk. Nothing was written; when there is room, the book goes on.
    #[error("disk full")]
    DiskFull,
    /// The file, its folder or the disk cannot be written to.
    #[error("read-only")]
    ReadOnly,
    /// Another program was writing for longer than the book waits.
    #[error("busy")]
    Busy,
    /// The database refused for another reason.
    #[error("database: {0}")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for BookError {
    fn from(e: rusqlite::Error) -> Self {
        use rusqlite::{ErrorCode, ffi};
        match e.sqlite_error() {
            // The index of the write-ahead log could not grow: no room either.
            Some(inner) if inner.extended_code == ffi::SQLITE_IOERR_SHMSIZE => BookError::DiskFull,
            Some(inner) => match inner.code {
                ErrorCode::DiskFull => BookError::DiskFull,
                ErrorCode::ReadOnly => BookError::ReadOnly,
                ErrorCode::DatabaseBusy => BookError::Busy,
                _ => BookError::Database(e),
            },
            None => BookError::Database(e),
        }
    }
}

impl From<rusqlite::types::FromSqlError> for BookError {
    fn from(e: rusqlite::types::FromSqlError) -> Self {
        BookError::Database(e.into())
    }
}

impl BookError {
    /// What the system said about a file.
    pub(crate) fn of_file(path: &Path, why: std::io::Error) -> Self {
        use std::io::ErrorKind;
        match why.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => BookError::DiskFull,
            ErrorKind::ReadOnlyFilesystem => BookError::ReadOnly,
            _ => BookError::Files { path: path.to_owned(), why },
        }
    }
}
