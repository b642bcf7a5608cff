//! Slider-crank, rim and chamber against outside values.

mod outside;

use outside::near;
use physics::crank::{Chamber, NotACrank, SliderCrank};
use physics::rim::Rim;
use proptest::prelude::*;
use quantity::{CrankAngle, DriveRatio};

/// 1 nm: far below any gauge.
const TRAVEL_M: f64 = 1e-9;
/// A millionth of a degree: the roots are solved far more closely.
const ANGLE_DEG: f64 = 1e-6;
/// Digits given by the sources of closed forms.
const RELATIVE: f64 = 1e-8;

fn deg(d: f64) -> CrankAngle {
    CrankAngle::from_degrees(d)
}

/// Piston travel without offset: Heywood, *Internal Combustion Engine Fundamentals* (1988), equation 2.5; numbers by
/// mpmath 1.3.0 at 30 digits, stroke 58 mm, rod 110 mm.
#[test]
fn travel_without_offset() {
    let crank = SliderCrank::new(0.029, 0.110, 0.0).unwrap();
    let expected = [
        (1.0, 0.005581197711),
        (5.0, 0.1393954975),
        (10.0, 0.5559049532),
        (15.0, 1.244523968),
        (20.0, 2.197000786),
        (25.0, 3.401969136),
        (30.0, 4.845133063),
        (35.0, 6.509502219),
        (40.0, 8.375675277),
        (60.0, 17.40541564),
        (90.0, 32.8915649),
        (120.0, 46.40541564),
        (180.0, 58.0),
    ];
    for (angle, mm) in expected {
        near(crank.travel(deg(angle)), mm * 1e-3, TRAVEL_M);
        near(crank.travel(deg(-angle)), mm * 1e-3, TRAVEL_M);
    }
}

/// The inverse: SciPy 1.17.1 `brentq`, agreeing with the closed form to 1e-10°; stroke 50 mm, rod 85 mm.
#[test]
fn angle_from_travel() {
    let crank = SliderCrank::new(0.025, 0.085, 0.0).unwrap();
    let expected = [
        (0.5, 10.09432396),
        (1.0, 14.30577618),
        (1.5, 17.55836506),
        (2.0, 20.3183494),
        (2.5, 22.76598851),
        (3.0, 24.9935794),
        (4.0, 28.98850188),
    ];
    for (mm, angle) in expected {
        near(crank.before_top(mm * 1e-3).unwrap().degrees(), angle, ANGLE_DEG);
    }
}

/// Offset: circle and line solved by SciPy, true top dead centre by its own minimiser (reference/curve/make.py).
#[test]
fn travel_with_offset() {
    /// The reference finds top dead centre from a numerical derivative, good to 1e-9 rad; 40 mm of radius make that 0.04 nm.
    const OFFSET_M: f64 = 2e-10;
    let text = include_str!("../../../reference/curve/slider_crank.csv");
    let mut rows = 0;
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let v: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        let crank = SliderCrank::new(v[0], v[1], v[2]).unwrap();
        near(crank.travel(deg(v[3])), v[4], OFFSET_M);
        rows += 1;
    }
    assert_eq!(rows, 40);
}

/// Acceleration: HELM Workbook 12.2, engineering example 4 (crank 150 mm, rod 375 mm): exact values at top and bottom
/// dead centre and at the stationary point of the two-term series, by mpmath 1.3.0.
#[test]
fn acceleration() {
    let crank = SliderCrank::new(0.150, 0.375, 0.0).unwrap();
    for (angle, per_speed_squared) in [(0.0, 0.21), (180.0, -0.09), (128.6821875, -0.1049004957)] {
        near(crank.travel_second_rate(deg(angle)), per_speed_squared, 1e-9);
    }
}

/// Volume: Heywood (1988), equation 2.4; numbers by mpmath 1.3.0. Bore 52 mm, stroke 58 mm, rod 110 mm, ratio 9.
#[test]
fn volume() {
    let chamber = Chamber::new(SliderCrank::new(0.029, 0.110, 0.0).unwrap(), 0.052, 9.0).unwrap();
    near(chamber.swept_m3() * 1e6, 123.1755648, 123.0 * RELATIVE);
    near(chamber.clearance_m3 * 1e6, 15.3969456, 15.0 * RELATIVE);
    for (angle, cm3) in [(0.0, 15.3969456), (30.0, 25.68663527), (60.0, 52.3611163), (90.0, 85.24930908), (180.0, 138.5725104)] {
        near(chamber.volume_and_rate(f64::to_radians(angle)).0 * 1e6, cm3, cm3 * RELATIVE);
    }
}

