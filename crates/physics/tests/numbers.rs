//! Roots, interpolation, quantiles and balance against outside values.

mod outside;

use outside::near;
use physics::balance::*;
use physics::interp::{BadPoints, MonotoneCubic};
use physics::interval::{NORMAL_95, student_95, wilson};
use physics::root::{NoRoot, bracketed};
use proptest::prelude::*;
use std::cell::Cell;
use std::f64::consts::TAU;

/// Fritsch and Carlson (1980), data RPN 14, and an advance curve: values of SciPy 1.17.1 `PchipInterpolator`.
#[test]
fn monotone_cubic_is_scipys() {
    /// Ten digits are given.
    const RELATIVE: f64 = 1e-9;
    let x = [7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0];
    let y = [0.0, 2.76429e-05, 0.0437498, 0.169183, 0.469428, 0.94374, 0.998636, 0.999919, 0.999994];
    let points: Vec<_> = x.into_iter().zip(y).collect();
    let line = MonotoneCubic::new(&points).unwrap();
    let expected = [
        (8.0, 2.767433863e-07),
        (8.14, 0.01769716738),
        (8.5, 0.1166325769),
        (9.0, 0.3375343268),
        (9.6, 0.7602476393),
        (11.0, 0.9860433625),
        (13.0, 0.9993618221),
        (17.0, 0.9999680258),
    ];
    for (at, value) in expected {
        near(line.value(at), value, RELATIVE * value);
    }
    for (at, slope) in [(8.09, 0.0005525086819), (8.19, 0.3358768346), (9.2, 0.5969582389), (15.0, 3.142468363e-05)] {
        near(line.rate(at), slope, RELATIVE * slope);
    }
    let curve = MonotoneCubic::new(&[(1000.0, 5.0), (1500.0, 8.0), (2500.0, 20.0), (4000.0, 28.0), (8000.0, 28.0)]).unwrap();
    for (rpm, degrees) in
        [(1250.0, 6.267857143), (2000.0, 14.01691729), (3000.0, 23.7582846), (3500.0, 26.76803119), (6000.0, 28.0)]
    {
        near(curve.value(rpm), degrees, RELATIVE * degrees);
    }
    near(curve.value(100.0), 5.0, 0.0);
    near(curve.value(9e9), 28.0, 0.0);
}

#[test]
fn bad_points_are_refused() {
    assert_eq!(MonotoneCubic::new(&[]), Err(BadPoints::Empty));
    assert_eq!(MonotoneCubic::new(&[(1.0, 0.0), (1.0, 2.0)]), Err(BadPoints::NotRising { after: 0 }));
    assert_eq!(MonotoneCubic::new(&[(1.0, f64::NAN)]), Err(BadPoints::NotFinite { at: 0 }));
    assert_eq!(MonotoneCubic::new(&[(1.0, 4.0)]).unwrap().value(f64::NAN), 4.0);
}

#[test]
fn roots_that_are_not_certain_are_refused() {
    assert!(matches!(bracketed(|x| x * x + 1.0, -1.0, 1.0, 1e-9), Err(NoRoot::NoSignChange { .. })));
    assert!(matches!(bracketed(|_| f64::NAN, -1.0, 1.0, 1e-9), Err(NoRoot::NotFinite { .. })));
    assert!(matches!(bracketed(|x| x, f64::NAN, 1.0, 1e-9), Err(NoRoot::NotFinite { .. })));
}

proptest! {
    /// Never more than one step above bisection (Oliveira and Takahashi 2020, theorem 2.1), and right.
    #[test]
    fn root_of_a_power(place in -0.99..0.99f64, power in 0usize..4) {
        const TOLERANCE: f64 = 1e-10;
        let calls = Cell::new(0);
        let f = |x: f64| { calls.set(calls.get() + 1); let d: f64 = x - place; d.abs().powi(2 * power as i32 + 1).copysign(d) };
        let root = bracketed(f, -1.0, 1.0, TOLERANCE).unwrap();
        // A flat root is found where the function underflows to zero as well.
        let flat = 1e-308f64.powf(1.0 / (2.0 * power as f64 + 1.0));
        prop_assert!((root - place).abs() <= TOLERANCE + flat.min(1e-6));
        let bisection = (2.0 / (2.0 * TOLERANCE)).log2().ceil() as i32;
        // Both ends, and one step more where rounding leaves the last bracket a hair too wide.
        prop_assert!(calls.get() <= bisection + 1 + 2 + 1, "{} calls", calls.get());
    }

    #[test]
    fn root_of_a_jump(place in -0.9..0.9f64) {
        let root = bracketed(|x| if x < place { -3.0 } else { 1e6 }, -1.0, 1.0, 1e-9).unwrap();
        prop_assert!((root - place).abs() <= 1e-9);
    }

    #[test]
    fn rising_points_give_a_rising_line(steps in prop::collection::vec((0.01..3.0f64, 0.0..2.0f64), 2..12), share in 0.0..1.0f64) {
        let (mut x, mut y) = (0.0, 0.0);
        let points: Vec<_> = steps.iter().map(|(dx, dy)| { x += dx; y += dy; (x, y) }).collect();
        let line = MonotoneCubic::new(&points).unwrap();
        let at = points[0].0 + share * (x - points[0].0);
        // Rounding: a few units in the last place of values up to 24.
        prop_assert!(line.rate(at) >= -1e-12);
        prop_assert!(line.value(at) >= points[0].1 - 1e-12 && line.value(at) <= y + 1e-12);
    }
}

