//! The laws against outside values and against their own limits.

mod outside;

use outside::near;
use physics::law::*;
use physics::rim::Rim;
use proptest::prelude::*;
use quantity::{CrankAngle, DriveRatio};
use std::f64::consts::TAU;

fn deg(d: f64) -> CrankAngle {
    CrankAngle::from_degrees(d)
}

fn rpm(n: f64) -> f64 {
    n * TAU / 60.0
}

/// Rounding of a few operations on angles of a radian.
const ROUNDING_DEG: f64 = 1e-9;

fn ramp(lead: f64, arc: f64, start: f64, full: f64) -> Law {
    Law::Ramp(Ramp::from_speeds(Segment::new(deg(lead), deg(arc)).unwrap(), rpm(start), rpm(full)).unwrap())
}

/// Common practice, no source: a trigger with 0° at 1000, about 30° at 2500 and 40° from 4000 rev/min on a rim of
/// 95.5 mm; 10 mm off the trailing end leave 12° to 40° and nothing else changes above the new knee.
#[test]
fn the_known_cut() {
    let found = ramp(40.0, 40.0, 1000.0, 4000.0);
    near(found.advance(rpm(1000.0)).degrees(), 0.0, ROUNDING_DEG);
    near(found.advance(rpm(4000.0)).degrees(), 40.0, ROUNDING_DEG);
    // The ramp through both ends gives 32° at 2500: φ = 40·(1000/3000)·(4000/2500 − 1) = 8°. "About 30°" is 2° off, as
    // much as a strobe with a wide mark; the straight line between the edges gives 20° and is 10° off.
    /// What "about" is worth: the spread of a workshop strobe (common practice, ±1 to 2°).
    const ABOUT_DEG: f64 = 2.0;
    near(found.advance(rpm(2500.0)).degrees(), 32.0, ROUNDING_DEG);
    near(found.advance(rpm(2500.0)).degrees(), 30.0, ABOUT_DEG + ROUNDING_DEG);
    let straight = TwoEdge::from_speeds(found.segment().unwrap(), rpm(1000.0), rpm(4000.0)).unwrap();
    near(straight.advance(rpm(2500.0)).degrees(), 20.0, ROUNDING_DEG);

    let rim = Rim::new(0.0955, DriveRatio::CRANK).unwrap();
    let after = found.with_trailing_cut(rim.crank_of_arc(0.010)).unwrap();
    /// The rim is given to a tenth of a millimetre, 0.1 % of 12°.
    const RIM_DEG: f64 = 0.012;
    near(after.advance(rpm(600.0)).degrees(), 12.0, RIM_DEG);
    near(after.advance(rpm(9000.0)).degrees(), 40.0, ROUNDING_DEG);
    let knee = after.knees().unwrap().0;
    // The new knee: k/(W' + c) with W' = 28°, c = 13.33°, k = 53333°·rev/min.
    near(knee, rpm(53_333.333 / (28.0 + 13.333_333)), rpm(0.5));
    for n in [1300.0, 1500.0, 2000.0, 2500.0, 3999.0, 4000.0, 8000.0].map(rpm).into_iter().filter(|n| *n >= knee) {
        near(after.advance(n).degrees(), found.advance(n).degrees(), ROUNDING_DEG);
    }
}

