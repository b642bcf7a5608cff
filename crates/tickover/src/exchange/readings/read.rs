//! Readings on their way in.

use super::{
    super::when,
    Column, Defect, What, folded,
    out::{CONDITIONS, ORIGINS, STAGES},
    quotes::open_quote,
    unshielded,
};
use csv::StringRecord;
use jobbook::{Condition, Origin, Reading, UnixSeconds};
use quantity::{Dimension, ReadingErrorKind};
use std::collections::BTreeSet;
use workshop::{
    job::{QUANTITIES, named},
    machine::most_like,
};

/// Largest file that is read [bytes]: some ten thousand rows of everything that a row can have.
pub const MOST_BYTES: usize = 4 << 20;
/// Most readings at once; a long day's work is some hundred.
pub const MOST_ROWS: usize = 10_000;
/// Most defects that are told one by one.
const MOST_DEFECTS: usize = 200;
/// Longest text of a cell [letters].
const LONGEST_TEXT: usize = 1_000;
/// Longest name of a writer [letters], as on the page.
const LONGEST_WHO: usize = 40;
/// How far value and what was written may be apart [1]: figures that a spreadsheet does not show.
const AGREE: f64 = 1e-9;

/// A reading as it came in.
#[derive(Clone, Debug, PartialEq)]
pub struct Incoming {
    /// Line of the file.
    pub line: u64,
    /// Who took it; empty if the file does not say.
    pub who: String,
    /// The reading.
    pub reading: Reading,
}

/// Reads a file of readings. A reading without a time was taken at `now`.
///
/// # Errors
/// All its defects; nothing of the file is to be kept then.
pub fn read(bytes: &[u8], now: UnixSeconds) -> Result<Vec<Incoming>, Vec<Defect>> {
    let whole = |what| Err(vec![Defect { line: 0, column: String::new(), value: String::new(), what }]);
    if bytes.len() > MOST_BYTES {
        return whole(What::TooLarge);
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}'),
        Err(error) => {
            let line = 1 + bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() as u64;
            return Err(vec![Defect { line, column: String::new(), value: String::new(), what: What::NotText }]);
        }
    };
    let Some(separator) = separator(text) else { return whole(What::NoHeader) };
    if let Some(line) = open_quote(text, separator) {
        return Err(vec![Defect { line, column: String::new(), value: String::new(), what: What::QuoteOpen }]);
    }
    let mut records = records(text, separator);
    let (first, head) = records.next().unwrap_or_default();
    let mut table = Table { columns: Vec::new(), separator, now, defects: Vec::new(), jobs: BTreeSet::new() };
    table.header(first, &head);
    if !table.defects.is_empty() {
        return Err(table.defects);
    }
    let mut rows = Vec::new();
    let mut count = 0;
    for (line, record) in records.filter(|(_, r)| r.iter().any(|cell| !cell.trim().is_empty())) {
        count += 1;
        if count > MOST_ROWS {
            table.defect(line, "", "", What::TooManyRows);
            break;
        }
        rows.extend(table.row(line, &record));
    }
    if count == 0 {
        table.defect(0, "", "", What::NoRows);
    }
    if table.jobs.len() > 1 {
        let jobs: Vec<&str> = table.jobs.iter().map(String::as_str).take(5).collect();
        let jobs = jobs.join(", ");
        table.defect(0, Column::Job.name(), &jobs, What::SeveralJobs);
    }
    if table.defects.is_empty() {
        return Ok(rows);
    }
    if table.defects.len() > MOST_DEFECTS {
        let left_out = table.defects.len() - MOST_DEFECTS;
        table.defects.truncate(MOST_DEFECTS);
        table.defect(0, "", "", What::More { left_out });
    }
    Err(table.defects)
}

