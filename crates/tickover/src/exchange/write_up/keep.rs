//! A write-up that was looked at, kept as a new machine with one job.

use super::{Measured, Received};
use crate::exchange::{readings::condition, when};
use jobbook::{
    Alteration, Attachment, Book, BookError, Draft, Finding, Headline, JobRecord, Note, Origin, Parcel, Reading, Stamp,
};
use quantity::Dimension;
use sheets::words::exchange as text;
use workshop::job::named;

/// What became of a write-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// The job.
    pub job: JobRecord,
    /// It was in the book already, and nothing was written.
    pub again: bool,
}

/// The mark under which a write-up is kept, once.
fn token(received: &Received) -> String {
    format!("write-up-{}", received.file)
}

/// The job that a write-up became before.
///
/// # Errors
/// The book's.
pub fn kept_before(book: &Book, received: &Received) -> Result<Option<JobRecord>, BookError> {
    match book.sent(&token(received))?.and_then(|entry| entry.job) {
        Some(job) => book.job(job).map(Some),
        None => Ok(None),
    }
}

/// Keeps it: a new machine and a job that says where it came from, never merged with what is there. All or nothing.
///
/// # Errors
/// The book's.
pub fn keep(book: &mut Book, received: &Received, stamp: Stamp) -> Result<Kept, BookError> {
    let w = &received.write_up;
    let mut entries =
        vec![Draft::new(Note { words: text::came_from(received.file.as_str(), &w.tickover.version), about: String::new() })];
    entries.extend(w.readings.iter().filter_map(|r| reading(r, stamp)).map(Draft::new));
    entries.extend(w.findings.iter().map(|f| {
        Draft::new(Finding {
            study: f.study.clone(),
            file_revision: 1,
            inputs: String::new(),
            program: text::elsewhere(&f.program),
            result: f.result.clone(),
            words: std::iter::once(text::found_elsewhere(&f.program)).chain(f.words.iter().cloned()).collect(),
        })
    }));
    entries.extend(w.alterations.iter().map(|a| {
        Draft::new(Alteration {
            work: a.work.clone(),
            progress: a.progress,
            words: a.words.clone(),
            length_m: a.length_m,
            angle_rad: a.angle_rad,
            irreversible: a.is_for_good(),
            measured_after: Vec::new(),
        })
    }));
    entries.extend(w.notes.iter().map(|n| Draft::new(Note { words: n.words.clone(), about: n.about.clone() })));
    entries.extend(w.pictures.iter().enumerate().map(|(n, p)| {
        Draft::new(Attachment {
            file: text::picture_file(n + 1, &p.media),
            media: p.media.clone(),
            hash: p.hash.clone(),
            stage: p.stage,
            words: p.words.clone(),
            reading: None,
        })
    }));
    let slug = crate::bench::free_slug(&received.name, |slug| book.machine(slug).is_ok());
    let parcel = Parcel {
        slug: &slug,
        machine: jobbook::Kept { name: &received.name, text: &w.machine, note: text::FROM_ELSEWHERE, at: stamp.at },
        headline: Headline {
            complaint: w.complaint.clone(),
            file_as_found: Some(1),
            write_up: Some(received.file.clone()),
            ..Headline::default()
        },
        blobs: received.pictures.values().map(Vec::as_slice).collect(),
        entries,
        token: &token(received),
    };
    let (job, again) = book.take_in(&parcel, stamp)?;
    Ok(Kept { job: book.job(job)?, again })
}

/// A reading that was judged already; the time of its day is not known.
fn reading(r: &Measured, stamp: Stamp) -> Option<Reading> {
    let quantity = named(&r.what)?;
    let value = quantity::Reading::parse(&r.value, quantity.dimension).ok()?;
    let si = |text: &str, dimension| quantity::Reading::parse(text, dimension).ok().map(|read| read.si);
    Some(Reading {
        stage: r.stage,
        what: quantity.key.to_owned(),
        words: quantity.label.to_owned(),
        place: r.place.clone(),
        typed: r.value.clone(),
        value_si: value.si,
        plus_minus_si: value.plus_minus_si,
        unit: value.unit.symbol().to_owned(),
        instrument: r.instrument.clone(),
        temperature_k: si(&r.temperature, Dimension::Temperature),
        crank_rad_s: si(&r.speed, Dimension::Speed),
        condition: condition(&r.condition),
        origin: Origin::Shared,
        taken_at: when::read(&r.taken_on).unwrap_or(stamp.at),
    })
}
