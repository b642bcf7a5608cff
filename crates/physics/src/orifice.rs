//! Compressible flow through an opening, either way, with choking.

use crate::lanes::Lanes;
use std::f64::consts::PI;

/// An isentropic orifice for a fixed ratio of specific heats.
///
/// ṁ = A · p₀ / √(R T₀) · ψ(p/p₀), with A the effective area (discharge coefficient included). Heywood, Internal Combustion
/// Engine Fundamentals (1988), appendix C, equations C.8 and C.9 (from memory).
#[derive(Clone, Copy, Debug)]
pub struct Orifice {
    critical_ratio: f64,
    choked: f64,
    /// ψ² over 1 − ratio as a power series in [`Orifice::scaled`] ratios.
    series: [f64; TERMS],
}

/// Terms of the series [1] (own choice): it lies within 6e-9 of the power that it stands for, and costs half of a logarithm and an exponential.
const TERMS: usize = 8;

impl Orifice {
    /// For a ratio of specific heats above 1.
    pub fn new(gamma: f64) -> Self {
        let critical_ratio = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
        let over_fall = |ratio: f64| {
            let root = ratio.powf(1.0 / gamma);
            2.0 * gamma / (gamma - 1.0) * root * (root - ratio) / (1.0 - ratio)
        };
        let half = 0.5 * (1.0 - LINEAR - critical_ratio);
        let mut o = Self { critical_ratio, choked: 0.0, series: power_series(|x| over_fall(critical_ratio + half * (1.0 + x))) };
        o.choked = o.exact(critical_ratio);
        o
    }

    #[inline(always)]
    fn exact<V: Lanes>(&self, ratio: V) -> V {
        self.squared(ratio).sqrt()
    }

    /// −1 at the critical ratio, 1 where the straight line begins.
    #[inline(always)]
    fn scaled<V: Lanes>(&self, ratio: V) -> V {
        let per_half = 2.0 / (1.0 - LINEAR - self.critical_ratio);
        (ratio - V::splat(self.critical_ratio)) * V::splat(per_half) - V::splat(1.0)
    }

    /// ψ² of the curve, from the critical ratio to where the straight line begins.
    #[inline(always)]
    fn squared<V: Lanes>(&self, ratio: V) -> V {
        let s = V::splat;
        let a = &self.series;
        let x = self.scaled(ratio);
        let x2 = x * x;
        // In pairs, whose terms do not wait for one another.
        let low = (s(a[0]) + x * s(a[1])) + x2 * (s(a[2]) + x * s(a[3]));
        let high = (s(a[4]) + x * s(a[5])) + x2 * (s(a[6]) + x * s(a[7]));
        (s(1.0) - ratio) * (low + x2 * x2 * high)
    }

    /// ψ of the ratio of downstream to upstream pressure [1].
    ///
    /// Within [`LINEAR`] of equal pressures the flow falls in a straight line to nothing, for the square root's slope is infinite there.
    #[inline(always)]
    pub fn psi<V: Lanes>(&self, ratio: V) -> V {
        let s = V::splat;
        let edge = s(1.0 - LINEAR);
        let curved = self.exact(ratio.max(s(self.critical_ratio)).min(edge));
        edge.if_less(ratio, curved * (s(1.0) - ratio) * s(1.0 / LINEAR), curved)
    }

    /// Ratio at and below which the flow is choked [1].
    pub fn critical_ratio(&self) -> f64 {
        self.critical_ratio
    }

    /// ψ when choked [1].
    pub fn choked(&self) -> f64 {
        self.choked
    }

    /// Flow through an effective area [m²] from side 1 to side 2. `rt` is the gas constant times temperature of each side [J/kg].
    #[inline(always)]
    pub fn flow<V: Lanes>(&self, area: V, (p1, rt1): (V, V), (p2, rt2): (V, V)) -> Flow<V> {
        let s = V::splat;
        let (high, low) = (p1.max(p2), p1.min(p2));
        let rt = p1.if_less(p2, rt2, rt1);
        let ratio = low / high;
        let edge = s(1.0 - LINEAR);
        let inside = ratio.max(s(self.critical_ratio)).min(edge);
        // A/√(RT) · ψ on the curve.
        let curved = area * (self.squared(inside) / rt).sqrt();
        let straight = s(1.0 / LINEAR);
        let per_high = edge.if_less(ratio, curved * (s(1.0) - ratio) * straight, curved);
        let faded = (inside - s(self.critical_ratio)) * s(0.5 / (1.0 - self.critical_ratio));
        let down = curved * edge.if_less(ratio, straight, faded / (s(1.0) - inside));
        // ṁ = p_up · f(p_down/p_up), whatever f is.
        let up = per_high + ratio * down;
        let size = high * per_high;
        Flow { mass: p1.if_less(p2, -size, size), per_first: p1.if_less(p2, down, up), per_second: p1.if_less(p2, up, down) }
    }
}