/// Every record with the line on which it begins.
pub(in crate::exchange) fn records(text: &str, separator: char) -> impl Iterator<Item = (u64, StringRecord)> {
    let mut builder = csv::ReaderBuilder::new();
    builder.has_headers(false).flexible(true).delimiter(separator as u8);
    let (mut line, mut counted) = (1, 0);
    // Text in memory cannot fail to be read, and is UTF-8 already.
    builder.from_reader(text.as_bytes()).into_records().filter_map(Result::ok).map(move |record| {
        // A record's place is where the one before ended, before the line feed of CR LF and any empty lines.
        let at = record.position().map_or(counted, |p| p.byte() as usize).min(text.len());
        let at = at + text[at..].bytes().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        line += line_ends(&text.as_bytes()[counted..at]);
        counted = at;
        (line, record)
    })
}

/// Ends of lines: LF, CR LF, or CR alone.
pub(in crate::exchange) fn line_ends(bytes: &[u8]) -> u64 {
    let alone = bytes.iter().enumerate().filter(|(n, b)| **b == b'\r' && bytes.get(n + 1) != Some(&b'\n')).count();
    (bytes.iter().filter(|b| **b == b'\n').count() + alone) as u64
}

/// The sign between cells: the one with which the first row has most columns of ours.
fn separator(text: &str) -> Option<char> {
    let known = |separator: char| {
        records(text, separator).next().map_or(0, |(_, head)| head.iter().filter(|cell| Column::named(cell).is_some()).count())
    };
    [',', ';', '\t'].into_iter().map(|s| (known(s), s)).filter(|(n, _)| *n > 0).max_by_key(|(n, _)| *n).map(|(_, s)| s)
}

struct Table {
    /// Column of each cell.
    columns: Vec<Column>,
    separator: char,
    now: UnixSeconds,
    defects: Vec<Defect>,
    jobs: BTreeSet<String>,
}

/// The cells of a row.
struct Cells<'r> {
    line: u64,
    columns: &'r [Column],
    record: &'r StringRecord,
}

impl<'r> Cells<'r> {
    fn get(&self, column: Column) -> &'r str {
        let at = self.columns.iter().position(|c| *c == column);
        unshielded(at.and_then(|at| self.record.get(at)).unwrap_or("").trim()).trim()
    }
}

impl Table {
    fn defect(&mut self, line: u64, column: &str, value: &str, what: What) {
        self.defects.push(Defect { line, column: column.to_owned(), value: value.to_owned(), what });
    }

    fn header(&mut self, line: u64, head: &StringRecord) {
        for cell in head {
            match Column::named(cell) {
                Some(column) if self.columns.contains(&column) => self.defect(line, cell, "", What::ColumnTwice),
                Some(column) => self.columns.push(column),
                None => {
                    let did_you_mean = most_like(&folded(cell), Column::ALL.iter().map(|c| c.name()));
                    self.defect(line, cell.trim(), "", What::UnknownColumn { did_you_mean });
                }
            }
        }
        for needed in [Column::Stage, Column::What] {
            if !self.columns.contains(&needed) {
                self.defect(line, needed.name(), "", What::ColumnMissing);
            }
        }
        if !self.columns.contains(&Column::Value) && !self.columns.contains(&Column::AsWritten) {
            self.defect(line, Column::Value.name(), "", What::ColumnMissing);
        }
    }

