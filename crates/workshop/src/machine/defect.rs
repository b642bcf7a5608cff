//! What can be wrong with a machine file, as data: `sheets` has the words.

use quantity::{Reading, ReadingError};

use super::limits::Field;
use crate::document::{self, Flaw};

pub use super::inconsistency::Inconsistency;

/// One thing wrong with a machine file.
pub type Defect = document::Defect<DefectKind>;

/// See [`Defect`].
#[derive(Clone, Debug, PartialEq)]
pub enum DefectKind {
    /// Of the document, whatever it says.
    Document(Flaw),
    /// Not UTF-8.
    NotText,
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
}

impl From<Flaw> for DefectKind {
    fn from(flaw: Flaw) -> Self {
        Self::Document(flaw)
    }
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