#[test]
fn bob_weights_are_in_equilibrium() {
    /// The reference's root is bracketed to 1e-15 rad of swing.
    const ROOT_DEG: f64 = 1e-7;
    let mechanism = Mechanism {
        drive: DriveRatio::CAM,
        static_advance: deg(8.0),
        range: deg(26.0),
        mass_kg: 0.055,
        pivot_radius_m: 0.028,
        arm_m: 0.020,
        rest_angle_rad: 62f64.to_radians(),
        cam_per_swing: 1.15,
        spring_arm_m: 0.018,
        first: Spring { rate_n_m: 5000.0, preload_n: 4.5, gap_m: 0.0 },
        second: Some(Spring { rate_n_m: 17_000.0, preload_n: 0.0, gap_m: 0.0015 }),
        friction_nm: 0.02,
    };
    let law = Law::BobWeights(BobWeights::new(mechanism).unwrap());
    // SciPy 1.17.1 brentq on the balance of moments written with vectors (reference/curve/make.py).
    let text = include_str!("../../../reference/curve/bob_weights.csv");
    let mut rows = 0;
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let v: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        near(law.advance(rpm(v[0])).degrees(), v[1], ROOT_DEG);
        near(law.advance_rising(rpm(v[0])).degrees(), v[2], ROOT_DEG);
        near(law.advance_falling(rpm(v[0])).degrees(), v[3], ROOT_DEG);
        rows += 1;
    }
    assert_eq!(rows, 14);
}

#[test]
fn weak_springs_snap_open_and_shut() {
    // The lever's sine grows faster than the spring's pull: no rest between the stops.
    let mechanism = Mechanism {
        drive: DriveRatio::CRANK,
        static_advance: deg(5.0),
        range: deg(25.0),
        mass_kg: 0.05,
        pivot_radius_m: 0.02,
        arm_m: 0.02,
        rest_angle_rad: 0.3,
        cam_per_swing: 1.0,
        spring_arm_m: 0.015,
        first: Spring { rate_n_m: 50.0, preload_n: 5.0, gap_m: 0.0 },
        second: None,
        friction_nm: 0.0,
    };
    let law = BobWeights::new(mechanism).unwrap();
    let grid: Vec<f64> = (1..6000).map(|n| rpm(f64::from(n))).collect();
    let opens = *grid.iter().find(|n| law.rising(**n) > deg(5.0)).unwrap();
    near(law.rising(opens).degrees(), 30.0, ROUNDING_DEG);
    let shuts = *grid.iter().rev().find(|n| law.falling(**n) < deg(30.0)).unwrap();
    near(law.falling(shuts).degrees(), 5.0, ROUNDING_DEG);
    assert!(shuts < opens);
}

fn pickup(gap: f64, pole: f64) -> Pickup {
    let rim = Rim::new(0.1, DriveRatio::CRANK).unwrap();
    Pickup::from_pulse(rim, gap, pole, 2.0, rpm(500.0), 0.5).unwrap()
}

/// Laplace's equation in the gap, solved by Fourier integral and crossed by brentq (SciPy 1.17.1, reference/curve/make.py).
#[test]
fn pickup_fires_where_the_field_says() {
    /// The reference integrates with a relative error of about 1e-8 and cuts its integral off at e⁻⁶⁰.
    const FIELD_M: f64 = 2e-9;
    let text = include_str!("../../../reference/curve/pickup.csv");
    let mut rows = 0;
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let v: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        let p = pickup(v[0], v[1]);
        let rim = Rim::new(0.1, DriveRatio::CRANK).unwrap();
        near(rim.arc_of_crank(p.ahead_of_edge(v[2] * p.lowest_firing_speed())), v[3], FIELD_M);
        rows += 1;
    }
    assert_eq!(rows, 9);
}

#[test]
fn pickup_limits() {
    let p = pickup(0.0006, 0.002);
    // The pulse is proportional to speed, so 2 V at 500 rev/min reach 0.5 V at 125.
    near(p.lowest_firing_speed(), rpm(125.0), 1e-9);
    assert_eq!(p.ahead_of_edge(rpm(125.0)), deg(0.0));
    assert_eq!(p.ahead_of_edge(rpm(60.0)), deg(0.0));
    assert_eq!(p.ahead_of_edge(f64::NAN), deg(0.0));
    // Far above the threshold each doubling of speed moves the firing point by (w/2) ln 2.
    let step = p.shift_between(rpm(1e7), rpm(2e7)).radians() * 0.05;
    /// At 80 000 times the threshold the limit is missed by about w/160 000.
    const LIMIT_M: f64 = 1e-8;
    near(step, 0.5 * p.width_m() * 2f64.ln(), LIMIT_M);
    // Narrow pole: 1/g²; wide pole: 1/g (constant magnetomotive force).
    let scale = |pole: f64| pickup(0.0005, pole).with_gap(0.001).unwrap().peak_v(1.0) / pickup(0.0005, pole).peak_v(1.0);
    near(scale(0.0), 0.25, 1e-12);
    near(scale(0.05), 0.5, 1e-9);
    // A pole many gaps wide neither overflows nor jumps where the formula changes over.
    let wide = |pole: f64| pickup(0.0001, pole).ahead_of_edge(rpm(3000.0)).radians();
    let slope = (wide(0.0064) - wide(0.0063)) / 0.0001;
    near(slope, 0.5 / 0.05, 1e-6);
    assert!(wide(0.05).is_finite());
}