/// Arc of a rim: definition of the radian (ISO 80000-3:2019); 120 mm rim, numbers by NumPy 2.4.6.
#[test]
fn rim() {
    let rim = Rim::new(0.120, DriveRatio::CRANK).unwrap();
    near(rim.crank_of_arc(0.001).degrees(), 0.9549296586, 1e-9);
    near(rim.arc_of_crank(deg(30.0)), 0.03141592654, 1e-11);
    // A chord of half the diameter spans 60° (regular hexagon).
    near(rim.rotor_of_arc(rim.arc_of_chord(0.060).unwrap()).degrees(), 60.0, 1e-9);
    assert_eq!(rim.arc_of_chord(0.1201), None);
}

/// Common practice, no source: 10 mm off a rim near 95.5 mm are 12°.
#[test]
fn ten_millimetres_are_twelve_degrees() {
    /// The rim is given to a tenth of a millimetre, 0.1 % of the angle.
    const ROUNDED_DEG: f64 = 0.012;
    let rim = Rim::new(0.0955, DriveRatio::CRANK).unwrap();
    near(rim.crank_of_arc(0.010).degrees(), 12.0, ROUNDED_DEG);
}

#[test]
fn impossible_lengths_are_refused() {
    assert!(matches!(SliderCrank::new(0.03, 0.03, 0.0), Err(NotACrank::RodTooShort { .. })));
    assert!(matches!(SliderCrank::new(f64::NAN, 0.1, 0.0), Err(NotACrank::BadLength { .. })));
    assert!(matches!(SliderCrank::new(0.03, f64::INFINITY, 0.0), Err(NotACrank::BadLength { .. })));
    let crank = SliderCrank::new(0.03, 0.1, 0.0).unwrap();
    assert!(Chamber::new(crank, 0.05, 1.0).is_err());
    assert_eq!(crank.before_top(-0.001), None);
    assert_eq!(crank.before_top(0.0601), None);
    assert_eq!(crank.before_top(f64::NAN), None);
}

proptest! {
    #[test]
    fn there_and_back(radius in 0.01..0.08f64, rod_ratio in 2.5..5.0f64, offset in -0.2..0.2f64, advance in 0.5..120.0f64) {
        let crank = SliderCrank::new(radius, rod_ratio * radius, offset * radius).unwrap();
        let back = crank.before_top(crank.travel(deg(-advance))).unwrap();
        // Travel carries 16 digits and is flat near the top: half of them are left at 0.5°.
        prop_assert!((back.degrees() - advance).abs() < 1e-6);
    }

    #[test]
    fn rates_are_derivatives(radius in 0.01..0.08f64, rod_ratio in 2.5..5.0f64, offset in -0.2..0.2f64, at in -180.0..180.0f64) {
        /// Step and error of a central difference: third derivatives are of the order of the radius.
        const STEP: f64 = 1e-5;
        let crank = SliderCrank::new(radius, rod_ratio * radius, offset * radius).unwrap();
        let at = at.to_radians();
        let angle = CrankAngle::from_radians;
        let slope = (crank.travel(angle(at + STEP)) - crank.travel(angle(at - STEP))) / (2.0 * STEP);
        prop_assert!((slope - crank.travel_rate(angle(at))).abs() < 1e-9);
        let second = (crank.travel_rate(angle(at + STEP)) - crank.travel_rate(angle(at - STEP))) / (2.0 * STEP);
        prop_assert!((second - crank.travel_second_rate(angle(at))).abs() < 1e-9);
    }

    #[test]
    fn top_and_bottom_are_level(radius in 0.01..0.08f64, rod_ratio in 2.5..5.0f64, offset in -0.2..0.2f64) {
        let crank = SliderCrank::new(radius, rod_ratio * radius, offset * radius).unwrap();
        prop_assert!(crank.travel(deg(0.0)).abs() < 1e-15);
        prop_assert!(crank.travel_rate(deg(0.0)).abs() < 1e-15);
        prop_assert!(crank.travel_rate(crank.bottom()).abs() < 1e-14);
        prop_assert!((crank.travel(crank.bottom()) - crank.piston_stroke_m()).abs() < 1e-15);
    }

    #[test]
    fn chord_is_shorter_than_arc(diameter in 0.03..0.3f64, share in 0.001..1.5f64) {
        let rim = Rim::new(diameter, DriveRatio::CAM).unwrap();
        let arc = share * diameter;
        let chord = rim.chord_of_arc(arc);
        prop_assert!(chord < arc);
        prop_assert!((rim.arc_of_chord(chord).unwrap() - arc).abs() < 1e-12);
    }
}
