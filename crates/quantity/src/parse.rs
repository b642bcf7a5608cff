//! Reading what a mechanic writes: "33,2 ± 0.3 mm", "1 1/4 in", "35° BTDC", "1000 rpm ± 3 %".
//!
//! ```text
//! reading  = number [unit] [("±" | "+/-" | "+-") number ["%"] [unit]]
//! number   = sign? (decimal | fraction | whole fraction) exponent?
//! ```
//! A comma and a point both serve as decimal sign. Thousands may be set apart by spaces, or by the sign that is not the
//! decimal one. One separator before exactly three digits ("1,200") could be either and is refused, unless the other
//! number of the same reading shows which sign is the decimal one, or the unit is the inch: thousandths are how inches
//! are written, and a thousand of them is longer than any motorcycle.

use std::ops::Range;

use crate::{Dimension, Reading, ReadingError, ReadingErrorKind as Kind, Source, Unit};

/// Largest magnitude [SI] that is taken for a reading at all; 10¹² of anything is beyond every quantity on a motorcycle.
pub const MOST_WRITTEN: f64 = 1e12;

impl Reading {
    /// Reads one written reading of the wanted dimension. Its source is [`Source::NotStated`].
    ///
    /// # Errors
    /// [`ReadingError`] with the bytes to blame; nothing is guessed and nothing is corrected.
    ///
    /// ```
    /// use quantity::{Dimension, Reading, ReadingErrorKind};
    /// let gap = Reading::parse("1/4\"", Dimension::Length)?;
    /// assert_eq!(gap.si, 0.00635);
    /// let unsure = Reading::parse("1,200 rpm", Dimension::Speed).unwrap_err();
    /// assert_eq!(unsure.kind, ReadingErrorKind::Ambiguous { decimal: 1.2, thousands: 1200.0 });
    /// # Ok::<(), quantity::ReadingError>(())
    /// ```
    pub fn parse(text: &str, wanted: Dimension) -> Result<Self, ReadingError> {
        let mut scan = Scan::at_start(text);
        scan.space();
        if scan.rest().is_empty() {
            return Err(error(Kind::Empty, 0..text.len()));
        }
        let number = scan.number()?;
        let unit_text = scan.until_plus_minus();
        let doubt = if scan.plus_minus() {
            scan.space();
            if scan.rest().is_empty() {
                return Err(error(Kind::PlusMinusMissing, scan.at..scan.at));
            }
            Some((scan.number()?, trim(text, scan.at..text.len())))
        } else {
            None
        };

        let own_unit = unit(text, unit_text.clone(), wanted)?;
        let mut relative = false;
        let mut doubt_unit = None;
        if let Some((_, after)) = &doubt {
            let mut after = after.clone();
            // "5 ± 2 %" of a plain number is 3 % to 7 %; of anything else the per cent are of the value.
            let points = wanted == Dimension::Number && own_unit.is_none_or(|unit| unit == Unit::Percent);
            if text[after.clone()].starts_with('%') && !points {
                relative = true;
                after = trim(text, after.start + 1..after.end);
            }
            doubt_unit = unit(text, after, wanted)?;
        }
        let end = unit_text.end.max(number.at.end);
        let written = match own_unit.or(doubt_unit) {
            Some(unit) => unit,
            None if wanted == Dimension::Number => Unit::One,
            None => return Err(error(Kind::UnitMissing { wanted }, end..end)),
        };
        // `unit` accepted it, so it can be kept.
        let (kept, sign) = wanted.keep(written).unwrap_or((written, 1.0));

        let inches = matches!(written, Unit::Inch | Unit::InchBtdc);
        let decimal_sign = number.decimal_sign().or_else(|| doubt.as_ref().and_then(|(n, _)| n.decimal_sign()));
        let value = number.resolve(decimal_sign, inches)?;
        let si = kept.to_si(sign * value);
        if si.abs() > MOST_WRITTEN {
            return Err(error(Kind::TooLarge { found: text[number.at.clone()].into() }, number.at));
        }
        let mut plus_minus_si = 0.0;
        if let Some((doubt, _)) = doubt {
            let amount = doubt.resolve(decimal_sign, inches)?;
            if doubt.negative {
                return Err(error(Kind::PlusMinusNegative, doubt.at));
            }
            plus_minus_si = if relative {
                if wanted == Dimension::Temperature {
                    return Err(error(Kind::PercentOfTemperature, doubt.at));
                }
                si.abs() * Unit::Percent.to_si(amount)
            } else {
                amount * doubt_unit.unwrap_or(written).factor()
            };
            if plus_minus_si > MOST_WRITTEN {
                return Err(error(Kind::TooLarge { found: text[doubt.at.clone()].into() }, doubt.at));
            }
        }
        Ok(Reading { si, plus_minus_si, unit: kept, source: Source::NotStated })
    }
}

