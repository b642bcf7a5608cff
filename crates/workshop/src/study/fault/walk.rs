//! Walking a spanned TOML document of fault data, collecting every defect on the way.
//!
//! Where a value is missing or bad, a defect is noted and a placeholder is handed on, so that the walk goes on to the end; a document with
//! any defect never becomes data, so no placeholder gets out.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::{
    defect::{Defect, DefectKind, Wanted},
    range::Limit,
};
use crate::{
    document::{self, number},
    machine::most_like,
};

/// What is gathered on the way.
pub struct Walk {
    /// What is wrong.
    pub defects: Vec<Defect>,
    /// The text is broken TOML: what is missing may stand in the broken part, so missing keys prove nothing.
    pub broken: bool,
}

/// A text and where it stands.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The text.
    pub text: String,
    /// Its path.
    pub path: String,
    /// Its bytes.
    pub span: Range<usize>,
}

/// One table of the document.
pub struct Item<'a> {
    /// Its path.
    pub path: String,
    /// Its bytes.
    pub span: Range<usize>,
    table: &'a DeTable<'a>,
}

impl Walk {
    /// Notes a defect.
    pub fn defect(&mut self, path: impl Into<String>, span: Range<usize>, kind: DefectKind) {
        let proves_nothing = self.broken && matches!(kind, DefectKind::MissingKey { .. } | DefectKind::NothingShows { .. });
        if !proves_nothing {
            self.defects.push(Defect { kind, path: path.into(), span });
        }
    }

    fn wrong(&mut self, path: String, span: Range<usize>, wanted: Wanted, found: &DeValue<'_>) {
        self.defect(path, span, DefectKind::WrongType { wanted, found: found.type_str() });
    }
}

impl<'a> Item<'a> {
    /// The whole document.
    pub fn root(table: &'a DeTable<'a>) -> Self {
        Self { path: String::new(), span: 0..0, table }
    }

