//! What holds magnets and rotor, against outside values.

mod outside;

use outside::{RELATIVE, close, near, table};
use physics::rotor::bond::{Magnet, Never, NoStrength, Seat as MagnetSeat, Shaken, Strength};
use physics::rotor::puller::{Screw, shared, strips_at_n};
use physics::rotor::shear_lag::{Joint, Part, Strained, coupon};
use physics::rotor::taper::{Formula, Rings, Seat, drawn, key_if_slipped, mismatch};
use physics::rotor::thread::{Class, Done, Metric};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

// --- bond -------------------------------------------------------------------------------------------------------------------

/// SciPy's collocation of the same equations as displacements and forces; see `reference/rotor/joints.py`.
#[test]
fn shear_in_a_bond_is_that_of_collocation() {
    /// The reference is solved to 1e-7 of its own size.
    const COLLOCATED: f64 = 1e-5;
    let rows = table(include_str!("../../../reference/rotor/shear_lag.csv"));
    assert_eq!(rows.len(), 6);
    for r in rows {
        let part = |at: usize| Part { thickness_m: r[at], young_pa: r[at + 1], expansion_per_k: r[at + 2] };
        let joint = Joint { length_m: r[0], layer_m: r[1], shear_modulus_pa: r[2], first: part(3), second: part(6) };
        let by = Strained { force_n_m: r[9], warmer_k: r[10] };
        let largest = r[11].abs().max(r[14].abs());
        for (x, theirs) in [(-0.5, r[11]), (-0.25, r[12]), (0.0, r[13]), (0.5, r[14])] {
            near(joint.shear_pa(x * r[0], by), theirs, COLLOCATED * largest);
        }
        near(joint.peak_pa(by), largest, COLLOCATED * largest);
    }
}

proptest! {
    /// Equilibrium: what the layer carries in all is the force that goes through it, and nothing where only heat acts.
    #[test]
    fn the_layer_carries_what_is_put_in(length in 5e-3..60e-3, layer in 0.03e-3..0.4e-3, g in 0.1e9..2e9, t1 in 1e-3..9e-3, t2 in 1e-3..9e-3,
        force in 0.0..3e5, warm in -80.0..150.0) {
        let joint = Joint { length_m: length, layer_m: layer, shear_modulus_pa: g,
            first: Part { thickness_m: t1, young_pa: 160e9, expansion_per_k: 9e-6 },
            second: Part { thickness_m: t2, young_pa: 210e9, expansion_per_k: 12e-6 } };
        let by = Strained { force_n_m: force, warmer_k: warm };
        // Simpson's rule over 4000 steps: its error falls with the fourth power of the step over 1/ω.
        let n = 4000;
        let step = length / f64::from(n);
        let sum: f64 = (0..=n).map(|i| {
            let weight = if i == 0 || i == n { 1.0 } else if i % 2 == 1 { 4.0 } else { 2.0 };
            weight * joint.shear_pa(-0.5 * length + f64::from(i) * step, by)
        }).sum::<f64>() * step / 3.0;
        prop_assert!((sum - force).abs() <= 1e-6 * (force + joint.peak_pa(by) * length), "{sum} {force}");
    }
}

/// Volkersen's peak for alike parts, `(ωL/2) coth(ωL/2)`, and its limits: 1 for a short or soft joint, half the length's decay for a long one.
#[test]
fn a_lap_joint_has_volkersens_peak() {
    let joint = coupon(0.2e-3, 1e9);
    let half = 0.5 * joint.decay_per_m() * joint.length_m;
    close(joint.peak_over_mean(), half / half.tanh(), RELATIVE);
    close(coupon(0.2e-3, 1e4).peak_over_mean(), 1.0, 1e-4);
    let long = Joint { length_m: 0.5, ..joint };
    close(long.peak_over_mean(), 0.5 * long.decay_per_m() * 0.5, RELATIVE);
    // Chen and Nelson's peak for heat.
    let unlike = Joint { first: Part { expansion_per_k: 5e-6, ..joint.first }, ..joint };
    let by = Strained { force_n_m: 0.0, warmer_k: 50.0 };
    let w = unlike.decay_per_m();
    close(unlike.peak_pa(by), 1e9 / (0.2e-3 * w) * 18e-6 * 50.0 * half.tanh(), RELATIVE);
}

