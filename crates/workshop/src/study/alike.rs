//! What else makes an engine hang, and what tells it from the curve.
//!
//! A hang is a second speed at which the engine rests on one throttle stop. Besides the curve, four faults that can be put right without
//! cutting anything do that. Each has a size that nobody knows:
//!
//! | cause | what it does in the model | its size | how far |
//! | --- | --- | --- | --- |
//! | curve | nothing is wrong but the curve | – | – |
//! | air leak | a part of the air that holds the idle comes in behind the throttle and carries no fuel: mixture weaker by that part. The stop has been shut to make up for it | leak [m²] | until the mixture is as weak as the flame-speed correlation was published for |
//! | weak pilot | mixture weaker at the stop, all air through the throttle | equivalence ratio \[1\] | the same |
//! | sticking slide | after a blip the opening stays greater than the stop, whatever the clutch does | opening over stop \[1\] | 1.05 to 3 |
//! | sticking weights | with falling speed the advance stays above that with rising speed | play [rad] | the whole range of the weights |
//!
//! Both throttle and leak draw from the same air into the same vacuum, so at any speed on one stop their flows keep the ratio of their
//! areas, and with it the mixture: leak and weak pilot rest at the same speeds. What tells them apart is the mist at the joints. The
//! weaker mixture burns slower (Metghalchi & Keck, `physics::flame`), which is what lets a curve hang that did not before.
//!
//! Each cause, at each size and for a row of engines drawn within every ±, is asked of the torque surface: after a blip, where does it
//! settle (`predict`)? Pulled down by the clutch and let go, does it stay? What the surface knows nothing of (choke, mist, snap of the
//! throttle) stands in a table of the trade (`evidence`). Then the share of a cause is Bayes' rule with the integral of likelihood over
//! its size (`weigh`), every cause being given the same share at first: equal, no source.
//!
//! Not covered: two causes at once; waves, wall wetting and the carburettor's own response to speed. A two-stroke has no surface.

mod draw;
mod evidence;
mod predict;
mod weigh;

use super::{
    Finding, NotStudied,
    cases::Engines,
    curve::{CurveStudy, LawKind},
    model::EngineModel,
    unknowns::Unknowns,
};
use crate::machine::{ChokeSeen, IdleSeen, LawData, Machine};
use evidence::chances;
use predict::{Predicted, Sizes};
use rayon::prelude::*;
use weigh::Weights;

pub use weigh::{EXPLAINS, expected_information, shares};

/// What may make an engine hang.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The advance curve.
    Curve,
    /// Air drawn in behind the throttle.
    AirLeak,
    /// Weak mixture on the pilot circuit.
    WeakPilot,
    /// Slide or cable that sticks open after a blip.
    StickingSlide,
    /// Bob weights that stick out with falling speed.
    StickingWeights,
    /// Something else.
    NoneOfThese,
}

impl Cause {
    /// All, the curve first.
    pub const ALL: [Cause; 6] =
        [Cause::Curve, Cause::AirLeak, Cause::WeakPilot, Cause::StickingSlide, Cause::StickingWeights, Cause::NoneOfThese];
}

/// What a mechanic can try or see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Observation {
    /// The speed at which it hangs.
    HangSpeed,
    /// Pulled down by the clutch and let go.
    Clutch,
    /// Throttle snapped shut or slide knocked down while it hangs.
    Snap,
    /// A little choke while it hangs.
    Choke,
    /// Joints behind the throttle misted.
    Mist,
    /// Strobe at one speed, rising and falling.
    RisingFalling,
}

impl Observation {
    /// Those that may still be made once a hang has been seen, quickest first.
    pub const TRIED: [Observation; 5] =
        [Observation::Clutch, Observation::Choke, Observation::Snap, Observation::Mist, Observation::RisingFalling];

    /// Minutes that it takes (common practice, no source).
    pub const fn minutes(self) -> f64 {
        match self {
            Observation::HangSpeed => 2.0,
            Observation::Clutch => 2.0,
            Observation::Choke => 3.0,
            Observation::Snap => 4.0,
            Observation::Mist => 10.0,
            Observation::RisingFalling => 14.0,
        }
    }

    /// What can come of it, where that is no number.
    pub const fn outcomes(self) -> &'static [Outcome] {
        match self {
            Observation::HangSpeed => &[],
            Observation::Clutch => &[Outcome::StaysDown, Outcome::ClimbsAgain],
            Observation::Snap => &[Outcome::NoChange, Outcome::ComesDown],
            Observation::Choke => &[Outcome::NoChange, Outcome::ComesDown, Outcome::Dies],
            Observation::Mist => &[Outcome::NoChange, Outcome::SpeedChanges],
            Observation::RisingFalling => &[Outcome::Same, Outcome::Earlier],
        }
    }
}

