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
//! settle (`predict`)? Pulled down by the clutch and let go, does it stay? With the plate turned, at
//! which speed does it idle? What the surface knows nothing of (choke, mist, snap of the
//! throttle) stands in a table of the trade (`evidence`). Then the share of a cause is Bayes' rule with the integral of likelihood over
//! its size (`weigh`), every cause being given the same share at first: equal, no source.
//!
//! Not covered: two causes at once; waves, wall wetting and the carburettor's own response to speed. A two-stroke has no surface.

mod draw;
mod evidence;
mod given;
mod predict;
mod seen;
mod weigh;

use super::{
    Finding, NotStudied,
    cases::Engines,
    curve::{CurveStudy, LawKind},
    model::EngineModel,
    unknowns::Unknowns,
};
use crate::machine::{LawData, Machine};
use evidence::chances;
use predict::{On, Predicted, Sizes};
use rayon::prelude::*;
use weigh::Weights;

pub use given::Given;
pub use seen::{Expected, NUDGE_RAD, Observation, Outcome, Seen};
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
#[derive(Clone, Copy, Debug, PartialEq)]
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
    /// What of it fault finding does not count by itself.
    pub given: Given,
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
    let observed = seen::observed(&causes, seen, hang);
    let turned = |(o, _): &(Observation, Option<Seen>)| match o {
        Observation::Nudge { turned_rad } => Some(*turned_rad),
        _ => None,
    };
    let on = On { machine, model, nudges: observed.iter().filter_map(turned).collect() };
    let drawn = draw::engines(engines, model);
    let engines: Vec<Vec<Vec<(f64, Predicted)>>> =
        drawn.par_iter().filter_map(|engine| predict::all(&on, engine, &causes)).collect();
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
        expected: observed
            .iter()
            .map(|(o, _)| weights.expected(causes[n], n, *o, |p| chances(range, causes[n], p, *o)))
            .collect(),
    };
    let mut ranked: Vec<Weighed> = (0..causes.len()).map(weighed).collect();
    ranked.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut next: Vec<Next> = observed
        .iter()
        .filter(|(_, s)| s.is_none())
        .map(|(o, _)| {
            let of = |n: usize| weights.mean_chances(n, evidence::cells(*o), |p| chances(range, causes[n], p, *o));
            let table: Vec<Vec<f64>> = (0..causes.len()).map(of).collect();
            Next { observation: *o, bits: expected_information(&weights.shares, &table) }
        })
        .filter(|n| n.bits >= LEAST_BITS)
        .collect();
    next.sort_by(|a, b| (b.bits / b.observation.minutes()).total_cmp(&(a.bits / a.observation.minutes())));
    Ok(Alike {
        explains: explains(&ranked, next.first().map(|n| n.observation)),
        causes: ranked,
        given: given::given(range, &causes, &engines, &observed),
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
