//! The ± of something computed, by moving each input by its own.

use crate::study::Finding;
use quantity::Reading;

/// A value and its ± [SI].
pub type Input = (f64, f64);

/// The value and ± of a reading.
pub fn input(r: &Reading) -> Input {
    (r.si, r.plus_minus_si)
}

/// A finding from independent inputs: each is moved up and down by its ±, and half of what that changes counts (JCGM 100:2008, 5.1.3 note 2, with the
/// expanded uncertainty in place of the standard one). Where one of both gives no number, the other's whole change counts.
pub fn finding(f: impl Fn(&[f64]) -> f64, inputs: &[Input]) -> Finding {
    let at: Vec<f64> = inputs.iter().map(|i| i.0).collect();
    let si = f(&at);
    let moved = |k: usize, by: f64| {
        let mut there = at.clone();
        there[k] += by;
        f(&there)
    };
    let square: f64 = inputs
        .iter()
        .enumerate()
        .filter(|(_, (_, pm))| *pm > 0.0)
        .map(|(k, (_, pm))| {
            let (up, down) = (moved(k, *pm), moved(k, -pm));
            let change = match (up.is_finite(), down.is_finite()) {
                (true, true) => 0.5 * (up - down),
                (true, false) => up - si,
                (false, true) => down - si,
                (false, false) => 0.0,
            };
            change * change
        })
        .sum();
    Finding { si, plus_minus_si: square.sqrt() }
}
