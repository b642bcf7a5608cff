//! Closed forms for what spin does to plain shapes: the ring, the disc, and the mean over a section. What these leave out (a boss, steps, a rim that hangs over on
//! one side) is [`super::meridian`]'s.

use super::solid::{Magnets, Piece};
use std::f64::consts::TAU;

/// Hoop and radial stress [Pa].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stress {
    /// Round the axis.
    pub hoop_pa: f64,
    /// Away from the axis.
    pub radial_pa: f64,
}

/// Hoop stress [Pa] of a thin ring that turns freely, `σ = ρ ω² R²`; with its own speed v at the rim, ρ v².
///
/// Source: Hearn, *Mechanics of Materials 2*, chapter 4, summary.
///
/// # Example
/// ```
/// let omega = 12_000.0 * std::f64::consts::TAU / 60.0;
/// assert!((physics::rotor::disc::thin_ring(7850.0, omega, 0.060) / 1e6 - 44.63).abs() < 0.01);
/// ```
pub fn thin_ring(density_kg_m3: f64, speed_rad_s: f64, radius_m: f64) -> f64 {
    density_kg_m3 * (speed_rad_s * radius_m).powi(2)
}

/// Stress at radius `at_m` of a disc of uniform thickness, free at both edges; `inside_m` nought for one without a hole.
///
/// `σ_h = (3+ν)/8 ρω² (a² + b² + a²b²/r² − (1+3ν)/(3+ν) r²)`, `σ_r = (3+ν)/8 ρω² (a² + b² − a²b²/r² − r²)`.
///
/// Validity: plane stress, so thin against its radius. Source: Hearn, *Mechanics of Materials 2*, chapter 4 (greatest values in its summary); Timoshenko and
/// Goodier, *Theory of Elasticity*, section 32 (from memory).
pub fn uniform(density_kg_m3: f64, poisson: f64, speed_rad_s: f64, inside_m: f64, outside_m: f64, at_m: f64) -> Stress {
    let (a, b, r) = (inside_m * inside_m, outside_m * outside_m, at_m * at_m);
    // Without a hole the term of the hole is nought everywhere, also in the middle.
    let hole = if a > 0.0 { a * b / r } else { 0.0 };
    let scale = (3.0 + poisson) / 8.0 * density_kg_m3 * speed_rad_s * speed_rad_s;
    let falling = (1.0 + 3.0 * poisson) / (3.0 + poisson) * r;
    Stress { hoop_pa: scale * (a + b + hole - falling), radial_pa: scale * (a + b - hole - r) }
}

/// Mean hoop stress over a half section, per speed squared [Pa·s²/rad²], of pieces and of the magnets that hang on them.
///
/// Half a ring is held by the two faces of the cut: 2 A σ̄ = ∫∫ ρω²r² sin θ dθ dA = 2 ω² ∫ ρ r² dA, and magnets add their outward pull spread round the
/// turn. Exact by statics, whatever the shape; `less_area_m2` is what holes take from the section where the cut goes through them.
///
/// `None` where nothing of the section is left.
pub fn mean_hoop(pieces: &[Piece], magnets: &[Magnets], less_area_m2: f64) -> Option<f64> {
    let area: f64 = pieces.iter().map(|p| p.section()[0]).sum::<f64>() - less_area_m2;
    let own: f64 = pieces.iter().map(|p| p.density_kg_m3 * p.section()[2]).sum();
    let hung: f64 = magnets.iter().map(Magnets::pull_kg_m).sum::<f64>() / TAU;
    (area > 0.0).then(|| (own + hung) / area)
}

