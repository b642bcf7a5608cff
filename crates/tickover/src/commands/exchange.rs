//! `tickover export`, `readings`, `write-up` and `take-in`.

use super::{
    book::{existing, said},
    columns, matching, say,
};
use crate::{
    cli::{ShelfOut, TakeIn, WriteUp},
    exchange::{
        self, everything,
        readings::{self, Of},
        shelf_file,
        write_up::{self, NotWritten, Wanted},
    },
    shelf::now,
    stop::Stop,
};
use anyhow::{Context, anyhow};
use jobbook::{Book, EntryId, Stamp};
use sheets::words::{self, exchange as text, part::share};
use std::{fs::File, io::Read, path::Path};
use workshop::study::part::base;

pub(super) fn open(book: Option<&Path>) -> Result<Book, Stop> {
    Ok(Book::open(&existing(book)?).map_err(said)?.0)
}

/// Writes the whole book out.
///
/// # Errors
/// What is wrong with the book or the file.
pub fn export(file: &Path, book: Option<&Path>) -> Result<(), Stop> {
    let done = everything::export(&open(book)?, file, now())?;
    Ok(say(&text::exported(file, done.machines, done.jobs, done.readings, done.attachments))?)
}

/// Writes readings out.
///
/// # Errors
/// What is wrong with the book or the file.
pub fn readings(file: &Path, job: Option<&str>, machine: Option<&str>, book: Option<&Path>) -> Result<(), Stop> {
    let of = match (job, machine) {
        (Some(job), _) => Of::Job(job.to_owned()),
        (None, Some(machine)) => Of::Machine(machine.to_owned()),
        (None, None) => Of::Book,
    };
    let (bytes, rows) = readings::csv(&open(book)?, &of).map_err(told)?;
    exchange::new_file::make_of(file, &bytes)?;
    Ok(say(&text::readings_out(file, rows))?)
}

/// The book's errors in words.
fn told(e: anyhow::Error) -> Stop {
    match e.downcast::<jobbook::BookError>() {
        Ok(e) => said(e),
        Err(e) => e.into(),
    }
}

/// Writes a job out for other mechanics, and shows what was taken out of it.
///
/// # Errors
/// What is wrong with the book, the job or the file.
pub fn write_up(asked: &WriteUp) -> Result<(), Stop> {
    let book = open(asked.book.as_deref())?;
    let wanted = Wanted {
        notes: asked.note.iter().map(|n| EntryId(*n)).collect(),
        pictures: asked.picture.iter().map(|n| EntryId(*n)).collect(),
        also: asked.also.clone(),
    };
    let gathered = write_up::gather(&book, &asked.job, &wanted).map_err(|e| match e {
        NotWritten::Machine(_) => {
            let _ = say(&e.words().join("\n"));
            Stop::Defects
        }
        _ => anyhow!(e.words().join("\n")).into(),
    })?;
    let known: Vec<EntryId> = gathered.notes.iter().chain(&gathered.attachments).map(|c| c.entry).collect();
    if let Some(stray) = wanted.notes.iter().chain(&wanted.pictures).find(|id| !known.contains(id)) {
        return Err(anyhow!(text::no_such_entry(stray.0)).into());
    }
    say(&gathered.told().join("\n"))?;
    if let Some(file) = &asked.file {
        let page = gathered.file().map_err(|e| anyhow!(e.words().join("\n")))?;
        exchange::new_file::make_of(file, page.as_bytes())?;
        say(&text::written(file))?;
    }
    Ok(())
}

