//! Balance in one plane, against outside values.

mod outside;

use outside::{RELATIVE, close, near};
use physics::balance::{Grade, permissible_specific_unbalance, permissible_unbalance, unbalance_of_cut};
use physics::rotor::drill::{Drill, MOST_HOLES, NoPlan, TWIST, Way};
use physics::rotor::trial_runs::{NoAnswer, Trial, Vibration, with_phase, without_phase};
use physics::rotor::unbalance::{Unbalance, from_trial_masses, least_shown};
use proptest::prelude::*;
use quantity::Value;
use std::f64::consts::{PI, TAU};

fn rpm(n: f64) -> f64 {
    n * TAU / 60.0
}

/// Angle difference, within half a turn either way.
fn apart(a: f64, b: f64) -> f64 {
    (a - b + PI).rem_euclid(TAU) - PI
}

/// Grades of ISO 21940-11 (was 1940-1), table 1, as a published page prints them; e_per = G/ω by NumPy; force of 100 g·mm at 10 000 rev/min.
#[test]
fn grades_and_what_they_permit() {
    let printed = [0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0];
    for (g, theirs) in Grade::ALL.into_iter().zip(printed) {
        close(g.metres_per_second() * 1e3, theirs, 1e-12);
    }
    for (g, n, micrometres) in [
        (Grade::G6_3, 3000.0, 20.05352283),
        (Grade::G16, 8000.0, 19.09859317),
        (Grade::G40, 8000.0, 47.74648293),
        (Grade::G6_3, 10_000.0, 6.016056849),
    ] {
        close(permissible_specific_unbalance(g, rpm(n)) * 1e6, micrometres, RELATIVE);
    }
    // Catalogue example (Widia, page K53): 2 kg, G 6.3, 10 000 rev/min: 12 g·mm.
    near(permissible_unbalance(Grade::G6_3, 2.0, rpm(10_000.0)) * 1e6, 12.0, 0.5);
    assert_eq!(Grade::kept(11e-6, 2.0, rpm(10_000.0)), Some(Grade::G6_3));
    assert_eq!(Grade::kept(13e-6, 2.0, rpm(10_000.0)), Some(Grade::G16));
    assert_eq!(Grade::kept(1.0, 2.0, rpm(10_000.0)), None);
}

/// Added as vectors; doubt by the covariance, checked by moving each input by its own uncertainty.
#[test]
fn unbalances_add_as_vectors() {
    let v = |si: f64, u: f64| Value { si, standard_uncertainty_si: u };
    let parts = [(0.012, 0.045, 0.3), (-0.004, 0.05, 2.1), (0.0005, 0.03, -2.0)];
    let sum: Unbalance = parts.iter().map(|(m, r, a)| Unbalance::of_mass(v(*m, 1e-4), v(*r, 2e-4), v(*a, 0.01))).sum();
    let plain = |moved: [f64; 9]| {
        let (mut x, mut y) = (0.0, 0.0);
        for (i, (m, r, a)) in parts.iter().enumerate() {
            let (m, r, a) = (m + moved[3 * i], r + moved[3 * i + 1], a + moved[3 * i + 2]);
            x += m * r * a.cos();
            y += m * r * a.sin();
        }
        (x, y)
    };
    let middle = plain([0.0; 9]);
    close(sum.x, middle.0, 1e-12);
    close(sum.y, middle.1, 1e-12);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for i in 0..9 {
        // A thousandth of the uncertainty keeps the difference straight.
        let u = [1e-4, 2e-4, 0.01][i % 3];
        let mut moved = [0.0; 9];
        moved[i] = 1e-3 * u;
        let there = plain(moved);
        let d = ((there.0 - middle.0) * 1e3, (there.1 - middle.1) * 1e3);
        xx += d.0 * d.0;
        xy += d.0 * d.1;
        yy += d.1 * d.1;
    }
    close(sum.xx, xx, 1e-3);
    close(sum.xy, xy, 1e-2);
    close(sum.yy, yy, 1e-3);
    let along = sum.size_uncertainty();
    let across = sum.place_uncertainty() * sum.size();
    close(along * along + across * across, sum.xx + sum.yy, RELATIVE);
    assert!(sum.worst_uncertainty() >= along.max(across) * (1.0 - RELATIVE));
    let none = sum + sum.opposite();
    assert_eq!((none.size(), none.place_uncertainty()), (0.0, f64::INFINITY));
    // A block cut from a rim is a mass at its middle, within the arc's own curve.
    let cut = unbalance_of_cut(0.108, 5.5e-3, 2.4e-3, 9.5e-3, 7850.0);
    close(cut, 5.5e-3 * (0.0552 / 0.054) * 2.4e-3 * 9.5e-3 * 7850.0 * 0.0552, 2e-3);
}

