//! Whether one measured number lies within a tolerance of another, when both are in doubt.

use crate::interval::normal_share;

/// Where a number may lie. An end that is open is infinite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Allowed {
    /// Between two multiples of what is needed \[1\], both at least nothing.
    Share {
        /// Least.
        least: f64,
        /// Most.
        most: f64,
    },
    /// So far below and above what is needed, in its own unit.
    Off {
        /// Below.
        below: f64,
        /// Above.
        above: f64,
    },
    /// Between two numbers, whatever is needed.
    Range {
        /// Least.
        least: f64,
        /// Most.
        most: f64,
    },
}

/// A number and its standard uncertainty, both in the same unit.
pub type Doubted = (f64, f64);

/// What two numbers that are the same may be apart by after a change of unit, as a share of the larger \[1\] (own choice).
const SAME: f64 = 1e-9;

/// Probability \[1\] that `part` lies where it may beside `need`, both normal and independent. With X the part, N the need,
///
/// - [`Allowed::Off`]: P = Φ((above − d)/u) − Φ((−below − d)/u), d = x − n, u² = u²(x) + u²(n);
/// - [`Allowed::Share`]: P = Φ((x − least·n)/u₁) − Φ((x − most·n)/u₂), uᵢ² = u²(x) + shareᵢ²·u²(n). For a need that is surely above nothing the two
///   ends exclude each other and this is exact; otherwise it is out by Φ(−n/u(n)) at most;
/// - [`Allowed::Range`]: the first with its two ends for a need without doubt.
///
/// Without any doubt it is 0 or 1, and the ends count as within. Good to 1.5e-7, twice what [`normal_share`] is good to.
/// Source: sums of independent normal variables are normal (JCGM 101:2008, 7.3, rests on it); the table that the tests read integrates over the need by
/// SciPy instead.
///
/// # Example
/// ```
/// use physics::within::{Allowed, share_within};
/// let fifteen = Allowed::Share { least: 0.85, most: 1.15 };
/// assert_eq!(share_within((3.0, 0.0), (3.4, 0.0), fifteen), 1.0);
/// assert!((share_within((3.91, 0.1), (3.4, 0.0), fifteen) - 0.5).abs() < 1e-6);
/// ```
pub fn share_within(part: Doubted, need: Doubted, allowed: Allowed) -> f64 {
    let ((x, ux), (n, un)) = (part, need);
    let (least, most, of_least, of_most) = match allowed {
        Allowed::Share { least, most } => (0.0, 0.0, least, most),
        Allowed::Off { below, above } => (-below, above, 1.0, 1.0),
        Allowed::Range { least, most } => (least, most, 0.0, 0.0),
    };
    let above_least = at_least(x, ux, n, un, least, of_least);
    let above_most = 1.0 - at_most(x, ux, n, un, most, of_most);
    (above_least - above_most).clamp(0.0, 1.0)
}

/// P(X ≥ end + share·N).
fn at_least(x: f64, ux: f64, n: f64, un: f64, end: f64, share: f64) -> f64 {
    if end == f64::NEG_INFINITY {
        return 1.0;
    }
    past(x - (end + share * n), ux.hypot(share * un), x.abs().max((share * n).abs()).max(end.abs()))
}

/// P(X ≤ end + share·N).
fn at_most(x: f64, ux: f64, n: f64, un: f64, end: f64, share: f64) -> f64 {
    if end == f64::INFINITY || share == f64::INFINITY {
        return 1.0;
    }
    past(end + share * n - x, ux.hypot(share * un), x.abs().max((share * n).abs()).max(end.abs()))
}

/// P(room ≥ 0) of a room with standard uncertainty `u` between numbers as large as `scale`.
fn past(room: f64, u: f64, scale: f64) -> f64 {
    if u <= SAME * scale {
        return f64::from(room >= -SAME * scale);
    }
    normal_share(room / u)
}
