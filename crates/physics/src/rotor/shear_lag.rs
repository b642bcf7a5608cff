//! Shear in a thin bond between two parts that stretch by different amounts.

/// A bonded layer of length L between two flat parts, per unit of width.
///
/// The parts stretch, the layer only shears, and nothing bends:
/// `τ'' = ω² τ` with `ω² = (G/h) (1/(E₁t₁) + 1/(E₂t₂))`, `N₁' = −τ`, `N₂' = +τ`.
///
/// Validity: linear, thin layer, both parts free to stay flat. Ends of a real joint carry a little less than this, since a fillet and the layer's
/// yielding spread the peak. Peel across the layer is not in it.
///
/// Sources: Volkersen, *Luftfahrtforschung* 15 (1938) 41–47; for heat Chen and Nelson, *IBM J. Res. Dev.* 23 (1979) 179–188
/// (both from memory; the equation is solved a second time by SciPy in `reference/rotor`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Length along which it is looked at, L [m].
    pub length_m: f64,
    /// Thickness of the layer, h [m].
    pub layer_m: f64,
    /// Shear modulus of the layer, G [Pa].
    pub shear_modulus_pa: f64,
    /// First part.
    pub first: Part,
    /// Second part.
    pub second: Part,
}

/// One of the bonded parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Thickness [m].
    pub thickness_m: f64,
    /// Young's modulus [Pa].
    pub young_pa: f64,
    /// Thermal expansion [1/K].
    pub expansion_per_k: f64,
}

/// What strains the joint.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Strained {
    /// Force per width [N/m] that enters the first part at `x = −L/2` and leaves by the second at `x = +L/2`.
    pub force_n_m: f64,
    /// Temperature above that at which the layer set without stress [K].
    pub warmer_k: f64,
}

impl Joint {
    /// Decay of the shear from an end, ω [1/m].
    pub fn decay_per_m(&self) -> f64 {
        let soft = 1.0 / self.first.stiffness() + 1.0 / self.second.stiffness();
        (self.shear_modulus_pa / self.layer_m * soft).sqrt()
    }

    /// Shear in the layer [Pa] at `x` from the middle, positive where the layer pushes the first part towards smaller N₁ with growing x.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::shear_lag::{Joint, Part, Strained};
    /// let steel = Part { thickness_m: 4e-3, young_pa: 210e9, expansion_per_k: 12e-6 };
    /// let joint = Joint { length_m: 0.03, layer_m: 0.1e-3, shear_modulus_pa: 1e9, first: steel, second: steel };
    /// // Alike parts that get warm together strain nothing.
    /// assert_eq!(joint.shear_pa(0.015, Strained { force_n_m: 0.0, warmer_k: 80.0 }), 0.0);
    /// ```
    pub fn shear_pa(&self, x_m: f64, by: Strained) -> f64 {
        let w = self.decay_per_m();
        let stiff = self.shear_modulus_pa / self.layer_m;
        // Slopes τ' = (G/h)(ε₂ − ε₁) at the two ends.
        let free = (self.second.expansion_per_k - self.first.expansion_per_k) * by.warmer_k;
        let at_start = stiff * (free - by.force_n_m / self.first.stiffness());
        let at_end = stiff * (free + by.force_n_m / self.second.stiffness());
        let half = 0.5 * w * self.length_m;
        let (odd, even) = ((at_end + at_start) / (2.0 * w), (at_end - at_start) / (2.0 * w));
        odd * over_cosh(w * x_m, half) + even * over_sinh(w * x_m, half)
    }

    /// Greatest shear in the layer [Pa]; it stands at an end.
    pub fn peak_pa(&self, by: Strained) -> f64 {
        let half = 0.5 * self.length_m;
        self.shear_pa(half, by).abs().max(self.shear_pa(-half, by).abs())
    }
}

impl Part {
    /// Stretch stiffness per width [N/m].
    fn stiffness(&self) -> f64 {
        self.thickness_m * self.young_pa
    }
}

/// `sinh a / cosh b` for |a| ≤ b, without overflow.
fn over_cosh(a: f64, b: f64) -> f64 {
    ((a - b).exp() - (-a - b).exp()) / (1.0 + (-2.0 * b).exp())
}

/// `cosh a / sinh b` for |a| ≤ b, without overflow.
fn over_sinh(a: f64, b: f64) -> f64 {
    ((a - b).exp() + (-a - b).exp()) / -(-2.0 * b).exp_m1()
}

/// The lap joint in which an adhesive's shear strength is measured and printed as a mean, per ISO 4587: 12.5 mm of overlap, sheets of 1.6 mm, here of aluminium
/// (sizes from memory). Its own peak stands over that mean by [`Joint::peak_over_mean`], so another joint's peak divided by the same is compared like with like.
pub fn coupon(layer_m: f64, shear_modulus_pa: f64) -> Joint {
    let sheet = Part { thickness_m: 1.6e-3, young_pa: 70e9, expansion_per_k: 23e-6 };
    Joint { length_m: 12.5e-3, layer_m, shear_modulus_pa, first: sheet, second: sheet }
}

impl Joint {
    /// Greatest over mean shear of a lap joint that is pulled [1]. For alike parts `(ωL/2) coth(ωL/2)` (Volkersen 1938).
    pub fn peak_over_mean(&self) -> f64 {
        self.peak_pa(Strained { force_n_m: self.length_m, warmer_k: 0.0 })
    }
}
