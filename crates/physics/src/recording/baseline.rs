//! The line that a channel rests on, and the noise about it.

use super::hum::Hum;

/// Length of a block [s] (own choice): short against a period of mains hum, long enough for a mean that noise hardly moves.
const BLOCK_S: f64 = 0.5e-3;
/// Least samples in a block [1] (own choice).
const LEAST_BLOCK: usize = 8;
/// Blocks to either side of the one whose line is sought [1] (own choice): a pulse may fill three of the seven, 1.5 ms, and is not taken
/// for the line.
const AROUND: usize = 3;
/// The same where a slow pulse passes [1] (own choice): at 150 rpm it takes 4 to 10 ms, and may fill half of the 49 blocks, 12 ms.
const FAR: usize = 24;
/// Places in the rings of means and lines; more than are ever waited for.
const RING: usize = 64;
/// A slow pulse passes where the near line leaves the far one by so many times what it usually does \[1\] (own choice): a steady tone never leaves it by
/// more than 1.4 times its usual size, and noise by this much in one block of ten thousand.
const LEAVES: f64 = 6.0;
/// Share by which the usual size follows in a block \[1\] (own choice): in a tenth of a second, longer than a slow pulse.
const USUAL_STEP: f64 = 0.01;
/// Blocks before the usual size is known [1] (own choice).
const KNOWN: usize = 64;
/// The noise is the block variance that this share of blocks lies below \[1\] (own choice): pulses may fill three blocks of four.
const QUIET_SHARE: f64 = 0.25;
/// Blocks that the noise is taken from, and the newest of them, which tell that it has just begun [1] (own choice).
const HEARD: usize = 256;
const NEWEST: usize = 32;
/// A sample this near to the greatest one seen counts as at the rail \[1\] (own choice); 16 bits have steps of 0.00003.
const AT_THE_RAIL: f32 = 0.9995;
/// Noise below this share of the greatest value is taken as this \[1\] (own choice): so much of a pulse may stay in the line.
const LEAST_NOISE: f64 = 4e-3;

/// What a channel is like, over all that was fed in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Level {
    /// Samples.
    pub samples: u64,
    /// Greatest deviation from zero, in the unit of the samples.
    pub greatest: f32,
    /// Samples at the greatest value that follow upon another such sample: what clipping leaves.
    pub clipped: u64,
    /// Standard deviation of the quiet blocks about their own line; the mean over the recording.
    pub noise: f64,
    /// Greatest and least value of the line: drift and hum.
    pub line: (f64, f64),
    /// Samples that were no numbers and were taken as zero.
    pub not_numbers: u64,
}

/// Takes drift and hum out of a channel without moving what stands on it.
///
/// The mean of every block of half a millisecond is taken, and mains hum learned in them and taken off. The line at a block is the hum and
/// the *median* of what is left in it and its three neighbours to either side, straight between the blocks' middles. Unlike a high-pass
/// filter this leaves a pulse's height, width and place alone, and puts no undershoot behind it, as long as it is shorter than 1.5 ms. Longer
/// ones, of an engine that is kicked over, would be taken for the line: where that median leaves the one over 24 neighbours to either side by much
/// more than it usually does, the latter is the line, up to 12 ms. A tone or hum moves both by its usual size and changes nothing.
///
/// Validity: before the hum is learned, half a second, and for other tones, a sine of frequency f is left with about (2π f · 3.5 ms)²/24 of
/// its height, 5 % at 50 Hz, and a pulse on its flank with as much as it moves in a block. Source: own construction; the median as a robust
/// mean is textbook (Huber, *Robust Statistics*, 1981).
#[derive(Clone, Debug)]
pub struct Baseline {
    block: usize,
    /// Samples that were not handed on.
    waiting: Vec<f32>,
    hum: Hum,
    hums: [f64; RING],
    /// Means less the hum; those in reach of the next line again, by size.
    means: [f64; RING],
    by_size: Vec<f64>,
    /// How far the near line usually is from the far one.
    usual: f64,
    lines: [f64; RING],
    /// Blocks whose mean is known, whose line is known, that were handed on.
    meant: usize,
    lined: usize,
    handed: usize,
    level: Level,
    last_at_rail: bool,
    variances: [f32; HEARD],
    noise: f64,
    noises: (f64, u64),
    /// From the quantile of the block variance to the variance.
    quantile_to_mean: f64,
}

