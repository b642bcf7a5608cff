//! Hears a recording block by block, and holds no more of it than a study needs.

use super::{
    Caution, ChannelFound, Details, Given, MarkFound, NotHeard, Recorded, RolesFound, SILENT, cautions, edges,
    firings::{self, Firings, One},
    pace, placed, pulses, roles, tops,
    turns::Turns,
    uneven::{self, Uneven},
};
use crate::{
    machine::{Machine, Strokes},
    study::Finding,
};
use physics::recording::{Ear, Heard, Lobe, Mark, MarkKind, MarkRow, Onset, Pairing, Phase, Places, Rhythm, Stretch, kind};
use std::f64::consts::TAU;

/// Shortest recording [s] (own choice): a few turns at kicking speed.
pub(super) const SHORTEST_S: f64 = 0.5;
/// Events of a channel after which it must be told which is which [1] (own choice): some thousand turns.
pub(super) const TELL: usize = 32_768;
/// Times that this may fail before the recording counts as none of single pulses [1] (own choice).
const TRIES: usize = 8;
/// Turns from which the place of the mark is told [1] (own choice).
const FIRST_TURNS: usize = 256;
/// Marks that stay behind those that were folded [1] (own choice): enough to tell their noise.
const KEPT: usize = 512;
/// Marks around one that tell its turn [1] (own choice).
const AROUND: usize = 4;
/// Sparks that wait for turns [1] (own choice); where there are none, the older half is given up.
const MOST_ONSETS: usize = 65_536;

/// Hears both channels of a recording.
///
/// What is held does not grow with the recording: events wait until the turns around them are known, and are then folded into counts, samples of fixed size and
/// rows by speed. Single firings are handed on with [`Listener::details`] where they were asked for.
#[derive(Clone, Debug)]
pub struct Listener {
    rate_hz: f64,
    frames: u64,
    ears: [Ear; 2],
    machine: Box<Machine>,
    given: Given,
    stage: Stage,
    /// Single events of this stretch are kept [s].
    wanted_s: Option<(f64, f64)>,
    details: Details,
}

#[derive(Clone, Debug)]
enum Stage {
    /// Which channel is which is not told yet; so often it was tried.
    Before(usize),
    Following(Box<Following>),
    Refused(NotHeard),
}

/// Marks and sparks that wait, and what was folded.
#[derive(Clone, Debug)]
struct Following {
    roles: RolesFound,
    row: MarkRow,
    marks: Vec<Mark>,
    /// Number of the first of them in the row, and breaks before it.
    first: usize,
    breaks: usize,
    /// Marks that were folded, from the first on, and those that were kept as details.
    folded: usize,
    kept: usize,
    onsets: Vec<Onset>,
    surely: usize,
    drive: f64,
    turns: Turns,
    placed: Option<Placed>,
    without_turn: usize,
}

/// Where the mark stands.
#[derive(Clone, Debug)]
struct Placed {
    at: Finding,
    /// Between the segment's ends [rad].
    ends_rad: Option<f64>,
    /// From the mark to the top of each place [rad], at zero for the first.
    offsets: Vec<f64>,
    cylinders: Vec<Vec<usize>>,
    pairing: Pairing,
    firings: Firings,
}

impl Listener {
    /// For so many samples a second of this machine.
    pub fn new(rate_hz: f64, machine: &Machine, given: &Given) -> Self {
        Self {
            rate_hz,
            frames: 0,
            ears: [Ear::new(rate_hz), Ear::new(rate_hz)],
            machine: Box::new(machine.clone()),
            given: *given,
            stage: Stage::Before(0),
            wanted_s: None,
            details: Details::default(),
        }
    }

    /// Single marks, firings, missing and stray sparks of this stretch of time [s] are kept for [`Listener::details`].
    pub fn wanting(mut self, from_s: f64, to_s: f64) -> Self {
        self.wanted_s = Some((from_s, to_s));
        self
    }

    /// The single events that were found and not taken yet.
    pub fn details(&mut self) -> Details {
        std::mem::take(&mut self.details)
    }