fn error(kind: Kind, at: Range<usize>) -> ReadingError {
    ReadingError { kind, at }
}

/// The range without space at either end.
fn trim(text: &str, at: Range<usize>) -> Range<usize> {
    let piece = &text[at.clone()];
    let start = at.end - piece.trim_start().len();
    start..start + piece.trim().len()
}

/// The unit at a place, `None` where nothing is written.
fn unit(text: &str, at: Range<usize>, wanted: Dimension) -> Result<Option<Unit>, ReadingError> {
    let found = &text[at.clone()];
    if found.is_empty() {
        return Ok(None);
    }
    let Some(unit) = Unit::named(found) else {
        return Err(error(Kind::UnitUnknown { found: found.into(), wanted }, at));
    };
    match wanted.keep(unit) {
        Some(_) => Ok(Some(unit)),
        None => Err(error(Kind::UnitWrong { found: unit, wanted }, at)),
    }
}

/// A number as written, its separators not yet understood.
pub(crate) struct Written {
    at: Range<usize>,
    negative: bool,
    body: Body,
    exponent: i32,
}

enum Body {
    /// Digits with points and commas; `spaced` where spaces set thousands apart.
    Decimal { digits: String, spaced: bool },
    /// A whole number and a fraction.
    Fraction(f64),
}

/// How the separators of a decimal can be read.
enum Separators {
    Decimal(Option<char>),
    Thousands(char),
    Either(char),
    Bad,
}

/// Whether pieces between separators are thousands: one to three digits, then threes.
fn grouped<'a>(mut pieces: impl Iterator<Item = &'a str>) -> bool {
    pieces.next().is_some_and(|first| (1..=3).contains(&first.len())) && pieces.all(|piece| piece.len() == 3)
}

impl Written {
    fn separators(&self) -> Separators {
        let Body::Decimal { digits, spaced } = &self.body else { return Separators::Decimal(None) };
        let points = digits.matches('.').count();
        let commas = digits.matches(',').count();
        match (points, commas) {
            (0, 0) => Separators::Decimal(None),
            (1, 0) | (0, 1) => {
                let sign = if points == 1 { '.' } else { ',' };
                let (head, tail) = digits.split_once(sign).unwrap_or((digits, ""));
                let could_be_thousands =
                    tail.len() == 3 && (1..=3).contains(&head.len()) && !head.starts_with('0') && !spaced && self.exponent == 0;
                if could_be_thousands { Separators::Either(sign) } else { Separators::Decimal(Some(sign)) }
            }
            (_, 0) | (0, _) => {
                let sign = if points > 0 { '.' } else { ',' };
                if grouped(digits.split(sign)) && !spaced { Separators::Thousands(sign) } else { Separators::Bad }
            }
            _ => {
                let decimal = if digits.rfind('.') > digits.rfind(',') { '.' } else { ',' };
                let thousands = if decimal == '.' { ',' } else { '.' };
                let whole = digits.split(decimal).next().unwrap_or("");
                if digits.matches(decimal).count() == 1 && grouped(whole.split(thousands)) && !spaced {
                    Separators::Decimal(Some(decimal))
                } else {
                    Separators::Bad
                }
            }
        }
    }

