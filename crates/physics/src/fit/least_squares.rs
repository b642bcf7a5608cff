//! Nonlinear least squares with the covariance of its parameters.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitFailed {
    /// Fewer residuals than parameters.
    #[error("{readings} readings cannot settle {parameters} parameters")]
    TooFew {
        /// Residuals.
        readings: usize,
        /// Parameters.
        parameters: usize,
    },
    /// The model gives no finite residual at the start or on the way.
    #[error("the model is not finite")]
    NotFinite,
    /// The residuals do not depend on some combination of the parameters.
    #[error("the readings do not settle every parameter")]
    Undetermined,
    /// The solver ran out of steps.
    #[error("the solver did not settle")]
    NotSettled,
}

/// A fit.
#[derive(Clone, Debug)]
pub struct Fit {
    /// Parameters.
    pub parameters: Vec<f64>,
    /// Residuals at the parameters.
    pub residuals: Vec<f64>,
    /// Jacobian of the residuals there, residuals × parameters.
    pub jacobian: DMatrix<f64>,
    /// (JᵀJ)⁻¹.
    pub inverse_normal: DMatrix<f64>,
}

impl Fit {
    /// Residuals less parameters.
    pub fn freedom(&self) -> usize {
        self.residuals.len() - self.parameters.len()
    }

    /// Sum of squared residuals.
    pub fn sum_of_squares(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }

    /// Residual standard deviation, `s = √(RSS/dof)`; NaN without freedom.
    pub fn residual_deviation(&self) -> f64 {
        (self.sum_of_squares() / self.freedom() as f64).sqrt()
    }

    /// Covariance of the parameters, `s²(JᵀJ)⁻¹`.
    pub fn covariance(&self) -> DMatrix<f64> {
        &self.inverse_normal * self.residual_deviation().powi(2)
    }

    /// Standard errors of the parameters.
    pub fn standard_errors(&self) -> Vec<f64> {
        self.covariance().diagonal().iter().map(|v| v.sqrt()).collect()
    }
}

struct Problem<'a, F> {
    residuals: &'a F,
    at: DVector<f64>,
    scale: &'a [f64],
}

impl<F: Fn(&[f64]) -> Vec<f64>> LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_, F> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.at.copy_from(x);
    }
    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }
    fn residuals(&self) -> Option<DVector<f64>> {
        let r = (self.residuals)(self.at.as_slice());
        r.iter().all(|v| v.is_finite()).then(|| DVector::from_vec(r))
    }
    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let j = jacobian(self.residuals, self.at.as_slice(), self.scale);
        j.iter().all(|v| v.is_finite()).then_some(j)
    }
}

/// Step of the central difference as a share of the parameter's size [1], exactly ∛ε, which balances rounding against curvature.
const DIFFERENCE: f64 = 6.0554544523933395e-6;
/// Smallest singular value as a share of the largest, columns scaled to one [1], below which a combination of parameters
/// counts as not determined: the error that [`DIFFERENCE`] leaves in the Jacobian (own choice).
const SINGULAR: f64 = 1e-9;

/// Jacobian by central differences, residuals × parameters.
fn jacobian(residuals: &impl Fn(&[f64]) -> Vec<f64>, at: &[f64], scale: &[f64]) -> DMatrix<f64> {
    let mut p = at.to_vec();
    let mut columns = Vec::with_capacity(p.len());
    for j in 0..p.len() {
        let h = DIFFERENCE * at[j].abs().max(scale[j]);
        p[j] = at[j] + h;
        let (up, above) = (p[j], residuals(&p));
        p[j] = at[j] - h;
        let (down, below) = (p[j], residuals(&p));
        p[j] = at[j];
        columns.push(DVector::from_iterator(above.len(), above.iter().zip(&below).map(|(a, b)| (a - b) / (up - down))));
    }
    DMatrix::from_columns(&columns)
}

/// Parameters that make the sum of squared `residuals` least, from `start`, with (JᵀJ)⁻¹ there.
///
/// `scale` is the size of a change in each parameter that matters; it sets the step of the Jacobian where a parameter is
/// near zero. Levenberg-Marquardt after MINPACK (Moré, Garbow and Hillstrom, ANL-80-74, 1980).
///
/// # Errors
/// [`FitFailed`].
///
/// # Example
/// ```
/// let (x, y) = ([0.0, 1.0, 2.0, 3.0], [1.0, 2.7, 7.4, 20.1]);
/// let fit = physics::fit::least_squares(
///     |p| (0..4).map(|i| y[i] - p[0] * (p[1] * x[i]).exp()).collect(),
///     &[0.5, 0.5],
///     &[1.0, 1.0],
/// ).unwrap();
/// assert!((fit.parameters[1] - 1.0).abs() < 0.01);
/// ```
pub fn least_squares(residuals: impl Fn(&[f64]) -> Vec<f64>, start: &[f64], scale: &[f64]) -> Result<Fit, FitFailed> {
    let count = residuals(start).len();
    if count < start.len() || start.is_empty() {
        return Err(FitFailed::TooFew { readings: count, parameters: start.len() });
    }
    let problem = Problem { residuals: &residuals, at: DVector::from_column_slice(start), scale };
    let (solved, report) = LevenbergMarquardt::new().with_patience(200).minimize(problem);
    use levenberg_marquardt::TerminationReason as End;
    match report.termination {
        End::User(_) | End::Numerical(_) => return Err(FitFailed::NotFinite),
        End::LostPatience => return Err(FitFailed::NotSettled),
        _ => {}
    }
    let parameters = solved.at.as_slice().to_vec();
    let r = residuals(&parameters);
    if r.iter().any(|v| !v.is_finite()) {
        return Err(FitFailed::NotFinite);
    }
    let jacobian = jacobian(&residuals, &parameters, scale);
    let inverse_normal = inverse_normal(&jacobian)?;
    Ok(Fit { parameters, residuals: r, jacobian, inverse_normal })
}

/// (JᵀJ)⁻¹ by singular values, columns scaled to one first so that units do not matter.
fn inverse_normal(jacobian: &DMatrix<f64>) -> Result<DMatrix<f64>, FitFailed> {
    let norms: Vec<f64> = jacobian.column_iter().map(|c| c.norm()).collect();
    if norms.iter().any(|n| !n.is_finite()) {
        return Err(FitFailed::NotFinite);
    }
    if norms.contains(&0.0) {
        return Err(FitFailed::Undetermined);
    }
    let mut scaled = jacobian.clone();
    for (j, norm) in norms.iter().enumerate() {
        scaled.column_mut(j).unscale_mut(*norm);
    }
    let svd = scaled.svd(false, true);
    let largest = svd.singular_values.max();
    if svd.singular_values.iter().any(|s| *s < SINGULAR * largest) {
        return Err(FitFailed::Undetermined);
    }
    let vt = svd.v_t.ok_or(FitFailed::Undetermined)?;
    let d = DMatrix::from_diagonal(&svd.singular_values.map(|s| 1.0 / (s * s)));
    let mut inverse = vt.transpose() * d * vt;
    for i in 0..norms.len() {
        for j in 0..norms.len() {
            inverse[(i, j)] /= norms[i] * norms[j];
        }
    }
    Ok(inverse)
}
