//! Compressible flow through an opening, either way, with choking.

use crate::lanes::Lanes;

/// An isentropic orifice for a fixed ratio of specific heats.
///
/// ṁ = A · p₀ / √(R T₀) · ψ(p/p₀), with A the effective area (discharge coefficient included). Heywood, Internal Combustion
/// Engine Fundamentals (1988), appendix C, equations C.8 and C.9 (from memory).
#[derive(Clone, Copy, Debug)]
pub struct Orifice {
    inverse_gamma: f64,
    critical_ratio: f64,
    choked: f64,
    factor: f64,
}

impl Orifice {
    /// For a ratio of specific heats above 1.
    pub fn new(gamma: f64) -> Self {
        let critical_ratio = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
        let mut o = Self { inverse_gamma: 1.0 / gamma, critical_ratio, choked: 0.0, factor: 2.0 * gamma / (gamma - 1.0) };
        o.choked = o.exact(critical_ratio);
        o
    }

    #[inline(always)]
    fn exact<V: Lanes>(&self, ratio: V) -> V {
        let root = (ratio.ln() * V::splat(self.inverse_gamma)).exp();
        (V::splat(self.factor) * root * (root - ratio)).sqrt()
    }

    /// ψ of the ratio of downstream to upstream pressure [1].
    ///
    /// Within `linear` of equal pressures the flow falls in a straight line to nothing: the square root's infinite slope there would
    /// demand endless small time steps.
    #[inline(always)]
    pub fn psi<V: Lanes>(&self, ratio: V, linear: f64) -> V {
        let s = V::splat;
        let edge = s(1.0 - linear);
        let curved = self.exact(ratio.max(s(self.critical_ratio)).min(edge));
        edge.if_less(ratio, curved * (s(1.0) - ratio) * s(1.0 / linear), curved)
    }

    /// Ratio at and below which the flow is choked [1].
    pub fn critical_ratio(&self) -> f64 {
        self.critical_ratio
    }

    /// ψ when choked [1].
    pub fn choked(&self) -> f64 {
        self.choked
    }

    /// Mass flow [kg/s] through an effective area [m²] from side 1 to side 2, negative when it runs back. `rt` is the gas
    /// constant times temperature of each side [J/kg]; `linear` as in [`Orifice::psi`].
    #[inline(always)]
    pub fn flow<V: Lanes>(&self, area: V, (p1, rt1): (V, V), (p2, rt2): (V, V), linear: f64) -> V {
        let (high, low) = (p1.max(p2), p1.min(p2));
        let rt = p1.if_less(p2, rt2, rt1);
        let size = area * high / rt.sqrt() * self.psi(low / high, linear);
        p1.if_less(p2, -size, size)
    }
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
            assert!((o.choked() / o.psi(ratio, 1e-3) - area).abs() < TABLE_ABSOLUTE);
        }
    }

    #[test]
    fn runs_both_ways_and_stops_between() {
        let o = Orifice::new(1.35);
        let there = o.flow(1e-4, (1.0e5, 9.0e4), (0.7e5, 9.0e4), 1e-3);
        let back = o.flow(1e-4, (0.7e5, 9.0e4), (1.0e5, 9.0e4), 1e-3);
        assert_eq!(there, -back);
        assert_eq!(o.flow(1e-4, (1.0e5, 9.0e4), (1.0e5, 9.0e4), 1e-3), 0.0);
        assert!(there > 0.0);
    }
}
