//! A smooth line through points that never swings past them.

/// Why no line goes through the points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadPoints {
    /// No point at all.
    #[error("no points")]
    Empty,
    /// The arguments do not rise from this point to the next.
    #[error("arguments do not rise after point {after}")]
    NotRising {
        /// Index of the earlier point.
        after: usize,
    },
    /// A point is not finite.
    #[error("point {at} is not a finite number")]
    NotFinite {
        /// Index of the point.
        at: usize,
    },
}

/// Monotone piecewise cubic (PCHIP): where the points rise the line rises, where they are level it is level.
///
/// Inner slopes are the weighted harmonic mean of the neighbouring chords, end slopes a limited three-point formula.
/// Beyond the ends the end value holds (SciPy extrapolates the end cubic instead).
///
/// Sources: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; slopes after Fritsch and Butland, SIAM J. Sci.
/// Stat. Comput. 5 (1984) 300-304; ends as in Moler, *Numerical Computing with MATLAB* (2004), section 3.6.
#[derive(Clone, Debug, PartialEq)]
pub struct MonotoneCubic {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl MonotoneCubic {
    /// The line through `(argument, value)` points; one point gives a constant, two a straight line.
    ///
    /// # Errors
    /// [`BadPoints`] where there is none, where arguments do not rise strictly, or a number is not finite.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, BadPoints> {
        if points.is_empty() {
            return Err(BadPoints::Empty);
        }
        if let Some(at) = points.iter().position(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return Err(BadPoints::NotFinite { at });
        }
        if let Some(after) = points.windows(2).position(|p| p[0].0 >= p[1].0) {
            return Err(BadPoints::NotRising { after });
        }
        let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let slope = slopes(&x, &y);
        Ok(Self { x, y, slope })
    }

    /// The points.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.x.iter().copied().zip(self.y.iter().copied())
    }

    /// Value at `at`; beyond the ends, the end value.
    pub fn value(&self, at: f64) -> f64 {
        match self.cell(at) {
            Err(end) => self.y[end],
            Ok(i) => {
                let h = self.x[i + 1] - self.x[i];
                let t = (at - self.x[i]) / h;
                let (a, b) = (self.y[i], self.y[i + 1]);
                let (da, db) = (self.slope[i] * h, self.slope[i + 1] * h);
                let c2 = 3.0 * (b - a) - 2.0 * da - db;
                let c3 = da + db - 2.0 * (b - a);
                a + t * (da + t * (c2 + t * c3))
            }
        }
    }

    /// Slope at `at`; beyond the ends, zero.
    pub fn rate(&self, at: f64) -> f64 {
        match self.cell(at) {
            Err(_) => 0.0,
            Ok(i) => {
                let h = self.x[i + 1] - self.x[i];
                let t = (at - self.x[i]) / h;
                let rise = (self.y[i + 1] - self.y[i]) / h;
                let (da, db) = (self.slope[i], self.slope[i + 1]);
                da + t * (2.0 * (3.0 * rise - 2.0 * da - db) + t * 3.0 * (da + db - 2.0 * rise))
            }
        }
    }

    /// The same line moved by `by` in value.
    pub fn raised(mut self, by: f64) -> Self {
        self.y.iter_mut().for_each(|y| *y += by);
        self
    }

    /// Index of the cell that holds `at`, or of the end point beyond which it lies.
    fn cell(&self, at: f64) -> Result<usize, usize> {
        let last = self.x.len() - 1;
        if at.is_nan() || at < self.x[0] || last == 0 {
            return Err(0);
        }
        if at > self.x[last] {
            return Err(last);
        }
        Ok((self.x.partition_point(|&x| x <= at) - 1).min(last - 1))
    }
}

fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    if n == 1 {
        return vec![0.0];
    }
    let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let chord: Vec<f64> = (0..n - 1).map(|i| (y[i + 1] - y[i]) / h[i]).collect();
    if n == 2 {
        return vec![chord[0]; 2];
    }
    let mut d = vec![0.0; n];
    for i in 1..n - 1 {
        let (left, right) = (chord[i - 1], chord[i]);
        if left * right > 0.0 {
            let (w1, w2) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
            d[i] = (w1 + w2) / (w1 / left + w2 / right);
        }
    }
    d[0] = end_slope(h[0], h[1], chord[0], chord[1]);
    d[n - 1] = end_slope(h[n - 2], h[n - 3], chord[n - 2], chord[n - 3]);
    d
}

/// One-sided three-point slope, limited so that the end piece stays monotone.
fn end_slope(h: f64, next_h: f64, chord: f64, next_chord: f64) -> f64 {
    let d = ((2.0 * h + next_h) * chord - h * next_chord) / (h + next_h);
    if d * chord <= 0.0 {
        0.0
    } else if chord * next_chord <= 0.0 && d.abs() > 3.0 * chord.abs() {
        3.0 * chord
    } else {
        d
    }
}
