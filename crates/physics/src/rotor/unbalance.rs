//! Unbalance as a vector with its doubt, and what makes it.
//!
//! Places are angles on the rotor [rad], all counted the same way round from the same mark.

/// Unbalance [kg·m] in two directions across the axis, with the covariance of its standard uncertainties [kg²·m²].
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Unbalance {
    /// Towards the mark.
    pub x: f64,
    /// A quarter turn on.
    pub y: f64,
    /// Variance of `x`.
    pub xx: f64,
    /// Covariance.
    pub xy: f64,
    /// Variance of `y`.
    pub yy: f64,
}

/// A value and its standard uncertainty, SI.
pub type Doubted = quantity::Value;

impl Unbalance {
    /// A mass [kg] at a radius [m] and a place [rad]; a mass that was taken off is negative. `U = m r`, with first-order doubt
    /// (JCGM 100:2008, 5.1.2).
    pub fn of_mass(mass: Doubted, radius: Doubted, place: Doubted) -> Self {
        let size = mass.si * radius.si;
        let along = (mass.standard_uncertainty_si * radius.si).hypot(mass.si * radius.standard_uncertainty_si);
        Self::of_size(Doubted { si: size, standard_uncertainty_si: along }, place)
    }

    /// Unbalance of known size [kg·m] at a place [rad].
    pub fn of_size(size: Doubted, place: Doubted) -> Self {
        let (sin, cos) = place.si.sin_cos();
        let along = size.standard_uncertainty_si.powi(2);
        let across = (size.si * place.standard_uncertainty_si).powi(2);
        Self {
            x: size.si * cos,
            y: size.si * sin,
            xx: along * cos * cos + across * sin * sin,
            xy: (along - across) * sin * cos,
            yy: along * sin * sin + across * cos * cos,
        }
    }

    /// A rotor [kg] that is mounted with its own centre of mass off the axis by `eccentricity` [m] towards `place`: `U = m e`. Half of the run-out that a
    /// dial gauge shows on a rim that is round about the centre of mass.
    pub fn of_run_out(rotor: Doubted, eccentricity: Doubted, place: Doubted) -> Self {
        Self::of_mass(rotor, eccentricity, place)
    }

    /// Size [kg·m].
    pub fn size(&self) -> f64 {
        self.x.hypot(self.y)
    }

    /// Place of the heavy side [rad], within ±π.
    pub fn place(&self) -> f64 {
        self.y.atan2(self.x)
    }

    /// Standard uncertainty of the size [kg·m]; of an unbalance of nothing, that in the worse of both directions.
    pub fn size_uncertainty(&self) -> f64 {
        let size = self.size();
        if size == 0.0 {
            return self.worst_uncertainty();
        }
        let (c, s) = (self.x / size, self.y / size);
        (self.xx * c * c + 2.0 * self.xy * c * s + self.yy * s * s).max(0.0).sqrt()
    }

    /// Standard uncertainty of the place [rad]; infinite for an unbalance of nothing.
    pub fn place_uncertainty(&self) -> f64 {
        let size = self.size();
        if size == 0.0 {
            return f64::INFINITY;
        }
        let (c, s) = (self.x / size, self.y / size);
        (self.xx * s * s - 2.0 * self.xy * c * s + self.yy * c * c).max(0.0).sqrt() / size
    }

    /// Standard uncertainty in the direction in which it is greatest [kg·m].
    pub fn worst_uncertainty(&self) -> f64 {
        let mean = 0.5 * (self.xx + self.yy);
        (mean + (0.5 * (self.xx - self.yy)).hypot(self.xy)).max(0.0).sqrt()
    }

    /// What cancels it.
    pub fn opposite(&self) -> Self {
        Self { x: -self.x, y: -self.y, ..*self }
    }
}

/// Independent of each other.
impl std::ops::Add for Unbalance {
    type Output = Self;

    fn add(self, o: Self) -> Self {
        Self { x: self.x + o.x, y: self.y + o.y, xx: self.xx + o.xx, xy: self.xy + o.xy, yy: self.yy + o.yy }
    }
}

impl std::iter::Sum for Unbalance {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), |a, b| a + b)
    }
}

/// Least unbalance [kg·m] that shows on level knife edges or rollers: below it the moment `U g` does not overcome rolling friction `M g f`.
///
/// `carried_kg` is rotor and arbor together, `arm_m` the arm of rolling friction. Source: the definition of that arm, as in any statics text.
pub fn least_shown(carried_kg: f64, arm_m: f64) -> f64 {
    carried_kg * arm_m
}

/// Unbalance [kg·m] from masses tried at the rim of `radius_m` opposite to the heavy side: with the lesser the heavy side still goes down, with the greater it
/// comes up. The middle counts, and half of the difference is what friction hides: a bound, so its standard uncertainty is that over √3 (JCGM 100:2008, 4.3.7).
///
/// # Example
/// ```
/// let u = physics::rotor::unbalance::from_trial_masses(0.30e-3, 0.42e-3, 0.045);
/// assert!((u.si * 1e6 - 16.2).abs() < 1e-9);
/// ```
pub fn from_trial_masses(still_down_kg: f64, comes_up_kg: f64, radius_m: f64) -> Doubted {
    let half = 0.5 * (comes_up_kg - still_down_kg).abs() * radius_m;
    Doubted { si: 0.5 * (still_down_kg + comes_up_kg) * radius_m, standard_uncertainty_si: half / 3f64.sqrt() }
}
