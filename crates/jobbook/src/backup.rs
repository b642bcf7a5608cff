//! Copies of the whole book, out and in, while it is in use.

use crate::{
    Book, BookError, Tally, VERSION, book, check,
    leftovers::{self, INCOMING, PARTIAL},
    schema,
};
use rusqlite::{
    Connection, OpenFlags, TransactionBehavior,
    backup::{Backup, StepResult},
};
use std::{
    ffi::OsStr,
    fs,
    path::{Path, PathBuf},
    time::Duration,
};

/// Pages copied at a time, 4 MiB: some hundred steps for a big book, so that progress moves and costs nothing.
const PAGES: std::ffi::c_int = 1024;

/// How often, and how far apart, a restore tries to have the book for itself: 10 s or more in all.
const LOCK_TRIES: u32 = 20_000;
const LOCK_PAUSE: Duration = Duration::from_micros(500);

/// How far a copy is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CopyStep {
    /// So many pages of the file are copied.
    Copying {
        /// Done so far.
        done: u32,
        /// Of so many.
        of: u32,
    },
    /// All are; the copy is read again and compared.
    Verifying,
}

/// What a restore did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Restored {
    /// The book as it was before.
    pub before: PathBuf,
    /// Version of the book that was restored from; it was brought forward.
    pub from_version: u32,
    /// What the book has now.
    pub now: Tally,
}

impl Book {
    /// Copies the whole book as it stands at this moment to a new file. See [`Book::back_up_with`].
    ///
    /// # Errors
    /// As [`Book::back_up_with`].
    pub fn back_up(&self, target: &Path) -> Result<Tally, BookError> {
        self.back_up_with(target, &mut |_| {})
    }

    /// Copies the whole book as it stands at this moment to a new file, and tells how far it is. Others may write
    /// meanwhile; to go on writing yourself, do this on a second [`Book`] on the same file. The copy has its name only
    /// when it was read again, its structure checked, its blobs hashed and its whole log found the same.
    ///
    /// # Errors
    /// [`BookError::Files`] when `target` exists already or cannot be made, [`BookError::DiskFull`],
    /// [`BookError::CopyDiffers`], [`BookError::DamagedBlob`], [`BookError::Database`]. No file is left then.
    pub fn back_up_with(&self, target: &Path, progress: &mut dyn FnMut(CopyStep)) -> Result<Tally, BookError> {
        copy_out(&self.db, target, progress)
    }

    /// Makes the book what the book in `file` is, while it stays open here and for others. The file is only read: a
    /// copy of it is checked and, if it is older, brought forward. The book as it is goes to a backup beside it first,
    /// and nobody can write between that and the change. The change itself is one transaction. The devices that are let
    /// in stay those of today: an old book lets nobody in again, and a book from elsewhere nobody new.
    ///
    /// # Errors
    /// [`BookError::Newer`], [`BookError::NotABook`], [`BookError::Damaged`], [`BookError::DamagedBlob`] for `file`;
    /// [`BookError::NoFile`], [`BookError::Busy`], [`BookError::DiskFull`], [`BookError::ReadOnly`], [`BookError::Files`].
    /// The book is as it was then. [`BookError::CopyDiffers`] if the book is not what it should be afterwards: the disk
    /// is at fault, and the backup has what was there.
    pub fn restore_from(&mut self, file: &Path, progress: &mut dyn FnMut(CopyStep)) -> Result<Restored, BookError> {
        let path = self.path.clone().ok_or(BookError::NoFile)?;
        let work = with(&path, format!(".{}.{INCOMING}", std::process::id()));
        let _remove = Remove(&work);
        let (incoming, from_version) = take_in(file, &work)?;
        let wanted = check::tally(&incoming, None)?;

        let before = free_name(&path, ".before-restore");
        self.db.busy_timeout(Duration::ZERO)?;
        let changed = change(&incoming, &mut self.db, progress, || {
            // The state that is still there for those who read.
            let old = book::connect(&path)?;
            // Now, for until the lock was taken one might still be let in or forgotten.
            keep_devices(&old, &incoming)?;
            copy_out(&old, &before, &mut |_| {}).map(|_| ())
        });
        self.db.busy_timeout(book::BUSY_TIMEOUT)?;
        changed?;
        book::set_up(&self.db)?;

        progress(CopyStep::Verifying);
        let look = self.db.unchecked_transaction()?;
        // Others may have added to it by now.
        let now = check::tally(&look, Some(&wanted))?;
        if now != wanted || !check::is_sound(&look)? {
            return Err(BookError::CopyDiffers { path });
        }
        Ok(Restored { before, from_version, now })
    }

