//! How much one turn of the throttle's stop screw opens.

use super::{Unknown, unknowns::Prior};
use crate::{machine::Machine, study::engine::OPEN_DISCHARGE};
use physics::root::bracketed;

/// Rise of a slide for one turn of its screw where it is not in the file [m], and by what factor that may be off in one standard deviation
/// \[1\]: half a millimetre, from half to twice that (common practice, no source).
const USUAL_LIFT_M: f64 = 0.5e-3;
const USUAL_FACTOR: f64 = 2.0;
/// The same factor \[1\] where it is: a cutaway and a worn slide make the opening another than a flat slide's (common practice, no source).
const MEASURED_FACTOR: f64 = 1.25;
/// Height of a slide over its bore is found to this share of the bore \[1\] (own choice).
const HEIGHT: f64 = 1e-9;

/// The opening for one turn, per throttle, before any reading: a flat slide that rises in a round bore, at the height that leaves the
/// opening at the stop, A = C (R² acos(1 − h/R) − (R − h) √(2 R h − h²)), so dA/dh = 2 C √(2 R h − h²) (a segment of a circle; geometry).
pub fn prior(machine: &Machine, opening_m2: f64) -> Prior {
    let bore_m = machine.engine.inlet.as_ref().map_or(f64::NAN, |inlet| inlet.throttle_bore.si);
    let (lift_m, deviation) = lift(machine);
    let value = OPEN_DISCHARGE * width_m(bore_m, opening_m2 / OPEN_DISCHARGE) * lift_m;
    Prior { unknown: Unknown::OpeningPerTurn, value, deviation, by_factor: true }
}

/// Rise of the slide for one turn [m], and the standard uncertainty of the logarithm of what that opens \[1\].
pub fn lift(machine: &Machine) -> (f64, f64) {
    let lift = machine.idle.as_ref().and_then(|idle| idle.screw_lift.as_ref());
    lift.map_or((USUAL_LIFT_M, USUAL_FACTOR.ln()), |r| (r.si, MEASURED_FACTOR.ln().hypot(r.standard_uncertainty_si() / r.si)))
}

/// Width [m] of the slit that a flat slide leaves in a round bore [m] when its area is `area_m2`; the bore's own width from half open on.
fn width_m(bore_m: f64, area_m2: f64) -> f64 {
    let r = 0.5 * bore_m;
    let chord = |h: f64| 2.0 * (2.0 * r * h - h * h).max(0.0).sqrt();
    let area = |h: f64| r * r * (1.0 - h / r).acos() - 0.5 * (r - h) * chord(h);
    bracketed(|h| area(h) - area_m2, 0.0, r, HEIGHT * r).map_or(bore_m, chord)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Heights are found to `HEIGHT`; a few roundings more.
    const NEAR: f64 = 1e-7;

    #[test]
    fn the_slit_is_a_segment_of_a_circle() {
        // By hand: at half the radius the segment is R² (π/3 − √3/4) and its chord √3 R.
        let (bore, r) = (0.026, 0.013);
        let width = width_m(bore, r * r * (PI / 3.0 - 3f64.sqrt() / 4.0));
        assert!((width / (3f64.sqrt() * r) - 1.0).abs() < NEAR, "{width}");
        assert_eq!(width_m(bore, 0.9 * PI * r * r), bore, "more than half open");
    }
}
