//! What explains the hang, as JSON.

use super::{deg, mm2, rpm};
use serde::Serialize;
use workshop::study::alike::{self, Cause, Expected, Explains, Observation, Outcome, Seen, Size};

/// Causes of the hang, weighed.
#[derive(Debug, Serialize)]
pub struct Alike {
    explains: Verdict,
    causes: Vec<Weighed>,
    /// In the order of each cause's `expected`.
    seen: Vec<Observed>,
    next: Vec<Next>,
    left_out_share: f64,
    mixture_unknown: bool,
}

#[derive(Debug, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub(super) enum Verdict {
    Curve,
    First { cause: &'static str },
    Elsewhere,
    ReadingsDisagree,
    CannotTell { do_this: Option<&'static str> },
}

#[derive(Debug, Serialize)]
struct Weighed {
    cause: &'static str,
    share: f64,
    size: Option<Sized>,
    expected: Vec<Came>,
}

/// One of them is there.
#[derive(Debug, Default, Serialize)]
struct Sized {
    leak_mm2: Option<super::Number>,
    equivalence_ratio: Option<super::Number>,
    opening_over_stop: Option<super::Number>,
    play_deg: Option<super::Number>,
}

#[derive(Debug, Serialize)]
struct Observed {
    observation: &'static str,
    /// Of a nudge.
    turned_deg: Option<f64>,
    seen: Option<Came>,
}

/// An outcome and its chance, or a number; nothing where nothing is to be expected.
#[derive(Debug, Default, Serialize)]
struct Came {
    outcome: Option<&'static str>,
    chance_share: Option<f64>,
    speed_rpm: Option<super::Number>,
    angle_deg: Option<super::Number>,
}

#[derive(Debug, Serialize)]
struct Next {
    observation: &'static str,
    turned_deg: Option<f64>,
    minutes: f64,
    /// Doubt that it is expected to remove.
    bits: f64,
}

impl Alike {
    /// From the study.
    pub fn of(study: &alike::Alike) -> Self {
        let observed = |(o, s): &(Observation, Option<Seen>)| Observed {
            observation: observation(*o),
            turned_deg: turned_deg(*o),
            seen: s.map(|s| match s {
                Seen::Outcome(out) => Came { outcome: Some(outcome(out)), ..Came::default() },
                Seen::Value(f) => value(*o, f),
            }),
        };
        Self {
            explains: verdict(study.explains),
            causes: study.causes.iter().map(|w| weighed(w, &study.seen)).collect(),
            seen: study.seen.iter().map(observed).collect(),
            next: study
                .next
                .iter()
                .map(|n| Next {
                    observation: observation(n.observation),
                    turned_deg: turned_deg(n.observation),
                    minutes: n.observation.minutes(),
                    bits: n.bits,
                })
                .collect(),
            left_out_share: study.left_out,
            mixture_unknown: study.mixture_unknown,
        }
    }
}

fn weighed(w: &alike::Weighed, seen: &[(Observation, Option<Seen>)]) -> Weighed {
    let one = |x: f64| x;
    Weighed {
        cause: cause(w.cause),
        share: w.share,
        size: w.size.map(|size| match size {
            Size::Leak(f) => Sized { leak_mm2: Some(super::number(f, mm2)), ..Sized::default() },
            Size::Mixture(f) => Sized { equivalence_ratio: Some(super::number(f, one)), ..Sized::default() },
            Size::Opening(f) => Sized { opening_over_stop: Some(super::number(f, one)), ..Sized::default() },
            Size::Play(f) => Sized { play_deg: Some(super::number(f, deg)), ..Sized::default() },
        }),
        expected: w
            .expected
            .iter()
            .zip(seen)
            .map(|(e, (o, _))| match *e {
                Expected::Nothing => Came::default(),
                Expected::NoHang => Came { outcome: Some("no_hang"), ..Came::default() },
                Expected::Outcome(out, chance) => {
                    Came { outcome: Some(outcome(out)), chance_share: Some(chance), ..Came::default() }
                }
                Expected::Value(f) => value(*o, f),
            })
            .collect(),
    }
}

fn value(of: Observation, f: workshop::study::Finding) -> Came {
    match of {
        Observation::RisingFalling => Came { angle_deg: Some(super::number(f, deg)), ..Came::default() },
        _ => Came { speed_rpm: Some(super::number(f, rpm)), ..Came::default() },
    }
}

/// The verdict's code and what goes with it.
pub(super) fn verdict(explains: Explains) -> Verdict {
    match explains {
        Explains::Curve => Verdict::Curve,
        Explains::First(fault) => Verdict::First { cause: cause(fault) },
        Explains::Elsewhere => Verdict::Elsewhere,
        Explains::ReadingsDisagree => Verdict::ReadingsDisagree,
        Explains::CannotTell { do_this } => Verdict::CannotTell { do_this: do_this.map(observation) },
    }
}

fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::Curve => "curve",
        Cause::AirLeak => "air_leak",
        Cause::WeakPilot => "weak_pilot",
        Cause::StickingSlide => "sticking_slide",
        Cause::StickingWeights => "sticking_weights",
        Cause::NoneOfThese => "none_of_these",
    }
}

fn observation(observation: Observation) -> &'static str {
    match observation {
        Observation::HangSpeed => "hangs_at",
        Observation::Clutch => "clutch_pulls_down",
        Observation::Snap => "snap",
        Observation::Choke => "choke",
        Observation::Mist => "mist",
        Observation::RisingFalling => "falling_earlier",
        Observation::Nudge { .. } => "nudge",
    }
}

fn turned_deg(observation: Observation) -> Option<f64> {
    match observation {
        Observation::Nudge { turned_rad } => Some(deg(turned_rad)),
        _ => None,
    }
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::StaysDown => "stays_down",
        Outcome::ClimbsAgain => "climbs_again",
        Outcome::ComesDown => "comes_down",
        Outcome::Dies => "dies",
        Outcome::NoChange => "no_change",
        Outcome::SpeedChanges => "speed_changes",
        Outcome::Same => "same",
        Outcome::Earlier => "earlier",
    }
}