/// Flow through an opening, and how it answers to the pressures.
#[derive(Clone, Copy, Debug)]
pub struct Flow<V> {
    /// From side 1 to side 2 [kg/s], negative when it runs back.
    pub mass: V,
    /// By how much it grows with the pressure of side 1 [kg/(s·Pa)]. Exact in the straight part and when choked; between, the curve's slope
    /// is taken as that of a square root which fades towards choking.
    pub per_first: V,
    /// By how much it falls with the pressure of side 2 [kg/(s·Pa)].
    pub per_second: V,
}

/// Share of equal pressures within which the flow is made linear [1] (own choice): it moves the torque by less than 0.15 % of itself,
/// found with SciPy by bench/cycle_scipy.py.
pub const LINEAR: f64 = 0.005;

/// Coefficients of 1, x, x² … of the polynomial through `f` at the Chebyshev nodes of −1 … 1.
fn power_series(f: impl Fn(f64) -> f64) -> [f64; TERMS] {
    let node = |k: usize, j: usize| ((k as f64 + 0.5) * j as f64 * PI / TERMS as f64).cos();
    let mut out = [0.0; TERMS];
    // T₀ = 1, T₁ = x, Tⱼ₊₁ = 2x Tⱼ − Tⱼ₋₁, written out in powers of x.
    let (mut before, mut this) = ([0.0; TERMS], [0.0; TERMS]);
    this[0] = 1.0;
    for j in 0..TERMS {
        let share: f64 =
            (0..TERMS).map(|k| f(node(k, 1)) * node(k, j)).sum::<f64>() * if j == 0 { 1.0 } else { 2.0 } / TERMS as f64;
        out.iter_mut().zip(&this).for_each(|(o, t)| *o += share * t);
        let twice = if j == 0 { 1.0 } else { 2.0 };
        let next = std::array::from_fn(|i| if i == 0 { -before[0] } else { twice * this[i - 1] - before[i] });
        (before, this) = (this, next);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four-digit gas-dynamics tables, computed digits agree to 1e-6.
    const CRITICAL_RELATIVE: f64 = 1e-6;
    /// Exact, our logarithm and exponential to 1e-10.
    const CHOKED_RELATIVE: f64 = 1e-8;
    /// Half a unit in the printed fourth decimal of A/A*.
    const TABLE_ABSOLUTE: f64 = 5e-5;
    /// Bound stated at the number of terms.
    const SERIES_RELATIVE: f64 = 6e-9;

    #[test]
    fn chokes_where_the_tables_say() {
        // Matthews, Aeronautical Engineer's Data Book, Table A4.2.
        for (gamma, ratio) in [(1.4, 0.5282817877), (1.35, 0.5368512184), (1.33, 0.5403640176), (1.3, 0.5457277338)] {
            assert!((Orifice::new(gamma).critical_ratio() / ratio - 1.0).abs() < CRITICAL_RELATIVE);
        }
        // Heywood (1988), equation C.9: 0.6847 for 1.4 (from memory); digits computed with NumPy 2.4.6.
        assert!((Orifice::new(1.4).choked() / 0.6847314564 - 1.0).abs() < CHOKED_RELATIVE);
    }

    #[test]
    fn subsonic_flow_matches_the_isentropic_table() {
        // Gas-dynamics table in NACA Report 1135: Mach number, p/p0, A/A* (White-type table); the same mass passes A and A*, so ψ(p/p0) · A/A* = ψ choked.
        let o = Orifice::new(1.4);
        for (mach, area) in [(0.5, 1.3398), (0.6, 1.1882), (0.9, 1.0089)] {
            let ratio = (1.0_f64 + 0.2 * mach * mach).powf(-3.5);
            assert!((o.choked() / o.psi(ratio) - area).abs() < TABLE_ABSOLUTE);
        }
    }

    #[test]
    fn series_is_the_power_that_it_stands_for() {
        for gamma in [1.2, 1.3, 1.35, 1.4] {
            let o = Orifice::new(gamma);
            for k in 0..=1000 {
                let ratio = o.critical_ratio() + (1.0 - LINEAR - o.critical_ratio()) * f64::from(k) / 1000.0;
                // Heywood (1988), equation C.8 (from memory), by the standard library's powers.
                let psi = (2.0 * gamma / (gamma - 1.0) * (ratio.powf(2.0 / gamma) - ratio.powf((gamma + 1.0) / gamma))).sqrt();
                assert!((o.psi(ratio) / psi - 1.0).abs() < SERIES_RELATIVE, "{gamma} {ratio}");
            }
        }
    }

    #[test]
    fn runs_both_ways_and_stops_between() {
        let o = Orifice::new(1.35);
        let there = o.flow(1e-4, (1.0e5, 9.0e4), (0.7e5, 9.0e4)).mass;
        let back = o.flow(1e-4, (0.7e5, 9.0e4), (1.0e5, 9.0e4)).mass;
        assert_eq!(there, -back);
        assert_eq!(o.flow(1e-4, (1.0e5, 9.0e4), (1.0e5, 9.0e4)).mass, 0.0);
        assert!(there > 0.0);
    }
}
