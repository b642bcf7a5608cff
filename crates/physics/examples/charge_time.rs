//! How long a charge curve over twelve speeds takes here, for `bench/charge.py`: one line of JSON.
//!
//! Three phases in a star, a bridge, a battery; `bench/charge.py` has the same circuit for ngspice.

use physics::charge::{Bus, Circuit, Kind, steady};
use std::{f64::consts::TAU, time::Instant};

/// Speeds of the curve [rpm].
const SPEEDS_RPM: [f64; 12] = [1800.0, 2000.0, 2300.0, 2600.0, 3000.0, 3500.0, 4000.0, 4600.0, 5300.0, 6100.0, 7000.0, 8000.0];
/// Runs, of which the fastest counts.
const RUNS: usize = 50;

fn main() {
    let circuit = Circuit::sound(Kind::Star, 0.008, 0.15, 0.25e-3, 0.7, 0.0);
    let bus = Bus { emf_v: 13.5, resistance_ohm: 0.03 };
    let curve = || {
        SPEEDS_RPM.map(|rpm| {
            let found = steady(&circuit, bus, 6.0 * rpm * TAU / 60.0).expect("a steady state");
            (found.totals.mean_a, found.periods)
        })
    };
    let mut seconds = f64::INFINITY;
    for _ in 0..RUNS {
        let began = Instant::now();
        std::hint::black_box(curve());
        seconds = seconds.min(began.elapsed().as_secs_f64());
    }
    let found = curve();
    let amps: Vec<String> = found.iter().map(|f| format!("{:.4}", f.0)).collect();
    let periods: usize = found.iter().map(|f| f.1).sum();
    println!(
        "{{\"seconds\": {seconds:.6}, \"speeds\": {}, \"periods\": {periods}, \"amps\": [{}]}}",
        SPEEDS_RPM.len(),
        amps.join(", ")
    );
}
