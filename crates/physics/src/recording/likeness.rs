//! What the sparks of one recording have in common, so that noise moves their time less.

use super::{ear::Flat, interpolate::FINER};

/// From so many samples before an onset to so many behind it [1] (own choice): the jump and one or two swings of the ringing.
const BEFORE: isize = 3;
const BEHIND: isize = 9;
const FINE: isize = FINER as isize;
const PLACES: usize = ((BEFORE + BEHIND) * FINE + 1) as usize;
/// Sparks that are learned from before what was learned is used [1] (own choice).
const ENOUGH: u32 = 12;
/// How far a time may be moved [1/8 sample] (own choice).
const MOST: isize = 8;
/// How far a spark is sought where noise seems to have been taken for it [1/8 sample] (own choice).
const FARTHEST: isize = 12 * FINE;
/// A spark less like the others than this is left as it is \[1\] (own choice).
const LIKE: f64 = 0.75;
/// How fast what is learned follows \[1\] (own choice).
const FOLLOW: f64 = 0.02;

/// The mean course of sparks about their onset, at every eighth of a sample.
///
/// A time by the flank alone uses a sample or two; the place at which the whole course fits best uses all of them (matched filter: Turin,
/// IRE Trans. Inf. Theory 6 (1960) 311–329). What is learned is laid where the flanks' times are on the mean.
#[derive(Clone, Debug)]
pub(super) struct Course {
    mean: [f64; PLACES],
    count: u32,
}

impl Course {
    pub(super) fn new() -> Self {
        Self { mean: [0.0; PLACES], count: 0 }
    }

    /// A better time for an onset at so many eighths of a sample, with its sign and the height of its top; learns from it.
    pub(super) fn refined(&mut self, flat: &Flat, onset: f64, sign: f64, top: f64, flank: f64) -> f64 {
        let zero = onset.round() as isize;
        let start = zero - BEFORE * FINE - MOST;
        let near: Vec<f64> = (0..PLACES as isize + 2 * MOST).map(|i| sign * flat.at(start + i) / top).collect();
        let likeness = |by: isize| {
            let from = (MOST + by) as usize;
            let (mut with, mut own, mut theirs) = (0.0, 0.0, 0.0);
            for k in (0..PLACES).step_by(FINER) {
                let v = near[from + k];
                with += v * self.mean[k];
                own += v * v;
                theirs += self.mean[k] * self.mean[k];
            }
            if own > 0.0 && theirs > 0.0 { with / (own * theirs).sqrt() } else { 0.0 }
        };
        let best = (-MOST..=MOST).max_by(|a, b| likeness(*a).total_cmp(&likeness(*b))).unwrap_or(0);
        let like = likeness(best);
        if self.count >= ENOUGH && like < LIKE {
            return self.sought(flat, zero).map_or(onset, |at| at as f64 + self.crossing(flank));
        }
        let answer = if self.count >= ENOUGH && best.abs() < MOST {
            let (a, c) = (likeness(best - 1), likeness(best + 1));
            let bend = a - 2.0 * like + c;
            let share = if bend < 0.0 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 };
            zero as f64 + best as f64 + share + self.crossing(flank)
        } else {
            onset
        };
        let step = (1.0 / f64::from(self.count + 1)).max(FOLLOW);
        for (m, v) in self.mean.iter_mut().zip(&near[MOST as usize..]) {
            *m += step * (v - *m);
        }
        self.count = self.count.saturating_add(1);
        answer
    }

    /// Where the course is met farther away: noise may have been taken for the first swing. Either way up.
    fn sought(&self, flat: &Flat, zero: isize) -> Option<isize> {
        let likeness = |at: isize| {
            let (mut with, mut own, mut theirs) = (0.0, 0.0, 0.0);
            for k in (0..PLACES).step_by(FINER) {
                let v = flat.at(at - BEFORE * FINE + k as isize);
                with += v * self.mean[k];
                own += v * v;
                theirs += self.mean[k] * self.mean[k];
            }
            if own > 0.0 && theirs > 0.0 { with.abs() / (own * theirs).sqrt() } else { 0.0 }
        };
        let best = (-FARTHEST..=FARTHEST).map(|by| (zero + by, likeness(zero + by))).max_by(|a, b| a.1.total_cmp(&b.1))?;
        (best.1 >= LIKE).then_some(best.0)
    }

    /// Where the mean course itself passes the flank's share of its first top, in eighths from where its sparks' flanks were taken.
    fn crossing(&self, flank: f64) -> f64 {
        let zero = (BEFORE * FINE) as usize;
        let (mut top, mut at) = (0.0, zero);
        for (i, v) in self.mean.iter().enumerate().skip(zero).take(2 * FINER) {
            if *v > top {
                (top, at) = (*v, i);
            } else if *v < 0.5 * top {
                break;
            }
        }
        for i in (1..=at).rev() {
            let (low, high) = (self.mean[i - 1], self.mean[i]);
            if low < flank * top && high >= flank * top {
                let by = (i - 1) as f64 + (flank * top - low) / (high - low) - zero as f64;
                return by.clamp(-(FINER as f64), FINER as f64);
            }
        }
        0.0
    }
}
