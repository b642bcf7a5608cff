//! How long the full torque surface takes here, for `bench/run.py`: one line of JSON.
//!
//! The engine, the grid and the order of the values are those of `bench/cycle_numba.py`; with `--values FILE` torque, charge and
//! residual of every point are written there, so that the two can be laid over each other.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{motorcycle, rpm};
use physics::{
    cycle::Prepared,
    surface::{Grid, Progress, Surface},
};
use std::{io::Write, time::Instant};

/// Valve overlap on each side of top dead centre [°].
const OVERLAP_DEG: f64 = 45.0;
/// As the studies choose them for such an engine: from below the slowest idle to the red line, and from a quarter of an idle's
/// effective opening to 24 times that.
const SPEEDS_RPM: (f64, f64) = (450.0, 7000.0);
const OPENINGS_M2: (f64, f64) = (0.66e-6, 64e-6);

/// Peak resident memory of this process [MB], where the system tells it; else not a number.
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<f64>().ok()).map_or(f64::NAN, |kb| kb / 1024.0)
}

fn main() -> std::io::Result<()> {
    let began = Instant::now();
    let p = Prepared::new(motorcycle(OVERLAP_DEG, 1.0)).expect("a computable engine");
    let tables_s = began.elapsed().as_secs_f64();
    let grid = Grid::for_idle((rpm(SPEEDS_RPM.0), rpm(SPEEDS_RPM.1)), OPENINGS_M2);
    let began = Instant::now();
    let surface = Surface::compute(&p, &grid, &Progress::default()).expect("a rising grid");
    let seconds = began.elapsed().as_secs_f64();
    println!(
        "{{\"seconds\": {seconds:.4}, \"tables_seconds\": {tables_s:.4}, \"points\": {}, \"points_per_second\": {:.0}, \
         \"unsettled\": {:.5}, \"threads\": {}, \"vectors\": \"{}\", \"peak_mb\": {:.1}}}",
        grid.len(),
        grid.len() as f64 / seconds,
        surface.unsettled,
        rayon::current_num_threads(),
        physics::cycle::vectors(),
        peak_mb(),
    );
    if let Some(path) = std::env::args().skip_while(|a| a != "--values").nth(1) {
        let mut file = std::io::BufWriter::new(std::fs::File::create(path)?);
        for k in 0..grid.len() {
            writeln!(file, "{:e}\t{:e}\t{:e}", surface.gas_torque_nm[k], surface.charge_kg_s[k], surface.residual[k])?;
        }
    }
    Ok(())
}
