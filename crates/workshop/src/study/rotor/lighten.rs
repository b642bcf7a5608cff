//! What metal may come off: every face by itself at a row of depths, the greatest depth that keeps every limit, and the cuts one after the other, least harm first.

use super::strength::Notch;
use crate::study::{Finding, NotStudied};

/// How exactly a lathe takes a facing cut, 95 % half-width [m]: ±0.05 mm (common practice, no source).
pub const TOLERANCE_M: f64 = 0.05e-3;
/// Greatest share of the rotor's own inertia that comes off [1]: 15 to 20 % unless the maker gave a racing figure (common practice, no source).
pub const MOST_OFF: f64 = 0.15;
/// Least ratio of the proof stress to the greatest stress away from notches at top speed [1] (own choice): half as much again.
pub const LEAST_RESERVE: f64 = 1.5;
/// Least ratio of the proof stress to the greatest stress with the press of the seat in it \[1\] (own choice): it must not yield. That press is there at rest, does not grow with speed and eases where
/// metal yields, so no more is asked.
pub const LEAST_AT_SEAT: f64 = 1.0;
/// Least ratio of the speed at which it bursts to its top speed [1] (own choice): half as much again; an engine that runs away turns a quarter faster than it should.
pub const LEAST_BURST: f64 = 1.5;
/// What may come off.
#[derive(Clone, Debug)]
pub struct Lighten {
    /// The rotor as found, in the terms of a cut.
    pub as_found: CutFinding,
    /// Every zone by itself, in the order of the file.
    pub zones: Vec<ZonePlan>,
    /// What to cut, one after the other, each with those before it done; empty where nothing may be cut.
    pub steps: Vec<Step>,
    /// What all of that leaves of the threads for the puller, where it shortens them [m].
    pub threads_left: Option<Finding>,
    /// Why it was not looked at whether a kick might turn back; `None` where it was.
    pub kick_unknown: Option<NotStudied>,
    /// What does not change: less inertia leaves the rest speeds of the idle where they were, as mean torque knows no inertia. (How evenly it turns about them, and how
    /// soon it is up and down, does change.)
    pub rest_points_stay: bool,
}

/// A zone.
#[derive(Clone, Debug)]
pub struct ZonePlan {
    /// Why nothing may come off here at all.
    pub forbidden: Option<Forbidden>,
    /// A row of depths; empty where forbidden.
    pub cuts: Vec<CutFinding>,
    /// The greatest depth that keeps every limit, though the lathe takes [`TOLERANCE_M`] more and the wall is the thinnest that it may be [m].
    pub most_m: f64,
    /// What stops it there.
    pub bounded_by: Limit,
    /// Inertia off per stress added at the greatest depth [kg·m²/Pa]; infinite where the greatest stress does not rise.
    pub worth: f64,
    /// Puller threads that the cut would shorten, and what is left of them [m].
    pub threads_left: Option<Finding>,
}

/// One cut of the plan.
#[derive(Clone, Debug)]
pub struct Step {
    /// Index of the zone in the file.
    pub zone: usize,
    /// Depth [m] and the lathe's tolerance.
    pub depth: Finding,
    /// The rotor after this cut and those before it.
    pub after: CutFinding,
}

/// Why no metal may come off a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Forbidden {
    /// It is the wall behind magnets: their seat, and the way for their flux.
    BehindMagnets,
    /// It is of a metal that breaks without yielding.
    CastIron,
    /// Something is beyond a limit as found already.
    AsFound(Limit),
}

/// What stops a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// It is the wall behind magnets.
    BehindMagnets,
    /// It is of a metal that breaks without yielding.
    CastIron,
    /// The wall that must be left.
    Wall,
    /// The ends of the magnets would stand free of their seat.
    MagnetEnds,
    /// The greatest stress comes too near the proof stress.
    Yield,
    /// The press of its seat, with spin, comes too near the proof stress.
    Seat,
    /// The speed at which it bursts comes too near the top speed.
    Burst,
    /// The share of the inertia that may come off.
    Inertia,
    /// A kick might turn back.
    KickBack,
    /// A hole, a corner or a step for which there is no factor.
    NoFactor,
    /// The deepest cut that was asked for.
    Deepest,
}

/// The rotor with a cut.
#[derive(Clone, Debug)]
pub struct CutFinding {
    /// Depth [m].
    pub depth_m: f64,
    /// Mass left [kg].
    pub mass: Finding,
    /// Mass taken off [kg].
    pub mass_off: Finding,
    /// Inertia of the rotor left [kg·m²].
    pub inertia: Finding,
    /// Inertia taken off [kg·m²].
    pub inertia_off: Finding,
    /// Inertia left of all that turns with the crank [kg·m²].
    pub engine_inertia: Finding,
    /// Share of the wall that is left where it is cut, by this and every other cut of it, from either face [1].
    pub wall_left: f64,
    /// That wall [m].
    pub wall_left_m: f64,
    /// Greatest von Mises stress by spin alone, away from notches at top speed [Pa].
    pub greatest: Finding,
    /// Greatest stress in any notch [Pa].
    pub peak: Finding,
    /// Which notch.
    pub worst_notch: Option<Notch>,
    /// Proof stress over the greatest stress [1].
    pub reserve: Finding,
    /// The same with the press of the seat in it; `None` where the file has no seat.
    pub reserve_at_seat: Option<Finding>,
    /// Speed at which it bursts [rad/s].
    pub bursts_at: Finding,
    /// Greatest less least speed within the idle's cycle, over the mean [1]; `None` where the engine is not known.
    pub unevenness: Option<Finding>,
    /// Time to rev up wide open [s].
    pub rev_up: Option<Finding>,
    /// Time to run down with the ignition cut [s].
    pub run_down: Option<Finding>,
    /// The first limit that it breaks.
    pub breaks: Option<Limit>,
}
