//! How fast the charge burns: a turbulent flame that takes in fresh gas at its front and burns it up behind.
//!
//! The rate follows the state of the unburned gas at every step, so a late spark at idle burns as badly as it does.

use std::f64::consts::TAU;

use crate::lanes::Lanes;

/// Reference temperature [K] and pressure [Pa] of the flame-speed correlation (Metghalchi & Keck 1982; from memory).
const REFERENCE_K: f64 = 298.0;
const ATMOSPHERE_PA: f64 = 101_325.0;

/// Laminar burning speed of iso-octane and air.
///
/// S = S₀ (T/298 K)^α (p/1 atm)^β with S₀ = 26.32 − 84.72 (φ − 1.13)² cm/s, α = 2.18 − 0.8 (φ − 1), β = −0.16 + 0.22 (φ − 1).
/// Metghalchi & Keck, Combustion and Flame 48 (1982) 191–210 (coefficients from memory; ±10 %). Valid φ 0.8–1.5,
/// 0.4–50 atm, 298–700 K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LaminarSpeed {
    ln_base: f64,
    alpha: f64,
    beta: f64,
}

impl LaminarSpeed {
    /// At an equivalence ratio within the range in which S₀ is positive (about 0.58–1.68).
    pub fn new(equivalence_ratio: f64) -> Self {
        let phi = equivalence_ratio;
        let base_m_s = (26.32 - 84.72 * (phi - 1.13).powi(2)).max(1e-6) * 1e-2;
        let alpha = 2.18 - 0.8 * (phi - 1.0);
        let beta = -0.16 + 0.22 * (phi - 1.0);
        Self { ln_base: base_m_s.ln() - alpha * REFERENCE_K.ln() - beta * ATMOSPHERE_PA.ln(), alpha, beta }
    }

    /// Speed [m/s] of undiluted mixture from the logarithms of temperature [K] and pressure [Pa].
    #[inline(always)]
    pub fn undiluted<V: Lanes>(&self, ln_t: V, ln_p: V) -> V {
        (V::splat(self.ln_base) + V::splat(self.alpha) * ln_t + V::splat(self.beta) * ln_p).exp()
    }
}

/// Factor on the burning speed for a mole fraction of burned gas in the mixture [1].
///
/// 1 − 2.06 x^0.77, never below zero. Rhodes & Keck, SAE 850047 (1985) (from memory). Measured up to x = 0.3; it reaches zero
/// at 0.39.
#[inline(always)]
pub fn dilution_factor<V: Lanes>(mole_fraction: V) -> V {
    let x = mole_fraction.max(V::splat(1e-9));
    (V::splat(1.0) - V::splat(2.06) * (V::splat(0.77) * x.ln()).exp()).max(V::splat(0.0))
}

/// Mole fraction [1] at and above which nothing burns: exactly where [`dilution_factor`] reaches zero.
pub const BURNS_BELOW_MOLE_FRACTION: f64 = 0.3912;
/// Largest mole fraction [1] in the data behind [`dilution_factor`] (Rhodes & Keck 1985; from memory).
pub const DILUTION_VALID_TO: f64 = 0.30;

/// Radius of the kernel that the spark leaves [m]: about 1 mm (Heywood 1988, section 9.3.1; from memory).
pub const KERNEL_RADIUS_M: f64 = 1.0e-3;

/// Turbulence of the charge and what it does to the flame.
///
/// At top dead centre u′ = ½ S̄p and L = 0.2 h (Heywood 1988, sections 8.2.2 and 14.4.2), carried from there by rapid distortion with the
/// density of the unburned gas: u′ ∝ ρ^⅓, L ∝ ρ^−⅓ (Hires, Tabaczynski & Novak, SAE 780232, 1978). Fresh gas enters the front at
/// S + 0.62 √(u′ S) Re^¼, Re = u′ L/ν (Gülder, 23rd Symposium on Combustion, 1990), the second part growing in over the eddy's turning
/// time L/u′, and burns up behind it within λ/S, λ = L √(15/Re) (Tabaczynski, Ferguson & Radhakrishnan, SAE 770647, 1977). All from
/// memory.
///
/// Validity: compared with handbook rules from 1500 to 3000 1/min (crates/physics/tests/best_torque.rs). Above that the flame takes too long to
/// develop: from the spark to a tenth burned the angle grows with speed to the power 0.6 (20° to 46° from 1500 to 6000 1/min wide open in a bore of
/// 62 mm), where Hires et al. have a third, and best torque comes at 59° instead of some 40°.
pub mod turbulence {
    /// Intensity at top dead centre per mean piston speed [1] (Heywood 1988, section 8.2.2; from memory).
    pub const INTENSITY: f64 = 0.5;
    /// Eddy size at top dead centre per clearance height [1] (Heywood 1988, section 8.2.2; from memory).
    pub const SIZE: f64 = 0.2;
    /// Gülder's constant [1] (Gülder 1990; from memory).
    pub const GULDER: f64 = 0.62;
    /// Square of λ/L at Re = 1 [1] (Tabaczynski et al. 1977; from memory).
    pub const STRAINED: f64 = 15.0;
    /// Dynamic viscosity of the gas at 1 K [Pa·s]; it grows with T^0.7: Heywood (1988), equation 4.52 (from memory).
    pub const VISCOSITY: f64 = 3.3e-7;
    /// Exponent of temperature [1]: as [`VISCOSITY`].
    pub const VISCOSITY_EXPONENT: f64 = 0.7;
}

