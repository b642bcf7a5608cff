//! The rotor in the hand: what it weighs, what spin does to it, and what metal it may lose.
//!
//! The section is always worked out where metal or density is known. Strength needs the metal and the maker's speed limit; without either no cut is advised.

pub mod balance;
mod bench;
pub mod drilled;
pub mod fitting;
pub mod flux;
pub mod glue;
pub mod held;
mod lighten;
pub mod magnets;
mod parts;
pub mod pulling;
mod section;
pub mod sides;
mod strength;
mod stuff;
pub mod taper;
pub mod trimmed;
mod turning;
mod walls;

pub use bench::Bench;
pub use lighten::{
    CutFinding, Forbidden, LEAST_AT_SEAT, LEAST_BURST, LEAST_RESERVE, Lighten, Limit, MOST_OFF, Step, TOLERANCE_M, ZonePlan,
};
pub use parts::Parts;
pub use section::{Section, inertia};
pub use strength::{BURST, NEW_CORNER_M, Notch, NotchKind, Place, Pressed, ReturnPath, Strength, THEORY};
pub use stuff::Stuff;
pub use turning::{Turning, Turns};

use super::{Finding, NotStudied, curve::CurveStudy};
use crate::machine::Machine;
use physics::rotor::cup::NotACup;

/// What is missing, so that a part of the study is held back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// No `[rotor]` in the file.
    NoRotor,
    /// No pieces of its section.
    NoPieces,
    /// Neither metal nor density.
    NoMetal,
    /// No speed limit of its maker.
    NoTopSpeed,
    /// The pieces make no boss, web and rim that bear each other.
    NotBearing,
    /// No zone from which metal may come off.
    NoZones,
}

/// Everything about the rotor.
#[derive(Clone, Debug)]
pub struct RotorStudy {
    /// Mass and inertia.
    pub section: Section,
    /// What its metal bears; `None` without a metal.
    pub stuff: Option<Stuff>,
    /// Stresses at its top speed, or what is missing for them.
    pub strength: Result<Strength, Held>,
    /// Why its pieces could not be worked out, where that is what is missing.
    pub not_bearing: Option<NotACup>,
    /// The engine as far as inertia changes it, or why that is not known.
    pub turning: Result<Turning, NotStudied>,
    /// What may come off, or what is missing to advise it.
    pub lighten: Result<Lighten, Held>,
}

/// Works everything out; a fraction of a second to a few, and no surface is needed.
///
/// # Errors
/// [`Held`] where not even the section can be worked out.
pub fn study(machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Result<RotorStudy, Held> {
    let (mut found, parts) = found(machine)?;
    found.turning = curve.and_then(|c| Turning::of(machine, c));
    let zones = machine.rotor.as_ref().is_some_and(|r| !r.zones.is_empty());
    found.lighten = Bench::new(machine, &parts, &found.section, found.strength.as_ref().ok(), found.turning)
        .and_then(|bench| if zones { bench.plan().ok_or(Held::NotBearing) } else { Err(Held::NoZones) });
    Ok(found)
}

/// The bench at which one cut after the other can be asked for, as by a handle that is dragged.
///
/// # Errors
/// [`Held`] where something is missing that a cut must be judged by.
pub fn bench<'a>(machine: &'a Machine, turning: Result<Turning, NotStudied>) -> Result<Bench<'a>, Held> {
    let (found, parts) = found(machine)?;
    Bench::new(machine, &parts, &found.section, found.strength.as_ref().ok(), turning)
}

/// The speed at which everything about the rotor is judged [rad/s]: its maker's limit, or what the engine turns it at where that is more or no limit is known.
/// An engine that turns it faster than its maker allows is judged by what it does.
pub fn judged_speed(machine: &Machine) -> Finding {
    let driven = driven_speed(machine);
    let limit = machine.rotor.as_ref().and_then(|r| r.top_speed.as_ref());
    limit.filter(|limit| limit.si > driven.si).map_or(driven, Finding::of)
}

/// The speed that the engine turns it at, at its own top speed [rad/s].
pub fn driven_speed(machine: &Machine) -> Finding {
    let turns = machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn());
    let top = &machine.engine.top_speed;
    Finding { si: top.si * turns, plus_minus_si: top.plus_minus_si * turns }
}

/// Section and strength.
fn found(machine: &Machine) -> Result<(RotorStudy, Parts), Held> {
    let rotor = machine.rotor.as_ref().ok_or(Held::NoRotor)?;
    if rotor.pieces.is_empty() {
        return Err(Held::NoPieces);
    }
    let parts = Parts::of(rotor).ok_or(Held::NoMetal)?;
    let stuff = Stuff::of(rotor);
    let mut not_bearing = None;
    let strength = match (&stuff, &rotor.top_speed) {
        (None, _) => Err(Held::NoMetal),
        (_, None) => Err(Held::NoTopSpeed),
        (Some(stuff), Some(_)) => strength::study(rotor, &parts, stuff, judged_speed(machine).si).map_err(|why| {
            not_bearing = Some(why);
            Held::NotBearing
        }),
    };
    let section = section::study(machine, &parts);
    let turning = Err(NotStudied::NoIdleSeen);
    let found = RotorStudy { section, stuff, strength, not_bearing, turning, lighten: Err(Held::NoZones) };
    Ok((found, parts))
}
