//! Where each lane works.

use super::steady::Operating;
use crate::lanes::Lanes;

/// What differs between lanes but not within a cycle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point<V, const CYL: usize> {
    /// Crank speed [rad/s], and its reciprocal.
    speed: V,
    pub per_speed: V,
    /// Effective throttle area [m²].
    pub throttle: V,
    /// Spark of each cylinder, rad after its firing top dead centre (minus the advance).
    pub spark: [V; CYL],
    /// Factor on the speed of each cylinder's flame in this cycle [1].
    pub flame: [V; CYL],
}

impl<V: Lanes, const CYL: usize> Point<V, CYL> {
    /// The spark of every cylinder at top dead centre.
    pub fn new(speed: V, throttle: V) -> Self {
        let one = V::splat(1.0);
        Self { speed, per_speed: one / speed, throttle, spark: [V::splat(0.0); CYL], flame: [one; CYL] }
    }

    /// Crank speed [rad/s].
    #[inline(always)]
    pub fn speed(&self) -> V {
        self.speed
    }

    /// Goes on at another speed [rad/s] and opening [m²].
    pub fn go_on_at(&mut self, speed: V, throttle: V) {
        (self.speed, self.per_speed, self.throttle) = (speed, V::splat(1.0) / speed, throttle);
    }

    /// Puts an operating point into one lane.
    pub fn set(&mut self, lane: usize, at: &Operating, advance_rad: &[f64]) {
        self.speed.set(lane, at.speed_rad_s);
        self.per_speed.set(lane, 1.0 / at.speed_rad_s);
        self.throttle.set(lane, at.opening_m2);
        for (spark, advance) in self.spark.iter_mut().zip(advance_rad) {
            spark.set(lane, -advance);
        }
    }
}
