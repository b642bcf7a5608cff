//! Knock: whether the unburned gas lights itself before the flame reaches it.

use crate::cycle::Trace;

/// Standard atmosphere [Pa], by definition.
const ATMOSPHERE_PA: f64 = 101_325.0;

/// Delay before self-ignition [s] at a pressure [Pa] and temperature [K] for a fuel's octane number.
///
/// 17.68 ms (ON/100)^3.402 p^−1.7 exp(3800 K/T), p in atmospheres. Douaud & Eyzat, SAE 780080 (1978); Heywood (1988), equation 9.22
/// (from memory). Scatter of tens of per cent.
pub fn delay_s(octane: f64, pressure_pa: f64, temperature_k: f64) -> f64 {
    17.68e-3 * (octane / 100.0).powf(3.402) * (pressure_pa / ATMOSPHERE_PA).powf(-1.7) * (3800.0 / temperature_k).exp()
}

/// Livengood & Wu's integral ∫ dt/τ [1] over unburned gas from firing inlet closing to the end of burning: 1 or more knocks.
///
/// Livengood & Wu, 5th Symposium on Combustion (1955). Taken to where 95 % has burned: what is left then is in the walls' cold layer.
pub fn integral(trace: &Trace, octane: f64) -> f64 {
    integral_warmer(trace, octane, 0.0)
}

/// The same with air that is warmer by a share of its absolute temperature \[1\], to first order: compression multiplies temperature, so the
/// unburned gas is warmer by the same share all the way, at the same pressure. Walls and residual gas take some of that away, so it errs on the
/// large side. For small shares.
pub fn integral_warmer(trace: &Trace, octane: f64, warmer: f64) -> f64 {
    let mut sum = 0.0;
    for pair in trace.samples.windows(2) {
        let [a, b] = pair else { continue };
        let compressing = a.angle_rad > -std::f64::consts::PI;
        if compressing && b.burned < 0.95 && b.angle_rad < 0.5 * std::f64::consts::PI {
            let rate = |s: &crate::cycle::Sample| 1.0 / delay_s(octane, s.pressure_pa, s.unburned_k * (1.0 + warmer));
            sum += 0.5 * (rate(a) + rate(b)) * (b.angle_rad - a.angle_rad) / trace.at.speed_rad_s;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic of published constants.
    const RELATIVE: f64 = 1e-5;

    #[test]
    fn delay_matches_the_published_correlation() {
        // Douaud & Eyzat, SAE 780080 (constants from memory), worked out with SciPy 1.17.1: ms, for octane, atmospheres, kelvin.
        for (octane, atm, t, ms) in
            [(95.0, 20.0, 800.0, 10.54012502), (95.0, 40.0, 850.0, 2.453283749), (87.0, 30.0, 800.0, 3.922106788)]
        {
            assert!((delay_s(octane, atm * ATMOSPHERE_PA, t) * 1e3 / ms - 1.0).abs() < RELATIVE);
        }
    }
}
