//! Wave and loudness, and the same at half, a quarter and an eighth of the rate.

use super::{
    bend::Bend,
    likeness::{HALVINGS, Order, Summed},
};

/// Two signals, halved ever more often; the first sample of all of them is at one moment.
#[derive(Clone, Debug)]
pub(super) struct Halved {
    levels: Vec<[Summed; 2]>,
}

/// Samples are forgotten by so many, so that all levels begin at one moment.
const TOGETHER: usize = 1 << HALVINGS;

impl Halved {
    pub(super) fn new() -> Self {
        Self { levels: vec![[Summed::new(), Summed::new()]; HALVINGS + 1] }
    }

    /// Wave and loudness, to which samples are added.
    pub(super) fn signals(&mut self) -> &mut [Summed; 2] {
        &mut self.levels[0]
    }

    /// Samples of each that are held.
    pub(super) fn len(&self) -> usize {
        self.levels[0][0].samples.len()
    }

    /// Brings sums and halved signals up to the samples.
    pub(super) fn follow(&mut self) {
        for level in 0..=HALVINGS {
            let (finer, rest) = self.levels.split_at_mut(level);
            for (k, coarse) in rest[0].iter_mut().enumerate() {
                if let Some(fine) = finer.last().map(|f| &f[k]) {
                    // The mean of three, the middle one twice: it lets little above half the rate pass, and moves nothing.
                    while let Some(after) = fine.samples.get(2 * coarse.samples.len() + 1) {
                        let at = 2 * coarse.samples.len();
                        let before = fine.samples[at.saturating_sub(1)];
                        coarse.samples.push(0.25 * (before + after) + 0.5 * fine.samples[at]);
                    }
                }
                coarse.sum();
            }
        }
    }

    /// Forgets no more than so many samples; how many it was.
    pub(super) fn forget(&mut self, most: usize) -> usize {
        let most = most / TOGETHER * TOGETHER;
        for (halved, level) in self.levels.iter_mut().enumerate() {
            level.iter_mut().for_each(|s| s.forget(most >> halved));
        }
        most
    }

    /// How well each speed goes with the sound around a sample, the speed steady or changing as the bends have it; for each the best of them counts, less what a
    /// bend costs.
    pub(super) fn fits(&self, order: &Order, bends: &[Bends], at: usize, bend_costs: f32) -> Vec<f32> {
        let straight: Vec<_> =
            self.levels.iter().enumerate().map(|(halved, [wave, loud])| ([wave, loud], at >> halved)).collect();
        let mut fits = order.held_against(&straight);
        for bend in bends {
            let bent: Vec<[Summed; 2]> =
                self.levels.iter().zip(&bend.0).enumerate().map(|(h, (s, b))| b.of(s, at >> h)).collect();
            let bent: Vec<_> = bent.iter().zip(&bend.0).map(|([wave, loud], b)| ([wave, loud], b.reach())).collect();
            for (fit, bent) in fits.iter_mut().zip(order.held_against(&bent)) {
                *fit = fit.max(bent - bend_costs);
            }
        }
        fits
    }
}

/// One rate of change, for the signals of all levels.
#[derive(Clone, Debug)]
pub(super) struct Bends(Vec<Bend>);

impl Bends {
    /// For a rate [1/slow sample].
    pub(super) fn new(order: &Order, rate: f64) -> Self {
        Self((0..=HALVINGS).map(|halved| Bend::new(order.reach_of(halved), rate * f64::from(1u32 << halved))).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tone of 40 samples keeps its place and, within a hundredth, its height, however its samples come and go.
    #[test]
    fn a_slow_tone_is_the_same_at_every_rate() {
        let tone = |i: usize| (std::f64::consts::TAU * i as f64 / 40.0).sin() as f32;
        let (mut halved, mut gone) = (Halved::new(), 0);
        for i in 0..5000 {
            halved.signals().iter_mut().for_each(|s| s.samples.push(tone(i)));
            if i % 37 == 0 {
                halved.follow();
            }
            if i % 700 == 699 {
                halved.follow();
                gone += halved.forget(333);
            }
        }
        halved.follow();
        for (level, height) in [(1, 0.994), (2, 0.970)] {
            let samples = &halved.levels[level][1].samples;
            assert!(samples.len() > 2000 >> level);
            for (j, x) in samples.iter().enumerate() {
                let want = height * tone(gone + (j << level));
                assert!((x - want).abs() < 0.01, "{level} {j}: {x} for {want}");
            }
        }
    }
}