#[test]
fn a_pickup_shifts_the_whole_law_and_says_from_what_speed_it_fires() {
    let plain = ramp(38.0, 30.0, 1100.0, 3800.0);
    let p = pickup(0.0006, 0.0);
    let law = plain.clone().sensed_by(p);
    assert!(!law.fires(rpm(124.0)) && law.fires(rpm(126.0)));
    for n in [300.0, 900.0, 2500.0, 6000.0].map(rpm) {
        near(law.advance(n).degrees(), (plain.advance(n) + p.ahead_of_edge(n)).degrees(), ROUNDING_DEG);
    }
    let cut = law.with_trailing_cut(deg(5.0)).unwrap();
    near(cut.advance(rpm(300.0)).degrees() - law.advance(rpm(300.0)).degrees(), 5.0, ROUNDING_DEG);
}

#[test]
fn reversed_leads_fire_from_the_other_edge() {
    let right = Segment::new(deg(38.0), deg(30.0)).unwrap();
    let wrong = right.reversed(DriveRatio::CRANK).unwrap();
    near(wrong.late_rad().to_degrees(), 30.0, ROUNDING_DEG);
    let module = Ramp::from_speeds(right, rpm(1100.0), rpm(3800.0)).unwrap();
    // At full speed the spark comes at the trailing edge, the whole arc late.
    near(module.on(wrong).advance(rpm(6000.0)).degrees(), 8.0, ROUNDING_DEG);
    let module = TwoEdge::from_speeds(right, rpm(1100.0), rpm(3800.0)).unwrap();
    near(module.on(wrong).advance(rpm(6000.0)).degrees(), 8.0, ROUNDING_DEG);
    near(module.on(wrong).advance(rpm(500.0)).degrees(), 38.0, ROUNDING_DEG);
    assert!(Segment::new(deg(38.0), deg(361.0)).unwrap().reversed(DriveRatio::CRANK).is_err());
}

#[test]
fn laws_without_a_segment_take_no_cut() {
    let points = [(rpm(1000.0), deg(5.0)), (rpm(3000.0), deg(25.0))];
    let table = Law::Table(Table::new(&points).unwrap());
    for law in [table, Law::Fixed(deg(20.0))] {
        assert_eq!(law.with_trailing_cut(deg(1.0)), None);
        near(law.shifted(deg(2.0)).advance(rpm(1000.0)).degrees(), law.advance(rpm(1000.0)).degrees() + 2.0, ROUNDING_DEG);
    }
    let law = ramp(38.0, 30.0, 1100.0, 3800.0);
    assert_eq!(law.with_trailing_cut(deg(30.0)), None);
    assert_eq!(law.with_trailing_cut(deg(-1.0)), None);
    assert!(Ramp::from_speeds(Segment::new(deg(30.0), deg(20.0)).unwrap(), rpm(3000.0), rpm(1000.0)).is_err());
}

