//! Prices as they are printed.

use iso_currency::Currency;
use quantity::{Dimension, Reading, ReadingError, Unit};
use std::fmt;

/// Money: a whole number of the currency's smallest unit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Money {
    /// Cents, pence, yen.
    pub minor: i64,
    /// Three letters of ISO 4217.
    pub currency: String,
}

/// Decimals of a currency: as ISO 4217 has them, two where it has none.
pub fn decimals(currency: &str) -> u32 {
    Currency::from_code(currency).and_then(Currency::exponent).map_or(2, u32::from)
}

/// Why a price cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub enum MoneyError {
    /// The number in it.
    Number(ReadingError),
    /// No currency is written, and none was used before.
    NoCurrency,
    /// ISO 4217 has no such code.
    UnknownCurrency {
        /// As written.
        code: String,
    },
    /// More decimals than the currency has.
    TooFine {
        /// The currency.
        currency: String,
        /// Decimals that it has.
        decimals: u32,
    },
    /// Less than nothing.
    Negative,
    /// A ± or a unit beside the number.
    NotPlain,
}

impl From<&jobbook::Price> for Money {
    fn from(price: &jobbook::Price) -> Money {
        Money { minor: price.minor, currency: price.currency.clone() }
    }
}

impl Money {
    /// Reads a price as it is typed: `12.50 EUR`, `EUR 12,50`, `€ 12`, or `12.50` where a currency is usual.
    ///
    /// # Errors
    /// [`MoneyError`]; nothing is rounded and nothing guessed.
    ///
    /// ```
    /// use sheets::job::{Money, MoneyError};
    /// let read = |text, usual| Money::parse(text, usual).map(|m| (m.minor, m.currency));
    /// assert_eq!(read("12,50 eur", None), Ok((1250, "EUR".to_owned())));
    /// assert_eq!(read("1500", Some("JPY")), Ok((1500, "JPY".to_owned())));
    /// assert_eq!(read("12.50", None), Err(MoneyError::NoCurrency));
    /// assert_eq!(read("0.5 JPY", None), Err(MoneyError::TooFine { currency: "JPY".to_owned(), decimals: 0 }));
    /// ```
    pub fn parse(text: &str, usual: Option<&str>) -> Result<Money, MoneyError> {
        let is_mark = |c: char| c.is_alphabetic() || "€£$¥".contains(c);
        let mark: String = text.chars().filter(|c| is_mark(*c)).collect();
        let number: String = text.chars().filter(|c| !is_mark(*c)).collect();
        let code = match mark.as_str() {
            "" => usual.ok_or(MoneyError::NoCurrency)?.to_owned(),
            "€" => "EUR".to_owned(),
            "£" => "GBP".to_owned(),
            // Dollars and yen are several currencies' signs.
            code => code.to_uppercase(),
        };
        if Currency::from_code(&code).is_none() {
            return Err(MoneyError::UnknownCurrency { code: mark });
        }
        let amount = Reading::parse(number.trim(), Dimension::Number).map_err(MoneyError::Number)?;
        if amount.plus_minus_si != 0.0 || amount.unit != Unit::One {
            return Err(MoneyError::NotPlain);
        }
        let decimals = decimals(&code);
        let minor = amount.si * 10f64.powi(decimals as i32);
        if minor < 0.0 {
            return Err(MoneyError::Negative);
        }
        if (minor - minor.round()).abs() > FINEST {
            return Err(MoneyError::TooFine { currency: code, decimals });
        }
        // `Reading` bears no more than 10¹², so this fits with any decimals.
        Ok(Money { minor: minor.round() as i64, currency: code })
    }
}

/// How far an amount in smallest units may be from a whole number [1]: typed decimals in binary are that close to what was typed.
const FINEST: f64 = 1e-3;

/// `EUR 1 234.50`: code first, thousands apart (SI Brochure, 9th edition, 5.4.4), no line break inside.
///
/// ```
/// use sheets::job::Money;
/// let price = |minor, currency: &str| Money { minor, currency: currency.to_owned() }.to_string();
/// assert_eq!(price(123_450, "EUR"), "EUR\u{a0}1\u{202f}234.50");
/// assert_eq!(price(-980, "JPY"), "JPY\u{a0}−980");
/// assert_eq!(price(5, "KWD"), "KWD\u{a0}0.005");
/// ```
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let decimals = decimals(&self.currency);
        let unit = 10u64.pow(decimals);
        let minor = self.minor.unsigned_abs();
        let whole = (minor / unit).to_string();
        let mut grouped = String::new();
        for (i, c) in whole.chars().enumerate() {
            if i > 0 && (whole.len() - i).is_multiple_of(3) {
                grouped.push('\u{202f}');
            }
            grouped.push(c);
        }
        let sign = if self.minor < 0 { "−" } else { "" };
        write!(f, "{}\u{a0}{sign}{grouped}", self.currency)?;
        if decimals > 0 {
            write!(f, ".{:0width$}", minor % unit, width = decimals as usize)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_those_of_the_standard() {
        // ISO 4217:2015, list one of its maintenance agency (SIX), column "minor unit".
        for (currency, n) in [("EUR", 2), ("JPY", 0), ("ISK", 0), ("KWD", 3), ("TND", 3), ("CLF", 4), ("CHF", 2)] {
            assert_eq!(decimals(currency), n, "{currency}");
        }
    }

    #[test]
    fn what_is_printed_is_read_again() {
        for (minor, currency) in [(0, "EUR"), (1, "EUR"), (123_450, "EUR"), (980, "JPY"), (5, "KWD"), (99_999_999_999, "GBP")] {
            let money = Money { minor, currency: currency.to_owned() };
            assert_eq!(Money::parse(&money.to_string(), None).as_ref(), Ok(&money), "{money}");
        }
    }

    #[test]
    fn what_is_no_price_is_refused() {
        let read = |text| Money::parse(text, Some("EUR"));
        assert_eq!(read("12 XQQ"), Err(MoneyError::UnknownCurrency { code: "XQQ".to_owned() }));
        assert_eq!(read("12 $"), Err(MoneyError::UnknownCurrency { code: "$".to_owned() }));
        assert_eq!(read("-3 EUR"), Err(MoneyError::Negative));
        assert!(read("1.005 EUR").is_err(), "as a number it could be a thousand and five");
        for text in ["", "EUR", "nan", "1e300", "12 ± 1", "12 %"] {
            assert!(read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn the_largest_debt_can_be_printed() {
        let text = Money { minor: i64::MIN, currency: "EUR".to_owned() }.to_string();
        assert_eq!(text.replace(['\u{202f}', '\u{a0}'], ""), "EUR−92233720368547758.08");
    }
}
