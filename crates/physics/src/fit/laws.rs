//! The laws of a module or of bob weights, fitted to strobe readings.

use super::least_squares::FitFailed;
use super::robust::{RobustFit, robust, robust_deviation, tukey_loss};
use super::spread::Spread;
use super::start;
use crate::law::{BobWeights, Law, Pickup, Ramp, Segment, Table, TwoEdge};
use nalgebra::{DMatrix, DVector};
use quantity::CrankAngle;

/// One reading of the advance, corrected and in SI, with *standard* uncertainties.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AdvanceReading {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Standard uncertainty of the speed [rad/s].
    pub speed_u: f64,
    /// Advance [rad].
    pub advance_rad: f64,
    /// Standard uncertainty of the advance [rad].
    pub advance_u: f64,
    /// Which pickup it belongs to; `None` stands for the mean of them all.
    pub pickup: Option<usize>,
}

/// Which formula is fitted.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// [`Ramp`]: lead, arc, start speed, full speed.
    Ramp,
    /// [`TwoEdge`]: lead, arc, start speed, full speed.
    TwoEdge,
    /// [`BobWeights`] on one spring: greatest advance, range, start speed, full speed.
    BobWeights,
    /// One advance.
    Fixed,
    /// [`Table`]: the advance at these speeds [rad/s].
    Table(Vec<f64>),
}

impl Shape {
    /// Number of its parameters, place differences aside.
    pub fn parameters(&self) -> usize {
        match self {
            Shape::Ramp | Shape::TwoEdge | Shape::BobWeights => 4,
            Shape::Fixed => 1,
            Shape::Table(speeds) => speeds.len(),
        }
    }

    /// Has it a lead, an arc and two knees?
    pub fn has_knees(&self) -> bool {
        matches!(self, Shape::Ramp | Shape::TwoEdge | Shape::BobWeights)
    }

    /// Share of the arc by which the spark stays behind the lead; for shapes with knees.
    pub(super) fn share_behind(&self, speed: f64, start: f64, full: f64) -> f64 {
        let ahead = match self {
            Shape::TwoEdge => (speed - start) / (full - start),
            Shape::BobWeights => (speed * speed - start * start) / (full * full - start * start),
            _ => 1.0 - start / (full - start) * (full / speed - 1.0),
        };
        1.0 - ahead.max(0.0).min(1.0)
    }
}

/// A shape shared by all cylinders, and what is each pickup's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Family {
    /// The formula.
    pub shape: Shape,
    /// Known place of each pickup [rad], positive = earlier. At least one entry.
    pub places: Vec<f64>,
    /// Whether a pickup's place is fitted on top of the known one.
    pub free: Vec<bool>,
    /// What is known of each pickup's pulse; without it the edge itself fires.
    pub pickups: Vec<Option<Pickup>>,
}

/// What is known before any strobe reading: value and standard uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Priors {
    /// Lead as measured on the rotor [rad].
    pub lead: Option<(f64, f64)>,
    /// Arc as measured on the rotor [rad].
    pub arc: Option<(f64, f64)>,
    /// Speeds [rad/s] between which the knees are to be expected: their logarithms get this middle and half-width as a
    /// normal prior, weak beside any reading near a knee.
    pub speeds: (f64, f64),
    /// Standard uncertainty of a freed place [rad]; infinite = nothing known.
    pub place_u: f64,
}

impl Family {
    /// All parameters: the shape's, then one place for each freed pickup.
    pub fn parameters(&self) -> usize {
        self.shape.parameters() + self.free.iter().filter(|f| **f).count()
    }

    /// Where the place of a pickup stands among the parameters, if it is fitted.
    pub fn place_parameter(&self, pickup: usize) -> Option<usize> {
        let before = self.free.iter().take(pickup).filter(|f| **f).count();
        self.free.get(pickup).copied().unwrap_or(false).then_some(self.shape.parameters() + before)
    }

