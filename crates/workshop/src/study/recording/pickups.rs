//! Two pickups over one rotor, one in each channel: side by side.

use super::{
    Caution, ChannelFound, Given, NotHeard, SILENT, channel_cautions, edges,
    firings::middle,
    listen::{SHORTEST_S, TELL},
    pulses::{self, PulsesFound, centre},
    reservoir::Reservoir,
    tops,
    turns::Turns,
    uneven::Uneven,
};
use crate::{machine::Machine, study::Finding};
use physics::recording::{Ear, Heard, Mark, MarkKind, MarkRow, Phase, kind};
use std::f64::consts::TAU;

/// One of the two.
#[derive(Clone, Debug, PartialEq)]
pub struct PickupFound {
    /// Cylinders that it fires by the file, by index; empty where the file has no such pickup.
    pub fires: Vec<usize>,
    /// Its channel.
    pub channel: ChannelFound,
    /// Passes.
    pub turns: usize,
    /// Segment from end to end [rad crank].
    pub arc: Finding,
    /// Its pulses.
    pub pulses: PulsesFound,
    /// The gap in the file [m].
    pub gap_in_file: Option<Finding>,
}

/// What is to be said of the two together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Alike {
    /// Same polarity, peaks as high.
    Yes,
    /// One is connected the other way round: the rotor's leading end gives an upward pulse in one and a downward one in the other.
    Turned,
    /// The first (0) or the second (1) is weaker, and its pulse is wider: its gap is.
    WiderGap(usize),
    /// It is weaker by its peak alone: turns shorted, weak magnet, a load, or the recorder's own level.
    Weaker(usize),
    /// A channel is clipped: heights say nothing.
    NotTold,
}

/// Both.
#[derive(Clone, Debug, PartialEq)]
pub struct Pickups {
    /// Samples a second [Hz].
    pub rate_hz: f64,
    /// Length [s].
    pub seconds: f64,
    /// Least and greatest crank speed [rad/s].
    pub range_rad_s: (f64, f64),
    /// The two, in the order of the channels.
    pub each: [PickupFound; 2],
    /// Leading pulse of the second as a share of the first's at the same speed \[1\].
    pub ratio: Option<Finding>,
    /// Width of the second's pulse as a share of the first's \[1\].
    pub widths: Finding,
    /// Crank angle from a pass of the first to that of the second [rad], and the same by the file.
    pub apart: (Finding, Option<Finding>),
    /// The verdict.
    pub alike: Alike,
    /// What must be said.
    pub cautions: Vec<Caution>,
}

/// Peaks that differ by no more than this share count as alike \[1\] (common practice, no source: a fifth between two readings of one winding is usual; the same
/// recorder reads both here).
const ALIKE: f64 = 0.15;
/// No ratio is surer \[1\] (own choice): two inputs of one sound card differ by so much.
const SUREST: f64 = 0.02;
/// No angle is surer [rad] (own choice): 0.1°, what is left of the pulses' shapes.
const SUREST_RAD: f64 = 0.1 * TAU / 360.0;
/// Turns that are compared at most [1] (own choice), and at least.
const SAMPLED: usize = 4096;
const LEAST: usize = 8;
/// Marks that stay, and marks around one that tell its turn [1] (own choice).
const KEPT: usize = 64;
const AROUND: usize = 4;

/// Hears both pickups; what is held does not grow with the recording.
#[derive(Clone, Debug)]
pub struct PickupsListener {
    rate_hz: f64,
    frames: u64,
    ears: [Ear; 2],
    machine: Box<Machine>,
    volts: Option<f64>,
    drive: f64,
    both: Option<Box<Both>>,
    refused: Option<NotHeard>,
}

#[derive(Clone, Debug)]
struct Both {
    each: [One; 2],
    compared: usize,
    /// Ratio of peaks, of widths, and crank angle from the first to the second [rad].
    ratios: Reservoir<(f64, f64, f64)>,
}

#[derive(Clone, Debug)]
struct One {
    row: MarkRow,
    marks: Vec<Mark>,
    folded: usize,
    turns: Turns,
}

