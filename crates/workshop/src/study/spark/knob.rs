//! Numbers of a model that have a ±, each to be turned by it.

use super::{Finding, Model};
use crate::study::doubt::change;
use physics::copper::ratio as copper;
use quantity::Reading;

/// Where a number of a model is; `None` where the ignition has none such.
pub type Place = fn(&mut Model) -> Option<&mut f64>;

/// The ± of a fouled plug's shunt [S], of the factor on hot copper \[1\], and of a weak battery's volts [V].
#[derive(Clone, Copy, Debug, Default)]
pub struct WorseBy {
    /// Shunt [S].
    pub fouled_s: f64,
    /// Factor \[1\].
    pub hot: f64,
    /// Volts [V].
    pub weak_v: f64,
}

/// The ± of the factor on hot copper, from those of both temperatures.
pub fn hotter_by(read_at: &Reading, hot: &Reading) -> f64 {
    let moved = |r: &Reading, f: &dyn Fn(f64) -> f64| 0.5 * (f(r.si + r.plus_minus_si) - f(r.si - r.plus_minus_si));
    moved(hot, &|t| copper(read_at.si, t)).hypot(moved(read_at, &|t| copper(t, hot.si)))
}

/// A number with a ±.
pub struct Knob {
    /// Where it is.
    place: Place,
    by: f64,
    /// It changes what fills the store.
    pub fills: bool,
    /// It changes the pulse from a full one.
    pub pulses: bool,
}

/// Turns a reading with a ± into a knob.
pub fn add(knobs: &mut Vec<Knob>, r: &Reading, fills: bool, pulses: bool, place: Place) {
    if r.plus_minus_si > 0.0 {
        knobs.push(Knob { place, by: r.plus_minus_si, fills, pulses });
    }
}

/// A number and its ±: each knob that is asked for is turned both ways, and what that changes counts.
pub fn doubt(model: &Model, knobs: &[Knob], which: impl Fn(&Knob) -> bool, f: impl Fn(&Model) -> f64) -> Finding {
    let si = f(model);
    let square: f64 = knobs
        .iter()
        .filter(|k| which(k))
        .map(|k| {
            let turned = |by: f64| {
                let mut m = model.clone();
                if let Some(x) = (k.place)(&mut m) {
                    // What is measured is positive; a ± that reaches below nothing ends just above it.
                    *x = (*x + by).max(1e-3 * *x);
                }
                f(&m)
            };
            change(si, turned(k.by), turned(-k.by)).powi(2)
        })
        .sum();
    Finding { si, plus_minus_si: square.sqrt() }
}