    fn row(&mut self, line: u64, record: &StringRecord) -> Option<Incoming> {
        if record.len() != self.columns.len() {
            let what = What::Cells { found: record.len(), wanted: self.columns.len(), separator: self.separator };
            self.defect(line, "", "", what);
            return None;
        }
        let columns = self.columns.clone();
        let cells = Cells { line, columns: &columns, record };
        let before = self.defects.len();
        let stage = self.word(&cells, Column::Stage, &STAGES);
        let quantity = self.quantity(&cells);
        let value = quantity.and_then(|q| self.value(&cells, q.dimension));
        let temperature = self.beside(&cells, Column::TemperatureC, "°C", Dimension::Temperature);
        if temperature.is_some_and(|t| t < 0.0) {
            self.defect(line, Column::TemperatureC.name(), cells.get(Column::TemperatureC), What::BelowAbsoluteZero);
        }
        let speed = self.beside(&cells, Column::SpeedRpm, "rpm", Dimension::Speed);
        let origin = match cells.get(Column::Origin) {
            "" => Some(Origin::File),
            _ => self.word(&cells, Column::Origin, &ORIGINS),
        };
        let taken_at = match cells.get(Column::TakenAt) {
            "" => self.now,
            text => when::read(text).unwrap_or_else(|| {
                self.defect(line, Column::TakenAt.name(), text, What::Time);
                self.now
            }),
        };
        for (column, most) in [
            (Column::Label, LONGEST_TEXT),
            (Column::Place, LONGEST_TEXT),
            (Column::Instrument, LONGEST_TEXT),
            (Column::Condition, LONGEST_TEXT),
            (Column::Who, LONGEST_WHO),
        ] {
            let text = cells.get(column);
            if text.chars().count() > most {
                self.defect(line, column.name(), text, What::TooLong { most });
            }
            if let Some(sign) = super::super::hidden_sign(text) {
                self.defect(line, column.name(), text, What::Hidden { sign });
            }
        }
        let job = cells.get(Column::Job);
        if !job.is_empty() {
            self.jobs.insert(job.to_owned());
        }
        if self.defects.len() > before {
            return None;
        }
        let (quantity, (typed, value)) = (quantity?, value?);
        let text = |column| cells.get(column).to_owned();
        let label = text(Column::Label);
        Some(Incoming {
            line,
            who: text(Column::Who),
            reading: Reading {
                stage: stage?,
                what: quantity.key.to_owned(),
                words: if label.is_empty() { quantity.label.to_owned() } else { label },
                place: text(Column::Place),
                typed,
                value_si: value.si,
                plus_minus_si: value.plus_minus_si,
                unit: value.unit.symbol().to_owned(),
                instrument: text(Column::Instrument),
                temperature_k: temperature,
                crank_rad_s: speed,
                condition: condition(cells.get(Column::Condition)),
                origin: origin?,
                taken_at,
            },
        })
    }

