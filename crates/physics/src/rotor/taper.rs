//! A rotor on a tapered shaft end: what the seat carries, how far it is drawn on, what lets it go.

/// A seat between two cones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// Diameter at the large end [m].
    pub large_m: f64,
    /// Length along the axis [m].
    pub length_m: f64,
    /// Change of diameter per length [1]: 0.2 for 1:5.
    pub ratio: f64,
    /// Friction between the cones, dry [1].
    pub friction: f64,
}

/// Which of two textbook formulas gives a torque. They differ by a factor of two to four.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Formula {
    /// `N = F/(sin α + μ cos α)`: friction along the cone is overcome while it is pressed on dry. The smaller, and the safe one.
    PressedOn,
    /// `N = F/sin α`: friction along the cone is left out, as where it was worked home while turning or tapping.
    WorkedHome,
}

/// Why a seat is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotASeat;

impl Seat {
    /// # Errors
    /// [`NotASeat`] where a size is not above zero, friction is negative, or the cone would come to a point.
    pub fn new(large_m: f64, length_m: f64, ratio: f64, friction: f64) -> Result<Self, NotASeat> {
        let seat = Self { large_m, length_m, ratio, friction };
        let sound = [large_m, length_m, ratio].iter().all(|x| *x > 0.0 && x.is_finite());
        if sound && friction >= 0.0 && friction.is_finite() && seat.small_m() > 0.0 { Ok(seat) } else { Err(NotASeat) }
    }

    /// Half angle α [rad].
    pub fn half_angle(&self) -> f64 {
        (0.5 * self.ratio).atan()
    }

    /// Diameter at the small end [m].
    pub fn small_m(&self) -> f64 {
        self.large_m - self.ratio * self.length_m
    }

    /// Diameter in the middle [m].
    pub fn mean_m(&self) -> f64 {
        0.5 * (self.large_m + self.small_m())
    }

    /// Area of the cone [m²].
    pub fn area_m2(&self) -> f64 {
        std::f64::consts::PI * self.mean_m() * self.length_m / self.half_angle().cos()
    }

    /// Force square to the cone, summed all round [N], from the axial force [N].
    pub fn normal_n(&self, axial_n: f64, by: Formula) -> f64 {
        let (sin, cos) = self.half_angle().sin_cos();
        match by {
            Formula::PressedOn => axial_n / (sin + self.friction * cos),
            Formula::WorkedHome => axial_n / sin,
        }
    }

    /// Torque [N·m] at which the seat slips, `T = μ N d_m/2`.
    ///
    /// Sources: statics of the cone clutch (Shigley) and of the taper joint (Decker, *Maschinenelemente*), both from memory.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::taper::{Formula, Seat};
    /// // 1:5, mean 16 mm, μ = 0.12, 20 kN.
    /// let seat = Seat::new(0.018, 0.020, 0.2, 0.12).unwrap();
    /// assert!((seat.slips_at_n_m(20e3, Formula::PressedOn) - 87.70800542).abs() < 1e-6);
    /// assert!((seat.slips_at_n_m(20e3, Formula::WorkedHome) - 192.9576119).abs() < 1e-6);
    /// ```
    pub fn slips_at_n_m(&self, axial_n: f64, by: Formula) -> f64 {
        0.5 * self.friction * self.normal_n(axial_n, by) * self.mean_m()
    }

    /// The part of the seat that lies at its large end, as a share of the length [1]: what is left of it when blue shows contact there alone.
    pub fn at_large_end(&self, share: f64) -> Self {
        Self { length_m: self.length_m * share, ..*self }
    }

    /// The part at the small end.
    pub fn at_small_end(&self, share: f64) -> Self {
        let length_m = self.length_m * share;
        Self { large_m: self.small_m() + self.ratio * length_m, length_m, ..*self }
    }

    /// Mean pressure in the seat [Pa] where this share of the cone touches.
    ///
    /// The torque of dry friction does not depend on how much of the cone touches, the pressure does.
    pub fn pressure_pa(&self, axial_n: f64, by: Formula, share: f64) -> f64 {
        self.normal_n(axial_n, by) / (self.area_m2() * share)
    }

    /// Whether it stays on by itself once pressed on: the friction angle is larger than the half angle.
    pub fn holds_itself(&self) -> bool {
        self.friction > self.half_angle().tan()
    }

    /// Axial force [N] that pulls it off, against the normal force [N] that is in it; below zero it comes off by itself.
    pub fn release_n(&self, normal_n: f64) -> f64 {
        let (sin, cos) = self.half_angle().sin_cos();
        normal_n * (self.friction * cos - sin)
    }
}

/// How a hub and its shaft end give way under pressure, ring by ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rings {
    /// Radius of the seat [m].
    pub seat_m: f64,
    /// Radius of the hub's outside [m].
    pub hub_m: f64,
    /// Young's modulus and Poisson's ratio of the hub [Pa], [1].
    pub hub: (f64, f64),
    /// The same of the shaft, which is taken as solid.
    pub shaft: (f64, f64),
}

