//! Marks beside the curve of the file: sound, off by one angle at every speed, or on another curve.
//!
//! A shifted timing and a wrong module both fail the strobe. They part in how the marks lie over the speed: one angle for all, or a slope with the speed.

use super::{MARKS, Of, Signature};
use crate::{
    machine::Machine,
    study::{Finding, curve::CurveStudy, fault::data::Faults},
};
use physics::together::together;
use std::f64::consts::PI;

/// Spread of a timing that is set wrong [rad] (own choice: 8°, so that 19 in 20 lie within 16°).
pub const SHIFT_SD: f64 = 8.0 * PI / 180.0;
/// Spread of the slope of another curve, from the middle of the readings' speeds to either end [rad] (own choice: 8°).
pub const TILT_SD: f64 = 8.0 * PI / 180.0;
/// Least spread of a mark [rad] (own choice: half a degree, for a mark is a line of paint).
pub const LEAST_SD: f64 = 0.5 * PI / 180.0;
/// Fewest marks that are weighed together \[1\], and least ratio of their greatest speed to their least \[1\] (own choice).
const FEWEST: usize = 3;
const WIDE: f64 = 1.5;

/// A mark: crank speed [rad/s] and how far it lies off the curve, later below nought [rad].
pub type Mark = (f64, Finding);

/// Logarithms of the likelihood of marks if the curve is the file's, if it is shifted by one angle, if it is another curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// The file's.
    pub sound: f64,
    /// Shifted.
    pub shifted: f64,
    /// Another curve.
    pub other: f64,
}

/// Weighs marks; `lamp_sd` is a spread that all of them share, that of the marks of the lamp [rad].
///
/// Every way is a normal distribution about nought: own errors on the diagonal, `a² v vᵀ` for each thing that is shared, with v = 1 for the lamp and for the
/// shift, and v from −1 at the least speed to 1 at the greatest for the slope. The likelihood of each is that of all marks together, so that a way that could have
/// explained much else is charged for it.
///
/// # Example
/// ```
/// use workshop::study::{Finding, fault::marks::weigh};
/// let off = |speed: f64, deg: f64| (speed, Finding { si: deg.to_radians(), plus_minus_si: 1f64.to_radians() });
/// let late = weigh(&[off(150.0, -6.0), off(300.0, -6.2), off(500.0, -5.9)], 0.0);
/// assert!(late.shifted > late.other && late.shifted > late.sound + 20.0);
/// ```
pub fn weigh(marks: &[Mark], lamp_sd: f64) -> Weighed {
    weigh_with(marks, lamp_sd, None)
}

/// The same with one more error that all share, of so much at each mark [rad]: what the curve itself is not sure of.
pub(super) fn weigh_with(marks: &[Mark], lamp_sd: f64, curve_sd: Option<&[f64]>) -> Weighed {
    let one = vec![1.0; marks.len()];
    let (least, most) = ends(marks);
    let half = 0.5 * (most - least);
    let tilt: Vec<f64> = marks.iter().map(|(s, _)| if half > 0.0 { (s - least) / half - 1.0 } else { 0.0 }).collect();
    let lamp = (lamp_sd, &one[..]);
    let (shift, tilt) = ((SHIFT_SD, &one[..]), (TILT_SD, &tilt[..]));
    let of = |ways: &[(f64, &[f64])]| {
        let shared: Vec<_> = [lamp].into_iter().chain(curve_sd.map(|v| (1.0, v))).chain(ways.iter().copied()).collect();
        log_likelihood(marks, &shared)
    };
    Weighed { sound: of(&[]), shifted: of(&[shift]), other: of(&[shift, tilt]) }
}

/// Least and greatest speed.
pub(super) fn ends(marks: &[Mark]) -> (f64, f64) {
    marks.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), (s, _)| (l.min(*s), m.max(*s)))
}

