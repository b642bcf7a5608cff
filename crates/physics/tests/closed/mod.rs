//! The few charging circuits that have a formula. EMF e = E sin θ behind R and X = ωL, against volts that do not change: battery and the drops of conducting valves.

use physics::root::bracketed;
use std::f64::consts::{FRAC_2_PI, PI, TAU};

/// How near an angle is found [rad] (own choice).
const NEAR_RAD: f64 = 1e-13;

/// A source: peak EMF [V], resistance and reactance [Ω].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Peak EMF [V].
    pub peak_v: f64,
    /// Resistance [Ω], above nought.
    pub resistance_ohm: f64,
    /// Reactance [Ω], above nought.
    pub reactance_ohm: f64,
}

/// Current that begins when the EMF passes the volts `against_v` [V], and where it ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// Where it begins [rad].
    pub from_rad: f64,
    /// Where it ends [rad].
    pub to_rad: f64,
    /// Its mean over a whole period [A].
    pub mean_a: f64,
}

/// One pulse of a half-wave rectifier; `None` where the EMF does not reach the volts.
///
/// i(θ) = (E/Z)[sin(θ−φ) − sin(θ₁−φ) e^(−(θ−θ₁)R/X)] − (V/R)[1 − e^(−(θ−θ₁)R/X)], sin θ₁ = V/E; it ends at θ₂ with i(θ₂) = 0. Over a pulse the inductance
/// takes nothing, so the mean is [E(cos θ₁ − cos θ₂) − V(θ₂−θ₁)]/(2πR).
///
/// Validity: V above nought, so that each pulse ends before the next begins.
///
/// Source: Mohan, Undeland and Robbins, Power Electronics, 2nd edition 1995, section 5-2 (from memory; derived again here).
pub fn pulse(source: Source, against_v: f64) -> Option<Pulse> {
    let Source { peak_v, resistance_ohm: r, reactance_ohm: x } = source;
    if !(against_v > 0.0 && peak_v > against_v && r > 0.0 && x > 0.0) {
        return None;
    }
    let (z, phi) = (r.hypot(x), x.atan2(r));
    let from = (against_v / peak_v).asin();
    let current = |at: f64| {
        let left = (-(at - from) * r / x).exp();
        peak_v / z * ((at - phi).sin() - (from - phi).sin() * left) - against_v / r * (1.0 - left)
    };
    let to = bracketed(current, PI - from, from + TAU, NEAR_RAD).ok()?;
    let mean_a = (peak_v * (from.cos() - to.cos()) - against_v * (to - from)) / (TAU * r);
    Some(Pulse { from_rad: from, to_rad: to, mean_a })
}

/// Mean current of a single-phase bridge [A], whether its current rests between pulses or not.
///
/// With rests: two pulses. Without: the current changes sign at α, sin(α−φ) = −(VZ/(RE)) tanh(πR/2X), and the mean is (2E cos α/π − V)/R.
///
/// Source: as [`pulse`]; the part without rests is derived here from i(α) = i(α+π) = 0.
pub fn bridge_mean(source: Source, against_v: f64) -> f64 {
    let Source { peak_v, resistance_ohm: r, reactance_ohm: x } = source;
    let Some(pulse) = pulse(source, against_v) else { return 0.0 };
    if pulse.to_rad <= pulse.from_rad + PI {
        return 2.0 * pulse.mean_a;
    }
    let (z, phi) = (r.hypot(x), x.atan2(r));
    let alpha = phi - (against_v * z / (r * peak_v) * (PI * r / (2.0 * x)).tanh()).asin();
    (FRAC_2_PI * peak_v * alpha.cos() - against_v) / r
}

/// Mean current of a three-phase bridge [A] by its first harmonic; `source` is one phase of the star.
///
/// The volts of a phase are taken as their first harmonic, (2/π)V in phase with the current, so that E² = ((2/π)V + RI)² + (XI)² and the mean is (3/π)I.
///
/// Validity: current without rests, well above the speed at which charging begins; near it the formula is up to a quarter high.
///
/// Source: Caliskan, Perreault, Jahns and Kassakian, "Analysis of three-phase rectifiers with constant-voltage loads", IEEE Transactions on Circuits and
/// Systems I 50 (2003) 1220–1226 (from memory, with R added).
pub fn three_phase_first_harmonic(source: Source, against_v: f64) -> f64 {
    let Source { peak_v, resistance_ohm: r, reactance_ohm: x } = source;
    let v = FRAC_2_PI * against_v;
    let square = r * r + x * x;
    let root = peak_v * peak_v * square - v * v * x * x;
    if root < 0.0 {
        return 0.0;
    }
    (3.0 / PI * (root.sqrt() - v * r) / square).max(0.0)
}

/// Mean current that a bridge into a short circuit nears as the speed grows [A]: the magnets' flux linkage over the inductance, times 3/π (three phases) or 2/π (one).
pub fn short_circuit_limit(three_phases: bool, linkage_vs: f64, inductance_h: f64) -> f64 {
    (if three_phases { 3.0 / PI } else { FRAC_2_PI }) * linkage_vs / inductance_h
}
