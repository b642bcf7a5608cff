//! Mains hum in the means of blocks, followed as it drifts.

use std::f64::consts::TAU;

/// Mains frequencies [Hz] (IEC 60038:2009), and how many of their harmonics are followed.
const MAINS_HZ: [f64; 2] = [50.0, 60.0];
const HARMONICS: usize = 5;
/// Time in which it follows [s] (own choice): long enough that the passes of a rotor at 3000 rpm, which come fifty times a second, do not
/// count as hum before they are clipped away; a drift of the mains by 0.1 Hz is followed.
const FOLLOWS_S: f64 = 0.2;
/// Time in which the mean is followed, so that a constant and a slow drift are no hum [s] (own choice).
const MEAN_S: f64 = 0.5;
/// Blocks from which the usual size is taken at first; nothing is learned from them [1] (own choice).
const FIRST: usize = 64;
/// What stands out by more than so many times the usual size is clipped to that \[1\] (own choice): pulses are no hum.
const CLIPPED_AT: f64 = 2.0;
/// How fast the usual size follows \[1\] a block (own choice).
const SIZE_STEP: f64 = 0.02;

/// The least-mean-squares canceller: a sine and a cosine of each harmonic, moved a little towards what was left over.
///
/// Source: Widrow, Glover, McCool et al., "Adaptive noise cancelling", Proc. IEEE 63 (1975) 1692–1716; the clipping is Huber's (1981).
#[derive(Clone, Debug)]
pub(super) struct Hum {
    tones: Vec<Tone>,
    step: f64,
    mean_step: f64,
    mean: f64,
    size: f64,
    first: Vec<f64>,
}

#[derive(Clone, Copy, Debug)]
struct Tone {
    turn: (f64, f64),
    now: (f64, f64),
    weights: (f64, f64),
}

impl Hum {
    /// For so many blocks a second.
    pub(super) fn new(blocks_hz: f64) -> Self {
        let tones = MAINS_HZ.iter().flat_map(|f| (1..=HARMONICS).map(move |h| f * h as f64)).filter(|f| *f < 0.4 * blocks_hz);
        let tone = |f: f64| {
            let (sin, cos) = (TAU * f / blocks_hz).sin_cos();
            Tone { turn: (cos, sin), now: (1.0, 0.0), weights: (0.0, 0.0) }
        };
        let tones = tones.map(tone).collect();
        let step = 2.0 / (FOLLOWS_S * blocks_hz);
        Self { tones, step, mean_step: 1.0 / (MEAN_S * blocks_hz), mean: 0.0, size: 0.0, first: Vec::with_capacity(FIRST) }
    }

    /// The hum in the next block, of this mean; learns from what is left.
    pub(super) fn next(&mut self, mean: f64) -> f64 {
        let hum: f64 = self.tones.iter().map(|t| t.weights.0 * t.now.0 + t.weights.1 * t.now.1).sum();
        if self.first.len() < FIRST {
            self.first.push(mean);
            if self.first.len() == FIRST {
                self.mean = middle(&mut self.first);
                self.first.iter_mut().for_each(|m| *m = (*m - self.mean).abs());
                // The least that is ever reached again by steps.
                self.size = middle(&mut self.first).max(1e-9 * self.mean.abs()).max(f64::from(f32::MIN_POSITIVE));
            }
        }
        let known = self.first.len() == FIRST;
        let left = if known { mean - self.mean - hum } else { 0.0 };
        self.size *= if left.abs() > self.size { 1.0 + SIZE_STEP } else { 1.0 - SIZE_STEP };
        self.size = self.size.max(f64::from(f32::MIN_POSITIVE));
        let clipped = left.clamp(-CLIPPED_AT * self.size, CLIPPED_AT * self.size);
        self.mean += self.mean_step * clipped;
        for t in &mut self.tones {
            t.weights.0 += self.step * clipped * t.now.0;
            t.weights.1 += self.step * clipped * t.now.1;
            let (c, s) = t.now;
            let (a, b) = (c * t.turn.0 - s * t.turn.1, s * t.turn.0 + c * t.turn.1);
            // First-order correction of the radius, which rounding lets creep.
            let radius = 1.5 - 0.5 * (a * a + b * b);
            t.now = (a * radius, b * radius);
        }
        hum
    }
}

fn middle(values: &mut [f64]) -> f64 {
    let at = values.len() / 2;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hum_and_its_third_are_learned_and_pulses_are_not() {
        let mut hum = Hum::new(2000.0);
        let wave = |b: f64| 2.0 * (TAU * 50.05 * b / 2000.0).sin() + 0.5 * (TAU * 150.15 * b / 2000.0).cos();
        let mut worst = 0.0f64;
        for b in 0..8000 {
            // A pass at 3000 rpm: one block in forty stands out.
            let pulse = if b % 40 == 7 { 6.0 } else { 0.0 };
            let told = hum.next(wave(f64::from(b)) + pulse);
            if b > 4000 {
                worst = worst.max((told - wave(f64::from(b))).abs());
            }
        }
        /// Own choice: a fifth of the hum, which drifts by a thousandth, with pulses of three times its height in step with it.
        const LEFT: f64 = 0.5;
        assert!(worst < LEFT, "{worst}");
    }
}
