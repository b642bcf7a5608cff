//! From sound to two slow signals: the wave itself below 2 kHz, and how loud it is.

/// Least rate of the slow signals [Hz] (own choice): four cylinders at 10 000 rpm fire 333 times a second.
const SLOW_HZ: f64 = 4000.0;
/// Below this the wave is wind and handling [Hz] (own choice).
const RUMBLE_HZ: f64 = 20.0;

/// Brings one channel down to a slow rate.
#[derive(Clone, Debug)]
pub(super) struct Front {
    every: usize,
    count: usize,
    /// Sums of the last two stretches: together a triangular mean, which lets little above the slow rate pass.
    wave: Triangle,
    loud: Triangle,
    mean: f64,
    step: f64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Triangle {
    rising: f64,
    falling: f64,
}

impl Triangle {
    fn add(&mut self, x: f64, share: f64) {
        self.rising += share * x;
        self.falling += (1.0 - share) * x;
    }

    fn take(&mut self, every: f64) -> f64 {
        let mean = self.falling / every;
        (self.falling, self.rising) = (self.rising, 0.0);
        mean
    }
}

impl Front {
    pub(super) fn new(rate_hz: f64) -> Self {
        let every = ((rate_hz / SLOW_HZ) as usize).max(1);
        let step = (std::f64::consts::TAU * RUMBLE_HZ / rate_hz).min(1.0);
        Self { every, count: 0, wave: Triangle::default(), loud: Triangle::default(), mean: 0.0, step }
    }

    /// Samples in one slow one.
    pub(super) fn every(&self) -> usize {
        self.every
    }

    /// Feeds samples in; slow ones come out: wave and loudness.
    pub(super) fn push(&mut self, samples: &[f32], wave: &mut Vec<f32>, loud: &mut Vec<f32>) {
        let every = self.every as f64;
        for x in samples {
            let x = if x.is_finite() { f64::from(*x) } else { 0.0 };
            self.mean += self.step * (x - self.mean);
            let y = x - self.mean;
            let share = self.count as f64 / every;
            self.wave.add(y, share);
            self.loud.add(y.abs(), share);
            self.count += 1;
            if self.count == self.every {
                self.count = 0;
                wave.push(self.wave.take(every) as f32);
                loud.push(self.loud.take(every) as f32);
            }
        }
    }
}