/// Judges and shows a file from elsewhere, and keeps it if asked to.
///
/// # Errors
/// [`Stop::Defects`] after they were printed; what is wrong with the book.
pub fn take_in(asked: &TakeIn) -> Result<(), Stop> {
    let bytes = bytes_of(&asked.file)?;
    if shelf_file::is_one(&bytes) {
        return take_in_shelf(asked, &bytes);
    }
    if write_up::is_one(&bytes) {
        if asked.job.is_some() {
            return Err(anyhow!(text::NO_JOB_FOR_WRITE_UP).into());
        }
        return take_in_write_up(asked, &bytes);
    }
    let incoming = readings::read(&bytes, now()).map_err(|defects| refused(defects.iter().map(readings::Defect::words)))?;
    say(&text::readings_there(incoming.len()))?;
    for row in &incoming {
        say(&row.words())?;
    }
    let Some(job) = &asked.job else { return Err(anyhow!(text::WHICH_JOB).into()) };
    let mut book = open(asked.book.as_deref())?;
    let job = book.job_by_number(job).map_err(said)?;
    if !asked.keep {
        return Ok(say(text::NOTHING_KEPT)?);
    }
    let stamp = Stamp { who: &asked.who, at: now() };
    let kept = readings::keep(&mut book, &job, &incoming, &readings::mark(&bytes, &job), stamp).map_err(said)?;
    let words = if kept { text::readings_kept(&job.number, incoming.len()) } else { text::readings_kept_before(&job.number) };
    Ok(say(&words)?)
}

fn take_in_write_up(asked: &TakeIn, bytes: &[u8]) -> Result<(), Stop> {
    let received = write_up::read(bytes).map_err(|faults| refused(faults.iter().map(write_up::Fault::words)))?;
    say(&received.words())?;
    if !asked.keep {
        return Ok(say(text::NOTHING_KEPT)?);
    }
    let mut book = open(asked.book.as_deref())?;
    let kept = write_up::keep(&mut book, &received, Stamp { who: &asked.who, at: now() }).map_err(said)?;
    let job = &kept.job;
    let words = match kept.again {
        true => text::write_up_kept_before(&job.number),
        false => text::write_up_kept(&job.number, &job.machine_name),
    };
    Ok(say(&words)?)
}

fn take_in_shelf(asked: &TakeIn, bytes: &[u8]) -> Result<(), Stop> {
    if asked.job.is_some() {
        return Err(anyhow!(share::NO_JOB).into());
    }
    let own = asked.kinds.as_deref().map(|path| matching::of_own(path, columns(None))).transpose()?;
    let kinds = own.as_ref().map_or_else(|| base(), |(kinds, _)| kinds);
    let received = shelf_file::read(kinds, bytes).map_err(|why| refused(why.into_iter()))?;
    // To be looked at it needs no book.
    let mut book = if asked.keep { Some(open(asked.book.as_deref())?) } else { open(asked.book.as_deref()).ok() };
    for line in received.words(book.as_ref()).map_err(said)? {
        say(&line)?;
    }
    let Some(book) = book.as_mut().filter(|_| asked.keep) else { return Ok(say(text::NOTHING_KEPT)?) };
    shelf_file::keep(book, &received.files, Stamp { who: &asked.who, at: now() }).map_err(said)?;
    Ok(say(&share::kept(&received.name))?)
}

/// Writes a shelf of the book out, with its photos.
///
/// # Errors
/// What is wrong with the book, the shelf or the file.
pub fn shelf(asked: &ShelfOut) -> Result<(), Stop> {
    let own = asked.kinds.as_deref().map(|path| matching::of_own(path, columns(None))).transpose()?;
    let kinds = own.as_ref().map_or_else(|| base(), |(kinds, _)| kinds);
    let (parts, photos) = shelf_file::export(&open(asked.book.as_deref())?, kinds, &asked.name, &asked.file, now())?;
    Ok(say(&share::written(&asked.file, parts, photos))?)
}

fn refused(said: impl Iterator<Item = String>) -> Stop {
    let mut all: Vec<String> = said.collect();
    all.push(text::NOTHING_KEPT_DEFECTS.to_owned());
    match say(&all.join("\n")) {
        Ok(()) => Stop::Defects,
        Err(e) => e.into(),
    }
}

/// A file's bytes, and no more of them than any of ours can have.
fn bytes_of(file: &Path) -> Result<Vec<u8>, Stop> {
    let cannot = || words::cannot_read(&file.display().to_string());
    let mut bytes = Vec::new();
    let mut from = File::open(file).with_context(cannot)?;
    (&mut from).take(write_up::MOST_BYTES as u64 + 1).read_to_end(&mut bytes).with_context(cannot)?;
    if shelf_file::is_one(&bytes) {
        from.take(shelf_file::MOST_BYTES).read_to_end(&mut bytes).with_context(cannot)?;
    }
    Ok(bytes)
}
