//! What a magnet's bond carries, and the speed at which it carries no more.

use crate::root;

/// On which side of its seat the magnet sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seat {
    /// Inside a rim that turns round it: spin presses the magnet into the rim.
    InsideRim,
    /// On a hub: spin pulls the magnet off.
    OnHub,
}

/// A magnet and the surface that holds it.
///
/// Friction between a pressed magnet and its rim would help and is not counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Magnet {
    /// Where it sits.
    pub seat: Seat,
    /// Mass [kg].
    pub mass_kg: f64,
    /// Distance of its centre of mass from the axis [m].
    pub radius_m: f64,
    /// Bonded area [m²].
    pub area_m2: f64,
    /// What a sleeve or a clip carries inward of the pull [N]; 0 without one.
    pub sleeve_n: f64,
}

/// What shears the bond besides spin.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Shaken {
    /// Angular acceleration that does not depend on speed, as of a kick-back or a dropped clutch [rad/s²].
    pub angular_rad_s2: f64,
    /// Angular acceleration per square of the speed [1]: half of the fluctuation (ω_max − ω_min)/ω times its order per turn.
    pub ripple: f64,
    /// Force of the coils' poles on this magnet along the rim [N].
    pub pole_n: f64,
    /// Shock along the shaft [m/s²].
    pub axial_m_s2: f64,
    /// Shear of the layer by differing expansion, at its worst place [Pa].
    pub thermal_pa: f64,
}

/// Stress in the bond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stress {
    /// Across the layer, pulling positive, pressing negative [Pa]: mean over the area.
    pub across_pa: f64,
    /// Along the layer [Pa]: mean of what acts on the mass, and the thermal peak, added as if they stood at one place and one way.
    pub along_pa: f64,
}

/// Why there is no speed at which the bond is used up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Never {
    /// Already used up at standstill, by heat and shock.
    AlreadyGone,
    /// Spin does not load it further: it presses the magnet into its seat.
    Pressed,
}

/// Greatest speed that is looked at [rad/s] (own choice): 95 000 rev/min, where any rim has long burst.
const FASTEST: f64 = 1e4;
/// Width to which the speed is narrowed down [rad/s] (own choice).
const SPEED_TOLERANCE: f64 = 1e-6;

impl Magnet {
    /// Force of spin on the magnet [N], `m r ω²`, outward.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::bond::{Magnet, Seat};
    /// let magnet = Magnet { seat: Seat::OnHub, mass_kg: 0.025, radius_m: 0.048, area_m2: 600e-6, sleeve_n: 0.0 };
    /// let speed = 12_000.0 * std::f64::consts::TAU / 60.0;
    /// assert!((magnet.spin_n(speed) - 1894.964045).abs() < 1e-5);
    /// ```
    pub fn spin_n(&self, speed_rad_s: f64) -> f64 {
        self.mass_kg * self.radius_m * speed_rad_s * speed_rad_s
    }

    /// Stress at a speed.
    ///
    /// A mass force on a magnet whose backing is much stiffer than the layer shears the layer evenly, so the mean serves for it.
    pub fn stress(&self, speed_rad_s: f64, by: Shaken) -> Stress {
        let spin = self.spin_n(speed_rad_s);
        let across = match self.seat {
            Seat::InsideRim => -(spin + self.sleeve_n),
            // A sleeve that is not yet loaded presses no more than it must.
            Seat::OnHub => (spin - self.sleeve_n).max(0.0),
        };
        let turning = self.mass_kg * self.radius_m * (by.angular_rad_s2.abs() + by.ripple.abs() * speed_rad_s * speed_rad_s);
        let along = (turning + by.pole_n.abs()).hypot(self.mass_kg * by.axial_m_s2);
        Stress { across_pa: across / self.area_m2, along_pa: along / self.area_m2 + by.thermal_pa.abs() }
    }

    /// The speed [rad/s] at which the bond's strength is used up, with the same strength for pulling and for shear.
    ///
    /// # Errors
    /// [`Never`] where there is none.
    pub fn used_up_at(&self, by: Shaken, strength_pa: f64) -> Result<f64, Never> {
        let short = |speed: f64| self.stress(speed, by).used(strength_pa) - 1.0;
        if short(0.0) >= 0.0 {
            return Err(Never::AlreadyGone);
        }
        root::bracketed(short, 0.0, FASTEST, SPEED_TOLERANCE).map_err(|_| Never::Pressed)
    }
}

impl Stress {
    /// What an equal share of strength must hold [Pa]: `√(σ² + τ²)` of the pull and the shear. Pressing counts for nothing.
    ///
    /// Common practice, no source: an adhesive's strength across the layer is taken as that in shear, which a stiff epoxy exceeds in an even pull and
    /// does not reach where it is peeled off from an end.
    pub fn effective_pa(&self) -> f64 {
        self.across_pa.max(0.0).hypot(self.along_pa)
    }

    /// Share of a strength that is used [1].
    pub fn used(&self, strength_pa: f64) -> f64 {
        self.effective_pa() / strength_pa
    }
}

/// Strength of an adhesive against temperature: measured or printed points, straight lines between, nothing beyond them.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    points: Vec<(f64, f64)>,
}

/// Why there is no strength.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoStrength {
    /// No points, or temperatures that do not rise, or a strength below zero, or no number.
    BadPoints,
    /// Colder or hotter than any point.
    Beyond {
        /// Coldest point [K].
        least_k: f64,
        /// Hottest point [K].
        most_k: f64,
    },
}

impl Strength {
    /// From `(temperature [K], strength [Pa])` in rising order.
    ///
    /// # Errors
    /// [`NoStrength::BadPoints`].
    pub fn new(points: &[(f64, f64)]) -> Result<Self, NoStrength> {
        let sound = points.iter().all(|(t, s)| t.is_finite() && s.is_finite() && *s >= 0.0);
        let rising = points.windows(2).all(|p| p[0].0 < p[1].0);
        if points.is_empty() || !sound || !rising {
            return Err(NoStrength::BadPoints);
        }
        Ok(Self { points: points.to_vec() })
    }

    /// Strength [Pa] at a temperature [K].
    ///
    /// # Errors
    /// [`NoStrength::Beyond`] outside the points: a line drawn on past them would be a guess.
    pub fn at(&self, temperature_k: f64) -> Result<f64, NoStrength> {
        let (shares, _) = self.shares(temperature_k)?;
        Ok(shares.iter().map(|(i, share)| share * self.points[*i].1).sum())
    }

    /// The points that a strength is made of and their shares, for carrying each point's doubt, and the slope there [Pa/K].
    ///
    /// # Errors
    /// As [`Strength::at`].
    pub fn shares(&self, temperature_k: f64) -> Result<(Vec<(usize, f64)>, f64), NoStrength> {
        let (first, last) = (self.points[0].0, self.points[self.points.len() - 1].0);
        if !(first..=last).contains(&temperature_k) {
            return Err(NoStrength::Beyond { least_k: first, most_k: last });
        }
        let above = self.points.partition_point(|(t, _)| *t < temperature_k);
        if self.points[above].0 == temperature_k && (above == 0 || self.points.len() == 1) {
            return Ok((vec![(above, 1.0)], 0.0));
        }
        let (cold, hot) = (self.points[above - 1], self.points[above]);
        let share = (temperature_k - cold.0) / (hot.0 - cold.0);
        Ok((vec![(above - 1, 1.0 - share), (above, share)], (hot.1 - cold.1) / (hot.0 - cold.0)))
    }
}
