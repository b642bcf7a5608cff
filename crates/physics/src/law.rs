//! Where the spark comes at a given speed.

use quantity::CrankAngle;

/// A law: advance as a function of crank speed.
#[derive(Clone, Debug, PartialEq)]
pub enum Law {
    /// The same at all speeds.
    Fixed(CrankAngle),
}

impl Law {
    /// Advance at a crank speed [rad/s].
    pub fn advance(&self, _speed_rad_s: f64) -> CrankAngle {
        match self {
            Law::Fixed(a) => *a,
        }
    }
}
