//! The job book and the server that shows it.

use jobbook::{BookError, Restored, Tally};
use std::path::Path;

/// What is wrong with the book, and what to do.
pub fn book_error(e: &BookError) -> String {
    match e {
        BookError::Newer { found, known } => format!(
            "This job book was written by a newer Tickover (version {found}; this one knows {known}). It was not touched. Install the newer Tickover, or choose another book with --book."
        ),
        BookError::NotABook { path } => {
            format!("{} is not a job book. It was not touched. Choose another file with --book.", path.display())
        }
        BookError::Damaged { path } => format!(
            "{} is damaged, or no database at all. It was not touched. Put a backup in its place, or choose another book with --book.",
            path.display()
        ),
        BookError::Files { path, why } => format!("{}: {why}", path.display()),
        BookError::UnknownMachine { slug } => format!("There is no machine “{slug}” in this job book."),
        BookError::UnknownRevision { slug, number } => format!("“{slug}” has no revision {number}."),
        BookError::SlugTaken { slug } => format!("There is a machine “{slug}” in the book already."),
        BookError::BadSlug { slug } => format!("“{slug}” cannot be part of an address."),
        BookError::EditedMeanwhile { newest, began_at, .. } => format!(
            "Somebody kept other readings meanwhile (revision {newest}; yours began at {began_at}). Yours were not kept. Open the card again and enter them once more."
        ),
        BookError::UnknownJob { job } => format!("There is no job {job} in this job book."),
        BookError::UnknownEntry { entry } => format!("There is no entry {} here.", entry.0),
        BookError::Replaced { now, .. } => format!(
            "Somebody changed this meanwhile ({}). What you entered was not kept. Look at what is there now, and enter yours again if it is still right.",
            if now.who.is_empty() { "no name given" } else { &now.who }
        ),
        BookError::OtherKind { is, .. } => format!("That entry is a {is}; only another {is} can take its place."),
        BookError::OneHeadline => "A job has one complaint. It can be changed, but not taken away.".to_owned(),
        BookError::TokenReused { .. } => {
            "The device sent something else under a mark that it had used before. It was not kept. Load the page again and enter it once more."
                .to_owned()
        }
        BookError::Unfit { kind, field } => format!("This {kind} cannot be kept: look at its {field}."),
        BookError::UnknownBlob { .. } => "There is no such file in the job book.".to_owned(),
        BookError::DamagedBlob { hash } => {
            format!("A file kept in the job book is damaged ({hash}). Fetch it from a backup.")
        }
        BookError::BlobTooBig { bytes, most } => {
            format!("The file has {} MB; {} MB are the most.", bytes / 1_000_000, most / 1_000_000)
        }
        BookError::CopyDiffers { path } => format!(
            "{} is not what was written to it. The disk cannot be trusted. Use another one.",
            path.display()
        ),
        BookError::NoFile => "This job book is in memory only.".to_owned(),
        BookError::DiskFull => "The disk is full. This was not kept, all that was kept before is safe. Make room, then enter it again.".to_owned(),
        BookError::ReadOnly => {
            "The job book cannot be written to: the file, its folder or the disk is read-only. What was kept before is safe.".to_owned()
        }
        BookError::Busy => "Another program is busy with the job book. This was not kept. Try again.".to_owned(),
        BookError::Database(why) => format!("The job book could not be used: {why}."),
    }
}

/// An older book was brought forward.
pub fn brought_forward(backup: &Path) -> String {
    format!("The job book was brought up to date. A copy of the old one is {}", backup.display())
}

/// A book that cannot keep what was computed.
pub fn not_kept(book: &Path, why: &str) -> String {
    format!("Nothing computed is found or kept in {}, so this takes its full time. {why}", book.display())
}

/// No book to keep it in.
pub fn nowhere_to_keep(why: &str) -> String {
    format!("Nothing computed is found or kept: {why}")
}

/// While a copy is read again.
pub const VERIFYING: &str = "reading the copy again";

/// What a backup has.
pub fn backed_up(file: &Path, tally: &Tally) -> String {
    format!("{}: {}. It was read again and is the same as the book.", file.display(), has(tally))
}

/// What a restore did.
pub fn restored(book: &Path, restored: &Restored) -> String {
    format!("{} has {} now. The book as it was is {}", book.display(), has(&restored.now), restored.before.display())
}

fn has(tally: &Tally) -> String {
    let many = |n: u64, one: &str, more: &str| if n == 1 { format!("one {one}") } else { format!("{n} {more}") };
    format!(
        "{}, {}, {}, {}",
        many(tally.machines, "machine", "machines"),
        many(tally.jobs, "job", "jobs"),
        many(tally.entries, "entry", "entries"),
        many(tally.blobs, "attachment", "attachments")
    )
}

/// There is no book to copy.
pub fn no_book(path: &Path) -> String {
    format!("There is no job book {}. Name one with --book.", path.display())
}

/// Under the address.
pub fn serving(book: &Path, lan: bool) -> String {
    let who = if lan {
        "This computer and devices that are let in can open the page."
    } else {
        "Only this computer can open the page."
    };
    format!("Job book: {}\n{who} Ctrl-C stops it.", book.display())
}

/// The code for a device of the network.
pub fn lan_code(code: &str, reached: bool) -> String {
    if !reached {
        return "No network address was found, so no other device can reach this computer now.".to_owned();
    }
    let (a, b) = code.split_at(code.len() / 2);
    format!(
        "One phone or tablet can come in with the code {a} {b} within ten minutes; more codes are on the page under “Other devices”. What goes over the network is not encrypted: use one that only the workshop uses."
    )
}
