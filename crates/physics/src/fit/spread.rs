//! Parameters with their covariance, for bands and for random draws.

use nalgebra::{DMatrix, DVector};

/// A vector of parameters and how they vary together.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    mean: Vec<f64>,
    /// Square root of the covariance: column × a standard normal number, summed, is one draw.
    root: DMatrix<f64>,
}

impl Spread {
    /// From the mean and the covariance; a direction in which the covariance is (by rounding) negative counts as certain.
    pub fn new(mean: Vec<f64>, covariance: &DMatrix<f64>) -> Self {
        // Parameters differ in unit by many powers of ten, so the root is taken of the correlations.
        let deviation: Vec<f64> = covariance.diagonal().iter().map(|v| v.max(0.0).sqrt()).collect();
        let n = mean.len();
        let correlation = DMatrix::from_fn(n, n, |i, j| {
            let size = deviation[i] * deviation[j];
            if size > 0.0 { covariance[(i, j)] / size } else { 0.0 }
        });
        let eigen = correlation.symmetric_eigen();
        let root =
            DMatrix::from_fn(n, n, |i, j| deviation[i] * eigen.eigenvectors[(i, j)] * eigen.eigenvalues[j].max(0.0).sqrt());
        Self { mean, root }
    }

    /// Parameters that vary on their own, each with its standard uncertainty.
    pub fn independent(values: &[(f64, f64)]) -> Self {
        let u = DVector::from_iterator(values.len(), values.iter().map(|v| v.1));
        Self { mean: values.iter().map(|v| v.0).collect(), root: DMatrix::from_diagonal(&u) }
    }

    /// These parameters followed by others that vary on their own.
    pub fn and(self, others: &[(f64, f64)]) -> Self {
        let (n, m) = (self.mean.len(), others.len());
        let mut root = DMatrix::zeros(n + m, n + m);
        root.view_mut((0, 0), (n, n)).copy_from(&self.root);
        for (i, (_, u)) in others.iter().enumerate() {
            root[(n + i, n + i)] = *u;
        }
        let mean = self.mean.into_iter().chain(others.iter().map(|v| v.0)).collect();
        Self { mean, root }
    }

    /// The parameters themselves.
    pub fn mean(&self) -> &[f64] {
        &self.mean
    }

    /// Number of standard normal numbers that a draw takes.
    pub fn len(&self) -> usize {
        self.mean.len()
    }

    /// Is there no parameter at all?
    pub fn is_empty(&self) -> bool {
        self.mean.is_empty()
    }

    /// A draw: mean + root · `normals`, every deviation times `share`. Missing normals count as zero.
    pub fn draw(&self, normals: &[f64], share: f64) -> Vec<f64> {
        let mut p = self.mean.clone();
        for (j, z) in normals.iter().take(self.len()).enumerate() {
            for (p, r) in p.iter_mut().zip(self.root.column(j).iter()) {
                *p += share * z * r;
            }
        }
        p
    }

    /// One standard deviation up and down along each independent direction: for a quantity `f`,
    /// `u² = Σ ((f(up) − f(down))/2)²` (JCGM 100:2008, 5.1.3 note 2, along the covariance's own axes).
    pub fn steps(&self) -> Vec<(Vec<f64>, Vec<f64>)> {
        let step = |j: usize, side: f64| self.mean.iter().zip(self.root.column(j).iter()).map(|(p, r)| p + side * r).collect();
        (0..self.len())
            .filter(|j| self.root.column(*j).iter().any(|r| *r != 0.0))
            .map(|j| (step(j, 1.0), step(j, -1.0)))
            .collect()
    }

    /// Standard deviation of each parameter.
    pub fn deviations(&self) -> Vec<f64> {
        (0..self.len()).map(|i| self.root.row(i).norm()).collect()
    }
}
