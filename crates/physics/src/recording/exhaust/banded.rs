//! Systems of equations in which each unknown meets only those near it.

/// A symmetric, positive definite matrix of which only a band below the diagonal is held.
#[derive(Clone, Debug)]
pub(super) struct Banded {
    n: usize,
    band: usize,
    /// Row by row, the diagonal last.
    values: Vec<f64>,
}

impl Banded {
    /// Zeros: so many rows, and so many values in each up to the diagonal.
    pub(super) fn new(n: usize, band: usize) -> Self {
        Self { n, band, values: vec![0.0; n * band] }
    }

    fn at(&self, i: usize, j: usize) -> usize {
        i * self.band + self.band - 1 - (i - j)
    }

    /// Adds to the value in row `i` and column `j` ≤ `i`.
    pub(super) fn add(&mut self, i: usize, j: usize, x: f64) {
        let at = self.at(i, j);
        self.values[at] += x;
    }

    /// Solves for a right side by Cholesky's way; `None` where the matrix is not positive definite.
    pub(super) fn solve(mut self, mut x: Vec<f64>) -> Option<Vec<f64>> {
        for i in 0..self.n {
            let left = (i + 1).saturating_sub(self.band);
            for j in left..=i {
                let from = left.max((j + 1).saturating_sub(self.band));
                let (a, b) = (self.at(i, from), self.at(j, from));
                let sum: f64 = (0..j - from).map(|k| self.values[a + k] * self.values[b + k]).sum();
                let at = self.at(i, j);
                let rest = self.values[at] - sum;
                self.values[at] = if j < i {
                    rest / self.values[self.at(j, j)]
                } else if rest > 0.0 {
                    rest.sqrt()
                } else {
                    return None;
                };
            }
            let row = self.at(i, left);
            let sum: f64 = (left..i).map(|j| self.values[row + j - left] * x[j]).sum();
            x[i] = (x[i] - sum) / self.values[self.at(i, i)];
        }
        for i in (0..self.n).rev() {
            x[i] /= self.values[self.at(i, i)];
            for j in (i + 1).saturating_sub(self.band)..i {
                x[j] -= self.values[self.at(i, j)] * x[i];
            }
        }
        Some(x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same as a full matrix solved by nalgebra.
    #[test]
    fn it_solves_as_a_full_matrix_does() {
        let (n, band) = (30, 5);
        let value = |i: usize, j: usize| if i == j { 7.0 + (i % 3) as f64 } else { ((i * 7 + j * 3) % 5) as f64 / 3.0 - 0.6 };
        let (mut banded, mut full) = (Banded::new(n, band), nalgebra::DMatrix::zeros(n, n));
        for i in 0..n {
            for j in (i + 1).saturating_sub(band)..=i {
                banded.add(i, j, value(i, j));
                (full[(i, j)], full[(j, i)]) = (value(i, j), value(i, j));
            }
        }
        let right: Vec<f64> = (0..n).map(|i| (i as f64 * 0.7).sin()).collect();
        let want = full.cholesky().unwrap().solve(&nalgebra::DVector::from_vec(right.clone()));
        let got = banded.solve(right).unwrap();
        assert!(got.iter().zip(&want).all(|(a, b)| (a - b).abs() < 1e-12));
    }

    #[test]
    fn what_has_no_one_solution_is_told() {
        assert_eq!(Banded::new(3, 2).solve(vec![1.0; 3]), None);
    }
}
