//! Bayes' rule over causes, and what another observation would tell.

use super::{
    Cause, Expected, Observation, Outcome, Size,
    predict::{Predicted, Sizes},
};
use crate::study::Finding;

/// Share from which a cause explains what was seen \[1\]: three times as likely as all others together. Odds below 3 are "not worth more
/// than a bare mention" (Kass & Raftery, *Bayes Factors*, J. Am. Stat. Assoc. 90 (1995) 773–795, section 3.2; from memory).
pub const EXPLAINS: f64 = 0.75;

/// Shares of causes from their marginal likelihoods, all having the same share before (equal, no source): Bayes' rule.
///
/// # Example
/// ```
/// use workshop::study::alike::shares;
/// // Two causes, one of which makes what was seen three times as likely.
/// assert!((shares(&[0.6, 0.2])[0] - 0.75).abs() < 1e-12);
/// ```
pub fn shares(likelihoods: &[f64]) -> Vec<f64> {
    let sum: f64 = likelihoods.iter().sum();
    let even = 1.0 / likelihoods.len().max(1) as f64;
    likelihoods.iter().map(|l| if sum > 0.0 { l / sum } else { even }).collect()
}

/// Expected drop of the entropy of the causes by an observation [bit]: the mutual information of cause and outcome,
/// Σ P(c) P(o|c) log₂ P(o|c)/P(o).
///
/// `chances[c][o]` is the chance of outcome o under cause c. Source: Lindley, *On a measure of the information provided by an
/// experiment*, Ann. Math. Stat. 27 (1956) 986–1005.
///
/// # Example
/// ```
/// use workshop::study::alike::expected_information;
/// // A test that never errs between two even causes tells one bit; one that comes out alike for both tells nothing.
/// assert_eq!(expected_information(&[0.5, 0.5], &[vec![1.0, 0.0], vec![0.0, 1.0]]), 1.0);
/// assert_eq!(expected_information(&[0.5, 0.5], &[vec![0.5, 0.5], vec![0.5, 0.5]]), 0.0);
/// ```
pub fn expected_information(shares: &[f64], chances: &[Vec<f64>]) -> f64 {
    let outcomes = chances.iter().map(Vec::len).max().unwrap_or(0);
    let mean = |o: usize| shares.iter().zip(chances).map(|(s, c)| s * c[o]).sum::<f64>();
    (0..outcomes)
        .map(|o| {
            let all = mean(o);
            let term = |(s, c): (&f64, &Vec<f64>)| if *s > 0.0 && c[o] > 0.0 { s * c[o] * (c[o] / all).log2() } else { 0.0 };
            shares.iter().zip(chances).map(term).sum::<f64>()
        })
        .sum()
}

/// Everything predicted, each with the weight that what was seen has left it.
pub struct Weights {
    /// Share of each cause.
    pub shares: Vec<f64>,
    /// For each cause its predictions and their weights, which add up to 1.
    within: Vec<Vec<(f64, Predicted)>>,
}

impl Weights {
    /// From the predictions of `engines`, engine by engine and cause by cause, and the likelihood of all that was seen.
    pub fn new(causes: &[Cause], engines: &[Vec<Vec<(f64, Predicted)>>], likelihood: impl Fn(Cause, &Predicted) -> f64) -> Self {
        let each = 1.0 / engines.len().max(1) as f64;
        let mut marginal = Vec::with_capacity(causes.len());
        let mut within = Vec::with_capacity(causes.len());
        for (n, cause) in causes.iter().enumerate() {
            let mut all: Vec<(f64, Predicted)> = engines
                .iter()
                .flat_map(|e| &e[n])
                .map(|(weight, p)| (each * weight * likelihood(*cause, p), p.clone()))
                .collect();
            let sum: f64 = all.iter().map(|(w, _)| w).sum();
            marginal.push(sum);
            if sum > 0.0 {
                all.iter_mut().for_each(|(w, _)| *w /= sum);
            }
            within.push(all);
        }
        Self { shares: shares(&marginal), within }
    }

