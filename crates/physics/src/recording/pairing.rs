//! Every spark set against the turn in which it comes.

use super::{
    marks::{Mark, median},
    onsets::Onset,
    phase::Phase,
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

/// One firing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Firing {
    /// When [s].
    pub at_s: f64,
    /// The mark passed last: index into the row.
    pub mark: usize,
    /// Which of the places.
    pub place: usize,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// How fast the crank gains speed [rad/s²].
    pub gain_rad_s2: f64,
    /// Advance before that top dead centre [rad].
    pub advance_rad: f64,
    /// Height of the spark.
    pub height: f32,
    /// How long it is heard [s].
    pub lasts_s: f32,
    /// Sparks that follow it within the same firing.
    pub repeats: u16,
}

/// How often a place fires.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rhythm {
    /// It is not heard in this channel.
    NotHeard,
    /// In every turn of the rotor.
    EveryTurn,
    /// In every second one.
    EverySecond,
}

/// All sparks of a recording.
#[derive(Clone, Debug)]
pub struct Paired {
    /// In order of time.
    pub firings: Vec<Firing>,
    /// How often each place fires.
    pub rhythm: Vec<Rhythm>,
    /// Firings that each place should have had, while sparks went on at all.
    pub due: Vec<usize>,
    /// Place and time [s] of those that are missing.
    pub missing: Vec<(usize, f64)>,
    /// Sparks that belong to no firing: time [s], and advance of the nearest place [rad].
    pub stray: Vec<(f64, f64)>,
    /// Sparks outside of the row of marks, of which nothing can be said.
    pub without_turn: usize,
    /// Sparks at a place that is not heard as a rule: another lead's, now and then.
    pub elsewhere: usize,
}

/// Advances before anything is known: middle and half-width of the window [rad] (common practice, no source): 30° after to 80° before.
const FIRST_MIDDLE: f64 = 25.0 * TAU / 360.0;
const FIRST_WINDOW: f64 = 55.0 * TAU / 360.0;
/// A firing lies within this of the middle of those at its speed [rad] (own choice).
const WINDOW: f64 = 14.0 * TAU / 360.0;
/// Width of a step of speed in its logarithm \[1\] (own choice).
const STEP: f64 = 0.06;
/// Sparks that follow the first within so many seconds and radians of crank are its own [s], [rad] (own choice).
const REPEATS_S: f64 = 30e-3;
const REPEATS_RAD: f64 = 100.0 * TAU / 360.0;
/// A place that fires in fewer turns than this share is not heard \[1\] (own choice).
const HEARD: f64 = 0.2;
/// Firings in a row that miss before the ignition counts as cut [1] (own choice).
const CUT: usize = 20;

