//! Crank degrees and rotor degrees are different types: a rotor on the camshaft turns at half the crank's speed,
//! and a degree on its rim is two degrees of the crank.
//!
//! They cannot be added, compared or handed over for each other:
//!
//! ```compile_fail,E0308
//! # use quantity::{CrankAngle, RotorAngle};
//! let sum = CrankAngle::from_degrees(10.0) + RotorAngle::from_degrees(5.0);
//! ```
//! ```compile_fail,E0308
//! # use quantity::{CrankAngle, RotorAngle};
//! let later = CrankAngle::from_degrees(10.0) > RotorAngle::from_degrees(5.0);
//! ```
//! ```compile_fail,E0308
//! # use quantity::{CrankAngle, DriveRatio, RotorAngle};
//! let crank = DriveRatio::CAM.to_crank(CrankAngle::from_degrees(10.0));
//! ```
//!
//! [`DriveRatio`] is the only way from one to the other:
//!
//! ```
//! # use quantity::{CrankAngle, DriveRatio, RotorAngle};
//! let sum = CrankAngle::from_degrees(10.0) + DriveRatio::CAM.to_crank(RotorAngle::from_degrees(5.0));
//! assert!((sum.degrees() - 20.0).abs() < 1e-12);
//! ```

use std::ops::{Add, Neg, Sub};

macro_rules! angle {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name {
            rad: f64,
        }

        impl $name {
            /// An angle from degrees.
            pub const fn from_degrees(deg: f64) -> Self {
                Self { rad: deg * (std::f64::consts::PI / 180.0) }
            }
            /// An angle from radians.
            pub const fn from_radians(rad: f64) -> Self {
                Self { rad }
            }
            /// The angle in degrees.
            pub fn degrees(self) -> f64 {
                self.rad.to_degrees()
            }
            /// The angle in radians.
            pub const fn radians(self) -> f64 {
                self.rad
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self { rad: self.rad + other.rad }
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self { rad: self.rad - other.rad }
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self { rad: -self.rad }
            }
        }
    };
}

angle! {
    /// An angle of the crankshaft. As an *advance* it counts before top dead centre of the firing stroke.
    CrankAngle
}
angle! {
    /// An angle on the trigger rotor itself.
    RotorAngle
}

/// Turns of the trigger rotor per turn of the crank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriveRatio(f64);

impl DriveRatio {
    /// Rotor on the crankshaft.
    pub const CRANK: Self = Self(1.0);
    /// Rotor on a camshaft at half crank speed.
    pub const CAM: Self = Self(0.5);

    /// Rotor turns per crank turn.
    pub const fn turns_per_crank_turn(self) -> f64 {
        self.0
    }
    /// The crank angle that passes while the rotor turns by `angle`.
    pub fn to_crank(self, angle: RotorAngle) -> CrankAngle {
        CrankAngle::from_radians(angle.radians() / self.0)
    }
    /// The rotor angle that passes while the crank turns by `angle`.
    pub fn to_rotor(self, angle: CrankAngle) -> RotorAngle {
        RotorAngle::from_radians(angle.radians() * self.0)
    }
}
