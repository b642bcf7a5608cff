//! The pulses of a trigger pickup or a mark, each with the time of its middle.

use super::{
    ear::{CALM, Flat, Leaves},
    interpolate::FINER,
};

/// A lobe must rise above the noise so many standard deviations [1] (own choice): at 48 kHz noise alone does so once in ten minutes.
const ABOVE_NOISE: f64 = 5.5;
/// and above this share of the usual height on its side, and of that on the other \[1\] (own choice): below are crosstalk of the spark and
/// the rotor's own bumps. Clipping and drift may leave one side lower.
const SHARE_OF_USUAL: f64 = 0.3;
const SHARE_OF_OTHER: f64 = 0.1;
/// A lobe has ended below this share of what it had to rise above \[1\] (own choice).
const ENDED: f64 = 0.6;
/// Share of the height at which flanks are taken \[1\] (own choice): steepest there, and clipping does not reach it.
const FLANK: f64 = 0.5;
/// and at which the foot is \[1\] (own choice): as low as noise of 20 dB lets it be.
const FOOT: f64 = 0.2;
/// The usual height follows a lobe by this share of the difference \[1\] (own choice), and is halved in so many seconds without any [s].
const FOLLOW: f64 = 0.3;
const HALVED_S: f64 = 0.3;
/// The longest lobe [s] (own choice): longer ones are line.
const LONGEST_S: f64 = 20e-3;
/// Lobes with more samples than this above their flank's height are wide enough to be looked at sample by sample [1] (own choice).
const WIDE: isize = 24;
/// How far from its top a flank is looked for at most [1] (own choice).
const MOST_FLANK: usize = 2048;

/// One lobe: a stretch on one side of the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lobe {
    /// Centre of what stands above half of the height [s].
    pub middle_s: f64,
    /// Width at half height [s].
    pub width_s: f32,
    /// Width at a fifth of the height [s].
    pub foot_s: f32,
    /// Height, with its sign.
    pub peak: f32,
}

/// Finds lobes in a channel that is fed block by block.
///
/// A lobe begins where the channel leaves its line by more than 5.5 standard deviations of the noise and 0.3 of the usual height, to
/// either side. Its middle is the centroid of what stands above half of its height, on the band-limited curve between the samples, so
/// clipping and the place of the samples do not move it; a lobe that is lopsided is taken a little off its top, always the same way.
#[derive(Clone, Debug)]
pub(super) struct LobeFinder {
    rate_hz: f64,
    /// Index into the flat samples of the next one to look at.
    next: usize,
    inside: Option<Inside>,
    /// Usual heights above and below the line.
    usual: [f64; 2],
}

#[derive(Clone, Copy, Debug)]
struct Inside {
    start: usize,
    top: usize,
    height: f32,
    sign: f32,
}