    /// Cylinders of each place; empty before it is told.
    pub fn places(&self) -> Vec<Vec<usize>> {
        match &self.stage {
            Stage::Following(f) => f.placed.as_ref().map(|p| p.cylinders.clone()).unwrap_or_default(),
            _ => Vec::new(),
        }
    }

    /// One more block of both channels.
    pub fn push(&mut self, first: &[f32], second: &[f32]) {
        if self.hopeless().is_some() {
            return;
        }
        self.frames += first.len().min(second.len()) as u64;
        let [a, b] = &mut self.ears;
        rayon::join(|| a.push(first), || b.push(second));
        match &mut self.stage {
            Stage::Before(tried) if self.ears.iter().any(|e| e.waiting() >= TELL) => {
                let tried = *tried + 1;
                let heard = self.ears.each_mut().map(Ear::take);
                match Following::begin(&heard, &self.machine, &self.given) {
                    Ok(following) => self.stage = Stage::Following(Box::new(following)),
                    Err(why @ NotHeard::NoSuchPickup) => self.stage = Stage::Refused(why),
                    // What comes later may be clearer.
                    Err(_) if tried < TRIES => self.stage = Stage::Before(tried),
                    Err(_) => {
                        let events = heard.each_ref().map(|h| h.lobes.len().max(h.onsets.len()));
                        self.stage = Stage::Refused(NotHeard::Crowded { channel: usize::from(events[1] > events[0]) });
                    }
                }
            }
            Stage::Following(following) => {
                let trigger = following.roles.trigger;
                let marked = self.ears[trigger].take();
                let sparked = self.ears[1 - trigger].take();
                following.hear(&marked.lobes, &sparked.onsets);
            }
            _ => return,
        }
        self.go_on(false);
    }

    /// Why the rest need not be read, where that is known.
    pub fn hopeless(&self) -> Option<NotHeard> {
        match &self.stage {
            Stage::Refused(why) => Some(*why),
            _ => None,
        }
    }

    /// Lobes, onsets, marks and values that are held.
    pub fn held(&self) -> usize {
        let waiting: usize = self.ears.iter().map(Ear::waiting).sum();
        let details =
            self.details.marks.len() + self.details.firings.len() + self.details.missing.len() + self.details.stray.len();
        let following = match &self.stage {
            Stage::Following(f) => {
                let firings = f.placed.as_ref().map_or(0, |p| p.firings.held());
                f.row.held() + f.marks.len() + f.onsets.len() + f.turns.held() + firings
            }
            _ => 0,
        };
        waiting + details + following
    }

    fn go_on(&mut self, all: bool) {
        let Stage::Following(following) = &mut self.stage else { return };
        match following.go_on(all, &self.machine, &self.given) {
            Ok(None) => {}
            Ok(Some(stretch)) => following.keep(&stretch, self.wanted_s, &mut self.details),
            Err(why) => self.stage = Stage::Refused(why),
        }
    }

    /// The study.
    ///
    /// # Errors
    /// [`NotHeard`].
    pub fn finish(mut self) -> Result<Recorded, NotHeard> {
        let seconds = self.frames as f64 / self.rate_hz;
        if let Some(why) = self.hopeless() {
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
        match &mut self.stage {
            Stage::Following(following) => {
                let trigger = following.roles.trigger;
                following.hear(&heard[trigger].lobes, &heard[1 - trigger].onsets);
            }
            _ => self.stage = Stage::Following(Box::new(Following::begin(&heard, &self.machine, &self.given)?)),
        }
        self.go_on(true);
        match self.stage {
            Stage::Following(following) => {
                following.study(self.rate_hz, seconds, &heard, &self.machine, &self.given, self.details)
            }
            Stage::Refused(why) => Err(why),
            Stage::Before(_) => Err(NotHeard::RolesNotTold),
        }
    }
}

impl Following {
    /// Tells which channel is which, and begins the row.
    fn begin(heard: &[Heard; 2], machine: &Machine, given: &Given) -> Result<Self, NotHeard> {
        let trigger = machine.trigger.as_ref();
        if given.mark_rad.is_none() && trigger.is_some_and(|t| t.pickups.get(given.pickup).is_none()) {
            return Err(NotHeard::NoSuchPickup);
        }
        let drive = trigger.filter(|_| given.mark_rad.is_none()).map_or(1.0, |t| t.drive.turns_per_crank_turn());
        let roles = roles::tell(heard, drive, given)?;
        let no_turns = |why| NotHeard::NoTurns { channel: roles.trigger, why };
        let found_kind = kind(&heard[roles.trigger].lobes).map_err(no_turns)?;
        let mut following = Self {
            roles,
            row: MarkRow::new(found_kind, drive),
            marks: Vec::new(),
            first: 0,
            breaks: 0,
            folded: 0,
            kept: 0,
            onsets: Vec::new(),
            surely: 0,
            drive,
            turns: Turns::new(drive),
            placed: None,
            without_turn: 0,
        };
        following.hear(&heard[roles.trigger].lobes, &heard[1 - roles.trigger].onsets);
        Ok(following)
    }

