//! How likely what was seen is under each cause.

use super::{
    Cause, Finding, Observation, Outcome, Seen,
    predict::{Nudged, Predicted},
};
use crate::study::judge::APART;
use physics::interval::{normal_density, normal_share};
use std::f64::consts::PI;

/// Chance that a thing is seen otherwise than it should be \[1\]: one in twenty positive without a cause (common practice, no source).
pub const MISREAD: f64 = 0.05;
/// Chance that the throttle is felt or seen to come down with a slide or cable that sticks \[1\] (common practice, no source).
const SLIDE_COMES_DOWN: f64 = 0.92;
/// Chance that a mist changes the speed of an engine with a leak \[1\] (common practice, no source): small leaks and those that open hot hide.
const MIST_SHOWS: f64 = 0.80;
/// Chance that a little choke takes away a hang from a leak, from a weak pilot mixture, and from anything else \[1\] (common practice,
/// no source). Otherwise nothing happens or it dies, one as likely as the other (own choice).
const CHOKE_LEAK: f64 = 0.80;
const CHOKE_PILOT: f64 = 0.85;
const CHOKE_OTHER: f64 = 0.08;
/// Standard uncertainty of a computed hang speed as a share of it \[1\], for the published correlations behind the torque are good to
/// 10–20 % each. Half of what the idle study allows between a hang computed and one seen (this project's choice, no source).
const HANG_MODEL: f64 = 0.11;
/// From this much earlier with falling speed on [rad], weights are said to stick: within 2° in good order, more than 4° where they stick
/// (common practice, no source); the middle. The spread of such a reading [rad]: the same 2° as a 95 % half-width.
const STICKS_FROM: f64 = 3.0 * PI / 180.0;
const BOTH_WAYS_SPREAD: f64 = 1.0 * PI / 180.0;
/// Standard uncertainty of a computed change of speed by the plate, as a share of it [1]: it is a slope of the torque over another, each of which stands on
/// correlations that are good to 10–20 % (this project's choice, no source).
const NUDGE_MODEL: f64 = 0.2;
/// No idle speed repeats itself better than to this share, as a standard uncertainty [1] (common practice, no source): 1 % as a ±.
const REPEATS: f64 = 0.005;
/// ± with which a nudged speed will be read, as a share [1] (common practice, no source).
const WILL_BE_READ: f64 = 0.02;
/// Slower than this share of the idle nothing keeps turning [1] (own choice).
const STALLS: f64 = 0.5;
/// Equal parts of the range of ln speed into which a nudged speed is sorted that was not read yet (own choice): each a few hundredths wide where it matters.
const PARTS: usize = 64;
/// Width of the range in which a misread reading both ways may lie [rad] (own choice): the limits of the machine file.
const ANY_ANGLE: f64 = 60.0 * PI / 180.0;

/// Idle and top speed [rad/s]: where nothing is known, a hang lies between them.
#[derive(Clone, Copy, Debug)]
pub struct Range {
    /// Idle.
    pub from: f64,
    /// Top speed.
    pub to: f64,
}

/// Likelihood of one thing seen: a chance, or a density over the logarithm of speed or over the angle.
pub fn likelihood(range: Range, cause: Cause, p: &Predicted, observation: Observation, seen: Seen) -> f64 {
    match seen {
        Seen::Outcome(outcome) => {
            let place = observation.outcomes().iter().position(|o| *o == outcome);
            place.map_or(1.0, |i| chances(range, cause, p, observation)[i])
        }
        Seen::Value(value) if observation == Observation::HangSpeed => hang_density(range, cause, p, value),
        Seen::Value(value) => match observation {
            Observation::Nudge { turned_rad } => {
                p.nudge(turned_rad).map_or(1.0, |nudged| nudge_density(range, cause, nudged, value))
            }
            _ => {
                let spread = BOTH_WAYS_SPREAD.hypot(0.5 * value.plus_minus_si);
                or_anything(normal_density(value.si - p.falling_earlier_rad, spread), 1.0 / ANY_ANGLE)
            }
        },
    }
}

/// Density of the hang seen over ln speed.
fn hang_density(range: Range, cause: Cause, p: &Predicted, seen: Finding) -> f64 {
    let width = (range.to / (range.from * APART)).ln();
    let anywhere = if width > 0.0 { 1.0 / width } else { 1.0 };
    let Some(hang) = p.hang_rad_s.filter(|_| cause != Cause::NoneOfThese) else {
        // A cause that makes nothing hang explains a hang by misreading alone.
        return if cause == Cause::NoneOfThese { anywhere } else { MISREAD * anywhere };
    };
    let spread = HANG_MODEL.hypot(0.5 * seen.plus_minus_si / seen.si);
    or_anything(normal_density((seen.si / hang).ln(), spread), anywhere)
}

