//! Walking a spanned TOML document against the table of [`limits`](super::limits), collecting every defect on the way.
//!
//! Where a value is missing or bad, a defect is noted and a placeholder (NaN, the first choice) is handed on, so that the
//! walk goes on to the end; a document with any defect never becomes a machine, so no placeholder gets out.

use std::{collections::BTreeMap, ops::Range};

use quantity::{Dimension, Reading, ReadingError, ReadingErrorKind, Source, Unit};
use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

use super::{
    defect::{Defect, DefectKind, Inconsistency, Wanted},
    limits::{Field, Kind, Need, Section},
};
use crate::study::warning::Warning;

/// Keys longer than this get no "did you mean": no known key comes near it.
const LONGEST_GUESSED_KEY: usize = 40;

/// Least likeness (Jaro–Winkler, 0 to 1) at which a known word is offered for an unknown one. By trial on slips of the
/// pen: `bor`, `strok`, `comp_ratio` lie above, unrelated keys below.
const LEAST_LIKENESS: f64 = 0.75;

/// Keys of a reading written as a table.
const READING_KEYS: &[&str] = &["value", "with", "from"];

/// The word most like `found`, if any is like it at all.
pub(super) fn most_like<'w>(found: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    if found.len() > LONGEST_GUESSED_KEY {
        return None;
    }
    let found = found.to_lowercase();
    words
        .into_iter()
        .map(|word| (word, strsim::jaro_winkler(&found, &word.to_lowercase())))
        .filter(|(_, likeness)| *likeness >= LEAST_LIKENESS)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(word, _)| word)
}

/// What is gathered on the way.
pub(super) struct Walk<'t> {
    pub text: &'t str,
    pub defects: Vec<Defect>,
    pub warnings: Vec<Warning>,
    /// Where the value of each path stands.
    pub spans: BTreeMap<String, Range<usize>>,
    /// The text is broken TOML: what is missing may stand in the broken part, so missing keys prove nothing.
    pub broken: bool,
}

impl<'t> Walk<'t> {
    pub fn new(text: &'t str, broken: bool) -> Self {
        Self { text, defects: Vec::new(), warnings: Vec::new(), spans: BTreeMap::new(), broken }
    }

    pub fn defect(&mut self, path: impl Into<String>, span: Range<usize>, kind: DefectKind) {
        let proves_nothing =
            self.broken && matches!(kind, DefectKind::MissingField { .. } | DefectKind::MissingSection { .. });
        if !proves_nothing {
            self.defects.push(Defect { kind, path: path.into(), span });
        }
    }

    /// Notes readings that cannot all be true, at one of them.
    pub fn inconsistent(&mut self, path: &str, kind: Inconsistency) {
        let span = self.spans.get(path).cloned().unwrap_or(0..0);
        self.defect(path, span, DefectKind::Inconsistent(kind));
    }

    fn default_used(&mut self, field: &'static Field) {
        self.warn_once(Warning::DefaultUsed { field: field.path });
    }

    fn warn_once(&mut self, warning: Warning) {
        if !self.warnings.contains(&warning) {
            self.warnings.push(warning);
        }
    }
}

/// What stands where a reading could not be read.
pub(super) fn placeholder() -> Reading {
    Reading { si: f64::NAN, plus_minus_si: f64::NAN, unit: Unit::One, source: Source::NotStated }
}

/// A number that TOML itself has read.
fn toml_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => {
            i64::from_str_radix(&i.as_str().replace('_', ""), i.radix()).ok().map(|i| i as f64)
        }
        DeValue::Float(f) => f.as_str().replace('_', "").parse().ok(),
        _ => None,
    }
}

/// One part of the document, or the place where it would stand.
pub(super) struct Node<'a> {
    pub path: String,
    pub span: Range<usize>,
    table: Option<&'a DeTable<'a>>,
}

type Value<'a> = (&'a DeValue<'a>, Range<usize>);

impl<'a> Node<'a> {
    pub fn root(table: &'a Spanned<DeTable<'a>>) -> Self {
        Self { path: String::new(), span: 0..0, table: Some(table.get_ref()) }
    }

