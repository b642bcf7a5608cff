//! Which input a result's variance comes from: Sobol' indices.
//!
//! A result f of independent inputs has the variance V. The *first-order* index of a group of inputs is the share of V that would go if the
//! group were known exactly, everything else unknown; the *total* index is the share that would stay if everything else were known exactly.
//! Where they differ, the group acts together with others. First-order indices sum up to at most 1, totals to at least 1.
//!
//! From two independent samples A and B, and for each group the sample AB, which is A with that group's inputs taken from B:
//!
//! - first order: mean of f(B) (f(AB) − f(A)) / V, f less its mean (Saltelli et al. 2010, table 2 (b));
//! - total: mean of (f(A) − f(AB))² / (2 V) (Jansen 1999; Saltelli et al. 2010, table 2 (f));
//! - V: that of A and B together.
//!
//! Sources: Saltelli, Annoni, Azzini, Campolongo, Ratto & Tarantola, *Variance based sensitivity analysis of model output*, Comput. Phys.
//! Commun. 181 (2010) 259–270; Jansen, Comput. Phys. Commun. 117 (1999) 35–43.

/// The indices of one group of inputs \[1\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Index {
    /// First order.
    pub first: f64,
    /// Total.
    pub total: f64,
}

/// The indices from the results over the samples A and B, and over AB for each group. Estimates scatter, so a small one may be negative.
/// `None` where all results are the same, or none are there.
///
/// # Example
/// ```
/// // f = x + 2 y over ±1 each: variances 1 and 4 of 5.
/// let (a, b) = ([-3.0, 1.0, -1.0, 3.0], [3.0, 3.0, 3.0, 3.0]);
/// let f = workshop::indices::indices(&a, &b, &[vec![-1.0, 3.0, -1.0, 3.0]]).unwrap();
/// assert!(f[0].total > 0.0);
/// ```
pub fn indices(a: &[f64], b: &[f64], ab: &[Vec<f64>]) -> Option<Vec<Index>> {
    let n = a.len() as f64;
    let mean = a.iter().chain(b).sum::<f64>() / (2.0 * n);
    let variance = a.iter().chain(b).map(|f| (f - mean).powi(2)).sum::<f64>() / (2.0 * n);
    let of = |ab: &Vec<f64>| {
        let (mut first, mut total) = (0.0, 0.0);
        for ((a, b), ab) in a.iter().zip(b).zip(ab) {
            first += (b - mean) * (ab - a);
            total += (a - ab).powi(2);
        }
        Index { first: first / n / variance, total: total / (2.0 * n) / variance }
    };
    (variance > 0.0).then(|| ab.iter().map(of).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sampling::Sobol;
    use std::f64::consts::PI;

    /// Mean of the indices over ten scrambles of 4096 points, each input a group, and four standard errors of it.
    fn estimated(inputs: usize, f: impl Fn(&dyn Fn(usize) -> f64) -> f64) -> Vec<[(f64, f64); 2]> {
        let each: Vec<Vec<Index>> = (0..10)
            .map(|seed| {
                let sobol = Sobol::scrambled(2 * inputs, seed);
                let run = |swap: &dyn Fn(usize) -> bool| -> Vec<f64> {
                    (0..4096).map(|p| f(&|i| sobol.unit(p, if swap(i) { inputs + i } else { i }))).collect()
                };
                let ab: Vec<_> = (0..inputs).map(|g| run(&|i| i == g)).collect();
                indices(&run(&|_| false), &run(&|_| true), &ab).expect("it varies")
            })
            .collect();
        let over = |of: &dyn Fn(&Index) -> f64, i: usize| {
            let x: Vec<f64> = each.iter().map(|e| of(&e[i])).collect();
            let mean = x.iter().sum::<f64>() / 10.0;
            (mean, 4.0 * (x.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 90.0).sqrt())
        };
        (0..inputs).map(|i| [over(&|e| e.first, i), over(&|e| e.total, i)]).collect()
    }

    fn agree(got: &[[(f64, f64); 2]], expected: &[[f64; 2]], digits: f64) {
        /// No estimate is to be less sure than this, or agreement would say nothing.
        const SURE: f64 = 0.01;
        for (got, expected) in got.iter().flatten().zip(expected.iter().flatten()) {
            assert!(got.1 < SURE, "{got:?}");
            assert!((got.0 - expected).abs() <= got.1 + digits, "{got:?} {expected}");
        }
    }

    /// Ishigami & Homma 1990 with a = 7, b = 0.1: S = 0.3139, 0.4424, 0 and S_T = 0.5576, 0.4424, 0.2437 (Saltelli et al., *Global Sensitivity
    /// Analysis. The Primer*, 2008, from the closed form), printed to four digits.
    #[test]
    fn ishigami_as_published() {
        let got = estimated(3, |x| {
            let x = [0, 1, 2].map(|i| PI * (2.0 * x(i) - 1.0));
            x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
        });
        agree(&got, &[[0.3139, 0.5576], [0.4424, 0.4424], [0.0, 0.2437]], 5e-5);
    }

    /// Sobol's g-function has a closed form: V_i = 1/(3 (1 + a_i)²), V = Π(1 + V_i) − 1, S_i = V_i/V, S_Ti = V_i Π_{j≠i}(1 + V_j)/V
    /// (Saltelli & Sobol', 1995).
    #[test]
    fn g_function_as_published() {
        let a = [0.0, 1.0, 4.5, 9.0];
        let v = a.map(|a: f64| 1.0 / (3.0 * (1.0 + a).powi(2)));
        let all: f64 = v.iter().map(|v| 1.0 + v).product();
        let expected: Vec<[f64; 2]> = v.iter().map(|v| [v / (all - 1.0), v * all / (1.0 + v) / (all - 1.0)]).collect();
        let got = estimated(4, |x| (0..4).map(|i| ((4.0 * x(i) - 2.0).abs() + a[i]) / (1.0 + a[i])).product());
        agree(&got, &expected, 0.0);
    }

    /// An indicator, like the hang: both of two inputs above their middle. V = 3/16; the mean given one is 0 or 1/2, variance 1/16, so S = 1/3;
    /// what stays with the other known is 1/8 of 3/16, so S_T = 2/3.
    #[test]
    fn an_indicator_of_two_inputs() {
        let got = estimated(3, |x| if x(0) > 0.5 && x(1) > 0.5 { 1.0 } else { 0.0 });
        agree(&got, &[[1.0 / 3.0, 2.0 / 3.0], [1.0 / 3.0, 2.0 / 3.0], [0.0, 0.0]], 1e-12);
    }

    #[test]
    fn what_does_not_vary_has_none() {
        assert_eq!(indices(&[1.0; 4], &[1.0; 4], &[vec![1.0; 4]]), None);
        assert_eq!(indices(&[], &[], &[]), None);
    }

    /// `scipy.stats.sobol_indices` (method `saltelli_2010`) on the very same results.
    #[test]
    fn the_estimators_are_those_of_scipy() {
        /// Printed to 12 digits.
        const DIGITS: f64 = 1e-11;
        let text = include_str!("../../../reference/chance/indices.csv");
        let rows: Vec<Vec<f64>> = text
            .lines()
            .filter(|l| !l.starts_with('#') && !l.starts_with('f'))
            .map(|l| l.split(',').map(|x| x.parse().expect("a number")).collect())
            .collect();
        let (last, results) = rows.split_last().expect("rows");
        let column = |c: usize| results.iter().map(|r| r[c]).collect::<Vec<f64>>();
        let got = indices(&column(0), &column(1), &[column(2), column(3), column(4)]).expect("it varies");
        let flat: Vec<f64> = got.iter().map(|i| i.first).chain(got.iter().map(|i| i.total)).collect();
        assert_eq!(last.len(), flat.len());
        for (x, y) in flat.iter().zip(last) {
            assert!((x - y).abs() < DIGITS, "{x} {y}");
        }
    }
}