    /// Copies the book to a new file beside it, named after it and `about`, and gives which. See [`Book::back_up_with`].
    ///
    /// # Errors
    /// As [`Book::back_up_with`]; [`BookError::NoFile`].
    pub fn back_up_beside(&self, about: &str) -> Result<(PathBuf, Tally), BookError> {
        let target = free_name(self.path.as_deref().ok_or(BookError::NoFile)?, &format!(".{about}"));
        let tally = self.back_up(&target)?;
        Ok((target, tally))
    }
}

/// A working copy of a book that was handed in, checked and of today's version; and the version that it had.
fn take_in(file: &Path, work: &Path) -> Result<(Connection, u32), BookError> {
    let of_file = |e: BookError| book::damage(e, file);
    fs::metadata(file).map_err(|why| BookError::of_file(file, why))?;
    let source = Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(|e| of_file(e.into()))?;
    let found = book::version(&source, file).map_err(of_file)?;
    match found {
        0 => return Err(BookError::NotABook { path: file.to_owned() }),
        newer if newer > VERSION => return Err(BookError::Newer { found, known: VERSION }),
        _ => {}
    }
    let _ = fs::remove_file(work);
    let mut copy = Connection::open(work)?;
    copy.pragma_update(None, "synchronous", "OFF")?;
    run(&Backup::new(&source, &mut copy)?, &mut |_| {}).map_err(of_file)?;
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    copy.pragma_update(None, "trusted_schema", false)?;
    if !check::is_sound(&copy)? {
        return Err(BookError::Damaged { path: file.to_owned() });
    }
    if found < VERSION {
        let forward = copy.transaction_with_behavior(TransactionBehavior::Immediate)?;
        schema::bring_forward(&forward, found, VERSION)?;
        forward.commit()?;
    }
    if !schema::is_ours(&copy)? {
        return Err(BookError::NotABook { path: file.to_owned() });
    }
    check::blobs_are_sound(&copy)?;
    Ok((copy, found))
}

/// Makes `to` what `from` is, in one transaction. Between taking the lock and the change, `before` is done: nobody else
/// writes meanwhile, and those who read see the old book.
fn change(
    from: &Connection,
    to: &mut Connection,
    progress: &mut dyn FnMut(CopyStep),
    before: impl FnOnce() -> Result<(), BookError>,
) -> Result<(), BookError> {
    let change = Backup::new(from, to)?;
    // The first page takes the lock. SQLite's own waiting grows longer each time, and would never come to its turn beside
    // somebody who writes without a pause.
    let mut tries = LOCK_TRIES;
    loop {
        match step(&change, 1) {
            Err(BookError::Busy) if tries > 0 => tries -= 1,
            other => break other.map(|_| ())?,
        }
        std::thread::sleep(LOCK_PAUSE);
    }
    before()?;
    run(&change, progress)
}

/// Gives a book that was handed in the devices of the present one.
fn keep_devices(present: &Connection, incoming: &Connection) -> Result<(), BookError> {
    let change = incoming.unchecked_transaction()?;
    change.execute("DELETE FROM device", [])?;
    let mut query = present.prepare("SELECT id, name, digest, since FROM device")?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let device: (i64, String, String, i64) = (row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?);
        change.execute("INSERT INTO device (id, name, digest, since) VALUES (?1, ?2, ?3, ?4)", device)?;
    }
    change.commit()?;
    Ok(())
}