impl PickupsListener {
    /// For so many samples a second of this machine.
    pub fn new(rate_hz: f64, machine: &Machine, given: &Given) -> Self {
        let drive = machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn());
        Self {
            rate_hz,
            frames: 0,
            ears: [Ear::new(rate_hz), Ear::new(rate_hz)],
            machine: Box::new(machine.clone()),
            volts: given.volts,
            drive,
            both: None,
            refused: None,
        }
    }

    /// One more block of both channels.
    pub fn push(&mut self, first: &[f32], second: &[f32]) {
        if self.refused.is_some() {
            return;
        }
        self.frames += first.len().min(second.len()) as u64;
        let [a, b] = &mut self.ears;
        rayon::join(|| a.push(first), || b.push(second));
        if self.both.is_some() || self.ears.iter().any(|e| e.waiting() >= TELL) {
            let heard = self.ears.each_mut().map(Ear::take);
            if let Err(why) = self.hear(&heard) {
                self.refused = Some(why);
            }
        }
    }

    /// Why the rest need not be read, where that is known.
    pub fn hopeless(&self) -> Option<NotHeard> {
        self.refused
    }

    fn hear(&mut self, heard: &[Heard; 2]) -> Result<(), NotHeard> {
        let both = match &mut self.both {
            Some(both) => both,
            None => {
                let one = |channel: usize| {
                    let kind = kind(&heard[channel].lobes).map_err(|why| NotHeard::NoTurns { channel, why })?;
                    if !matches!(kind, MarkKind::Pair { .. }) {
                        return Err(NotHeard::NotASegment { channel });
                    }
                    let row = MarkRow::new(kind, self.drive);
                    Ok(One { row, marks: Vec::new(), folded: 0, turns: Turns::new(self.drive) })
                };
                let both = Both { each: [one(0)?, one(1)?], compared: 0, ratios: Reservoir::new(SAMPLED) };
                self.both.insert(Box::new(both))
            }
        };
        for (one, heard) in both.each.iter_mut().zip(heard) {
            one.row.push(&heard.lobes, &mut one.marks);
        }
        both.go_on(false, self.drive);
        Ok(())
    }

    /// The study.
    ///
    /// # Errors
    /// [`NotHeard`].
    pub fn finish(mut self) -> Result<Pickups, NotHeard> {
        let seconds = self.frames as f64 / self.rate_hz;
        if let Some(why) = self.refused {
            return Err(why);
        }
        let [a, b] = std::mem::replace(&mut self.ears, [Ear::new(self.rate_hz), Ear::new(self.rate_hz)]);
        let heard = [a.finish(), b.finish()];
        if let Some(channel) = (0..2).find(|c| heard[*c].level.greatest <= SILENT) {
            return Err(NotHeard::Silent { channel });
        }
        if seconds < SHORTEST_S {
            return Err(NotHeard::TooShort { seconds });
        }
        self.hear(&heard)?;
        let Some(mut both) = self.both.take() else { return Err(NotHeard::RolesNotTold) };
        both.go_on(true, self.drive);
        let machine = &self.machine;
        let uneven = Uneven::of(machine);
        let file = machine.trigger.as_ref().and_then(edges::segment_rad);
        let one = |channel: usize| -> Result<PickupFound, NotHeard> {
            let One { row, turns, .. } = &both.each[channel];
            let no_pace = NotHeard::NoTurns { channel, why: physics::recording::NoMarks::NoPace };
            let clipped = heard[channel].level.clipped > 0;
            let arc = turns.arc(&uneven).ok_or(no_pace)?;
            if let Some(file) = file.filter(|f| (arc.si / f.si - 1.0).abs() > super::LIKE_FILE) {
                return Err(NotHeard::OtherSegment { recorded_rad: arc.si, file_rad: file.si });
            }
            let pulses = pulses::found(turns, row.kind(), machine, self.drive, clipped, self.volts).ok_or(no_pace)?;
            let height = middle(turns.heights.kept().to_vec()).unwrap_or(0.0);
            let in_file = machine.trigger.as_ref().and_then(|t| t.pickups.get(channel));
            Ok(PickupFound {
                fires: in_file.map(|p| p.fires.clone()).unwrap_or_default(),
                channel: ChannelFound { level: heard[channel].level, height },
                turns: turns.count,
                arc,
                pulses,
                gap_in_file: in_file.map(|p| Finding { si: p.gap.si, plus_minus_si: p.gap.plus_minus_si }),
            })
        };
        let each = [one(0)?, one(1)?];
        let seen = both.ratios.kept();
        if seen.len() < LEAST {
            return Err(NotHeard::NotTogether { turns: seen.len() });
        }
        let of = |which: fn(&(f64, f64, f64)) -> f64| seen.iter().map(which).collect::<Vec<f64>>();
        let wide = |f: Finding, least: f64| Finding { plus_minus_si: f.plus_minus_si.hypot(least), ..f };
        let none = Finding { si: f64::NAN, plus_minus_si: f64::NAN };
        let clipped = each.iter().any(|p| p.pulses.peak_per_speed.is_none());
        let peaks = centre(&of(|r| r.0)).map_or(none, |f| wide(f, SUREST * f.si));
        let widths = centre(&of(|r| r.1)).map_or(none, |f| wide(f, SUREST * f.si));
        let points = both.each[0].turns.course.points();
        let speeds = || points.iter().filter(|p| p.trusted).map(|p| p.speed_rad_s);
        let usual = middle(speeds().collect()).unwrap_or(f64::NAN);
        let apart = centre(&of(|r| r.2)).map_or(none, |f| {
            let way = f.si.min(TAU / self.drive - f.si);
            wide(f, SUREST_RAD.hypot(uneven.over(usual, 0.0, way)))
        });
        let channels = [each[0].channel, each[1].channel];
        Ok(Pickups {
            rate_hz: self.rate_hz,
            seconds,
            range_rad_s: (speeds().fold(f64::INFINITY, f64::min), speeds().fold(0.0, f64::max)),
            ratio: (!clipped).then_some(peaks),
            widths,
            apart: (apart, by_file(machine, self.drive)),
            alike: verdict(&each, peaks, widths, clipped),
            cautions: channel_cautions(&channels),
            each,
        })
    }
}