impl Rings {
    /// Pressure per radial interference [Pa/m], from Lamé's thick ring over a solid shaft. `None` unless the hub is thicker than its seat.
    ///
    /// Source: Timoshenko, *Strength of Materials*, part II (1956), shrink fit (from memory); checked against a plane-stress solution by SciPy.
    pub fn pressure_per_m(&self) -> Option<f64> {
        let (r2, o2) = (self.seat_m.powi(2), self.hub_m.powi(2));
        let hub = ((o2 + r2) / (o2 - r2) + self.hub.1) / self.hub.0;
        let shaft = (1.0 - self.shaft.1) / self.shaft.0;
        let stiff = 1.0 / (self.seat_m * (hub + shaft));
        (self.seat_m > 0.0 && o2 > r2 && stiff > 0.0 && stiff.is_finite()).then_some(stiff)
    }

    /// Stretch of the hub's bore surface by a pressure, greatest hoop stress [Pa]: `p (r_o² + r²)/(r_o² − r²)`.
    pub fn hub_hoop_pa(&self, pressure_pa: f64) -> f64 {
        let (r2, o2) = (self.seat_m.powi(2), self.hub_m.powi(2));
        pressure_pa * (o2 + r2) / (o2 - r2)
    }
}

/// How a seat lies that is drawn on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Radial interference in the middle of the seat [m].
    pub interference_m: f64,
    /// Way along the axis from first touch [m].
    pub travel_m: f64,
    /// Heating of the hub above the shaft that frees it [K].
    pub frees_at_k: f64,
}

/// What the force in a seat does to it. `expansion_per_k` is the hub's. `None` as in [`Rings::pressure_per_m`].
///
/// `δ = p/K`, travel `δ/tan α`, free at `δ/(α_T r)`.
pub fn drawn(seat: &Seat, rings: &Rings, pressure_pa: f64, expansion_per_k: f64) -> Option<Drawn> {
    let interference_m = pressure_pa / rings.pressure_per_m()?;
    Some(Drawn {
        interference_m,
        travel_m: interference_m / seat.half_angle().tan(),
        frees_at_k: interference_m / (expansion_per_k * rings.seat_m),
    })
}

/// Two cones whose angles differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mismatch {
    /// Whether they touch at the large end first; otherwise at the small end.
    pub at_large_end: bool,
    /// Gap between the surfaces at the other end before anything gives way [m], radially.
    pub gap_m: f64,
    /// Share of the length that touches once the force is in [1].
    pub share: f64,
    /// Greatest pressure, at the end that touches [Pa].
    pub peak_pa: f64,
}

/// Where a hub of taper `hub_ratio` on a shaft of `seat.ratio` touches under a normal force.
///
/// A bore that closes faster than its shaft touches at the small end. Each ring gives way by itself, `p = K δ`, so with slope `s = |tan α_h − tan α_s|` over a length
/// a: `N = π r K s a²`, `p₀ = K s a`; once a reaches the length, the pressure falls evenly over it. Own derivation with Lamé's K; the true
/// peak is blunted by yielding, the share a little larger since neighbouring rings help.
pub fn mismatch(seat: &Seat, hub_ratio: f64, rings: &Rings, normal_n: f64) -> Option<Mismatch> {
    let stiff = rings.pressure_per_m()?;
    let slope = 0.5 * (hub_ratio - seat.ratio);
    let (s, length) = (slope.abs(), seat.length_m);
    let round = std::f64::consts::PI * rings.seat_m * stiff;
    let reach = if s > 0.0 { (normal_n / (round * s)).sqrt() } else { f64::INFINITY };
    let (share, peak_pa) = if reach < length {
        (reach / length, stiff * s * reach)
    } else {
        // Even part and falling part: N = 2πrK(δ L + s L²/2) with δ left at the far end.
        let far = (normal_n / (2.0 * round) - 0.5 * s * length * length) / length;
        (1.0, stiff * (far + s * length))
    };
    Some(Mismatch { at_large_end: slope <= 0.0, gap_m: s * length, share, peak_pa })
}

/// What a key would see if the seat slipped and all went through it. It is not counted: a key gives the place and nothing else.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyIfSlipped {
    /// Shear over width times length [Pa].
    pub shear_pa: f64,
    /// Pressure of one flank, half of the key's height in the hub [Pa].
    pub bearing_pa: f64,
}

/// See [`KeyIfSlipped`]: torque over the radius at which the key sits, its width, height and length [m].
pub fn key_if_slipped(torque_n_m: f64, radius_m: f64, key_m: [f64; 3]) -> KeyIfSlipped {
    let [width, height, length] = key_m;
    let force = torque_n_m / radius_m;
    KeyIfSlipped { shear_pa: force / (width * length), bearing_pa: force / (0.5 * height * length) }
}
