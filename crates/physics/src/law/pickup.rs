//! The pickup: how far ahead of an edge the module is woken, and from what speed.

use crate::rim::Rim;
use quantity::{CrankAngle, DriveRatio};
use std::f64::consts::PI;

/// Why these numbers make no pickup.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadPickup {
    /// Gap not positive and finite.
    #[error("the gap must be positive")]
    Gap,
    /// Pole width negative or not finite.
    #[error("the pole width must not be negative")]
    Pole,
    /// Pulse voltage, its speed or the threshold not positive and finite.
    #[error("pulse voltage, its speed and the threshold must be positive")]
    Pulse,
}

/// A reluctance pickup over the rim of a rotor.
///
/// Flux. Rotor and pole face are two smooth iron surfaces a gap `g` apart; at the segment's edge the magnetic potential
/// across the gap steps. Laplace's equation in the strip between them gives the flux density on the pole face as
/// `B(x) ∝ (1/g)·½(1 + tanh(x/w))`, `w = 2g/π`, with `x` the way of the edge past the pole: a smooth step whose width
/// grows with the gap. Averaged over a pole of width `b` it stays a smooth step.
///
/// Pulse. `e = −n dΦ/dt` is proportional to the rim's speed and, with `β = b/(2w)`,
/// `e(x)/e_peak = (1 + cosh 2β)/(cosh(2x/w) + cosh 2β)`, `e_peak ∝ v · tanh(β)/g`: at constant magnetomotive force the
/// peak falls as 1/g for a wide pole and as 1/g² for a narrow one.
///
/// Firing. The module fires where the rising pulse reaches its threshold, `e_peak/e_threshold = r` times lower than the
/// peak: `x = −(w/2)·arcosh(r(1 + cosh 2β) − cosh 2β)`, ahead of the edge. The trailing edge's pulse is the same with
/// the other sign, so both edges come ahead by the same way.
///
/// Assumed: iron without saturation or eddy currents, a coil without load, height of the segment several gaps, length of
/// the segment several `w`, so that the edges do not touch. The solution of the strip is classical (its transform is
/// `k/sinh(kg)`); that a real pickup follows it is this project's assumption, not a published law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pickup {
    rim: Rim,
    gap: f64,
    pole: f64,
    /// Peak volts per crank speed [V·s/rad].
    peak_per_speed: f64,
    threshold: f64,
}

/// Above this 2β [1] the hyperbolic functions are replaced by their leading exponential (relative error e⁻¹⁰⁰, own choice), long
/// before they overflow.
const WIDE_POLE: f64 = 100.0;

impl Pickup {
    /// From one measured pulse: `peak_v` at the crank speed `at_rad_s`, over `rim` at `gap_m`, for a module that fires at
    /// `threshold_v`. `pole_m` is the width of the pole along the rim; zero stands for a sharp one.
    ///
    /// # Errors
    /// [`BadPickup`].
    pub fn from_pulse(
        rim: Rim,
        gap_m: f64,
        pole_m: f64,
        peak_v: f64,
        at_rad_s: f64,
        threshold_v: f64,
    ) -> Result<Self, BadPickup> {
        let usable = |x: f64| x.is_finite() && x > 0.0;
        if !usable(gap_m) {
            return Err(BadPickup::Gap);
        }
        if !pole_m.is_finite() || pole_m < 0.0 {
            return Err(BadPickup::Pole);
        }
        if ![peak_v, at_rad_s, threshold_v].into_iter().all(usable) {
            return Err(BadPickup::Pulse);
        }
        Ok(Self { rim, gap: gap_m, pole: pole_m, peak_per_speed: peak_v / at_rad_s, threshold: threshold_v })
    }

    /// The same pickup moved to another gap, magnetomotive force unchanged.
    ///
    /// # Errors
    /// [`BadPickup::Gap`].
    pub fn with_gap(self, gap_m: f64) -> Result<Self, BadPickup> {
        if !(gap_m.is_finite() && gap_m > 0.0) {
            return Err(BadPickup::Gap);
        }
        let height = |gap: f64| {
            let beta = PI * self.pole / (4.0 * gap);
            // tanh(β)/β → 1 as the pole narrows; what is left is 1/g².
            if beta > 1e-6 { beta.tanh() / gap } else { PI / (4.0 * gap * gap) * if self.pole > 0.0 { self.pole } else { 1.0 } }
        };
        let scale = height(gap_m) / height(self.gap);
        Ok(Self { gap: gap_m, peak_per_speed: self.peak_per_speed * scale, ..self })
    }

    /// Width scale `w` of the flux step along the rim [m].
    pub fn width_m(&self) -> f64 {
        2.0 * self.gap / PI
    }

    /// Peak of the pulse [V] at a crank speed [rad/s].
    pub fn peak_v(&self, speed_rad_s: f64) -> f64 {
        self.peak_per_speed * speed_rad_s
    }

    /// The pulse [V] at a crank speed, with the edge `past_m` past the pole.
    pub fn pulse_v(&self, speed_rad_s: f64, past_m: f64) -> f64 {
        let c = self.two_beta().min(WIDE_POLE).cosh();
        self.peak_v(speed_rad_s) * (1.0 + c) / ((2.0 * past_m / self.width_m()).cosh() + c)
    }

    /// Lowest crank speed at which the pulse reaches the threshold [rad/s].
    pub fn lowest_firing_speed(&self) -> f64 {
        self.threshold / self.peak_per_speed
    }

    /// How far ahead of the edge the module is woken at a crank speed [rad/s]. At and below the lowest firing speed: zero.
    #[inline]
    pub fn ahead_of_edge(&self, speed_rad_s: f64) -> CrankAngle {
        let ratio = self.peak_v(speed_rad_s) / self.threshold;
        if ratio.is_nan() || ratio <= 1.0 {
            return CrankAngle::from_radians(0.0);
        }
        let two_beta = self.two_beta();
        let two_u = if two_beta > WIDE_POLE {
            (two_beta + (ratio - 1.0).ln()).max(0.0)
        } else {
            let c = two_beta.cosh();
            (ratio * (1.0 + c) - c).acosh()
        };
        self.rim.crank_of_arc(0.5 * self.width_m() * two_u)
    }

    /// How far the firing point moves when the speed changes from one crank speed to another; positive = earlier.
    pub fn shift_between(&self, from_rad_s: f64, to_rad_s: f64) -> CrankAngle {
        self.ahead_of_edge(to_rad_s) - self.ahead_of_edge(from_rad_s)
    }

    /// Drive of the rotor that it watches.
    pub fn drive(&self) -> DriveRatio {
        self.rim.drive()
    }

    fn two_beta(&self) -> f64 {
        self.pole / self.width_m()
    }
}