/// Copies what `from` sees at this moment to a new file, and verifies it.
fn copy_out(from: &Connection, target: &Path, progress: &mut dyn FnMut(CopyStep)) -> Result<Tally, BookError> {
    let files = |why| BookError::of_file(target, why);
    if target.exists() {
        return Err(files(std::io::ErrorKind::AlreadyExists.into()));
    }
    leftovers::sweep(target);
    let partial = with(target, format!(".{}.{PARTIAL}", std::process::id()));
    let _remove = Remove(&partial);
    fs::File::create(&partial).map_err(|why| BookError::of_file(&partial, why))?;

    // One reading transaction for copy and tally: both see the same moment, and a copy that is read from one moment
    // need not begin anew whenever somebody else writes.
    let look = from.unchecked_transaction()?;
    let wanted = check::tally(&look, None)?;
    let mut copy = Connection::open(&partial)?;
    // It is made sure of once, at the end.
    copy.pragma_update(None, "synchronous", "OFF")?;
    run(&Backup::new(from, &mut copy)?, progress)?;
    drop(look);
    // A copy of a write-ahead book would leave two companion files beside it when it is looked at.
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    copy.close().map_err(|(_, e)| e)?;
    fs::OpenOptions::new().write(true).open(&partial).and_then(|f| f.sync_all()).map_err(files)?;

    progress(CopyStep::Verifying);
    let copy = Connection::open_with_flags(&partial, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let differs = || BookError::CopyDiffers { path: target.to_owned() };
    if !check::is_sound(&copy)? || check::tally(&copy, None)? != wanted {
        return Err(differs());
    }
    check::blobs_are_sound(&copy)?;
    drop(copy);

    // Taken by name first, so that no other file is ever written over.
    fs::File::create_new(target).map_err(files)?;
    fs::rename(&partial, target).map_err(files)?;
    sync_folder(target).map_err(files)?;
    Ok(wanted)
}

fn run(backup: &Backup, progress: &mut dyn FnMut(CopyStep)) -> Result<(), BookError> {
    loop {
        let done = step(backup, PAGES)?;
        let now = backup.progress();
        let count = |pages: std::ffi::c_int| u32::try_from(pages).unwrap_or(0);
        progress(CopyStep::Copying { done: count(now.pagecount - now.remaining), of: count(now.pagecount) });
        if done {
            return Ok(());
        }
    }
}

/// Copies some pages; whether all are.
fn step(backup: &Backup, pages: std::ffi::c_int) -> Result<bool, BookError> {
    match backup.step(pages)? {
        StepResult::Done => Ok(true),
        StepResult::More => Ok(false),
        // The connection's own waiting is over by now.
        _ => Err(BookError::Busy),
    }
}

/// The name of a file is safe on the disk only when its folder is.
fn sync_folder(file: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::File::open(folder)?.sync_all()?;
    }
    #[cfg(not(unix))]
    let _ = file;
    Ok(())
}

fn with(path: &Path, ending: impl AsRef<OsStr>) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// `book.sqlite` and an ending, with a number if there is such a file.
fn free_name(path: &Path, ending: &str) -> PathBuf {
    let name = |n: u32| if n == 0 { format!("{ending}.backup") } else { format!("{ending}-{n}.backup") };
    (0..).map(|n| with(path, name(n))).find(|candidate| !candidate.exists()).expect("the numbers do not run out")
}

/// A working file, gone at the end whatever happens.
struct Remove<'a>(&'a Path);

impl Drop for Remove<'_> {
    fn drop(&mut self) {
        for ending in ["", "-journal", "-wal", "-shm"] {
            let _ = fs::remove_file(with(self.0, ending));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_older_book_is_brought_forward_on_its_way_in() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.sqlite");
        for version in 1..VERSION {
            let file = folder.path().join(format!("old-{version}"));
            let (old, _) = Book::open_up_to(&file, version).unwrap();
            old.db
                .execute_batch(
                    "INSERT INTO machine VALUES (1, 'm', 'Tarn', 1); INSERT INTO revision VALUES (1, 1, 'one', '', 1);",
                )
                .unwrap();
            let handed_in = folder.path().join(format!("copy-{version}"));
            old.back_up(&handed_in).unwrap();
            let bytes = fs::read(&handed_in).unwrap();

            let (mut book, _) = Book::open(&path).unwrap();
            let restored = book.restore_from(&handed_in, &mut |_| {}).unwrap();
            assert_eq!((restored.from_version, restored.now.machines), (version, 1));
            assert_eq!(book.machine("m").unwrap().newest.text, "one");
            book.check().unwrap();
            assert_eq!(fs::read(&handed_in).unwrap(), bytes, "the file is only read");
        }
    }
}
