//! Every spark set against the turn in which it comes.

use super::{
    firing::{Firing, Rhythm, Stretch, Totals},
    marks::{Mark, median},
    middles::{Counts, FIRST_MIDDLE, FIRST_WINDOW, Middles, step},
    onsets::Onset,
    phase::{Phase, Standing},
};
use std::f64::consts::TAU;

/// What is known of the engine.
#[derive(Clone, Debug)]
pub struct Places {
    /// Turns of the rotor for one turn of the crank.
    pub turns: f64,
    /// Crank angle from the mark to the top dead centre of each cylinder or group of them that fires at one angle [rad], positive behind it.
    pub tops_rad: Vec<f64>,
}

/// All sparks of a recording.
#[derive(Clone, Debug)]
pub struct Paired {
    /// What is said of each.
    pub told: Stretch,
    /// Counted.
    pub totals: Totals,
}

/// A firing lies within this of the middle of those at its speed [rad] (own choice).
const WINDOW: f64 = 14.0 * TAU / 360.0;
/// Sparks that follow the first within so many seconds and radians of crank are its own [s], [rad] (own choice).
const REPEATS_S: f64 = 30e-3;
const REPEATS_RAD: f64 = 100.0 * TAU / 360.0;
/// A place that fires in fewer turns than this share is not heard \[1\] (own choice).
const HEARD: f64 = 0.2;
/// Firings in a row that miss before the ignition counts as cut [1] (own choice).
const CUT: usize = 20;
/// Sparks whose middle height is taken as the usual one [1] (own choice); with fewer, that of the stretch before counts.
const TELL_HEIGHT: usize = 32;

/// Sets every spark against the row of marks; all of a recording at once. The ends of marks are so far apart on the rotor [rad], where they have two.
pub fn pair(marks: &[Mark], onsets: &[Onset], places: &Places, ends_rad: Option<f64>) -> Paired {
    let mut pairing = Pairing::new(places.clone());
    pairing.with_ends(ends_rad);
    let mut told = pairing.push(marks, 0, 0, onsets);
    told.firings.extend(pairing.finish().firings);
    let totals = pairing.totals();
    told.firings.retain(|f| totals.rhythm[f.place] != Rhythm::NotHeard);
    Paired { told, totals }
}

/// Sets sparks against the row of marks, stretch by stretch.
///
/// Twice: first with a wide window about usual advances, then about the middle of all firings at the same speed, so that a sweep of the
/// speed does not widen it. The first spark in the window is the firing, what follows shortly is its repeat, what lies elsewhere is stray.
/// Middles are those of all that came so far. What is held does not grow with the sparks.
#[derive(Clone, Debug)]
pub struct Pairing {
    places: Places,
    ends_rad: Option<f64>,
    counts: Counts,
    usual: Option<f64>,
    /// The newest firing, which may be repeated yet.
    open: Option<Firing>,
    /// The last closed one of each place, and when it last fired [s].
    before: Vec<Option<Firing>>,
    fired_s: Vec<Option<f64>>,
    tallies: Vec<Tally>,
    /// Marks of the first and the last firing.
    span: Option<(usize, usize)>,
    stray: usize,
    without_turn: usize,
}

/// Steps from one firing of a place to the next: all, those over an even number of turns, and firings lost if it fires in every turn, and in every
/// second one.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    fired: usize,
    steps: usize,
    twos: usize,
    lost: [usize; 2],
}

impl Pairing {
    /// For an engine of which nothing was heard yet.
    pub fn new(places: Places) -> Self {
        let n = places.tops_rad.len();
        Self {
            places,
            ends_rad: None,
            counts: Counts::default(),
            usual: None,
            open: None,
            before: vec![None; n],
            fired_s: vec![None; n],
            tallies: vec![Tally::default(); n],
            span: None,
            stray: 0,
            without_turn: 0,
        }
    }

    /// Marks have two ends, so far apart on the rotor [rad]: see [`Phase::with_ends`].
    pub fn with_ends(&mut self, ends_rad: Option<f64>) {
        self.ends_rad = ends_rad;
    }

