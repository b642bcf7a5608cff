//! The engine turning freely.

mod common;

use common::{motorcycle, rpm};
use physics::cycle::{Account, Drive, Moment, Operating, Outside, Prepared, Start, settle, turn};
use std::f64::consts::{PI, TAU};

const NO_SCATTER: fn(usize, usize) -> f64 = |_, _| 1.0;

/// A twin with a cylinder each at 0° and 180°, on inlets of their own or on one plenum.
fn twin(shared: bool) -> Prepared {
    let mut engine = motorcycle(40.0, 1.0);
    engine.fires_at_rad = vec![0.0, PI];
    engine.shared = shared;
    Prepared::new(engine).expect("computable")
}

/// Turns for `turns` turns at one opening [m²] with friction `friction_nm`, and gives every moment.
fn turned(p: &Prepared, start: Start, inertia: f64, friction_nm: f64, finer: usize, turns: f64) -> (Account, Vec<Moment>) {
    let friction = move |_: f64| friction_nm;
    let advance = |_: usize, _: f64| 20f64.to_radians();
    let drive = Drive { inertia_kg_m2: inertia, friction: &friction, advance: &advance, finer };
    let mut moments = Vec::new();
    let account = turn(p, &drive, start, &NO_SCATTER, &mut |now| {
        moments.push(*now);
        (now.turned_rad < turns * TAU).then_some(Outside { opening_m2: start.opening_m2, drag_nm: 0.5 })
    });
    (account, moments)
}

/// Work [J] that may be left over of some hundred joules a turn: rounding of a thousand steps and more.
const LEFT_OVER_J: f64 = 1e-8;
/// Energy left over in the gas, of some kilojoules of fuel burned: what the temperatures miss of the accounts, see `ENERGY_LEFT_OVER` in `cycle.rs`.
const GAS_LEFT_OVER_J: f64 = 1e-4;

#[test]
fn energy_is_kept() {
    for shared in [false, true] {
        let start = Start { speed_rad_s: rpm(1500.0), opening_m2: 6e-6, push: 0.0 };
        let (account, moments) = turned(&twin(shared), start, 0.01, 3.0, 1, 20.0);
        let last = moments.last().expect("moments").speed_rad_s;
        let kinetic = 0.005 * (last * last - start.speed_rad_s * start.speed_rad_s);
        assert!((account.gas_j - account.friction_j - account.drag_j - kinetic).abs() < LEFT_OVER_J, "{account:?}");
        // Torque times angle, by definition.
        assert!((account.friction_j - 3.0 * 20.0 * TAU).abs() < LEFT_OVER_J);
        assert!((account.drag_j - 0.5 * 20.0 * TAU).abs() < LEFT_OVER_J);
        assert!(account.gas_left_over_j.abs() < GAS_LEFT_OVER_J, "{account:?}");
        assert_eq!((account.cut_short, account.stopped), (0, false));
    }
}

/// With a flywheel of a tonne the speed is as good as constant, and the work per turn that of the settled cycle, within what a settled cycle
/// may be off by (0.1 %, `SETTLED`) and the other steps, which end at the stretches' ends.
const SAME_WORK: f64 = 4e-3;

#[test]
fn a_heavy_flywheel_gives_the_settled_cycle() {
    for shared in [false, true] {
        let p = twin(shared);
        let start = Start { speed_rad_s: rpm(1500.0), opening_m2: 6e-6, push: 0.0 };
        let (account, _) = turned(&p, start, 1e3, 3.0, 1, 20.0);
        let at = Operating { speed_rad_s: start.speed_rad_s, opening_m2: 6e-6, advance_rad: 20f64.to_radians() };
        let settled = settle(&p, at).torque_nm * 2.0 * 20.0 * TAU;
        assert!((account.gas_j / settled - 1.0).abs() < SAME_WORK, "{shared}: {} {settled}", account.gas_j);
    }
}

/// A lone cylinder whose gas does nothing on the mean: friction alone brings it to rest as ½ J ω² falls by T θ.
#[test]
fn friction_runs_it_down() {
    let mut engine = motorcycle(40.0, 1.0);
    engine.fires_at_rad = vec![0.0];
    let p = Prepared::new(engine).expect("computable");
    let start = Start { speed_rad_s: rpm(1200.0), opening_m2: 3e-6, push: 0.0 };
    let (account, moments) = turned(&p, start, 0.02, 30.0, 1, 200.0);
    assert!(account.stopped, "thirty newton metres are more than any idle gives");
    let last = moments.last().expect("moments");
    let lost = 30.5 * last.turned_rad - account.gas_j;
    assert!(lost > 0.0 && last.turned_rad < 20.0 * TAU);
}