/// Area of the flame front inside a flat cylindrical chamber, for a spherical front from a plug in its roof.
///
/// Tabulated over the chamber's height and the share of its volume behind the front; lengths in units of the bore radius.
#[derive(Clone, Debug)]
pub struct FrontArea {
    /// Area / radius², `[height][share]`.
    table: Vec<[f64; SHARES + 1]>,
}

const SHARES: usize = 256;
const HEIGHTS: usize = 48;
/// The table runs in equal ratios of height from here [bore radii] (own choice) …
const LEAST_HEIGHT: f64 = 0.05;
/// … to here [bore radii] (own choice).
const MOST_HEIGHT: f64 = 8.0;

impl FrontArea {
    /// For a plug at `offset` bore radii from the axis, 0 ≤ offset < 1.
    pub fn new(offset: f64) -> Self {
        let height = |k: usize| LEAST_HEIGHT * (MOST_HEIGHT / LEAST_HEIGHT).powf(k as f64 / HEIGHTS as f64);
        let mut table = vec![[0.0; SHARES + 1]; HEIGHTS + 1];
        // Threads of its own rather than the pool's: whoever waits for this table in the pool might be given the very work that makes it.
        let share = table.len().div_ceil(std::thread::available_parallelism().map_or(1, usize::from));
        std::thread::scope(|threads| {
            for (n, rows) in table.chunks_mut(share).enumerate() {
                threads.spawn(move || {
                    for (k, row) in rows.iter_mut().enumerate() {
                        *row = area_over_share(offset, height(n * share + k));
                    }
                });
            }
        });
        Self { table }
    }

    /// Index and weight into the table for a chamber height in bore radii.
    pub fn row(height: f64) -> (usize, f64) {
        let x = (height / LEAST_HEIGHT).ln() / (MOST_HEIGHT / LEAST_HEIGHT).ln() * HEIGHTS as f64;
        let x = x.clamp(0.0, HEIGHTS as f64 - 1e-9);
        (x as usize, x.fract())
    }

    /// Area / radius² for a row from [`FrontArea::row`] and shares of the volume behind the front.
    #[inline(always)]
    pub fn at<V: Lanes>(&self, (k, w): (usize, f64), share: V) -> V {
        let x = share.max(V::splat(0.0)).min(V::splat(1.0)).sqrt() * V::splat(SHARES as f64);
        let low = x.look_up(&self.table[k]);
        let high = x.look_up(&self.table[k + 1]);
        low + V::splat(w) * (high - low)
    }
}

