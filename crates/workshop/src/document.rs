//! What holds for every TOML document that is read, whatever it says: its size, its version, and how its defects are told.

use std::ops::Range;

use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

use crate::machine::most_like;

/// Largest document that is read [bytes] (own choice). A machine with a thousand strobe readings takes a tenth of it.
pub const MOST_BYTES: usize = 1 << 20;
/// Most defects that are told one by one \[1\] (own choice); a file with more is no file that somebody could mend by them.
pub const MOST_DEFECTS: usize = 200;

/// One thing wrong with a document.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect<K> {
    /// What.
    pub kind: K,
    /// Path of the key, such as `trigger.pickup[0].gap`; empty for the file as a whole.
    pub path: String,
    /// Bytes of the file to blame; [`place`](crate::machine::place) turns them into line and column.
    pub span: Range<usize>,
}

/// What can be wrong with any document.
#[derive(Clone, Debug, PartialEq)]
pub enum Flaw {
    /// Larger than [`MOST_BYTES`].
    TooLarge {
        /// Size [bytes].
        bytes: u64,
        /// Most that is read [bytes].
        most: u64,
    },
    /// Not TOML.
    Syntax {
        /// What the TOML library says about it.
        message: String,
    },
    /// Written for a later version of this program.
    NewerVersion {
        /// The version that it asks for.
        found: i64,
        /// The latest that this program reads.
        known: i64,
    },
    /// A key that means nothing here.
    UnknownKey {
        /// The known key that looks most like it.
        did_you_mean: Option<&'static str>,
        /// All keys that mean something here.
        known: Vec<&'static str>,
    },
    /// So many defects that the rest is left out; this is the last of them.
    More {
        /// How many are left out.
        left_out: usize,
    },
}

impl Flaw {
    /// Of the document as a whole.
    pub fn of_whole<K: From<Flaw>>(self) -> Defect<K> {
        Defect { kind: self.into(), path: String::new(), span: 0..0 }
    }
}

/// A document that is larger than is read.
pub(crate) fn fits(bytes: usize) -> Result<(), Flaw> {
    if bytes > MOST_BYTES { Err(Flaw::TooLarge { bytes: bytes as u64, most: MOST_BYTES as u64 }) } else { Ok(()) }
}

/// What the TOML library could not read.
pub(crate) fn syntax<K: From<Flaw>>(errors: Vec<toml::de::Error>) -> Vec<Defect<K>> {
    let one = |error: toml::de::Error| {
        let span = error.span().unwrap_or(0..0);
        Defect { span, ..Flaw::Syntax { message: error.message().into() }.of_whole() }
    };
    errors.into_iter().map(one).collect()
}

/// A file for a later version is not judged by the rules of this one.
pub(crate) fn newer<K: From<Flaw>>(value: Option<&Spanned<DeValue<'_>>>, path: &str, known: i64) -> Option<Defect<K>> {
    let found = value?.get_ref().as_integer()?;
    let found = i64::from_str_radix(found.as_str(), found.radix()).ok()?;
    let kind = Flaw::NewerVersion { found, known }.into();
    (found > known).then(|| Defect { kind, path: path.into(), span: value.map_or(0..0, Spanned::span) })
}

/// Every key of a table that means nothing there, with its place.
pub(crate) fn unknown<'t>(table: &'t DeTable<'t>, known: &[&'static str]) -> impl Iterator<Item = (&'t str, Range<usize>, Flaw)> {
    table.keys().filter(|key| !known.contains(&key.get_ref().as_ref())).map(|key| {
        let name = key.get_ref().as_ref();
        let did_you_mean = most_like(name, known.iter().copied());
        (name, key.span(), Flaw::UnknownKey { did_you_mean, known: known.to_vec() })
    })
}

/// A number that TOML itself has read; `None` for anything else.
pub(crate) fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => i64::from_str_radix(&i.as_str().replace('_', ""), i.radix()).ok().map(|i| i as f64),
        DeValue::Float(f) => f.as_str().replace('_', "").parse().ok(),
        _ => None,
    }
}

/// In the order in which they stand in the file; beyond [`MOST_DEFECTS`] only their number.
pub(crate) fn in_order<K: From<Flaw>>(mut defects: Vec<Defect<K>>) -> Vec<Defect<K>> {
    defects.sort_by_key(|defect| (defect.span.start, defect.span.end));
    if let Some(first) = defects.get(MOST_DEFECTS) {
        let more = Flaw::More { left_out: defects.len() - MOST_DEFECTS };
        let more = Defect { span: first.span.clone(), ..more.of_whole() };
        defects.truncate(MOST_DEFECTS);
        defects.push(more);
    }
    defects
}