    /// Sparks, in order, and the marks around them, the first of which is number `first` of the row, `breaks` breaks before it. The newest firing may come with
    /// the next stretch.
    pub fn push(&mut self, marks: &[Mark], first: usize, breaks: usize, onsets: &[Onset]) -> Stretch {
        let turn_rad = TAU / self.places.turns;
        let mut phase = Phase::new(marks).with_ends(self.ends_rad);
        let standing: Vec<Option<Standing>> = onsets.iter().map(|o| phase.at(o.at_s)).collect();
        let broken: Vec<usize> = marks
            .iter()
            .scan(breaks, |n, m| {
                *n += usize::from(m.turns != 1);
                Some(*n)
            })
            .collect();
        for s in standing.iter().zip(onsets).filter(|(_, o)| !o.weak).filter_map(|(s, _)| s.as_ref()) {
            let nearest = (0..self.places.tops_rad.len()).map(|p| (p, self.advance(s.past_rad, p)));
            let nearest = nearest.min_by(|a, b| (a.1 - FIRST_MIDDLE).abs().total_cmp(&(b.1 - FIRST_MIDDLE).abs()));
            if let Some((place, a)) = nearest.filter(|(_, a)| (a - FIRST_MIDDLE).abs() < FIRST_WINDOW) {
                self.counts.add(place, step(s.speed_rad_s / self.places.turns), a);
            }
        }
        let middles = self.counts.middles();
        let nearest: Vec<Option<Near>> = standing.iter().map(|s| self.nearest(&middles, s.as_ref()?)).collect();
        let weak_counts = self.weak_ones_that_count(onsets, &nearest);
        let mut told = Stretch::default();
        let mut steps = Vec::new();
        for (i, (onset, s)) in onsets.iter().zip(&standing).enumerate() {
            if onset.weak && !weak_counts[i] {
                continue;
            }
            let Some(s) = s else {
                self.without_turn += 1;
                continue;
            };
            let speed = s.speed_rad_s / self.places.turns;
            // What follows a firing is its own before it is anything else.
            let later = self.open.map_or(f64::INFINITY, |f| onset.at_s - f.at_s);
            let own = later < REPEATS_S && later * speed < REPEATS_RAD;
            let near = nearest[i].filter(|(_, _, d)| d.abs() < WINDOW);
            let fires =
                near.filter(|(p, ..)| self.fired_s[*p].is_none_or(|before| (onset.at_s - before) * speed > 0.5 * turn_rad));
            match (fires, self.open.as_mut().filter(|_| own)) {
                (Some((place, advance_rad, _)), _) => {
                    self.close(&mut told, &mut steps);
                    self.fired_s[place] = Some(onset.at_s);
                    self.open = Some(Firing {
                        at_s: onset.at_s,
                        mark: first + s.mark,
                        breaks: broken[s.mark],
                        past_rad: s.past_rad,
                        place,
                        speed_rad_s: speed,
                        gain_rad_s2: s.gain_rad_s2 / self.places.turns,
                        advance_rad,
                        height: onset.greatest,
                        lasts_s: onset.lasts_s,
                        repeats: 0,
                    });
                }
                (None, Some(open)) => open.repeats = open.repeats.saturating_add(1),
                (None, None) => told.stray.push((onset.at_s, nearest[i].map_or(f64::NAN, |n| n.1))),
            }
        }
        self.told(told, &steps)
    }

    /// The newest firing.
    pub fn finish(&mut self) -> Stretch {
        let (mut told, mut steps) = (Stretch::default(), Vec::new());
        self.close(&mut told, &mut steps);
        self.told(told, &steps)
    }

    /// How often this place fires, by all that came so far.
    pub fn rhythm(&self, place: usize) -> Rhythm {
        let tally = &self.tallies[place];
        // Turns over which anything sparks at all.
        let span = self.span.map_or(0, |(first, last)| last - first);
        match tally.fired as f64 > HEARD * span as f64 && tally.fired > 3 {
            false => Rhythm::NotHeard,
            true if 4 * tally.twos > 3 * tally.steps => Rhythm::EverySecond,
            true => Rhythm::EveryTurn,
        }
    }

