//! One value of a part or of a need, as people write it.

use quantity::{Dimension, Parts, Reading};

use super::{
    defect::DefectKind,
    kind::{Attribute, Measure, UsualDoubt},
};
use crate::machine::most_like;

/// What is known of an attribute.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number.
    Number {
        /// It, with its ±.
        reading: Reading,
        /// The ± is the usual one, for none was written.
        usual: bool,
    },
    /// One of the words, by its place.
    Word(usize),
}

/// Texts that say that nothing is known.
const NOT_KNOWN: [&str; 4] = ["", "?", "unknown", "not measured"];

/// Whether a text says that nothing is known.
pub(super) fn not_known(text: &str) -> bool {
    NOT_KNOWN.contains(&folded(text).as_str())
}

/// Small letters, single spaces.
pub(super) fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Reads a value.
pub(super) fn value(attribute: &Attribute, text: &str) -> Result<Value, DefectKind> {
    match &attribute.measure {
        Measure::Number(dimension, usual) => number(text, *dimension, *usual),
        Measure::Words(words) => word(words, text).map(Value::Word),
    }
}

fn number(text: &str, dimension: Dimension, usual: UsualDoubt) -> Result<Value, DefectKind> {
    let mut reading = Reading::parse(text, dimension).map_err(DefectKind::Reading)?;
    // "± 0" is somebody's word; nothing at all is not.
    let said = Parts::of(text).is_ok_and(|parts| parts.plus_minus.is_some());
    if !said {
        reading.plus_minus_si = match usual {
            UsualDoubt::Share(share) => share * reading.si.abs(),
            UsualDoubt::Si(si) => si,
        };
    }
    Ok(Value::Number { reading, usual: !said })
}

/// The place of a word.
pub(super) fn word(words: &[String], text: &str) -> Result<usize, DefectKind> {
    let found = folded(text);
    words.iter().position(|w| folded(w) == found).ok_or_else(|| DefectKind::Word {
        did_you_mean: most_like(&found, words.iter().map(String::as_str)).map(str::to_owned),
        found: text.trim().to_owned(),
        known: words.to_vec(),
    })
}

/// An amount that is added or taken away, in SI: 5 °C are 5 K.
pub(super) fn amount(text: &str, dimension: Dimension) -> Result<f64, DefectKind> {
    let reading = Reading::parse(text, dimension).map_err(DefectKind::Reading)?;
    Ok(reading.written() * reading.unit.factor())
}
