//! Rubbing and auxiliary friction of the whole engine.

/// Friction mean effective pressure [Pa] at a crank speed [rad/s].
///
/// 0.97 + 0.15 (N/1000) + 0.05 (N/1000)² bar, N in 1/min: motored four-stroke spark-ignition engines of 845–2000 cm³ at full
/// throttle, Barnes-Moss (1975) in Heywood (1988), equation 13.6 (from memory); engines scatter by 10–20 %.
///
/// DIFFERENCE: the source includes full-throttle pumping, perhaps 0.1 bar at idle, which the cycle computes as well. The friction
/// factor of a machine covers both.
pub fn mean_pressure_pa(speed_rad_s: f64) -> f64 {
    let n = speed_rad_s * 60.0 / std::f64::consts::TAU / 1000.0;
    (0.97 + 0.15 * n + 0.05 * n * n) * 1e5
}

/// Mean friction torque [N·m] of `displacement_m3` in all, four-stroke.
pub fn mean_torque_nm(speed_rad_s: f64, displacement_m3: f64, factor: f64) -> f64 {
    factor * mean_pressure_pa(speed_rad_s) * displacement_m3 / (4.0 * std::f64::consts::PI)
}

/// Friction torque [N·m] of an engine whose level and slope are not those of the correlation.
///
/// level · (F(0) + slope · (F(N) − F(0))): `level` multiplies the whole, `slope` the part that grows with speed on top of that. With a slope
/// of 1 it is level · F(N). The two factors are this project's own way to let readings correct the correlation; no source.
///
/// - `at_speed_nm`, `standing_nm`: the correlation at the speed and at standstill, F(N) and F(0) [N·m].
pub fn corrected_nm(at_speed_nm: f64, standing_nm: f64, level: f64, slope: f64) -> f64 {
    level * (at_speed_nm + (slope - 1.0) * (at_speed_nm - standing_nm))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn matches_the_published_correlation() {
        // Barnes-Moss (1975) in Heywood (1988), equation 13.6 (from memory); bar at 1000, 2000, 3000, 5000 1/min; arithmetic only.
        for (rpm, bar) in [(1000.0, 1.17), (2000.0, 1.47), (3000.0, 1.87), (5000.0, 2.97)] {
            let got = mean_pressure_pa(rpm * std::f64::consts::TAU / 60.0) * 1e-5;
            assert!((got - bar).abs() < 1e-9, "{got}");
        }
    }

    #[test]
    fn level_and_slope_are_those_of_the_correlation() {
        // By hand from the coefficients of equation 13.6: 1.1 (0.97 + 2 (0.15·2 + 0.05·4)) = 2.167 bar at 2000 1/min.
        let pressure = |rpm: f64| mean_pressure_pa(rpm * std::f64::consts::TAU / 60.0);
        let got = corrected_nm(pressure(2000.0), pressure(0.0), 1.1, 2.0) * 1e-5;
        assert!((got - 2.167).abs() < 1e-9, "{got}");
        assert_eq!(
            corrected_nm(pressure(2000.0), pressure(0.0), 0.9, 1.0),
            0.9 * pressure(2000.0),
            "the slope of 1 changes nothing"
        );
    }
}