fn vibration(amplitude: f64, degrees: f64) -> Vibration {
    Vibration { amplitude, amplitude_u: 0.02 * amplitude, phase_rad: degrees.to_radians(), phase_u: 0.05 }
}

/// A worked example with polar graph paper (acoem.com, "A vector approach to single plane balancing", read in a stored copy): 7 mil at 160°, with 100 g 5 mil at
/// 70°. The page reads 9 mil off its paper for the change, and so has 77.77 g and 35° between.
#[test]
fn a_published_example_with_phase() {
    /// The paper's 9 stands for 8.60, which it is by Pythagoras: 5 %.
    const READ_OFF: f64 = 0.05;
    /// A protractor's degree.
    const PROTRACTOR_DEG: f64 = 1.0;
    let trial = Trial { size_kg_m: 0.1, place_rad: 0.0 };
    let found = with_phase(vibration(7.0, 160.0), vibration(5.0, 70.0), trial).unwrap();
    let correction = found.unbalance.opposite();
    close(correction.size() * 1e3, 77.77, READ_OFF);
    near(correction.place().to_degrees().abs(), 35.0, PROTRACTOR_DEG);
    // To the last digit by complex numbers in NumPy: 100·7/√74 g, atan(5/7).
    close(correction.size() * 1e3, 100.0 * 7.0 / 74f64.sqrt(), RELATIVE);
    near(correction.place().to_degrees().abs(), (5.0f64 / 7.0).atan().to_degrees(), 1e-9);
}

proptest! {
    /// Any unbalance, response and lag is found again from two runs.
    #[test]
    fn runs_with_phase_give_back_what_made_them(size in 1e-6..1e-4f64, place in -3.0..3.0, weight in 5e-6..1e-4, at in -3.0..3.0, gain in 1e3..1e6f64, lag in -3.0..3.0) {
        let run = |x: f64, y: f64| Vibration { amplitude: gain * x.hypot(y), amplitude_u: 0.0, phase_rad: y.atan2(x) - lag, phase_u: 0.0 };
        let (x, y) = (size * f64::cos(place), size * f64::sin(place));
        let found = with_phase(run(x, y), run(x + weight * f64::cos(at), y + weight * f64::sin(at)), Trial { size_kg_m: weight, place_rad: at }).unwrap();
        prop_assert!((found.unbalance.size() / size - 1.0).abs() < 1e-6);
        prop_assert!(apart(found.unbalance.place(), place).abs() < 1e-6);
        prop_assert!((found.response / gain - 1.0).abs() < 1e-6);
    }

    /// The same from amplitudes alone.
    #[test]
    fn runs_without_phase_give_back_what_made_them(ratio in 0.05..20.0f64, place in -3.0..3.0, gain in 1e3..1e6f64, four in any::<bool>()) {
        let weight = 2e-5;
        let (x, y) = (ratio * weight * f64::cos(place), ratio * weight * f64::sin(place));
        let n = if four { 4 } else { 3 };
        let runs: Vec<(f64, Trial)> = (0..n).map(|i| {
            let at = TAU * f64::from(i) / f64::from(n);
            (gain * (x + weight * at.cos()).hypot(y + weight * at.sin()), Trial { size_kg_m: weight, place_rad: at })
        }).collect();
        let found = without_phase(gain * x.hypot(y), &runs, 0.0).unwrap();
        prop_assert!((found.unbalance.size() / (ratio * weight) - 1.0).abs() < 1e-5, "{found:?}");
        prop_assert!(apart(found.unbalance.place(), place).abs() < 1e-5);
        prop_assert!((found.response / gain - 1.0).abs() < 1e-5);
    }
}

