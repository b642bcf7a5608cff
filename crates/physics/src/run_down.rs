//! How long an engine takes to run down with the ignition cut.

/// Steps of Simpson's rule over the speeds [1] (own choice): with braking torques that grow fourfold over a run-down the error stays
/// below 1e-6 of the time, far below what a stopwatch tells.
const STEPS: usize = 64;

/// Time [s] from one crank speed down to another [rad/s]: t = ∫ J / B(ω) dω, from J dω/dt = −B(ω), by Simpson's rule.
///
/// - `inertia_kg_m2`: J, of all that turns with the crank.
/// - `braking`: mean braking torque [N·m] at a crank speed [rad/s], positive where it brakes: friction and the work of the gas without fire.
///
/// `None` where the speeds do not fall or something on the way does not brake: the engine would not come down.
///
/// Validity: mean torque, so the run-down must take several turns. Source: Newton's second law for a turning body; Simpson's rule as in
/// Abramowitz and Stegun, *Handbook of Mathematical Functions*, 25.4.6.
///
/// # Example
/// ```
/// // Constant braking: J Δω / B.
/// let t = physics::run_down::time_s(0.01, 200.0, 100.0, |_| 2.0).unwrap();
/// assert!((t - 0.5).abs() < 1e-12);
/// ```
pub fn time_s(inertia_kg_m2: f64, from_rad_s: f64, to_rad_s: f64, braking: impl Fn(f64) -> f64) -> Option<f64> {
    if !(from_rad_s > to_rad_s && to_rad_s > 0.0) {
        return None;
    }
    let step = (from_rad_s - to_rad_s) / STEPS as f64;
    let mut sum = 0.0;
    for i in 0..=STEPS {
        let torque = braking(to_rad_s + step * i as f64);
        if !(torque > 0.0 && torque.is_finite()) {
            return None;
        }
        let weight = match i {
            0 | STEPS => 1.0,
            _ if i % 2 == 1 => 4.0,
            _ => 2.0,
        };
        sum += weight / torque;
    }
    Some(inertia_kg_m2 * sum * step / 3.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What `STEPS` promises.
    const SIMPSON: f64 = 1e-6;

    #[test]
    fn constant_and_linear_braking_is_an_exponential() {
        // J dω/dt = −(a + b ω) gives ω(t) = (ω₀ + a/b) exp(−b t/J) − a/b, so t = J/b · ln((a + b ω₀)/(a + b ω₁)); by hand.
        let (j, a, b) = (0.0115, 2.1, 0.011);
        for (from, to) in [(314.0_f64, 105.0_f64), (500.0, 90.0), (200.0, 190.0)] {
            let want = j / b * ((a + b * from) / (a + b * to)).ln();
            let got = time_s(j, from, to, |w| a + b * w).unwrap();
            assert!((got / want - 1.0).abs() < SIMPSON, "{got} {want}");
        }
    }

    #[test]
    fn constant_and_square_braking_is_an_arc_tangent() {
        // J dω/dt = −(a + c ω²) gives t = J/√(a c) · (atan(ω₀ √(c/a)) − atan(ω₁ √(c/a))); by hand.
        let (j, a, c) = (0.02, 1.7, 3e-5_f64);
        let (from, to) = (450.0, 80.0);
        let root = (c / a).sqrt();
        let want = j / (a * c).sqrt() * ((from * root).atan() - (to * root).atan());
        let got = time_s(j, from, to, |w| a + c * w * w).unwrap();
        assert!((got / want - 1.0).abs() < SIMPSON, "{got} {want}");
    }

    #[test]
    fn what_does_not_brake_takes_no_time_that_can_be_told() {
        assert_eq!(time_s(0.01, 200.0, 100.0, |w| w - 150.0), None);
        assert_eq!(time_s(0.01, 100.0, 200.0, |_| 1.0), None);
        assert_eq!(time_s(0.01, 200.0, 100.0, |_| f64::NAN), None);
    }
}
