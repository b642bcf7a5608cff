//! The slider-crank: where the piston stands at a crank angle, and back.

use crate::root;
use quantity::CrankAngle;

/// Why these lengths make no crank drive.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotACrank {
    /// A length is not a positive finite number (the offset may be zero or negative, but must be finite).
    #[error("crank radius {crank_radius_m} m, rod {rod_m} m, pin offset {pin_offset_m} m are not all usable lengths")]
    BadLength {
        /// Crank radius [m].
        crank_radius_m: f64,
        /// Rod [m].
        rod_m: f64,
        /// Pin offset [m].
        pin_offset_m: f64,
    },
    /// The rod is too short to let the crank go round: rod ≤ crank radius + |offset|.
    #[error("rod {rod_m} m does not let the crank turn; it must exceed {least_m} m")]
    RodTooShort {
        /// Rod [m].
        rod_m: f64,
        /// What it must exceed [m].
        least_m: f64,
    },
    /// Compression ratio not above 1, or bore not positive.
    #[error("bore {bore_m} m with compression ratio {compression_ratio} encloses no chamber")]
    BadChamber {
        /// Bore [m].
        bore_m: f64,
        /// Compression ratio [1].
        compression_ratio: f64,
    },
}

/// An exact slider-crank with gudgeon-pin offset. Angles count from the *true* top dead centre of the piston, positive
/// after it.
///
/// With the crankpin at `(r sin θ, r cos θ)`, `x` towards the side on which the crankpin goes down after top dead
/// centre, and the gudgeon pin on the line `x = −e` (offset `e` positive towards the major thrust side, the wall that
/// the piston is pressed against on the power stroke), the pin stands at `y = r cos θ + √(l² − (r sin θ + e)²)`.
/// Its highest place, crank and rod in line, is `√((l + r)² − e²)` at `sin θ = −e/(l + r)`; travel is counted from there.
///
/// Validity: rod longer than crank radius plus offset. Source: Heywood, *Internal Combustion Engine Fundamentals*
/// (1988), equation 2.5 without offset (from memory); the offset follows by Pythagoras as written above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SliderCrank {
    radius: f64,
    rod: f64,
    offset: f64,
    /// θ at true top dead centre [rad].
    top_angle: f64,
    /// Pin height at true top dead centre [m].
    top: f64,
}

/// Bracket width at which the inverse stops [rad]: far below any protractor, near the last digit of a double (own choice).
const INVERSE_TOLERANCE_RAD: f64 = 1e-13;

impl SliderCrank {
    /// From the crank radius (half of the nominal stroke), the rod between centres and the pin offset, all in metres.
    ///
    /// # Errors
    /// [`NotACrank`] for lengths that cannot turn.
    pub fn new(crank_radius_m: f64, rod_m: f64, pin_offset_m: f64) -> Result<Self, NotACrank> {
        let usable = |x: f64| x.is_finite() && x > 0.0;
        if !usable(crank_radius_m) || !usable(rod_m) || !pin_offset_m.is_finite() {
            return Err(NotACrank::BadLength { crank_radius_m, rod_m, pin_offset_m });
        }
        let least_m = crank_radius_m + pin_offset_m.abs();
        if rod_m <= least_m {
            return Err(NotACrank::RodTooShort { rod_m, least_m });
        }
        let span = rod_m + crank_radius_m;
        Ok(Self {
            radius: crank_radius_m,
            rod: rod_m,
            offset: pin_offset_m,
            top_angle: -(pin_offset_m / span).asin(),
            top: (span * span - pin_offset_m * pin_offset_m).sqrt(),
        })
    }

    /// Crank radius [m].
    pub fn crank_radius_m(&self) -> f64 {
        self.radius
    }

    /// Rod length between centres [m].
    pub fn rod_m(&self) -> f64 {
        self.rod
    }

    /// The way the piston really goes from top to bottom [m]; a trifle more than twice the crank radius with an offset.
    pub fn piston_stroke_m(&self) -> f64 {
        let span = self.rod - self.radius;
        self.top - (span * span - self.offset * self.offset).sqrt()
    }

    /// Angle of bottom dead centre after true top dead centre; a half turn without offset.
    pub fn bottom(&self) -> CrankAngle {
        let at = std::f64::consts::PI - (self.offset / (self.rod - self.radius)).asin();
        CrankAngle::from_radians(at - self.top_angle)
    }

    /// Piston travel from top dead centre [m].
    pub fn travel(&self, after_tdc: CrankAngle) -> f64 {
        self.travel_and_rate(after_tdc.radians()).0
    }

