//! The settled cycle against SciPy's error-controlled integrator on the same equations, written down a second time.
//!
//! reference/cycle/points.tsv is made by bench/cycle_scipy.py; its gas data come from Cantera, its front areas from integrals of its own.

mod common;

use common::{motorcycle, rpm};
use physics::cycle::{Operating, Prepared, settle};
use std::f64::consts::PI;

/// Torque is judged against itself or that of 0.5 bar mean pressure, whichever is more: the scale of the settling rule.
const LEAST_MEAN_PRESSURE_PA: f64 = 0.5e5;
// The largest shares are the time step, of second order where a valve is open, and the orifice made linear near equal pressures.
/// Measured at most 0.18 %.
const TORQUE: f64 = 0.004;
/// Measured at most 0.16 %.
const CHARGE: f64 = 0.003;
/// Measured at most 0.0005.
const RESIDUAL: f64 = 0.001;
/// Measured at most 0.27 %: the step of 2° while the charge burns.
const PEAK: f64 = 0.005;

#[test]
fn settled_points_match_an_error_controlled_integrator() {
    let path = format!("{}/../../reference/cycle/points.tsv", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let least = LEAST_MEAN_PRESSURE_PA * p.swept_m3() / (4.0 * PI);
    let mut rows = 0;
    for line in text.lines().filter(|l| !l.starts_with('#')) {
        let row: Vec<f64> = line.split('\t').map(|x| x.parse().unwrap()).collect();
        let [speed, mm2, advance, torque, charge, residual, peak, _] = row[..] else { panic!("{line}") };
        let s = settle(&p, Operating { speed_rad_s: rpm(speed), opening_m2: mm2 * 1e-6, advance_rad: advance.to_radians() });
        let off = [
            (s.torque_nm - torque) / torque.abs().max(least),
            s.charge_kg_s / charge - 1.0,
            s.residual - residual,
            s.peak_pa / peak - 1.0,
        ];
        println!("{speed} {mm2} {advance}: {}", off.map(|x| format!("{:+.4} %", 100.0 * x)).join("  "));
        let allowed = [TORQUE, CHARGE, RESIDUAL, PEAK];
        for ((what, off), most) in ["torque", "charge", "residual", "peak"].into_iter().zip(off).zip(allowed) {
            assert!(off.abs() < most, "{speed} {mm2} {advance}: {what} off by {off:e}");
        }
        rows += 1;
    }
    assert!(rows >= 6);
}
