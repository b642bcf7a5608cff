//! The laws of a module or of bob weights, fitted to strobe readings.

use super::family::{AdvanceReading, FRICTION, Family, Priors, SMALLEST_SIGMA_RAD, Shape, sigmas};
use super::least_squares::FitFailed;
use super::robust::{RobustFit, TUKEY, robust, robust_deviation, tukey_loss};
use super::spread::Spread;
use super::start;
use crate::law::Law;
use nalgebra::{DMatrix, DVector};

/// A law fitted to readings.
#[derive(Clone, Debug)]
pub struct LawFit {
    /// What was fitted.
    pub family: Family,
    /// Parameters in SI, as [`Family`] orders them.
    pub parameters: Vec<f64>,
    /// Their covariance, widened where the readings scatter more than their ± allow, never narrowed.
    pub covariance: DMatrix<f64>,
    /// Reading less curve [rad].
    pub residuals_rad: Vec<f64>,
    /// Standard uncertainty of each residual [rad], the speed's error carried through the curve's slope.
    pub sigma_rad: Vec<f64>,
    /// Weight left to each reading, 0 to 1.
    pub weights: Vec<f64>,
    /// Root of the weighted mean square of residual/sigma, about 1 when the stated ± are honest.
    pub misfit: f64,
    /// Parameters that the readings themselves settled, the rest being settled by priors [1].
    pub effective_parameters: f64,
    /// Change of the parameters per change of each reading.
    response: DMatrix<f64>,
}

/// E\[w z²\]/E\[w\] of Tukey's weights for normal errors [1]: makes the misfit of honest readings 1. Integrated with SciPy 1.17.1.
const TUKEY_SHRINKS: f64 = 0.828_073_003_4;
/// Starts that are refined in full [1]; the grid's own order is right to within a place or two.
const REFINED: usize = 6;
/// Starts that are drawn near from afar [1] (own choice): the grid's order by a loss that grows with the distance is right to within fewer places.
const FROM_AFAR: usize = 3;
/// From afar the errors count as so wide at first that the farthest reading keeps three quarters of its weight [1] (own choice).
const NEARLY_ALL: f64 = 0.366;
/// In each further round the errors count as wide as this share of the round before [1] (own choice).
const NARROWS: f64 = 0.1;
/// Readings left over beyond the criterion's n = k + 1 [1], below which it is not defined (own choice): more than rounding of k, less than any prior's part in it.
const LEAST_LEFT: f64 = 1e-6;
/// Rounds in which sigma and scale follow the curve [1].
const ROUNDS: usize = 4;

/// Fits a family to readings: every start refined, the least loss kept.
///
/// Loss: Tukey's biweight of residual/sigma, sigma with the speed's error carried by effective variance (Orear, Am. J.
/// Phys. 50 (1982) 912-916). Shapes with knees have several minima, so every pair of knees on a grid is tried first (with
/// the knees held, the rest is linear).
///
/// # Errors
/// [`FitFailed`]; `TooFew` where nothing is left to judge the fit by.
pub fn fit_law(family: &Family, readings: &[AdvanceReading], priors: &Priors) -> Result<LawFit, FitFailed> {
    let known = [priors.lead, priors.arc].iter().flatten().count() * usize::from(family.shape.has_knees());
    if readings.len() + known < family.parameters() + 1 || family.places.is_empty() {
        return Err(FitFailed::TooFew { readings: readings.len(), parameters: family.parameters() });
    }
    let mut best: Option<LawFit> = None;
    let mut failed = FitFailed::Undetermined;
    let starts = start::starts(family, readings, priors);
    let mut least = f64::INFINITY;
    let firm = starts.firm.iter().take(REFINED).map(|p| (p, false));
    for (p, from_afar) in firm.chain(starts.gentle.iter().take(FROM_AFAR).map(|p| (p, true))) {
        match refine(family, readings, priors, p, from_afar) {
            Ok((loss, fit)) if loss < least => (least, best) = (loss, Some(fit)),
            Ok(_) => {}
            Err(why) => failed = why,
        }
    }
    best.ok_or(failed)
}

