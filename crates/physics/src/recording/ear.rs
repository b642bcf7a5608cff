//! One channel, heard block by block: its line taken out, its lobes and its onsets found.

use super::{
    baseline::{Baseline, Level, greatest},
    interpolate::{Between, FINER, REACH},
    lobes::{Lobe, LobeFinder},
    onsets::{Onset, OnsetFinder},
};

/// Samples that are looked at in one go where nothing is to be seen [1] (own choice).
pub(super) const CALM: usize = 32;
/// Samples that stay before what is looked at [1] (own choice), for a rising flank and the curve between samples; whole strides.
const KEPT_BEFORE: usize = 4096;
/// What lies so far behind is dropped in one go [1] (own choice).
const FORGET_AT: usize = 16_384;
/// Samples behind a lobe that must be there before it is measured [1] (own choice).
const KEPT_BEHIND: usize = 4 * REACH;

/// Samples without their line.
#[derive(Clone, Debug)]
pub(super) struct Flat {
    /// The samples; the first of them has number `first`.
    pub(super) samples: Vec<f32>,
    pub(super) first: u64,
    /// Greatest size in every whole stride of them.
    pub(super) tops: Vec<f32>,
    between: Between,
}

impl Flat {
    /// The curve between the samples, at `eighths` / 8 from the first.
    pub(super) fn at(&self, eighths: isize) -> f64 {
        self.between.at(&self.samples, eighths)
    }

    /// Looks from a sample to the end of its stride, or to `end`, for one that rises to `up` or falls to `-down`. Most of a recording is calm and passes in strides.
    pub(super) fn leaves(&self, from: usize, end: usize, up: f32, down: f32) -> Leaves {
        let stride = from / CALM;
        let stop = ((stride + 1) * CALM).min(end);
        if self.tops.get(stride).is_some_and(|top| *top < up.min(down)) {
            return Leaves::Calm(stop);
        }
        let at = self.samples[from..stop].iter().position(|y| *y >= up || -*y >= down);
        at.map_or(Leaves::NotYet(stop), |i| Leaves::At(from + i))
    }
}

/// Where a channel leaves its line.
pub(super) enum Leaves {
    /// The whole stride is calm; go on here.
    Calm(usize),
    /// Not before here.
    NotYet(usize),
    /// At this sample.
    At(usize),
}

/// Everything that stands out in a channel.
#[derive(Clone, Debug, Default)]
pub struct Heard {
    /// Lobes, in the order of their ends.
    pub lobes: Vec<Lobe>,
    /// Onsets, in order.
    pub onsets: Vec<Onset>,
    /// What the channel is like.
    pub level: Level,
}

/// Hears one channel. Holds less than a second of samples, and the events that were not taken.
///
/// # Example
/// ```
/// use physics::recording::Ear;
/// let mut ear = Ear::new(48_000.0);
/// let mut samples = vec![0.0f32; 48_000];
/// samples[24_000] = 1.0;
/// samples.chunks(1000).for_each(|c| ear.push(c));
/// let heard = ear.finish();
/// assert_eq!(heard.onsets.len(), 1);
/// assert!((heard.lobes[0].middle_s - 0.5).abs() < 1e-6);
/// ```
#[derive(Clone, Debug)]
pub struct Ear {
    baseline: Baseline,
    flat: Flat,
    lobes: LobeFinder,
    onsets: OnsetFinder,
    heard: Heard,
}

impl Ear {
    /// For a channel of so many samples a second.
    pub fn new(rate_hz: f64) -> Self {
        Self {
            baseline: Baseline::new(rate_hz),
            flat: Flat { samples: Vec::new(), first: 0, tops: Vec::new(), between: Between::new() },
            lobes: LobeFinder::new(rate_hz),
            onsets: OnsetFinder::new(rate_hz),
            heard: Heard::default(),
        }
    }

    /// Lobes and onsets that were found and not taken yet, the greater number of both.
    pub fn waiting(&self) -> usize {
        self.heard.lobes.len().max(self.heard.onsets.len())
    }

    /// What was found and not taken yet, with the level so far.
    pub fn take(&mut self) -> Heard {
        Heard { level: self.baseline.level(), ..std::mem::take(&mut self.heard) }
    }

