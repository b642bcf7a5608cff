//! The high-tension coil, and what hangs on it.

use crate::copper::ratio;

/// Two windings on one core, without iron losses or saturation.
///
/// `v₁ = R₁ i₁ + L₁ i₁' + M i₂'`, `v₂ = R₂ i₂ + M i₁' + L₂ i₂'`, `L₂ = n² L₁`, `M = k √(L₁ L₂)`, the winding's own capacitance across the secondary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// R₁ [Ω].
    pub primary_ohm: f64,
    /// L₁ [H].
    pub primary_h: f64,
    /// Turns of the secondary over those of the primary, n [1].
    pub turns: f64,
    /// k [1], below one.
    pub coupling: f64,
    /// R₂ [Ω].
    pub secondary_ohm: f64,
    /// Capacitance of the secondary winding against earth [F].
    pub winding_f: f64,
}

/// What hangs on a coil's high-tension end: lead, cap and lead as one resistance, and the plug.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Capacitance of the lead [F].
    pub lead_f: f64,
    /// Resistance of lead, cap and plug in line [Ω]; nought for none.
    pub series_ohm: f64,
    /// Capacitance of the plug [F].
    pub plug_f: f64,
    /// Conductance of soot and damp across the insulator [S]; nought for a clean plug.
    pub shunt_s: f64,
}

impl Coil {
    /// L₂ [H].
    pub fn secondary_h(&self) -> f64 {
        self.turns * self.turns * self.primary_h
    }

    /// M [H].
    pub fn mutual_h(&self) -> f64 {
        self.coupling * self.turns * self.primary_h
    }

    /// The same coil warmed from one temperature [K] to another.
    pub fn warmed(self, from_k: f64, to_k: f64) -> Self {
        let more = ratio(from_k, to_k);
        Self { primary_ohm: more * self.primary_ohm, secondary_ohm: more * self.secondary_ohm, ..self }
    }
}