    /// The law of one pickup. `None` where the parameters make no law.
    pub fn law(&self, p: &[f64], pickup: usize) -> Option<Law> {
        let angle = CrankAngle::from_radians;
        let law = match &self.shape {
            Shape::Ramp => Law::Ramp(Ramp::from_speeds(Segment::new(angle(p[0]), angle(p[1])).ok()?, p[2], p[3]).ok()?),
            Shape::TwoEdge => {
                Law::TwoEdge(TwoEdge::from_speeds(Segment::new(angle(p[0]), angle(p[1])).ok()?, p[2], p[3]).ok()?)
            }
            Shape::BobWeights => {
                Law::BobWeights(BobWeights::on_one_spring(angle(p[0] - p[1]), angle(p[1]), p[2], p[3]).ok()?)
            }
            Shape::Fixed => Law::Fixed(angle(p[0])),
            Shape::Table(speeds) => {
                let points: Vec<_> = speeds.iter().zip(p).map(|(n, a)| (*n, angle(*a))).collect();
                Law::Table(Table::new(&points).ok()?)
            }
        };
        let own = self.place_parameter(pickup).map_or(0.0, |i| p[i]);
        let placed = law.shifted(angle(self.places.get(pickup).copied().unwrap_or(0.0) + own));
        Some(match (&self.shape, self.pickups.get(pickup).copied().flatten()) {
            (Shape::Ramp | Shape::TwoEdge, Some(sensor)) => placed.sensed_by(sensor),
            _ => placed,
        })
    }

    /// Advance [rad] that the parameters give at each reading; not a number where they make no law.
    ///
    /// The same as [`Family::law`] reading by reading, without building a mechanism for every trial of the solver.
    fn advances(&self, p: &[f64], at: &[(f64, Option<usize>)]) -> Vec<f64> {
        let base: Box<dyn Fn(f64) -> f64> = match &self.shape {
            shape if shape.has_knees() => Box::new(|n| p[0] - p[1] * shape.share_behind(n, p[2], p[3])),
            _ => match self.law(p, usize::MAX) {
                Some(law) => Box::new(move |n| law.advance(n).radians()),
                None => Box::new(|_| f64::NAN),
            },
        };
        let own: Vec<f64> = (0..self.places.len())
            .map(|g| self.places[g] + self.place_parameter(g).map_or(0.0, |i| p[i]))
            .collect();
        let one = |g: usize, n: f64| own[g] + self.sensed(g, n);
        at.iter()
            .map(|&(n, pickup)| {
                base(n)
                    + match pickup {
                        Some(g) if g < own.len() => one(g, n),
                        _ => (0..own.len()).map(|g| one(g, n)).sum::<f64>() / own.len() as f64,
                    }
            })
            .collect()
    }

    /// How much earlier [rad] a pickup fires than its edge; nothing for laws that do not fire from an edge.
    fn sensed(&self, pickup: usize, speed: f64) -> f64 {
        match (&self.shape, self.pickups.get(pickup).copied().flatten()) {
            (Shape::Ramp | Shape::TwoEdge, Some(sensor)) => sensor.ahead_of_edge(speed).radians(),
            _ => 0.0,
        }
    }

    /// Advance [rad] that a reading owes to the known place and pulse of its pickup.
    pub(super) fn known_part(&self, reading: &AdvanceReading) -> f64 {
        let of = |g: usize| self.places[g] + self.sensed(g, reading.speed_rad_s);
        match reading.pickup {
            Some(g) if g < self.places.len() => of(g),
            _ => (0..self.places.len()).map(of).sum::<f64>() / self.places.len() as f64,
        }
    }

    /// Inner parameters, in which any number makes a law: the knees as ln N₁ and ln(N₂/N₁ − 1).
    fn inward(&self, p: &[f64]) -> Vec<f64> {
        let mut q = p.to_vec();
        if self.shape.has_knees() {
            q[2] = p[2].ln();
            q[3] = (p[3] / p[2] - 1.0).ln();
        }
        q
    }

