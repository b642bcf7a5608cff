//! A measured number with its doubt and its origin.

use crate::Unit;

/// Where a number came from. Travels with it to page and paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// Measured, with what.
    Measured {
        /// The instrument.
        with: String,
    },
    /// The maker's figure.
    Maker,
    /// Somebody's estimate.
    Estimate,
    /// The project's default, used because nothing was given.
    Default,
}

/// A number in SI, with the ± it was given and the unit it was written in.
///
/// `plus_minus` is the half-width that the writer is about 95 % sure of (expanded uncertainty, coverage factor 2,
/// JCGM 100:2008, 6.2), so the standard uncertainty is half of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Value in the SI base of its dimension.
    pub si: f64,
    /// Half-width in the same SI base; zero where the number is exact by definition.
    pub plus_minus_si: f64,
    /// Unit as written.
    pub unit: Unit,
    /// Where it came from.
    pub source: Source,
}

impl Reading {
    /// Standard uncertainty in SI: half of the ±.
    pub fn standard_uncertainty_si(&self) -> f64 {
        0.5 * self.plus_minus_si
    }
}
