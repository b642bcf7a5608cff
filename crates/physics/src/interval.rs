//! How wide an interval must be.

use crate::root;

/// Standard normal quantile at 0.975 [1]: half-width of a 95 % interval in standard deviations.
/// Source: standard tables (1.960), own digits from SciPy 1.17.1 `norm.ppf(0.975)`.
pub const NORMAL_95: f64 = 1.959963984540054;

/// Share of a standard normal variable that lies below `z`, Φ(z), to 7.5e-8.
///
/// Source: Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.2.17 (coefficients from memory, checked against SciPy).
///
/// # Example
/// ```
/// assert!((physics::interval::normal_share(physics::interval::NORMAL_95) - 0.975).abs() < 1e-7);
/// ```
pub fn normal_share(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let sum = t * (0.319_381_530 + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let above = normal_density(z, 1.0) * sum;
    if z < 0.0 { above } else { 1.0 - above }
}

/// Density of a normal variable about nought with standard deviation `sd`, in one over the unit of both.
///
/// # Example
/// ```
/// // SciPy 1.17.1: norm.pdf(0.5, 0, 2).
/// assert!((physics::interval::normal_density(0.5, 2.0) - 0.193_334_058_401_425).abs() < 1e-15);
/// ```
pub fn normal_density(x: f64, sd: f64) -> f64 {
    (-0.5 * (x / sd).powi(2)).exp() / (sd * std::f64::consts::TAU.sqrt())
}

/// 95 % interval of a share of which `hits` in `of` were seen (Wilson's score interval, without continuity correction).
/// `of` = 0 gives the whole of 0 to 1.
///
/// Source: Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212; Newcombe, Statist. Med. 17 (1998) 857-872, method 3.
///
/// # Example
/// ```
/// let (low, high) = physics::interval::wilson(0, 20);
/// assert!(low == 0.0 && (high - 0.1611).abs() < 5e-5);
/// ```
pub fn wilson(hits: usize, of: usize) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let n = of as f64;
    let hits = hits.min(of);
    let p = hits as f64 / n;
    let z2 = NORMAL_95 * NORMAL_95;
    let centre = p + z2 / (2.0 * n);
    let half = NORMAL_95 * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
    let scale = 1.0 / (1.0 + z2 / n);
    // At the ends the bound is the end itself; the formula misses it by a rounding error only.
    let low = if hits == 0 { 0.0 } else { (centre - half) * scale };
    let high = if hits == of { 1.0 } else { (centre + half) * scale };
    (low, high)
}

/// Student's t quantile at 0.975 for whole degrees of freedom: the half-width of a 95 % interval in estimated standard
/// deviations. Infinite without freedom.
///
/// Finite sums for the central probability: Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.7.3 and 26.7.4.
///
/// # Example
/// ```
/// assert!((physics::interval::student_95(10) - 2.228138852).abs() < 1e-8);
/// ```
pub fn student_95(freedom: usize) -> f64 {
    /// Above this the next term of the expansion in 1/ν is below 1e-9.
    const LARGE: usize = 2000;
    /// Bracket width [1], far below any use (own choice).
    const TOLERANCE: f64 = 1e-12;
    match freedom {
        0 => f64::INFINITY,
        1..LARGE => {
            // t = tan(angle)·√ν keeps the bracket finite.
            let miss = |angle: f64| central(angle, freedom) - 0.95;
            root::bracketed(miss, 0.0, std::f64::consts::FRAC_PI_2, TOLERANCE)
                .map_or(f64::INFINITY, |angle| angle.tan() * (freedom as f64).sqrt())
        }
        _ => {
            // Abramowitz and Stegun 26.7.5, first two terms.
            let (z, n) = (NORMAL_95, freedom as f64);
            z + (z.powi(3) + z) / (4.0 * n) + (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / (96.0 * n * n)
        }
    }
}

/// Probability that |t| lies below √ν · tan(angle).
fn central(angle: f64, freedom: usize) -> f64 {
    let (sin, cos) = angle.sin_cos();
    let cos2 = cos * cos;
    if freedom.is_multiple_of(2) {
        let mut term = 1.0;
        let mut sum = 1.0;
        for i in (2..freedom).step_by(2) {
            term *= cos2 * (i as f64 - 1.0) / i as f64;
            sum += term;
        }
        sin * sum
    } else {
        let mut sum = 0.0;
        if freedom > 1 {
            let mut term = cos;
            sum = term;
            for i in (3..freedom).step_by(2) {
                term *= cos2 * (i as f64 - 1.0) / i as f64;
                sum += term;
            }
        }
        std::f64::consts::FRAC_2_PI * (angle + sin * sum)
    }
}