impl Baseline {
    /// For a channel of so many samples a second.
    pub fn new(rate_hz: f64) -> Self {
        let block = ((rate_hz * BLOCK_S).round() as usize).max(LEAST_BLOCK);
        let spread = 2.0 / (9.0 * (block - 1) as f64);
        Self {
            block,
            waiting: Vec::new(),
            hum: Hum::new(rate_hz / block as f64),
            hums: [0.0; RING],
            means: [0.0; RING],
            by_size: Vec::with_capacity(2 * FAR + 2),
            usual: 0.0,
            lines: [0.0; RING],
            meant: 0,
            lined: 0,
            handed: 0,
            level: Level { line: (f64::INFINITY, f64::NEG_INFINITY), ..Level::default() },
            last_at_rail: false,
            variances: [0.0; HEARD],
            noise: 0.0,
            noises: (0.0, 0),
            // Wilson and Hilferty's normal approximation of chi square; the lower quartile of a normal variable is −0.6745.
            quantile_to_mean: (1.0 - spread - 0.674_489_75 * spread.sqrt()).powi(-3),
        }
    }

    /// What was seen so far.
    pub fn level(&self) -> Level {
        let (sum, count) = self.noises;
        Level { noise: if count > 0 { sum / count as f64 } else { self.noise }, ..self.level }
    }

    /// Standard deviation of the noise now; 0 before the first block.
    pub fn noise(&self) -> f64 {
        self.noise.max(LEAST_NOISE * f64::from(self.level.greatest))
    }

