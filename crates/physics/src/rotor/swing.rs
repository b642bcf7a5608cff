//! Moment of inertia from the time of a swing: on three wires, on two, on a knife edge, or of a run-down with a known disc added.

use std::f64::consts::TAU;

/// Standard gravity [m/s²]: exact by definition (CGPM 1901, ISO 80000-3). The true value differs by up to 0.3 % over the earth.
pub const GRAVITY_M_S2: f64 = 9.80665;

/// Moment of inertia [kg·m²] of a body that hangs level on two or three equal upright wires, about the upright axis through the middle of them:
/// `J = m g R² T²/(4π² L)`.
///
/// - `mass_kg`: all that hangs, a plate under it included (take the plate's own inertia off afterwards).
/// - `radius_m`: R, from the axis to each wire.
/// - `length_m`: L, of each wire.
/// - `period_s`: T, of one whole swing to and fro.
///
/// Validity: centre of mass on the axis, wires much longer than R, swings of up to 10° either way: there the time is 0.2 % long and J 0.4 %
/// too great. Source: standard laboratory formula (from memory).
///
/// # Example
/// ```
/// let j = physics::rotor::swing::on_three_wires(0.8, 0.060, 0.500, 1.2);
/// assert!((j - 0.002060373305).abs() < 1e-11);
/// ```
pub fn on_three_wires(mass_kg: f64, radius_m: f64, length_m: f64, period_s: f64) -> f64 {
    mass_kg * GRAVITY_M_S2 * (radius_m * period_s / TAU).powi(2) / length_m
}

/// Moment of inertia [kg·m²] about the axis through the centre of mass of a body that swings on a knife edge `below_m` from that axis and parallel to
/// it (a rotor hung by its bore or by the inside of its rim): `J = m g h T²/(4π²) − m h²`.
///
/// The two terms are near each other for a ring hung by its inside, so the distance must be known well: there J loses half of what T gains.
/// Validity: swings of up to 10° either way, a sharp edge that does not slip. `None` where the time is too short for the distance: a body cannot
/// swing faster than a point at that distance. Source: compound pendulum, standard laboratory formula (from memory).
pub fn on_a_knife_edge(mass_kg: f64, below_m: f64, period_s: f64) -> Option<f64> {
    let j = mass_kg * below_m * (GRAVITY_M_S2 * (period_s / TAU).powi(2) - below_m);
    (j > 0.0).then_some(j)
}

/// Moment of inertia [kg·m²] of all that turns, from two run-downs between the same two speeds, one with a disc of known inertia added:
/// `J = J_d t₀/(t₁ − t₀)`.
///
/// Validity: the same braking torque at the same speed in both. `None` where the disc did not lengthen the run-down. Source: Newton's second law, t ∝ J.
pub fn by_run_down(added_kg_m2: f64, without_s: f64, with_s: f64) -> Option<f64> {
    let j = added_kg_m2 * without_s / (with_s - without_s);
    (with_s > without_s && j.is_finite() && j > 0.0).then_some(j)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Printed digits [1].
    const PRINTED: f64 = 1e-8;

    #[test]
    fn three_wires() {
        // Numbers computed with numpy 2.4.6 from the laboratory formula (from memory).
        let j = on_three_wires(0.8, 0.060, 0.500, 1.2);
        assert!((j / 0.002060373305 - 1.0).abs() < PRINTED, "{j}");
    }

    #[test]
    fn the_wires_formula_is_the_small_swing_of_the_exact_motion() {
        // Exact geometry of three wires: turned by θ the body rises by L − √(L² − 2R²(1 − cos θ)). Energy: ½ J θ'² + m g rise. The period is four times the
        // integral of dθ/θ' over a quarter; with θ = a sin φ it has no singularity. The vertical motion's own energy is left out (second order).
        let (m, r, l, j, a) = (0.8, 0.06, 0.5, 0.002, 1.0f64.to_radians());
        let rise = |angle: f64| l - (l * l - 2.0 * r * r * (1.0 - angle.cos())).sqrt();
        let n = 2000;
        let quarter: f64 = (0..n)
            .map(|k| {
                let phi = (k as f64 + 0.5) / n as f64 * 0.5 * PI;
                let left = 2.0 * m * GRAVITY_M_S2 / j * (rise(a) - rise(a * phi.sin()));
                a * phi.cos() / left.sqrt() * (0.5 * PI / n as f64)
            })
            .sum();
        // One degree of swing lengthens the time by θ²/16, 2e-5.
        const SWING: f64 = 1e-4;
        assert!((on_three_wires(m, r, l, 4.0 * quarter) / j - 1.0).abs() < SWING);
    }

    #[test]
    fn a_ring_on_a_knife_edge_swings_like_a_string_of_its_diameter() {
        // Textbook result: a thin hoop hung from its inside swings as a simple pendulum as long as its diameter.
        let (m, r) = (0.5f64, 0.05f64);
        let period = TAU * (2.0 * r / GRAVITY_M_S2).sqrt();
        let j = on_a_knife_edge(m, r, period).unwrap();
        assert!((j / (m * r * r) - 1.0).abs() < 1e-12, "{j}");
        assert_eq!(on_a_knife_edge(m, r, 0.3), None);
        assert_eq!(on_a_knife_edge(m, r, f64::NAN), None);
    }

    #[test]
    fn a_disc_that_doubles_the_time_doubles_the_inertia() {
        assert!((by_run_down(0.003, 1.5, 3.0).unwrap() - 0.003).abs() < 1e-15);
        assert_eq!(by_run_down(0.003, 1.5, 1.5), None);
        // Against the run-down itself with braking that grows with speed.
        let t = |j: f64| crate::run_down::time_s(j, 300.0, 100.0, |w| 1.5 + 0.004 * w + 1e-5 * w * w).unwrap();
        assert!((by_run_down(0.0021, t(0.0115), t(0.0136)).unwrap() / 0.0115 - 1.0).abs() < 1e-12);
    }
}
