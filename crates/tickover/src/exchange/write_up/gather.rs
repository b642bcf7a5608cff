//! A job, cleaned for others.

use super::{
    Alteration, FORMAT, Fault, Finding, Note, Picture, TakenOut, WriteUp, Written,
    clean::{Secret, Secrets},
    cleaner::Cleaner,
    picture::{self, Unfit},
};
use crate::left::left_and_found;
use jobbook::{Body, Book, BookError, ContentHash, Entry, EntryId, JobRecord, Place, Present};
use sheets::words::exchange as text;
use std::collections::{BTreeMap, BTreeSet};
use workshop::machine::{self, Defect};

/// What the mechanic wants in the write-up, and out of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Notes to go in.
    pub notes: BTreeSet<EntryId>,
    /// Pictures to go in.
    pub pictures: BTreeSet<EntryId>,
    /// Further words to take out.
    pub also: Vec<String>,
}

/// Why there is no write-up.
#[derive(Debug)]
pub enum NotWritten {
    /// The book's.
    Book(BookError),
    /// The machine file has defects.
    Machine(Vec<Defect>),
    /// The machine file cannot be read without what must be taken out.
    NeedsIt,
    /// Something was found again after it was taken out, at this place.
    StillThere(String),
    /// It would be refused where it is taken in: too large, a sign that is not to be seen, a measure beyond reason.
    Refused(Vec<Fault>),
}

impl From<BookError> for NotWritten {
    fn from(e: BookError) -> Self {
        NotWritten::Book(e)
    }
}

/// What is not in the write-up, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LeftOut {
    /// A reading of a quantity or in a unit that is not known.
    Reading {
        /// What it says.
        typed: String,
    },
    /// A picture that cannot be taken apart.
    Picture {
        /// Name of its file.
        file: String,
        /// Why.
        why: Unfit,
    },
}

/// Something that goes in only if it is ticked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Its entry.
    pub entry: EntryId,
    /// What it says, as it stands in the job.
    pub words: String,
    /// It goes in.
    pub ticked: bool,
}

/// A write-up and how it came about.
#[derive(Debug)]
pub struct Gathered {
    /// The job.
    pub job: JobRecord,
    /// What will be written.
    pub write_up: WriteUp,
    /// Bytes of its pictures.
    pub pictures: BTreeMap<ContentHash, Vec<u8>>,
    /// The entry that each picture stands in.
    pub entries: BTreeMap<ContentHash, EntryId>,
    /// What was taken out, and where.
    pub taken: Vec<TakenOut>,
    /// What was left out, and why.
    pub left_out: Vec<LeftOut>,
    /// Every note of the job.
    pub notes: Vec<Choice>,
    /// Every attachment of the job.
    pub attachments: Vec<Choice>,
}

/// Makes a write-up of a job.
///
/// # Errors
/// [`NotWritten`].
pub fn gather(book: &Book, number: &str, wanted: &Wanted) -> Result<Gathered, NotWritten> {
    book.at_one_moment(|book| gathered(book, number, wanted))?
}

