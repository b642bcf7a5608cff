//! Readings on their way out.

use super::{super::when, Column, shielded};
use jobbook::{Book, Condition, JobRecord, Origin, Place, Reading, Stage};
use quantity::{Dimension, Unit};
use std::io::Write;
use workshop::job::named;

/// A reading and where it belongs.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// Slug of the machine.
    pub machine: &'a str,
    /// Number of the job.
    pub job: &'a str,
    /// Who wrote it.
    pub who: &'a str,
    /// The reading.
    pub reading: &'a Reading,
}

/// Writes rows under the header.
pub struct Writer<W: Write> {
    csv: csv::Writer<W>,
    rows: usize,
}

impl<W: Write> Writer<W> {
    /// Begins with the header.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(to: W) -> csv::Result<Self> {
        let mut csv = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(to);
        csv.write_record(Column::ALL.map(Column::name))?;
        Ok(Self { csv, rows: 0 })
    }

    /// One row.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn row(&mut self, row: &Row) -> csv::Result<()> {
        self.rows += 1;
        self.csv.write_record(Column::ALL.map(|column| cell(row, column)))
    }

    /// How many rows were written, when all of them are.
    ///
    /// # Errors
    /// When they cannot be written.
    pub fn finish(mut self) -> std::io::Result<usize> {
        self.csv.flush()?;
        Ok(self.rows)
    }
}

fn cell(row: &Row, column: Column) -> String {
    let r = row.reading;
    match column {
        Column::Machine => row.machine.to_owned(),
        Column::Job => row.job.to_owned(),
        Column::Stage => stage(r.stage).to_owned(),
        Column::What => shielded(&r.what),
        Column::Label => shielded(&r.words),
        Column::Place => shielded(&r.place),
        Column::Value => numbers(r).0,
        Column::PlusMinus => numbers(r).1,
        Column::Unit => Unit::named(&r.unit).map_or_else(String::new, |u| u.symbol().to_owned()),
        Column::AsWritten => shielded(&r.typed),
        Column::Instrument => shielded(&r.instrument),
        Column::TemperatureC => r.temperature_k.map_or_else(String::new, |k| number(k, Unit::Celsius, Dimension::Temperature)),
        Column::SpeedRpm => r.crank_rad_s.map_or_else(String::new, |w| number(w, Unit::Rpm, Dimension::Speed)),
        Column::Condition => r.condition.as_ref().map_or_else(String::new, |c| shielded(condition_name(c))),
        Column::Origin => origin(r.origin).to_owned(),
        Column::Who => shielded(row.who),
        Column::TakenAt => when::written(r.taken_at),
    }
}

pub(super) const STAGES: [(&str, Stage); 3] =
    [("as_found", Stage::AsFound), ("during", Stage::During), ("as_left", Stage::AsLeft)];

pub(super) fn stage(stage: Stage) -> &'static str {
    STAGES.iter().find(|(_, s)| *s == stage).map_or("", |(name, _)| name)
}

pub(super) const ORIGINS: [(&str, Origin); 6] = [
    ("measured", Origin::Measured),
    ("maker", Origin::Maker),
    ("estimate", Origin::Estimate),
    ("file", Origin::File),
    ("recording", Origin::Recording),
    ("shared", Origin::Shared),
];

fn origin(origin: Origin) -> &'static str {
    ORIGINS.iter().find(|(_, o)| *o == origin).map_or("", |(name, _)| name)
}

pub(super) const CONDITIONS: [(&str, Condition); 5] = [
    ("loaded", Condition::Loaded),
    ("open", Condition::Open),
    ("kicking", Condition::Kicking),
    ("running", Condition::Running),
    ("still", Condition::Still),
];

/// A condition's name in files.
pub fn condition_name(condition: &Condition) -> &str {
    match condition {
        Condition::Other(words) => words,
        known => CONDITIONS.iter().find(|(_, c)| c == known).map_or("", |(name, _)| name),
    }
}

