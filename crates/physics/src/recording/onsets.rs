//! Where sparks begin in the channel that hears them.

use super::{
    ear::{CALM, Flat, Leaves},
    interpolate::FINER,
    likeness::Course,
};

/// What is looked at, and what may be a spark, rises above the noise so many standard deviations [1] (own choice): at 48 kHz noise does so
/// thirty times and once or twice a second.
const LOOKED_AT: f64 = 3.4;
const ABOVE_NOISE: f64 = 4.2;
/// It may be a spark as well with so much energy in its first samples \[1\] (own choice).
const MAYBE_ENERGY: f64 = 45.0;
/// What surely is one rises so high, or has so much energy in its first samples, in standard deviations and their squares \[1\]
/// (own choice): noise alone does so once in ten minutes.
const SURELY_ABOVE: f64 = 5.5;
const SURELY_ENERGY: f64 = 64.0;
const ENERGY_OVER: usize = 12;
/// A spark must rise above this share of the usual height \[1\] (own choice): one on the other lead is heard more faintly.
const SHARE_OF_USUAL: f64 = 0.3;
/// The first top lies within so many seconds of the first sample above the threshold [s] (own choice); at least so many samples [1].
const RISE_S: f64 = 50e-6;
const LEAST_RISE: usize = 3;
/// The onset is where that first top's flank passes this share of its height \[1\] (own choice): half of a jump whose top the sampling
/// and the ringing's decay have rounded off by a fifth.
const FLANK: f64 = 0.62;
/// A spark is over when nothing was above this share of the threshold \[1\] for so long [s] (own choice): shorter than the pause between
/// the sparks of a capacitor unit, longer than a swing of the ringing.
const OVER: f64 = 0.6;
const QUIET_S: f64 = 0.3e-3;
/// Half a swing of ringing takes no more samples than this [1] (own choice), and a first one stands so far above the noise \[1\] (own choice).
const FIRST_SWING: isize = 6;
const SWING_ABOVE: f64 = 4.2;
/// The loudest of a spark comes within so many seconds [s] (own choice).
const LOUDEST_S: f64 = 1e-3;
/// A burn longer than this is cut there [s] (own choice): coils burn for one or two milliseconds.
const LONGEST_S: f64 = 10e-3;
/// The usual height follows a spark by this share of the difference \[1\], and is halved in so many seconds without any [s] (own choice).
const FOLLOW: f64 = 0.2;
const UP: f64 = 0.5;
const HALVED_S: f64 = 1.0;

/// The beginning of a spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// When [s].
    pub at_s: f64,
    /// Height of the first top, with its sign.
    pub peak: f32,
    /// Greatest height while it lasts.
    pub greatest: f32,
    /// How long it is heard [s].
    pub lasts_s: f32,
    /// How long its flank takes from a tenth to nine tenths of the first top, about [s].
    pub rise_s: f32,
    /// It may be noise: it counts only where a spark is due.
    pub weak: bool,
}

/// Finds sparks in a channel that is fed block by block.
///
/// What a clamp or a turn of wire gives is a jump, ringing, and the rustle of the burn. The onset is where the curve between the samples
/// passes about half the height of its first top; it is late by half the time of that rise, which a slow pick-up makes a constant delay.
#[derive(Clone, Debug)]
pub(super) struct OnsetFinder {
    rate_hz: f64,
    next: usize,
    inside: Option<Inside>,
    usual: f64,
    course: Course,
}

#[derive(Clone, Copy, Debug)]
struct Inside {
    start: usize,
    last_loud: usize,
    greatest: f32,
}

