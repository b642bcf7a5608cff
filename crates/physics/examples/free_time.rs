//! How long a minute of engine time takes with the crank's speed free, for `bench/run.py`: one line of JSON.
//!
//! Engine, curve and crank are those of `bench/free_numba.py`.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{motorcycle, rpm};
use physics::cycle::{Drive, Outside, Prepared, Start, turn};
use std::{f64::consts::PI, time::Instant};

/// Engine time [s], and how much of its end the mean speed is taken over.
const SECONDS: f64 = 60.0;
const MEAN_OF: f64 = 20.0;

fn main() {
    let mut engine = motorcycle(45.0, 1.0);
    engine.fires_at_rad = vec![0.0, PI];
    let p = Prepared::new(engine).expect("a computable engine");
    let drive = Drive { inertia_kg_m2: 0.0115, friction: &|n| 3.0 + 0.02 * n, advance: &|_, n| (0.1 * n).to_radians(), finer: 1 };
    let start = Start { speed_rad_s: rpm(1100.0), opening_m2: 5e-6, push: 0.0 };
    let began = Instant::now();
    let (mut first, mut last) = (None, (0.0, 0.0));
    turn(&p, &drive, start, &|_, _| 1.0, &mut |now| {
        last = (now.turned_rad, now.time_s);
        if now.time_s > SECONDS - MEAN_OF {
            first.get_or_insert(last);
        }
        (now.time_s < SECONDS).then_some(Outside { opening_m2: start.opening_m2, drag_nm: 0.0 })
    });
    let seconds = began.elapsed().as_secs_f64();
    let first = first.unwrap_or((0.0, 0.0));
    println!(
        "{{\"seconds\": {seconds:.4}, \"engine_seconds\": {SECONDS}, \"turns\": {:.0}, \"mean_rpm\": {:.2}}}",
        last.0 / (2.0 * PI),
        (last.0 - first.0) / (last.1 - first.1) * 30.0 / PI,
    );
}
