//! What can be wrong with a write-up from elsewhere.

use super::{FORMAT, read::DEEPEST};
use quantity::ReadingError;
use sheets::words::exchange as text;
use workshop::machine::Defect;

/// Why a write-up cannot be taken in.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Larger than [`MOST_BYTES`], or its data larger than it may be.
    TooLarge {
        /// The limit [bytes].
        most: usize,
    },
    /// Not UTF-8.
    NotText,
    /// No block with data: no write-up.
    NoData,
    /// More than one block.
    SeveralBlocks,
    /// Written by a later version.
    Newer {
        /// Its version.
        found: u64,
    },
    /// Nested deeper than it may be.
    TooDeep,
    /// Not the JSON that it should be.
    Form {
        /// What the JSON library says.
        said: String,
    },
    /// Too many of something.
    TooMany {
        /// What.
        what: &'static str,
        /// How many.
        found: usize,
        /// The limit.
        most: usize,
    },
    /// Text longer than it may be.
    TooLong {
        /// Where.
        place: String,
        /// Letters.
        found: usize,
        /// The limit.
        most: usize,
    },
    /// A sign that is not to be seen, or that turns the direction of what follows.
    Hidden {
        /// Where.
        place: String,
        /// Its number in Unicode.
        sign: u32,
    },
    /// Nothing where something is needed.
    Empty {
        /// Where.
        place: String,
    },
    /// The machine file's.
    Machine {
        /// Line.
        line: usize,
        /// Column.
        column: usize,
        /// What is wrong.
        defect: Box<Defect>,
    },
    /// A quantity that is not known.
    Quantity {
        /// Where.
        place: String,
        /// As written.
        found: String,
        /// The one that looks most like it.
        did_you_mean: Option<&'static str>,
    },
    /// A number that cannot be read.
    Number {
        /// Where.
        place: String,
        /// As written.
        found: String,
        /// Why.
        error: ReadingError,
    },
    /// Colder than can be.
    BelowAbsoluteZero {
        /// Where.
        place: String,
    },
    /// No day.
    Day {
        /// Where.
        place: String,
        /// As written.
        found: String,
    },
    /// A measure of work that is no length or angle of a motorcycle.
    Measure {
        /// Where.
        place: String,
        /// As written.
        found: f64,
    },
    /// A picture named in the data is not in the page, or not of its kind, or has another hash.
    Picture {
        /// Where.
        place: String,
        /// Which of these.
        why: PictureFault,
    },
    /// So many that the rest is left out.
    More {
        /// How many.
        left_out: usize,
    },
}

/// See [`Fault::Picture`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureFault {
    /// It is not in the page.
    Missing,
    /// Its bytes cannot be read.
    Unreadable,
    /// Its bytes have another hash.
    OtherHash,
    /// It is no JPEG or PNG, is broken, or is not what it says.
    Content,
    /// It is named twice.
    Twice,
}

impl Fault {
    /// In words, with what to do.
    pub fn words(&self) -> String {
        match self {
            Fault::TooLarge { most } => text::too_large(*most),
            Fault::NotText | Fault::NoData => text::NO_WRITE_UP.to_owned(),
            Fault::SeveralBlocks => text::SEVERAL_BLOCKS.to_owned(),
            Fault::Newer { found } => text::newer_write_up(*found, FORMAT),
            Fault::TooDeep => text::too_deep(DEEPEST),
            Fault::Form { said } => text::wrong_form(said),
            Fault::TooMany { what, found, most } => text::too_many(what, *found, *most),
            Fault::TooLong { place, found, most } => text::at(place, &text::too_long(*found, *most)),
            Fault::Hidden { place, sign } => text::at(place, &text::hidden(*sign)),
            Fault::Empty { place } => text::at(place, text::EMPTY),
            Fault::Machine { line, column, defect } => {
                text::in_machine_file(*line, *column, &sheets::words::defect_sentence(defect))
            }
            Fault::Quantity { place, found, did_you_mean } => {
                text::at_value(place, found, &text::unknown_word(*did_you_mean, &[]))
            }
            Fault::Number { place, found, error } => text::at_value(place, found, &sheets::words::reading_error(error)),
            Fault::BelowAbsoluteZero { place } => text::at(place, text::BELOW_ABSOLUTE_ZERO),
            Fault::Day { place, found } => text::at_value(place, found, text::NO_TIME),
            Fault::Measure { place, found } => text::at_value(place, &found.to_string(), text::NO_MEASURE),
            Fault::Picture { place, why } => text::at(
                place,
                match why {
                    PictureFault::Missing => text::PICTURE_MISSING,
                    PictureFault::Unreadable => text::PICTURE_UNREADABLE,
                    PictureFault::OtherHash => text::PICTURE_OTHER_HASH,
                    PictureFault::Content => text::PICTURE_CONTENT,
                    PictureFault::Twice => text::PICTURE_TWICE,
                },
            ),
            Fault::More { left_out } => text::more_defects(*left_out),
        }
    }
}
