//! Numbers with doubt, combined to first order.

use std::ops::{Add, Div, Mul, Sub};

/// A number and its standard uncertainty, both SI, without a unit of its own.
///
/// The operators take their operands as *independent* and carry the uncertainty to first order,
/// u²(y) = Σ (∂y/∂xᵢ)² u²(xᵢ) (JCGM 100:2008, 5.1.2, equation 10). `x - x` is therefore not exact: a number that enters
/// twice, or numbers that share an instrument, need [`propagate`] with the slopes of the whole expression.
/// First order holds while the relative uncertainties are small (roughly below a tenth).
///
/// ```
/// use quantity::Value;
/// let a = Value { si: 10.0, standard_uncertainty_si: 0.3 };
/// let b = Value { si: 20.0, standard_uncertainty_si: 0.4 };
/// assert!(((a + b).standard_uncertainty_si - 0.5).abs() < 1e-12);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Value {
    /// The number [SI].
    pub si: f64,
    /// Its standard uncertainty [SI].
    pub standard_uncertainty_si: f64,
}

impl Value {
    /// A number without doubt.
    pub const fn exact(si: f64) -> Self {
        Self { si, standard_uncertainty_si: 0.0 }
    }

    /// The number times an exact factor.
    pub fn scale(self, factor: f64) -> Self {
        Self { si: self.si * factor, standard_uncertainty_si: self.standard_uncertainty_si * factor.abs() }
    }

    /// Half-width of the 95 % interval: twice the standard uncertainty (JCGM 100:2008, 6.2).
    pub fn plus_minus_si(self) -> f64 {
        2.0 * self.standard_uncertainty_si
    }
}

impl Add for Value {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let u = self.standard_uncertainty_si.hypot(other.standard_uncertainty_si);
        Self { si: self.si + other.si, standard_uncertainty_si: u }
    }
}

impl Sub for Value {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + other.scale(-1.0)
    }
}

impl Mul for Value {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let u = (other.si * self.standard_uncertainty_si).hypot(self.si * other.standard_uncertainty_si);
        Self { si: self.si * other.si, standard_uncertainty_si: u }
    }
}

impl Div for Value {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let si = self.si / other.si;
        let u = (self.standard_uncertainty_si / other.si).hypot(si * other.standard_uncertainty_si / other.si);
        Self { si, standard_uncertainty_si: u }
    }
}

/// Standard uncertainty of a result from the slopes ∂y/∂xᵢ at the inputs, the inputs' standard uncertainties, and the
/// correlation of each pair (`correlation(i, j)` for `i < j`, within −1 to 1; 0 for independent inputs):
///
/// u²(y) = Σᵢ Σⱼ (∂y/∂xᵢ)(∂y/∂xⱼ) u(xᵢ) u(xⱼ) r(xᵢ, xⱼ)
///
/// Units: those of the result. Source: JCGM 100:2008, 5.2.2, equation 16.
///
/// # Panics
/// When the two slices differ in length.
pub fn propagate(slopes: &[f64], uncertainties: &[f64], correlation: impl Fn(usize, usize) -> f64) -> f64 {
    assert_eq!(slopes.len(), uncertainties.len(), "one slope per input");
    let mut square = 0.0;
    for i in 0..slopes.len() {
        let own = slopes[i] * uncertainties[i];
        square += own * own;
        for j in i + 1..slopes.len() {
            square += 2.0 * own * slopes[j] * uncertainties[j] * correlation(i, j);
        }
    }
    square.max(0.0).sqrt()
}
