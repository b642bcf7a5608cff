//! Engines whose rest line is known beforehand.

use super::*;

/// Speeds and openings in the tests: the map's step is 2 %, its four-point interpolation of these smooth torques is good to 1e-5.
const INTERPOLATION: f64 = 1e-4;
/// The line is flat at a fold, so its speed is known to about the square root of the error in its opening.
const FOLD_SPEED: f64 = 3e-3;
/// Slopes are central differences over ±0.2 %.
const SLOPE: f64 = 2e-3;

const SPEEDS: (f64, f64) = (30.0, 600.0);
const OPENINGS: (f64, f64) = (2e-6, 2e-4);
const ADVANCES: (f64, f64) = (0.0, 1.2);
const FRICTION_NM: f64 = 3.0;
const INERTIA: f64 = 0.02;

/// Two cylinders with torque c·A·α each. The rest line is A₀(N) = F / (2·c·α(N)), so a curve α = F / (2·c·A₀) makes any line that is wanted.
const C: f64 = 1e5;
fn map() -> TorqueMap {
    TorqueMap::from_fn(SPEEDS, OPENINGS, ADVANCES, |_, a, advance| C * a * advance)
}
fn advance_for(opening: f64) -> f64 {
    FRICTION_NM / (2.0 * C * opening)
}
/// A line with its greatest value at 150 and its least at 350 rad/s: dA₀/dN = 3k (N − 150)(N − 350), k = 1e-12.
fn line_opening(n: f64) -> f64 {
    let k = 1e-12;
    3.0 * k * (n * n * n / 3.0 - 250.0 * n * n + 52_500.0 * n) + 3.0e-5
}

fn with_line<R>(check: impl FnOnce(&Running) -> R) -> R {
    let map = map();
    let maps = [(1.0, &map)];
    check(&Running::new(&maps, 2, &|_, n| advance_for(line_opening(n)), &|_| FRICTION_NM, INERTIA))
}

#[test]
fn line_is_the_opening_that_holds_each_speed() {
    with_line(|running| {
        for p in running.line() {
            let Hold::At { opening_m2, only } = p.hold else { panic!("{p:?}") };
            assert!(only);
            assert!((opening_m2 / line_opening(p.speed_rad_s) - 1.0).abs() < INTERPOLATION, "{p:?}");
        }
    });
}

#[test]
fn folds_are_the_extremes_of_the_line() {
    with_line(|running| {
        let folds = running.folds(&running.line());
        assert_eq!(folds.len(), 2, "{folds:?}");
        for (fold, (speed, greatest)) in folds.iter().zip([(150.0, true), (350.0, false)]) {
            assert_eq!(fold.greatest, greatest);
            assert!((fold.speed_rad_s / speed - 1.0).abs() < FOLD_SPEED, "{fold:?}");
            assert!((fold.opening_m2 / line_opening(speed) - 1.0).abs() < INTERPOLATION, "{fold:?}");
        }
    });
}

#[test]
fn three_rest_points_between_the_folds_and_one_outside() {
    with_line(|running| {
        let (least, most) = (line_opening(350.0), line_opening(150.0));
        for (opening, stable) in
            [(0.5 * (least + most), vec![true, false, true]), (1.1 * most, vec![true]), (0.98 * least, vec![true])]
        {
            let rests = running.rests(opening);
            assert_eq!(rests.points.iter().map(|p| p.stable).collect::<Vec<_>>(), stable, "{opening}");
            assert!(!rests.pulls_at_top);
            for p in &rests.points {
                assert!((line_opening(p.speed_rad_s) / opening - 1.0).abs() < INTERPOLATION);
            }
        }
    });
}

#[test]
fn stability_stiffness_and_time_constant_follow_from_the_slopes() {
    with_line(|running| {
        let opening = 0.5 * (line_opening(150.0) + line_opening(350.0));
        for p in running.rests(opening).points {
            let n = p.speed_rad_s;
            let line_slope = 3e-12 * (n - 150.0) * (n - 350.0);
            // T = F (A / A₀(N) − 1), so ∂T/∂N = −F A A₀' / A₀², and A = A₀ at rest.
            let torque_slope = -FRICTION_NM * line_slope / opening;
            assert_eq!(p.stable, torque_slope < 0.0);
            assert!((p.torque_slope / torque_slope - 1.0).abs() < SLOPE, "{p:?} {torque_slope}");
            assert!((p.time_constant_s / (-INERTIA / torque_slope) - 1.0).abs() < SLOPE);
            assert!((p.stiffness_rad_s_per_percent / (0.01 * opening / line_slope) - 1.0).abs() < SLOPE);
        }
    });
}

#[test]
fn stability_on_the_line_agrees_with_the_torque() {
    with_line(|running| {
        for p in running.line() {
            let Hold::At { opening_m2, .. } = p.hold else { panic!("{p:?}") };
            let near_fold = [150.0, 350.0].iter().any(|v| (p.speed_rad_s / v - 1.0).abs() < 0.03);
            let falls = running.torque(p.speed_rad_s * 1.001, opening_m2) < running.torque(p.speed_rad_s * 0.999, opening_m2);
            assert!(near_fold || p.stable == falls, "{p:?}");
        }
    });
}

