//! What is read, what is refused, and what is printed.

use quantity::{Dimension as D, Reading, ReadingErrorKind as Kind, Unit};

/// Two roundings of a double: one in the factor, one in the product.
const DOUBLE: f64 = 4.0 * f64::EPSILON;

fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= DOUBLE * expected.abs()
}

fn refused(text: &str, wanted: D) -> (Kind, std::ops::Range<usize>) {
    let error = Reading::parse(text, wanted).expect_err(text);
    (error.kind, error.at)
}

#[test]
fn reads_what_mechanics_write() {
    let rpm = std::f64::consts::TAU / 60.0;
    let deg = std::f64::consts::PI / 180.0;
    // Value and ± in SI by hand. Inch: 25.4 mm exactly; psi: 6.894757 kPa; °C: K − 273.15 (NIST SP 811, 2008, appendix B).
    let cases: &[(&str, D, f64, f64, Unit)] = &[
        ("33,2 ± 0.3 mm", D::Length, 0.0332, 0.0003, Unit::Millimetre),
        ("33.2 +/- 0.3 mm", D::Length, 0.0332, 0.0003, Unit::Millimetre),
        ("33.2+-0,3mm", D::Length, 0.0332, 0.0003, Unit::Millimetre),
        ("33.2 mm ± 0.3 mm", D::Length, 0.0332, 0.0003, Unit::Millimetre),
        ("33.2 mm ± 0.01 in", D::Length, 0.0332, 0.000254, Unit::Millimetre),
        ("\u{a0}33.2\u{202f}±\u{2009}0.3\u{202f}mm ", D::Length, 0.0332, 0.0003, Unit::Millimetre),
        ("1 1/4 in", D::Length, 0.03175, 0.0, Unit::Inch),
        ("1¼ in", D::Length, 0.03175, 0.0, Unit::Inch),
        ("1/4\"", D::Length, 0.00635, 0.0, Unit::Inch),
        ("0.014 in", D::Length, 0.0003556, 0.0, Unit::Inch),
        ("1.125 in", D::Length, 0.028575, 0.0, Unit::Inch),
        ("10°", D::Angle, 10.0 * deg, 0.0, Unit::Degree),
        ("-0.7 ± 0.5 deg", D::Angle, -0.7 * deg, 0.5 * deg, Unit::Degree),
        ("−0.7°", D::Angle, -0.7 * deg, 0.0, Unit::Degree),
        ("1000 ± 30 rpm", D::Speed, 1000.0 * rpm, 30.0 * rpm, Unit::Rpm),
        ("1000 rpm ± 5 %", D::Speed, 1000.0 * rpm, 50.0 * rpm, Unit::Rpm),
        ("1000 ± 5 % rpm", D::Speed, 1000.0 * rpm, 50.0 * rpm, Unit::Rpm),
        ("12 000 min⁻¹", D::Speed, 12000.0 * rpm, 0.0, Unit::Rpm),
        ("1,234,567 rpm", D::Speed, 1234567.0 * rpm, 0.0, Unit::Rpm),
        ("1.234,5 rpm", D::Speed, 1234.5 * rpm, 0.0, Unit::Rpm),
        ("1,234.5 rpm", D::Speed, 1234.5 * rpm, 0.0, Unit::Rpm),
        ("35° BTDC", D::Advance, 35.0 * deg, 0.0, Unit::DegreeBtdc),
        ("35 ± 1° btdc", D::BeforeTop, 35.0 * deg, deg, Unit::DegreeBtdc),
        ("5° ATDC", D::BeforeTop, -5.0 * deg, 0.0, Unit::DegreeBtdc),
        ("5° BTDC", D::AfterTop, -5.0 * deg, 0.0, Unit::DegreeAtdc),
        ("2.1 mm BTDC", D::Advance, 0.0021, 0.0, Unit::MillimetreBtdc),
        ("5 ± 2 %", D::Number, 0.05, 0.02, Unit::Percent),
        ("9.2 : 1", D::Number, 9.2, 0.0, Unit::One),
        ("1.15e-2 kg m²", D::Inertia, 0.0115, 0.0, Unit::KilogramSquareMetre),
        ("55 kg*cm^2", D::Inertia, 0.0055, 0.0, Unit::KilogramSquareCentimetre),
        ("61 cc", D::Volume, 61e-6, 0.0, Unit::CubicCentimetre),
        ("15 µs", D::Time, 15e-6, 0.0, Unit::Microsecond),
        ("15 μs", D::Time, 15e-6, 0.0, Unit::Microsecond),
        ("15 us", D::Time, 15e-6, 0.0, Unit::Microsecond),
        ("20 ± 5 °C", D::Temperature, 293.15, 5.0, Unit::Celsius),
        ("1.2 kΩ", D::Resistance, 1200.0, 0.0, Unit::Kiloohm),
        ("25 ± 5 mΩ", D::Resistance, 0.025, 0.005, Unit::Milliohm),
        ("25 MΩ", D::Resistance, 25e6, 0.0, Unit::Megaohm),
        ("25 Mohm", D::Resistance, 25e6, 0.0, Unit::Megaohm),
        ("25 mohm", D::Resistance, 0.025, 0.0, Unit::Milliohm),
        ("7 h", D::Time, 25200.0, 0.0, Unit::Hour),
        ("4.05 H", D::Inductance, 4.05, 0.0, Unit::Henry),
        ("250 µH", D::Inductance, 250e-6, 0.0, Unit::Microhenry),
        ("1 µF", D::Capacitance, 1e-6, 0.0, Unit::Microfarad),
        ("9 A·h", D::Charge, 32400.0, 0.0, Unit::AmpereHour),
        ("9 Ah", D::Charge, 32400.0, 0.0, Unit::AmpereHour),
        ("3.5 ± 0.2 A", D::Current, 3.5, 0.2, Unit::Ampere),
        ("21 W", D::Power, 21.0, 0.0, Unit::Watt),
        ("2 m", D::Distance, 2.0, 0.0, Unit::Metre),
        ("36 km/h", D::RoadSpeed, 10.0, 0.0, Unit::KilometrePerHour),
        ("1.6 N/mm", D::SpringRate, 1600.0, 0.0, Unit::NewtonPerMillimetre),
    ];
    for (text, wanted, si, plus_minus, unit) in cases {
        let reading = Reading::parse(text, *wanted).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(close(reading.si, *si), "{text}: {} for {si}", reading.si);
        assert!(close(reading.plus_minus_si, *plus_minus), "{text}: ± {} for {plus_minus}", reading.plus_minus_si);
        assert_eq!(reading.unit, *unit, "{text}");
    }
}