fn magnet(seat: MagnetSeat) -> Magnet {
    Magnet { seat, mass_kg: 0.025, radius_m: 0.048, area_m2: 600e-6, sleeve_n: 0.0 }
}

/// Spin of 25 g at 48 mm and 12 000 rev/min on 600 mm²: F = m r ω², computed with NumPy.
#[test]
fn spin_pulls_off_a_hub_and_presses_into_a_rim() {
    let speed = 12_000.0 * TAU / 60.0;
    close(magnet(MagnetSeat::OnHub).spin_n(speed), 1894.964045, RELATIVE);
    let none = Shaken::default();
    close(magnet(MagnetSeat::OnHub).stress(speed, none).across_pa, 3.158273408e6, RELATIVE);
    close(magnet(MagnetSeat::InsideRim).stress(speed, none).across_pa, -3.158273408e6, RELATIVE);
    assert_eq!(magnet(MagnetSeat::InsideRim).stress(speed, none).effective_pa(), 0.0);
    let sleeved = Magnet { sleeve_n: 2000.0, ..magnet(MagnetSeat::OnHub) };
    assert_eq!(sleeved.stress(speed, none).across_pa, 0.0);
}

#[test]
fn the_speed_at_which_a_bond_is_used_up_has_closed_forms() {
    let strength = 4e6;
    let hub = magnet(MagnetSeat::OnHub);
    close(hub.used_up_at(Shaken::default(), strength).unwrap(), (strength * 600e-6 / (0.025 * 0.048)).sqrt(), RELATIVE);
    // With a shear that does not depend on speed: σ² = S² − τ².
    let hot = Shaken { thermal_pa: 2.4e6, ..Shaken::default() };
    close(hub.used_up_at(hot, strength).unwrap(), f64::sqrt(3.2e6 * 600e-6 / (0.025 * 0.048)), RELATIVE);
    // In a rim only what grows with speed along it can use it up: m r k ω² = S A.
    let rim = magnet(MagnetSeat::InsideRim);
    let uneven = Shaken { ripple: 0.05, ..Shaken::default() };
    close(rim.used_up_at(uneven, strength).unwrap(), (strength * 600e-6 / (0.025 * 0.048 * 0.05)).sqrt(), RELATIVE);
    assert_eq!(rim.used_up_at(hot, strength), Err(Never::Pressed));
    assert_eq!(rim.used_up_at(Shaken { thermal_pa: 5e6, ..hot }, strength), Err(Never::AlreadyGone));
}

#[test]
fn strength_is_read_between_points_and_never_past_them() {
    let points = [(296.0, 30e6), (355.0, 8e6), (393.0, 2e6)];
    let s = Strength::new(&points).unwrap();
    for (t, p) in points {
        assert_eq!(s.at(t), Ok(p));
    }
    near(s.at(325.5).unwrap(), 19e6, 1.0);
    assert_eq!(s.at(393.1), Err(NoStrength::Beyond { least_k: 296.0, most_k: 393.0 }));
    assert!(s.at(295.9).is_err() && s.at(f64::NAN).is_err());
    assert_eq!(Strength::new(&[(300.0, 1e6)]).unwrap().at(300.0), Ok(1e6));
    for bad in [vec![], vec![(300.0, 1e6), (300.0, 1e6)], vec![(300.0, -1.0)], vec![(f64::NAN, 1.0)]] {
        assert_eq!(Strength::new(&bad), Err(NoStrength::BadPoints));
    }
}

// --- taper and thread -----------------------------------------------------------------------------------------------------------

