//! Where sparks begin in the channel that hears them.

use super::{
    ear::{CALM, Flat},
    interpolate::FINER,
};

/// What may be a spark rises above the noise so many standard deviations [1] (own choice): at 48 kHz noise does so once or twice a second.
const ABOVE_NOISE: f64 = 4.2;
/// What surely is one rises so high, or has so much energy in its first samples, in standard deviations and their squares \[1\] (own
/// choice): noise alone does so once in ten minutes.
const SURELY_ABOVE: f64 = 5.5;
const SURELY_ENERGY: f64 = 64.0;
const ENERGY_OVER: usize = 12;
/// A spark must rise above this share of the usual height \[1\] (own choice): one on the other lead is heard more faintly.
const SHARE_OF_USUAL: f64 = 0.3;
/// The first top lies within so many seconds of the first sample above the threshold [s] (own choice); at least so many samples [1].
const RISE_S: f64 = 50e-6;
const LEAST_RISE: usize = 3;
/// The onset is where that first top's flank passes this share of its height \[1\] (own choice): half of a jump whose top the sampling
/// and the ringing's decay have rounded off by a tenth.
const FLANK: f64 = 0.55;
/// A spark is over when nothing was above this share of the threshold \[1\] for so long [s] (own choice): shorter than the pause between
/// the sparks of a capacitor unit, longer than a swing of the ringing.
const OVER: f64 = 0.6;
const QUIET_S: f64 = 0.3e-3;
/// Half a swing of ringing takes no more samples than this [1] (own choice), and a first one stands so far above the noise \[1\] (own choice).
const FIRST_SWING: isize = 6;
const SWING_ABOVE: f64 = 3.2;
/// A burn longer than this is cut there [s] (own choice): coils burn for one or two milliseconds.
const LONGEST_S: f64 = 10e-3;
/// The usual height follows a spark by this share of the difference \[1\], and is halved in so many seconds without any [s] (own choice).
const FOLLOW: f64 = 0.2;
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
}

#[derive(Clone, Copy, Debug)]
struct Inside {
    start: usize,
    last_loud: usize,
    greatest: f32,
}

impl OnsetFinder {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self { rate_hz, next: 0, inside: None, usual: 0.0 }
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
            let threshold = (ABOVE_NOISE * noise).max(SHARE_OF_USUAL * self.usual).max(f64::from(f32::MIN_POSITIVE)) as f32;
            let Some(mut inside) = self.inside else {
                let stride = self.next / CALM;
                let stop = ((stride + 1) * CALM).min(end);
                if flat.tops.get(stride).is_some_and(|top| *top < threshold) {
                    self.next = stop;
                    self.usual *= calm_decay;
                    continue;
                }
                match flat.samples[self.next..stop].iter().position(|y| y.abs() >= threshold) {
                    Some(i) => {
                        let start = self.next + i;
                        self.inside = Some(Inside { start, last_loud: start, greatest: flat.samples[start].abs() });
                        self.next = start + 1;
                    }
                    None => self.next = stop,
                }
                continue;
            };
            let y = flat.samples[self.next].abs();
            if y >= OVER as f32 * threshold {
                inside.last_loud = self.next;
                inside.greatest = inside.greatest.max(y);
                self.inside = Some(inside);
            }
            self.next += 1;
            if self.next - inside.last_loud > quiet || self.next - inside.start > longest {
                self.inside = None;
                let onset = self.measure(flat, &inside, noise);
                out.push(onset);
                if onset.weak {
                    continue;
                }
                let step = if self.usual == 0.0 { 1.0 } else { FOLLOW };
                let greatest = f64::from(onset.greatest);
                self.usual += step * (greatest.min(2.0 * self.usual.max(f64::from(threshold))) - self.usual);
            }
        }
    }

    /// What is left at the end of a recording.
    pub(super) fn finish(&mut self, flat: &Flat, noise: f64, out: &mut Vec<Onset>) {
        if let Some(inside) = self.inside.take() {
            out.push(self.measure(flat, &inside, noise));
        }
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

    fn measure(&self, flat: &Flat, inside: &Inside, noise: f64) -> Onset {
        const FINE: isize = FINER as isize;
        let surely = |i: usize| {
            let energy: f32 = flat.samples[i..(i + ENERGY_OVER).min(flat.samples.len())].iter().map(|y| y * y).sum();
            f64::from(flat.samples[i].abs()) >= SURELY_ABOVE * noise || f64::from(energy) >= SURELY_ENERGY * noise * noise
        };
        // A bump of noise shortly before a spark is not its beginning.
        let loud = (0.5 * f64::from(inside.greatest)).max(ABOVE_NOISE * noise) as f32;
        let start = match surely(inside.start) {
            true => inside.start,
            false => {
                (inside.start..=inside.last_loud).find(|i| flat.samples[*i].abs() >= loud && surely(*i)).unwrap_or(inside.start)
            }
        };
        let weak = !surely(start);
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
        let passes = |share: f64| {
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
        let onset = passes(FLANK);
        // Twice the upper half of the flank: the lower half drowns in noise first.
        let rise_eighths = 2.0 * (passes(0.9) - onset).max(0.0);
        let eighth_s = 1.0 / (FINER as f64 * self.rate_hz);
        Onset {
            at_s: flat.first as f64 / self.rate_hz + onset * eighth_s,
            peak: (sign * top) as f32,
            greatest: inside.greatest.max(top as f32),
            lasts_s: ((inside.last_loud - inside.start + 1) as f64 / self.rate_hz) as f32,
            rise_s: (rise_eighths * eighth_s) as f32,
            weak,
        }
    }
}
