//! The top of a flat hump, from values that scatter a little.

/// Top of a parabola.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Top {
    /// Where.
    pub at: f64,
    /// How high.
    pub value: f64,
    /// Standard error of `at`, from the scatter of the values about the parabola.
    pub standard_error: f64,
}

/// The top of the least-squares parabola through values at `first`, `first + step`, …; `None` with fewer than four values, or where it
/// has no top.
///
/// With x counted from the middle, y = a + b x + c x² has b = Σxy/Σx², c = (nΣx²y − Σx²Σy)/(nΣx⁴ − (Σx²)²), and its top at −b/2c. Even
/// steps make b independent of c, so var(top) = (var b + (b/c)² var c)/4c². Source: linear least squares and propagation of
/// uncertainty, JCGM 100:2008, 5.1.2 and H.3.
///
/// ```
/// let top = physics::parabola::top(0.0, 1.0, &[-9.0, -4.0, -1.0, 0.0, -1.0]).expect("a top");
/// assert!((top.at - 3.0).abs() < 1e-12 && top.value.abs() < 1e-12);
/// ```
pub fn top(first: f64, step: f64, values: &[f64]) -> Option<Top> {
    let n = values.len() as f64;
    if values.len() < 4 {
        return None;
    }
    let middle = 0.5 * (n - 1.0);
    let x = |i: usize| i as f64 - middle;
    let sum = |f: &dyn Fn(f64, f64) -> f64| values.iter().enumerate().map(|(i, y)| f(x(i), *y)).sum::<f64>();
    let (two, four) = (sum(&|x, _| x * x), sum(&|x, _| x.powi(4)));
    let spread = n * four - two * two;
    let b = sum(&|x, y| x * y) / two;
    let c = (n * sum(&|x, y| x * x * y) - two * sum(&|_, y| y)) / spread;
    let a = (sum(&|_, y| y) - c * two) / n;
    if c.is_nan() || c >= 0.0 {
        return None;
    }
    let at = -0.5 * b / c;
    let variance = sum(&|x, y| (y - a - b * x - c * x * x).powi(2)) / (n - 3.0);
    let of_top = variance * (1.0 / two + (b / c).powi(2) * n / spread) / (4.0 * c * c);
    Some(Top { at: first + step * (at + middle), value: a + 0.5 * b * at, standard_error: step.abs() * of_top.sqrt() })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of eight terms in double precision.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn top_and_its_error_are_those_of_a_general_fit() {
        // NumPy 2.4.6: c, cov = np.polyfit(x, y, 2, cov=True); at = -c[1]/(2*c[0]); g = [c[1]/(2*c[0]**2), -1/(2*c[0])];
        // se = sqrt(g @ cov[:2, :2] @ g); value = np.polyval(c, at).
        let y = [1.02, 1.31, 1.52, 1.58, 1.61, 1.49, 1.33, 1.01];
        let found = top(10.0, 3.0, &y).expect("a top");
        for (got, expected) in [
            (found.at, 20.488_929_889_298_852),
            (found.value, 1.612_813_158_935_157),
            (found.standard_error, 0.081_399_121_569_188_19),
        ] {
            assert!((got / expected - 1.0).abs() < ROUNDING, "{got} {expected}");
        }
    }

    #[test]
    fn what_has_no_top_gives_none() {
        assert_eq!(top(0.0, 1.0, &[0.0, 1.0, 4.0, 9.0]), None);
        assert_eq!(top(0.0, 1.0, &[0.0, 1.0, 0.0]), None);
        assert_eq!(top(0.0, 1.0, &[0.0, f64::NAN, 0.0, 1.0]), None);
    }
}
