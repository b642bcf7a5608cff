//! What can be wrong with a written reading. Sentences for people are made elsewhere; `Display` is for developers.

use std::ops::Range;

use crate::{Dimension, Unit};

/// A reading that was refused, and the bytes of its text that are to blame.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{kind} at bytes {}..{}", at.start, at.end)]
pub struct ReadingError {
    /// What is wrong.
    pub kind: ReadingErrorKind,
    /// Bytes of the text.
    pub at: Range<usize>,
}

/// See [`ReadingError`].
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ReadingErrorKind {
    /// Nothing but space.
    #[error("empty")]
    Empty,
    /// Something else stands where a number must be.
    #[error("not a number: {found:?}")]
    NotANumber {
        /// What stands there.
        found: String,
    },
    /// NaN or infinity.
    #[error("not finite: {found:?}")]
    NotFinite {
        /// As written.
        found: String,
    },
    /// Larger than [`MOST_WRITTEN`](crate::MOST_WRITTEN) in SI.
    #[error("too large: {found:?}")]
    TooLarge {
        /// As written.
        found: String,
    },
    /// Separators that form no number, such as `1.2.3` or `1,23.456,7`.
    #[error("separators: {found:?}")]
    BadSeparators {
        /// As written.
        found: String,
    },
    /// One separator before three digits: a decimal sign or a thousands sign, and nothing to tell which.
    #[error("ambiguous: {decimal} or {thousands}")]
    Ambiguous {
        /// The reading with a decimal sign.
        decimal: f64,
        /// The reading with a thousands sign.
        thousands: f64,
    },
    /// A fraction over nothing.
    #[error("division by zero")]
    DivisionByZero,
    /// A ± that no number follows.
    #[error("nothing after the plus-minus sign")]
    PlusMinusMissing,
    /// A ± below zero.
    #[error("negative plus-minus")]
    PlusMinusNegative,
    /// A ± in per cent of a temperature, which depends on where its zero lies.
    #[error("per cent of a temperature")]
    PercentOfTemperature,
    /// The unit is needed and not there.
    #[error("unit missing for {wanted:?}")]
    UnitMissing {
        /// What is asked for; [`Dimension::units`] are accepted.
        wanted: Dimension,
    },
    /// No unit is spelled like this.
    #[error("unknown unit {found:?}")]
    UnitUnknown {
        /// As written.
        found: String,
        /// What is asked for; [`Dimension::units`] are accepted.
        wanted: Dimension,
    },
    /// A unit of something else.
    #[error("{found:?} is no unit of {wanted:?}")]
    UnitWrong {
        /// The unit written.
        found: Unit,
        /// What is asked for; [`Dimension::units`] are accepted.
        wanted: Dimension,
    },
}
