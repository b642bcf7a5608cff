//! Where segment, pickups and cut stand on the rotor.

use super::RotorPicture;
use crate::{
    machine::{Machine, SegmentLength, Trigger},
    study::NotStudied,
};
use physics::rim::Rim;
use std::f64::consts::TAU;

/// The trigger's rim and its segment.
pub struct Segment<'a> {
    pub trigger: &'a Trigger,
    pub rim: Rim,
    /// Along the rim [m].
    pub arc_m: f64,
}

impl<'a> Segment<'a> {
    /// From the machine file.
    ///
    /// # Errors
    /// [`NotStudied::NoSegment`] where there is no trigger, or its chord or diameter makes no rim.
    pub fn of(machine: &'a Machine) -> Result<Self, NotStudied> {
        let trigger = machine.trigger.as_ref().ok_or(NotStudied::NoSegment)?;
        let rim = Rim::new(trigger.rim_diameter.si, trigger.drive).ok_or(NotStudied::NoSegment)?;
        let arc_m = match &trigger.segment {
            SegmentLength::Arc(arc) => arc.si,
            SegmentLength::Chord(chord) => rim.arc_of_chord(chord.si).ok_or(NotStudied::NoSegment)?,
        };
        Ok(Self { trigger, rim, arc_m })
    }
}

/// The drawing's numbers, with a cut of `cut_m` at the trailing end.
///
/// A pickup stands where the leading edge is when it fires its first cylinder: `lead` and the error of its place before that
/// cylinder's top dead centre. All follows from that, in the turning direction, so it holds for both directions and both sides.
pub fn picture(machine: &Machine, segment: &Segment, cut_m: f64) -> RotorPicture {
    let trigger = segment.trigger;
    let ratio = trigger.drive.turns_per_crank_turn();
    let fires_at = |c: usize| machine.engine.cylinders.get(c).map_or(0.0, |c| c.fires_at.si);
    // Crank angle from the first cylinder's top dead centre to the leading edge's passing of each pickup.
    let passes: Vec<f64> = trigger
        .pickups
        .iter()
        .map(|p| fires_at(p.fires.first().copied().unwrap_or(0)) - fires_at(0) - trigger.lead.si - p.place_error.si)
        .collect();
    let first = passes.first().copied().unwrap_or(-trigger.lead.si);
    RotorPicture {
        turns: trigger.turns,
        seen_from: trigger.seen_from,
        rim_diameter_m: trigger.rim_diameter.si,
        segment_arc_m: segment.arc_m,
        cut_m,
        pickups_rad: passes.iter().map(|p| ((p - first) * ratio).rem_euclid(TAU)).collect(),
        lead_rotor_rad: -first * ratio,
        turns_per_crank_turn: ratio,
    }
}

/// The numbers of a drawing of the rotor as the file has it, nothing cut.
///
/// # Errors
/// [`NotStudied::NoSegment`] where there is no trigger, or its chord or diameter makes no rim.
pub fn drawing(machine: &Machine) -> Result<RotorPicture, NotStudied> {
    Ok(picture(machine, &Segment::of(machine)?, 0.0))
}
