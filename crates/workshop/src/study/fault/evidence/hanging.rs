//! What was seen of a hang beside what the computed engine does with each fault in it.

use super::{Of, Signature};
use crate::study::{
    alike::{Alike, Cause, Explains},
    fault::data::Faults,
    idle::IdleStudy,
    warning::Warning,
};

/// Tests by which each of the causes shows while it hangs.
const SHOWN_BY: [&str; 4] = ["rest-speeds", "enrich", "throttle-snap", "strobe-updown"];

/// The causes that something in the model stands for. Air past a worn spindle comes in behind the throttle as through a leaking joint, and does the same.
fn causes_of(cause: Cause) -> &'static [&'static str] {
    match cause {
        Cause::Curve => &["curve-steep"],
        Cause::AirLeak => &["air-leak", "spindle-worn"],
        Cause::WeakPilot => &["pilot-weak"],
        Cause::StickingSlide => &["slide-cable"],
        Cause::StickingWeights => &["weights-stick"],
        Cause::NoneOfThese => &[],
    }
}

/// Whether what is computed of the idle may be acted on: not where what was read on the throttle stop does not go together with this engine, unless a fault explains that.
pub(super) fn holds(idle: &IdleStudy, alike: Option<&Alike>) -> bool {
    let explained = alike.is_some_and(|a| matches!(a.explains, Explains::First(_)));
    explained || idle.calibration.as_ref().map_or(!idle.warnings.contains(&Warning::NotCalibrated), |c| c.holds())
}

/// The hang's speed, the clutch and the nudges. Snap, choke, mist and the strobe both ways answer tests of their own and are not in it (`study::alike`).
pub(super) fn signature(faults: &Faults, found: &Alike) -> Option<Signature> {
    let given = &found.given;
    let sound = given.causes.iter().find(|(c, _)| *c == Cause::NoneOfThese)?.1;
    let named = given.causes.iter().flat_map(|(cause, l)| causes_of(*cause).iter().map(move |id| (*id, *l)));
    Some(Signature::of_shown(faults, &SHOWN_BY, named, sound, (given.readings, Of::Alike)))
}