    /// Everything counted; the newest firing counts once [`Pairing::finish`] was called.
    pub fn totals(&self) -> Totals {
        let rhythm: Vec<Rhythm> = (0..self.tallies.len()).map(|p| self.rhythm(p)).collect();
        let heard = |p: usize| rhythm[p] != Rhythm::NotHeard;
        let fired = |p: usize| self.tallies[p].fired;
        let lost = |p: usize| self.tallies[p].lost[usize::from(rhythm[p] == Rhythm::EverySecond)];
        let each = 0..self.tallies.len();
        Totals {
            fired: each.clone().map(|p| if heard(p) { fired(p) } else { 0 }).collect(),
            due: each.clone().map(|p| if heard(p) { fired(p) + lost(p) } else { 0 }).collect(),
            stray: self.stray,
            without_turn: self.without_turn,
            elsewhere: each.filter(|p| !heard(*p)).map(fired).sum(),
            rhythm,
        }
    }

    /// So many sparks came where there are no turns.
    pub fn without_turn(&mut self, sparks: usize) {
        self.without_turn += sparks;
    }

    fn advance(&self, past_rad: f64, place: usize) -> f64 {
        let turn_rad = TAU / self.places.turns;
        let a = (self.places.tops_rad[place] - past_rad / self.places.turns).rem_euclid(turn_rad);
        if a > 0.5 * turn_rad { a - turn_rad } else { a }
    }

    fn nearest(&self, middles: &Middles, s: &Standing) -> Option<Near> {
        let off = |p: usize| {
            let a = self.advance(s.past_rad, p);
            middles.at(p, step(s.speed_rad_s / self.places.turns)).map(|m| (p, a, a - m))
        };
        (0..self.places.tops_rad.len()).filter_map(off).min_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
    }

    /// The open firing is done with: counted, and held against the one before of its place.
    fn close(&mut self, told: &mut Stretch, steps: &mut Vec<Step>) {
        let Some(firing) = self.open.take() else { return };
        let turn_rad = TAU / self.places.turns;
        let tally = &mut self.tallies[firing.place];
        tally.fired += 1;
        self.span = Some((self.span.map_or(firing.mark, |s| s.0), firing.mark));
        if let Some(before) = self.before[firing.place].replace(firing).filter(|b| b.breaks == firing.breaks) {
            // Turns from one firing to the next; the same spark moves across the mark when the advance changes.
            let moved = (firing.past_rad - before.past_rad) / self.places.turns;
            let n = (((firing.mark - before.mark) as f64 * turn_rad + moved) / turn_rad).round() as usize;
            tally.steps += 1;
            if n <= CUT {
                tally.twos += usize::from(n.is_multiple_of(2));
                tally.lost = [tally.lost[0] + n.saturating_sub(1), tally.lost[1] + (n / 2).saturating_sub(1)];
                steps.push((firing.place, n, before.at_s, firing.at_s));
            }
        }
        told.firings.push(firing);
    }

    /// With what is missing, by the rhythm known by now.
    fn told(&mut self, mut told: Stretch, steps: &[Step]) -> Stretch {
        self.stray += told.stray.len();
        for (place, n, from, to) in steps {
            let each = match self.rhythm(*place) {
                Rhythm::NotHeard => continue,
                Rhythm::EveryTurn => 1,
                Rhythm::EverySecond => 2,
            };
            let lost = (n / each).saturating_sub(1);
            let at = |k: usize| from + k as f64 / (lost + 1) as f64 * (to - from);
            told.missing.extend((1..=lost).map(|k| (*place, at(k))));
        }
        told.missing.sort_by(|a, b| a.1.total_cmp(&b.1));
        told
    }

    fn weak_ones_that_count(&mut self, onsets: &[Onset], nearest: &[Option<Near>]) -> Vec<bool> {
        let due = |i: usize| nearest[i].filter(|n| n.2.abs() < WINDOW).map(|n| n.0);
        let mut heights: Vec<f64> =
            (0..onsets.len()).filter(|i| !onsets[*i].weak && due(*i).is_some()).map(|i| f64::from(onsets[i].greatest)).collect();
        if self.usual.is_none() || heights.len() >= TELL_HEIGHT {
            self.usual = median(&mut heights);
        }
        let Some(usual) = self.usual else { return vec![false; onsets.len()] };
        let counts = |i: usize| {
            let Some(place) = due(i).filter(|_| onsets[i].weak && onsets[i].greatest > WEAK_COUNTS * usual as f32) else {
                return false;
            };
            // A surer one of the same firing, a little before or behind.
            let surer =
                |j: &usize| !onsets[*j].weak && due(*j) == Some(place) && (onsets[*j].at_s - onsets[i].at_s).abs() < SAME_S;
            let before = i.saturating_sub(4)..i;
            let behind = i + 1..(i + 5).min(onsets.len());
            !before.chain(behind).any(|j| surer(&j))
        };
        (0..onsets.len()).map(counts).collect()
    }
}

