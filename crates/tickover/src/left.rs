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
    let newest = book.machine(&job.machine)?.newest;
    // Most often nothing was changed since, and the older ones need not be read.
    let left = match gone(job, log) {
        Some(gone) if newest.at > gone.at => {
            book.revisions(&job.machine)?.into_iter().find(|r| r.at <= gone.at).unwrap_or(newest)
        }
        _ => newest,
    };
    let found = match job.headline.file_as_found.filter(|n| *n != left.number).map(|n| book.revision(&job.machine, n)) {
        // A job from elsewhere may name one that is not here.
        None | Some(Err(BookError::UnknownRevision { .. })) => None,
        Some(other) => Some(other?),
    };
    Ok((left, found))
}
