//! Heat from the gas to the walls.

use crate::lanes::Lanes;

/// Woschni's coefficient [W/(m²·K)] for bore [m], pressure [Pa], temperature [K] and characteristic gas speed [m/s].
///
/// h = 3.26 B^−0.2 p^0.8 T^−0.55 w^0.8 with p in kPa. Woschni, SAE 670931; Heywood (1988), equations 12.51 and 12.52 (from memory).
/// Fitted to a Diesel; within ±30 % or so on spark-ignition engines.
#[inline(always)]
pub fn coefficient<V: Lanes>(bore_m: f64, p: V, t: V, w: V) -> V {
    let s = V::splat;
    let constant = 3.26 * bore_m.powf(-0.2) * 1e-3_f64.powf(0.8);
    s(constant) * (s(0.8) * (p * w).ln() - s(0.55) * t.ln()).exp()
}

/// Share of the mean piston speed in Woschni's gas speed while the valves exchange gas [1] (Woschni, SAE 670931; from memory).
pub const GAS_EXCHANGE: f64 = 6.18;
/// The same with the valves closed [1] (the same source: SAE 670931).
pub const CLOSED: f64 = 2.28;
/// Weight of the pressure rise by burning in Woschni's gas speed [m/(s·K)] (the same source: SAE 670931).
pub const COMBUSTION: f64 = 3.24e-3;
/// Polytropic exponent of the motored pressure in Woschni's burning term [1]: 1.3, usual for compression with heat loss, no source.
pub const MOTORED_EXPONENT: f64 = 1.3;

#[cfg(test)]
mod tests {
    use super::*;

    /// The published constants have three digits.
    const RELATIVE: f64 = 0.002;

    #[test]
    fn coefficient_matches_the_worked_values() {
        // Heywood (1988), equations 12.51 and 12.52 (from memory), worked out with NumPy 2.4.6: bore 52 mm, 3000 rpm: compression 1000 kPa 600 K and combustion 3000 kPa 2200 K.
        let bore = 0.052;
        let piston = 2.0 * 0.058 * 50.0;
        let w = CLOSED * piston;
        assert!((w - 13.224).abs() < 1e-3);
        assert!((coefficient(bore, 1.0e6, 600.0, w) / 346.0381775 - 1.0).abs() < RELATIVE);
        let w = w + COMBUSTION * 123.2 * 350.0 / (100.0 * 138.6) * (3000.0 - 1200.0);
        assert!((w - 31.368).abs() < 1e-3);
        assert!((coefficient(bore, 3.0e6, 2200.0, w) / 813.8997669 - 1.0).abs() < RELATIVE);
    }
}
