//! The readings of a machine file as fields to fill in: what may stand there comes from the limits, what stands there
//! from the text.

use toml::{Table, Value};
use workshop::machine::limits::{self, Field, Section};

/// A part of the file with the fields in it.
#[derive(Debug)]
pub struct Part {
    /// What the mechanic calls it, with its number where there are several.
    pub label: String,
    /// Path of the part, such as `trigger.pickup[0]`.
    pub path: String,
    /// Does the file have it?
    pub there: bool,
    /// Is it one of a plain list, which may grow and shrink?
    pub row: bool,
    /// Its fields.
    pub fields: Vec<Entry>,
}

/// One field.
#[derive(Debug)]
pub struct Entry {
    /// Path in the file, such as `trigger.pickup[0].gap`.
    pub path: String,
    /// What may stand there.
    pub field: &'static Field,
    /// What stands there, as written; empty where nothing does.
    pub written: String,
    /// Where it came from, as written: the instrument, or `maker`, `estimate`.
    pub origin: Origin,
}

/// Where a reading came from, as the file says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The file does not say.
    Unsaid,
    /// `with = "…"`.
    With(String),
    /// `from = "…"`.
    From(String),
}

/// Every part of the file in the order of the limits, the absent ones with empty fields. A text that is not TOML has
/// no parts.
pub fn parts(text: &str) -> Vec<Part> {
    let Ok(table) = text.trim_start_matches('\u{feff}').parse::<Table>() else { return Vec::new() };
    let mut all = Vec::new();
    let whole = Place { path: String::new(), label: limits::FILE.label.to_owned(), row: false };
    walk(&limits::FILE, Some(&table), whole, &mut all);
    all
}

struct Place {
    path: String,
    label: String,
    row: bool,
}

fn walk(section: &'static Section, table: Option<&Table>, place: Place, into: &mut Vec<Part>) {
    let Place { path, label, row } = place;
    let kind = table.and_then(|t| t.get("kind")).and_then(Value::as_str);
    let variant = section.variants.iter().find(|v| Some(v.kind) == kind);
    let fields = section.fields.iter().chain(variant.map_or(&[][..], |v| v.fields));
    let fields: Vec<Entry> = fields
        // The layout's version is the program's business.
        .filter(|field| field.path != "tickover")
        .map(|field| {
            let (written, origin) = table.and_then(|t| t.get(field.key())).map_or((String::new(), Origin::Unsaid), spell);
            Entry { path: join(&path, field.key()), field, written, origin }
        })
        .collect();
    if !fields.is_empty() {
        into.push(Part { label, path: path.clone(), there: table.is_some(), row, fields });
    }
    for inner in section.sections.iter().chain(variant.map_or(&[][..], |v| v.sections)) {
        let value = table.and_then(|t| t.get(inner.key()));
        let at = join(&path, inner.key());
        if inner.many {
            let tables = value.and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
            let row = inner.grows();
            let place = |n: usize| Place { path: format!("{at}[{n}]"), label: format!("{} {}", inner.label, n + 1), row };
            // Room for the next one, before those that are there.
            if row {
                walk(inner, None, place(tables.len()), into);
            }
            for (n, each) in tables.iter().enumerate() {
                walk(inner, each.as_table(), place(n), into);
            }
        } else {
            let place = Place { path: at, label: inner.label.to_owned(), row: false };
            walk(inner, value.and_then(Value::as_table), place, into);
        }
    }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

/// A value as it is typed into a field.
fn spell(value: &Value) -> (String, Origin) {
    match value {
        Value::Table(t) => {
            let text = |key| t.get(key).map(|v| spell(v).0);
            let origin = match (text("with"), text("from")) {
                (Some(with), _) => Origin::With(with),
                (None, Some(from)) => Origin::From(from),
                (None, None) => Origin::Unsaid,
            };
            (text("value").unwrap_or_default(), origin)
        }
        Value::String(s) => (s.clone(), Origin::Unsaid),
        Value::Array(all) => (all.iter().map(|v| spell(v).0).collect::<Vec<_>>().join("; "), Origin::Unsaid),
        other => (other.to_string(), Origin::Unsaid),
    }
}