    /// Feeds samples in; `out` gets the same samples without their line, in the same order, some blocks later. All of it is handed on once
    /// [`Baseline::finish`] was called.
    pub fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        let from = self.waiting.len();
        self.waiting.extend_from_slice(samples);
        self.look(from);
        let mut done = 0;
        loop {
            let next = done + (self.meant - self.handed) * self.block;
            let Some(block) = self.waiting.get(next..next + self.block) else { break };
            let mean = f64::from(sums(block).0) / self.block as f64;
            let hum = self.hum.next(mean);
            (self.hums[self.meant % RING], self.means[self.meant % RING]) = (hum, mean - hum);
            let at = self.by_size.partition_point(|m| *m < mean - hum);
            self.by_size.insert(at, mean - hum);
            self.meant += 1;
            if self.meant > self.lined + FAR {
                self.draw(self.lined + FAR);
            }
            if self.lined > self.handed + 1 {
                self.hand_on(done, out);
                done += self.block;
            }
        }
        self.waiting.drain(..done);
    }

    /// Hands on what is left.
    pub fn finish(&mut self, out: &mut Vec<f32>) {
        while self.lined < self.meant {
            self.draw(self.meant - 1);
        }
        let mut done = 0;
        while self.handed < self.meant {
            self.hand_on(done, out);
            done += self.block;
        }
        // A piece of a block has no line of its own.
        let line = self.lined.checked_sub(1).map_or(0.0, |l| self.lines[l % RING]) as f32;
        out.extend(self.waiting[done..].iter().map(|x| x - line));
        self.waiting.clear();
    }

    fn look(&mut self, from: usize) {
        let samples = &mut self.waiting[from..];
        self.level.samples += samples.len() as u64;
        let most = greatest(samples);
        // The greatest of what holds a NaN is not known to be finite; the sum of squares is.
        if !most.is_finite() || !sums(samples).1.is_finite() {
            for x in samples.iter_mut().filter(|x| !x.is_finite() || x.abs() > f32::MAX / 4.0) {
                *x = 0.0;
                self.level.not_numbers += 1;
            }
        }
        let samples = &self.waiting[from..];
        let most = greatest(samples);
        if most > self.level.greatest {
            if self.level.greatest < AT_THE_RAIL * most {
                self.level.clipped = 0;
                self.last_at_rail = false;
            }
            self.level.greatest = most;
        }
        let rail = AT_THE_RAIL * self.level.greatest;
        if most >= rail && most > 0.0 {
            for x in samples {
                let at = x.abs() >= rail;
                self.level.clipped += u64::from(at && self.last_at_rail);
                self.last_at_rail = at;
            }
        } else {
            self.last_at_rail = false;
        }
    }

    /// The line of the next block, from means up to `last`.
    fn draw(&mut self, last: usize) {
        let own = self.lined;
        let mut around = [0.0; 2 * AROUND + 1];
        let from = own.saturating_sub(AROUND);
        let known = (last + 1).min(own + AROUND + 1) - from;
        let around = &mut around[..known];
        for (i, m) in around.iter_mut().enumerate() {
            *m = self.means[(from + i) % RING];
        }
        around.sort_unstable_by(f64::total_cmp);
        let near = middle(around);
        let far = middle(&self.by_size);
        let leaves = (near - far).abs();
        let slow_pulse = own >= KNOWN && leaves > LEAVES * self.usual;
        // What leaves it far says little of the usual size.
        let share = if own < KNOWN { 1.0 / (own + 1) as f64 } else { USUAL_STEP };
        self.usual += share * (if slow_pulse { 2.0 * self.usual } else { leaves } - self.usual);
        self.lines[own % RING] = self.hums[own % RING] + if slow_pulse { far } else { near };
        self.lined += 1;
        // The next line does not reach back to this mean.
        if let Some(oldest) = own.checked_sub(FAR) {
            let gone = self.means[oldest % RING];
            let at = self.by_size.partition_point(|m| *m < gone);
            self.by_size.remove(at);
        }
    }

    fn hand_on(&mut self, at: usize, out: &mut Vec<f32>) {
        let own = self.handed;
        let line = |i: usize| self.lines[i % RING];
        let here = line(own);
        let before = if own > 0 { line(own - 1) } else { here };
        let behind = if own + 1 < self.lined { line(own + 1) } else { here };
        let half = self.block / 2;
        let samples = &self.waiting[at..at + self.block];
        let start = out.len();
        let mut straight = |part: &[f32], a: f64, b: f64| {
            let (a, slope) = (a as f32, ((b - a) / part.len() as f64) as f32);
            out.extend(part.iter().enumerate().map(|(i, x)| x - (a + slope * i as f32)));
        };
        straight(&samples[..half], 0.5 * (before + here), here);
        straight(&samples[half..], here, 0.5 * (here + behind));
        let (sum, square) = sums(&out[start..]);
        let n = self.block as f32;
        self.level.line = (self.level.line.0.min(here), self.level.line.1.max(here));
        self.handed += 1;
        self.hear((square - sum * sum / n).max(0.0) / (n - 1.0));
    }

    fn hear(&mut self, variance: f32) {
        self.variances[(self.handed - 1) % HEARD] = variance;
        // Now and then is enough: the noise changes slowly.
        if !self.handed.is_multiple_of(NEWEST) && self.handed > 1 {
            return;
        }
        let mut all = self.variances;
        let known = self.handed.min(HEARD);
        let quantile = |part: &mut [f32]| {
            let at = ((part.len() - 1) as f64 * QUIET_SHARE).round() as usize;
            f64::from(*part.select_nth_unstable_by(at, f32::total_cmp).1)
        };
        let last = (self.handed - 1) % HEARD + 1;
        let mut new = self.variances;
        let newest = quantile(&mut new[last.saturating_sub(NEWEST)..last]);
        let variance = quantile(&mut all[..known]).max(newest) * self.quantile_to_mean;
        self.noise = variance.sqrt();
        if self.handed >= NEWEST {
            self.noises.0 += self.noise;
            self.noises.1 += 1;
        }
    }
}

/// The median of what is in order.
fn middle(sorted: &[f64]) -> f64 {
    let n = sorted.len();
    0.5 * (sorted[(n - 1) / 2] + sorted[n / 2])
}

/// Sum and sum of squares, in lanes that the order of the addition leaves alone.
fn sums(samples: &[f32]) -> (f32, f32) {
    const LANES: usize = 8;
    let (mut sum, mut square) = ([0.0f32; LANES], [0.0f32; LANES]);
    let chunks = samples.chunks_exact(LANES);
    let rest = chunks.remainder();
    for c in chunks {
        for k in 0..LANES {
            sum[k] += c[k];
            square[k] += c[k] * c[k];
        }
    }
    for (k, x) in rest.iter().enumerate() {
        sum[k] += x;
        square[k] += x * x;
    }
    (sum.iter().sum(), square.iter().sum())
}

