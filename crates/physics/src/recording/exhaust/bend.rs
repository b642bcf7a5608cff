//! A stretch of sound as it would be if the speed did not change: time is bent so that a speed that rises or falls at a steady rate becomes even.

use super::likeness::Summed;

/// Least speed, over that of the middle, to which a change is followed back \[1\] (own choice): before, the engine would have stood still.
const LEAST: f64 = 0.1;

/// Below this change over the stretch nothing is bent \[1\] (own choice): less than a sample in a thousand.
const STRAIGHT: f64 = 1e-3;

/// One rate of change of the speed's logarithm.
///
/// At a speed `n = n₀ e^{γt}` firings are even in `u = (e^{γt} − 1)/γ`, which goes with t at the middle.
#[derive(Clone, Debug)]
pub(super) struct Bend {
    /// For each slow sample of the bent stretch, where it is in the straight one: sample and share of the way to the next.
    places: Vec<(u32, f32)>,
}

impl Bend {
    /// For a stretch of `reach` slow samples to either side of its middle, and a rate [1/slow sample].
    pub(super) fn new(reach: usize, rate: f64) -> Self {
        let r = reach as f64;
        let straight = (rate * r).abs() < STRAIGHT;
        let place = |k: usize| {
            let u = k as f64 - r;
            let t = if straight { u } else { (rate * u).max(LEAST - 1.0).ln_1p() / rate };
            let at = (t + r).clamp(0.0, 2.0 * r - 1.0);
            (at as u32, (at - at.floor()) as f32)
        };
        Self { places: (0..2 * reach).map(place).collect() }
    }

    /// Samples to either side of the middle.
    pub(super) fn reach(&self) -> usize {
        self.places.len() / 2
    }

    /// Bends the stretch of two signals around a sample.
    pub(super) fn of(&self, signals: &[Summed; 2], at: usize) -> [Summed; 2] {
        signals.each_ref().map(|signal| {
            let straight = &signal.samples[at - self.reach()..];
            let mut bent = Summed::new();
            bent.samples.extend(self.places.iter().map(|&(i, share)| {
                let (a, b) = (straight[i as usize], straight[(i as usize + 1).min(straight.len() - 1)]);
                a + share * (b - a)
            }));
            bent.sum();
            bent
        })
    }
}
