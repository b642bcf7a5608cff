//! Whatever is printed can be read again, and nothing that is typed makes the reader panic.

use proptest::prelude::*;
use quantity::{Dimension, Reading, Source, Unit};

const DIMENSIONS: &[Dimension] = &[
    Dimension::Length,
    Dimension::Angle,
    Dimension::BeforeTop,
    Dimension::AfterTop,
    Dimension::BeforeBottom,
    Dimension::AfterBottom,
    Dimension::Advance,
    Dimension::Speed,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Inertia,
    Dimension::Pressure,
    Dimension::Stress,
    Dimension::Density,
    Dimension::Temperature,
    Dimension::Time,
    Dimension::Voltage,
    Dimension::Resistance,
    Dimension::Current,
    Dimension::Power,
    Dimension::Charge,
    Dimension::Inductance,
    Dimension::Capacitance,
    Dimension::ThermalResistance,
    Dimension::Distance,
    Dimension::RoadSpeed,
    Dimension::SpringRate,
    Dimension::Force,
    Dimension::Torque,
    Dimension::FluxDensity,
    Dimension::MagneticField,
    Dimension::Number,
];

/// A number printed without ± keeps 12 significant figures, of a number or (for temperatures) of its kelvins.
const EXACT_FIGURES: f64 = 1e-11;

fn dimension_and_unit() -> impl Strategy<Value = (Dimension, Unit)> {
    prop::sample::select(DIMENSIONS).prop_flat_map(|dimension| {
        // Only units in which a reading is kept.
        let kept: Vec<Unit> =
            dimension.units().iter().copied().filter(|&unit| dimension.keep(unit) == Some((unit, 1.0))).collect();
        (Just(dimension), prop::sample::select(kept))
    })
}

fn number() -> impl Strategy<Value = f64> {
    (-9.99f64..9.99, -4i32..6).prop_map(|(mantissa, exponent)| mantissa * 10f64.powi(exponent))
}

proptest! {
    #[test]
    fn with_doubt((dimension, unit) in dimension_and_unit(), value in number(), doubt in 1.0f64..9.99, places in -5i32..3) {
        let plus_minus = doubt * 10f64.powi(places);
        let reading = Reading {
            si: unit.to_si(value),
            plus_minus_si: plus_minus * unit.factor(),
            unit,
            source: Source::NotStated,
        };
        let printed = reading.to_string();
        let again = Reading::parse(&printed, dimension).map_err(|e| TestCaseError::fail(format!("{printed}: {e}")))?;
        prop_assert_eq!(again.unit, unit);
        // Half a unit of the second figure of the ±, which is at least a twentieth of it, and the figures of the value itself.
        let half_place = 0.051 * reading.plus_minus_si + EXACT_FIGURES * reading.si.abs();
        prop_assert!((again.si - reading.si).abs() <= half_place, "{} for {}", printed, value);
        prop_assert!((again.plus_minus_si - reading.plus_minus_si).abs() <= half_place);
        prop_assert_eq!(again.to_string(), printed);
    }

    #[test]
    fn exact((dimension, unit) in dimension_and_unit(), value in number()) {
        let reading = Reading { si: unit.to_si(value), plus_minus_si: 0.0, unit, source: Source::NotStated };
        let printed = reading.to_string();
        let again = Reading::parse(&printed, dimension).map_err(|e| TestCaseError::fail(format!("{printed}: {e}")))?;
        // 15 decimals at most are printed.
        let least = EXACT_FIGURES * (reading.si.abs() + unit.zero_si()) + 1e-15 * unit.factor();
        prop_assert!((again.si - reading.si).abs() <= least, "{} for {}", printed, value);
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,24}", dimension in prop::sample::select(DIMENSIONS)) {
        check(&text, dimension)?;
    }

    #[test]
    fn no_likely_text_makes_it_panic(
        text in "[-+±−]?[0-9 ., \u{2009}/¼½eE^]{0,12} ?(mm|in|\"|°|° BTDC|%|rpm|kg·m²)? ?(±|\\+/-|\\+-)?[0-9 .,/-]{0,6}%?(mm|rpm)?",
        dimension in prop::sample::select(DIMENSIONS),
    ) {
        check(&text, dimension)?;
    }
}

fn check(text: &str, dimension: Dimension) -> Result<(), TestCaseError> {
    match Reading::parse(text, dimension) {
        Ok(reading) => {
            prop_assert!(reading.si.is_finite() && reading.plus_minus_si.is_finite() && reading.plus_minus_si >= 0.0);
        }
        Err(error) => {
            prop_assert!(text.get(error.at.clone()).is_some(), "{:?} is no piece of {:?}", error.at, text);
        }
    }
    Ok(())
}
