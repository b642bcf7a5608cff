//! The dwell: how a coil's primary fills with current from a battery.

/// A coil's primary, connected to a battery through a closed switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dwell {
    /// Volts over the coil and all in line with it, the drop of the closed switch taken off [V].
    pub volts: f64,
    /// All resistance in line [Ω].
    pub ohm: f64,
    /// Inductance [H].
    pub henry: f64,
    /// Current that the module allows [A]; `None` for points.
    pub limit_a: Option<f64>,
}

impl Dwell {
    /// Current [A] after a time: `i = (V/R)(1 − e^{−Rt/L})`, or the limit where that is less. Any text on circuits.
    ///
    /// # Example
    /// ```
    /// let dwell = physics::spark::dwell::Dwell { volts: 12.0, ohm: 3.0, henry: 8e-3, limit_a: None };
    /// assert!((dwell.current_a(4e-3) - 3.107_479_359).abs() < 1e-8);
    /// ```
    pub fn current_a(&self, seconds: f64) -> f64 {
        let most = self.volts / self.ohm;
        let free = -most * (-self.ohm * seconds / self.henry).exp_m1();
        self.limit_a.map_or(free, |limit| free.min(limit)).max(0.0)
    }

    /// Time [s] until a current is reached; `None` where it never is.
    pub fn seconds_to(&self, amperes: f64) -> Option<f64> {
        let left = 1.0 - amperes * self.ohm / self.volts;
        let within = self.limit_a.is_none_or(|limit| amperes <= limit);
        (left > 0.0 && within).then(|| -self.henry / self.ohm * left.ln())
    }

    /// Energy in the coil [J], `½ L i²`.
    pub fn energy_j(&self, seconds: f64) -> f64 {
        0.5 * self.henry * self.current_a(seconds).powi(2)
    }

    /// Time integral of the current's square over a dwell [A²·s]: times a resistance, its heat.
    ///
    /// `(V/R)² (t − 2τ(1 − e^{−t/τ}) + ½τ(1 − e^{−2t/τ}))` up to the limit, τ = L/R, and limit² after it.
    pub fn heat_a2s(&self, seconds: f64) -> f64 {
        let held = self.limit_a.and_then(|limit| self.seconds_to(limit).map(|t| (t, limit)));
        let (free, rest) = match held {
            Some((t, limit)) if t < seconds => (t, limit * limit * (seconds - t)),
            _ => (seconds, 0.0),
        };
        let tau = self.henry / self.ohm;
        let most = self.volts / self.ohm;
        let x = -(-free / tau).exp_m1();
        let xx = -(-2.0 * free / tau).exp_m1();
        most * most * (free - 2.0 * tau * x + 0.5 * tau * xx) + rest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COIL: Dwell = Dwell { volts: 12.0, ohm: 3.0, henry: 8e-3, limit_a: None };

    #[test]
    fn current_and_energy_after_a_dwell() {
        /// Digits of the numbers [1].
        const PRINTED: f64 = 1e-9;
        // i = (V/R)(1-exp(-Rt/L)), E = L i^2/2; numbers by numpy 2.4.6.
        assert!((COIL.current_a(4e-3) / 3.107_479_359 - 1.0).abs() < PRINTED);
        assert!((COIL.energy_j(4e-3) / 38.625_711_88e-3 - 1.0).abs() < PRINTED);
        assert!((COIL.seconds_to(3.0).unwrap() / 3.696_784_963e-3 - 1.0).abs() < PRINTED);
        assert_eq!(COIL.seconds_to(4.1), None);
    }

    #[test]
    fn heat_is_the_sum_of_small_times_with_and_without_a_limit() {
        for dwell in [COIL, Dwell { limit_a: Some(2.0), ..COIL }] {
            let n = 100_000;
            let dt = 5e-3 / n as f64;
            let sum: f64 = (0..n).map(|k| dwell.current_a((k as f64 + 0.5) * dt).powi(2) * dt).sum();
            assert!((dwell.heat_a2s(5e-3) / sum - 1.0).abs() < 1e-8);
        }
    }
}
