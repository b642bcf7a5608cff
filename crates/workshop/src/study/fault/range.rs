//! Limits of the numbers in fault data, declared once.

/// Why a number must lie within its limits: `sheets` has the words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// No cause is ever cut off, and no test is sure.
    NeverSure,
    /// Shares of a hundred.
    OfHundred,
    /// More than a working day is no single step.
    WithinADay,
    /// So many cylinders nothing has that comes here.
    Cylinders,
    /// More jobs than a workshop sees in its life.
    Jobs,
    /// No tolerance is wider.
    Tolerance,
}

/// Least and most of a number.
#[derive(Debug, PartialEq)]
pub struct Limit {
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// Why.
    pub why: Why,
}

/// A chance \[1\]: one answer in fifty is wrong even with the surest test (own choice). [`infer`](super::infer) rests on it.
pub const CHANCE: Limit = Limit { least: 0.02, most: 0.98, why: Why::NeverSure };
/// A weight \[1\], of a hundred, by definition.
pub const WEIGHT: Limit = Limit { least: 0.1, most: 99.0, why: Why::OfHundred };
/// What is left over \[1\], of a hundred, by definition: something always is.
pub const OTHER: Limit = Limit { least: 1.0, most: 99.0, why: Why::OfHundred };
/// A time [min] (own choice).
pub const MINUTES: Limit = Limit { least: 1.0, most: 600.0, why: Why::WithinADay };
/// A time to bring a complaint on again [min] (own choice).
pub const REPEAT: Limit = Limit { least: 0.0, most: 120.0, why: Why::WithinADay };
/// Cylinders (own choice).
pub const CYLINDERS: Limit = Limit { least: 1.0, most: 12.0, why: Why::Cylinders };
/// Strokes, by definition.
pub const STROKES: Limit = Limit { least: 2.0, most: 4.0, why: Why::Cylinders };
/// Jobs (own choice).
pub const JOBS: Limit = Limit { least: 0.0, most: 100_000.0, why: Why::Jobs };
