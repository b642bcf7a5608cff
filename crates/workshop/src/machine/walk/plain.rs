//! Everything that is no reading: text, words, counts, yes or no, cylinders.

use std::ops::Range;

use toml::de::DeValue;

use super::{
    super::limits::Kind, DefectKind, Field, Inconsistency, Need, Node, Walk, Wanted, most_like, toml_number, unknown_choice,
};

impl Node<'_> {
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
