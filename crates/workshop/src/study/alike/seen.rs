//! What can be tried or seen of a hang, and what was.

use super::{Cause, Finding};
use crate::machine::{ChokeSeen, IdleSeen};
use std::f64::consts::PI;

/// Plate turned in a nudge test [rad]: 3° of crank (common practice, no source).
pub const NUDGE_RAD: f64 = 3.0 * PI / 180.0;

/// What a mechanic can try or see.
#[derive(Clone, Copy, Debug, PartialEq)]
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
    /// Plate turned with the throttle stop left alone: the speed to which it settles.
    Nudge {
        /// By so much [rad crank], positive = earlier.
        turned_rad: f64,
    },
}

impl Observation {
    /// Those that may still be made once a hang has been seen, quickest first.
    pub const TRIED: [Observation; 7] = [
        Observation::Clutch,
        Observation::Choke,
        Observation::Snap,
        Observation::Mist,
        Observation::RisingFalling,
        Observation::Nudge { turned_rad: -NUDGE_RAD },
        Observation::Nudge { turned_rad: NUDGE_RAD },
    ];

    /// Minutes that it takes (common practice, no source).
    pub const fn minutes(self) -> f64 {
        match self {
            Observation::HangSpeed => 2.0,
            Observation::Clutch => 2.0,
            Observation::Choke => 3.0,
            Observation::Snap => 4.0,
            Observation::Mist => 10.0,
            Observation::RisingFalling => 14.0,
            Observation::Nudge { .. } => 15.0,
        }
    }

    /// What can come of it, where that is no number.
    pub const fn outcomes(self) -> &'static [Outcome] {
        match self {
            Observation::HangSpeed | Observation::Nudge { .. } => &[],
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

/// Everything that bears on the causes of this machine's hang.
pub fn observed(causes: &[Cause], idle: &IdleSeen, hang: Finding) -> Vec<(Observation, Option<Seen>)> {
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
    if idle.nudges.is_empty() {
        all.extend(Observation::TRIED.into_iter().filter(|o| matches!(o, Observation::Nudge { .. })).map(|o| (o, None)));
    }
    all.extend(idle.nudges.iter().map(|n| {
        // The ± of the idle before, and of the plate: in proportion to what the speed did.
        let share = n.turned.plus_minus_si / n.turned.si.abs().max(n.turned.plus_minus_si).max(f64::MIN_POSITIVE);
        let of_idle = n.speed.si * idle.speed.plus_minus_si / idle.speed.si;
        let by_plate = n.speed.si * (n.speed.si / idle.speed.si).ln() * share;
        let plus_minus_si = n.speed.plus_minus_si.hypot(of_idle).hypot(by_plate);
        (Observation::Nudge { turned_rad: n.turned.si }, Some(Seen::Value(Finding { si: n.speed.si, plus_minus_si })))
    }));
    // Weights that are not there need no strobe; a reading that was made all the same is used.
    all.retain(|(o, seen)| *o != Observation::RisingFalling || seen.is_some() || causes.contains(&Cause::StickingWeights));
    all
}
