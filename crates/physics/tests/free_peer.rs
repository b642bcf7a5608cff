//! The crank let go, against SciPy's error-controlled integrator on the same equations, written down a second time.
//!
//! reference/cycle/free.tsv is made by bench/free_scipy.py.

mod common;

use common::{motorcycle, rpm};
use physics::cycle::{Drive, Outside, Prepared, Start, turn};
use std::f64::consts::{PI, TAU};

/// Speed at every half turn, firing and gas exchange apart: what is off in torque (`TORQUE` in `peer.rs`) adds up while the crank speeds up or slows down. Measured at
/// most 0.12 %.
const SPEED: f64 = 2.5e-3;
/// Time since the crank was let go. Measured at most 0.05 %.
const TIME: f64 = 1e-3;

struct Case {
    engine: physics::cycle::Engine,
    inertia: f64,
    start: Start,
    friction: (f64, f64),
    advance_deg: (f64, f64),
    /// Time [s] and speed [rad/s] at every half turn.
    at: Vec<(f64, f64)>,
}

fn cases() -> Vec<Case> {
    let path = format!("{}/../../reference/cycle/free.tsv", env!("CARGO_MANIFEST_DIR"));
    let mut all: Vec<Case> = Vec::new();
    for line in std::fs::read_to_string(path).unwrap().lines().filter(|l| !l.starts_with('#')) {
        let (what, rest) = line.split_once('\t').unwrap();
        let row: Vec<f64> = rest.split('\t').map(|x| x.parse().unwrap()).collect();
        if what == "at" {
            all.last_mut().unwrap().at.push((row[0], row[1]));
            continue;
        }
        let [inertia, speed, push, mm2, at_rest, slope, advance, advance_slope, ref fires_at @ ..] = row[..] else {
            panic!("{line}")
        };
        let mut engine = motorcycle(45.0, 1.0);
        engine.fires_at_rad = fires_at.to_vec();
        let start = Start { speed_rad_s: rpm(speed), opening_m2: mm2 * 1e-6, push };
        all.push(Case {
            engine,
            inertia,
            start,
            friction: (at_rest, slope),
            advance_deg: (advance, advance_slope),
            at: Vec::new(),
        });
    }
    all
}

/// Greatest difference in speed and in time, as shares.
fn apart(case: &Case, finer: usize) -> (f64, f64) {
    let p = Prepared::new(case.engine.clone()).unwrap();
    let friction = |n: f64| case.friction.0 + case.friction.1 * n;
    let advance = |_: usize, n: f64| (case.advance_deg.0 + case.advance_deg.1 * n).to_radians();
    let drive = Drive { inertia_kg_m2: case.inertia, friction: &friction, advance: &advance, finer };
    let mut rows = case.at.iter();
    let (mut in_speed, mut in_time, mut seen) = (0.0_f64, 0.0_f64, 0);
    turn(&p, &drive, case.start, &|_, _| 1.0, &mut |now| {
        // Half a degree stands for the rounding of the angles' sum.
        if now.turned_rad + TAU / 720.0 > PI * (seen + 1) as f64 {
            let (time, speed) = rows.next()?;
            in_speed = in_speed.max((now.speed_rad_s / speed - 1.0).abs());
            in_time = in_time.max((now.time_s / time - 1.0).abs());
            seen += 1;
        }
        Some(Outside { opening_m2: case.start.opening_m2, drag_nm: 0.0 })
    });
    assert_eq!(seen, case.at.len(), "no row is left out");
    (in_speed, in_time)
}

#[test]
fn the_free_crank_matches_an_error_controlled_integrator() {
    let all = cases();
    assert!(all.len() >= 3 && all.iter().all(|c| c.at.len() >= 40), "a dozen cycles of each");
    for case in &all {
        let (speed, time) = apart(case, 1);
        let (finer_speed, finer_time) = apart(case, 2);
        println!("{:?}: speed {speed:.2e}, time {time:.2e}; half the step {finer_speed:.2e}, {finer_time:.2e}", case.start);
        assert!(speed < SPEED && time < TIME, "{speed:e} {time:e}");
        assert!(finer_speed < SPEED && finer_time < TIME, "half the step: {finer_speed:e} {finer_time:e}");
    }
}