/// What came of an observation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It stays down.
    StaysDown,
    /// It climbs again by itself.
    ClimbsAgain,
    /// The hang goes.
    ComesDown,
    /// The engine dies.
    Dies,
    /// Nothing to speak of.
    NoChange,
    /// The speed changes.
    SpeedChanges,
    /// The same advance both ways.
    Same,
    /// Earlier with falling speed.
    Earlier,
}

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// One of [`Observation::outcomes`].
    Outcome(Outcome),
    /// A number: speed [rad/s] or angle [rad].
    Value(Finding),
}

/// What a cause lets expect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Expected {
    /// The likeliest outcome and how likely it is \[1\].
    Outcome(Outcome, f64),
    /// A number and its spread: speed [rad/s] or angle [rad].
    Value(Finding),
    /// It does not hang at all.
    NoHang,
    /// Nothing: every outcome is as likely.
    Nothing,
}

/// The size that a fault would have, all that was seen taken together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Area of a leak [m²].
    Leak(Finding),
    /// Equivalence ratio on the stop \[1\].
    Mixture(Finding),
    /// Opening after a blip over that of the stop \[1\].
    Opening(Finding),
    /// Play of the weights [rad crank].
    Play(Finding),
}

/// One cause, weighed.
#[derive(Clone, Debug)]
pub struct Weighed {
    /// Which.
    pub cause: Cause,
    /// Its share \[1\]; all of them together make 1.
    pub share: f64,
    /// Size of the fault, where it has one.
    pub size: Option<Size>,
    /// What it lets expect of each observation, in the order of [`Alike::seen`].
    pub expected: Vec<Expected>,
}

/// An observation that was not made yet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Next {
    /// Which.
    pub observation: Observation,
    /// Doubt about the cause that it is expected to remove [bit].
    pub bits: f64,
}

/// The verdict on the causes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Explains {
    /// The curve explains what was seen, and nothing that can be put right does so nearly as well.
    Curve,
    /// Look for this first: it explains what was seen, and metal is not to be cut for it.
    First(Cause),
    /// Neither the curve nor any of these faults explains it.
    Elsewhere,
    /// What was read on the throttle stop does not go together with this engine, so nothing that is computed for it may be acted on. The weighing itself never
    /// says so; the calibration does.
    ReadingsDisagree,
    /// Several explain it.
    CannotTell {
        /// What to try next; `None` where nothing is left that would tell.
        do_this: Option<Observation>,
    },
}

/// What explains the hang that was seen.
#[derive(Clone, Debug)]
pub struct Alike {
    /// The verdict.
    pub explains: Explains,
    /// Causes that this machine can have, likeliest first.
    pub causes: Vec<Weighed>,
    /// Every observation that bears on them, and what was seen where it was made.
    pub seen: Vec<(Observation, Option<Seen>)>,
    /// What was not tried yet, most told per minute first.
    pub next: Vec<Next>,
    /// Share of the drawn engines that could not idle at the speed seen \[1\]; they are left out.
    pub left_out: f64,
    /// Torque with a weaker mixture was not computed (the mixture is as weak as can be already), so leak and pilot were judged by air alone.
    pub mixture_unknown: bool,
}

/// An observation that tells less than this [bit] is not worth its minutes (own choice): a hundredth of a toss of a coin
/// between six causes (2.6 bit).
const LEAST_BITS: f64 = 0.026;

/// Weighs the causes of the hang that was seen.
///
/// # Errors
/// [`NotStudied::NoIdleSeen`], [`NotStudied::NoHangSeen`] where there is nothing to explain, [`NotStudied::NoCurve`],
/// [`NotStudied::IdleNotReproduced`] where no engine within the ± idles at the speed seen.
pub fn study(machine: &Machine, curve: &CurveStudy, model: &EngineModel) -> Result<Alike, NotStudied> {
    sampled(machine, curve, model, &Engines::new(machine, curve, model, Unknowns::stated(machine, model)))
}