/// Sets every spark against the row of marks.
///
/// Twice: first with a wide window about usual advances, then about the middle of all firings at the same speed, so that a sweep of the
/// speed does not widen it. The first spark in the window is the firing, what follows shortly is its repeat, what lies elsewhere is stray.
pub fn pair(marks: &[Mark], onsets: &[Onset], places: &Places) -> Paired {
    let turn_rad = TAU / places.turns;
    let mut phase = Phase::new(marks);
    let standing: Vec<_> = onsets.iter().map(|o| phase.at(o.at_s)).collect();
    let advance = |past_rad: f64, place: usize| {
        let a = (places.tops_rad[place] - past_rad / places.turns).rem_euclid(turn_rad);
        if a > 0.5 * turn_rad { a - turn_rad } else { a }
    };
    let step = |speed: f64| (speed.max(1.0).ln() / STEP).round() as i64;
    // Middles by place and step of speed, from the sparks that may be firings.
    let mut seen: Vec<(usize, i64, f64)> = Vec::new();
    for s in standing.iter().zip(onsets).filter(|(_, o)| !o.weak).filter_map(|(s, _)| s.as_ref()) {
        let nearest = (0..places.tops_rad.len()).map(|p| (p, advance(s.past_rad, p)));
        let nearest = nearest.min_by(|a, b| (a.1 - FIRST_MIDDLE).abs().total_cmp(&(b.1 - FIRST_MIDDLE).abs()));
        if let Some((place, a)) = nearest.filter(|(_, a)| (a - FIRST_MIDDLE).abs() < FIRST_WINDOW) {
            seen.push((place, step(s.speed_rad_s / places.turns), a));
        }
    }
    let middles = Middles::of(seen);
    let mut paired = Paired {
        firings: Vec::new(),
        rhythm: Vec::new(),
        due: Vec::new(),
        missing: Vec::new(),
        stray: Vec::new(),
        without_turn: 0,
        elsewhere: 0,
    };
    let mut last: Vec<Option<usize>> = vec![None; places.tops_rad.len()];
    let nearest: Vec<Option<(usize, f64, f64)>> = standing
        .iter()
        .map(|s| {
            let s = s.as_ref()?;
            let off = |p: usize| {
                let a = advance(s.past_rad, p);
                middles.at(p, step(s.speed_rad_s / places.turns)).map(|m| (p, a, a - m))
            };
            (0..places.tops_rad.len()).filter_map(off).min_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
        })
        .collect();
    let weak_counts = weak_ones_that_count(onsets, &nearest);
    for (i, (onset, s)) in onsets.iter().zip(&standing).enumerate() {
        if onset.weak && !weak_counts[i] {
            continue;
        }
        let Some(s) = s else {
            paired.without_turn += 1;
            continue;
        };
        let speed = s.speed_rad_s / places.turns;
        let nearest = nearest[i];
        // What follows a firing is its own before it is anything else.
        let own = last.iter().flatten().copied().max().filter(|i| {
            let firing = &paired.firings[*i];
            let later = onset.at_s - firing.at_s;
            later < REPEATS_S && later * speed < REPEATS_RAD
        });
        let near = nearest.filter(|(_, _, d)| d.abs() < WINDOW);
        let fires =
            near.filter(|(p, ..)| last[*p].is_none_or(|i| (onset.at_s - paired.firings[i].at_s) * speed > 0.5 * turn_rad));
        match (fires, own) {
            (Some((place, advance_rad, _)), _) => {
                last[place] = Some(paired.firings.len());
                paired.firings.push(Firing {
                    at_s: onset.at_s,
                    mark: s.mark,
                    place,
                    speed_rad_s: speed,
                    gain_rad_s2: s.gain_rad_s2 / places.turns,
                    advance_rad,
                    height: onset.greatest,
                    lasts_s: onset.lasts_s,
                    repeats: 0,
                });
            }
            (None, Some(i)) => paired.firings[i].repeats += 1,
            (None, None) => paired.stray.push((onset.at_s, nearest.map_or(f64::NAN, |n| n.1))),
        }
    }
    for place in 0..places.tops_rad.len() {
        count(marks, place, places, &mut paired);
    }
    let all = paired.firings.len();
    let rhythm = &paired.rhythm;
    paired.firings.retain(|f| rhythm[f.place] != Rhythm::NotHeard);
    paired.elsewhere = all - paired.firings.len();
    paired.missing.sort_by(|a, b| a.1.total_cmp(&b.1));
    paired
}

/// A weak onset counts above this share of the usual height of a spark \[1\] (own choice), where a spark is due and no surer one is there.
const WEAK_COUNTS: f32 = 0.6;

fn weak_ones_that_count(onsets: &[Onset], nearest: &[Option<(usize, f64, f64)>]) -> Vec<bool> {
    let due = |i: usize| nearest[i].filter(|n| n.2.abs() < WINDOW).map(|n| n.0);
    let mut heights: Vec<f64> =
        (0..onsets.len()).filter(|i| !onsets[*i].weak && due(*i).is_some()).map(|i| f64::from(onsets[i].greatest)).collect();
    let Some(usual) = median(&mut heights) else { return vec![false; onsets.len()] };
    let counts = |i: usize| {
        let Some(place) = due(i).filter(|_| onsets[i].weak && onsets[i].greatest > WEAK_COUNTS * usual as f32) else {
            return false;
        };
        // A surer one of the same firing, a little before or behind.
        let surer = |j: &usize| !onsets[*j].weak && due(*j) == Some(place) && (onsets[*j].at_s - onsets[i].at_s).abs() < SAME_S;
        let before = i.saturating_sub(4)..i;
        let behind = i + 1..(i + 5).min(onsets.len());
        !before.chain(behind).any(|j| surer(&j))
    };
    (0..onsets.len()).map(counts).collect()
}

/// Onsets of one firing lie within so many seconds [s] (own choice): the window at kicking speed.
const SAME_S: f64 = 2e-3;

/// Middle of the advances at each place and step of speed.
struct Middles(Vec<(usize, i64, f64, usize)>);

impl Middles {
    fn of(mut seen: Vec<(usize, i64, f64)>) -> Self {
        seen.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
        let groups = seen.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1));
        Self(groups.map(|g| (g[0].0, g[0].1, g[g.len() / 2].2, g.len())).collect())
    }

    /// Of the step, or of the nearest one that has any; steps with few are mixed with their neighbours.
    fn at(&self, place: usize, step: i64) -> Option<f64> {
        /// Sparks that make a middle of their own [1] (own choice).
        const ENOUGH: usize = 5;
        let of = self.0.iter().filter(|m| m.0 == place);
        let near = of.min_by_key(|m| ((m.1 - step).abs(), m.3 < ENOUGH))?;
        if near.3 >= ENOUGH {
            return Some(near.2);
        }
        // With few, one of them may be stray: the middle of three steps, each as often as it was seen.
        let mut around: Vec<f64> = Vec::new();
        for m in self.0.iter().filter(|m| m.0 == place && (m.1 - near.1).abs() <= 2) {
            around.extend(std::iter::repeat_n(m.2, m.3.min(ENOUGH)));
        }
        median(&mut around)
    }
}

