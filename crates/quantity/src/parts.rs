//! The pieces of a written reading, before anything is made of them.

use crate::{ReadingError, parse::Scan};

/// What was written of a reading: enough to see what is missing.
///
/// ```
/// use quantity::{Parts, Piece};
/// let parts = Parts::of("0,55 +/- 5 %")?;
/// assert_eq!(parts.value, Piece { number: "0,55", unit: "" });
/// assert_eq!(parts.plus_minus, Some(Piece { number: "5", unit: "%" }));
/// # Ok::<(), quantity::ReadingError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Parts<'t> {
    /// Before the ±.
    pub value: Piece<'t>,
    /// After it, if there is one, however it is spelled.
    pub plus_minus: Option<Piece<'t>>,
}

/// A number and what stands behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece<'t> {
    /// The number as written.
    pub number: &'t str,
    /// What follows: a unit, `%`, or nothing.
    pub unit: &'t str,
}

impl<'t> Parts<'t> {
    /// Takes a text apart. Whether its units are known, and its separators clear, is for [`Reading::parse`] to say.
    ///
    /// [`Reading::parse`]: crate::Reading::parse
    ///
    /// # Errors
    /// [`ReadingError`] where no number stands.
    pub fn of(text: &'t str) -> Result<Self, ReadingError> {
        let mut scan = Scan::at_start(text);
        let value = piece(&mut scan)?;
        let plus_minus = if scan.plus_minus() { Some(piece(&mut scan)?) } else { None };
        Ok(Self { value, plus_minus })
    }
}

fn piece<'t>(scan: &mut Scan<'t>) -> Result<Piece<'t>, ReadingError> {
    scan.space();
    let from = scan.at;
    scan.number()?;
    let number = scan.text[from..scan.at].trim();
    let unit = scan.until_plus_minus();
    Ok(Piece { number, unit: &scan.text[unit] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_of_the_sign_is_seen() {
        for sign in ["±", "+/-", "+/−", "+-"] {
            let text = format!(" −1 1/4\u{a0}in {sign}0.01 ");
            let parts = Parts::of(&text).unwrap();
            assert_eq!((parts.value.number, parts.value.unit), ("−1 1/4", "in"), "{sign}");
            assert_eq!(parts.plus_minus, Some(Piece { number: "0.01", unit: "" }), "{sign}");
        }
        assert_eq!(Parts::of("10° BTDC").map(|p| (p.value.unit, p.plus_minus)), Ok(("° BTDC", None)));
        for bad in ["", "mm", "1 ±", "± 1"] {
            assert!(Parts::of(bad).is_err(), "{bad}");
        }
    }
}
