//! The rotor as measured, against what the recording shows of its edges.

use super::{Given, MarkFound, Row, firings, from_segment};
use crate::{
    machine::{Machine, SegmentLength, Trigger},
    study::{
        Finding,
        curve::{self, LawKind, ParameterName},
    },
};
use physics::rim::Rim;
use quantity::CrankAngle;
use std::f64::consts::TAU;

/// One angle recorded, and the same from the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// As recorded [rad crank].
    pub recorded: Finding,
    /// As the file has it [rad crank].
    pub file: Finding,
    /// Recorded less file along the rim [m].
    pub off: Finding,
}

impl Compared {
    /// Whether the difference lies within the ± of both.
    pub fn agrees(&self) -> bool {
        self.off.si.abs() <= self.off.plus_minus_si
    }
}

/// Which end of the segment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The leading one.
    Leading,
    /// The trailing one.
    Trailing,
    /// Both, by as much: the plate or the rotor sits turned.
    Both,
    /// One of the two: a mark at top dead centre would tell which.
    OneOfBoth,
}

/// The verdict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fires {
    /// Within the ±.
    AsMeasured,
    /// Not within.
    Off {
        /// Which end.
        which: Which,
        /// How far along the rim [m]; positive = the end passes earlier, or the segment is longer.
        by: Finding,
    },
    /// The sparks do not show where the ends are: the speeds recorded are too few, or none of the laws that fire from ends fits best.
    NotShown,
    /// There is no segment in the file, or its law does not fire from it.
    NoSegment,
}

/// What the recording says of the rotor.
#[derive(Clone, Debug, PartialEq)]
pub struct Edges {
    /// Segment from end to end, by its two pulses.
    pub arc: Option<Compared>,
    /// Advance of the leading end, by the law fitted to the sparks; only a mark proves it.
    pub leading: Option<Compared>,
    /// Advance of the trailing end, the same way.
    pub trailing: Option<Compared>,
    /// The verdict.
    pub verdict: Fires,
    /// Spark less leading end at the fastest rows, and spark less trailing end at the slowest [rad], positive = before; where both ends are
    /// in the recording.
    pub spark_before_ends: Option<(Finding, Finding)>,
    /// How well the law in the file goes with the recording, where there is one.
    pub agreement: Option<curve::Agreement>,
}

/// Length of the segment as crank angle [rad], with its ±.
pub(super) fn segment_rad(trigger: &Trigger) -> Option<Finding> {
    let (length, chord) = match &trigger.segment {
        SegmentLength::Arc(a) => (a, false),
        SegmentLength::Chord(c) => (c, true),
    };
    let angle = |length_m: f64, rim_m: f64| {
        let rim = Rim::new(rim_m, trigger.drive)?;
        let arc = if chord { rim.arc_of_chord(length_m)? } else { length_m };
        Some(rim.crank_of_arc(arc).radians())
    };
    let si = angle(length.si, trigger.rim_diameter.si)?;
    let by_length = angle(length.si + length.plus_minus_si, trigger.rim_diameter.si).map_or(0.0, |a| a - si);
    let by_rim = angle(length.si, trigger.rim_diameter.si + trigger.rim_diameter.plus_minus_si).map_or(0.0, |a| a - si);
    Some(Finding { si, plus_minus_si: by_length.hypot(by_rim) })
}

/// Crank angle between the segment's ends [rad], where they mark the turn.
pub(super) fn between(mark: MarkFound, machine: &Machine) -> Option<f64> {
    let MarkFound::Segment { arc, .. } = mark else { return None };
    let file = machine.trigger.as_ref().and_then(segment_rad);
    Some(file.map_or(arc, |f| surest(arc, f)).si)
}

/// The same [rad], as recorded or as in the file: the surer of both, but the recorded one where they contradict each other.
pub(super) fn surest(recorded: Finding, file: Finding) -> Finding {
    let agree = (recorded.si - file.si).abs() <= recorded.plus_minus_si.hypot(file.plus_minus_si);
    if agree && file.plus_minus_si < recorded.plus_minus_si { file } else { recorded }
}

fn compared(recorded: Finding, file: Finding, trigger: &Trigger) -> Option<Compared> {
    let rim = Rim::new(trigger.rim_diameter.si, trigger.drive)?;
    let along = |a: f64| rim.arc_of_crank(CrankAngle::from_radians(a));
    let wide = recorded.plus_minus_si.hypot(file.plus_minus_si);
    Some(Compared { recorded, file, off: Finding { si: along(recorded.si - file.si), plus_minus_si: along(wide) } })
}

/// Lead and segment are let go this far, so that the fit rests on the recording alone [rad] (own choice).
const LET_GO_RAD: f64 = 90.0 * TAU / 360.0;