/// Greatest size of a sample.
pub(super) fn greatest(samples: &[f32]) -> f32 {
    const LANES: usize = 8;
    let mut most = [0.0f32; LANES];
    let chunks = samples.chunks_exact(LANES);
    let rest = chunks.remainder();
    for c in chunks {
        for k in 0..LANES {
            let y = c[k].abs();
            most[k] = if y > most[k] { y } else { most[k] };
        }
    }
    rest.iter().chain(&most).fold(0.0, |m, x| m.max(x.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn through(samples: &[f32], piece: usize) -> (Vec<f32>, Level) {
        let mut baseline = Baseline::new(48_000.0);
        let mut out = Vec::new();
        samples.chunks(piece).for_each(|c| baseline.push(c, &mut out));
        baseline.finish(&mut out);
        (out, baseline.level())
    }

    #[test]
    fn every_sample_comes_out_once_however_it_is_cut() {
        let samples: Vec<f32> = (0..5003).map(|i| ((i * i) as f32 * 0.37).sin()).collect();
        let (whole, level) = through(&samples, 5003);
        assert_eq!(whole.len(), samples.len());
        for piece in [1, 7, 24, 1000] {
            assert_eq!(through(&samples, piece).0, whole, "{piece}");
        }
        assert_eq!(level.samples, 5003);
    }

    #[test]
    fn hum_goes_and_a_pulse_stays() {
        // Heights of 1 for 1 ms on a hum of height 2.
        let pulse = |i: usize| if i % 1900 < 48 { 1.0 } else { 0.0 };
        let hum = |i: usize| 2.0 * (TAU * 50.0 * i as f64 / 48_000.0).sin();
        let samples: Vec<f32> = (0..96_000).map(|i| (pulse(i) + hum(i)) as f32).collect();
        let (out, _) = through(&samples, 480);
        /// A twentieth of the hum, once it was learned.
        const LEFT: f32 = 0.1;
        for (i, y) in out.iter().enumerate().skip(48_000).take(47_000) {
            assert!((y - pulse(i) as f32).abs() < LEFT, "{i}: {y}");
        }
    }

    #[test]
    fn a_slow_pulse_is_left_alone_and_a_tone_goes_as_before() {
        // A bell of 3 ms at half its height, 8 ms at its foot, five times a second, in a little noise.
        let bell = |i: usize| (-0.5 * ((i % 9600) as f64 - 4800.0).powi(2) / (61.0f64 * 61.0)).exp();
        let noise = |i: usize| 0.01 * ((i as f64 * 12.9898).sin() * 43_758.545).fract();
        let samples: Vec<f32> = (0..96_000).map(|i| (bell(i) + noise(i)) as f32).collect();
        let (out, _) = through(&samples, 480);
        let worst = (9600..90_000).map(|i| (f64::from(out[i]) - bell(i) - noise(i)).abs()).fold(0.0, f64::max);
        /// Own choice: three hundredths of the height, against a half without the wider line.
        const LEFT: f64 = 0.03;
        assert!(worst < LEFT, "{worst}");
        // 38 Hz is no mains hum: it is followed by the near line all the way.
        let tone: Vec<f32> = (0..48_000).map(|i| (TAU * 38.0 * i as f64 / 48_000.0).sin() as f32).collect();
        let (out, _) = through(&tone, 480);
        let worst = out[4800..43_200].iter().fold(0.0f32, |m, y| m.max(y.abs()));
        // (2π f · 3.5 ms)²/24 = 0.03.
        assert!(worst < 0.05, "{worst}");
    }

    #[test]
    fn clipped_samples_and_odd_numbers_are_counted() {
        let mut samples: Vec<f32> = (0..48_000).map(|i| ((i as f32 * 0.05).sin() * 2.0).clamp(-1.0, 1.0)).collect();
        samples[100] = f32::NAN;
        let level = through(&samples, 1000).1;
        // Two thirds of the time a sine of height 2 is beyond 1: 1 − 2/π · asin(1/2).
        assert!((level.clipped as f64 / 48_000.0 - 2.0 / 3.0).abs() < 0.03, "{level:?}");
        assert_eq!((level.not_numbers, level.greatest), (1, 1.0));
    }

    #[test]
    fn the_noise_is_what_it_is() {
        // Sums of twelve numbers from a simple generator, less six: standard deviation 1.
        let mut state = 1u32;
        let mut unit = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / (1u32 << 24) as f32
        };
        let mut samples: Vec<f32> = (0..48_000).map(|_| (0..12).map(|_| unit()).sum::<f32>() - 6.0).collect();
        // Pulses in every fourth block do not change it.
        samples.iter_mut().enumerate().filter(|(i, _)| i / 24 % 4 == 0).for_each(|(_, x)| *x *= 30.0);
        let noise = through(&samples, 4800).1.noise;
        assert!((noise - 1.0).abs() < 0.15, "{noise}");
    }
}
