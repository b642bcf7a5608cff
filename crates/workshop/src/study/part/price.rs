//! What is asked for the same function, and what is dear.

use std::collections::BTreeMap;

use physics::middle::{Middle, middle};
use quantity::{Dimension, Reading};

use super::defect::DefectKind;

/// Fewest prices from which a middle is told \[1\] (own choice): of five, two may be wild.
pub const FEWEST_PRICES: usize = 5;
/// A price is dear so many spreads above the median \[1\] (own choice): 1 in 700 if prices were normal.
pub const DEAR_SPREADS: f64 = 3.0;
/// And by this share of the median at least \[1\] (own choice), however little the others differ.
pub const DEAR_SHARE: f64 = 0.25;

/// A price that was asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// Amount, in whole units of the currency.
    pub amount: f64,
    /// Currency, three capitals (ISO 4217).
    pub currency: String,
    /// The day, as ISO 8601 writes it.
    pub day: String,
    /// Where.
    pub place: String,
}

/// A price without its place, in numbers that sort as its currency and its day do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Asking {
    amount: f64,
    currency: [u8; 3],
    day: u32,
}

impl Asking {
    /// Of a price.
    pub fn of(price: &Price) -> Self {
        let mut currency = [b' '; 3];
        currency.iter_mut().zip(price.currency.bytes()).for_each(|(to, byte)| *to = byte);
        let digits = price.day.bytes().filter(u8::is_ascii_digit);
        Self { amount: price.amount, currency, day: digits.fold(0, |day, d| 10 * day + u32::from(d - b'0')) }
    }
}

/// A day again as ISO 8601 writes it.
fn written(day: u32) -> String {
    format!("{:04}-{:02}-{:02}", day / 10_000, day / 100 % 100, day % 100)
}

/// Reads `45.00 EUR` or `EUR 45,00`.
pub(super) fn money(text: &str) -> Result<(f64, String), DefectKind> {
    let (amount, plus_minus, currency) = sum(text)?;
    if amount <= 0.0 || plus_minus > 0.0 {
        return Err(DefectKind::BadPrice { found: text.trim().to_owned() });
    }
    Ok((amount, currency))
}

/// Reads `45 ± 20 EUR`: amount, ±, currency.
pub(super) fn sum(text: &str) -> Result<(f64, f64, String), DefectKind> {
    let bad = || DefectKind::BadPrice { found: text.trim().to_owned() };
    let text_ = text.trim();
    let code = |c: &str| c.len() == 3 && c.bytes().all(|b| b.is_ascii_uppercase());
    let ends = [text_.get(..3).zip(text_.get(3..)), text_.len().checked_sub(3).and_then(|n| text_.get(n..).zip(text_.get(..n)))];
    let (currency, number) = ends.into_iter().flatten().find(|(c, _)| code(c)).ok_or_else(bad)?;
    let reading = Reading::parse(number, Dimension::Number).map_err(DefectKind::Reading)?;
    if reading.si < 0.0 || number.contains('%') {
        return Err(bad());
    }
    Ok((reading.si, reading.plus_minus_si, currency.to_owned()))
}

/// A day as ISO 8601 writes it.
pub(super) fn day(text: &str) -> Result<String, DefectKind> {
    let bad = || DefectKind::BadDay { found: text.trim().to_owned() };
    let parts: Vec<&str> = text.trim().split('-').collect();
    let digits = |p: &&str, n: usize| p.len() == n && p.bytes().all(|b| b.is_ascii_digit());
    let [y, m, d] = &parts[..] else { return Err(bad()) };
    if !(digits(y, 4) && digits(m, 2) && digits(d, 2)) {
        return Err(bad());
    }
    let number = |p: &str| p.parse::<u32>().unwrap_or(0);
    let (year, month, day) = (number(y), number(m), number(d));
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let last = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    };
    if (1..=last).contains(&day) { Ok(text.trim().to_owned()) } else { Err(bad()) }
}

/// What is asked in one currency for parts that do the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Fair {
    /// Currency.
    pub currency: String,
    /// How many prices.
    pub count: usize,
    /// Middle and spread; `None` below [`FEWEST_PRICES`].
    pub middle: Option<Middle>,
    /// The oldest.
    pub from: String,
    /// The newest.
    pub to: String,
}

impl Fair {
    /// Above this a price is dear.
    pub fn dear_above(&self) -> Option<f64> {
        self.middle.map(|m| m.median + (DEAR_SPREADS * m.spread).max(DEAR_SHARE * m.median))
    }
}

/// Judges prices, by currency.
pub(super) fn fair(prices: impl Iterator<Item = Asking>) -> Vec<Fair> {
    let mut by: BTreeMap<[u8; 3], (Vec<f64>, u32, u32)> = BTreeMap::new();
    for price in prices {
        let (amounts, from, to) = by.entry(price.currency).or_insert((Vec::new(), u32::MAX, 0));
        amounts.push(price.amount);
        (*from, *to) = ((*from).min(price.day), (*to).max(price.day));
    }
    by.into_iter()
        .map(|(currency, (amounts, from, to))| Fair {
            currency: currency.map(char::from).iter().collect(),
            count: amounts.len(),
            middle: middle(&amounts).filter(|_| amounts.len() >= FEWEST_PRICES),
            from: written(from),
            to: written(to),
        })
        .collect()
}
