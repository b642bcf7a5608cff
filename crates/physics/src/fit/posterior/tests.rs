//! Against NumPy and SciPy: reference/posterior.csv, made by reference/posterior.py.

use super::*;
use crate::fit::least_squares;

const TABLE: &str = include_str!("../../../../../reference/posterior.csv");
/// The table has 12 digits; the Jacobian is by central differences, exact for straight residuals but for rounding over their step of 6e-6.
const BY_DIFFERENCES: f64 = 1e-8;
/// What 26.2.17 of Abramowitz & Stegun promises.
const SHARE: f64 = 1e-7;

fn rows() -> Vec<[f64; 4]> {
    (0..5)
        .map(|i| {
            let mut row: [f64; 4] = std::array::from_fn(|j| 2.0 * (1.3 * f64::from(i) + 0.7 * (j * j) as f64 + 0.2).sin());
            row[1] = row[0] + 0.05 * row[1];
            row
        })
        .collect()
}

fn table(what: &str) -> Vec<Vec<f64>> {
    let of = TABLE.lines().filter_map(|line| line.strip_prefix(what)?.strip_prefix(','));
    let all: Vec<Vec<f64>> = of.map(|line| line.split(',').map(|x| x.parse().unwrap()).collect()).collect();
    assert!(!all.is_empty(), "{what} is in the table");
    all
}

fn posterior() -> Posterior {
    let rows = rows();
    let residuals = |x: &[f64]| {
        let seen = rows.iter().map(|row| row.iter().zip(x).map(|(a, b)| a * b).sum::<f64>() - 0.3);
        seen.chain(x.iter().copied()).collect()
    };
    Posterior::new(&least_squares(residuals, &[0.0; 4], &[1.0; 4]).unwrap())
}

fn near(got: &[f64], want: &[f64], within: f64) {
    assert_eq!(got.len(), want.len());
    for (g, w) in got.iter().zip(want) {
        assert!((g - w).abs() < within, "{got:?} {want:?}");
    }
}

#[test]
fn covariance_factor_and_directions_are_numpys() {
    let after = posterior();
    let covariance: Vec<f64> = after.covariance.transpose().iter().copied().collect();
    near(&covariance, &table("covariance")[0], BY_DIFFERENCES);
    near(&after.factor().unwrap().concat(), &table("factor")[0], BY_DIFFERENCES);
    let shares = |of: &[usize]| after.directions(of).iter().map(|d| d.share).collect::<Vec<_>>();
    near(&shares(&[0, 1, 2, 3]), &table("shares")[0], BY_DIFFERENCES);
    near(&shares(&[0, 1]), &table("shares of 0 and 1")[0], BY_DIFFERENCES);
    // What the readings see is the sum of the first two: their difference stays open, and they are found to go against each other.
    let widest = &after.directions(&[0, 1])[0];
    assert!(widest.share > 0.9 && widest.along[0] * widest.along[1] < 0.0, "{widest:?}");
    let c = &table("covariance")[0];
    near(&[after.correlation(0, 1)], &[c[1] / (c[0] * c[5]).sqrt()], BY_DIFFERENCES);
    for (i, d) in table("covariance")[0].iter().step_by(5).enumerate() {
        assert!((after.deviation(i) - d.sqrt()).abs() < BY_DIFFERENCES);
    }
}

#[test]
fn a_further_reading_removes_what_inverting_again_says() {
    let removed = {
        let factor = posterior().factor().unwrap();
        variance_removed(&factor, &through(&factor, &[1.0, 0.5, -0.25, 0.8]), &[0.4, -1.1, 0.3, 2.0])
    };
    near(&[removed], &table("removed")[0], BY_DIFFERENCES);
}

#[test]
fn the_doubt_left_is_scipys_and_never_grows() {
    for row in table("doubt left") {
        let got = doubt_left(row[0], row[1]);
        assert!((got - row[2]).abs() < SHARE, "{row:?} {got}");
        assert!(got <= doubt_left(row[0], 0.0) + SHARE);
    }
}

#[test]
fn the_normal_share_is_scipys() {
    for row in table("normal share") {
        assert!((crate::interval::normal_share(row[0]) - row[1]).abs() < SHARE, "{row:?}");
    }
}
