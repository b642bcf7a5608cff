//! Prices as they are printed.

use std::fmt;

/// Money: a whole number of the currency's smallest unit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Money {
    /// Cents, pence, yen.
    pub minor: i64,
    /// Three letters of ISO 4217.
    pub currency: String,
}

/// Currencies whose smallest unit is not a hundredth, with the decimals they have. Source: ISO 4217:2015, list one of
/// its maintenance agency (SIX), column "minor unit".
const DECIMALS: &[(u32, &[&str])] = &[
    (0, &["BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"]),
    (3, &["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"]),
    (4, &["CLF", "UYW"]),
];

/// Decimals of a currency: two, unless ISO 4217 says otherwise.
pub fn decimals(currency: &str) -> u32 {
    DECIMALS.iter().find(|(_, codes)| codes.contains(&currency)).map_or(2, |(n, _)| *n)
}

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

    /// Against the table of the `iso_currency` library, every currency it has.
    #[test]
    fn decimals_are_those_of_the_standard() {
        use iso_currency::{Currency, IntoEnumIterator};
        let mut seen = 0;
        for currency in Currency::iter() {
            let Some(exponent) = currency.exponent() else { continue };
            assert_eq!(decimals(currency.code()), u32::from(exponent), "{}", currency.code());
            seen += 1;
        }
        // ISO 4217 has some 160 currencies in use.
        assert!(seen > 150, "{seen}");
    }

    #[test]
    fn the_largest_debt_can_be_printed() {
        let text = Money { minor: i64::MIN, currency: "EUR".to_owned() }.to_string();
        assert_eq!(text.replace(['\u{202f}', '\u{a0}'], ""), "EUR−92233720368547758.08");
    }
}
