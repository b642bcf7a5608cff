//! What inertia does to the speed: how even the engine turns within its cycle, and how soon it is up and down.

/// Swing of the energy stored in what turns over one cycle [J]: the greatest less the least of `∫ (T − T̄) dθ`, from the work done on the crank up to evenly spaced angles.
///
/// - `work_j`: work done from the start of the cycle up to each of the angles, the last being the end of the cycle.
///
/// `None` for fewer than two angles or numbers that are not finite.
///
/// Validity: mean speed as good as constant, so that gas and friction are those of the mean speed; the pistons' own rise and fall of energy is to be in the torque.
/// Source: Khurmi and Gupta, *Theory of Machines*, chapter 16, fluctuation of energy (page read).
pub fn energy_swing_j(work_j: &[f64]) -> Option<f64> {
    let whole = *work_j.last().filter(|_| work_j.len() > 1)?;
    let n = work_j.len() as f64;
    let beyond = work_j.iter().enumerate().map(|(k, w)| w - whole * (k + 1) as f64 / n);
    let (least, most) = beyond.fold((0.0f64, 0.0f64), |(a, b), x| (a.min(x), b.max(x)));
    work_j.iter().all(|w| w.is_finite()).then_some(most - least)
}

/// Fluctuation up to which [`coefficient`] stands \[1\] (own choice): its own validity, a fifth.
pub const VALID_TO: f64 = 0.2;

/// Coefficient of fluctuation \[1\]: greatest less least speed over the mean, `C = ΔE/(J ω²)`.
///
/// Validity: small fluctuation, up to a fifth or so; there it is exact to its square. Source: Khurmi and Gupta, the same; dE = I ω² C.
///
/// # Example
/// ```
/// let omega = 1200.0 * std::f64::consts::TAU / 60.0;
/// let c = physics::rotor::unevenness::coefficient(15.0, 0.006, omega);
/// assert!((c - 0.1583143494).abs() < 1e-9);
/// ```
pub fn coefficient(energy_swing_j: f64, inertia_kg_m2: f64, speed_rad_s: f64) -> f64 {
    energy_swing_j / (inertia_kg_m2 * speed_rad_s * speed_rad_s)
}

/// Time [s] from one crank speed up to another [rad/s] under a driving torque [N·m] that is positive all the way: t = ∫ J/T(ω) dω. `None` where the engine would not get there.
///
/// The run-down of [`crate::run_down::time_s`] the other way round. Validity and source as there.
pub fn rev_up_s(inertia_kg_m2: f64, from_rad_s: f64, to_rad_s: f64, torque: impl Fn(f64) -> f64) -> Option<f64> {
    crate::run_down::time_s(inertia_kg_m2, to_rad_s, from_rad_s, torque)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Printed digits [1].
    const PRINTED: f64 = 1e-6;

    #[test]
    fn a_textbook_flywheel() {
        // Khurmi and Gupta, Theory of Machines, example 16.1: 6.5 t, radius of gyration 1.8 m, 56 kN·m, 120 rpm; 121 and 119 rpm, rounded in the book. Exact by numpy 2.4.6.
        let (j, omega) = (6500.0 * 1.8 * 1.8, 120.0 * TAU / 60.0);
        let c = coefficient(56000.0, j, omega);
        assert!((c / 0.01683875322 - 1.0).abs() < PRINTED, "{c}");
        assert!((120.0 * c - 2.020650386).abs() < 2.020650386 * PRINTED);
        assert!((120.0 * (1.0 + 0.5 * c) - 121.0).abs() < 0.5 && (120.0 * (1.0 - 0.5 * c) - 119.0).abs() < 0.5);
    }

    #[test]
    fn a_small_engine_at_idle() {
        // dE = J ω² C (theory page read); number by numpy 2.4.6.
        assert!((coefficient(15.0, 0.006, 1200.0 * TAU / 60.0) / 0.1583143494 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_sine_of_torque() {
        // T = T̄ + A sin 2θ over two turns: ∫ swings by A (1 − cos 2θ)/2, from 0 to A.
        let n = 1440;
        let work: Vec<f64> = (1..=n)
            .map(|k| {
                let theta = 2.0 * TAU * k as f64 / n as f64;
                7.0 * theta + 0.5 * 12.0 * (1.0 - (2.0 * theta).cos())
            })
            .collect();
        assert!((energy_swing_j(&work).unwrap() - 12.0).abs() < 1e-9);
        // And the speed by Newton's law itself, step by step: (greatest − least)/mean against the small-fluctuation formula.
        let (j, mean) = (0.012, 120.0f64);
        let speeds: Vec<f64> = work
            .iter()
            .enumerate()
            .map(|(k, w)| (mean * mean + 2.0 / j * (w - 7.0 * 2.0 * TAU * (k + 1) as f64 / n as f64 - 6.0)).sqrt())
            .collect();
        let (least, most) = speeds.iter().fold((f64::MAX, 0.0f64), |(a, b), x| (a.min(*x), b.max(*x)));
        // The square of a fluctuation of 7 %.
        const SECOND: f64 = 0.005;
        assert!(((most - least) / mean / coefficient(12.0, j, mean) - 1.0).abs() < SECOND);
        assert_eq!(energy_swing_j(&[1.0]), None);
        assert_eq!(energy_swing_j(&[1.0, f64::NAN]), None);
    }

    #[test]
    fn up_is_down_turned_round() {
        // Constant torque: J Δω/T, by hand.
        assert!((rev_up_s(0.01, 100.0, 300.0, |_| 8.0).unwrap() - 0.25).abs() < 1e-12);
        assert_eq!(rev_up_s(0.01, 100.0, 300.0, |w| 10.0 - 0.05 * w), None);
    }
}