    /// Piston travel per crank angle [m/rad].
    pub fn travel_rate(&self, after_tdc: CrankAngle) -> f64 {
        self.travel_and_rate(after_tdc.radians()).1
    }

    /// Second derivative of the travel [m/rad²]; times speed squared it is the piston's acceleration at steady speed.
    pub fn travel_second_rate(&self, after_tdc: CrankAngle) -> f64 {
        let (sin, cos) = (after_tdc.radians() + self.top_angle).sin_cos();
        let across = self.radius * sin + self.offset;
        let along = (self.rod * self.rod - across * across).sqrt();
        let sideways = self.radius * cos;
        self.radius * cos
            + (sideways * sideways - across * self.radius * sin) / along
            + across * across * sideways * sideways / (along * along * along)
    }

    /// Travel [m] and its rate [m/rad] together, at an angle after top dead centre in radians: the form for inner loops.
    #[inline]
    pub fn travel_and_rate(&self, after_tdc_rad: f64) -> (f64, f64) {
        let (sin, cos) = (after_tdc_rad + self.top_angle).sin_cos();
        let across = self.radius * sin + self.offset;
        let along = (self.rod * self.rod - across * across).sqrt();
        let travel = self.top - self.radius * cos - along;
        (travel, self.radius * sin + across * self.radius * cos / along)
    }

    /// Crank angle *before* top dead centre at which the rising piston stands `travel_m` below its top.
    /// `None` where the piston never stands there (negative, beyond the stroke, or not a number).
    ///
    /// # Example
    /// ```
    /// use physics::crank::SliderCrank;
    /// let crank = SliderCrank::new(0.025, 0.085, 0.0).unwrap();
    /// let advance = crank.before_top(0.002).unwrap();
    /// assert!((advance.degrees() - 20.318).abs() < 1e-3);
    /// ```
    pub fn before_top(&self, travel_m: f64) -> Option<CrankAngle> {
        if !(0.0..=self.piston_stroke_m()).contains(&travel_m) {
            return None;
        }
        // Going up, the piston covers the whole stroke between bottom dead centre and the next top.
        let longest = std::f64::consts::TAU - self.bottom().radians();
        // √travel is nearly straight in the angle near the top, where travel itself is flat.
        let below = |before: f64| self.travel_and_rate(-before).0.max(0.0).sqrt() - travel_m.sqrt();
        if below(longest) <= 0.0 {
            return Some(CrankAngle::from_radians(longest));
        }
        root::bracketed(below, 0.0, longest, INVERSE_TOLERANCE_RAD).ok().map(CrankAngle::from_radians)
    }
}

/// The space above one piston.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chamber {
    /// The drive of its piston.
    pub crank: SliderCrank,
    /// Piston area [m²].
    pub piston_area_m2: f64,
    /// Volume at top dead centre [m³].
    pub clearance_m3: f64,
}

impl Chamber {
    /// From the bore [m] and the compression ratio (greatest to least volume).
    ///
    /// `V = V_c + (π B²/4) x`, `V_c = V_swept/(ε − 1)`: Heywood (1988), equations 2.1 and 2.4 (from memory).
    ///
    /// # Errors
    /// [`NotACrank::BadChamber`].
    pub fn new(crank: SliderCrank, bore_m: f64, compression_ratio: f64) -> Result<Self, NotACrank> {
        if !(bore_m.is_finite() && bore_m > 0.0 && compression_ratio.is_finite() && compression_ratio > 1.0) {
            return Err(NotACrank::BadChamber { bore_m, compression_ratio });
        }
        let piston_area_m2 = 0.25 * std::f64::consts::PI * bore_m * bore_m;
        let clearance_m3 = piston_area_m2 * crank.piston_stroke_m() / (compression_ratio - 1.0);
        Ok(Self { crank, piston_area_m2, clearance_m3 })
    }

    /// Swept volume [m³].
    pub fn swept_m3(&self) -> f64 {
        self.piston_area_m2 * self.crank.piston_stroke_m()
    }

    /// Volume [m³] and its rate [m³/rad] at an angle after top dead centre in radians.
    #[inline]
    pub fn volume_and_rate(&self, after_tdc_rad: f64) -> (f64, f64) {
        let (travel, rate) = self.crank.travel_and_rate(after_tdc_rad);
        (self.clearance_m3 + self.piston_area_m2 * travel, self.piston_area_m2 * rate)
    }
}
