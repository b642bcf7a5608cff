//! `tickover backup` and `tickover restore`.

use super::say;
use crate::{place, stop::Stop};
use anyhow::anyhow;
use indicatif::ProgressBar;
use jobbook::{Book, BookError, CopyStep};
use sheets::words;
use std::path::{Path, PathBuf};

/// Copies the book out and proves the copy.
///
/// # Errors
/// What is wrong with the book or the file.
pub fn backup(file: &Path, book: Option<&Path>) -> Result<(), Stop> {
    let path = existing(book)?;
    let (book, _) = Book::open(&path).map_err(said)?;
    let tally = shown(|step| book.back_up_with(file, step)).map_err(said)?;
    Ok(say(&words::backed_up(file, &tally))?)
}

/// Makes the book what the file is.
///
/// # Errors
/// What is wrong with the book or the file. The book is as it was then.
pub fn restore(file: &Path, book: Option<&Path>) -> Result<(), Stop> {
    let path = match book {
        Some(path) => path.to_owned(),
        None => place::default_book()?,
    };
    let (mut book, _) = Book::open(&path).map_err(said)?;
    let restored = shown(|step| book.restore_from(file, step)).map_err(said)?;
    Ok(say(&words::restored(&path, &restored))?)
}

/// A backup of a book that is not there would be one of nothing.
pub(super) fn existing(book: Option<&Path>) -> Result<PathBuf, Stop> {
    let path = match book {
        Some(path) => path.to_owned(),
        None => place::default_book()?,
    };
    if path.exists() { Ok(path) } else { Err(anyhow!(words::no_book(&path)).into()) }
}

pub(super) fn said(e: BookError) -> Stop {
    anyhow!(words::book_error(&e)).into()
}

/// With a bar on standard error, if that is a terminal.
fn shown<T>(work: impl FnOnce(&mut dyn FnMut(CopyStep)) -> T) -> T {
    let bar = ProgressBar::new(1);
    let done = work(&mut |step| match step {
        CopyStep::Copying { done, of } => {
            bar.set_length(of.into());
            bar.set_position(done.into());
        }
        CopyStep::Verifying => bar.set_message(words::VERIFYING),
    });
    bar.finish_and_clear();
    done
}