/// How much half the step moves the speed after ten turns: the steps of the cycle itself are good to 0.2 % of torque (`cycle.rs`).
const HALVED: f64 = 2e-3;

#[test]
fn half_the_step_gives_the_same() {
    let start = Start { speed_rad_s: rpm(1500.0), opening_m2: 6e-6, push: 0.0 };
    let (_, whole) = turned(&twin(false), start, 0.01, 3.0, 1, 10.0);
    let (_, half) = turned(&twin(false), start, 0.01, 3.0, 2, 10.0);
    let last = |m: &[Moment]| m.last().expect("moments").mean_rad_s;
    assert!((last(&whole) / last(&half) - 1.0).abs() < HALVED, "{} {}", last(&whole), last(&half));
    assert_ne!(last(&whole), last(&half), "they are different steps");
}

/// Heavy crank against the equation of means, as a share of the speed. Where it settles may be off by what the work may be ([`SAME_WORK`]), as torque goes about
/// with 1/speed here, and by the straight lines between points; measured 0.4 %. The speed falls by more than a tenth in the run.
const OF_MEANS: f64 = 6e-3;
/// Half the difference of two runs let go 1 % above and below the rest, after one time constant J/|slope|: e⁻¹ of it is left, but for the charge's memory of the cycle
/// before and the torque's curvature.
const RELAXES: f64 = 0.02;

/// The crank's equation of a mean value engine model, J ω dω/dt = indicated power − friction power: Hendricks & Sorensen, *Mean value modelling of spark ignition
/// engines*, SAE 900616 (1990), equation of the crank shaft speed; from memory. Torque is that of settled cycles; the crank is so heavy that it turns evenly.
#[test]
fn a_heavy_crank_follows_the_equation_of_means() {
    let p = twin(false);
    let (opening_m2, inertia) = (6e-6, 0.5);
    let gas = |n: f64| {
        let at = Operating { speed_rad_s: n, opening_m2, advance_rad: 20f64.to_radians() };
        2.0 * settle(&p, at).torque_nm
    };
    // Torque falls with speed on one opening; friction crosses it at 1500 1/min. Ten points, straight between.
    let friction_nm = gas(rpm(1500.0));
    let table: Vec<(f64, f64)> = (0..10).map(|k| rpm(1450.0 + 50.0 * f64::from(k))).map(|n| (n, gas(n) - friction_nm)).collect();
    let net = |n: f64| {
        let k = table.windows(2).position(|w| n < w[1].0).unwrap_or(table.len() - 2);
        let ((a, at_a), (b, at_b)) = (table[k], table[k + 1]);
        at_a + (n - a) / (b - a) * (at_b - at_a)
    };
    let drive = Drive { inertia_kg_m2: inertia, friction: &|_| friction_nm, advance: &|_, _| 20f64.to_radians(), finer: 1 };
    let let_go = |start: f64, seconds: f64, watch: &mut dyn FnMut(&Moment)| {
        let start = Start { speed_rad_s: start, opening_m2, push: 0.0 };
        turn(&p, &drive, start, &NO_SCATTER, &mut |now| {
            watch(now);
            (now.time_s < seconds).then_some(Outside { opening_m2, drag_nm: 0.0 })
        });
    };
    let (mut mean, mut time, mut apart) = (rpm(1800.0), 0.0, 0.0_f64);
    let_go(mean, 20.0, &mut |now| {
        // Midpoint rule: at 2° of crank angle its own error is nothing here.
        let dt = now.time_s - time;
        let half = mean + 0.5 * dt * net(mean) / inertia;
        (mean, time) = (mean + dt * net(half) / inertia, now.time_s);
        apart = apart.max((now.speed_rad_s / mean - 1.0).abs());
    });
    assert!(mean < rpm(1600.0), "it slows down a good way: {}", mean * 30.0 / PI);
    assert!(apart < OF_MEANS, "{apart:e}");

    let slope = (gas(rpm(1515.0)) - gas(rpm(1485.0))) / rpm(30.0);
    let after = |start: f64| {
        let mut last = 0.0;
        let_go(start, -inertia / slope, &mut |now| last = now.mean_rad_s);
        last
    };
    let left = (after(rpm(1515.0)) - after(rpm(1485.0))) / rpm(30.0);
    assert!((left - (-1f64).exp()).abs() < RELAXES, "{left}");
}