    /// The decimal sign that this number shows beyond doubt.
    fn decimal_sign(&self) -> Option<char> {
        match self.separators() {
            Separators::Decimal(sign) => sign,
            Separators::Thousands(sign) => Some(if sign == '.' { ',' } else { '.' }),
            _ => None,
        }
    }

    fn resolve(&self, decimal_sign: Option<char>, inches: bool) -> Result<f64, ReadingError> {
        let digits = match &self.body {
            Body::Fraction(value) => return Ok(if self.negative { -value } else { *value }),
            Body::Decimal { digits, .. } => digits,
        };
        let read = |decimal: Option<char>| {
            let plain: String = digits
                .chars()
                .filter_map(|c| if Some(c) == decimal { Some('.') } else { c.is_ascii_digit().then_some(c) })
                .collect();
            let value = format!("{plain}e{}", self.exponent).parse::<f64>().unwrap_or(f64::INFINITY);
            if self.negative { -value } else { value }
        };
        let other = |sign| if sign == '.' { ',' } else { '.' };
        match self.separators() {
            Separators::Decimal(sign) => Ok(read(sign)),
            Separators::Thousands(sign) => Ok(read(Some(other(sign)))),
            Separators::Either(sign) if inches || decimal_sign == Some(sign) => Ok(read(Some(sign))),
            Separators::Either(_) if decimal_sign.is_some() => Ok(read(decimal_sign)),
            Separators::Either(sign) => {
                let kind = Kind::Ambiguous { decimal: read(Some(sign)), thousands: read(Some(other(sign))) };
                Err(error(kind, self.at.clone()))
            }
            Separators::Bad => Err(error(Kind::BadSeparators { found: digits.clone() }, self.at.clone())),
        }
    }
}

/// A place in the text.
pub(crate) struct Scan<'t> {
    pub(crate) text: &'t str,
    pub(crate) at: usize,
}

impl<'t> Scan<'t> {
    pub(crate) fn at_start(text: &'t str) -> Self {
        Scan { text, at: 0 }
    }

    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    pub(crate) fn space(&mut self) {
        self.at = self.text.len() - self.rest().trim_start().len();
    }

    fn take(&mut self, options: &[char]) -> Option<char> {
        let next = self.rest().chars().next().filter(|c| options.contains(c))?;
        self.at += next.len_utf8();
        Some(next)
    }