fn gathered(book: &Book, number: &str, wanted: &Wanted) -> Result<Gathered, NotWritten> {
    let job = book.job_by_number(number)?;
    let log = book.log(Place::Job(job.id))?;
    let present = Present::of(log.iter().cloned());
    let mut cleaner = Cleaner { secrets: secrets(book, &job, &log, wanted)?, taken: Vec::new() };
    let mut left_out = Vec::new();
    let (mut pictures, mut entries) = (BTreeMap::new(), BTreeMap::new());

    let file = left_and_found(book, &job, &log)?.0.text;
    machine::read(&file).map_err(NotWritten::Machine)?;
    let machine = cleaner.machine(&file);

    let mut readings = Vec::new();
    for (_, reading) in present.readings() {
        match cleaner.reading(readings.len() + 1, reading) {
            Some(measured) => readings.push(measured),
            None => left_out.push(LeftOut::Reading { typed: reading.typed.clone() }),
        }
    }
    let mut shown = Vec::new();
    for (standing, attachment) in present.attachments().filter(|(s, _)| wanted.pictures.contains(&s.entry.id)) {
        match picture::bare(&book.blob(&attachment.hash)?) {
            // The same picture twice is one.
            Ok((_, bytes)) if pictures.contains_key(&ContentHash::of(&bytes)) => {}
            Ok((kind, bytes)) => {
                let hash = ContentHash::of(&bytes);
                entries.insert(hash.clone(), standing.entry.id);
                let words = cleaner.text(&text::place_picture(shown.len() + 1), &attachment.words);
                shown.push(Picture { hash: hash.clone(), media: kind.media().to_owned(), stage: attachment.stage, words });
                pictures.insert(hash, bytes);
            }
            Err(why) => left_out.push(LeftOut::Picture { file: attachment.file.clone(), why }),
        }
    }
    let write_up = WriteUp {
        tickover: Written { write_up: FORMAT, version: env!("CARGO_PKG_VERSION").to_owned() },
        complaint: cleaner.text(text::PLACE_COMPLAINT, &job.headline.complaint),
        machine,
        readings,
        findings: present
            .findings()
            .enumerate()
            .map(|(n, (_, f))| {
                let place = text::place_finding(n + 1);
                Finding {
                    study: cleaner.text(&place, &f.study),
                    program: cleaner.text(&place, &f.program),
                    words: f.words.iter().map(|words| cleaner.text(&place, words)).collect(),
                    result: cleaner.json(&place, f.result.clone()),
                }
            })
            .collect(),
        alterations: present
            .alterations()
            .enumerate()
            .map(|(n, (_, a))| {
                let place = text::place_work(n + 1);
                Alteration {
                    work: cleaner.text(&place, &a.work),
                    progress: a.progress,
                    words: cleaner.text(&place, &a.words),
                    length_m: a.length_m.filter(|m| m.is_finite()),
                    angle_rad: a.angle_rad.filter(|w| w.is_finite()),
                    irreversible: a.irreversible,
                }
            })
            .collect(),
        notes: present
            .notes()
            .filter(|(s, _)| wanted.notes.contains(&s.entry.id))
            .enumerate()
            .map(|(n, (_, note))| {
                let place = text::place_note(n + 1);
                Note { words: cleaner.text(&place, &note.words), about: cleaner.text(&place, &note.about) }
            })
            .collect(),
        pictures: shown,
    };
    cleaner.prove(&write_up)?;
    let choice = |entry: EntryId, words: &str, set: &BTreeSet<EntryId>| Choice {
        entry,
        words: words.to_owned(),
        ticked: set.contains(&entry),
    };
    Ok(Gathered {
        notes: present.notes().map(|(s, n)| choice(s.entry.id, &n.words, &wanted.notes)).collect(),
        attachments: present
            .attachments()
            .map(|(s, a)| choice(s.entry.id, &text::attachment(&a.file, &a.words), &wanted.pictures))
            .collect(),
        job,
        write_up,
        pictures,
        entries,
        taken: cleaner.taken,
        left_out,
    })
}

impl Gathered {
    /// The file, read as another workshop will read it.
    ///
    /// # Errors
    /// [`NotWritten::Refused`].
    pub fn file(&self) -> Result<String, NotWritten> {
        let page = super::page(self);
        super::read(page.as_bytes()).map_err(NotWritten::Refused)?;
        Ok(page)
    }

    /// Name of the machine, as it will be written.
    pub fn name(&self) -> String {
        machine::read(&self.write_up.machine).map_or_else(|_| String::new(), |(machine, _)| machine.name)
    }
}

/// All that must not travel: whose the machine is and was, who wrote in its jobs, who gave leave, what devices are called, what
/// its jobs are numbered, and what the mechanic added.
fn secrets(book: &Book, job: &JobRecord, log: &[Entry], wanted: &Wanted) -> Result<Secrets, BookError> {
    let mut secrets = Secrets::default();
    secrets.of_log(log);
    secrets.of_log(&book.log(Place::Machine(&job.machine))?);
    for other in book.jobs_of(&job.machine)? {
        secrets.job(&other.number);
        secrets.of_log(&book.log(Place::Job(other.id))?);
    }
    // Whoever else writes in this workshop.
    for entry in book.log(Place::Workshop)? {
        secrets.name(&entry.who, Secret::Person);
    }
    for device in book.devices()? {
        secrets.device(&device.name);
    }
    wanted.also.iter().for_each(|word| secrets.also(word));
    Ok(secrets)
}

impl Secrets {
    fn of_log(&mut self, log: &[Entry]) {
        for entry in log {
            self.name(&entry.who, Secret::Person);
            match &entry.body {
                Body::Custody(c) => {
                    self.name(&c.owner, Secret::Owner);
                    self.contact(&c.contact);
                    self.number(&c.plate, Secret::Plate);
                    self.number(&c.frame, Secret::Frame);
                }
                Body::Consent(c) => self.name(&c.by, Secret::Person),
                _ => {}
            }
        }
    }
}