    fn hear(&mut self, lobes: &[Lobe], onsets: &[Onset]) {
        self.row.push(lobes, &mut self.marks);
        self.surely += onsets.iter().filter(|o| !o.weak).count();
        self.onsets.extend(onsets);
        if self.onsets.len() > MOST_ONSETS {
            self.without_turn += self.onsets.drain(..MOST_ONSETS / 2).filter(|o| !o.weak).count();
        }
    }

    /// Folds the marks that have come, and sets the sparks among them against them.
    fn go_on(&mut self, all: bool, machine: &Machine, given: &Given) -> Result<Option<Stretch>, NotHeard> {
        if all {
            self.row.finish(&mut self.marks);
        }
        let to = if all { self.marks.len() } else { self.marks.len().saturating_sub(AROUND) };
        if to <= self.folded && !all {
            return Ok(None);
        }
        self.turns.add(&self.marks, self.folded..to);
        self.folded = to;
        if self.placed.is_none() {
            if self.turns.count < FIRST_TURNS && !all {
                return Ok(None);
            }
            if self.turns.count < 4 {
                return Err(NotHeard::NoTurns { channel: self.roles.trigger, why: physics::recording::NoMarks::NoPace });
            }
            let (mark, at) = placed(self.turns.arc(&Uneven::of(machine)), self.row.kind(), machine, given)?;
            let pickup = machine.trigger.as_ref().and_then(|t| t.pickups.get(given.pickup));
            let reference = pickup.filter(|_| given.mark_rad.is_none()).and_then(|p| p.fires.first().copied()).unwrap_or(0);
            let (offsets, cylinders) = tops(machine, reference, TAU / self.drive);
            let places = Places { turns: self.drive, tops_rad: offsets.iter().map(|o| at.si + o).collect() };
            let firings = Firings::new(cylinders.len());
            let mut pairing = Pairing::new(places);
            let ends_rad = edges::between(mark, machine);
            pairing.with_ends(ends_rad.map(|arc| arc * self.drive));
            self.placed = Some(Placed { at, ends_rad, offsets, cylinders, pairing, firings });
        }
        let Some(Placed { pairing, firings, .. }) = &mut self.placed else { return Ok(None) };
        let until = if all { f64::INFINITY } else { self.marks[to - 1].at_s };
        let n = self.onsets.partition_point(|o| o.at_s < until);
        let mut stretch = pairing.push(&self.marks, self.first, self.breaks, &self.onsets[..n]);
        self.onsets.drain(..n);
        if all {
            let rest = pairing.finish();
            stretch.firings.extend(rest.firings);
            stretch.missing.extend(rest.missing);
        }
        stretch.firings.iter().for_each(|f| firings.add(f));
        stretch.firings.retain(|f| pairing.rhythm(f.place) != Rhythm::NotHeard);
        Ok(Some(stretch))
    }