/// Newcombe, Statist. Med. 17 (1998) 857-872, table I, method 3 (printed to 4 digits); digits by SciPy 1.17.1
/// `binomtest.proportion_ci`.
#[test]
fn wilson_intervals() {
    let expected = [
        (81, 263, 0.2552885199, 0.366209577),
        (15, 148, 0.06238639953, 0.1604872417),
        (0, 20, 0.0, 0.1611251581),
        (1, 29, 0.006113214293, 0.1717552188),
    ];
    for (k, n, low, high) in expected {
        near(wilson(k, n).0, low, 1e-9);
        near(wilson(k, n).1, high, 1e-9);
    }
    assert_eq!(wilson(0, 0), (0.0, 1.0));
}

/// SciPy 1.17.1 `t.ppf(0.975)`; standard tables print 2.776, 2.228, 2.045.
#[test]
fn student_quantiles() {
    for (freedom, t) in [(1, 12.706204736), (2, 4.30265273), (4, 2.776445105), (10, 2.228138852), (29, 2.045229642)] {
        near(student_95(freedom), t, 2e-9);
    }
    // Where the sums give way to the expansion the two agree.
    near(student_95(1999), student_95(2000), 2e-6);
    near(student_95(usize::MAX), NORMAL_95, 1e-12);
    assert_eq!(student_95(0), f64::INFINITY);
}

fn rad_s(rpm: f64) -> f64 {
    rpm * TAU / 60.0
}

/// ISO 21940-11:2016. Specific unbalance: definition, numbers by NumPy 2.4.6. Residual: worked example of a tool
/// catalogue (Widia, page K53: 2 kg, 10 000 rev/min, G 6.3 → 12 g·mm, rounded with 9549 for 60 000/2π).
#[test]
fn permissible_unbalance_of_the_standard() {
    for (grade, rpm, micrometres) in [
        (Grade::G6_3, 3000.0, 20.05352283),
        (Grade::G16, 8000.0, 19.09859317),
        (Grade::G40, 8000.0, 47.74648293),
        (Grade::G6_3, 10000.0, 6.016056849),
    ] {
        near(permissible_specific_unbalance(grade, rad_s(rpm)) * 1e6, micrometres, 1e-6 * micrometres);
    }
    let gram_millimetres = permissible_unbalance(Grade::G6_3, 2.0, rad_s(10_000.0)) * 1e6;
    near(gram_millimetres, 12.0321137, 1e-6);
    /// Half a unit of the printed 12.
    const PRINTED: f64 = 0.5;
    near(gram_millimetres, 12.0, PRINTED);
    // Preferred grades stand in the ratio 2.5 (table 1 of the standard; G 16 is rounded from 15.75).
    near(Grade::G6_3.metres_per_second() / Grade::G2_5.metres_per_second(), 2.52, 0.0);
}

/// F = U ω², U = m r; numbers by NumPy 2.4.6: 100 g·mm at 10 000 rev/min; hole 5 × 6 mm in steel at radius 50 mm.
#[test]
fn unbalance_force_and_drilling() {
    near(unbalance_force(100e-6, rad_s(10_000.0)), 109.6622711, 1e-6);
    let removed = drilled_mass(0.005, 0.006, 7850.0);
    near(removed * 1e3, 0.9248063374, 1e-9);
    near(unbalance(removed, 0.050) * 1e6, 46.24031687, 1e-7);
}

proptest! {
    /// A short cut is a block at its own radius; a whole ring is balanced.
    #[test]
    fn cut_is_mass_times_radius(diameter in 0.05..0.2f64, height in 0.001..0.004f64, width in 0.003..0.02f64) {
        let arc = 0.001;
        let ours = unbalance_of_cut(diameter, arc, height, width, 7850.0);
        let mean = 0.5 * (diameter + height);
        let block = unbalance(arc * mean / (0.5 * diameter) * height * width * 7850.0, mean);
        // The block leaves out curvature: (arc/D)²/6 and (height/D)²/3 of the whole.
        prop_assert!((ours / block - 1.0).abs() < 3e-3);
        let ring = unbalance_of_cut(diameter, std::f64::consts::PI * diameter, height, width, 7850.0);
        prop_assert!(ring.abs() < 1e-12);
    }
}
