//! What an engine with a fault of some size does: where it hangs, and whether it stays where the clutch has pulled it.

use super::{Cause, draw::Engine};
use crate::{
    machine::Machine,
    study::{judge::APART, model::EngineModel},
};
use physics::{
    law::Law,
    rest::{Hold, Running},
};

/// Sizes at which a fault is tried, at the middles of as many equal steps: the integral over its size by the midpoint rule.
pub const SIZES: usize = 24;
/// Opening after a blip over that of the stop, from and to \[1\] (own choice): less does not show, more is a throttle that stands open.
const SLIDE: (f64, f64) = (1.05, 3.0);
/// How far the clutch pulls it, as a share of the idle speed \[1\] (own choice): just below, for it must not stall.
const PULLED_TO: f64 = 0.95;

/// What is predicted of one engine with one fault of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// Speed at which it hangs after a blip [rad/s]; `None` where it comes down to the idle.
    pub hang_rad_s: Option<f64>,
    /// Pulled down by the clutch and let go, it stays.
    pub stays_down: bool,
    /// The spark comes so much earlier with falling than with rising speed [rad].
    pub falling_earlier_rad: f64,
    /// The nudge tests asked about.
    pub nudged: Vec<Nudged>,
    /// Size of the fault, as [`Sizes`] has it.
    pub size: f64,
}

/// The plate turned on an engine with its fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nudged {
    /// By so much [rad crank], positive = earlier.
    pub turned_rad: f64,
    /// Idle before [rad/s].
    pub from_rad_s: f64,
    /// Speed to which it settles [rad/s]; `None` where it dies.
    pub to_rad_s: Option<f64>,
}

impl Predicted {
    /// The nudge by this angle.
    pub fn nudge(&self, turned_rad: f64) -> Option<&Nudged> {
        self.nudged.iter().find(|n| n.turned_rad == turned_rad)
    }
}

/// What the size of a fault means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sizes {
    /// Area of a leak [m²].
    Leak,
    /// Equivalence ratio on the stop \[1\].
    Mixture,
    /// Opening over stop \[1\].
    Opening,
    /// Play of the weights [rad].
    Play,
}

impl Sizes {
    /// Of a cause; `None` where it has no size.
    pub const fn of(cause: Cause) -> Option<Self> {
        match cause {
            Cause::Curve | Cause::NoneOfThese => None,
            Cause::AirLeak => Some(Sizes::Leak),
            Cause::WeakPilot => Some(Sizes::Mixture),
            Cause::StickingSlide => Some(Sizes::Opening),
            Cause::StickingWeights => Some(Sizes::Play),
        }
    }

    /// Acts by the mixture alone.
    pub const fn needs_mixture(self) -> bool {
        matches!(self, Sizes::Leak | Sizes::Mixture)
    }
}

/// Everything predicted of one engine: for each cause a list of weight and prediction, the weights of the sizes adding up to 1 or, where
/// the engine cannot idle with such a fault, to less. `None` where it cannot idle without any.
pub fn all(on: &On, engine: &Engine, causes: &[Cause]) -> Option<Vec<Vec<(f64, Predicted)>>> {
    let sound = Fault { size: 0.0, lean: 0.0, opening: 1.0, play_rad: 0.0 };
    let curve = predicted(on, engine, sound)?.1;
    Some(causes.iter().map(|cause| of_cause(*cause, on, engine, &curve)).collect())
}

/// What all engines have in common.
pub struct On<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// Its torque.
    pub model: &'a EngineModel,
    /// Nudge tests to predict [rad crank].
    pub nudges: Vec<f64>,
}

fn of_cause(cause: Cause, on: &On, engine: &Engine, curve: &Predicted) -> Vec<(f64, Predicted)> {
    if Sizes::of(cause).is_none() {
        return vec![(1.0, curve.clone())];
    }
    let middle = |k: usize| (k as f64 + 0.5) / SIZES as f64;
    let weight = 1.0 / SIZES as f64;
    (0..SIZES)
        .filter_map(|k| {
            let (opening_m2, mut p) = predicted(on, engine, fault(cause, middle(k), engine, on.machine, on.model))?;
            if cause == Cause::AirLeak {
                p.size *= opening_m2;
            }
            Some((weight, p))
        })
        .collect()
}

/// A fault as it acts.
#[derive(Clone, Copy)]
struct Fault {
    /// As [`Sizes`]; of a leak the share of the air.
    size: f64,
    /// Share of the fuel that is missing [1].
    lean: f64,
    /// Opening after a blip over that which holds the idle [1].
    opening: f64,
    /// Play of the weights [rad].
    play_rad: f64,
}