/// Front area at equal steps of the square root of the share of volume behind it: even steps of the radius in a flat chamber.
fn area_over_share(offset: f64, height: f64) -> [f64; SHARES + 1] {
    const RADII: usize = 1500;
    const SLICES: usize = 24;
    let reach = ((1.0 + offset).powi(2) + height * height).sqrt();
    // Area at radius r: slices of the sphere at depth z are arcs of a circle, r·dz·(angle inside the bore). Near the plug the circle lies beyond the bore, in front
    // of it within; only between the two does the angle change. The slices crowd towards both ends of that, where it may change as a square root does.
    let area = |r: f64| {
        let depth = r.min(height);
        let beyond = (r * r - (1.0 + offset).powi(2)).max(0.0).sqrt().min(depth);
        let within = (r * r - (1.0 - offset).powi(2)).max(0.0).sqrt().min(depth);
        let crossing: f64 = if within > beyond {
            (0..SLICES)
                .map(|i| {
                    let u = (i as f64 + 0.5) / SLICES as f64;
                    let z = beyond + (within - beyond) * u * u * u * (10.0 + u * (6.0 * u - 15.0));
                    let circle = (r * r - z * z).max(0.0).sqrt();
                    let cosine = (circle * circle + offset * offset - 1.0) / (2.0 * circle * offset);
                    60.0 * (u * (1.0 - u)).powi(2) * cosine.clamp(-1.0, 1.0).acos()
                })
                .sum()
        } else {
            0.0
        };
        r * (TAU * (depth - within) + (within - beyond) * crossing / SLICES as f64)
    };
    let step = reach / RADII as f64;
    let mut volume = vec![0.0; RADII + 1];
    let mut areas = vec![0.0; RADII + 1];
    for i in 1..=RADII {
        areas[i] = area(i as f64 * step);
        volume[i] = volume[i - 1] + 0.5 * (areas[i] + areas[i - 1]) * step;
    }
    let whole = volume[RADII];
    let mut out = [0.0; SHARES + 1];
    let mut i = 1;
    for (j, a) in out.iter_mut().enumerate() {
        let wanted = (j as f64 / SHARES as f64).powi(2) * whole;
        while i < RADII && volume[i] < wanted {
            i += 1;
        }
        let f = (wanted - volume[i - 1]) / (volume[i] - volume[i - 1]).max(1e-300);
        *a = areas[i - 1] + f.clamp(0.0, 1.0) * (areas[i] - areas[i - 1]);
    }
    out[SHARES] = 0.0;
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Rounding of the published constants.
    const SPEED_RELATIVE: f64 = 0.001;
    /// Interpolation in a 48 × 64 table.
    const TABLE_RELATIVE: f64 = 0.02;

    #[test]
    fn laminar_speed_matches_the_published_fit() {
        // Metghalchi & Keck (1982; coefficients from memory), worked out with NumPy 2.4.6: cm/s at 298 K 1 atm, 400 K 1 atm, 600 K 10 atm, 600 K 20 atm.
        let s = LaminarSpeed::new(1.0);
        for (t, p, cm_s) in
            [(298.0_f64, 1.0_f64, 24.888232), (400.0, 1.0, 47.28173144), (600.0, 10.0, 79.17212773), (600.0, 20.0, 70.86103923)]
        {
            let got = s.undiluted(t.ln(), (p * ATMOSPHERE_PA).ln()) * 100.0;
            assert!((got / cm_s - 1.0).abs() < SPEED_RELATIVE, "{got} {cm_s}");
        }
    }

    #[test]
    fn a_weaker_mixture_burns_slower_as_published() {
        // Metghalchi & Keck (1982; coefficients from memory), worked out with NumPy 2.4.6: cm/s at 298 K 1 atm and at 600 K 10 atm.
        for (phi, at) in [(0.8, [17.093992, 54.9605872]), (0.9, [21.838312, 69.8412712]), (1.1, [26.243752, 83.0403931])] {
            for ((t, p), cm_s) in [(298.0_f64, 1.0_f64), (600.0, 10.0)].into_iter().zip(at) {
                let got = LaminarSpeed::new(phi).undiluted(t.ln(), (p * ATMOSPHERE_PA).ln()) * 100.0;
                assert!((got / cm_s - 1.0).abs() < SPEED_RELATIVE, "{phi}: {got} {cm_s}");
            }
        }
    }

    #[test]
    fn burned_gas_slows_and_then_stops_the_flame() {
        assert!((dilution_factor(0.2_f64) - (1.0 - 2.06 * 0.2_f64.powf(0.77))).abs() < 1e-9);
        assert_eq!(dilution_factor(0.45_f64), 0.0);
        assert!(dilution_factor(BURNS_BELOW_MOLE_FRACTION - 0.001) > 0.0);
        assert_eq!(dilution_factor(BURNS_BELOW_MOLE_FRACTION + 0.001), 0.0);
    }

    #[test]
    fn front_is_a_hemisphere_until_it_meets_a_wall() {
        let table = FrontArea::new(0.0);
        let height = 2.0;
        let r: f64 = 0.6;
        let share = 2.0 / 3.0 * PI * r.powi(3) / (PI * height);
        let area = table.at(FrontArea::row(height), share);
        assert!((area / (2.0 * PI * r * r) - 1.0).abs() < TABLE_RELATIVE, "{area}");
    }

    #[test]
    fn front_in_a_flat_chamber_is_a_ring() {
        let table = FrontArea::new(0.0);
        let height: f64 = 0.2;
        let r: f64 = 0.7;
        // Sphere zone between floor and roof: 2πrh; volume π(r²h − h³/3).
        let share = (r * r * height - height.powi(3) / 3.0) / height;
        let area = table.at(FrontArea::row(height), share);
        assert!((area / (2.0 * PI * r * height) - 1.0).abs() < TABLE_RELATIVE, "{area}");
    }
}
