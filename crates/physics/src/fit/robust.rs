//! Least squares that one wild reading cannot spoil.

use super::least_squares::{Fit, FitFailed, least_squares};

/// Tukey's biweight constant [1]: 95 % efficiency for normal errors. Source: Holland and Welsch, "Robust regression using
/// iteratively reweighted least-squares", Communications in Statistics A6 (1977) 813-827 (from memory; also MATLAB
/// `robustfit` and statsmodels `TukeyBiweight` defaults).
pub const TUKEY: f64 = 4.685;

/// Factor from the median of absolute residuals to a standard deviation for normal errors [1], exactly 1/Φ⁻¹(¾).
pub const MAD_TO_DEVIATION: f64 = 1.482602218505602;

/// Tukey's biweight of a standardised residual: 1 at zero, 0 from [`TUKEY`] on.
pub fn tukey_weight(z: f64) -> f64 {
    let u = z / TUKEY;
    if u.abs() < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
}

/// Tukey's loss of a standardised residual: z²/2 near zero, level at TUKEY²/6 far out.
pub fn tukey_loss(z: f64) -> f64 {
    let u2 = (z / TUKEY).powi(2).min(1.0);
    TUKEY * TUKEY / 6.0 * (1.0 - (1.0 - u2).powi(3))
}

/// Standard deviation from the median absolute residual, corrected for the parameters that were fitted.
pub fn robust_deviation(residuals: impl Iterator<Item = f64>, parameters: usize) -> f64 {
    let mut sizes: Vec<f64> = residuals.map(f64::abs).collect();
    if sizes.is_empty() {
        return 0.0;
    }
    sizes.sort_by(f64::total_cmp);
    let n = sizes.len();
    let median = 0.5 * (sizes[(n - 1) / 2] + sizes[n / 2]);
    let freedom = (n.saturating_sub(parameters)).max(1) as f64;
    MAD_TO_DEVIATION * median * (n as f64 / freedom).sqrt()
}

/// A robust fit.
#[derive(Clone, Debug)]
pub struct RobustFit {
    /// The weighted fit at the end; its residuals and Jacobian carry the square roots of the weights.
    pub fit: Fit,
    /// Standardised residuals without weights, priors included.
    pub residuals: Vec<f64>,
    /// Weight left to each residual, 0 to 1.
    pub weights: Vec<f64>,
    /// Sum of the loss at the given scale.
    pub loss: f64,
}

/// Rounds of reweighting [1]; convergence is linear and each round settles more than a digit in practice.
const ROUNDS: usize = 60;
/// Change of weights [1] at which the rounds end: a millionth of a full weight moves no printed digit (own choice).
const SETTLED: f64 = 1e-6;

/// Reweights until it settles. `residuals` are standardised (divided by their own standard uncertainty); `scale_of_errors`
/// widens them all. The first `count` may be wild; the rest (priors) keep their full weight.
///
/// # Errors
/// [`FitFailed`]; also `TooFew` where the weights leave fewer readings than parameters.
pub fn robust(
    residuals: impl Fn(&[f64]) -> Vec<f64>,
    count: usize,
    scale_of_errors: f64,
    start: &[f64],
    scale: &[f64],
) -> Result<RobustFit, FitFailed> {
    let weight = |i: usize, r: f64| if i < count { tukey_weight(r / scale_of_errors) } else { 1.0 };
    let weigh = |r: &[f64]| r.iter().enumerate().map(|(i, r)| weight(i, *r)).collect::<Vec<f64>>();
    let mut weights = weigh(&residuals(start));
    let mut at = start.to_vec();
    let mut round = 0;
    loop {
        round += 1;
        let held = weights.clone();
        let weighted = |p: &[f64]| residuals(p).iter().zip(&held).map(|(r, w)| r * w.sqrt()).collect::<Vec<f64>>();
        let left = held.iter().filter(|w| **w > 0.0).count();
        if left < at.len() {
            return Err(FitFailed::TooFew { readings: left, parameters: at.len() });
        }
        let fit = least_squares(weighted, &at, scale)?;
        at.clone_from(&fit.parameters);
        let plain = residuals(&at);
        weights = weigh(&plain);
        let moved = weights.iter().zip(&held).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        if moved < SETTLED || round == ROUNDS {
            let loss = plain
                .iter()
                .enumerate()
                .map(|(i, r)| if i < count { tukey_loss(r / scale_of_errors) } else { 0.5 * r * r })
                .sum();
            return Ok(RobustFit { fit, residuals: plain, weights: held, loss });
        }
    }
}
