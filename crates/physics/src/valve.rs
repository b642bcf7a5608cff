//! Valves: lift over crank angle and flow area.

/// Discharge coefficient of a poppet valve, on curtain or seat area [1]: 0.6 to 0.7 over most of the lift, Heywood, Internal
/// Combustion Engine Fundamentals (1988), section 6.3.2, figures 6-15 and 6-16 (from memory).
pub const DISCHARGE: f64 = 0.65;

/// All valves of one kind in one cylinder. Angles in rad from firing top dead centre, one event per 4π.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Valve {
    /// Opens [rad].
    pub opens_rad: f64,
    /// Closes [rad], after it opens.
    pub closes_rad: f64,
    /// Inner seat diameter [m].
    pub diameter_m: f64,
    /// Greatest lift [m].
    pub lift_m: f64,
    /// How many.
    pub count: f64,
}

impl Valve {
    /// Lift [m] at a crank angle [rad]: half a cycle of a raised cosine between opening and closing, as a harmonic cam gives.
    pub fn lift(&self, angle_rad: f64) -> f64 {
        let cycle = 4.0 * std::f64::consts::PI;
        let since = (angle_rad - self.opens_rad).rem_euclid(cycle);
        let span = self.closes_rad - self.opens_rad;
        if since >= span {
            return 0.0;
        }
        self.lift_m * (std::f64::consts::PI * since / span).sin().powi(2)
    }

    /// Effective flow area [m²]: the curtain π D L until it exceeds the seat's πD²/4, times [`DISCHARGE`].
    pub fn area(&self, angle_rad: f64) -> f64 {
        let curtain = std::f64::consts::PI * self.diameter_m * self.lift(angle_rad);
        let seat = 0.25 * std::f64::consts::PI * self.diameter_m * self.diameter_m;
        DISCHARGE * self.count * curtain.min(seat)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn opens_and_closes_at_its_angles_and_peaks_between() {
        let v = Valve { opens_rad: 2.0 * PI - 0.7, closes_rad: 3.0 * PI + 0.9, diameter_m: 0.026, lift_m: 0.008, count: 1.0 };
        assert_eq!(v.lift(2.0 * PI - 0.71), 0.0);
        assert!(v.lift(2.0 * PI - 0.65) > 0.0);
        assert_eq!(v.lift(3.0 * PI + 0.91), 0.0);
        let middle = 0.5 * (v.opens_rad + v.closes_rad);
        assert!((v.lift(middle) - v.lift_m).abs() < 1e-15);
        // A quarter of the diameter is the lift at which curtain and seat are equal: here 6.5 mm of 8.
        // Rounding alone.
        assert!((v.area(middle) / (DISCHARGE * 0.25 * PI * 0.026 * 0.026) - 1.0).abs() < 1e-12);
    }
}
