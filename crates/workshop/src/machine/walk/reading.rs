//! Readings: in quotes, or as a table that also says where they come from.

use std::ops::Range;

use quantity::{Dimension, Reading, ReadingError, ReadingErrorKind, Source, Unit};
use toml::de::DeValue;

use super::{
    super::limits::Kind, DefectKind, Field, Inconsistency, Need, Node, Walk, Wanted, Warning, toml_number, unknown_choice,
};

/// Keys of a reading written as a table.
const READING_KEYS: &[&str] = &["value", "with", "from"];

/// What stands where a reading could not be read.
pub(in super::super) fn placeholder() -> Reading {
    Reading { si: f64::NAN, plus_minus_si: f64::NAN, unit: Unit::One, source: Source::NotStated }
}

impl Node<'_> {
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
