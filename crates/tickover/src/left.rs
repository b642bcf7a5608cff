//! A machine's file as a job left it, and as it came in.

use jobbook::{Body, Book, BookError, Entry, JobRecord, JobState, Revision};

/// The entry with which the machine was handed over, if it is gone.
pub(crate) fn gone<'l>(job: &JobRecord, log: &'l [Entry]) -> Option<&'l Entry> {
    let is_gone = |e: &&Entry| matches!(&e.body, Body::Headline(h) if h.state == JobState::HandedOver);
    log.iter().rev().find(is_gone).filter(|_| job.headline.state == JobState::HandedOver)
}

/// The machine's file as the job left it (as it was when the machine was handed over, else as it is), and as it came in if that was
/// another one.
pub(crate) fn left_and_found(book: &Book, job: &JobRecord, log: &[Entry]) -> Result<(Revision, Option<Revision>), BookError> {
    // The newest first, and always one.
    let mut all = book.revisions(&job.machine)?;
    let left = gone(job, log).and_then(|gone| all.iter().position(|r| r.at <= gone.at)).unwrap_or(0);
    let found = job.headline.file_as_found.and_then(|n| all.iter().position(|r| r.number == n)).filter(|n| *n != left);
    let found = found.map(|n| all[n].clone());
    Ok((all.swap_remove(left), found))
}
