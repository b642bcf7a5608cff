//! What can be wrong with a file of readings.

use super::{Column, MOST_BYTES, MOST_ROWS};
use quantity::ReadingError;
use sheets::words::{self, exchange as text};

/// One thing wrong, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect {
    /// Line of the file, from 1; 0 for the file as a whole.
    pub line: u64,
    /// Name of the column, as the header has it; empty for a whole row.
    pub column: String,
    /// What stands there.
    pub value: String,
    /// What is wrong with it.
    pub what: What,
}

/// See [`Defect`].
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// Larger than [`MOST_BYTES`].
    TooLarge,
    /// Not UTF-8.
    NotText,
    /// A quoted cell is never closed.
    QuoteOpen,
    /// No column of ours in the first row.
    NoHeader,
    /// A header row and nothing below.
    NoRows,
    /// More than [`MOST_ROWS`].
    TooManyRows,
    /// A column that means nothing here.
    UnknownColumn {
        /// The column that looks most like it.
        did_you_mean: Option<&'static str>,
    },
    /// A column that is there twice.
    ColumnTwice,
    /// A column that is needed.
    ColumnMissing,
    /// A row with more or fewer cells than the header.
    Cells {
        /// Cells of the row.
        found: usize,
        /// Cells of the header.
        wanted: usize,
        /// The sign between them.
        separator: char,
    },
    /// Nothing where something is needed.
    Empty,
    /// None of the words that may stand here.
    UnknownWord {
        /// The word that looks most like it.
        did_you_mean: Option<&'static str>,
        /// Words that may stand here, if they are few.
        known: Vec<&'static str>,
    },
    /// A number that cannot be read.
    Number(ReadingError),
    /// Two columns say different things.
    Disagrees {
        /// What the columns with value, ± and unit say.
        with: String,
    },
    /// Colder than can be.
    BelowAbsoluteZero,
    /// More letters than are kept.
    TooLong {
        /// The limit.
        most: usize,
    },
    /// A sign that is not to be seen, or that turns the direction of what follows.
    Hidden {
        /// Its number in Unicode.
        sign: u32,
    },
    /// No time.
    Time,
    /// Readings of several jobs, which are taken in one at a time.
    SeveralJobs,
    /// So many defects that the rest is left out.
    More {
        /// How many.
        left_out: usize,
    },
}

impl Defect {
    /// The whole of it in words: place, value, what is wrong, what to do.
    pub fn words(&self) -> String {
        let known: Vec<&str> = Column::ALL.iter().map(|c| c.name()).collect();
        let said = match &self.what {
            What::TooLarge => text::csv_too_large(MOST_BYTES),
            What::NotText => text::CSV_NOT_TEXT.to_owned(),
            What::QuoteOpen => text::CSV_QUOTE_OPEN.to_owned(),
            What::NoHeader => text::csv_no_header(&known),
            What::NoRows => text::CSV_NO_ROWS.to_owned(),
            What::TooManyRows => text::csv_too_many_rows(MOST_ROWS),
            What::UnknownColumn { did_you_mean } => text::csv_unknown_column(*did_you_mean, &known),
            What::ColumnTwice => text::CSV_COLUMN_TWICE.to_owned(),
            What::ColumnMissing => text::CSV_COLUMN_MISSING.to_owned(),
            What::Cells { found, wanted, separator } => text::csv_cells(*found, *wanted, *separator),
            What::Empty => text::CSV_EMPTY.to_owned(),
            What::UnknownWord { did_you_mean, known } => text::unknown_word(*did_you_mean, known),
            What::Number(error) => words::reading_error(error),
            What::Disagrees { with } => text::csv_disagrees(with),
            What::BelowAbsoluteZero => text::BELOW_ABSOLUTE_ZERO.to_owned(),
            What::TooLong { most } => text::too_long(self.value.chars().count(), *most),
            What::Hidden { sign } => text::hidden(*sign),
            What::Time => text::NO_TIME.to_owned(),
            What::SeveralJobs => text::CSV_SEVERAL_JOBS.to_owned(),
            What::More { left_out } => return text::more_defects(*left_out),
        };
        text::in_cell(self.line, &self.column, &self.value, &said)
    }
}