    /// Mean chances of an observation's outcomes under a cause; even ones where nothing could be predicted of it.
    pub fn mean_chances(&self, cause: usize, outcomes: usize, chances: impl Fn(&Predicted) -> Vec<f64>) -> Vec<f64> {
        if self.within[cause].is_empty() {
            return vec![1.0 / outcomes.max(1) as f64; outcomes];
        }
        let mut mean = vec![0.0; outcomes];
        for (w, p) in &self.within[cause] {
            mean.iter_mut().zip(chances(p)).for_each(|(m, c)| *m += w * c);
        }
        mean
    }

    /// What a cause lets expect of an observation.
    pub fn expected(
        &self,
        of: Cause,
        cause: usize,
        observation: Observation,
        chances: impl Fn(&Predicted) -> Vec<f64>,
    ) -> Expected {
        match observation {
            Observation::HangSpeed if of == Cause::NoneOfThese => Expected::Nothing,
            Observation::HangSpeed => {
                let hanging = |p: &Predicted| p.hang_rad_s.is_some();
                let often: f64 = self.within[cause].iter().filter(|(_, p)| hanging(p)).map(|(w, _)| w).sum();
                if often < 0.5 {
                    return Expected::NoHang;
                }
                self.mean(cause, |p| p.hang_rad_s).map_or(Expected::Nothing, Expected::Value)
            }
            Observation::Nudge { .. } if of == Cause::NoneOfThese => Expected::Nothing,
            Observation::Nudge { turned_rad } => {
                let settles = |p: &Predicted| p.nudge(turned_rad).and_then(|n| n.to_rad_s);
                let dies: f64 = self.within[cause].iter().filter(|(_, p)| settles(p).is_none()).map(|(w, _)| w).sum();
                if dies > 0.5 {
                    return Expected::Outcome(Outcome::Dies, dies);
                }
                self.mean(cause, settles).map_or(Expected::Nothing, Expected::Value)
            }
            Observation::RisingFalling => {
                self.mean(cause, |p| Some(p.falling_earlier_rad)).map_or(Expected::Nothing, Expected::Value)
            }
            _ => {
                let mean = self.mean_chances(cause, observation.outcomes().len(), chances);
                // Of equals the first.
                let best = mean.iter().copied().enumerate().rev().max_by(|a, b| a.1.total_cmp(&b.1));
                let even = 1.0 / mean.len().max(1) as f64;
                match best {
                    // More than rounding above an even chance.
                    Some((i, chance)) if chance > even * (1.0 + 1e-9) => Expected::Outcome(observation.outcomes()[i], chance),
                    _ => Expected::Nothing,
                }
            }
        }
    }

    /// Size of the fault under a cause.
    pub fn size(&self, cause: usize, sizes: Sizes) -> Option<Size> {
        let size = self.mean(cause, |p| Some(p.size))?;
        Some(match sizes {
            Sizes::Leak => Size::Leak(size),
            Sizes::Mixture => Size::Mixture(size),
            Sizes::Opening => Size::Opening(size),
            Sizes::Play => Size::Play(size),
        })
    }

    /// Weighted mean and ± (two standard deviations) of a number, over the predictions that have one.
    fn mean(&self, cause: usize, of: impl Fn(&Predicted) -> Option<f64>) -> Option<Finding> {
        let all: Vec<(f64, f64)> = self.within[cause].iter().filter_map(|(w, p)| Some((*w, of(p)?))).collect();
        let weight: f64 = all.iter().map(|(w, _)| w).sum();
        if weight <= 0.0 {
            return None;
        }
        let si = all.iter().map(|(w, x)| w * x).sum::<f64>() / weight;
        let variance = all.iter().map(|(w, x)| w * (x - si).powi(2)).sum::<f64>() / weight;
        Some(Finding { si, plus_minus_si: 2.0 * variance.max(0.0).sqrt() })
    }
}