/// A fault whose size lies at a share of its range.
fn fault(cause: Cause, share: f64, engine: &Engine, machine: &Machine, model: &EngineModel) -> Fault {
    let sound = Fault { size: 0.0, lean: 0.0, opening: 1.0, play_rad: 0.0 };
    let lean = share * model.most_lean();
    match cause {
        Cause::Curve | Cause::NoneOfThese => sound,
        Cause::AirLeak => Fault { size: lean, lean, ..sound },
        Cause::WeakPilot => Fault { size: machine.engine.mixture.si * (1.0 - lean), lean, ..sound },
        Cause::StickingSlide => {
            let opening = SLIDE.0 * (SLIDE.1 / SLIDE.0).powf(share);
            Fault { size: opening, opening, ..sound }
        }
        Cause::StickingWeights => {
            let top = machine.engine.top_speed.si;
            let range = |l: &Law| (l.advance(top) - l.advance(PULLED_TO * engine.idle_rad_s())).radians();
            let play_rad = share * engine.laws().iter().map(range).fold(0.0, f64::max);
            Fault { size: play_rad, play_rad, ..sound }
        }
    }
}

/// The opening that holds the idle with this fault in it [m²], and what is predicted; `None` where none does.
fn predicted(on: &On, engine: &Engine, fault: Fault) -> Option<(f64, Predicted)> {
    let On { machine, model, nudges } = on;
    let laws = engine.laws();
    let mut maps = engine.maps.clone();
    maps.extend(model.leaned(fault.lean));
    let (cylinders, inertia) = (laws.len(), machine.engine.inertia.si);
    let friction = |n: f64| engine.friction_nm(n);
    let (pulled, top) = (PULLED_TO * engine.idle_rad_s(), machine.engine.top_speed.si);

    // The idle is kept with the weights closed: it was set so.
    let held = |c: usize, n: f64| laws[c].advance(n).radians();
    let at_idle = Running::new(&maps, cylinders, &held, &friction, inertia);
    let Hold::At { opening_m2, .. } = at_idle.opening_for(engine.idle_rad_s()) else { return None };

    // Down from a blip the weights lag behind, as far as the play goes and never beyond their stop.
    let falling = |c: usize, n: f64| {
        let law = &laws[c];
        (law.advance_falling(n).radians() + fault.play_rad).min(law.advance(top).radians().max(law.advance_falling(n).radians()))
    };
    // Up again they stand where the clutch left them until the speed takes them along.
    let stuck: Vec<f64> = (0..cylinders).map(|c| falling(c, pulled)).collect();
    let rising = |c: usize, n: f64| held(c, n).max(stuck[c]);
    let stays = fault.opening * opening_m2;
    let (after_blip, after_clutch) = if fault.play_rad > 0.0 {
        (
            settles(&Running::new(&maps, cylinders, &falling, &friction, inertia), stays, f64::INFINITY),
            settles(&Running::new(&maps, cylinders, &rising, &friction, inertia), stays, pulled),
        )
    } else {
        (settles(&at_idle, stays, f64::INFINITY), settles(&at_idle, stays, pulled))
    };
    let is_idle = |n: f64| n < engine.idle_rad_s() * APART;
    // At idle slide and weights stand where they should, whatever they do after a blip.
    let nudged = |turned_rad: &f64| {
        let advance = |c: usize, n: f64| held(c, n) + turned_rad;
        let running = Running::new(&maps, cylinders, &advance, &friction, inertia);
        let from_rad_s = engine.idle_rad_s();
        Nudged { turned_rad: *turned_rad, from_rad_s, to_rad_s: settles(&running, opening_m2, from_rad_s) }
    };
    let between = halfway(&laws[0], pulled, top);
    Some((
        opening_m2,
        Predicted {
            hang_rad_s: after_blip.filter(|n| !is_idle(*n)),
            stays_down: after_clutch.is_none_or(is_idle),
            falling_earlier_rad: falling(0, between) - laws[0].advance_rising(between).radians(),
            nudged: nudges.iter().map(nudged).collect(),
            size: fault.size,
        },
    ))
}

/// Where the speed goes from `from` at an opening: to the next rest in the direction of the torque. `None` = it dies. From infinity, or
/// where it pulls beyond the map, the map's top.
fn settles(running: &Running, opening_m2: f64, from_rad_s: f64) -> Option<f64> {
    let rests = running.rests(opening_m2);
    let top = running.fastest();
    let below = || rests.points.iter().rev().map(|p| p.speed_rad_s).find(|n| *n <= from_rad_s);
    let above = || rests.points.iter().map(|p| p.speed_rad_s).find(|n| *n > from_rad_s).or(Some(top));
    if from_rad_s >= top {
        return if rests.pulls_at_top { Some(top) } else { below() };
    }
    if running.torque(from_rad_s, opening_m2) > 0.0 { above() } else { below() }
}

/// The speed half-way up a law's advance between two speeds [rad/s], by halving: there a reading both ways shows most.
fn halfway(law: &Law, mut low: f64, mut high: f64) -> f64 {
    /// Halvings: 2⁻³⁰ of the range is less than any rev counter shows.
    const HALVINGS: usize = 30;
    let half = 0.5 * (law.advance(low).radians() + law.advance(high).radians());
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if law.advance(middle).radians() < half { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