    fn digits(&mut self) -> &'t str {
        let rest = self.rest();
        let length = rest.bytes().take_while(u8::is_ascii_digit).count();
        self.at += length;
        &rest[..length]
    }

    /// Where a ± begins, from here on.
    fn find_plus_minus(&self) -> Option<usize> {
        ["±", "+/-", "+/−", "+-"].iter().filter_map(|sign| self.rest().find(sign)).min().map(|at| self.at + at)
    }

    pub(crate) fn until_plus_minus(&mut self) -> Range<usize> {
        let start = self.at;
        self.at = self.find_plus_minus().unwrap_or(self.text.len());
        trim(self.text, start..self.at)
    }

    pub(crate) fn plus_minus(&mut self) -> bool {
        let sign = ["±", "+/-", "+/−", "+-"].into_iter().find(|sign| self.rest().starts_with(sign));
        self.at += sign.map_or(0, str::len);
        sign.is_some()
    }

    pub(crate) fn number(&mut self) -> Result<Written, ReadingError> {
        let start = self.at;
        let negative = self.take(&['+', '-', '−']).is_some_and(|sign| sign != '+');
        self.space();
        let first = self.at;
        let mut digits = String::new();
        let mut spaced = false;
        loop {
            digits.push_str(self.digits());
            let mut ahead = self.rest().chars();
            match ahead.next() {
                Some(sign @ ('.' | ',')) if ahead.next().is_some_and(|c| c.is_ascii_digit()) => {
                    digits.push(sign);
                    self.at += 1;
                }
                Some(space) if space.is_whitespace() && self.thousands_follow(space, &digits, spaced) => {
                    spaced = true;
                    self.at += space.len_utf8();
                }
                _ => break,
            }
        }
        let whole_at = first..self.at;
        let fraction = self.fraction(&digits)?;
        let body = match fraction {
            Some(value) => Body::Fraction(value),
            None if whole_at.is_empty() => return Err(self.no_number(start)),
            None => Body::Decimal { digits, spaced },
        };
        let exponent = if matches!(body, Body::Decimal { .. }) { self.exponent() } else { 0 };
        Ok(Written { at: start..self.at, negative, body, exponent })
    }

    /// Whether the space ahead sets three digits apart as thousands do.
    fn thousands_follow(&self, space: char, digits: &str, spaced: bool) -> bool {
        let after = &self.rest()[space.len_utf8()..];
        let length = after.bytes().take_while(u8::is_ascii_digit).count();
        let whole = !digits.contains(['.', ',']);
        let first = spaced || (1..=3).contains(&digits.len());
        whole && first && length == 3 && !after[length..].starts_with('/')
    }

    /// A fraction after the whole digits, or made of them: "1/4", "1 1/4", "1¼".
    fn fraction(&mut self, digits: &str) -> Result<Option<f64>, ReadingError> {
        const SIGNS: &[(char, f64)] =
            &[('¼', 0.25), ('½', 0.5), ('¾', 0.75), ('⅛', 0.125), ('⅜', 0.375), ('⅝', 0.625), ('⅞', 0.875)];
        let plain = digits.bytes().all(|b| b.is_ascii_digit());
        let here = self.at;
        let number = |text: &str| text.parse::<f64>().unwrap_or(f64::INFINITY);
        let whole = if digits.is_empty() { 0.0 } else { number(digits) };
        if plain && !digits.is_empty() && self.rest().starts_with('/') {
            self.at += 1;
            return match self.denominator()? {
                Some(below) => Ok(Some(whole / below)),
                None => {
                    self.at = here;
                    Ok(None)
                }
            };
        }
        if plain {
            self.space();
            if let Some((sign, value)) = SIGNS.iter().find(|(sign, _)| self.rest().starts_with(*sign)) {
                self.at += sign.len_utf8();
                return Ok(Some(whole + value));
            }
            let above = self.digits();
            if !above.is_empty()
                && self.take(&['/']).is_some()
                && let Some(below) = self.denominator()?
            {
                return Ok(Some(whole + number(above) / below));
            }
        }
        self.at = here;
        Ok(None)
    }

    fn denominator(&mut self) -> Result<Option<f64>, ReadingError> {
        let start = self.at;
        let below = self.digits();
        if below.is_empty() {
            return Ok(None);
        }
        match below.parse::<f64>() {
            Ok(below) if below > 0.0 => Ok(Some(below)),
            _ => Err(error(Kind::DivisionByZero, start..self.at)),
        }
    }

    fn exponent(&mut self) -> i32 {
        let here = self.at;
        if self.take(&['e', 'E']).is_some() {
            let negative = self.take(&['+', '-', '−']).is_some_and(|sign| sign != '+');
            let digits = self.digits();
            if !digits.is_empty() {
                // More digits than an i32 holds mean a number far beyond every limit, either way.
                let exponent = digits.parse::<i32>().unwrap_or(i32::MAX);
                return if negative { -exponent } else { exponent };
            }
        }
        self.at = here;
        0
    }

    /// What stands where a number must be.
    fn no_number(&self, start: usize) -> ReadingError {
        let length = self.rest().find(|c: char| c.is_whitespace()).unwrap_or(self.rest().len());
        let at = start..self.at + length;
        let found: String = self.text[at.clone()].into();
        let word = found.trim_start_matches(['+', '-', '−']).to_lowercase();
        let endless = ["nan", "inf", "infinity", "∞"].contains(&word.as_str());
        error(if endless { Kind::NotFinite { found } } else { Kind::NotANumber { found } }, at)
    }
}
