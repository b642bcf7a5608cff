//! Gap and pole of a pickup, from the shape of its pulse.

use std::f64::consts::PI;

/// A pulse's width at half and at a fifth of its height, as gap and pole's width, all along the rim and in one unit.
///
/// By the pulse of [`crate::law::Pickup`], `e(x)/e_peak = (1 + C)/(cosh(2x/w) + C)`, `C = cosh(b/w)`, `w = 2g/π`: the widths are `w·arcosh(2 + C)` and
/// `w·arcosh(5 + 4C)`. Their ratio is 1.638 for a sharp pole and falls to 1 for a wide one, which gives C, and so gap and pole. A greater ratio counts as a sharp
/// pole: then the gap is the widest that gives the width at half height.
///
/// Validity: as the pickup's own. `None` where the widths are not positive, or their ratio is below 1.02 (own choice), where a thousandth of it is a
/// tenth of the gap.
///
/// # Example
/// ```
/// // A sharp pole over a gap of 1 mm: w = 2/π mm, widths w·arcosh 3 and w·arcosh 9.
/// let w = 2.0 / std::f64::consts::PI;
/// let (gap, pole) = physics::recording::gap_and_pole(w * 3f64.acosh(), w * 9f64.acosh()).unwrap();
/// assert!((gap - 1.0).abs() < 1e-9 && pole < 1e-3);
/// ```
pub fn gap_and_pole(half: f64, fifth: f64) -> Option<(f64, f64)> {
    /// See above [1] (own choice).
    const LEAST_RATIO: f64 = 1.02;
    let ratio = fifth / half;
    let usable = half > 0.0 && half.is_finite() && ratio.is_finite() && ratio >= LEAST_RATIO;
    if !usable {
        return None;
    }
    let of = |log_c: f64| {
        let c = log_c.exp();
        (5.0 + 4.0 * c).acosh() / (2.0 + c).acosh()
    };
    // The ratio falls as C grows.
    let (mut low, mut high) = (0.0, 80.0);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if of(middle) > ratio { low = middle } else { high = middle }
    }
    let c = if ratio >= of(0.0) { 1.0 } else { low.exp() };
    let w = half / (2.0 + c).acosh();
    Some((0.5 * PI * w, w * c.acosh()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the pulse as the difference of two flux steps, `tanh((x + b/2)/w) − tanh((x − b/2)/w)`, whose widths are found by bisection.
    #[test]
    fn a_pole_of_some_width_is_found_with_its_gap() {
        for (gap, pole) in [(0.5, 0.4), (0.8, 2.0), (0.3, 3.0)] {
            let w = 2.0 * gap / PI;
            let height = |x: f64| ((x + 0.5 * pole) / w).tanh() - ((x - 0.5 * pole) / w).tanh();
            let width = |share: f64| {
                let (mut a, mut b) = (0.0, 50.0);
                for _ in 0..100 {
                    let m = 0.5 * (a + b);
                    if height(m) > share * height(0.0) { a = m } else { b = m }
                }
                2.0 * a
            };
            let (g, p) = gap_and_pole(width(0.5), width(0.2)).unwrap();
            assert!((g / gap - 1.0).abs() < 1e-6 && (p / pole - 1.0).abs() < 1e-6, "{gap} {pole}: {g} {p}");
        }
        assert_eq!(gap_and_pole(1.0, 1.01), None);
        assert_eq!(gap_and_pole(0.0, 1.0), None);
        assert_eq!(gap_and_pole(1.0, f64::NAN), None);
    }
}
