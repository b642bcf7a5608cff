//! The middle of some numbers and how far they scatter, neither of them moved by a few wild ones.

/// Median absolute deviation of a normal variable in standard deviations, 1/Φ⁻¹(3/4) \[1\]. Source: SciPy 1.17.1 `1/norm.ppf(0.75)`.
pub const NORMAL_MAD: f64 = 1.482_602_218_505_602;

/// Middle and scatter, in the unit of the numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Middle {
    /// Median.
    pub median: f64,
    /// Median of the distances from it, times [`NORMAL_MAD`]: the standard deviation if they are normal.
    pub spread: f64,
}

/// Median and median absolute deviation; `None` without numbers. With an even count the median is the mean of the middle two.
/// Up to half of the numbers may be wild.
///
/// Source: Hampel, J. Am. Stat. Assoc. 69 (1974) 383-393.
///
/// # Example
/// ```
/// let m = physics::middle::middle(&[40.0, 45.0, 50.0, 55.0, 400.0]).unwrap();
/// assert_eq!(m.median, 50.0);
/// assert!((m.spread - 7.413).abs() < 1e-3);
/// ```
pub fn middle(numbers: &[f64]) -> Option<Middle> {
    let median_of = |mut list: Vec<f64>| {
        let (half, odd) = (list.len() / 2, list.len() % 2 == 1);
        let (below, middle, _) = list.select_nth_unstable_by(half, f64::total_cmp);
        if odd { *middle } else { 0.5 * (below.iter().copied().fold(f64::NEG_INFINITY, f64::max) + *middle) }
    };
    if numbers.is_empty() {
        return None;
    }
    let median = median_of(numbers.to_vec());
    let spread = NORMAL_MAD * median_of(numbers.iter().map(|x| (x - median).abs()).collect());
    Some(Middle { median, spread })
}