#[test]
fn units_that_are_not_powers_of_ten() {
    /// NIST SP 811 (2008), appendix B.8 prints seven figures.
    const PRINTED: f64 = 5e-7;
    let psi = Reading::parse("1 psi", D::Pressure).unwrap().si;
    assert!((psi / 6894.757 - 1.0).abs() < PRINTED);
    let warm = Reading::parse("68 ± 9 °F", D::Temperature).unwrap();
    // (68 − 32)·5/9 = 20 °C, and 9 °F of difference are 5 K.
    assert!((warm.si - 293.15).abs() < 1e-9 && (warm.plus_minus_si - 5.0).abs() < 1e-9);
}

#[test]
fn one_separator_before_three_digits_is_asked_about() {
    let both = Kind::Ambiguous { decimal: 1.2, thousands: 1200.0 };
    assert_eq!(refused("1,200 rpm", D::Speed), (both.clone(), 0..5));
    assert_eq!(refused(" 1.200 rpm", D::Speed), (both.clone(), 1..6));
    assert_eq!(refused("± 1,200", D::Number).0, Kind::NotANumber { found: "±".into() });
    assert_eq!(refused("100 ± 1,200 rpm", D::Speed), (both, 7..12));
    // The other number shows which sign is the decimal one.
    for (text, mm) in [("1,200 ± 0,005 mm", 1.2), ("1.200 ± 0.5 mm", 1.2), ("1,200 ± 0.5 mm", 1200.0), ("0,125 mm", 0.125)] {
        let reading = Reading::parse(text, D::Length).unwrap();
        assert!(close(reading.si, mm / 1000.0), "{text}: {}", reading.si);
    }
}

