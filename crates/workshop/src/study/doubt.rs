//! The ± of something computed, by moving each input by its own.

use crate::study::Finding;
use quantity::Reading;

/// A value and its ± [SI].
pub type Input = (f64, f64);

/// The value and ± of a reading.
pub fn input(r: &Reading) -> Input {
    (r.si, r.plus_minus_si)
}

/// What moving one input by its ± changes: half of the whole way, or the way to the one side that gives a number (JCGM 100:2008, 5.1.3 note 2, with the
/// expanded uncertainty in place of the standard one). Nothing where neither does.
pub fn change(si: f64, up: f64, down: f64) -> f64 {
    match (up.is_finite(), down.is_finite()) {
        (true, true) => 0.5 * (up - down),
        (true, false) => up - si,
        (false, true) => down - si,
        (false, false) => 0.0,
    }
}

/// Several findings from the same independent inputs: each is moved up and down by its ±, and the [`change`]s are added as squares.
pub fn findings<const N: usize>(f: impl Fn(&[f64]) -> [f64; N], inputs: &[Input]) -> [Finding; N] {
    let mut at: Vec<f64> = inputs.iter().map(|i| i.0).collect();
    let si = f(&at);
    let mut square = [0.0; N];
    for (k, (value, pm)) in inputs.iter().enumerate().filter(|(_, (_, pm))| *pm > 0.0) {
        let [up, down] = [*pm, -pm].map(|by| {
            at[k] = value + by;
            f(&at)
        });
        at[k] = *value;
        for n in 0..N {
            square[n] += change(si[n], up[n], down[n]).powi(2);
        }
    }
    std::array::from_fn(|n| Finding { si: si[n], plus_minus_si: square[n].sqrt() })
}

/// One of them.
pub fn finding(f: impl Fn(&[f64]) -> f64, inputs: &[Input]) -> Finding {
    findings(|x| [f(x)], inputs)[0]
}
