//! A law given by points.

use crate::interp::{BadPoints, MonotoneCubic};
use quantity::CrankAngle;

/// Points of crank speed and advance with a monotone cubic between; beyond the ends the end advance holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Table(MonotoneCubic);

impl Table {
    /// From points of crank speed [rad/s], rising, and advance.
    ///
    /// # Errors
    /// [`BadPoints`].
    pub fn new(points: &[(f64, CrankAngle)]) -> Result<Self, BadPoints> {
        let plain: Vec<(f64, f64)> = points.iter().map(|(speed, advance)| (*speed, advance.radians())).collect();
        Ok(Self(MonotoneCubic::new(&plain)?))
    }

    /// Advance at a crank speed [rad/s].
    pub fn advance(&self, speed_rad_s: f64) -> CrankAngle {
        CrankAngle::from_radians(self.0.value(speed_rad_s))
    }

    /// Earlier by `by` at every speed.
    pub fn shifted(self, by: CrankAngle) -> Self {
        Self(self.0.raised(by.radians()))
    }

    /// Slowest and fastest speed of the points [rad/s]; `None` for a single point.
    pub fn ends(&self) -> Option<(f64, f64)> {
        let first = self.0.points().next()?;
        let last = self.0.points().last()?;
        (last.0 > first.0).then_some((first.0, last.0))
    }
}
