//! What can be wrong with a machine file, as data: `sheets` has the words.

use std::ops::Range;

use quantity::{Reading, ReadingError};

use super::limits::Field;

pub use super::inconsistency::Inconsistency;

/// One thing wrong with a machine file.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect {
    /// What.
    pub kind: DefectKind,
    /// Path of the key, such as `trigger.pickup[0].gap`; empty for the file as a whole.
    pub path: String,
    /// Bytes of the file to blame; [`place`](super::place) turns them into line and column.
    pub span: Range<usize>,
}

/// See [`Defect`].
#[derive(Clone, Debug, PartialEq)]
pub enum DefectKind {
    /// Larger than [`MOST_BYTES`](super::MOST_BYTES).
    TooLarge {
        /// Size of the file [bytes].
        bytes: u64,
        /// Most that is read [bytes].
        most: u64,
    },
    /// Not UTF-8.
    NotText,
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
    /// A needed reading is not there, or empty.
    MissingField {
        /// What is missing, with its range and reason.
        field: &'static Field,
    },
    /// A needed part of the file is not there.
    MissingSection {
        /// Its key.
        key: &'static str,
    },
    /// Text where a number is wanted, and so on.
    WrongType {
        /// What is wanted.
        wanted: Wanted,
        /// What TOML calls what stands there.
        found: &'static str,
    },
    /// None of the words that may stand here.
    UnknownChoice {
        /// As written.
        found: String,
        /// The known word that looks most like it.
        did_you_mean: Option<String>,
        /// The words.
        known: Vec<String>,
    },
    /// A reading that cannot be read; its own byte range has been added to [`Defect::span`] where the text has no escapes.
    BadReading {
        /// Why.
        error: ReadingError,
        /// What is wanted here.
        field: &'static Field,
    },
    /// A reading outside its limits.
    OutOfRange {
        /// The reading.
        value: Reading,
        /// Its field, with least, most and why.
        field: &'static Field,
    },
    /// A count outside its limits.
    CountOutOfRange {
        /// The count.
        value: i64,
        /// Its field, with least, most and why.
        field: &'static Field,
    },
    /// Readings that cannot all be true.
    Inconsistent(Inconsistency),
    /// So many defects that the rest is left out; this is the last of them.
    More {
        /// How many are left out.
        left_out: usize,
    },
}

/// What a value must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// A reading in quotes, or a table with `value` and `with` or `from`.
    Reading,
    /// Text in quotes.
    Text,
    /// A whole number.
    Count,
    /// `true` or `false`.
    Flag,
    /// A table.
    Table,
    /// A list of tables.
    Tables,
    /// A cylinder's name, or a list of them.
    Cylinders,
}