/// ln of a nudged speed over that before, and its standard uncertainty, read with a ± that is such a share of it; `None` where it dies. Both are read with one rev counter, whose own error falls out.
fn nudge_spread(nudged: &Nudged, plus_minus_share: f64) -> Option<(f64, f64)> {
    let to = nudged.to_rad_s?;
    let ln = (to / nudged.from_rad_s).ln();
    let model = NUDGE_MODEL * ln;
    Some((ln, model.hypot(REPEATS).hypot(0.5 * plus_minus_share)))
}

/// How often a nudged speed is any speed: something that is not listed shows in it, or does not, one as likely as the other (own choice).
fn anyhow(cause: Cause) -> f64 {
    if cause == Cause::NoneOfThese { 0.5 } else { MISREAD }
}

/// Density of the nudged speed seen over ln speed.
fn nudge_density(range: Range, cause: Cause, nudged: &Nudged, seen: Finding) -> f64 {
    let density = nudge_spread(nudged, seen.plus_minus_si / seen.si)
        .map_or(0.0, |(ln, spread)| normal_density((seen.si / range.from).ln() - ln, spread));
    let anything = 1.0 / (range.to / (STALLS * range.from)).ln();
    (1.0 - anyhow(cause)) * density + anyhow(cause) * anything
}

/// Chances of a nudged speed that was not read yet: that it dies, and that it lies in each of [`PARTS`] of the range.
fn nudge_chances(range: Range, cause: Cause, nudged: &Nudged) -> Vec<f64> {
    let (from, width) = (STALLS.ln(), (range.to / (STALLS * range.from)).ln() / PARTS as f64);
    let spread = nudge_spread(nudged, WILL_BE_READ);
    let below = |k: usize| match spread {
        None => 0.0,
        Some(_) if k == PARTS => 1.0,
        Some((ln, spread)) => normal_share((from + k as f64 * width - ln) / spread),
    };
    let any = anyhow(cause) / (PARTS + 1) as f64;
    let often = |chance: f64| (1.0 - anyhow(cause)) * chance + any;
    let dies = if spread.is_none() { 1.0 } else { below(0) };
    [often(dies)].into_iter().chain((0..PARTS).map(|k| often((below(k + 1) - below(k)).max(0.0)))).collect()
}

/// A density, or by misreading any value.
fn or_anything(density: f64, anything: f64) -> f64 {
    (1.0 - MISREAD) * density + MISREAD * anything
}

/// How many [`chances`] there are.
pub fn cells(observation: Observation) -> usize {
    if matches!(observation, Observation::Nudge { .. }) { PARTS + 1 } else { observation.outcomes().len() }
}

/// Chances of what can come of an observation: its [`Observation::outcomes`] in their order, or that it dies and parts of the range of speeds.
pub fn chances(range: Range, cause: Cause, p: &Predicted, observation: Observation) -> Vec<f64> {
    if let Observation::Nudge { turned_rad } = observation {
        return p.nudge(turned_rad).map_or_else(Vec::new, |nudged| nudge_chances(range, cause, nudged));
    }
    let outcomes = observation.outcomes();
    // A worn spindle, a seal, a fuel level show in any of them, or do not; nothing but weights moves the spark both ways.
    if cause == Cause::NoneOfThese && observation != Observation::RisingFalling {
        return vec![1.0 / outcomes.len() as f64; outcomes.len()];
    }
    let either = |second: f64| vec![1.0 - second, second];
    let read = |second: bool| either(if second { 1.0 - MISREAD } else { MISREAD });
    match observation {
        Observation::HangSpeed | Observation::Nudge { .. } => Vec::new(),
        Observation::Clutch => read(!p.stays_down),
        Observation::Snap => either(if cause == Cause::StickingSlide { SLIDE_COMES_DOWN } else { MISREAD }),
        Observation::Mist => either(if cause == Cause::AirLeak { MIST_SHOWS } else { MISREAD }),
        Observation::RisingFalling => read(p.falling_earlier_rad > STICKS_FROM),
        Observation::Choke => {
            let goes = match cause {
                Cause::AirLeak => CHOKE_LEAK,
                Cause::WeakPilot => CHOKE_PILOT,
                _ => CHOKE_OTHER,
            };
            let rest = 0.5 * (1.0 - goes);
            debug_assert_eq!(outcomes[1], Outcome::ComesDown);
            vec![rest, goes, rest]
        }
    }
}
