//! Round ticks: 1, 2 or 5 times a power of ten.

/// Ticks of an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// First tick; the axis starts here.
    pub from: f64,
    /// Last tick; the axis ends here.
    pub to: f64,
    /// Distance between ticks.
    pub step: f64,
    /// Digits behind the point that tell ticks apart.
    pub decimals: usize,
    /// All ticks.
    pub at: Vec<f64>,
}

/// Ticks that cover a range with about `wanted` steps. The step is 1, 2 or 5 times a power of ten.
///
/// ```
/// let t = sheets::chart::ticks(180.0, 6900.0, 7);
/// assert_eq!((t.from, t.to, t.step), (0.0, 7000.0, 1000.0));
/// ```
pub fn ticks(low: f64, high: f64, wanted: usize) -> Ticks {
    let (low, high) = if low.is_finite() && high.is_finite() && high > low { (low, high) } else { (0.0, 1.0) };
    let raw = (high - low) / wanted.max(1) as f64;
    let power = 10f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|&s| s >= raw * 0.999).unwrap_or(10.0 * power);
    // A hair of slack keeps a bound that sits on a tick from opening another step.
    let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
    let decimals = (-(step.log10() + 1e-9).floor()).max(0.0) as usize;
    let at: Vec<f64> = (0..=(last - first) as usize).map(|i| (first + i as f64) * step).collect();
    Ticks { from: first * step, to: last * step, step, decimals, at }
}

impl Ticks {
    /// The same ticks on an axis that starts and ends at given values instead of at ticks.
    pub fn within(mut self, from: f64, to: f64) -> Self {
        let slack = 1e-9 * self.step;
        self.at.retain(|&v| v >= from - slack && v <= to + slack);
        (self.from, self.to) = (from, to);
        self
    }
    /// The same ticks on an axis a little longer than the values, so that nothing lies on its frame; an end at zero stays.
    pub fn padded(self, low: f64, high: f64) -> Self {
        const SHARE: f64 = 0.04;
        let pad = SHARE * (high - low);
        self.within(if low == 0.0 { 0.0 } else { low - pad }, if high == 0.0 { 0.0 } else { high + pad })
    }
    /// A tick as text.
    pub fn text(&self, value: f64) -> String {
        crate::words::number(value, self.decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_cover_the_range_and_are_few() {
        for (low, high) in [(0.0, 1.0), (-3.2, 41.0), (1e-9, 2e-9), (1050.0, 1051.0), (-7.0, -6.99), (0.0, 1e11)] {
            for wanted in [3, 5, 9] {
                let t = ticks(low, high, wanted);
                assert!(t.from <= low + 1e-9 * t.step && t.to >= high - 1e-9 * t.step, "{low} {high} {t:?}");
                assert!(t.at.len() >= 2 && t.at.len() <= wanted + 3, "{t:?}");
                let shown: Vec<String> = t.at.iter().map(|&v| t.text(v)).collect();
                assert!(shown.windows(2).all(|w| w[0] != w[1]) || t.step < 1e-6, "{shown:?}");
            }
        }
        assert_eq!(ticks(f64::NAN, 1.0, 5).from, 0.0);
    }
}