    /// Keeps what was asked for, and lets go of marks that nothing needs any more.
    fn keep(&mut self, stretch: &Stretch, wanted_s: Option<(f64, f64)>, details: &mut Details) {
        let drop = self.folded.saturating_sub(KEPT);
        if let Some((from, to)) = wanted_s {
            let inside = |t: f64| (from..=to).contains(&t);
            details.marks.extend(self.marks[self.kept..self.folded].iter().filter(|m| inside(m.at_s)));
            details.firings.extend(stretch.firings.iter().filter(|f| inside(f.at_s)));
            details.missing.extend(stretch.missing.iter().filter(|m| inside(m.1)));
            details.stray.extend(stretch.stray.iter().filter(|s| inside(s.0)));
        }
        self.breaks += self.marks[..drop].iter().filter(|m| m.turns != 1).count();
        self.first += drop;
        self.folded -= drop;
        self.kept = self.folded;
        self.marks.drain(..drop);
    }

    fn study(
        self,
        rate_hz: f64,
        seconds: f64,
        heard: &[Heard; 2],
        machine: &Machine,
        given: &Given,
        details: Details,
    ) -> Result<Recorded, NotHeard> {
        let (roles, turns, stray_lobes, found_kind) = (self.roles, self.turns, self.row.stray(), self.row.kind());
        let Some(Placed { at: first_at, ends_rad: first_ends, offsets, cylinders, pairing, firings }) = self.placed else {
            return Err(NotHeard::RolesNotTold);
        };
        let uneven = Uneven::of(machine);
        // The segment's length is known better by now than when the first firing was told.
        let (mark, mark_at) = placed(turns.arc(&uneven), found_kind, machine, given)?;
        let mut paired = pairing.totals();
        paired.without_turn += self.without_turn;
        if paired.firings() < 4 {
            return Err(NotHeard::NoSparks { found: self.surely, turns: turns.count });
        }
        let of = paired.firings() + paired.stray;
        if 2 * paired.firings() < of {
            return Err(NotHeard::NoPlace { near: paired.firings(), of });
        }
        let both_ends = first_ends.zip(edges::between(mark, machine));
        let known = |place: usize, f: One| {
            let by_ends = both_ends.filter(|_| Phase::ends_tell(TAU / self.drive / f.speed_rad_s));
            let later = match by_ends {
                // The leading end stays where it is.
                Some((first, now)) => {
                    (now - first) * ((first_at.si + 0.5 * first + offsets[place] - f.advance_rad) / first).clamp(0.0, 1.0)
                }
                None => first_at.si - mark_at.si,
            };
            let si = f.advance_rad - later;
            let way = uneven::way(by_ends.map(|e| e.1), mark_at.si + offsets[place], si);
            Finding { si, plus_minus_si: uneven.over(f.speed_rad_s, f.gain_rad_s2, way) }
        };
        let rows = firings.rows(&paired, &cylinders, known);
        let four = machine.engine.strokes == Strokes::Four;
        let places = firings.places(&paired, &rows, &cylinders, four && self.drive == 1.0);
        let curve = firings::fitted(machine, &rows, mark, given);
        let edges = edges::edges(machine, &rows, mark, mark_at, given);
        let (heights, last_spark_s) = firings.heights(&paired);
        let channels = [0, 1].map(|c| {
            let strong = if c == roles.trigger { turns.heights.kept().to_vec() } else { heights.clone() };
            ChannelFound { level: heard[c].level, height: firings::middle(strong).unwrap_or(0.0) }
        });
        let segment = matches!((found_kind, mark), (MarkKind::Pair { .. }, MarkFound::Segment { .. }));
        let clipped = heard[roles.trigger].level.clipped > 0;
        let pulses = segment.then(|| pulses::found(&turns, found_kind, machine, self.drive, clipped, given.volts)).flatten();
        let pace = pace::of(turns.course.points(), last_spark_s, pace::By::Turns);
        let mut all = cautions(&channels, &turns, rate_hz);
        all.push(if matches!(mark, MarkFound::Segment { .. }) { Caution::LeadNotProved } else { Caution::OneMark });
        Ok(Recorded {
            rate_hz,
            seconds,
            channels,
            roles,
            mark,
            mark_at,
            turns: turns.count,
            stray_lobes,
            paired,
            places,
            rows,
            curve,
            edges,
            pulses,
            pace,
            cautions: all,
            details,
        })
    }
}
