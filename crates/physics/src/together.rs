//! Density of readings that share errors.

use std::f64::consts::TAU;

/// How far readings lie off together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Together {
    /// Sum of squares, each direction in its own spread \[1\]: dᵀ C⁻¹ d. Its mean is the number of readings.
    pub squares: f64,
    /// Logarithm of their normal density, in one over the product of their units.
    pub log_density: f64,
}

/// Readings `off` their means, each with a variance of its own and all with errors that they share: C = diag(v) + Σ s sᵀ, where `s` has what one standard
/// deviation of a shared error does to each reading.
///
/// The inverse is built up one shared error after another by Sherman and Morrison's formula, the determinant with it (Golub and Van Loan, *Matrix Computations*, 2.1.4, from memory).
/// Valid for variances above nought. Digits are lost by as much as a shared error is larger than a reading's own.
///
/// # Example
/// ```
/// use physics::together::together;
/// // SciPy 1.17.1: multivariate_normal.logpdf([1, 1], cov=[[1.25, 1], [1, 1.25]]).
/// let shared = [vec![1.0, 1.0]];
/// let found = together(&[1.0, 1.0], &[0.25, 0.25], &shared);
/// assert!((found.log_density - -1.994_639_438_402_009).abs() < 1e-12);
/// // Both off by the same is what a shared error does; one up and one down is not.
/// assert!(found.squares < 1.0 && together(&[1.0, -1.0], &[0.25, 0.25], &shared).squares > 7.9);
/// ```
pub fn together<S: AsRef<[f64]>>(off: &[f64], variances: &[f64], shared: &[S]) -> Together {
    let n = off.len();
    let mut inverse = vec![vec![0.0; n]; n];
    (0..n).for_each(|i| inverse[i][i] = 1.0 / variances[i]);
    let mut log_determinant: f64 = variances.iter().map(|v| v.ln()).sum();
    let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
    let times = |m: &[Vec<f64>], v: &[f64]| -> Vec<f64> { m.iter().map(|row| dot(row, v)).collect() };
    for s in shared {
        let w = times(&inverse, s.as_ref());
        let g = 1.0 + dot(s.as_ref(), &w);
        log_determinant += g.ln();
        for i in 0..n {
            for j in 0..n {
                inverse[i][j] -= w[i] * w[j] / g;
            }
        }
    }
    let squares = dot(off, &times(&inverse, off));
    Together { squares, log_density: -0.5 * (squares + log_determinant + n as f64 * TAU.ln()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two ways to the same sums, which cancel by some thousand times where a shared error is large beside a reading's own.
    const CANCELLING: f64 = 1e-9;

    /// `reference/fault/together.csv`: SciPy's multivariate normal density with the covariance written out.
    #[test]
    fn the_density_is_that_of_the_multivariate_normal() {
        let mut rows = 0;
        for line in include_str!("../../../reference/fault/together.csv").lines().skip(3) {
            let cells: Vec<&str> = line.split(',').collect();
            let list = |text: &str| text.split_whitespace().map(|x| x.parse().unwrap()).collect::<Vec<f64>>();
            let shared: Vec<Vec<f64>> = cells[2].split(';').map(list).filter(|s| !s.is_empty()).collect();
            let found = together(&list(cells[0]), &list(cells[1]), &shared);
            for (got, want) in [(found.squares, list(cells[3])[0]), (found.log_density, list(cells[4])[0])] {
                assert!((got - want).abs() <= CANCELLING * (1.0 + want.abs()), "{line}: {got} for {want}");
            }
            rows += 1;
        }
        assert_eq!(rows, 20);
    }
}
