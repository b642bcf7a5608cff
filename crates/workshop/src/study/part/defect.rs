//! What can be wrong with kinds of part, a shelf or a need, as data: `sheets` has the words.

use std::ops::Range;

use quantity::ReadingError;

use crate::study::fault;

/// Where a defect stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum At {
    /// In the file as a whole.
    Whole,
    /// In these bytes of a TOML file.
    Bytes(Range<usize>),
    /// On a line of a CSV file, in a column counted from 1; 0 for the row as a whole.
    Cell {
        /// Line.
        line: u64,
        /// Column.
        column: usize,
    },
}

/// One thing wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect {
    /// What.
    pub kind: DefectKind,
    /// Key or column; empty for a row or the file as a whole.
    pub path: String,
    /// Where.
    pub at: At,
}

/// See [`Defect`].
#[derive(Clone, Debug, PartialEq)]
pub enum DefectKind {
    /// As in any data of this program: syntax, missing and unknown keys, wrong types, numbers out of range.
    Form(fault::DefectKind),
    /// A reading that was refused.
    Reading(ReadingError),
    /// None of the words that may stand here.
    Word {
        /// As written.
        found: String,
        /// The known word that looks most like it.
        did_you_mean: Option<String>,
        /// The words.
        known: Vec<String>,
    },
    /// A key or column that a part of this kind does not have.
    NoAttribute {
        /// The kind.
        kind: String,
        /// The known one that looks most like it.
        did_you_mean: Option<String>,
        /// Those that it has.
        known: Vec<String>,
    },
    /// A column that no kind has.
    NoColumn {
        /// The known one that looks most like it.
        did_you_mean: Option<String>,
    },
    /// A second thing of one name.
    Twice {
        /// The name.
        name: String,
    },
    /// An attribute needs either `measure` or `words`, not both.
    MeasureOrWords,
    /// A number that counts needs one tolerance, words none: one pair of `share_…`, of `below` and `above`, or of `least` and `most`.
    OneTolerance,
    /// The least is above the most, or a tolerance is below nothing.
    Backwards,
    /// A link from a number to a word, or between numbers of another dimension.
    NotAlike,
    /// `when` beside an attribute of words, or `has` beside a number.
    OtherSort,
    /// A share of what is needed, and what is needed is not above nothing.
    NotAboveNothing,
    /// The trade's own range holds whatever is needed; only `any` may stand here.
    RangeHolds,
    /// Neither or both of measured and quoted.
    MeasuredOrQuoted,
    /// Brackets after a value that do not say how it is known.
    BadOrigin {
        /// As written.
        found: String,
    },
    /// No name of a file, or a path.
    BadPhoto {
        /// As written.
        found: String,
    },
    /// No price with its currency.
    BadPrice {
        /// As written.
        found: String,
    },
    /// A price without the day on which it was asked, or the place.
    PriceSeen,
    /// A day or place without a price.
    NoPrice,
    /// No day.
    BadDay {
        /// As written.
        found: String,
    },
    /// The first row names no column that is known.
    NoHeader,
    /// More or fewer cells than the first row has columns.
    CellCount {
        /// Cells.
        cells: usize,
        /// Columns.
        columns: usize,
    },
    /// A quoted cell that never ends.
    QuoteOpen,
    /// Not UTF-8.
    NotText,
    /// A row longer than is read.
    RowTooLong {
        /// Most that is read [bytes].
        most: usize,
    },
    /// Larger than is read.
    TooLarge {
        /// Most that is read [bytes].
        most: u64,
    },
    /// More parts than are read.
    TooManyParts {
        /// Most.
        most: usize,
    },
    /// Not one part.
    NoParts,
    /// A workshop's own file without a kind, an adaptation or a set.
    NothingOwn,
    /// So many defects that the rest is left out.
    More {
        /// How many.
        left_out: usize,
    },
}

/// Defects on the way, of this part's own kinds; those of the walk come beside them.
#[derive(Debug, Default)]
pub(super) struct Wrong {
    /// They.
    pub defects: Vec<Defect>,
}

impl Wrong {
    /// Notes one.
    pub fn note(&mut self, path: impl Into<String>, at: At, kind: DefectKind) {
        self.defects.push(Defect { kind, path: path.into(), at });
    }

    /// The value, if nothing is wrong anywhere; otherwise all defects in the order in which they stand in the file.
    pub fn or<T>(self, read: Result<T, Vec<fault::Defect>>) -> Result<T, Vec<Defect>> {
        let mut all = self.defects;
        match read {
            Ok(value) if all.is_empty() => return Ok(value),
            Ok(_) => {}
            Err(form) => all.extend(form.into_iter().map(|d| Defect {
                at: if d.path.is_empty() && d.span == (0..0) { At::Whole } else { At::Bytes(d.span) },
                kind: DefectKind::Form(d.kind),
                path: d.path,
            })),
        }
        Err(cut(all))
    }
}

/// In the order of the file; beyond the most that are told only their number.
pub(super) fn cut(mut all: Vec<Defect>) -> Vec<Defect> {
    all.sort_by_key(|d| match &d.at {
        At::Whole => (0, 0),
        At::Bytes(span) => (span.start as u64, span.end),
        At::Cell { line, column } => (*line, *column),
    });
    if all.len() > fault::MOST_DEFECTS {
        let left_out = all.len() - fault::MOST_DEFECTS;
        all.truncate(fault::MOST_DEFECTS);
        all.push(Defect { kind: DefectKind::More { left_out }, path: String::new(), at: At::Whole });
    }
    all
}
