//! The trigger's rim: arc, chord and crank angle.

use quantity::{CrankAngle, DriveRatio, RotorAngle};

/// A rim of known diameter on a rotor of known drive.
///
/// Arc = R · angle (definition of the radian, ISO 80000-3:2019); arc = D · asin(chord/D); crank angle = rotor
/// angle / drive ratio.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rim {
    diameter: f64,
    drive: DriveRatio,
}

impl Rim {
    /// A rim of `diameter_m`, turning with `drive`. `None` unless the diameter is positive and finite.
    pub fn new(diameter_m: f64, drive: DriveRatio) -> Option<Self> {
        (diameter_m.is_finite() && diameter_m > 0.0).then_some(Self { diameter: diameter_m, drive })
    }

    /// Diameter [m].
    pub fn diameter_m(&self) -> f64 {
        self.diameter
    }

    /// Turns of the rotor per turn of the crank.
    pub fn drive(&self) -> DriveRatio {
        self.drive
    }

    /// Length along the rim [m] of a part that a caliper spans with `chord_m`. The part is taken as at most half of
    /// the rim; `None` for a chord that is negative or longer than the diameter.
    pub fn arc_of_chord(&self, chord_m: f64) -> Option<f64> {
        (0.0..=self.diameter).contains(&chord_m).then(|| self.diameter * (chord_m / self.diameter).asin())
    }

    /// What a caliper reads [m] across a part of `arc_m` along the rim.
    pub fn chord_of_arc(&self, arc_m: f64) -> f64 {
        self.diameter * (arc_m / self.diameter).sin()
    }

    /// Rotor angle of a length along the rim.
    pub fn rotor_of_arc(&self, arc_m: f64) -> RotorAngle {
        RotorAngle::from_radians(2.0 * arc_m / self.diameter)
    }

    /// Crank angle that passes while a length along the rim goes by.
    ///
    /// # Example
    /// ```
    /// use physics::rim::Rim;
    /// use quantity::DriveRatio;
    /// let rim = Rim::new(0.120, DriveRatio::CAM).unwrap();
    /// // On a camshaft the crank turns twice as far.
    /// assert!((rim.crank_of_arc(0.001).degrees() - 2.0 * 0.9549296586).abs() < 1e-9);
    /// ```
    ///
    /// Rotor and crank angles cannot be mixed up:
    /// ```compile_fail
    /// use physics::rim::Rim;
    /// use quantity::{DriveRatio, RotorAngle};
    /// let rim = Rim::new(0.120, DriveRatio::CAM).unwrap();
    /// rim.arc_of_crank(RotorAngle::from_degrees(10.0));
    /// ```
    pub fn crank_of_arc(&self, arc_m: f64) -> CrankAngle {
        self.drive.to_crank(self.rotor_of_arc(arc_m))
    }

    /// Length along the rim [m] that goes by while the crank turns by `angle`.
    pub fn arc_of_crank(&self, angle: CrankAngle) -> f64 {
        0.5 * self.diameter * self.drive.to_rotor(angle).radians()
    }
}