#[test]
fn the_quick_answer_agrees_with_the_full_one() {
    with_line(|running| {
        for opening in [3.4e-5, 3.55e-5, 3.7e-5, 3.8e-5, 3.9e-5, 4.1e-5] {
            let full = running
                .rests(opening)
                .points
                .iter()
                .filter(|p| p.stable && p.speed_rad_s > 160.0)
                .map(|p| p.speed_rad_s)
                .next_back();
            let quick = running.stable_above(160.0, opening);
            assert_eq!(full.is_some(), quick.is_some(), "{opening}");
            if let (Some(full), Some(quick)) = (full, quick) {
                assert!((quick / full - 1.0).abs() < 1e-3, "{quick} {full}"); // Straight line over 2 % steps.
            }
        }
    });
}

#[test]
fn an_engine_that_pulls_everywhere_or_nowhere_is_said_to() {
    let map = map();
    let maps = [(1.0, &map)];
    let weak = Running::new(&maps, 2, &|_, _| 0.0, &|_| FRICTION_NM, INERTIA);
    assert_eq!(weak.opening_for(100.0), Hold::MoreThanMost);
    assert!(weak.rests(1e-5).points.is_empty());
    let free = Running::new(&maps, 2, &|_, _| 0.5, &|_| 0.0, INERTIA);
    assert_eq!(free.opening_for(100.0), Hold::LessThanLeast);
    assert!(free.rests(1e-5).pulls_at_top);
    assert_eq!(free.stable_above(100.0, 1e-5).map(|v| v.round()), Some(600.0));
}

#[test]
fn torque_that_does_not_rise_with_opening_is_marked() {
    let hump = TorqueMap::from_fn(SPEEDS, OPENINGS, ADVANCES, |_, a, _| {
        let x = (a / 2e-5).ln();
        4.0 * (-x * x).exp()
    });
    let maps = [(1.0, &hump)];
    let running = Running::new(&maps, 1, &|_, _| 0.3, &|_| FRICTION_NM, INERTIA);
    let Hold::At { opening_m2, only } = running.opening_for(200.0) else { panic!() };
    assert!(!only);
    assert!(opening_m2 < 2e-5, "the lowest");
}

#[test]
fn a_blend_of_maps_is_the_weighted_sum() {
    let (one, two) = (map(), TorqueMap::from_fn(SPEEDS, OPENINGS, ADVANCES, |_, a, advance| 2.0 * C * a * advance));
    let maps = [(0.25, &one), (0.75, &two)];
    let running = Running::new(&maps, 1, &|_, _| 0.5, &|_| 0.0, INERTIA);
    let expected = 1.75 * C * 1e-5 * 0.5;
    assert!((running.torque(123.0, 1e-5) / expected - 1.0).abs() < INTERPOLATION);
}

/// Advance of the ramp law in `reference/rest_folds.py`.
fn ramp(n: f64, lead: f64, arc: f64, start: f64, full: f64) -> f64 {
    let c = arc / (full / start - 1.0);
    lead - (c * full / n - c).clamp(0.0, arc)
}

/// The folds found on the map stand where a general solver of {T = 0, dT/dN = 0} puts them, corners of the curve included.
///
/// Source: `reference/rest-folds.csv`, computed with SciPy by `reference/rest_folds.py`.
#[test]
fn folds_agree_with_a_general_solver() {
    let table = include_str!("../../../../reference/rest-folds.csv");
    let rows: Vec<Vec<f64>> = table
        .lines()
        .filter(|l| !l.starts_with('#'))
        .map(|l| l.split(',').map(|v| v.parse().expect("a number")).collect())
        .collect();
    assert!(rows.len() >= 8, "the table is whole");
    let map = TorqueMap::from_fn((40.0, 600.0), OPENINGS, (-0.3, 1.0), |n, a, advance| {
        let best = 0.9 - 0.12 * (a / 2e-5).ln() + 0.0004 * n;
        let x = (advance - best) / 0.55;
        3.0e5 * a / (1.0 + n / 600.0) * (-x * x).exp()
    });
    let maps = [(1.0, &map)];
    for case in rows.chunk_by(|a, b| a[0] == b[0]) {
        let [_, lead1, lead2, arc, start, full, ..] = case[0][..] else { panic!("short row") };
        let advance = move |c: usize, n: f64| ramp(n, if c == 0 { lead1 } else { lead2 }, arc, start, full);
        let running = Running::new(&maps, 2, &advance, &|n| 2.0 + 1e-5 * n * n, INERTIA);
        let folds = running.folds(&running.line());
        assert_eq!(folds.len(), case.len(), "{folds:?} {case:?}");
        for (fold, row) in folds.iter().zip(case) {
            assert!((fold.speed_rad_s / row[6] - 1.0).abs() < FOLD_SPEED, "{fold:?} {row:?}");
            assert!((fold.opening_m2 / row[7] - 1.0).abs() < INTERPOLATION, "{fold:?} {row:?}");
        }
    }
}