    /// Path of a key of this part.
    pub fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.into() } else { format!("{}.{key}", self.path) }
    }

    /// Notes every key that is neither a field nor a part of the section (or of its variant).
    pub fn refuse_unknown(&self, walk: &mut Walk<'_>, known: &[&'static str]) {
        for key in self.table.into_iter().flat_map(|table| table.keys()) {
            let name = key.get_ref().as_ref();
            if !known.contains(&name) {
                let did_you_mean = most_like(name, known.iter().copied());
                let kind = DefectKind::UnknownKey { did_you_mean, known: known.to_vec() };
                walk.defect(self.path_of(name), key.span(), kind);
            }
        }
    }

    /// As [`refuse_unknown`](Self::refuse_unknown), for a section without variants.
    pub fn refuse_unknown_in(&self, walk: &mut Walk<'_>, section: &'static Section) {
        self.refuse_unknown(walk, &known_keys(section.fields, section.sections));
    }

    fn get(&self, walk: &mut Walk<'_>, key: &str) -> Option<Value<'a>> {
        let value = self.table?.get(key)?;
        walk.spans.insert(self.path_of(key), value.span());
        Some((value.get_ref(), value.span()))
    }

    /// The part with this section's key; `None` (with a defect where it is required) if it is not there.
    pub fn child(&self, walk: &mut Walk<'_>, section: &'static Section) -> Option<Node<'a>> {
        let key = section.key();
        let Some((value, span)) = self.get(walk, key) else {
            if section.required {
                walk.defect(self.path_of(key), self.span.clone(), DefectKind::MissingSection { key });
            }
            return None;
        };
        self.table_at(walk, self.path_of(key), value, span)
    }

    /// The part with this section's key, or the empty place where it would stand.
    pub fn child_or_empty(&self, walk: &mut Walk<'_>, section: &'static Section) -> Node<'a> {
        let empty = Node { path: self.path_of(section.key()), span: self.span.clone(), table: None };
        self.child(walk, section).unwrap_or(empty)
    }

    /// All tables of a list of them.
    pub fn children(&self, walk: &mut Walk<'_>, section: &'static Section) -> Vec<Node<'a>> {
        let key = section.key();
        let path = self.path_of(key);
        let found = self.get(walk, key);
        match found {
            Some((DeValue::Array(list), _)) if !(section.required && list.is_empty()) => list
                .iter()
                .enumerate()
                .filter_map(|(i, item)| self.table_at(walk, format!("{path}[{i}]"), item.get_ref(), item.span()))
                .collect(),
            Some((DeValue::Array(_), span)) => {
                walk.defect(path, span, DefectKind::MissingSection { key });
                Vec::new()
            }
            Some((other, span)) => {
                let kind = DefectKind::WrongType { wanted: Wanted::Tables, found: other.type_str() };
                walk.defect(path, span, kind);
                Vec::new()
            }
            None => {
                if section.required {
                    walk.defect(path, self.span.clone(), DefectKind::MissingSection { key });
                }
                Vec::new()
            }
        }
    }

    fn table_at(&self, walk: &mut Walk<'_>, path: String, value: &'a DeValue<'a>, span: Range<usize>) -> Option<Node<'a>> {
        match value {
            DeValue::Table(table) => {
                walk.spans.insert(path.clone(), span.clone());
                Some(Node { path, span, table: Some(table) })
            }
            other => {
                walk.defect(path, span, DefectKind::WrongType { wanted: Wanted::Table, found: other.type_str() });
                None
            }
        }
    }

    /// Notes that a field is not there.
    fn missing(&self, walk: &mut Walk<'_>, field: &'static Field, span: Range<usize>) {
        walk.defect(self.path_of(field.key()), span, DefectKind::MissingField { field });
    }

    /// A reading that must be there or has a default.
    pub fn reading(&self, walk: &mut Walk<'_>, field: &'static Field) -> Reading {
        let span = match self.find_reading(walk, field) {
            Ok(reading) => return reading.unwrap_or_else(placeholder),
            Err(span) => span,
        };
        let Need::Default { written, .. } = field.need else {
            self.missing(walk, field, span);
            return placeholder();
        };
        walk.default_used(field);
        let Kind::Reading { dimension, .. } = field.kind else { return placeholder() };
        // A test reads every default of the table.
        Reading::parse(written, dimension).map_or_else(|_| placeholder(), |reading| reading.from_source(Source::Default))
    }

    /// A reading that may be missing.
    pub fn optional_reading(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<Reading> {
        match self.find_reading(walk, field) {
            Ok(reading) => Some(reading.unwrap_or_else(placeholder)),
            Err(_) => None,
        }
    }

    /// `Err` with the place where it is missing; `Ok(None)` where it is there and bad.
    fn find_reading(&self, walk: &mut Walk<'_>, field: &'static Field) -> Result<Option<Reading>, Range<usize>> {
        let Some((value, span)) = self.get(walk, field.key()) else { return Err(self.span.clone()) };
        let path = self.path_of(field.key());
        let (value, span, source) = match value {
            DeValue::Table(table) => {
                let node = Node { path: path.clone(), span: span.clone(), table: Some(table) };
                node.refuse_unknown(walk, READING_KEYS);
                let source = node.source(walk);
                match node.get(walk, "value") {
                    Some((value, span)) => (value, span, source),
                    None => return Err(span),
                }
            }
            _ => (value, span, Source::NotStated),
        };
        let Kind::Reading { dimension, .. } = field.kind else { return Ok(None) };
        let read = match value {
            DeValue::String(text) if text.trim().is_empty() => return Err(span),
            DeValue::String(text) => Reading::parse(text, dimension),
            DeValue::Integer(_) | DeValue::Float(_) => {
                let si = toml_number(value).unwrap_or(f64::INFINITY);
                let kind = match dimension {
                    _ if !si.is_finite() => Some(ReadingErrorKind::NotFinite { found: walk.text[span.clone()].into() }),
                    Dimension::Number => None,
                    wanted => Some(ReadingErrorKind::UnitMissing { wanted }),
                };
                match kind {
                    Some(kind) => Err(ReadingError { kind, at: 0..span.len() }),
                    None => Ok(Reading { si, plus_minus_si: 0.0, unit: Unit::One, source: Source::NotStated }),
                }
            }
            other => {
                let kind = DefectKind::WrongType { wanted: Wanted::Reading, found: other.type_str() };
                walk.defect(path, span, kind);
                return Ok(None);
            }
        };
        Ok(match read {
            Ok(reading) if !field.holds(&reading) => {
                walk.defect(path, span, DefectKind::OutOfRange { value: reading, field });
                None
            }
            Ok(reading) => {
                let stated = matches!(source, Source::Maker | Source::Default);
                if field.doubtful && reading.plus_minus_si == 0.0 && !stated {
                    walk.warn_once(Warning::TakenAsExact { field: field.path });
                }
                Some(reading.from_source(source))
            }
            Err(error) => {
                let span = inside(walk.text, value, &span, &error.at);
                walk.defect(path, span, DefectKind::BadReading { error, field });
                None
            }
        })
    }

    /// Where a reading written as a table says it comes from.
    fn source(&self, walk: &mut Walk<'_>) -> Source {
        const ORIGINS: &[&str] = &["maker", "estimate"];
        let with = self.get(walk, "with");
        let from = self.get(walk, "from");
        if let (Some(_), Some((_, span))) = (&with, &from) {
            walk.defect(self.path_of("from"), span.clone(), DefectKind::Inconsistent(Inconsistency::TwoSources));
        }
        match (with, from) {
            (Some((DeValue::String(with), _)), _) if with.trim().is_empty() => Source::NotStated,
            (Some((DeValue::String(with), _)), _) => Source::Measured { with: with.trim().into() },
            (None, Some((DeValue::String(from), span))) => match from.as_ref() {
                "maker" => Source::Maker,
                "estimate" => Source::Estimate,
                found => {
                    walk.defect(self.path_of("from"), span, unknown_choice(found, ORIGINS));
                    Source::NotStated
                }
            },
            (Some((other, span)), _) | (None, Some((other, span))) => {
                let kind = DefectKind::WrongType { wanted: Wanted::Text, found: other.type_str() };
                walk.defect(self.path.clone(), span, kind);
                Source::NotStated
            }
            (None, None) => Source::NotStated,
        }
    }

    /// Text of a field, trimmed; `None` where it is missing or bad (and noted).
    fn text(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<(String, Range<usize>)> {
        match self.get(walk, field.key()) {
            Some((DeValue::String(text), span)) if !text.trim().is_empty() => Some((text.trim().into(), span)),
            Some((DeValue::String(_), span)) => {
                self.note_missing(walk, field, span);
                None
            }
            Some((other, span)) => {
                let kind = DefectKind::WrongType { wanted: Wanted::Text, found: other.type_str() };
                walk.defect(self.path_of(field.key()), span, kind);
                None
            }
            None => {
                self.note_missing(walk, field, self.span.clone());
                None
            }
        }
    }

    fn note_missing(&self, walk: &mut Walk<'_>, field: &'static Field, span: Range<usize>) {
        match field.need {
            Need::Required => self.missing(walk, field, span),
            Need::Default { .. } => walk.default_used(field),
            Need::Optional => {}
        }
    }

    /// Text that must be there.
    pub fn name(&self, walk: &mut Walk<'_>, field: &'static Field) -> String {
        self.text(walk, field).map_or_else(String::new, |(text, _)| text)
    }

    /// Text that may be missing.
    pub fn optional_name(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<String> {
        self.text(walk, field).map(|(text, _)| text)
    }

    /// One of the field's words, as its place among them; `None` where it is bad (and noted). The default stands in.
    pub fn choice(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<usize> {
        let Kind::Choice(words) = field.kind else { return None };
        let place = |found: &str| words.iter().position(|word| *word == found);
        match self.text(walk, field) {
            Some((found, span)) => {
                let place = place(&found);
                if place.is_none() {
                    walk.defect(self.path_of(field.key()), span, unknown_choice(&found, words));
                }
                place
            }
            None => match field.need {
                Need::Default { written, .. } => place(written),
                _ => None,
            },
        }
    }

    /// One of some things, in the order of the field's words.
    pub fn pick<T: Copy, const N: usize>(&self, walk: &mut Walk<'_>, field: &'static Field, things: [T; N]) -> T {
        things[self.choice(walk, field).unwrap_or(0).min(N - 1)]
    }

    /// A whole number inside the field's limits; `None` where it is missing or bad (and noted).
    pub fn count(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<i64> {
        let Kind::Count { least, most } = field.kind else { return None };
        let (value, span) = match self.get(walk, field.key()) {
            Some((value @ DeValue::Integer(_), span)) => (toml_number(value), span),
            Some((DeValue::String(text), span)) if text.trim().is_empty() => {
                self.note_missing(walk, field, span);
                return None;
            }
            Some((other, span)) => {
                let kind = DefectKind::WrongType { wanted: Wanted::Count, found: other.type_str() };
                walk.defect(self.path_of(field.key()), span, kind);
                return None;
            }
            None => {
                self.note_missing(walk, field, self.span.clone());
                return match field.need {
                    Need::Default { written, .. } => written.parse().ok(),
                    _ => None,
                };
            }
        };
        // Whole numbers beyond 2⁵³ lose digits here, but none of them lies inside any limits.
        let value = value.map_or(i64::MAX, |value| value as i64);
        if (least..=most).contains(&value) {
            return Some(value);
        }
        walk.defect(self.path_of(field.key()), span, DefectKind::CountOutOfRange { value, field });
        None
    }

    /// Yes or no.
    pub fn flag(&self, walk: &mut Walk<'_>, field: &'static Field) -> Option<bool> {
        match self.get(walk, field.key())? {
            (DeValue::Boolean(flag), _) => Some(*flag),
            (other, span) => {
                let kind = DefectKind::WrongType { wanted: Wanted::Flag, found: other.type_str() };
                walk.defect(self.path_of(field.key()), span, kind);
                None
            }
        }
    }

    /// Cylinders by name or by number from 1, as indices; unknown ones are noted.
    pub fn cylinders(&self, walk: &mut Walk<'_>, field: &'static Field, names: &[String]) -> Vec<usize> {
        let path = self.path_of(field.key());
        match self.get(walk, field.key()) {
            Some((DeValue::Array(list), span)) => {
                if list.is_empty() {
                    self.note_missing(walk, field, span);
                }
                list.iter().filter_map(|item| one_cylinder(walk, &path, item.get_ref(), item.span(), names)).collect()
            }
            Some((DeValue::String(text), span)) if text.trim().is_empty() => {
                self.note_missing(walk, field, span);
                Vec::new()
            }
            Some((value, span)) => one_cylinder(walk, &path, value, span, names).into_iter().collect(),
            None => {
                self.note_missing(walk, field, self.span.clone());
                Vec::new()
            }
        }
    }
}

fn one_cylinder(walk: &mut Walk<'_>, path: &str, value: &DeValue<'_>, span: Range<usize>, names: &[String]) -> Option<usize> {
    let found = match value {
        DeValue::String(name) => name.trim().to_string(),
        DeValue::Integer(number) => number.as_str().to_string(),
        other => {
            let kind = DefectKind::WrongType { wanted: Wanted::Cylinders, found: other.type_str() };
            walk.defect(path, span, kind);
            return None;
        }
    };
    let by_name = names.iter().position(|name| *name == found);
    let by_number = || found.parse::<usize>().ok().and_then(|number| number.checked_sub(1)).filter(|&i| i < names.len());
    let index = by_name.or_else(by_number);
    if index.is_none() {
        let did_you_mean = most_like(&found, names.iter().map(String::as_str)).map(str::to_string);
        let kind = Inconsistency::NoSuchCylinder { found, did_you_mean, known: names.to_vec() };
        walk.defect(path, span, DefectKind::Inconsistent(kind));
    }
    index
}

fn unknown_choice(found: &str, words: &[&str]) -> DefectKind {
    DefectKind::UnknownChoice {
        found: found.into(),
        did_you_mean: most_like(found, words.iter().copied()).map(str::to_string),
        known: words.iter().map(|word| word.to_string()).collect(),
    }
}

/// The keys of fields and parts.
pub(super) fn known_keys(fields: &[Field], sections: &[&Section]) -> Vec<&'static str> {
    fields.iter().map(Field::key).chain(sections.iter().map(|section| section.key())).collect()
}

/// Bytes of the file that a range inside a text value stands for; the whole value where escapes make them differ.
fn inside(file: &str, value: &DeValue<'_>, span: &Range<usize>, at: &Range<usize>) -> Range<usize> {
    let content = span.start + 1..span.end.saturating_sub(1);
    match value {
        DeValue::String(text) if file.get(content.clone()) == Some(text.as_ref()) => {
            content.start + at.start..content.start + at.end
        }
        _ => span.clone(),
    }
}