/// A place, the advance there, and how far that is off the middle [rad].
type Near = (usize, f64, f64);
/// A place, turns, and the times of both firings [s].
type Step = (usize, usize, f64, f64);

/// A weak onset counts above this share of the usual height of a spark \[1\] (own choice), where a spark is due and no surer one is there.
const WEAK_COUNTS: f32 = 0.6;
/// Onsets of one firing lie within so many seconds [s] (own choice): the window at kicking speed.
const SAME_S: f64 = 2e-3;

#[cfg(test)]
mod tests {
    use super::*;

    fn row(turns: usize, turn_s: f64) -> Vec<Mark> {
        let mark = |i: usize| {
            let at_s = i as f64 * turn_s;
            Mark { at_s, ends_s: (at_s, at_s), peaks: (1.0, 1.0), width_s: 0.0, foot_s: 0.0, turns: u32::from(i > 0) }
        };
        (0..turns).map(mark).collect()
    }

    fn spark(at_s: f64) -> Onset {
        Onset { at_s, peak: 1.0, greatest: 1.0, lasts_s: 1e-3, rise_s: 1e-5, weak: false }
    }

    /// 20 ms a turn, top dead centre at the mark: a spark of 18° comes 1 ms before it.
    #[test]
    fn advance_missing_double_and_stray() {
        let marks = row(101, 0.02);
        let mut onsets: Vec<Onset> = (1..100).filter(|k| *k != 40 && *k != 41).map(|k| spark(0.02 * k as f64 - 0.001)).collect();
        // A second spark 1 ms later, and one far from any firing.
        onsets.push(spark(0.02 * 30.0));
        onsets.push(spark(0.02 * 60.0 + 0.009));
        onsets.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0] }, None);
        assert_eq!(found.told.firings.len(), 97);
        assert_eq!(found.totals.rhythm, [Rhythm::EveryTurn]);
        assert_eq!((found.told.missing.len(), found.totals.due[0]), (2, 99));
        assert_eq!(found.told.stray.len(), 1);
        assert_eq!(found.told.firings.iter().map(|f| f.repeats).sum::<u16>(), 1);
        assert!(found.told.firings.iter().all(|f| (f.advance_rad.to_degrees() - 18.0).abs() < 1e-6));
    }

    #[test]
    fn two_cylinders_and_every_second_turn() {
        let marks = row(101, 0.02);
        // The second fires half a turn behind the first, 2° later, and only in every second turn.
        let first = (1..100).map(|k| spark(0.02 * k as f64 - 0.001));
        let second = (1..50).map(|k| spark(0.04 * k as f64 + 0.01 - 0.001 * 16.0 / 18.0));
        let mut onsets: Vec<Onset> = first.chain(second).collect();
        onsets.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0, 0.5 * TAU] }, None);
        assert_eq!(found.totals.rhythm, [Rhythm::EveryTurn, Rhythm::EverySecond]);
        assert!(found.told.missing.is_empty() && found.told.stray.is_empty());
        for f in &found.told.firings {
            let want = if f.place == 0 { 18.0 } else { 16.0 };
            assert!((f.advance_rad.to_degrees() - want).abs() < 1e-6);
        }
    }

    #[test]
    fn a_cut_ignition_is_no_missing_spark() {
        let marks = row(101, 0.02);
        let onsets: Vec<Onset> = (1..50).map(|k| spark(0.02 * k as f64 - 0.001)).collect();
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0] }, None);
        assert_eq!((found.told.missing.len(), found.totals.due[0], found.totals.rhythm[0]), (0, 49, Rhythm::EveryTurn));
    }
}
