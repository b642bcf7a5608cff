//! A measured number with its doubt and its origin.

use std::fmt;

use crate::{Unit, Value};

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
    /// Given, without a word about how it was come by.
    NotStated,
}

/// A number in SI, with the ± it was given and the unit it was written in.
///
/// `plus_minus` is the half-width that the writer is about 95 % sure of (expanded uncertainty, coverage factor 2,
/// JCGM 100:2008, 6.2), so the standard uncertainty is half of it.
///
/// It prints with its ± to two significant figures and its value to the same place (JCGM 100:2008, 7.2.6), always with
/// a decimal point, and what it prints can be read again.
///
/// ```
/// use quantity::{Dimension, Reading};
/// let reading = Reading::parse("33,2 ± 0.3 mm", Dimension::Length)?;
/// assert_eq!(reading.to_string(), "33.20 ± 0.30 mm");
/// # Ok::<(), quantity::ReadingError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Value in the SI base of its dimension.
    pub si: f64,
    /// Half-width in the same SI base; zero where the number is exact by definition or no ± was given.
    pub plus_minus_si: f64,
    /// Unit as written.
    pub unit: Unit,
    /// Where it came from.
    pub source: Source,
}

/// Figures to which a number without ± is printed: what a 64-bit float still carries after a change of unit.
const EXACT_FIGURES: i32 = 12;

/// Decimals are cut here when printing; finer than any gauge in any of the units.
const MOST_DECIMALS: i32 = 15;

impl Reading {
    /// Standard uncertainty in SI: half of the ±.
    pub fn standard_uncertainty_si(&self) -> f64 {
        0.5 * self.plus_minus_si
    }

    /// The bare number with its standard uncertainty, for combining.
    pub fn value(&self) -> Value {
        Value { si: self.si, standard_uncertainty_si: self.standard_uncertainty_si() }
    }

    /// The same number from another source.
    pub fn from_source(self, source: Source) -> Self {
        Self { source, ..self }
    }

    /// The number in the unit that it was written in.
    pub fn written(&self) -> f64 {
        self.unit.from_si(self.si)
    }
}

impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.unit.from_si(self.si);
        let plus_minus = self.plus_minus_si / self.unit.factor();
        let space = match self.unit {
            Unit::Degree | Unit::DegreeBtdc | Unit::DegreeAtdc | Unit::DegreeBbdc | Unit::DegreeAbdc | Unit::One => "",
            _ => " ",
        };
        let symbol = self.unit.symbol();
        if plus_minus > 0.0 {
            let place = place_of_second_figure(plus_minus);
            let (number, plus_minus) = (rounded(number, place), rounded(plus_minus, place));
            write!(f, "{number} ± {plus_minus}{space}{symbol}")
        } else {
            write!(f, "{}{space}{symbol}", exact(number))
        }
    }
}

/// Decimal places at which the second significant figure stands once the number is rounded to it; negative left of the point.
fn place_of_second_figure(number: f64) -> i32 {
    let text = format!("{number:.1e}");
    let exponent = text.split_once('e').and_then(|(_, e)| e.parse::<i32>().ok()).unwrap_or(0);
    (1 - exponent).min(MOST_DECIMALS)
}

/// A number rounded to a decimal place, which may lie left of the point.
fn rounded(number: f64, place: i32) -> String {
    let text = if place >= 0 {
        format!("{number:.*}", place as usize)
    } else {
        let step = 10f64.powi(-place);
        format!("{:.0}", (number / step).round() * step)
    };
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|b| matches!(b, b'0' | b'.')) => zero.into(),
        _ => text,
    }
}

/// A number without ±: as many figures as are sure, no trailing zeros, and never three decimals that could be taken for thousands.
fn exact(number: f64) -> String {
    if number == 0.0 {
        return "0".into();
    }
    let magnitude = number.abs().log10().floor() as i32;
    let mut text = rounded(number, (EXACT_FIGURES - 1 - magnitude).clamp(0, MOST_DECIMALS));
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text.split_once('.').is_some_and(|(_, decimals)| decimals.len() == 3) {
        text.push('0');
    }
    text
}