    fn outward(&self, q: &[f64]) -> Vec<f64> {
        let mut p = q.to_vec();
        if self.shape.has_knees() {
            p[2] = q[2].exp();
            p[3] = p[2] * (1.0 + q[3].exp());
        }
        p
    }

    /// ∂(outer)/∂(inner) at outer parameters.
    fn stretch(&self, p: &[f64]) -> DMatrix<f64> {
        let mut t = DMatrix::identity(p.len(), p.len());
        if self.shape.has_knees() {
            t[(2, 2)] = p[2];
            t[(3, 2)] = p[3];
            t[(3, 3)] = p[3] - p[2];
        }
        t
    }
}

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
    for p in starts.iter().take(REFINED) {
        match refine(family, readings, priors, p) {
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
) -> Result<(f64, LawFit), FitFailed> {
    let n = readings.len();
    let measured: Vec<f64> = readings.iter().map(|r| r.advance_rad).collect();
    let at: Vec<_> = readings.iter().map(|r| (r.speed_rad_s, r.pickup)).collect();
    let scale: Vec<f64> = family.inward(start).iter().map(|_| 0.1).collect();
    let mut q = family.inward(start);
    let mut spread = f64::NAN;
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
            spread = robust_deviation(standardised(&q)[..n].iter().copied(), q.len()).max(1.0);
        }
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
    for i in 0..n {
        response.column_mut(i).scale_mut(fit.weights[i].sqrt() / sigma_rad[i]);
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
        let loss: f64 =
            self.residuals_rad.iter().zip(&self.sigma_rad).map(|(r, s)| tukey_loss(r / s / scale)).sum();
        (n - k - 1.0 > 0.0).then(|| 2.0 * loss + 2.0 * k * n / (n - k - 1.0))
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

/// Standard uncertainty of reading less curve [rad]: the speed's error is carried by the chord of the curve over ± one
/// standard uncertainty, which also serves at a knee.
pub(super) fn sigmas(family: &Family, p: &[f64], readings: &[AdvanceReading]) -> Vec<f64> {
    let moved = |by: f64| readings.iter().map(|r| (r.speed_rad_s + by * r.speed_u, r.pickup)).collect::<Vec<_>>();
    let above = family.advances(p, &moved(1.0));
    let below = family.advances(p, &moved(-1.0));
    readings
        .iter()
        .zip(above.iter().zip(&below))
        .map(|(r, (a, b))| {
            let through_speed = 0.5 * (a - b);
            let square = r.advance_u * r.advance_u + if through_speed.is_finite() { through_speed.powi(2) } else { 0.0 };
            square.sqrt().max(SMALLEST_SIGMA_RAD)
        })
        .collect()
}

/// No reading is surer than this [rad] (a thousandth of a degree), so that one entered without ± cannot silence the rest.
const SMALLEST_SIGMA_RAD: f64 = 1.7e-5;

/// What is known beforehand, as standardised residuals.
fn prior_residuals(family: &Family, priors: &Priors, p: &[f64]) -> Vec<f64> {
    let mut r = Vec::new();
    if family.shape.has_knees() {
        let known = if family.shape == Shape::BobWeights { [None, None] } else { [priors.lead, priors.arc] };
        r.extend(known.iter().enumerate().filter_map(|(i, k)| k.map(|(value, u)| (p[i] - value) / u.max(SMALLEST_SIGMA_RAD))));
        let (low, high) = (priors.speeds.0.ln(), priors.speeds.1.ln());
        r.extend([p[2], p[3]].map(|n| (n.ln() - 0.5 * (low + high)) / (0.5 * (high - low))));
    }
    if priors.place_u.is_finite() {
        r.extend(p[family.shape.parameters()..].iter().map(|place| place / priors.place_u.max(SMALLEST_SIGMA_RAD)));
    }
    r
}