/// From one start; with the loss by which starts are compared.
fn refine(
    family: &Family,
    readings: &[AdvanceReading],
    priors: &Priors,
    start: &[f64],
    from_afar: bool,
) -> Result<(f64, LawFit), FitFailed> {
    let n = readings.len();
    let measured: Vec<f64> = readings.iter().map(|r| r.advance_rad).collect();
    let at: Vec<_> = readings.iter().map(|r| (r.speed_rad_s, r.trend, r.pickup)).collect();
    let scale: Vec<f64> = family.inward(start).iter().map(|_| 0.1).collect();
    let mut q = family.inward(start);
    let (mut spread, mut afar) = (f64::NAN, 0.0_f64);
    let mut last: Option<(RobustFit, Vec<f64>)> = None;
    for _ in 0..ROUNDS {
        let sigma = sigmas(family, &family.outward(&q), readings);
        let standardised = |q: &[f64]| {
            let p = family.outward(q);
            let mut r: Vec<f64> =
                family.advances(&p, &at).iter().zip(&measured).zip(&sigma).map(|((a, m), s)| (m - a) / s).collect();
            r.extend(prior_residuals(family, priors, &p));
            r
        };
        if spread.is_nan() {
            let z = standardised(&q);
            spread = robust_deviation(z[..n].iter().copied(), q.len()).max(1.0);
            if from_afar {
                afar = z[..n].iter().fold(0.0, |most, z| z.abs().max(most)) / (NEARLY_ALL * TUKEY);
            }
        }
        spread = spread.max(afar);
        afar *= NARROWS;
        let fit = robust(standardised, n, spread, &q, &scale)?;
        q.clone_from(&fit.fit.parameters);
        spread = robust_deviation(fit.residuals[..n].iter().copied(), q.len()).max(1.0);
        last = Some((fit, sigma));
    }
    let (fit, sigma_rad) = last.ok_or(FitFailed::NotSettled)?;
    let p = family.outward(&q);
    // Judged by a loss whose scale does not follow the fit, or a bad fit would excuse itself.
    let loss = fit.residuals[..n].iter().map(|z| tukey_loss(*z)).sum::<f64>()
        + fit.residuals[n..].iter().map(|z| 0.5 * z * z).sum::<f64>();
    Ok((loss, finish(family, p, &fit, sigma_rad)))
}

fn finish(family: &Family, p: Vec<f64>, fit: &RobustFit, sigma_rad: Vec<f64>) -> LawFit {
    let n = sigma_rad.len();
    let stretch = family.stretch(&p);
    let data = fit.fit.jacobian.rows(0, n);
    let inverse = &fit.fit.inverse_normal;
    let effective_parameters = (inverse * data.transpose() * data).trace();
    let total: f64 = fit.weights[..n].iter().sum();
    let square: f64 = (0..n).map(|i| fit.weights[i] * fit.residuals[i].powi(2)).sum();
    let freedom = total - effective_parameters;
    let misfit = if freedom > 0.0 { (square / freedom / TUKEY_SHRINKS).sqrt() } else { f64::NAN };
    let widened = if misfit > 1.0 { misfit * misfit } else { 1.0 };
    let covariance = &stretch * inverse * stretch.transpose() * widened;
    // Change of the standardised residual per radian of reading is 1/sigma; the solver's step is −(JᵀJ)⁻¹Jᵀ r.
    let mut response = -(&stretch * inverse * data.transpose());
    for (mut column, (weight, sigma)) in response.column_iter_mut().zip(fit.weights.iter().zip(&sigma_rad)) {
        column.scale_mut(weight.sqrt() / sigma);
    }
    LawFit {
        family: family.clone(),
        parameters: p,
        covariance,
        residuals_rad: (0..n).map(|i| fit.residuals[i] * sigma_rad[i]).collect(),
        sigma_rad,
        weights: fit.weights[..n].to_vec(),
        misfit,
        effective_parameters,
        response,
    }
}

impl LawFit {
    /// The law of one pickup.
    pub fn law(&self, pickup: usize) -> Option<Law> {
        self.family.law(&self.parameters, pickup)
    }