proptest! {
    #[test]
    fn segment_laws_stay_between_their_edges(
        lead in 10.0..60.0f64, arc in 5.0..50.0f64, start in 500.0..2000.0f64, span in 200.0..5000.0f64, n in 1.0..15000.0f64,
    ) {
        let segment = Segment::new(deg(lead), deg(arc)).unwrap();
        let ramp = Law::Ramp(Ramp::from_speeds(segment, rpm(start), rpm(start + span)).unwrap());
        let straight = Law::TwoEdge(TwoEdge::from_speeds(segment, rpm(start), rpm(start + span)).unwrap());
        for law in [ramp, straight] {
            let a = law.advance(rpm(n)).degrees();
            prop_assert!(a >= lead - arc - 1e-9 && a <= lead + 1e-9);
            prop_assert!(law.advance(rpm(n + 50.0)).degrees() >= a - 1e-9);
            let (low, high) = law.knees().unwrap();
            prop_assert!((low / rpm(start) - 1.0).abs() < 1e-9 && (high / rpm(start + span) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_cut_leaves_all_above_the_new_knee(
        arc in 10.0..50.0f64, share in 0.05..0.9f64, start in 500.0..2000.0f64, span in 200.0..5000.0f64, n in 1.0..15000.0f64,
    ) {
        let before = ramp(40.0, arc, start, start + span);
        let after = before.with_trailing_cut(deg(share * arc)).unwrap();
        let knee = after.knees().unwrap().0;
        prop_assert!(knee > before.knees().unwrap().0);
        let change = after.advance(rpm(n)).degrees() - before.advance(rpm(n)).degrees();
        if rpm(n) >= knee { prop_assert!(change.abs() < 1e-9) } else { prop_assert!(change > -1e-9 && change < share * arc + 1e-9) }
    }

    #[test]
    fn weights_rise_below_fall_above(
        friction in 0.0..0.03f64, preload in 0.5..10.0f64, rate in 500.0..9000.0f64, second in 0.0..20000.0f64,
        gap in 0.0..0.004f64, rest in 0.4..1.6f64, n in 1.0..9000.0f64,
    ) {
        let law = BobWeights::new(Mechanism {
            drive: DriveRatio::CAM, static_advance: deg(6.0), range: deg(28.0), mass_kg: 0.05, pivot_radius_m: 0.025, arm_m: 0.02,
            rest_angle_rad: rest, cam_per_swing: 1.1, spring_arm_m: 0.015,
            first: Spring { rate_n_m: rate, preload_n: preload, gap_m: 0.0 },
            second: Some(Spring { rate_n_m: second, preload_n: 0.0, gap_m: gap }), friction_nm: friction,
        }).unwrap();
        let (up, held, down) = (law.rising(rpm(n)).degrees(), law.held(rpm(n)).degrees(), law.falling(rpm(n)).degrees());
        prop_assert!(up <= held + 1e-9 && held <= down + 1e-9);
        prop_assert!(up >= 6.0 - 1e-9 && down <= 34.0 + 1e-9);
        prop_assert!(law.rising(rpm(n + 40.0)).degrees() >= up - 1e-7);
        prop_assert!(law.falling(rpm(n + 40.0)).degrees() >= down - 1e-7);
    }

    #[test]
    fn pulses_are_symmetric_and_the_firing_point_is_on_them(
        gap in 0.0002..0.0015f64, pole in 0.0..0.006f64, n in 130.0..12000.0f64, x in 0.0..0.003f64,
    ) {
        let p = pickup(gap, pole);
        prop_assert!((p.pulse_v(rpm(n), x) - p.pulse_v(rpm(n), -x)).abs() < 1e-12);
        prop_assert!((p.pulse_v(rpm(2.0 * n), x) / p.pulse_v(rpm(n), x) - 2.0).abs() < 1e-9);
        let ahead_m = 0.05 * p.ahead_of_edge(rpm(n)).radians();
        // Half a volt is the threshold of this module; beyond 2β = 100 the pulse is not evaluated exactly.
        if pole / p.width_m() < 100.0 && n > 125.1 {
            prop_assert!((p.pulse_v(rpm(n), -ahead_m) / 0.5 - 1.0).abs() < 1e-6);
        }
        prop_assert!(p.ahead_of_edge(rpm(n + 100.0)) >= p.ahead_of_edge(rpm(n)));
    }
}