#[test]
fn refuses_with_the_bytes_to_blame() {
    let unit = |found: &str, wanted| Kind::UnitUnknown { found: found.into(), wanted };
    let cases: &[(&str, D, Kind, std::ops::Range<usize>)] = &[
        ("", D::Length, Kind::Empty, 0..0),
        (" \t", D::Length, Kind::Empty, 0..2),
        ("wide", D::Length, Kind::NotANumber { found: "wide".into() }, 0..4),
        ("NaN mm", D::Length, Kind::NotFinite { found: "NaN".into() }, 0..3),
        ("-inf mm", D::Length, Kind::NotFinite { found: "-inf".into() }, 0..4),
        ("1e300 mm", D::Length, Kind::TooLarge { found: "1e300".into() }, 0..5),
        ("1e999999999999 mm", D::Length, Kind::TooLarge { found: "1e999999999999".into() }, 0..14),
        ("10^300 mm", D::Length, unit("^300 mm", D::Length), 2..9),
        ("1.2.3 mm", D::Length, Kind::BadSeparators { found: "1.2.3".into() }, 0..5),
        ("1,23.456,7 mm", D::Length, Kind::BadSeparators { found: "1,23.456,7".into() }, 0..10),
        ("1/0 in", D::Length, Kind::DivisionByZero, 2..3),
        ("33 ±", D::Length, Kind::PlusMinusMissing, 5..5),
        ("33 ± mm", D::Length, Kind::NotANumber { found: "mm".into() }, 6..8),
        ("33 ± -0.3 mm", D::Length, Kind::PlusMinusNegative, 6..10),
        ("33 ± 1e300 mm", D::Length, Kind::TooLarge { found: "1e300".into() }, 6..11),
        ("20 °C ± 5 %", D::Temperature, Kind::PercentOfTemperature, 10..11),
        ("33.2", D::Length, Kind::UnitMissing { wanted: D::Length }, 4..4),
        ("33.2 ± 0.3", D::Length, Kind::UnitMissing { wanted: D::Length }, 5..5),
        ("33.2 furlong", D::Length, unit("furlong", D::Length), 5..12),
        ("33.2 rpm", D::Length, Kind::UnitWrong { found: Unit::Rpm, wanted: D::Length }, 5..8),
        ("12° BBDC", D::BeforeTop, Kind::UnitWrong { found: Unit::DegreeBbdc, wanted: D::BeforeTop }, 2..9),
        ("33 ± 1 ± 1 mm", D::Length, unit("± 1 mm", D::Length), 8..15),
    ];
    for (text, wanted, kind, at) in cases {
        assert_eq!(refused(text, *wanted), (kind.clone(), at.clone()), "{text}");
    }
}

#[test]
fn prints_two_figures_of_doubt() {
    // JCGM 100:2008, 7.2.6: uncertainties to at most two significant digits, estimates rounded to be consistent with them;
    // its own example: 10.05762 Ω with uc = 27 mΩ is rounded to 10.058 Ω.
    let gum = Reading::parse("10.05762 ± 0.027 Ω", D::Resistance).unwrap();
    assert_eq!(gum.to_string(), "10.058 ± 0.027 Ω");
    for (written, printed) in [
        ("33,2 ± 0.3 mm", "33.20 ± 0.30 mm"),
        ("33.2 ± 0.0996 mm", "33.20 ± 0.10 mm"),
        ("33211 ± 1234 mm", "33200 ± 1200 mm"),
        ("33.2 mm", "33.2 mm"),
        ("0.04 ± 3 mm", "0.0 ± 3.0 mm"),
        ("-0.04 ± 3 mm", "0.0 ± 3.0 mm"),
        ("33.1250 mm", "33.1250 mm"),
    ] {
        assert_eq!(Reading::parse(written, D::Length).unwrap().to_string(), printed);
    }
    assert_eq!(Reading::parse("5° ATDC", D::BeforeTop).unwrap().to_string(), "-5° BTDC");
}