    /// One of a few words.
    fn word<T: Copy>(&mut self, cells: &Cells, column: Column, known: &[(&'static str, T)]) -> Option<T> {
        let text = cells.get(column);
        let found = known.iter().find(|(name, _)| *name == folded(text)).map(|(_, value)| *value);
        if found.is_none() {
            let words: Vec<&'static str> = known.iter().map(|(name, _)| *name).collect();
            let did_you_mean = most_like(&folded(text), words.iter().copied());
            let what = if text.is_empty() { What::Empty } else { What::UnknownWord { did_you_mean, known: words } };
            self.defect(cells.line, column.name(), text, what);
        }
        found
    }

    /// A quantity by its key or its name.
    fn quantity(&mut self, cells: &Cells) -> Option<&'static workshop::job::Quantity> {
        let text = cells.get(Column::What);
        let by_label = || QUANTITIES.iter().find(|q| q.label.to_lowercase() == text.to_lowercase());
        let found = named(&text.to_lowercase()).or_else(by_label);
        if found.is_none() {
            let did_you_mean = most_like(text, QUANTITIES.iter().flat_map(|q| [q.key, q.label]));
            let what = if text.is_empty() { What::Empty } else { What::UnknownWord { did_you_mean, known: Vec::new() } };
            self.defect(cells.line, Column::What.name(), text, what);
        }
        found
    }

    /// The value from its own columns, from the one with all of it, or from both if they agree.
    fn value(&mut self, cells: &Cells, dimension: Dimension) -> Option<(String, quantity::Reading)> {
        let written = cells.get(Column::AsWritten);
        let (value, unit) = (cells.get(Column::Value), cells.get(Column::Unit));
        let doubt = cells.get(Column::PlusMinus).trim_start_matches(['±', ' ']);
        let joined = joined(value, unit, doubt);
        let parse = |text: &str| quantity::Reading::parse(text, dimension);
        let from_columns = if value.is_empty() { None } else { Some(parse(&joined)) };
        let from_written = if written.is_empty() { None } else { Some(parse(written)) };
        match (from_written, from_columns) {
            (None, None) => {
                self.defect(cells.line, Column::Value.name(), "", What::Empty);
                None
            }
            (Some(Err(error)), _) => {
                self.defect(cells.line, Column::AsWritten.name(), written, What::Number(error));
                None
            }
            (_, Some(Err(error))) => {
                let column = blamed(&error, value, unit);
                self.defect(cells.line, column.name(), cells.get(column), What::Number(error));
                None
            }
            (Some(Ok(a)), Some(Ok(b))) if !agree(&a, &b) => {
                self.defect(cells.line, Column::AsWritten.name(), written, What::Disagrees { with: joined });
                None
            }
            (Some(Ok(reading)), _) => Some((written.to_owned(), reading)),
            (None, Some(Ok(reading))) => Some((joined, reading)),
        }
    }

    /// A number in the unit that its column names; another unit may be written after it. `None` also where nothing stands.
    fn beside(&mut self, cells: &Cells, column: Column, unit: &str, dimension: Dimension) -> Option<f64> {
        let text = cells.get(column);
        if text.is_empty() {
            return None;
        }
        let parse = |text: &str| quantity::Reading::parse(text, dimension);
        let read = match parse(text) {
            Err(error) if matches!(error.kind, ReadingErrorKind::UnitMissing { .. }) => parse(&format!("{text} {unit}")),
            other => other,
        };
        match read {
            Ok(reading) => Some(reading.si),
            Err(error) => {
                self.defect(cells.line, column.name(), text, What::Number(error));
                None
            }
        }
    }
}

/// Value, unit and ± as one would type them.
fn joined(value: &str, unit: &str, doubt: &str) -> String {
    let mut text = value.to_owned();
    if !doubt.is_empty() {
        // The unit goes last, unless the ± is in per cent or has one of its own.
        let own = doubt.ends_with(|c: char| !c.is_ascii_digit());
        return match (own, unit) {
            (_, "") => format!("{value} ± {doubt}"),
            (true, _) => format!("{value} {unit} ± {doubt}"),
            (false, _) => format!("{value} ± {doubt} {unit}"),
        };
    }
    if !unit.is_empty() {
        text.push(' ');
        text.push_str(unit);
    }
    text
}

/// The column that an error is about.
fn blamed(error: &quantity::ReadingError, value: &str, unit: &str) -> Column {
    match error.kind {
        ReadingErrorKind::UnitMissing { .. } => Column::Unit,
        ReadingErrorKind::UnitUnknown { .. } | ReadingErrorKind::UnitWrong { .. } if !unit.is_empty() => Column::Unit,
        ReadingErrorKind::PlusMinusNegative | ReadingErrorKind::PercentOfTemperature => Column::PlusMinus,
        _ if error.at.start >= value.len() && !value.is_empty() => Column::PlusMinus,
        _ => Column::Value,
    }
}

fn agree(a: &quantity::Reading, b: &quantity::Reading) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= AGREE * a.abs().max(b.abs());
    near(a.si, b.si) && near(a.plus_minus_si, b.plus_minus_si)
}

/// A condition by its name in files; anything else is the mechanic's own word.
pub fn condition(text: &str) -> Option<Condition> {
    let known = CONDITIONS.iter().find(|(name, _)| *name == text.to_lowercase()).map(|(_, c)| c.clone());
    (!text.is_empty()).then(|| known.unwrap_or_else(|| Condition::Other(text.to_owned())))
}