/// μ 0.12, 20 kN, mean 16 mm, 1:5 and 1:10: cone clutch and taper joint of the textbooks (formulas from memory), numbers by NumPy.
#[test]
fn both_formulas_of_a_taper() {
    for (ratio, worked, pressed, release) in
        [(0.2, 192.9576119, 87.70800542, 0.09090909091), (0.1, 384.4797004, 113.0822648, 0.4117647059)]
    {
        let seat = Seat::new(0.016 + ratio * 0.01, 0.020, ratio, 0.12).unwrap();
        close(seat.slips_at_n_m(20e3, Formula::WorkedHome), worked, RELATIVE);
        close(seat.slips_at_n_m(20e3, Formula::PressedOn), pressed, RELATIVE);
        close(seat.release_n(seat.normal_n(20e3, Formula::PressedOn)) / 20e3, release, 1e-9);
        assert!(seat.holds_itself());
    }
    assert!(!Seat::new(0.03, 0.02, 0.3, 0.12).unwrap().holds_itself(), "friction angle 6.84°, half angle 8.53°");
    assert!(Seat::new(0.01, 0.2, 0.2, 0.12).is_err(), "to a point and beyond");
    assert!(Seat::new(f64::NAN, 0.2, 0.2, 0.12).is_err());
}

/// What blue shows changes the pressure; the torque follows the radius of what is left.
#[test]
fn what_is_left_of_a_seat_keeps_its_cone() {
    let seat = Seat::new(0.018, 0.020, 0.2, 0.12).unwrap();
    let (large, small) = (seat.at_large_end(0.4), seat.at_small_end(0.4));
    close(large.mean_m(), 0.018 - 0.2 * 0.004, RELATIVE);
    close(small.mean_m(), 0.014 + 0.2 * 0.004, RELATIVE);
    close(small.small_m(), seat.small_m(), RELATIVE);
    assert!(large.slips_at_n_m(1e4, Formula::PressedOn) > seat.slips_at_n_m(1e4, Formula::PressedOn));
    close(seat.pressure_pa(1e4, Formula::PressedOn, 0.5), 2.0 * seat.pressure_pa(1e4, Formula::PressedOn, 1.0), RELATIVE);
    // A cone's area by its slant height.
    close(seat.area_m2(), PI * 0.016 * (0.02f64.powi(2) + 0.002f64.powi(2)).sqrt(), RELATIVE);
}

#[test]
fn rings_are_those_of_plane_stress() {
    /// The reference is solved to 1e-8.
    const COLLOCATED: f64 = 1e-6;
    for r in table(include_str!("../../../reference/rotor/rings.csv")) {
        let rings = Rings { seat_m: r[0], hub_m: r[1], hub: (r[2], r[3]), shaft: (r[4], r[5]) };
        close(rings.pressure_per_m().unwrap(), r[6], COLLOCATED);
        close(rings.hub_hoop_pa(1e8), r[7], COLLOCATED);
        // Heat that opens the bore by the interference frees it.
        let seat = Seat::new(2.0 * r[0] + 0.002, 0.020, 0.2, 0.12).unwrap();
        let d = drawn(&seat, &rings, 8e7, 12e-6).unwrap();
        close(d.frees_at_k * 12e-6 * r[0], 8e7 / r[6], COLLOCATED);
        close(d.travel_m, d.interference_m * 10.0, RELATIVE);
    }
    assert_eq!(Rings { seat_m: 8e-3, hub_m: 8e-3, hub: (2e11, 0.3), shaft: (2e11, 0.3) }.pressure_per_m(), None);
}

#[test]
fn cones_of_unlike_angle_touch_as_slices_do() {
    /// The reference has 200 000 slices.
    const SLICED: f64 = 1e-4;
    for r in table(include_str!("../../../reference/rotor/cones.csv")) {
        let seat = Seat::new(r[0], r[1], r[2], 0.12).unwrap();
        // Rings of the wanted stiffness: a thick hub of the shaft's own metal, K = E/(r (2 r_o²/(r_o² − r²))).
        let seat_m = 0.5 * seat.mean_m();
        let hub_m = 3.0 * seat_m;
        let young = r[4] * seat_m * (10.0 / 8.0 + 0.3 + 1.0 - 0.3);
        let rings = Rings { seat_m, hub_m, hub: (young, 0.3), shaft: (young, 0.3) };
        close(rings.pressure_per_m().unwrap(), r[4], RELATIVE);
        let m = mismatch(&seat, r[3], &rings, r[5]).unwrap();
        close(m.share, r[6], SLICED);
        close(m.peak_pa, r[7], SLICED);
        assert_eq!(m.at_large_end, r[3] <= r[2], "a bore that closes faster touches small first");
        close(m.gap_m, 0.5 * (r[3] - r[2]).abs() * r[1], RELATIVE);
    }
}

