//! A job, cleaned for others.

use super::{
    Alteration, FORMAT, Finding, Measured, Note, Picture, TakenOut, WriteUp, Written,
    clean::{Secret, Secrets},
    picture::{self, Unfit},
    toml_text,
};
use crate::exchange::readings::condition_name;
use jobbook::{Body, Book, BookError, Condition, ContentHash, Entry, EntryId, JobRecord, Place, Present, Reading};
use quantity::{Dimension, Source, Unit};
use sheets::words::exchange as text;
use std::collections::{BTreeMap, BTreeSet};
use workshop::{
    job::named,
    machine::{
        self, Defect,
        limits::{FILE, Field, Kind, Section},
    },
};

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

    let file = book.machine(&job.machine)?.newest.text;
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
        secrets.number(&other.number, Secret::JobNumber);
        secrets.of_log(&book.log(Place::Job(other.id))?);
    }
    for device in book.devices()? {
        secrets.name(&device.name, Secret::Device);
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

struct Cleaner {
    secrets: Secrets,
    taken: Vec<TakenOut>,
}

impl Cleaner {
    fn text(&mut self, place: &str, text: &str) -> String {
        self.secrets.clean(text, place, &mut self.taken)
    }

    /// The machine file: its comments and its strings are cleaned, its keys and numbers are not words of people.
    fn machine(&mut self, file: &str) -> String {
        let mut clean = String::with_capacity(file.len());
        let mut from = 0;
        for words in toml_text::words(file) {
            let piece = &file[words.at.clone()];
            clean.push_str(&file[from..words.at.start]);
            if words.comment || !is_fixed(piece) {
                let line = 1 + file[..words.at.start].matches('\n').count();
                let cleaned = self.text(&text::place_file(line), piece);
                clean.push_str(&cleaned);
            } else {
                clean.push_str(piece);
            }
            from = words.at.end;
        }
        clean.push_str(&file[from..]);
        clean
    }

    /// A reading of a known quantity, its value as typed if that is what is kept.
    fn reading(&mut self, number: usize, r: &Reading) -> Option<Measured> {
        let (quantity, unit) = (named(&r.what)?, Unit::named(&r.unit)?);
        let kept = quantity::Reading { si: r.value_si, plus_minus_si: r.plus_minus_si, unit, source: Source::NotStated };
        let typed = quantity::Reading::parse(&r.typed, quantity.dimension);
        let same = typed.is_ok_and(|t| t.si == r.value_si && t.plus_minus_si == r.plus_minus_si);
        let value = if same { r.typed.clone() } else { kept.to_string() };
        quantity::Reading::parse(&value, quantity.dimension).ok()?;
        let place = text::place_reading(number);
        Some(Measured {
            stage: r.stage,
            what: quantity.key.to_owned(),
            place: self.text(&place, &r.place),
            value,
            instrument: self.text(&place, &r.instrument),
            temperature: r.temperature_k.map_or_else(String::new, |k| in_unit(k, Unit::Celsius)),
            speed: r.crank_rad_s.map_or_else(String::new, |w| in_unit(w, Unit::Rpm)),
            condition: match &r.condition {
                None => String::new(),
                Some(Condition::Other(words)) => self.text(&place, words),
                Some(known) => condition_name(known).to_owned(),
            },
            taken_on: sheets::words::on(r.taken_at),
        })
    }

    /// Every text in a JSON value, keys too.
    fn json(&mut self, place: &str, value: serde_json::Value) -> serde_json::Value {
        use serde_json::Value;
        match value {
            Value::String(text) => Value::String(self.text(place, &text)),
            Value::Array(all) => Value::Array(all.into_iter().map(|v| self.json(place, v)).collect()),
            Value::Object(all) => {
                Value::Object(all.into_iter().map(|(key, v)| (self.text(place, &key), self.json(place, v))).collect())
            }
            other => other,
        }
    }

    /// Looks again at all that people wrote, as it will be written.
    fn prove(&self, w: &WriteUp) -> Result<(), NotWritten> {
        machine::read(&w.machine).map_err(|_| NotWritten::NeedsIt)?;
        let mut all: Vec<(String, &str)> = vec![(text::PLACE_COMPLAINT.to_owned(), &w.complaint)];
        for words in toml_text::words(&w.machine) {
            let piece = &w.machine[words.at.clone()];
            if words.comment || !is_fixed(piece) {
                let line = 1 + w.machine[..words.at.start].matches('\n').count();
                all.push((text::place_file(line), piece));
            }
        }
        // A string may be written with escapes, which say something only to who reads the file.
        let table: toml::Table = w.machine.trim_start_matches('\u{feff}').parse().map_err(|_| NotWritten::NeedsIt)?;
        let mut strings = Vec::new();
        for value in table.values() {
            strings_of(value, &mut strings);
        }
        all.extend(strings.into_iter().filter(|s| !is_fixed(s)).map(|s| (text::place_file(0), s)));
        for (n, r) in w.readings.iter().enumerate() {
            all.extend([&r.place, &r.instrument, &r.condition].map(|t| (text::place_reading(n + 1), t.as_str())));
        }
        for (n, a) in w.alterations.iter().enumerate() {
            all.extend([&a.work, &a.words].map(|t| (text::place_work(n + 1), t.as_str())));
        }
        for (n, note) in w.notes.iter().enumerate() {
            all.extend([&note.words, &note.about].map(|t| (text::place_note(n + 1), t.as_str())));
        }
        all.extend(w.pictures.iter().enumerate().map(|(n, p)| (text::place_picture(n + 1), p.words.as_str())));
        let results: Vec<String> =
            w.findings.iter().map(|f| format!("{}\n{}\n{}\n{}", f.study, f.program, f.words.join("\n"), f.result)).collect();
        all.extend(results.iter().enumerate().map(|(n, r)| (text::place_finding(n + 1), r.as_str())));
        match all.into_iter().find(|(_, text)| !self.secrets.is_clean(text)) {
            Some((place, _)) => Err(NotWritten::StillThere(place)),
            None => Ok(()),
        }
    }
}

fn in_unit(si: f64, unit: Unit) -> String {
    quantity::Reading { si, plus_minus_si: 0.0, unit, source: Source::NotStated }.to_string()
}

fn strings_of<'v>(value: &'v toml::Value, into: &mut Vec<&'v str>) {
    match value {
        toml::Value::String(text) => into.push(text),
        toml::Value::Array(all) => all.iter().for_each(|v| strings_of(v, into)),
        toml::Value::Table(all) => all.values().for_each(|v| strings_of(v, into)),
        _ => {}
    }
}