/// First-order doubt against the scatter of runs that are moved each by its own uncertainty.
#[test]
fn doubt_of_the_answer_is_that_of_the_readings() {
    let (a, b) = (vibration(4.1, 33.0), vibration(6.3, 95.0));
    let trial = Trial { size_kg_m: 3e-5, place_rad: 1.0 };
    let middle = with_phase(a, b, trial).unwrap().unbalance;
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for i in 0..4 {
        let (mut m, mut n) = (a, b);
        // A thousandth of the uncertainty keeps the difference straight.
        match i {
            0 => m.amplitude += 1e-3 * a.amplitude_u,
            1 => m.phase_rad += 1e-3 * a.phase_u,
            2 => n.amplitude += 1e-3 * b.amplitude_u,
            _ => n.phase_rad += 1e-3 * b.phase_u,
        }
        let there = with_phase(m, n, trial).unwrap().unbalance;
        let d = ((there.x - middle.x) * 1e3, (there.y - middle.y) * 1e3);
        xx += d.0 * d.0;
        xy += d.0 * d.1;
        yy += d.1 * d.1;
    }
    close(middle.xx, xx, 1e-2);
    close(middle.yy, yy, 1e-2);
    close(middle.xy, xy, 1e-2);
}

/// SciPy's least squares from a grid of starts; readings 10, 7, 12, 18 mil with 50 g at 0, 120 and 240° are those of a published account of the method
/// (reliabilityweb.com, "Balancing without phase").
#[test]
fn amplitudes_alone_are_fitted_as_scipy_does() {
    /// Both stop when a step changes nothing in the last digits of a sum of squares.
    const SETTLED: f64 = 1e-6;
    let text = include_str!("../../../reference/rotor/trial_runs.csv");
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let r: Vec<f64> = line.split(',').skip(1).map(|n| n.parse().unwrap()).collect();
        let places = r[0] as usize;
        let runs: Vec<(f64, Trial)> =
            (0..places).map(|i| (r[2 + i], Trial { size_kg_m: 50e-6, place_rad: TAU * i as f64 / places as f64 })).collect();
        let found = without_phase(r[1], &runs, 0.0).unwrap();
        close(found.response * 50e-6, r[6], SETTLED);
        near(found.unbalance.x / 50e-6, r[7], SETTLED * 3.0);
        near(found.unbalance.y / 50e-6, r[8], SETTLED * 3.0);
        near(found.misfit.unwrap(), r[9], SETTLED);
    }
}

#[test]
fn what_cannot_be_told_is_refused() {
    let t = |degrees: f64| Trial { size_kg_m: 1e-5, place_rad: degrees.to_radians() };
    let two = [(3.0, t(0.0)), (4.0, t(180.0)), (3.0, t(361.0))];
    assert_eq!(without_phase(2.0, &two, 0.1), Err(NoAnswer::Mirrored));
    assert_eq!(without_phase(2.0, &[], 0.1), Err(NoAnswer::Mirrored));
    let three = [(2.01, t(0.0)), (2.0, t(120.0)), (1.99, t(240.0))];
    assert!(matches!(without_phase(2.0, &three, 0.5), Err(NoAnswer::NoEffect { .. })));
    assert_eq!(without_phase(f64::NAN, &three, 0.1), Err(NoAnswer::BadRun { run: 0 }));
    let unlike = [three[0], three[1], (2.0, Trial { size_kg_m: 2e-5, place_rad: 4.0 })];
    assert_eq!(without_phase(2.0, &unlike, 0.1), Err(NoAnswer::UnlikeWeights));
    let same = with_phase(vibration(7.0, 160.0), vibration(7.01, 160.0), t(0.0));
    assert!(matches!(same, Err(NoAnswer::NoEffect { change, doubt }) if change < doubt));
    assert_eq!(with_phase(vibration(-1.0, 0.0), vibration(1.0, 0.0), t(0.0)), Err(NoAnswer::BadRun { run: 0 }));
}

