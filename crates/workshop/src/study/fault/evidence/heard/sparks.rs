//! How steadily and how often the spark comes.

use super::{Of, Signature};
use crate::study::{
    fault::data::Faults,
    recording::{HowOften, Recorded},
};
use physics::interval::normal_density;
use std::f64::consts::PI;

/// Firings that a sound ignition loses or doubles, and those that an ailing one does, as the second parameter of a Beta distribution whose first is one
/// \[1\] (own choice): one in a thousand, one in ten.
pub(super) const SOUND_ONE_IN: f64 = 999.0;
/// See [`SOUND_ONE_IN`] \[1\] (own choice).
pub(super) const AILING_ONE_IN: f64 = 9.0;
/// What a recording shows of a cause that comes and goes, beside a test for it \[1\] (common practice, no source: as of a test that does not bring the complaint
/// about).
const CAUGHT: f64 = 0.35;
/// Scatter of the spark from firing to firing, sound and ailing, as half-normal spreads [rad] (own choice: half a degree and three).
const STEADY_SD: f64 = 0.5 * PI / 180.0;
const WANDERS_SD: f64 = 3.0 * PI / 180.0;

/// How steadily the spark follows its mark.
pub(super) fn scatter(faults: &Faults, r: &Recorded, by_pickup: bool) -> Option<Signature> {
    let heard = r.places.iter().filter(|p| p.rhythm != HowOften::NotHeard && p.fired >= 8);
    let worst = heard.max_by(|a, b| a.jitter_rad.total_cmp(&b.jitter_rad))?;
    let half_normal = |sd: f64| 2.0 * normal_density(worst.jitter_rad, sd);
    let (steady, wanders) = (half_normal(STEADY_SD), half_normal(WANDERS_SD));
    // Whatever moves the pickup or its rotor moves the clock along.
    const BY_PICKUP: [&str; 4] = ["noise-trigger", "pickup-gap-wide", "points-dirty", "connector"];
    const BY_MARK: [&str; 6] = ["points-shaft", "cam-drive-slack", "advance-worn", "pickup-loose", "rotor-loose", "rotor-runout"];
    let all = BY_PICKUP.iter().chain(BY_MARK.iter().filter(|_| !by_pickup));
    Some(Signature::of_shown(faults, &["strobe-steady"], all.map(|id| (*id, wanders)), steady, (worst.fired, Of::Scatter)))
}

/// Firings that are missing, and firings with a second spark that is not the unit's way.
pub(super) fn lost_and_doubled(faults: &Faults, r: &Recorded) -> Vec<Signature> {
    const LOSES: [&str; 12] = [
        "cdi-dead",
        "cdi-hot",
        "pickup-dead",
        "pickup-hot",
        "pickup-gap-wide",
        "source-weak",
        "source-hot",
        "kill-leak",
        "connector",
        "feed-drop",
        "bad-earth",
        "points-dirty",
    ];
    const DOUBLES: [&str; 2] = ["noise-trigger", "points-dirty"];
    let heard = || r.places.iter().filter(|p| p.rhythm != HowOften::NotHeard);
    let due: usize = heard().map(|p| p.due).sum();
    let missing: usize = heard().map(|p| p.due.saturating_sub(p.fired)).sum();
    let fired: usize = heard().map(|p| p.fired).sum();
    let doubled: usize = heard().filter(|p| !p.several_by_design).map(|p| p.repeated).sum::<usize>() + r.paired.stray;
    let mut out = Vec::new();
    let mut one = |events: usize, of: usize, names: &[&'static str], tests: &[&str], what: Of| {
        if of > 0 {
            let log = |one_in: f64| log_events(events.min(of), of, one_in);
            let (sound, ailing) = (log(SOUND_ONE_IN), log(AILING_ONE_IN));
            let top = sound.max(ailing);
            let (sound, ailing) = ((sound - top).exp(), (ailing - top).exp());
            // It comes and goes: mostly it was not there while it was recorded.
            let ailing = CAUGHT * ailing + (1.0 - CAUGHT) * sound;
            out.push(Signature::of_shown(faults, tests, names.iter().map(|id| (*id, ailing)), sound, (of, what)));
        }
    };
    one(missing, due, &LOSES, &["spark-gap", "hot-spark", "module-peak"], Of::Missing);
    one(doubled, fired, &DOUBLES, &["noise-screen", "strobe-steady", "points-check"], Of::Doubled);
    out
}

/// Logarithm of the chance of so many events in so many firings where their rate has the Beta distribution (1, b), the beta-binomial distribution:
/// b/(b + n) ∏ (n − k)/(b + n − 1 − k), k from nought to the number of events less one.
///
/// ```
/// use workshop::study::fault::heard::log_events;
/// // With b = 1 every number from none to all is as likely.
/// assert!((log_events(3, 9, 1.0).exp() - 0.1).abs() < 1e-12);
/// ```
pub fn log_events(events: usize, of: usize, b: f64) -> f64 {
    let n = of as f64;
    (0..events).map(|k| ((n - k as f64) / (b + n - 1.0 - k as f64)).ln()).sum::<f64>() + (b / (b + n)).ln()
}