impl LobeFinder {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self { rate_hz, next: 0, inside: None, usual: [0.0; 2] }
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
            i.top -= samples;
        }
    }

    /// Looks at the samples before `end`.
    pub(super) fn look(&mut self, flat: &Flat, end: usize, noise: f64, out: &mut Vec<Lobe>) {
        let longest = (LONGEST_S * self.rate_hz) as usize;
        let calm_decay = 0.5f64.powf(CALM as f64 / (HALVED_S * self.rate_hz));
        while self.next < end {
            let least = (ABOVE_NOISE * noise).max(f64::from(f32::MIN_POSITIVE));
            let [up, down] =
                [0, 1].map(|s| least.max(SHARE_OF_USUAL * self.usual[s]).max(SHARE_OF_OTHER * self.usual[1 - s]) as f32);
            let Some(mut inside) = self.inside else {
                match flat.leaves(self.next, end, up, down) {
                    Leaves::Calm(stop) => {
                        self.next = stop;
                        self.usual = self.usual.map(|u| u * calm_decay);
                    }
                    Leaves::NotYet(stop) => self.next = stop,
                    Leaves::At(start) => {
                        let y = flat.samples[start];
                        self.inside = Some(Inside { start, top: start, height: y.abs(), sign: y.signum() });
                        self.next = start + 1;
                    }
                }
                continue;
            };
            let side = usize::from(inside.sign < 0.0);
            let threshold = [up, down][side];
            let y = flat.samples[self.next] * inside.sign;
            if y > inside.height {
                (inside.top, inside.height) = (self.next, y);
                self.inside = Some(inside);
            }
            let ended = y < threshold * ENDED as f32 && y < inside.height * FLANK as f32;
            self.next += 1;
            if ended || self.next - inside.start > longest {
                self.inside = None;
                let lobe = self.measure(flat, &inside);
                // A single giant does not deafen the finder for long.
                let height = f64::from(lobe.peak.abs());
                let usual = &mut self.usual[side];
                *usual = match *usual {
                    0.0 => height,
                    usual => usual + FOLLOW * (height.min(3.0 * usual.max(f64::from(threshold))) - usual),
                };
                out.push(lobe);
            }
        }
    }

    fn measure(&self, flat: &Flat, inside: &Inside) -> Lobe {
        const FINE: isize = FINER as isize;
        let sign = f64::from(inside.sign);
        let value = |eighths: isize| sign * flat.at(eighths);
        // The top of the curve between samples, in eighths of a sample.
        let top = inside.top as isize * FINE;
        let peak = (top - FINE..=top + FINE).map(value).fold(f64::from(inside.height), f64::max);
        let half = FLANK * peak;
        let low = |i: usize| f64::from(flat.samples[i] * inside.sign) < half;
        let last = flat.samples.len() - 1;
        let from = inside.top.saturating_sub(MOST_FLANK);
        let to = (inside.top + MOST_FLANK).min(last);
        let before = (from..=inside.top).rev().find(|i| low(*i)).unwrap_or(from) as isize * FINE;
        let behind = (inside.top..=to).find(|i| low(*i)).unwrap_or(to) as isize * FINE;
        // From the sample below half of the height on, to the straight piece that passes it.
        let crossing = |start: isize, step: isize| {
            let mut outer = value(start);
            for k in 1..=FINE {
                let inner = value(start + k * step);
                if inner >= half {
                    let share = if inner > outer { ((half - outer) / (inner - outer)).clamp(0.0, 1.0) } else { 1.0 };
                    return start as f64 + step as f64 * ((k - 1) as f64 + share);
                }
                outer = inner;
            }
            (start + step * FINE) as f64
        };
        let (up, down) = (crossing(before, 1), crossing(behind, -1));
        let step = if behind - before > WIDE * FINE { FINE } else { 1 };
        let (mut weight, mut moment) = (0.0, 0.0);
        for k in 0..=(behind - before) / step {
            let at = before + k * step;
            let w = (value(at) - half).max(0.0);
            weight += w;
            moment += w * (at - top) as f64;
        }
        let middle = if weight > 0.0 { top as f64 + moment / weight } else { 0.5 * (up + down) };
        // Straight between samples is near enough for the foot.
        let foot = |mut at: Box<dyn Iterator<Item = usize>>| {
            let height = |i: usize| f64::from(flat.samples[i] * inside.sign) / peak;
            let low = at.find(|i| height(*i) < FOOT).unwrap_or(inside.top);
            let high = if low < inside.top { low + 1 } else { low.saturating_sub(1) };
            let share = ((FOOT - height(low)) / (height(high) - height(low)).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
            low as f64 + share * (high as f64 - low as f64)
        };
        let foot = foot(Box::new(inside.top..=to)) - foot(Box::new((from..=inside.top).rev()));
        let eighth_s = 1.0 / (FINER as f64 * self.rate_hz);
        Lobe {
            middle_s: flat.first as f64 / self.rate_hz + middle * eighth_s,
            width_s: ((down - up).max(0.0) * eighth_s) as f32,
            foot_s: (foot.max(0.0) / self.rate_hz) as f32,
            peak: (peak * sign) as f32,
        }
    }
}