pub(super) fn edges(machine: &Machine, rows: &[Row], mark: MarkFound, mark_at: Finding, given: &Given) -> Edges {
    let none =
        Edges { arc: None, leading: None, trailing: None, verdict: Fires::NoSegment, spark_before_ends: None, agreement: None };
    let agreement =
        machine.law.as_ref().and_then(|_| curve::study(&firings::as_read(machine, rows)).ok()).and_then(|c| c.agreement);
    let (true, Some(trigger), Some(file)) =
        (from_segment(machine), &machine.trigger, machine.trigger.as_ref().and_then(segment_rad))
    else {
        return Edges { agreement, ..none };
    };
    if let MarkFound::Segment { arc, .. } = mark {
        let spark_before_ends = spark_before_ends(rows, surest(arc, file), mark_at);
        let arc = compared(arc, file, trigger);
        let verdict = match &arc {
            Some(c) if c.agrees() => Fires::AsMeasured,
            Some(c) => Fires::Off { which: Which::OneOfBoth, by: c.off },
            None => Fires::NotShown,
        };
        return Edges { arc, verdict, spark_before_ends, agreement, ..none };
    }
    let place = trigger.pickups.get(given.pickup).map(|p| &p.place_error);
    let (shift, shift_pm) = place.map_or((0.0, 0.0), |p| (p.si, p.plus_minus_si));
    let lead = Finding { si: trigger.lead.si + shift, plus_minus_si: trigger.lead.plus_minus_si.hypot(shift_pm) };
    let ends = by_sparks(machine, rows, file.si);
    let leading = ends.and_then(|e| compared(e.0, lead, trigger));
    let at_trailing = Finding { si: lead.si - file.si, plus_minus_si: lead.plus_minus_si.hypot(file.plus_minus_si) };
    let trailing = ends.and_then(|e| compared(e.1, at_trailing, trigger));
    let verdict = match (leading, trailing) {
        (Some(l), Some(t)) => match (l.agrees(), t.agrees()) {
            (true, true) => Fires::AsMeasured,
            (false, true) => Fires::Off { which: Which::Leading, by: l.off },
            (true, false) => Fires::Off { which: Which::Trailing, by: t.off },
            (false, false) => {
                let mean =
                    Finding { si: 0.5 * (l.off.si + t.off.si), plus_minus_si: l.off.plus_minus_si.max(t.off.plus_minus_si) };
                Fires::Off { which: Which::Both, by: mean }
            }
        },
        _ => Fires::NotShown,
    };
    Edges { leading, trailing, verdict, agreement, ..none }
}

/// Advance of both ends, from the law that is fitted to the sparks with lead and segment let go.
fn by_sparks(machine: &Machine, rows: &[Row], arc_rad: f64) -> Option<(Finding, Finding)> {
    let mut free = firings::as_read(machine, rows);
    free.law = None;
    let trigger = free.trigger.as_mut()?;
    trigger.lead.plus_minus_si = LET_GO_RAD;
    let (SegmentLength::Arc(length) | SegmentLength::Chord(length)) = &mut trigger.segment;
    // No further than to nothing.
    length.plus_minus_si = length.si * (LET_GO_RAD / arc_rad.max(0.1)).min(1.9);
    let found = curve::study(&free).ok()?;
    let curve = found.cylinders.get(rows.first()?.cylinder)?;
    if !matches!(curve.kind, LawKind::Ramp | LawKind::TwoEdge) {
        return None;
    }
    let of = |name: ParameterName| curve.parameters.iter().find(|p| p.name == name).map(|p| p.value);
    let (lead, arc) = (of(ParameterName::Lead)?, of(ParameterName::Arc)?);
    let slowest = rows.iter().map(|r| r.speed.si).fold(f64::INFINITY, f64::min);
    let fastest = rows.iter().map(|r| r.speed.si).fold(0.0, f64::max);
    // Both knees must be in the recording, or the ends are extrapolated.
    let shown = of(ParameterName::StartSpeed)?.si > slowest && of(ParameterName::FullSpeed)?.si < fastest;
    let trailing = Finding { si: lead.si - arc.si, plus_minus_si: lead.plus_minus_si.hypot(arc.plus_minus_si) };
    shown.then_some((lead, trailing))
}

/// At the fastest rows the spark against the leading end, at the slowest against the trailing one, both as recorded.
fn spark_before_ends(rows: &[Row], arc: Finding, mark_at: Finding) -> Option<(Finding, Finding)> {
    let first = rows.first()?.place;
    let own = || rows.iter().filter(|r| r.place == first);
    let fastest = own().max_by(|a, b| a.speed.si.total_cmp(&b.speed.si))?;
    let slowest = own().min_by(|a, b| a.speed.si.total_cmp(&b.speed.si))?;
    let at = |row: &Row, end_rad: f64| Finding {
        si: row.advance.si - end_rad,
        plus_minus_si: row.advance.plus_minus_si.hypot(0.5 * arc.plus_minus_si),
    };
    Some((at(fastest, mark_at.si + 0.5 * arc.si), at(slowest, mark_at.si - 0.5 * arc.si)))
}
