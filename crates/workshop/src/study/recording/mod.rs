//! What a recording tells: where the spark came, turn by turn, and how the engine ran.
//!
//! [`Listener`] is fed block by block, from a file or anything else, and [`Listener::finish`] is the study: a trigger or a mark in one
//! channel, the spark in the other. [`sound`] has the speed from the exhaust alone, [`pace`] what the speed's course says in both.

pub mod edges;
mod firings;
pub mod over;
pub mod pace;
mod pulses;
mod roles;
pub mod sound;
mod types;

pub use edges::{Compared, Edges, Fires, Which};
pub use firings::{PlaceFound, Row};
pub use pulses::PulsesFound;
pub use roles::{RolesFound, Told};
pub use types::{Caution, ChannelFound, Given, MarkFound, NotHeard, Recorded};

use super::Finding;
use crate::machine::{LawData, Machine};
use pace::Point;
use physics::recording::{Ear, Firing, Heard, Mark, MarkKind, Phase, Places, Rhythm, kind, marks, pair};
use std::f64::consts::TAU;

/// Hears both channels of a recording.
#[derive(Clone, Debug)]
pub struct Listener {
    rate_hz: f64,
    frames: u64,
    ears: [Ear; 2],
}

/// Shortest recording [s] (own choice): a few turns at kicking speed.
const SHORTEST_S: f64 = 0.5;
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

impl Listener {
    /// For so many samples a second.
    pub fn new(rate_hz: f64) -> Self {
        Self { rate_hz, frames: 0, ears: [Ear::new(rate_hz), Ear::new(rate_hz)] }
    }

    /// One more block of both channels.
    pub fn push(&mut self, first: &[f32], second: &[f32]) {
        self.frames += first.len().min(second.len()) as u64;
        let [a, b] = &mut self.ears;
        rayon::join(|| a.push(first), || b.push(second));
    }

    /// Whether the recording can be no ignition, so that the rest need not be read.
    pub fn hopeless(&self) -> Option<NotHeard> {
        (0..2).find(|c| self.ears[*c].overflows()).map(|channel| NotHeard::Crowded { channel })
    }

    /// The study.
    ///
    /// # Errors
    /// [`NotHeard`].
    pub fn finish(self, machine: &Machine, given: &Given) -> Result<Recorded, NotHeard> {
        let seconds = self.frames as f64 / self.rate_hz;
        if let Some(why) = self.hopeless() {
            return Err(why);
        }
        let [a, b] = self.ears;
        let heard = [a.finish(), b.finish()];
        if let Some(channel) = (0..2).find(|c| heard[*c].level.greatest == 0.0) {
            return Err(NotHeard::Silent { channel });
        }
        if seconds < SHORTEST_S {
            return Err(NotHeard::TooShort { seconds });
        }
        study(self.rate_hz, seconds, &heard, machine, given)
    }
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
        let near = |p: &(f64, Vec<usize>)| {
            let d = (p.0 - at).rem_euclid(turn_rad);
            d.min(turn_rad - d) < ONE_PLACE_RAD
        };
        match places.iter_mut().find(|p| near(p)) {
            Some(p) => p.1.push(c),
            None => places.push((at, vec![c])),
        }
    }
    places.into_iter().unzip()
}

fn study(rate_hz: f64, seconds: f64, heard: &[Heard; 2], machine: &Machine, given: &Given) -> Result<Recorded, NotHeard> {
    let trigger = machine.trigger.as_ref();
    let pickup = trigger.and_then(|t| t.pickups.get(given.pickup));
    if given.mark_rad.is_none() && trigger.is_some() && pickup.is_none() {
        return Err(NotHeard::NoSuchPickup);
    }
    let drive = trigger.filter(|_| given.mark_rad.is_none()).map_or(1.0, |t| t.drive.turns_per_crank_turn());
    let roles = roles::tell(heard, drive, given)?;
    let (marked, sparked) = (&heard[roles.trigger], &heard[1 - roles.trigger]);
    let no_turns = |why| NotHeard::NoTurns { channel: roles.trigger, why };
    let found_kind = kind(&marked.lobes).map_err(no_turns)?;
    let found = marks(&marked.lobes, found_kind, drive).map_err(no_turns)?;
    let (mark, mark_at) = placed(&found.marks, found_kind, machine, given, drive)?;
    let reference = pickup.filter(|_| given.mark_rad.is_none()).and_then(|p| p.fires.first().copied()).unwrap_or(0);
    let turn_rad = TAU / drive;
    let (offsets, cylinders) = tops(machine, reference, turn_rad);
    let places = Places { turns: drive, tops_rad: offsets.iter().map(|o| mark_at.si + o).collect() };
    let paired = pair(&found.marks, &sparked.onsets, &places);
    if paired.firings.len() < 4 {
        return Err(NotHeard::NoSparks { found: sparked.onsets.iter().filter(|o| !o.weak).count(), turns: found.marks.len() });
    }
    let of = paired.firings.len() + paired.stray.len();
    if 2 * paired.firings.len() < of {
        return Err(NotHeard::NoPlace { near: paired.firings.len(), of });
    }
    let four = machine.engine.strokes == crate::machine::Strokes::Four;
    let place_list = firings::places(&paired, &found.marks, &cylinders, four && drive == 1.0);
    let rows = firings::rows(&paired, &cylinders);
    let curve = firings::fitted(machine, &rows, mark, given);
    let edges = edges::edges(machine, &rows, mark, &paired, mark_at, given);
    let channels = [0, 1].map(|c| {
        let strong = if c == roles.trigger {
            found.marks.iter().map(|m| f64::from(m.peaks.0.abs().max(m.peaks.1.abs()))).collect()
        } else {
            paired.firings.iter().map(|f| f64::from(f.height)).collect()
        };
        ChannelFound { level: heard[c].level, height: firings::middle(strong).unwrap_or(0.0) }
    });
    let clipped = heard[roles.trigger].level.clipped > 0;
    let pulses = pulses::found(&found.marks, found_kind, mark, machine, drive, clipped, given.volts);
    let points: Vec<Point> = turn_speeds(&found.marks, drive);
    let last_spark = paired.firings.last().map(|f| f.at_s);
    let pace = pace::of(&points, last_spark, pace::By::Turns);
    let mut cautions = cautions(&channels, &found.marks, rate_hz, &points);
    if matches!(mark, MarkFound::Segment { .. }) {
        cautions.push(Caution::LeadNotProved);
    } else {
        cautions.push(Caution::OneMark);
    }
    Ok(Recorded {
        rate_hz,
        seconds,
        channels,
        roles,
        mark,
        mark_at,
        stray_lobes: found.stray,
        marks: found.marks,
        paired,
        places: place_list,
        rows,
        curve,
        edges,
        pulses,
        pace,
        cautions,
    })
}

