//! Walking a spanned TOML document against the table of [`limits`](super::limits), collecting every defect on the way.
//!
//! Where a value is missing or bad, a defect is noted and a placeholder (NaN, the first choice) is handed on, so that the
//! walk goes on to the end; a document with any defect never becomes a machine, so no placeholder gets out.

mod guess;
mod plain;
mod reading;

use std::{collections::BTreeMap, ops::Range};

use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

use super::{
    defect::{Defect, DefectKind, Inconsistency, Wanted},
    limits::{Field, Need, Section},
};
use crate::{
    document::{self, number as toml_number},
    study::warning::Warning,
};

pub use guess::most_like;
use guess::unknown_choice;
pub(super) use reading::placeholder;

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
        let proves_nothing = self.broken && matches!(kind, DefectKind::MissingField { .. } | DefectKind::MissingSection { .. });
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
        for (name, span, flaw) in self.table.into_iter().flat_map(|table| document::unknown(table, known)) {
            walk.defect(self.path_of(name), span, flaw.into());
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

    /// What each table of a list says; keys that it does not know are refused.
    pub fn rows<'t, R>(
        &self,
        walk: &mut Walk<'t>,
        section: &'static Section,
        of: impl Fn(&Node<'a>, &mut Walk<'t>) -> R,
    ) -> Vec<R> {
        let rows = self.children(walk, section);
        rows.iter()
            .map(|row| {
                row.refuse_unknown_in(walk, section);
                of(row, walk)
            })
            .collect()
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
}

/// The keys of fields and parts.
pub(super) fn known_keys(fields: &[Field], sections: &[&Section]) -> Vec<&'static str> {
    fields.iter().map(Field::key).chain(sections.iter().map(|section| section.key())).collect()
}