#[test]
fn a_key_that_is_not_counted() {
    let k = key_if_slipped(90.0, 0.008, [4e-3, 4e-3, 10e-3]);
    close(k.shear_pa, 90.0 / 0.008 / 40e-6, RELATIVE);
    close(k.bearing_pa, 90.0 / 0.008 / 20e-6, RELATIVE);
}

/// Sizes of ISO 724 and stress areas of ISO 898-1 as every table prints them (from memory): d₂, d₁ [mm], A_s [mm²].
#[test]
fn threads_have_the_sizes_of_the_tables() {
    for (d, p, middle, minor, area) in [
        (10.0, 1.5, 9.026, 8.376, 58.0),
        (10.0, 1.25, 9.188, 8.647, 61.2),
        (12.0, 1.25, 11.188, 10.647, 92.1),
        (16.0, 1.5, 15.026, 14.376, 167.0),
        (6.0, 1.0, 5.350, 4.917, 20.1),
    ] {
        let t = Metric::new(d * 1e-3, p * 1e-3).unwrap();
        near(t.middle_m() * 1e3, middle, 5e-4);
        near(t.minor_m() * 1e3, minor, 5e-4);
        // Tables print three figures.
        close(t.stress_area_m2() * 1e6, area, 2e-3);
        close(t.inner_shear_m2(0.01), 0.875 * PI * d * 1e-5, RELATIVE);
        close(t.outer_shear_m2(0.01), 0.75 * PI * t.minor_m() * 1e-2, RELATIVE);
    }
    assert!(Metric::new(0.001, 0.001).is_none() && Metric::new(f64::NAN, 0.001).is_none());
}

/// Preloads and torques of metric fine threads at 90 % of the yield point after VDI 2230 (2001), as a fastener maker's catalogue prints them (page 685 of
/// mastik.pt, read in a stored copy): force [kN] and torque [N·m] for class 8.8 (640 MPa yield up to M16). Faces after ISO 4014 with clearance holes
/// of ISO 273 (wrench sizes and holes from memory).
#[test]
fn torque_and_preload_are_those_of_a_printed_table() {
    /// Forces are printed to three figures.
    const FORCE: f64 = 0.005;
    /// Torques are printed to two or three figures, and come from rounded factors (0.16, 0.58).
    const TORQUE: f64 = 0.015;
    let rows = [
        (8.0, 1.0, 11.63, 9.0, [(0.10, 20.7, 22.8), (0.12, 20.2, 26.1), (0.14, 19.7, 29.2)]),
        (10.0, 1.25, 14.63, 11.0, [(0.10, 32.4, 44.0), (0.12, 31.6, 51.0), (0.14, 30.8, 57.0)]),
        (12.0, 1.25, 16.63, 13.5, [(0.10, 49.1, 79.0), (0.12, 48.0, 90.0), (0.14, 46.8, 101.0)]),
        (16.0, 1.5, 22.49, 17.5, [(0.10, 89.6, 189.0), (0.12, 87.6, 218.0), (0.14, 85.5, 244.0)]),
    ];
    for (d, p, face, hole, printed) in rows {
        let thread = Metric::new(d * 1e-3, p * 1e-3).unwrap();
        for (friction, force, torque) in printed {
            let done = Done { thread, thread_friction: friction, face_friction: friction, face_m: 0.5e-3 * (face + hole) };
            close(thread.tightening_stress_pa(force * 1e3, friction), 0.9 * 640e6, FORCE);
            close(done.clamp_n(torque), force * 1e3, TORQUE);
            // The rounded form of the same source.
            let rounded = force * (0.16 * p + friction * (0.58 * thread.middle_m() * 1e3 + 0.25 * (face + hole)));
            close(done.clamp_n(rounded), force * 1e3, TORQUE);
        }
    }
}