fn verdict(each: &[PickupFound; 2], peaks: Finding, widths: Finding, clipped: bool) -> Alike {
    if each[0].pulses.first_up != each[1].pulses.first_up {
        return Alike::Turned;
    }
    if clipped {
        return Alike::NotTold;
    }
    let weaker = if peaks.si - peaks.plus_minus_si > 1.0 / (1.0 - ALIKE) {
        0
    } else if peaks.si + peaks.plus_minus_si < 1.0 - ALIKE {
        1
    } else {
        return Alike::Yes;
    };
    // Over a wide pole a gap moves the peak much and the width little; nothing but the gap moves the width at all.
    let wider = if weaker == 1 { widths.si - widths.plus_minus_si > 1.0 } else { widths.si + widths.plus_minus_si < 1.0 };
    if wider { Alike::WiderGap(weaker) } else { Alike::Weaker(weaker) }
}

/// Crank angle from the first pickup's pass to the second's by the file [rad].
fn by_file(machine: &Machine, drive: f64) -> Option<Finding> {
    let pickups = &machine.trigger.as_ref()?.pickups;
    let (first, second) = (pickups.first()?, pickups.get(1)?);
    let turn_rad = TAU / drive;
    let (offsets, cylinders) = tops(machine, *first.fires.first()?, turn_rad);
    let of = second.fires.first()?;
    let offset = offsets[cylinders.iter().position(|c| c.contains(of))?];
    // A pickup that is early by its place error passes so much sooner.
    let si = (offset - second.place_error.si + first.place_error.si).rem_euclid(turn_rad);
    Some(Finding { si, plus_minus_si: first.place_error.plus_minus_si.hypot(second.place_error.plus_minus_si) })
}

impl Both {
    fn go_on(&mut self, all: bool, drive: f64) {
        for one in &mut self.each {
            if all {
                one.row.finish(&mut one.marks);
            }
            let to = if all { one.marks.len() } else { one.marks.len().saturating_sub(AROUND) };
            if to > one.folded {
                one.turns.add(&one.marks, one.folded..to);
                one.folded = to;
            }
        }
        let [a, b] = &mut self.each;
        let until = match (all, a.folded.checked_sub(1)) {
            (true, _) => f64::INFINITY,
            (false, Some(last)) => a.marks[last].at_s,
            (false, None) => return,
        };
        let speed = |marks: &[Mark], i: usize| {
            let (before, own, behind) = (marks.get(i.checked_sub(1)?)?, marks.get(i)?, marks.get(i + 1)?);
            (own.turns == 1 && behind.turns == 1).then(|| 2.0 * TAU / drive / (behind.at_s - before.at_s))
        };
        let mut phase = Phase::new(&a.marks);
        while self.compared < b.folded && b.marks[self.compared].at_s < until {
            let i = self.compared;
            self.compared += 1;
            let (own, Some(at)) = (&b.marks[i], phase.at(b.marks[i].at_s)) else { continue };
            let (Some(theirs), Some(ours)) = (speed(&a.marks, at.mark), speed(&b.marks, i)) else { continue };
            let first = &a.marks[at.mark];
            let per_speed = |m: &Mark, w: f64| f64::from(m.peaks.0.abs()) / w;
            let along = |m: &Mark, w: f64| f64::from(m.width_s) * w;
            self.ratios.push((
                per_speed(own, ours) / per_speed(first, theirs),
                along(own, ours) / along(first, theirs),
                at.past_rad / drive,
            ));
        }
        // What is done with by both.
        let compared_s = b.marks.get(self.compared).map_or(until, |m| m.at_s);
        let drop = a.marks[..a.folded].partition_point(|m| m.at_s < compared_s).min(a.folded).saturating_sub(KEPT);
        a.marks.drain(..drop);
        a.folded -= drop;
        let drop = self.compared.min(b.folded).saturating_sub(KEPT);
        b.marks.drain(..drop);
        b.folded -= drop;
        self.compared -= drop;
    }
}
