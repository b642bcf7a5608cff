//! What a recording tells: where the spark came, turn by turn, and how the engine ran.
//!
//! [`Listener`] is fed block by block, from a file or anything else, and [`Listener::finish`] is the study: a trigger or a mark in one
//! channel, the spark in the other. [`sound`] has the speed from the exhaust alone, [`pace`] what the speed's course says in both.

pub mod change;
pub mod edges;
mod firings;
mod listen;
pub mod over;
pub mod pace;
pub mod pickups;
mod pulses;
mod reservoir;
mod roles;
pub mod sound;
mod turns;
mod types;
mod uneven;

pub use edges::{Compared, Edges, Fires, Which};
pub use firings::{PlaceFound, Row};
pub use listen::Listener;
pub use pulses::PulsesFound;
pub use roles::{RolesFound, Told};
pub use types::{Caution, ChannelFound, Details, Given, MarkFound, NotHeard, Recorded};

use super::Finding;
use crate::machine::{LawData, Machine};
use physics::recording::{Firing, MarkKind, Rhythm};
use std::f64::consts::TAU;
use turns::Turns;

/// A channel that never goes beyond this is silent \[1\] or [V] (own choice): three steps of 16 bits, which a recorder's own dither makes.
const SILENT: f32 = 1e-4;
/// A channel's line moves much above this share of its pulses \[1\], noise is high below [dB], (own choice).
const WANDERS: f64 = 0.25;
const NOISY_DB: f64 = 18.0;
/// Clipped samples above this share of all are told \[1\] (own choice).
const CLIPPED: f64 = 1e-5;
/// A sample above this angle is coarse [rad] (own choice): half a degree.
const COARSE_RAD: f64 = 0.5 * TAU / 360.0;
/// Two lobes nearer than this on the crank are one mark's head [rad] (common practice, no source): 9°.
const ONE_HEAD_RAD: f64 = 9.0 * TAU / 360.0;
/// Two lobes are the segment's ends where they are apart as in the file within this share \[1\] (own choice).
const LIKE_FILE: f64 = 0.35;

/// How far apart two angles are the nearer way round [rad].
fn way_round(a_rad: f64, b_rad: f64, round_rad: f64) -> f64 {
    let off = (a_rad - b_rad).rem_euclid(round_rad);
    off.min(round_rad - off)
}

/// The tops of all places behind a mark at which they count from zero, and the cylinders of each.
fn tops(machine: &Machine, reference: usize, turn_rad: f64) -> (Vec<f64>, Vec<Vec<usize>>) {
    /// Cylinders whose tops are nearer than this fire at one place [rad] (own choice).
    const ONE_PLACE_RAD: f64 = 2.0 * TAU / 360.0;
    let mut places: Vec<(f64, Vec<usize>)> = Vec::new();
    let zero = machine.engine.cylinders[reference].fires_at.si;
    let order = std::iter::once(reference).chain((0..machine.engine.cylinders.len()).filter(|c| *c != reference));
    for c in order {
        let at = (machine.engine.cylinders[c].fires_at.si - zero).rem_euclid(turn_rad);
        let near = |p: &(f64, Vec<usize>)| way_round(p.0, at, turn_rad) < ONE_PLACE_RAD;
        match places.iter_mut().find(|p| near(p)) {
            Some(p) => p.1.push(c),
            None => places.push((at, vec![c])),
        }
    }
    places.into_iter().unzip()
}

/// What the marks are, and where they stand before the top of the reference cylinder [rad].
fn placed(arc: Option<Finding>, kind: MarkKind, machine: &Machine, given: &Given) -> Result<(MarkFound, Finding), NotHeard> {
    let pair = matches!(kind, MarkKind::Pair { .. });
    if let Some(si) = given.mark_rad {
        return Ok((MarkFound::Mark { pair }, Finding { si, plus_minus_si: 0.0 }));
    }
    let MarkKind::Pair { leading_up, .. } = kind else { return Err(NotHeard::MarkNotPlaced) };
    let arc = arc.ok_or(NotHeard::MarkNotPlaced)?;
    let trigger = machine.trigger.as_ref().ok_or(NotHeard::MarkNotPlaced)?;
    let file = edges::segment_rad(trigger).ok_or(NotHeard::MarkNotPlaced)?;
    if (arc.si / file.si - 1.0).abs() > LIKE_FILE {
        if arc.si < ONE_HEAD_RAD {
            return Err(NotHeard::MarkNotPlaced);
        }
        return Err(NotHeard::OtherSegment { recorded_rad: arc.si, file_rad: file.si });
    }
    let place = trigger.pickups.get(given.pickup).map_or(0.0, |p| p.place_error.si);
    // The leading end passes `lead` before the top, the middle half the arc later.
    let ends = edges::surest(arc, file);
    let si = trigger.lead.si + place - 0.5 * ends.si;
    let plus_minus_si = trigger.lead.plus_minus_si.hypot(0.5 * ends.plus_minus_si);
    Ok((MarkFound::Segment { arc, leading_up }, Finding { si, plus_minus_si }))
}

fn cautions(channels: &[ChannelFound; 2], turns: &Turns, rate_hz: f64) -> Vec<Caution> {
    let mut all = channel_cautions(channels);
    if turns.missing > 0 || turns.breaks > 0 {
        all.push(Caution::TurnsMissing { turns: turns.missing, breaks: turns.breaks });
    }
    let fastest = turns.fastest_rad_s;
    if fastest / rate_hz > COARSE_RAD {
        all.push(Caution::CoarseRate { sample_rad: fastest / rate_hz });
    }
    all
}

fn channel_cautions(channels: &[ChannelFound; 2]) -> Vec<Caution> {
    let mut all = Vec::new();
    for (channel, found) in channels.iter().enumerate() {
        let share = found.level.clipped as f64 / found.level.samples.max(1) as f64;
        if share > CLIPPED {
            all.push(Caution::Clipped { channel, share });
        }
        let (least, most) = found.level.line;
        let share = (most - least) / found.height;
        if share > WANDERS && share.is_finite() {
            all.push(Caution::Wanders { channel, share });
        }
        if let Some(db) = found.db().filter(|db| *db < NOISY_DB) {
            all.push(Caution::Noisy { channel, db });
        }
        if found.level.not_numbers > 0 {
            all.push(Caution::NotNumbers { channel, count: found.level.not_numbers });
        }
    }
    all
}

/// Whether the law in the file fires from a segment's ends, or may do so.
pub(in crate::study) fn from_segment(machine: &Machine) -> bool {
    machine.trigger.is_some() && machine.law.as_ref().is_none_or(|l| matches!(l, LawData::Ramp { .. } | LawData::TwoEdge { .. }))
}

/// One firing, as it is handed on.
pub type OneFiring = Firing;
/// How often a place fires.
pub type HowOften = Rhythm;
