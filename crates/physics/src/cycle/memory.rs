//! What a cylinder remembers of its cycle.

use crate::lanes::Lanes;

/// What one cylinder remembers from the last inlet closing and spark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Memory<V> {
    /// Burned mass fraction of the unburned charge.
    pub residual: V,
    /// Factor of dilution on the flame's speed.
    pub dilution: V,
    /// ln R ρ [ln(J/(m³·K))], ρ the density that the charge trapped at inlet closing has in the clearance volume.
    pub ln_top: V,
    /// Pressure at inlet closing [Pa].
    pub pressure: V,
    /// Woschni's burning factor times V_d T_r/(p_r V_r) [m/(s·Pa)].
    pub burning: V,
    /// Since inlet closing.
    pub now: Firing<V>,
    /// The last that is over: while one cylinder ends its cycle, another may be on its way to its peak.
    pub last: Firing<V>,
}

/// What a firing comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Firing<V> {
    /// Highest pressure [Pa] and where [rad after firing top dead centre].
    pub peak: V,
    pub peak_at: V,
    /// Where half the charge had burned [rad after firing top dead centre]; not a number until then.
    pub half_at: V,
    /// Share of the charge that the flame burned before the inlet opened.
    pub burned: V,
}

impl<V: Lanes> Firing<V> {
    pub fn new() -> Self {
        let zero = V::splat(0.0);
        Self { peak: zero, peak_at: zero, half_at: V::splat(f64::NAN), burned: zero }
    }
}