/// What the marks are, and where they stand before the top of the reference cylinder [rad].
fn placed(
    marks: &[Mark],
    kind: MarkKind,
    machine: &Machine,
    given: &Given,
    drive: f64,
) -> Result<(MarkFound, Finding), NotHeard> {
    let pair = matches!(kind, MarkKind::Pair { .. });
    if let Some(si) = given.mark_rad {
        return Ok((MarkFound::Mark { pair }, Finding { si, plus_minus_si: 0.0 }));
    }
    let MarkKind::Pair { leading_up, .. } = kind else { return Err(NotHeard::MarkNotPlaced) };
    let arc = arc(marks, drive).ok_or(NotHeard::MarkNotPlaced)?;
    let trigger = machine.trigger.as_ref().ok_or(NotHeard::MarkNotPlaced)?;
    let file = edges::segment_rad(trigger).map_or(f64::NAN, |a| a.si);
    if (arc.si / file - 1.0).abs() > LIKE_FILE {
        if arc.si < ONE_HEAD_RAD {
            return Err(NotHeard::MarkNotPlaced);
        }
        return Err(NotHeard::OtherSegment { recorded_rad: arc.si, file_rad: file });
    }
    let place = trigger.pickups.get(given.pickup).map_or(0.0, |p| p.place_error.si);
    // The leading end passes `lead` before the top, the middle half the arc later.
    let si = trigger.lead.si + place - 0.5 * arc.si;
    let plus_minus_si = trigger.lead.plus_minus_si.hypot(0.5 * arc.plus_minus_si);
    Ok((MarkFound::Segment { arc, leading_up }, Finding { si, plus_minus_si }))
}

/// Crank angle between both lobes [rad]; the middle of all turns, taken from the faster half of them, where a turn is more even.
fn arc(marks: &[Mark], drive: f64) -> Option<Finding> {
    let mut phase = Phase::new(marks);
    let mut seen: Vec<(f64, f64)> = marks
        .iter()
        .filter_map(|m| {
            // Both ends lie in two turns that meet at the mark.
            let (a, b) = (phase.at(m.ends_s.0)?, phase.at(m.ends_s.1)?);
            Some((a.speed_rad_s, (b.past_rad - a.past_rad).rem_euclid(TAU) / drive))
        })
        .collect();
    if seen.len() < 3 {
        return None;
    }
    seen.sort_by(|a, b| b.0.total_cmp(&a.0));
    let fast: Vec<f64> = seen[..seen.len().div_ceil(2)].iter().map(|s| s.1).collect();
    let n = fast.len() as f64;
    let middle = firings::middle(fast.clone())?;
    let off = firings::middle(fast.iter().map(|a| (a - middle).abs()).collect())?;
    // The median's standard error is 1.25 times the mean's for normal scatter; a tenth of a degree for the pulses' own shape (own choice).
    let u = 1.253 * firings::MAD_TO_DEVIATION * off / n.sqrt();
    Some(Finding { si: middle, plus_minus_si: (2.0 * u).hypot(0.1 * TAU / 360.0) })
}

fn turn_speeds(marks: &[Mark], drive: f64) -> Vec<Point> {
    let turn = |w: &[Mark]| {
        let turns = f64::from(w[1].turns);
        (w[1].turns > 0).then(|| Point {
            at_s: 0.5 * (w[0].at_s + w[1].at_s),
            speed_rad_s: TAU * turns / drive / (w[1].at_s - w[0].at_s),
            trusted: w[1].turns == 1,
        })
    };
    marks.windows(2).filter_map(turn).collect()
}

fn cautions(channels: &[ChannelFound; 2], marks: &[Mark], rate_hz: f64, points: &[Point]) -> Vec<Caution> {
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
    let missing: u32 = marks.iter().map(|m| m.turns.saturating_sub(1)).sum();
    let breaks = marks.iter().skip(1).filter(|m| m.turns == 0).count();
    if missing > 0 || breaks > 0 {
        all.push(Caution::TurnsMissing { turns: missing as usize, breaks });
    }
    let fastest = points.iter().map(|p| p.speed_rad_s).fold(0.0, f64::max);
    if fastest / rate_hz > COARSE_RAD {
        all.push(Caution::CoarseRate { sample_rad: fastest / rate_hz });
    }
    all
}

/// Whether the law in the file fires from a segment's ends, or may do so.
fn from_segment(machine: &Machine) -> bool {
    machine.trigger.is_some() && machine.law.as_ref().is_none_or(|l| matches!(l, LawData::Ramp { .. } | LawData::TwoEdge { .. }))
}

/// One firing, as it is handed on.
pub type OneFiring = Firing;
/// How often a place fires.
pub type HowOften = Rhythm;
