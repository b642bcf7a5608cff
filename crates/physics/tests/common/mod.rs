//! Engines for the tests. Invented, of the sizes that the named sources describe.
#![allow(dead_code)]

use physics::{
    crank::{Chamber, SliderCrank},
    cycle::Engine,
    valve::Valve,
};
use std::f64::consts::PI;

/// Crank speed [rad/s] from 1/min.
pub fn rpm(n: f64) -> f64 {
    n * PI / 30.0
}

/// A car cylinder of the kind that the handbook rules were drawn from: 86 × 86 mm, little overlap, large plenum of its own.
pub fn handbook() -> Engine {
    let d = f64::to_radians;
    Engine {
        chamber: Chamber::new(SliderCrank::new(0.043, 0.15, 0.0).unwrap(), 0.086, 9.0).unwrap(),
        fires_at_rad: vec![0.0],
        inlet: Valve {
            opens_rad: 2.0 * PI - d(12.0),
            closes_rad: 3.0 * PI + d(50.0),
            diameter_m: 0.038,
            lift_m: 0.0095,
            count: 1.0,
        },
        exhaust: Valve { opens_rad: PI - d(50.0), closes_rad: 2.0 * PI + d(12.0), diameter_m: 0.033, lift_m: 0.0095, count: 1.0 },
        runner_m3: 2.0e-3,
        shared: false,
        equivalence_ratio: 1.0,
        burn_factor: 1.0,
        heat_factor: 1.0,
        ambient_pa: 101_325.0,
        ambient_k: 298.15,
    }
}

/// A motorcycle cylinder with a short inlet of its own and valve overlap on each side of top dead centre [°].
pub fn motorcycle(overlap_deg: f64, burn_factor: f64) -> Engine {
    let d = f64::to_radians;
    Engine {
        chamber: Chamber::new(SliderCrank::new(0.0298, 0.12, 0.0).unwrap(), 0.062, 9.3).unwrap(),
        fires_at_rad: vec![0.0],
        inlet: Valve {
            opens_rad: 2.0 * PI - d(overlap_deg),
            closes_rad: 3.0 * PI + d(70.0),
            diameter_m: 0.028,
            lift_m: 0.0085,
            count: 1.0,
        },
        exhaust: Valve {
            opens_rad: PI - d(70.0),
            closes_rad: 2.0 * PI + d(overlap_deg),
            diameter_m: 0.024,
            lift_m: 0.008,
            count: 1.0,
        },
        runner_m3: 60e-6,
        shared: false,
        equivalence_ratio: 1.1,
        burn_factor,
        heat_factor: 1.0,
        ambient_pa: 101_325.0,
        ambient_k: 298.15,
    }
}