/// Value and ± in the unit of the reading.
fn numbers(r: &Reading) -> (String, String) {
    let Some(unit) = Unit::named(&r.unit) else { return (String::new(), String::new()) };
    let dimension = named(&r.what).map(|q| q.dimension);
    let value = match dimension {
        Some(dimension) => number(r.value_si, unit, dimension),
        None => plain(unit.from_si(r.value_si), MOST_FIGURES),
    };
    if r.plus_minus_si == 0.0 {
        return (value, String::new());
    }
    let doubt = r.plus_minus_si / unit.factor();
    let same = |text: &str| {
        let read = dimension.and_then(|d| quantity::Reading::parse(&format!("{value} ± {text} {}", unit.symbol()), d).ok());
        read.is_some_and(|read| read.plus_minus_si == r.plus_minus_si)
    };
    let doubt = exact(doubt, same);
    (value, doubt)
}

/// A value in a unit, with as many figures as it takes to read the same bits again.
fn number(si: f64, unit: Unit, dimension: Dimension) -> String {
    let same =
        |text: &str| quantity::Reading::parse(&format!("{text} {}", unit.symbol()), dimension).is_ok_and(|read| read.si == si);
    exact(unit.from_si(si), same)
}

/// Figures that a change of unit leaves sure, and figures that tell any two floats apart (IEEE 754-2019, 5.12.2).
const SURE_FIGURES: usize = 12;
const MOST_FIGURES: usize = 17;

fn exact(number: f64, same: impl Fn(&str) -> bool) -> String {
    let mut written = (SURE_FIGURES..=MOST_FIGURES).map(|figures| plain(number, figures));
    written.find(|text| same(text)).unwrap_or_else(|| plain(number, MOST_FIGURES))
}

/// A number with so many figures, without exponent, and never with three decimals that could be taken for thousands.
fn plain(number: f64, figures: usize) -> String {
    let rounded: f64 = format!("{number:.*e}", figures - 1).parse().unwrap_or(number);
    let mut text = rounded.to_string();
    if text.split_once('.').is_some_and(|(_, decimals)| decimals.len() == 3) {
        text.push('0');
    }
    text
}

/// Which readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Of {
    /// Those of the whole book.
    Book,
    /// Those of a machine, by its slug.
    Machine(String),
    /// Those of a job, by its number.
    Job(String),
}

/// The readings that stand, and how many they are: machine by machine, the oldest job first.
///
/// # Errors
/// The book's.
pub fn csv(book: &Book, of: &Of) -> anyhow::Result<(Vec<u8>, usize)> {
    book.at_one_moment(|book| {
        let mut bytes = Vec::new();
        let mut to = Writer::new(&mut bytes)?;
        match of {
            Of::Book => all(book, &mut to)?,
            Of::Machine(slug) => of_machine(book, slug, &mut to)?,
            Of::Job(number) => of_job(book, &book.job_by_number(number)?, &mut to)?,
        }
        let rows = to.finish()?;
        Ok((bytes, rows))
    })?
}

fn of_job<W: Write>(book: &Book, job: &JobRecord, to: &mut Writer<W>) -> anyhow::Result<()> {
    for (standing, reading) in book.present(Place::Job(job.id))?.readings() {
        to.row(&Row { machine: &job.machine, job: &job.number, who: &standing.entry.who, reading })?;
    }
    Ok(())
}

fn of_machine<W: Write>(book: &Book, slug: &str, to: &mut Writer<W>) -> anyhow::Result<()> {
    for (standing, reading) in book.present(Place::Machine(slug))?.readings() {
        to.row(&Row { machine: slug, job: "", who: &standing.entry.who, reading })?;
    }
    book.jobs_of(slug)?.iter().rev().try_for_each(|job| of_job(book, job, to))
}

/// Writes the readings of the whole book, of whatever moment the caller looks at.
///
/// # Errors
/// The book's.
pub fn all<W: Write>(book: &Book, to: &mut Writer<W>) -> anyhow::Result<()> {
    book.machines()?.iter().try_for_each(|machine| of_machine(book, &machine.slug, to))
}