/// Bending stress [Pa] at the inside and outside of a rim between its magnets, from their load being there only where they are: the rim bends outward over each
/// magnet and inward over each gap.
///
/// The load round the rim has the mean p̄ and its first wave, `p₁ = 2 p̄ sin(π c)/(π c)` with c the share that the magnets cover; a ring under
/// `p₁ cos nθ` bends by `M = p₁ R²/(n² − 1)`, and σ = 6 M/h². Further waves fall with n² and are left out.
///
/// - `pull_n_per_m`: outward pull of all magnets per length of the rim along the axis [N/m].
/// - `count`: n, at least two.
///
/// Validity: thin ring, even spacing; nothing for a single magnet. Source: Timoshenko, *Strength of Materials, Part II*, thin rings (from memory): w'''''+2w'''+w' of an inextensible ring,
/// of which this is the solution for one wave.
pub fn between_magnets(pull_n_per_m: f64, count: usize, covered: f64, radius_m: f64, thickness_m: f64) -> f64 {
    if count < 2 {
        return 0.0;
    }
    let n = count as f64;
    let mean_pa = pull_n_per_m / (TAU * radius_m);
    let part = std::f64::consts::PI * covered;
    let wave_pa = 2.0 * mean_pa * part.sin() / part;
    6.0 * wave_pa.abs() * radius_m * radius_m / ((n * n - 1.0) * thickness_m * thickness_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the handbook values are printed to [1].
    const PRINTED: f64 = 1e-6;
    const OMEGA: f64 = 12_000.0 * TAU / 60.0;

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!((got / want - 1.0).abs() < tolerance, "{got} {want}");
    }

    #[test]
    fn ring() {
        // Hearn, Mechanics of Materials 2, chapter 4 summary (page read); numbers by numpy 2.4.6.
        near(thin_ring(7850.0, 100.0 / 0.060, 0.060), 78.5e6, PRINTED);
        near(thin_ring(7850.0, OMEGA, 0.060), 44.62640326e6, PRINTED);
    }

    #[test]
    fn disc_with_and_without_a_hole() {
        // Hearn, the same: greatest values; numbers by numpy 2.4.6 and independently by scipy 1.17.1 solve_bvp on the displacement.
        let at = |r: f64| uniform(7850.0, 0.3, OMEGA, 0.010, 0.060, r);
        near(at(0.010).hoop_pa, 37.03371659e6, PRINTED);
        near(at(0.060).hoop_pa, 8.832308979e6, PRINTED);
        near(at(0.02449489743).radial_pa, 12.7836051e6, PRINTED);
        near(uniform(7850.0, 0.3, OMEGA, 0.0, 0.060, 0.0).hoop_pa, 18.40839134e6, PRINTED);
        // A pinhole doubles the stress in the middle.
        let pinhole = uniform(7850.0, 0.3, OMEGA, 1e-6, 0.060, 1e-6).hoop_pa;
        near(pinhole / uniform(7850.0, 0.3, OMEGA, 0.0, 0.060, 0.0).hoop_pa, 2.0, PRINTED);
    }

    #[test]
    fn the_mean_is_that_of_the_closed_form() {
        let piece = Piece { from_m: 0.0, to_m: 0.01, outside_m: [0.060; 2], inside_m: [0.010; 2], density_kg_m3: 7850.0 };
        let n = 20000;
        let mean = (0..n)
            .map(|k| uniform(7850.0, 0.3, OMEGA, 0.010, 0.060, 0.010 + 0.050 * (k as f64 + 0.5) / n as f64).hoop_pa)
            .sum::<f64>()
            / n as f64;
        near(mean_hoop(&[piece], &[], 0.0).unwrap() * OMEGA * OMEGA, mean, PRINTED);
        assert_eq!(mean_hoop(&[piece], &[], 1.0), None);
    }

    #[test]
    fn magnets_with_gaps_bend_the_rim_as_point_loads_do_in_the_limit() {
        // n equal outward forces P on a thin ring: the handbook's moment under a force is P R/2 (1/(π/n) − cot(π/n)) (Roark, rings, from memory). The first
        // wave alone of point loads is below it, by the sum of the others: Σ 1/(k²n² − 1) against 1/(n² − 1).
        let (force, n, r, h) = (1000.0, 6.0f64, 0.05, 0.004);
        let alpha = std::f64::consts::PI / n;
        let whole = 0.5 * force * r * (1.0 / alpha - 1.0 / alpha.tan());
        let waves: f64 = (1..2000).map(|k| 1.0 / ((k as f64 * n).powi(2) - 1.0)).sum();
        let got = between_magnets(n * force, 6, 1e-9, r, h);
        near(got * (n * n - 1.0) * waves, 6.0 * whole / (h * h), 1e-3);
        assert_eq!(between_magnets(1.0, 1, 0.5, r, h), 0.0);
        // A ring that is covered all round does not bend.
        assert!(between_magnets(1e6, 6, 1.0, r, h) < 1e-6);
    }
}
