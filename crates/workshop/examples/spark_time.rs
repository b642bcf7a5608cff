//! How long the spark's study takes, with all speeds, cases and ±: best of a number of runs.

use std::time::Instant;
use workshop::{machine, study};

fn main() {
    /// Runs \[1\] (own choice).
    const RUNS: usize = 9;
    for (name, text) in machine::EXAMPLES {
        let Ok((machine, _)) = machine::read(text) else { continue };
        let curve = study::curve::study(&machine);
        let mut best = f64::INFINITY;
        for _ in 0..RUNS {
            let begun = Instant::now();
            let found = study::spark::study(&machine, curve.as_ref().map_err(|e| *e));
            best = best.min(begun.elapsed().as_secs_f64());
            assert!(found.is_ok());
        }
        println!("{name}: {:.1} ms", 1e3 * best);
    }
}
