//! Values between samples.

use std::f64::consts::PI;

/// Samples to either side that a value between two samples is made of [1] (own choice): error below 1 % up to four fifths of the band.
pub(super) const REACH: usize = 8;
/// Places between two samples at which values are looked up [1] (own choice): an eighth of a sample, a straight line between them.
pub(super) const FINER: usize = 8;

/// Whittaker's series with a Hann window, `Σ x_k sinc(t − k) cos²(π(t − k)/2R)`, for a band-limited signal, at every eighth of a sample.
///
/// Samples outside of what is there count as zero. Source: Oppenheim and Schafer, *Discrete-Time Signal Processing* (1999), 4.2 and 7.2.
#[derive(Clone, Debug)]
pub(super) struct Between {
    weights: [[f32; 2 * REACH]; FINER],
}

impl Between {
    pub(super) fn new() -> Self {
        let mut weights = [[0.0; 2 * REACH]; FINER];
        for (share, row) in weights.iter_mut().enumerate() {
            for (k, w) in row.iter_mut().enumerate() {
                // Place of the sample against the value that is sought.
                let d = share as f64 / FINER as f64 - (k as f64 - (REACH as f64 - 1.0));
                let sinc = if d == 0.0 { 1.0 } else { (PI * d).sin() / (PI * d) };
                *w = (sinc * (0.5 + 0.5 * (PI * d / REACH as f64).cos())) as f32;
            }
        }
        Self { weights }
    }

    /// The value at `eighths` / 8 samples.
    pub(super) fn at(&self, samples: &[f32], eighths: isize) -> f64 {
        let (whole, share) = (eighths.div_euclid(FINER as isize), eighths.rem_euclid(FINER as isize) as usize);
        if share == 0 {
            return usize::try_from(whole).ok().and_then(|i| samples.get(i)).map_or(0.0, |x| f64::from(*x));
        }
        let first = whole + 1 - REACH as isize;
        let weights = &self.weights[share];
        if let Some(near) = usize::try_from(first).ok().and_then(|i| samples.get(i..i + 2 * REACH)) {
            return f64::from(near.iter().zip(weights).map(|(x, w)| x * w).sum::<f32>());
        }
        let sample = |k: usize| usize::try_from(first + k as isize).ok().and_then(|i| samples.get(i)).copied().unwrap_or(0.0);
        f64::from((0..2 * REACH).map(|k| sample(k) * weights[k]).sum::<f32>())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sine_between_its_samples() {
        let between = Between::new();
        for share_of_rate in [0.05, 0.2, 0.4] {
            let wave = |t: f64| (2.0 * PI * share_of_rate * t + 0.3).sin();
            let samples: Vec<f32> = (0..64).map(|i| wave(i as f64) as f32).collect();
            for eighths in [241, 252, 256, 271] {
                let (got, want) = (between.at(&samples, eighths), wave(eighths as f64 / 8.0));
                assert!((got - want).abs() < 0.01, "{share_of_rate} {eighths}: {got} {want}");
            }
        }
    }
}