/// A square thread lifting 10 000 lb, two threads per inch, 2 in mean diameter, μ = 0.2: 2840 in·lb (a statics text, section 5.6
/// problem 2, at adaptivebooks.org, read in a stored copy). The flank's angle makes a metric thread need more, by no more than 1/cos 30° on the friction.
#[test]
fn a_sloping_flank_needs_more_than_a_square_one() {
    let (lead, friction): (f64, f64) = (0.5 / (2.0 * PI), 0.2);
    let square = 10_000.0 * (lead + friction) / (1.0 - lead * friction);
    close(square, 2840.0, 1e-3);
    let thread = Metric { diameter_m: 1.0, pitch_m: 0.08 };
    let middle = thread.middle_m();
    let lead = 0.08 / (PI * middle);
    let arm = |mu: f64| 0.5 * middle * (lead + mu) / (1.0 - lead * mu);
    let ours = thread.thread_arm_m(friction);
    assert!(ours > arm(friction) && ours < arm(friction / (PI / 6.0).cos()) * (1.0 + 1e-12));
    close(thread.thread_arm_m(0.0), 0.5 * middle * lead, RELATIVE);
}

/// ISO 898-1, proof loads of its table for coarse threads (from memory): M8 8.8 21 200 N, M10 10.9 48 100 N, M12 12.9 81 800 N.
#[test]
fn proof_loads() {
    for (d, p, class, load) in
        [(8.0, 1.25, Class::C8_8, 21_200.0), (10.0, 1.5, Class::C10_9, 48_100.0), (12.0, 1.75, Class::C12_9, 81_800.0)]
    {
        let t = Metric::new(d * 1e-3, p * 1e-3).unwrap();
        close(class.proof_pa(t.diameter_m) * t.stress_area_m2(), load, 3e-3);
        assert!(class.proof_pa(d * 1e-3) < class.tensile_pa());
    }
    assert!(Class::C8_8.proof_pa(0.020) > Class::C8_8.proof_pa(0.012));
}

// --- puller ---------------------------------------------------------------------------------------------------------------------

#[test]
fn a_puller_pushes_and_its_threads_strip() {
    let thread = Metric::new(10e-3, 1.25e-3).unwrap();
    let screw = Screw { thread, friction: 0.12, point_friction: 0.12, point_m: 6e-3 };
    close(screw.torque_n_m(screw.force_n(40.0)), 40.0, RELATIVE);
    let free = Screw { friction: 0.0, point_friction: 0.0, ..screw };
    // Without friction the work of a turn lifts by a pitch: F = 2πM/P.
    close(free.force_n(40.0), TAU * 40.0 / 1.25e-3, RELATIVE);
    close(Screw { friction: 0.0, ..screw }.torque_n_m(1e4), 1e4 * (1.25e-3 / TAU + 0.12 * 2e-3), RELATIVE);
    close(strips_at_n(&thread, 8e-3, 400e6, 800e6), 0.6 * 400e6 * 0.875 * PI * 10e-3 * 8e-3, RELATIVE);
    close(strips_at_n(&thread, 8e-3, 2000e6, 800e6), 0.6 * 800e6 * 0.75 * PI * thread.minor_m() * 8e-3, RELATIVE);
}

/// Forces and moments of a stiff plate, worked out bolt by bolt.
#[test]
fn three_bolts_stand_and_two_tip() {
    let (pull, circle, off) = (12e3, 50e-3, 2e-3);
    let three = shared(pull, 3, circle, off).unwrap();
    let angles: Vec<f64> = (0..3).map(|i| TAU * f64::from(i) / 3.0).collect();
    let square: f64 = angles.iter().map(|a| a.cos().powi(2)).sum();
    let each: Vec<f64> = angles.iter().map(|a| pull / 3.0 + pull * off * a.cos() / (0.5 * circle * square)).collect();
    close(three.most_n, each[0], RELATIVE);
    let (sum, moment): (f64, f64) = (each.iter().sum(), each.iter().zip(&angles).map(|(f, a)| f * 0.5 * circle * a.cos()).sum());
    close(sum, pull, RELATIVE);
    close(moment, pull * off, RELATIVE);
    let two = shared(pull, 2, circle, off).unwrap();
    close(two.most_n, 6e3 * (1.0 + 2.0 / 25.0), RELATIVE);
    assert!(three.stands && !two.stands && two.most_n > three.most_n);
    assert!(shared(pull, 1, circle, off).is_none() && shared(pull, 3, 0.0, off).is_none());
}