    /// By how much [rad] the spark comes earlier with falling than with rising speed, in the middle between the stops, and its standard
    /// uncertainty, where friction was fitted: 2 · friction · range.
    pub fn hysteresis_rad(&self) -> Option<(f64, f64)> {
        const RANGE: usize = 1;
        if self.family.shape != Shape::StickingWeights {
            return None;
        }
        let (range, friction) = (self.parameters[RANGE], self.parameters[FRICTION]);
        let of = |i, j| self.covariance[(i, j)];
        let variance = friction * friction * of(RANGE, RANGE)
            + range * range * of(FRICTION, FRICTION)
            + 2.0 * friction * range * of(RANGE, FRICTION);
        Some((2.0 * friction * range, 2.0 * variance.max(0.0).sqrt()))
    }

    /// The parameters and how they vary together.
    pub fn spread(&self) -> Spread {
        Spread::new(self.parameters.clone(), &self.covariance)
    }

    /// Readings less the parameters that they settled: the freedom of the misfit, at least one.
    pub fn freedom(&self) -> usize {
        ((self.residuals_rad.len() as f64 - self.effective_parameters).floor() as usize).max(1)
    }

    /// Adds the doubt of an error that all readings share, such as the lamp's delay: `change_rad` is what one standard
    /// uncertainty of it does to each reading.
    pub fn add_common_error(&mut self, change_rad: &[f64]) {
        if change_rad.len() == self.response.ncols() {
            let moved = &self.response * DVector::from_column_slice(change_rad);
            self.covariance += &moved * moved.transpose();
        }
    }

    /// Akaike's criterion corrected for few readings, the errors widened by `scale`; `None` with too few readings.
    ///
    /// `2 Σρ + 2kn/(n − k − 1)`, the log-likelihood replaced by the robust loss ρ and `k` counting the parameters that the
    /// readings settled. Source: Burnham and Anderson, *Model Selection and Multimodel Inference*, 2nd ed. (2002), 2.4
    /// (known error variances, so they are not counted).
    pub fn aicc(&self, scale: f64) -> Option<f64> {
        let (n, k) = (self.residuals_rad.len() as f64, self.effective_parameters);
        let loss: f64 = self.residuals_rad.iter().zip(&self.sigma_rad).map(|(r, s)| tukey_loss(r / s / scale)).sum();
        (n - k - 1.0 > LEAST_LEFT).then(|| 2.0 * loss + 2.0 * k * n / (n - k - 1.0))
    }
}

/// Akaike weights of fits to the same readings, in their order, summing to 1; a fit with too few readings gets none.
/// All are judged with the same widening of errors, that of the best of them.
pub fn akaike_shares(fits: &[LawFit]) -> Vec<f64> {
    let scale = fits.iter().map(|f| f.misfit).filter(|m| m.is_finite()).fold(f64::INFINITY, f64::min).max(1.0);
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let scores: Vec<f64> = fits.iter().map(|f| f.aicc(scale).unwrap_or(f64::INFINITY)).collect();
    let least = scores.iter().copied().fold(f64::INFINITY, f64::min);
    let raw: Vec<f64> = scores.iter().map(|s| if s.is_finite() { (-0.5 * (s - least)).exp() } else { 0.0 }).collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|w| if sum > 0.0 { w / sum } else { 0.0 }).collect()
}

/// What is known beforehand, as standardised residuals.
fn prior_residuals(family: &Family, priors: &Priors, p: &[f64]) -> Vec<f64> {
    let mut r = Vec::new();
    if family.shape.has_knees() {
        let known = if family.shape.has_weights() { [None, None] } else { [priors.lead, priors.arc] };
        r.extend(known.iter().enumerate().filter_map(|(i, k)| k.map(|(value, u)| (p[i] - value) / u.max(SMALLEST_SIGMA_RAD))));
        let (low, high) = (priors.speeds.0.ln(), priors.speeds.1.ln());
        r.extend([p[2], p[3]].map(|n| (n.ln() - 0.5 * (low + high)) / (0.5 * (high - low))));
    }
    if priors.place_u.is_finite() {
        r.extend(p[family.shape.parameters()..].iter().map(|place| place / priors.place_u.max(SMALLEST_SIGMA_RAD)));
    }
    r
}