    /// Feeds samples in.
    pub fn push(&mut self, samples: &[f32]) {
        self.baseline.push(samples, &mut self.flat.samples);
        self.look(self.flat.samples.len().saturating_sub(KEPT_BEHIND) / CALM * CALM);
        let needed = self.lobes.needs().min(self.onsets.needs());
        let drop = needed.saturating_sub(KEPT_BEFORE) / CALM * CALM;
        if drop > FORGET_AT {
            self.flat.samples.drain(..drop);
            self.flat.tops.drain(..drop / CALM);
            self.flat.first += drop as u64;
            self.lobes.forget(drop);
            self.onsets.forget(drop);
        }
    }

    /// The rest, and all of it that was not taken.
    pub fn finish(mut self) -> Heard {
        self.baseline.finish(&mut self.flat.samples);
        // A quiet end, so that what stands at the last sample is measured like any other.
        self.flat.samples.resize(self.flat.samples.len().next_multiple_of(CALM) + KEPT_BEHIND, 0.0);
        self.look(self.flat.samples.len());
        self.onsets.finish(&self.flat, self.baseline.noise(), &mut self.heard.onsets);
        self.heard.level = self.baseline.level();
        self.heard
    }

    fn look(&mut self, end: usize) {
        let known = self.flat.tops.len() * CALM;
        let tops = self.flat.samples[known.min(end)..end].chunks_exact(CALM).map(greatest);
        self.flat.tops.extend(tops);
        let noise = self.baseline.noise();
        self.lobes.look(&self.flat, end, noise, &mut self.heard.lobes);
        self.onsets.look(&self.flat, end, noise, &mut self.heard.onsets);
    }
}

const _: () = assert!(FINER == 8 && KEPT_BEFORE.is_multiple_of(CALM));

#[cfg(test)]
mod tests {
    use super::*;

    fn hear(samples: &[f32], piece: usize) -> Heard {
        let mut ear = Ear::new(48_000.0);
        samples.chunks(piece).for_each(|c| ear.push(c));
        ear.finish()
    }

    #[test]
    fn a_bell_is_found_between_samples() {
        let centres = [1000.37, 2000.5, 3000.81, 4000.0];
        let bell =
            |t: f64, k: usize| (if k.is_multiple_of(2) { 1.0 } else { -0.7 }) * (-0.5 * ((t - centres[k]) / 3.0).powi(2)).exp();
        let samples: Vec<f32> = (0..6000).map(|i| (0..4).map(|k| bell(i as f64, k)).sum::<f64>() as f32).collect();
        let lobes = hear(&samples, 100).lobes;
        assert_eq!(lobes.len(), 4);
        /// A fiftieth of a sample.
        const NEAR: f64 = 0.02;
        for (lobe, c) in lobes.iter().zip(centres) {
            assert!((lobe.middle_s * 48_000.0 - c).abs() < NEAR, "{lobe:?}");
            // Full width at half height of a bell: 2 √(2 ln 2) σ = 7.06 samples.
            assert!((f64::from(lobe.width_s) * 48_000.0 - 7.064).abs() < 0.06, "{}", lobe.width_s * 48_000.0);
        }
        assert!(lobes[0].peak > 0.99 && lobes[1].peak < -0.69);
        for piece in [1, 33, 6000] {
            assert_eq!(hear(&samples, piece).lobes, lobes, "{piece}");
        }
    }

    #[test]
    fn sparks_a_millisecond_apart_are_two_and_ringing_is_one() {
        // A ring of 6 kHz that dies with 0.1 ms; the jump lies on a whole sample.
        let ring = |t: f64| if t >= 0.0 { (-t / 4.8).exp() * (std::f64::consts::TAU * t / 8.0).cos() } else { 0.0 };
        let samples: Vec<f32> = (0..4800).map(|i| (ring(i as f64 - 1000.0) + ring(i as f64 - 1048.0)) as f32).collect();
        let at: Vec<f64> = hear(&samples, 64).onsets.iter().map(|o| o.at_s * 48_000.0).collect();
        assert_eq!(at.len(), 2, "{at:?}");
        // A jump between two samples is taken between them.
        assert!((at[0] - 999.5).abs() < 0.3 && (at[1] - 1047.5).abs() < 0.3, "{at:?}");
    }

    #[test]
    fn silence_and_a_constant_hold_nothing() {
        for level in [0.0, 0.7] {
            let heard = hear(&vec![level; 10_000], 512);
            assert!(heard.lobes.is_empty() && heard.onsets.is_empty(), "{level}");
        }
        assert!(hear(&[], 1).lobes.is_empty());
    }
}
