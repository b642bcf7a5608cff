//! How long the spark's study takes here, with all speeds, cases and ±, for `bench/spark_ngspice.py`: one line of JSON with the best of a number of runs for each
//! machine that comes with the program.

use std::time::Instant;
use workshop::{machine, study};

/// Runs, of which the fastest counts.
const RUNS: usize = 25;

fn main() {
    let mut lines = Vec::new();
    for (name, text) in machine::EXAMPLES {
        let Ok((machine, _)) = machine::read(text) else { continue };
        let curve = study::curve::study(&machine);
        let run = || {
            study::spark::study(&machine, curve.as_ref().map_err(|e| *e))
                .expect("a machine that comes with the program has a spark")
        };
        let mut seconds = f64::INFINITY;
        for _ in 0..RUNS {
            let began = Instant::now();
            std::hint::black_box(run());
            seconds = seconds.min(began.elapsed().as_secs_f64());
        }
        let found = run().margin;
        let row = |of: &dyn Fn(&study::spark::margin::At) -> f64| {
            found.points.iter().map(|p| format!("{:.4}", of(p))).collect::<Vec<_>>().join(", ")
        };
        let rpm = row(&|p| p.speed_rad_s * 60.0 / std::f64::consts::TAU);
        lines.push(format!(
            "{{\"machine\": \"{name}\", \"seconds\": {seconds:.6}, \"rpm\": [{rpm}], \"peak_v\": [{}]}}",
            row(&|p| p.available.si)
        ));
    }
    println!(
        "{{\"threads\": {}, \"machines\": [{}]}}",
        std::thread::available_parallelism().map_or(1, usize::from),
        lines.join(", ")
    );
}
