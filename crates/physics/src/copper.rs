//! Copper: its resistance, and how that changes with temperature.

/// Resistivity of standard annealed copper at 20 °C [Ω·m]: 1/58 Ω·mm²/m by definition (IEC 60028:1925).
pub const RESISTIVITY_20_OHM_M: f64 = 1e-6 / 58.0;
/// Temperature below 0 °C at which the straight line of resistance against temperature of copper meets zero [K] (IEC 60034-1 and IEC 60228 annex B; 1/0.00393 − 20 of IEC 60028 to four figures).
pub const ZERO_BELOW_FREEZING_K: f64 = 234.5;
/// 20 °C [K], exact.
pub const COLD_K: f64 = 293.15;
/// 0 °C [K], exact.
const FREEZING_K: f64 = 273.15;

/// Resistance at one temperature over that at another \[1\]:
///
/// R₂/R₁ = (234.5 + ϑ₂)/(234.5 + ϑ₁), ϑ in °C.
///
/// Valid for annealed copper between −50 °C and 200 °C, to a few parts in a thousand.
///
/// Source: IEC 60028:1925 (α₂₀ = 0.00393/K at constant mass), in the form of IEC 60034-1 and IEC 60228 annex B.
///
/// # Example
/// ```
/// use physics::copper::{COLD_K, ratio};
/// // IEC 60228:2004 annex B: 254.5/(234.5 + 75).
/// assert!((1.0 / ratio(COLD_K, 348.15) - 0.8222940226).abs() < 1e-9);
/// ```
pub fn ratio(from_k: f64, to_k: f64) -> f64 {
    (ZERO_BELOW_FREEZING_K + to_k - FREEZING_K) / (ZERO_BELOW_FREEZING_K + from_k - FREEZING_K)
}