/// A string of a machine file that holds one of the words that may stand there, or a reading: no words of people.
fn is_fixed(text: &str) -> bool {
    fn walk(section: &Section, test: &mut dyn FnMut(&Field) -> bool, kind: &mut dyn FnMut(&str) -> bool) -> bool {
        let variants = section.variants;
        section.fields.iter().chain(variants.iter().flat_map(|v| v.fields)).any(&mut *test)
            || variants.iter().any(|v| kind(v.kind))
            || section.sections.iter().chain(variants.iter().flat_map(|v| v.sections)).any(|s| walk(s, test, kind))
    }
    let mut read: Vec<Dimension> = Vec::new();
    let mut of_field = |field: &Field| match field.kind {
        Kind::Choice(words) => words.contains(&text),
        Kind::Reading { dimension, .. } if !read.contains(&dimension) => {
            read.push(dimension);
            quantity::Reading::parse(text, dimension).is_ok()
        }
        _ => false,
    };
    ["maker", "estimate"].contains(&text) || walk(&FILE, &mut of_field, &mut |kind| kind == text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_format_and_readings_are_no_words_of_people() {
        for fixed in ["right", "cover side", "fixed", "54.00 ± 0.02 mm", "2500 rpm", "maker"] {
            assert!(is_fixed(fixed), "{fixed}");
        }
        for free in ["caliper", "left", "Corran 360", "Mr Right"] {
            assert!(!is_fixed(free), "{free}");
        }
    }
}