/// The same, with the engines drawn from those given.
///
/// # Errors
/// As [`study`].
pub fn sampled(machine: &Machine, curve: &CurveStudy, model: &EngineModel, engines: &Engines) -> Result<Alike, NotStudied> {
    let seen = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?;
    let hang = seen.hangs_at.as_ref().ok_or(NotStudied::NoHangSeen)?;
    if curve.cylinders.is_empty() {
        return Err(NotStudied::NoCurve);
    }
    let causes: Vec<Cause> =
        Cause::ALL.into_iter().filter(|c| possible(machine, curve.cylinders.first().map(|c| c.kind), *c)).collect();
    let hang = Finding::of(hang);
    let observed = observed(&causes, seen, hang);
    let drawn = draw::engines(engines, model);
    let engines: Vec<Vec<Vec<(f64, Predicted)>>> =
        drawn.par_iter().filter_map(|engine| predict::all(engine, machine, model, &causes)).collect();
    if engines.is_empty() {
        return Err(NotStudied::IdleNotReproduced);
    }
    let left_out = 1.0 - engines.len() as f64 / drawn.len() as f64;
    let range = evidence::Range { from: seen.speed.si, to: machine.engine.top_speed.si };
    let weights = Weights::new(&causes, &engines, |cause, p| {
        observed.iter().filter_map(|(o, s)| Some(evidence::likelihood(range, cause, p, *o, (*s)?))).product()
    });
    let weighed = |n: usize| Weighed {
        cause: causes[n],
        share: weights.shares[n],
        size: Sizes::of(causes[n]).filter(|s| !s.needs_mixture() || model.most_lean() > 0.0).and_then(|s| weights.size(n, s)),
        expected: observed.iter().map(|(o, _)| weights.expected(causes[n], n, *o, |p| chances(causes[n], p, *o))).collect(),
    };
    let mut ranked: Vec<Weighed> = (0..causes.len()).map(weighed).collect();
    ranked.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut next: Vec<Next> = observed
        .iter()
        .filter(|(_, s)| s.is_none())
        .map(|(o, _)| {
            let of = |n: usize| weights.mean_chances(n, o.outcomes().len(), |p| chances(causes[n], p, *o));
            let table: Vec<Vec<f64>> = (0..causes.len()).map(of).collect();
            Next { observation: *o, bits: expected_information(&weights.shares, &table) }
        })
        .filter(|n| n.bits >= LEAST_BITS)
        .collect();
    next.sort_by(|a, b| (b.bits / b.observation.minutes()).total_cmp(&(a.bits / a.observation.minutes())));
    Ok(Alike {
        explains: explains(&ranked, next.first().map(|n| n.observation)),
        causes: ranked,
        seen: observed,
        next,
        left_out,
        mixture_unknown: model.most_lean() <= 0.0,
    })
}

/// A cause explains it where it has [`EXPLAINS`] of the whole.
fn explains(ranked: &[Weighed], do_this: Option<Observation>) -> Explains {
    match ranked.first() {
        Some(first) if first.share >= EXPLAINS => match first.cause {
            Cause::Curve => Explains::Curve,
            Cause::NoneOfThese => Explains::Elsewhere,
            fault => Explains::First(fault),
        },
        _ => Explains::CannotTell { do_this },
    }
}

/// Can this machine have it? A sealed module has no weights to stick: only where weights are known or fitted, or no trigger rotor fires it and the advance
/// moves at all.
fn possible(machine: &Machine, fitted: Option<LawKind>, cause: Cause) -> bool {
    match cause {
        Cause::StickingWeights => match &machine.law {
            Some(LawData::BobWeights(_)) => true,
            Some(LawData::Fixed(_)) => false,
            _ => machine.trigger.is_none() || fitted.is_some_and(|kind| kind == LawKind::BobWeights),
        },
        _ => true,
    }
}

/// Everything that bears on the causes of this machine's hang.
fn observed(causes: &[Cause], idle: &IdleSeen, hang: Finding) -> Vec<(Observation, Option<Seen>)> {
    let tried = &idle.tried;
    let either = |seen: Option<bool>, no: Outcome, yes: Outcome| seen.map(|s| Seen::Outcome(if s { yes } else { no }));
    let choke = |seen: ChokeSeen| {
        Seen::Outcome(match seen {
            ChokeSeen::ComesDown => Outcome::ComesDown,
            ChokeSeen::Dies => Outcome::Dies,
            ChokeSeen::NoChange => Outcome::NoChange,
        })
    };
    let both_ways = tried.falling_earlier.as_ref().map(|r| Seen::Value(Finding::of(r)));
    let mut all = vec![
        (Observation::HangSpeed, Some(Seen::Value(hang))),
        (Observation::Clutch, either(idle.clutch_pulls_down, Outcome::ClimbsAgain, Outcome::StaysDown)),
        (Observation::Snap, either(tried.snap_brings_down, Outcome::NoChange, Outcome::ComesDown)),
        (Observation::Choke, tried.choke.map(choke)),
        (Observation::Mist, either(tried.mist_changes, Outcome::NoChange, Outcome::SpeedChanges)),
        (Observation::RisingFalling, both_ways),
    ];
    // Weights that are not there need no strobe; a reading that was made all the same is used.
    all.retain(|(o, seen)| *o != Observation::RisingFalling || seen.is_some() || causes.contains(&Cause::StickingWeights));
    all
}
