//! One root between two ends of opposite sign.

/// Why no root was found.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoRoot {
    /// Both ends have the same sign, so a root between them is not certain.
    #[error("no sign change: f({low}) = {at_low}, f({high}) = {at_high}")]
    NoSignChange {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Value at the lower end.
        at_low: f64,
        /// Value at the upper end.
        at_high: f64,
    },
    /// The function, an end or the tolerance is not a finite number.
    #[error("not a finite number near {at}")]
    NotFinite {
        /// Where.
        at: f64,
    },
}

/// Truncation factor κ₁ · (b − a) [1]. The method allows any positive value; this one is our own choice. It changes the number of
/// steps, never the answer.
const KAPPA_1: f64 = 0.1;
/// Steps above plain bisection that the method may take at worst [1], n₀; one lets it move from the first step on.
const SLACK: i32 = 1;

/// The place in `[low, high]` where `f` changes sign, to within `tolerance` of the argument.
///
/// The ITP method: never more than one step slower than bisection (rounding may add another), and superlinear where `f` is smooth. `f` need be
/// continuous only; a jump through zero is found as its place.
///
/// Source: Oliveira and Takahashi, "An Enhancement of the Bisection Method Average Performance Preserving Minmax
/// Optimality", ACM Transactions on Mathematical Software 47(1), 2020, article 5 (with κ₂ = 2).
///
/// # Errors
/// [`NoRoot`] where the ends do not differ in sign or a value is not finite.
///
/// # Example
/// ```
/// let r = physics::root::bracketed(|x| x * x - 2.0, 0.0, 2.0, 1e-12).unwrap();
/// assert!((r - 2f64.sqrt()).abs() < 1e-12);
/// ```
pub fn bracketed(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<f64, NoRoot> {
    let (mut a, mut b) = if low <= high { (low, high) } else { (high, low) };
    for at in [a, b, tolerance] {
        if !at.is_finite() {
            return Err(NoRoot::NotFinite { at });
        }
    }
    let (mut fa, mut fb) = (f(a), f(b));
    for (at, value) in [(a, fa), (b, fb)] {
        if value.is_nan() {
            return Err(NoRoot::NotFinite { at });
        }
        if value == 0.0 {
            return Ok(at);
        }
    }
    if (fa > 0.0) == (fb > 0.0) {
        return Err(NoRoot::NoSignChange { low: a, high: b, at_low: fa, at_high: fb });
    }
    // The argument cannot be told apart more finely than its own last digits.
    let tolerance = tolerance.max(2.0 * f64::EPSILON * a.abs().max(b.abs())).max(f64::MIN_POSITIVE);
    let sign = if fa < 0.0 { 1.0 } else { -1.0 };
    let kappa = KAPPA_1 / (b - a);
    let bisections = ((b - a) / (2.0 * tolerance)).log2().ceil().max(0.0) as i32;
    let mut step = 0;
    while b - a > 2.0 * tolerance {
        let middle = 0.5 * (a + b);
        let reach = tolerance * 2f64.powi(bisections + SLACK - step) - 0.5 * (b - a);
        let chord = (fb * a - fa * b) / (fb - fa);
        let toward = (middle - chord).signum();
        let nudge = kappa * (b - a) * (b - a);
        let truncated = if nudge <= (middle - chord).abs() { chord + toward * nudge } else { middle };
        let x = if (truncated - middle).abs() <= reach { truncated } else { middle - toward * reach };
        // Infinite ends make the chord useless; the middle always serves.
        let x = if x > a && x < b { x } else { middle };
        let fx = f(x);
        if fx.is_nan() {
            return Err(NoRoot::NotFinite { at: x });
        }
        if fx == 0.0 {
            return Ok(x);
        }
        if sign * fx > 0.0 {
            (b, fb) = (x, fx);
        } else {
            (a, fa) = (x, fx);
        }
        step += 1;
    }
    Ok(0.5 * (a + b))
}