    /// Path of a key of this table.
    pub fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.into() } else { format!("{}.{key}", self.path) }
    }

    /// Where a key's value stands, or the table where it would stand.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.table.get(key).map_or_else(|| self.span.clone(), |value| value.span())
    }

    /// Its keys, as they stand in the document's order of letters.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.table.keys().map(|key| key.get_ref().as_ref())
    }

    /// Whether a list stands at a key.
    pub fn is_list(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::Array(_)))
    }

    /// Whether a key is there.
    pub fn has(&self, key: &str) -> bool {
        self.table.get(key).is_some()
    }

    /// Notes every key that means nothing here.
    pub fn refuse_unknown(&self, walk: &mut Walk, known: &[&'static str]) {
        for (name, span, flaw) in document::unknown(self.table, known) {
            walk.defect(self.path_of(name), span, flaw.into());
        }
    }

    fn missing(&self, walk: &mut Walk, key: &'static str) {
        walk.defect(self.path_of(key), self.span.clone(), DefectKind::MissingKey { key });
    }

    /// A text that may be missing.
    pub fn optional_text(&self, walk: &mut Walk, key: &str) -> Option<Placed> {
        let value = self.table.get(key)?;
        let (path, span) = (self.path_of(key), value.span());
        match value.get_ref() {
            DeValue::String(text) if text.trim().is_empty() => {
                walk.defect(path, span, DefectKind::Empty);
                None
            }
            DeValue::String(text) => Some(Placed { text: text.trim().into(), path, span }),
            other => {
                walk.wrong(path, span, Wanted::Text, other);
                None
            }
        }
    }

    /// A text that must be there.
    pub fn text(&self, walk: &mut Walk, key: &'static str) -> Placed {
        let nothing = Placed { text: String::new(), path: self.path_of(key), span: self.span.clone() };
        if !self.has(key) {
            self.missing(walk, key);
            return nothing;
        }
        self.optional_text(walk, key).unwrap_or(nothing)
    }

    /// A name: small letters, digits, hyphens.
    pub fn name(&self, walk: &mut Walk, key: &'static str) -> Placed {
        let name = self.text(walk, key);
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if !name.text.is_empty() && (!name.text.chars().all(plain) || name.text.starts_with('-')) {
            walk.defect(name.path.clone(), name.span.clone(), DefectKind::BadName { found: name.text.clone() });
        }
        name
    }

    /// A number within its limits; where it is bad something that is no number stands in, which is neither more nor less than another.
    pub fn number(&self, walk: &mut Walk, key: &'static str, limit: &'static Limit) -> f64 {
        let Some(value) = self.table.get(key) else {
            self.missing(walk, key);
            return f64::NAN;
        };
        let Some(found) = number(value.get_ref()) else {
            walk.wrong(self.path_of(key), value.span(), Wanted::Number, value.get_ref());
            return f64::NAN;
        };
        if !(limit.least..=limit.most).contains(&found) {
            walk.defect(self.path_of(key), value.span(), DefectKind::OutOfRange { value: found, limit });
            return f64::NAN;
        }
        found
    }

    /// A whole number that may be missing.
    pub fn count_or(&self, walk: &mut Walk, key: &'static str, limit: &'static Limit, otherwise: u32) -> u32 {
        match self.table.get(key) {
            None => otherwise,
            // The limits keep it small enough for a u32.
            Some(value) if matches!(value.get_ref(), DeValue::Integer(_)) => self.number(walk, key, limit) as u32,
            Some(value) => {
                walk.wrong(self.path_of(key), value.span(), Wanted::Count, value.get_ref());
                otherwise
            }
        }
    }

    /// Yes or no; no where it is missing.
    pub fn flag(&self, walk: &mut Walk, key: &'static str) -> bool {
        match self.table.get(key).map(|value| (value.get_ref(), value.span())) {
            None => false,
            Some((DeValue::Boolean(flag), _)) => *flag,
            Some((other, span)) => {
                walk.wrong(self.path_of(key), span, Wanted::Flag, other);
                false
            }
        }
    }

    /// A list of texts; `None` where it is missing.
    pub fn texts(&self, walk: &mut Walk, key: &str) -> Option<Vec<Placed>> {
        let value = self.table.get(key)?;
        let path = self.path_of(key);
        let DeValue::Array(list) = value.get_ref() else {
            walk.wrong(path, value.span(), Wanted::Texts, value.get_ref());
            return Some(Vec::new());
        };
        let mut texts = Vec::new();
        for (i, item) in list.iter().enumerate() {
            let path = format!("{path}[{i}]");
            match item.get_ref() {
                DeValue::String(text) => texts.push(Placed { text: text.trim().into(), path, span: item.span() }),
                other => walk.wrong(path, item.span(), Wanted::Text, other),
            }
        }
        Some(texts)
    }

    /// A list of whole numbers within their limits.
    pub fn counts(&self, walk: &mut Walk, key: &'static str, limit: &'static Limit) -> Vec<u8> {
        let Some(value) = self.table.get(key) else { return Vec::new() };
        let path = self.path_of(key);
        let DeValue::Array(list) = value.get_ref() else {
            walk.wrong(path, value.span(), Wanted::Counts, value.get_ref());
            return Vec::new();
        };
        let mut counts = Vec::new();
        for (i, item) in list.iter().enumerate() {
            let path = format!("{path}[{i}]");
            match (item.get_ref(), number(item.get_ref())) {
                (DeValue::Integer(_), Some(n)) if (limit.least..=limit.most).contains(&n) => counts.push(n as u8),
                (DeValue::Integer(_), n) => {
                    walk.defect(path, item.span(), DefectKind::OutOfRange { value: n.unwrap_or(f64::INFINITY), limit });
                }
                (other, _) => walk.wrong(path, item.span(), Wanted::Count, other),
            }
        }
        counts
    }

    /// One of some things by its word; `None` where it is missing or bad.
    pub fn word<T: Copy>(&self, walk: &mut Walk, key: &'static str, words: &'static [&'static str], things: &[T]) -> Option<T> {
        let found = self.optional_text(walk, key)?;
        thing(walk, &found, words, things)
    }

    /// One of some things that must be there; the first stands in.
    pub fn needed_word<T: Copy>(&self, walk: &mut Walk, key: &'static str, words: &'static [&'static str], things: &[T]) -> T {
        if !self.has(key) {
            self.missing(walk, key);
        }
        self.word(walk, key, words, things).unwrap_or(things[0])
    }

    /// Some of some things by their words; `None` where the list is missing.
    pub fn words<T: Copy>(
        &self,
        walk: &mut Walk,
        key: &'static str,
        words: &'static [&'static str],
        things: &[T],
    ) -> Option<Vec<T>> {
        let found = self.texts(walk, key)?;
        Some(found.iter().filter_map(|word| thing(walk, word, words, things)).collect())
    }

    /// A table that must be there.
    pub fn table(&self, walk: &mut Walk, key: &'static str) -> Option<Item<'a>> {
        if !self.has(key) {
            self.missing(walk, key);
        }
        self.optional_table(walk, key)
    }

    /// A table that may be missing.
    pub fn optional_table(&self, walk: &mut Walk, key: &str) -> Option<Item<'a>> {
        let value = self.table.get(key)?;
        match value.get_ref() {
            DeValue::Table(table) => Some(Item { path: self.path_of(key), span: value.span(), table }),
            other => {
                walk.wrong(self.path_of(key), value.span(), Wanted::Table, other);
                None
            }
        }
    }

    /// All tables of a list of them; none where it is missing.
    pub fn tables(&self, walk: &mut Walk, key: &'static str) -> Vec<Item<'a>> {
        let Some(value) = self.table.get(key) else { return Vec::new() };
        let path = self.path_of(key);
        let DeValue::Array(list) = value.get_ref() else {
            walk.wrong(path, value.span(), Wanted::Tables, value.get_ref());
            return Vec::new();
        };
        let mut tables = Vec::new();
        for (i, item) in list.iter().enumerate() {
            match item.get_ref() {
                DeValue::Table(table) => tables.push(Item { path: format!("{path}[{i}]"), span: item.span(), table }),
                other => walk.wrong(format!("{path}[{i}]"), item.span(), Wanted::Table, other),
            }
        }
        tables
    }

    /// The same, of which there must be some.
    pub fn needed_tables(&self, walk: &mut Walk, key: &'static str) -> Vec<Item<'a>> {
        let tables = self.tables(walk, key);
        if tables.is_empty() {
            self.missing(walk, key);
        }
        tables
    }
}

fn thing<T: Copy>(walk: &mut Walk, found: &Placed, words: &'static [&'static str], things: &[T]) -> Option<T> {
    let place = words.iter().position(|word| *word == found.text);
    if place.is_none() {
        let did_you_mean = most_like(&found.text, words.iter().copied());
        let kind = DefectKind::UnknownWord { found: found.text.clone(), did_you_mean, known: words };
        walk.defect(found.path.clone(), found.span.clone(), kind);
    }
    things.get(place?).copied()
}