/// How often a place fires, and which firings are missing.
fn count(marks: &[Mark], place: usize, places: &Places, paired: &mut Paired) {
    let own: Vec<&Firing> = paired.firings.iter().filter(|f| f.place == place).collect();
    let turn_rad = TAU / places.turns;
    // Turns from one firing to the next, by the marks between.
    let whole = |a: &Firing, b: &Firing| {
        let between = &marks[a.mark + 1..=b.mark];
        let turns: u32 = between.iter().map(|m| m.turns).sum();
        let broken = between.iter().any(|m| m.turns != 1);
        // The same spark moves across the mark when the advance changes.
        let moved = (b.mark_angle(marks) - a.mark_angle(marks)) / places.turns;
        (!broken).then(|| ((f64::from(turns) * turn_rad + moved) / turn_rad).round() as usize)
    };
    let steps: Vec<(usize, f64)> = own.windows(2).filter_map(|w| whole(w[0], w[1]).map(|n| (n, w[0].at_s))).collect();
    // Turns over which anything sparks at all.
    let span = paired.firings.last().map_or(0, |l| l.mark) - paired.firings.first().map_or(0, |f| f.mark);
    let heard = own.len() as f64 > HEARD * span as f64 && own.len() > 3;
    let twos = steps.iter().filter(|s| s.0 % 2 == 0 && s.0 <= CUT).count();
    let rhythm = match heard {
        false => Rhythm::NotHeard,
        true if 4 * twos > 3 * steps.len() => Rhythm::EverySecond,
        true => Rhythm::EveryTurn,
    };
    let each = if rhythm == Rhythm::EverySecond { 2 } else { 1 };
    let mut due = own.len();
    if rhythm != Rhythm::NotHeard {
        for (i, w) in own.windows(2).enumerate() {
            let Some(n) = whole(w[0], w[1]).filter(|n| *n <= CUT) else { continue };
            let lost = (n / each).saturating_sub(1);
            due += lost;
            for k in 1..=lost {
                let share = k as f64 / (lost + 1) as f64;
                paired.missing.push((place, own[i].at_s + share * (w[1].at_s - w[0].at_s)));
            }
        }
    }
    paired.rhythm.push(rhythm);
    paired.due.push(due);
}

impl Firing {
    /// Angle of the rotor since the mark [rad], from the advance's side.
    fn mark_angle(&self, marks: &[Mark]) -> f64 {
        let turn = marks.get(self.mark + 1).map_or(f64::INFINITY, |m| m.at_s - marks[self.mark].at_s);
        TAU * (self.at_s - marks[self.mark].at_s) / turn
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(turns: usize, turn_s: f64) -> Vec<Mark> {
        let mark = |i: usize| {
            let at_s = i as f64 * turn_s;
            Mark { at_s, ends_s: (at_s, at_s), peaks: (1.0, 1.0), width_s: 0.0, turns: u32::from(i > 0) }
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
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0] });
        assert_eq!(found.firings.len(), 97);
        assert_eq!(found.rhythm, [Rhythm::EveryTurn]);
        assert_eq!((found.missing.len(), found.due[0]), (2, 99));
        assert_eq!(found.stray.len(), 1);
        assert_eq!(found.firings.iter().map(|f| f.repeats).sum::<u16>(), 1);
        assert!(found.firings.iter().all(|f| (f.advance_rad.to_degrees() - 18.0).abs() < 1e-6));
    }

    #[test]
    fn two_cylinders_and_every_second_turn() {
        let marks = row(101, 0.02);
        // The second fires half a turn behind the first, 2° later, and only in every second turn.
        let first = (1..100).map(|k| spark(0.02 * k as f64 - 0.001));
        let second = (1..50).map(|k| spark(0.04 * k as f64 + 0.01 - 0.001 * 16.0 / 18.0));
        let mut onsets: Vec<Onset> = first.chain(second).collect();
        onsets.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0, 0.5 * TAU] });
        assert_eq!(found.rhythm, [Rhythm::EveryTurn, Rhythm::EverySecond]);
        assert!(found.missing.is_empty() && found.stray.is_empty());
        for f in &found.firings {
            let want = if f.place == 0 { 18.0 } else { 16.0 };
            assert!((f.advance_rad.to_degrees() - want).abs() < 1e-6);
        }
    }

    #[test]
    fn a_cut_ignition_is_no_missing_spark() {
        let marks = row(101, 0.02);
        let onsets: Vec<Onset> = (1..50).map(|k| spark(0.02 * k as f64 - 0.001)).collect();
        let found = pair(&marks, &onsets, &Places { turns: 1.0, tops_rad: vec![0.0] });
        assert_eq!((found.missing.len(), found.due[0], found.rhythm[0]), (0, 49, Rhythm::EveryTurn));
    }
}