/// Rolling friction on knife edges: the moment U g against M g f.
#[test]
fn knife_edges_hide_what_friction_holds() {
    // 1.5 kg on hardened edges with an arm of 0.01 mm hide 15 g·mm, more than G 6.3 allows 1.2 kg at 7000 rev/min.
    close(least_shown(1.5, 1e-5) * 1e6, 15.0, RELATIVE);
    assert!(least_shown(1.5, 1e-5) > permissible_unbalance(Grade::G6_3, 1.2, rpm(7000.0)));
    let u = from_trial_masses(0.3e-3, 0.5e-3, 0.045);
    close(u.si * 1e6, 18.0, RELATIVE);
    close(u.standard_uncertainty_si * 1e6, 4.5 / 3f64.sqrt(), RELATIVE);
}

fn drill(way: Way) -> Drill {
    Drill { diameter_m: 6e-3, tip_rad: TWIST, density_kg_m3: 7850.0, way }
}

/// The hole as slices added up.
#[test]
fn a_hole_takes_its_slices() {
    let d = drill(Way::Inward { radius_m: 0.054 });
    let (depth, n) = (5e-3, 200_000);
    let whole = depth + d.cone_m();
    let (mut mass, mut moment) = (0.0, 0.0);
    for i in 0..n {
        let x = (f64::from(i) + 0.5) * whole / f64::from(n);
        let radius = if x < depth { 3e-3 } else { 3e-3 * (whole - x) / d.cone_m() };
        let slice = PI * radius * radius * whole / f64::from(n) * 7850.0;
        mass += slice;
        moment += slice * (0.054 - x);
    }
    close(d.mass_kg(depth), mass, 1e-6);
    close(d.unbalance_kg_m(depth), moment, 1e-6);
    // 118°: the cone of a 6 mm drill is 1.80 mm high.
    near(d.cone_m() * 1e3, 1.803, 5e-4);
}

#[test]
fn holes_are_as_few_as_the_depth_allows() {
    let d = drill(Way::Along { radius_m: 0.047 });
    let depth = 6e-3;
    let one = d.unbalance_kg_m(depth);
    for wanted in [0.5, 0.99, 1.5, 2.9] {
        let plan = d.plan(wanted * one, depth, 9e-3).unwrap();
        let took: f64 = plan.places_rad.iter().map(|p| p.cos() * d.unbalance_kg_m(plan.depth_m)).sum();
        close(took, wanted * one, RELATIVE);
        assert!(plan.depth_m <= depth);
        assert_eq!(plan.places_rad.len(), wanted.ceil() as usize, "{wanted}");
        close(plan.to_point_m - plan.depth_m, d.cone_m(), RELATIVE);
        near(plan.places_rad.iter().sum::<f64>(), 0.0, 1e-12);
    }
    // Five holes beside each other take less than five times one.
    assert!(
        matches!(d.plan(4.999 * one, depth, 9e-3), Err(NoPlan::TooMuch { holes: MOST_HOLES, takes_kg_m }) if takes_kg_m < 4.999 * one)
    );
    assert!(matches!(d.plan(1e-9, depth, 9e-3), Err(NoPlan::TooLittle { .. })));
    for bad in
        [d.plan(-1.0, depth, 9e-3), d.plan(f64::NAN, depth, 9e-3), drill(Way::Inward { radius_m: 5e-3 }).plan(1e-6, depth, 9e-3)]
    {
        assert_eq!(bad, Err(NoPlan::BadSize));
    }
}