impl OnsetFinder {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self { rate_hz, next: 0, inside: None, usual: 0.0, course: Course::new() }
    }

    /// The first sample that is still needed.
    pub(super) fn needs(&self) -> usize {
        self.inside.map_or(self.next, |i| i.start)
    }

    /// So many samples were dropped at the front.
    pub(super) fn forget(&mut self, samples: usize) {
        self.next -= samples;
        if let Some(i) = &mut self.inside {
            i.start -= samples;
            i.last_loud -= samples;
        }
    }

    /// Looks at the samples before `end`.
    pub(super) fn look(&mut self, flat: &Flat, end: usize, noise: f64, out: &mut Vec<Onset>) {
        let quiet = (QUIET_S * self.rate_hz).ceil() as usize;
        let longest = (LONGEST_S * self.rate_hz) as usize;
        let calm_decay = 0.5f64.powf(CALM as f64 / (HALVED_S * self.rate_hz));
        while self.next < end {
            let threshold = (LOOKED_AT * noise).max(SHARE_OF_USUAL * self.usual).max(f64::from(f32::MIN_POSITIVE)) as f32;
            let Some(mut inside) = self.inside else {
                match flat.leaves(self.next, end, threshold, threshold) {
                    Leaves::Calm(stop) => {
                        self.next = stop;
                        self.usual *= calm_decay;
                    }
                    Leaves::NotYet(stop) => self.next = stop,
                    Leaves::At(start) => {
                        self.inside = Some(Inside { start, last_loud: start, greatest: flat.samples[start].abs() });
                        self.next = start + 1;
                    }
                }
                continue;
            };
            let y = flat.samples[self.next].abs();
            // Noise that something else keeps alive hides no spark that comes later than it is searched for.
            let surely = (SURELY_ABOVE * noise) as f32;
            let late = self.next - inside.start > (0.5 * LOUDEST_S * self.rate_hz) as usize;
            if late && y >= surely && inside.greatest < surely {
                out.extend(self.measure(flat, &inside, noise));
                self.inside = Some(Inside { start: self.next, last_loud: self.next, greatest: y });
                self.next += 1;
                continue;
            }
            // The rustle of the burn is no more of the spark than the noise is: the next one may follow closely.
            if y >= OVER as f32 * threshold.max(SHARE_OF_USUAL as f32 * inside.greatest) {
                inside.last_loud = self.next;
                inside.greatest = inside.greatest.max(y);
                self.inside = Some(inside);
            }
            self.next += 1;
            if self.next - inside.last_loud > quiet || self.next - inside.start > longest {
                self.inside = None;
                let Some(onset) = self.measure(flat, &inside, noise) else { continue };
                out.push(onset);
                if onset.weak {
                    continue;
                }
                // Up in a few sparks, so that a faint first one is outgrown; a single giant does not deafen the finder for long.
                let greatest = f64::from(onset.greatest);
                self.usual = match self.usual {
                    0.0 => greatest,
                    usual if greatest > usual => usual + UP * (greatest.min(3.0 * usual.max(f64::from(threshold))) - usual),
                    usual => usual + FOLLOW * (greatest - usual),
                };
            }
        }
    }

    /// What is left at the end of a recording.
    pub(super) fn finish(&mut self, flat: &Flat, noise: f64, out: &mut Vec<Onset>) {
        if let Some(inside) = self.inside.take() {
            out.extend(self.measure(flat, &inside, noise));
        }
    }

    /// Where a spark in noise begins, and where it is loudest: a bump of noise shortly before is not its beginning.
    fn loud_from(&self, flat: &Flat, inside: &Inside) -> (usize, usize) {
        let last = inside.last_loud.min(inside.start + (LOUDEST_S * self.rate_hz) as usize).min(flat.samples.len() - 1);
        let burst = &flat.samples[inside.start..=last];
        let most = burst.iter().fold(0.0f32, |m, y| m.max(y.abs()));
        let energy =
            |i: &usize| -> f32 { flat.samples[*i..(i + ENERGY_OVER / 2).min(flat.samples.len())].iter().map(|y| y * y).sum() };
        let loud = |i: &usize| flat.samples[*i].abs() >= 0.6 * most;
        let candidates = || (inside.start..=last).filter(loud);
        let loudest = candidates().max_by(|a, b| energy(a).total_cmp(&energy(b))).unwrap_or(inside.start);
        let first = candidates().find(|i| energy(i) >= 0.6 * energy(&loudest)).unwrap_or(loudest);
        (first, loudest)
    }

    /// Ringing may begin with a swing that no sample meets near its top: it is looked for before the one that was found.
    fn first_swing(&self, flat: &Flat, start: usize, noise: f64) -> usize {
        const FINE: isize = FINER as isize;
        let sign = f64::from(flat.samples[start].signum());
        let here = start as isize * FINE;
        let top = (here..here + FIRST_SWING * FINE).map(|t| sign * flat.at(t)).fold(0.0, f64::max);
        let before = (here - FIRST_SWING * FINE..here).map(|t| (t, -sign * flat.at(t)));
        match before.max_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((t, v)) if v > (FLANK * top).max(SWING_ABOVE * noise) && t >= 0 => {
                // The nearer sample on that side.
                let i = (t / FINE) as usize;
                let side = |i: usize| -sign * f64::from(flat.samples[i]);
                if side(i) >= side(i + 1) { i } else { i + 1 }
            }
            _ => start,
        }
    }

    /// `None` for what is noise.
    fn measure(&mut self, flat: &Flat, inside: &Inside, noise: f64) -> Option<Onset> {
        const FINE: isize = FINER as isize;
        let passes = |i: usize, above: f64, energy: f64| {
            let sum: f32 = flat.samples[i..(i + ENERGY_OVER).min(flat.samples.len())].iter().map(|y| y * y).sum();
            f64::from(flat.samples[i].abs()) >= above * noise || f64::from(sum) >= energy * noise * noise
        };
        let surely = |i: usize| passes(i, SURELY_ABOVE, SURELY_ENERGY);
        let start = if f64::from(flat.samples[inside.start].abs()) >= SURELY_ABOVE * noise {
            inside.start
        } else {
            let (first, loudest) = self.loud_from(flat, inside);
            if passes(first, ABOVE_NOISE, MAYBE_ENERGY) { first } else { loudest }
        };
        let weak = !surely(start);
        if weak && !passes(start, ABOVE_NOISE, MAYBE_ENERGY) {
            return None;
        }
        let start = self.first_swing(flat, start, noise);
        let inside = &Inside { start, ..*inside };
        let rise = ((RISE_S * self.rate_hz) as isize).max(LEAST_RISE as isize);
        let sign = f64::from(flat.samples[inside.start].signum());
        let value = |eighths: isize| sign * flat.at(eighths);
        // The first top: what comes after it on the same side within the rise counts only where it is higher.
        let start = inside.start as isize * FINE;
        let (mut top, mut top_at) = (0.0, start);
        for at in start - FINE..=start + rise * FINE {
            let v = value(at);
            if v > top {
                (top, top_at) = (v, at);
            } else if v < FLANK * top && at > start {
                break;
            }
        }
        // Back down its flank.
        let falls_to = |share: f64| {
            let level = share * top;
            let mut later = top;
            for at in (top_at - (rise + 2) * FINE..top_at).rev() {
                let v = value(at);
                if v < level {
                    return at as f64 + (level - v) / (later - v).max(f64::MIN_POSITIVE);
                }
                later = v;
            }
            (top_at - (rise + 2) * FINE) as f64
        };
        let onset = falls_to(FLANK);
        // Twice the upper half of the flank: the lower half drowns in noise first.
        let rise_eighths = 2.0 * (falls_to(0.9) - onset).max(0.0);
        let onset = if weak || top <= 0.0 { onset } else { self.course.refined(flat, onset, sign, top, FLANK) };
        let eighth_s = 1.0 / (FINER as f64 * self.rate_hz);
        Some(Onset {
            at_s: flat.first as f64 / self.rate_hz + onset * eighth_s,
            peak: (sign * top) as f32,
            greatest: inside.greatest.max(top as f32),
            lasts_s: ((inside.last_loud - inside.start + 1) as f64 / self.rate_hz) as f32,
            rise_s: (rise_eighths * eighth_s) as f32,
            weak,
        })
    }
}
