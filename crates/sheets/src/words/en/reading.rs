//! Written readings that were refused.

use crate::words::number;
use quantity::{Dimension, ReadingError, ReadingErrorKind};

/// What a field asks for.
pub fn dimension(d: Dimension) -> &'static str {
    match d {
        Dimension::Length => "a length",
        Dimension::Angle => "an angle",
        Dimension::BeforeTop => "an angle before top dead centre",
        Dimension::AfterTop => "an angle after top dead centre",
        Dimension::BeforeBottom => "an angle before bottom dead centre",
        Dimension::AfterBottom => "an angle after bottom dead centre",
        Dimension::Advance => "an advance",
        Dimension::Speed => "a turning speed",
        Dimension::Area => "an area",
        Dimension::Volume => "a volume",
        Dimension::Mass => "a mass",
        Dimension::Inertia => "a moment of inertia",
        Dimension::Pressure => "a pressure",
        Dimension::Stress => "a stress",
        Dimension::Density => "a density",
        Dimension::Temperature => "a temperature",
        Dimension::Time => "a time",
        Dimension::Voltage => "a voltage",
        Dimension::Resistance => "a resistance",
        Dimension::Current => "a current",
        Dimension::Power => "a power",
        Dimension::Charge => "a charge",
        Dimension::Inductance => "an inductance",
        Dimension::Capacitance => "a capacitance",
        Dimension::ThermalResistance => "a thermal resistance",
        Dimension::Distance => "a length of wire",
        Dimension::RoadSpeed => "a speed on the road",
        Dimension::SpringRate => "a spring rate",
        Dimension::Force => "a force",
        Dimension::FluxDensity => "a flux density",
        Dimension::MagneticField => "a magnetic field",
        Dimension::Torque => "a torque",
        Dimension::Number => "a plain number",
    }
}

/// What is wrong with a written reading, and what to do.
///
/// ```
/// use quantity::{Dimension, Reading};
/// let error = Reading::parse("33", Dimension::Length).unwrap_err();
/// assert_eq!(sheets::words::reading_error(&error), "The unit is missing. A length is written in mm, cm or in.");
/// ```
pub fn reading_error(error: &ReadingError) -> String {
    match &error.kind {
        ReadingErrorKind::Empty => "Nothing is written here. Give a number and its unit.".to_owned(),
        ReadingErrorKind::NotANumber { found } => format!("“{}” is not a number.", short(found)),
        ReadingErrorKind::NotFinite { found } => format!("“{}” is not a number that can be measured.", short(found)),
        ReadingErrorKind::TooLarge { found } => format!("“{}” is too large for anything on a motorcycle.", short(found)),
        ReadingErrorKind::BadSeparators { found } => {
            format!("“{}” has points or commas that form no number. Write one decimal point or comma.", short(found))
        }
        ReadingErrorKind::Ambiguous { decimal, thousands } => format!(
            "This can mean {} or {}. Write it without the separator, or with another digit.",
            number(*decimal, 3),
            number(*thousands, 0)
        ),
        ReadingErrorKind::DivisionByZero => "A fraction over nothing is no number.".to_owned(),
        ReadingErrorKind::PlusMinusMissing => "No number follows the ±.".to_owned(),
        ReadingErrorKind::PlusMinusNegative => "A ± cannot be negative.".to_owned(),
        ReadingErrorKind::PercentOfTemperature => "A ± of a temperature is given in degrees, not in per cent.".to_owned(),
        ReadingErrorKind::UnitMissing { wanted } => format!("The unit is missing. {}", written_in(*wanted)),
        ReadingErrorKind::UnitUnknown { found, wanted } => {
            format!("“{}” is no unit known here. {}", short(found), written_in(*wanted))
        }
        ReadingErrorKind::UnitWrong { found, wanted } => {
            format!("“{}” does not measure {}. {}", found.symbol(), dimension(*wanted), written_in(*wanted))
        }
    }
}

/// `A length is written in mm, cm or in.`
fn written_in(d: Dimension) -> String {
    let symbols: Vec<&str> = d.units().iter().map(|u| u.symbol()).filter(|s| !s.is_empty()).collect();
    let name = dimension(d);
    let name = format!("{}{}", name[..1].to_uppercase(), &name[1..]);
    match symbols.split_last() {
        None => format!("{name} is written without a unit."),
        Some((last, [])) => format!("{name} is written in {last}."),
        Some((last, rest)) => format!("{name} is written in {} or {last}.", rest.join(", ")),
    }
}

/// Long or unprintable text cut down for a message.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 40;
    let clean: String = text.chars().map(|c| if c.is_control() { '·' } else { c }).take(MOST).collect();
    if text.chars().count() > MOST { format!("{clean}…") } else { clean }
}