/// Logarithm of the normal density of all marks together; each shared error as a spread and what it does to the marks.
fn log_likelihood(marks: &[Mark], shared: &[(f64, &[f64])]) -> f64 {
    let variances: Vec<f64> = marks.iter().map(|(_, off)| (0.5 * off.plus_minus_si).max(LEAST_SD).powi(2)).collect();
    let off: Vec<f64> = marks.iter().map(|(_, off)| off.si).collect();
    let shared: Vec<Vec<f64>> = shared.iter().map(|(sd, v)| v.iter().map(|v| sd * v).collect()).collect();
    together(&off, &variances, &shared).log_density
}

/// What the file's strobe readings say together, where the file has a curve that does not rest on them.
pub(super) fn of_file(faults: &Faults, machine: &Machine, curve: &CurveStudy) -> Option<Signature> {
    curve.agreement?;
    let rows = curve.cylinders.iter().flat_map(|c| &c.readings);
    let marks: Vec<Mark> =
        rows.map(|r| (r.speed.si, Finding { si: r.residual_rad, plus_minus_si: r.advance.plus_minus_si })).collect();
    signature(faults, machine, &marks)
}

/// What marks say together; `None` where they are too few or too close together to part a shift from a slope.
pub(super) fn signature(faults: &Faults, machine: &Machine, marks: &[Mark]) -> Option<Signature> {
    let (least, most) = ends(marks);
    if marks.len() < FEWEST || most < WIDE * least {
        return None;
    }
    let found = weigh(marks, 0.5 * machine.lamp.mark.plus_minus_si);
    let top = found.sound.max(found.shifted).max(found.other);
    let beside = |log: f64| (log - top).exp();
    let named = named(&found).map(|(id, log)| (id, beside(log)));
    Some(Signature::of_shown(faults, &MARKS, named, beside(found.sound), (marks.len(), Of::Marks)))
}

/// Causes that shift marks or bend their curve, each with the logarithm of its likelihood.
pub(super) fn named(found: &Weighed) -> impl Iterator<Item = (&'static str, f64)> {
    const SHIFTS: [&str; 6] = ["timing-set", "key-sheared", "pickup-reversed", "pickup-loose", "rotor-loose", "instrument-wrong"];
    const TILTS: [&str; 3] = ["cdi-mismatch", "weights-stick", "advance-worn"];
    let (shifted, other) = (found.shifted, found.other);
    // A wrong or moved segment may do either.
    let either = ("segment-wrong", shifted.max(other));
    SHIFTS.iter().map(move |id| (*id, shifted)).chain(TILTS.iter().map(move |id| (*id, other))).chain([either])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// `reference/fault/marks_curve.csv`: SciPy's multivariate normal density. Two ways to the same sums, which cancel by some hundred times where marks share a large
    /// error.
    #[test]
    fn an_error_of_the_curve_is_shared_by_all_marks() {
        const CANCELLING: f64 = 1e-9;
        let mut rows = 0;
        for line in include_str!("../../../../../../reference/fault/marks_curve.csv").lines().skip(3) {
            let cells: Vec<Vec<f64>> =
                line.split(',').map(|cell| cell.split(' ').map(|x| x.parse().unwrap()).collect()).collect();
            let marks: Vec<Mark> = (0..cells[0].len())
                .map(|k| {
                    let off = Finding { si: cells[1][k].to_radians(), plus_minus_si: cells[2][k].to_radians() };
                    (cells[0][k] * TAU / 60.0, off)
                })
                .collect();
            let curve: Vec<f64> = cells[7].iter().map(|d| d.to_radians()).collect();
            let found = weigh_with(&marks, cells[3][0].to_radians(), Some(&curve));
            for (got, k) in [(found.sound, 4), (found.shifted, 5), (found.other, 6)] {
                let want = cells[k][0];
                assert!((got - want).abs() <= CANCELLING * (1.0 + want.abs()), "{line}: {got} for {want}");
            }
            rows += 1;
        }
        assert_eq!(rows, 24);
    }
}
