//! The advance for best torque, from the settled cycle at rising advances.

use crate::parabola;

/// Latest and earliest advance tried [°] (own choice): beyond both nothing burns with profit.
const LATEST: f64 = -10.0;
const EARLIEST: f64 = 75.0;
/// Half of the range round the best of those in which torque is taken for a parabola [°] (own choice): it falls there by some per cent, and the
/// greatest of single points would be chance.
const ROUND_BEST: f64 = 10.5;
/// Standard errors in a 95 % half-width \[1\] (JCGM 100:2008, G.6.6).
const COVERAGE: f64 = 2.0;

/// What one advance gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tried {
    /// Torque, in any unit.
    pub torque: f64,
    /// The cycle there repeats itself.
    pub settled: bool,
}

/// Where the best lies [rad].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Best {
    /// Here, with its 95 % half-width.
    At(f64, f64),
    /// Earlier than the earliest advance tried.
    Above(f64),
    /// Later than the latest advance tried.
    Below(f64),
    /// Cannot be told: a torque is no number, or there is no hump and the cycle does not settle.
    Unknown,
}

/// Advances at which the cycle was asked, and what they say.
#[derive(Clone, Debug, PartialEq)]
pub struct Search<P> {
    /// Every advance asked [rad] with what was given there, rising.
    pub points: Vec<(f64, P)>,
    /// The eight advances round the best [rad].
    pub near: [f64; 8],
    /// What they say.
    pub best: Best,
}

/// Asks for sixteen advances over all that is worth trying, then for eight round the best of those, and takes torque there for a
/// parabola, because it is so flat that the best of single points is chance.
///
/// `cycles` gives the settled cycle at eight rising advances [rad], `tried` what counts of each.
///
/// ```
/// use physics::best_torque::{Best, Tried, search};
/// let found = search(|advances| advances.map(|a| 1.0 - (a - 0.5_f64).powi(2)), |torque| Tried { torque: *torque, settled: true });
/// assert!(matches!(found.best, Best::At(at, _) if (at - 0.5).abs() < 1e-9));
/// ```
pub fn search<P: Copy>(cycles: impl Fn([f64; 8]) -> [P; 8], tried: impl Fn(&P) -> Tried) -> Search<P> {
    let spread = |low: f64, high: f64| std::array::from_fn::<f64, 8, _>(|i| (low + (high - low) * i as f64 / 7.0).to_radians());
    let ask = |advances: [f64; 8]| advances.into_iter().zip(cycles(advances)).collect::<Vec<(f64, P)>>();
    let step = (EARLIEST - LATEST) / 15.0;
    let mut points = ask(spread(LATEST, LATEST + 7.0 * step));
    points.extend(ask(spread(LATEST + 8.0 * step, EARLIEST)));
    let torque = |p: &(f64, P)| tried(&p.1).torque;
    let rough = points.iter().max_by(|a, b| torque(a).total_cmp(&torque(b))).map_or(0.0, |p| p.0.to_degrees());
    let middle = rough.clamp(LATEST + ROUND_BEST, EARLIEST - ROUND_BEST);
    let near = spread(middle - ROUND_BEST, middle + ROUND_BEST);
    let close = ask(near);
    points.extend(&close);
    let best = if points.iter().all(|p| torque(p).is_finite()) {
        among(&near, &std::array::from_fn(|i| tried(&close[i].1)))
    } else {
        Best::Unknown
    };
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|a, b| a.0 == b.0);
    Search { points, near, best }
}

/// What eight advances at even steps [rad] say of the best.
pub fn among(advances: &[f64; 8], tried: &[Tried; 8]) -> Best {
    let (from, to) = (advances[0], advances[7]);
    let torques = tried.map(|t| t.torque);
    if !torques.iter().all(|t| t.is_finite()) {
        return Best::Unknown;
    }
    if let Some(top) = parabola::top(from, advances[1] - from, &torques).filter(|t| (from..=to).contains(&t.at)) {
        return Best::At(top.at, COVERAGE * top.standard_error);
    }
    if !tried.iter().all(|t| t.settled) {
        return Best::Unknown;
    }
    // No hump. At an end of all that is tried it lies beyond; elsewhere the torque scatters, and the greatest may stand anywhere here.
    let greatest = (0..8).max_by(|a, b| torques[*a].total_cmp(&torques[*b])).unwrap_or(0);
    match greatest {
        7 if to >= EARLIEST.to_radians() => Best::Above(to),
        0 if from <= LATEST.to_radians() => Best::Below(from),
        k => Best::At(advances[k], to - from),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(torque: impl Fn(f64) -> f64, settled: bool) -> Best {
        search(|advances| advances.map(&torque), |torque| Tried { torque: *torque, settled }).best
    }

    /// A parabola is found to rounding.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn a_hump_is_found_where_it_stands() {
        for top in [-0.1, 0.2, 0.61, 1.25] {
            let Best::At(at, plus_minus) = of(|a| 3.0 - (a - top).powi(2), true) else { panic!("{top}") };
            assert!((at - top).abs() < ROUNDING && plus_minus < ROUNDING, "{top}: {at} ± {plus_minus}");
        }
    }

    #[test]
    fn best_torque_lies_beyond_what_was_tried_only_at_its_ends() {
        assert_eq!(of(|a| a, true), Best::Above(EARLIEST.to_radians()));
        assert_eq!(of(|a| -a, true), Best::Below(LATEST.to_radians()));
        // A step down in the middle: within reach of it torque only rises up to the step, yet nothing lies beyond what was tried.
        let edge = 0.5;
        let cliff = |a: f64| if a < edge { 1.0 + a * a } else { 0.0 };
        let advances: [f64; 8] = std::array::from_fn(|i| 0.1 + 0.05 * i as f64);
        let rising = advances.map(|a| Tried { torque: cliff(a), settled: true });
        let Best::At(at, plus_minus) = among(&advances, &rising) else { panic!() };
        assert_eq!((at, plus_minus), (advances[7], advances[7] - advances[0]));
        let falling = advances.map(|a| Tried { torque: a * a - a, settled: true });
        assert_eq!(among(&advances, &falling), Best::At(advances[0], advances[7] - advances[0]));
    }

    #[test]
    fn what_comes_to_no_number_or_does_not_settle_is_not_told() {
        for hole in [0.0, 0.3, 1.1, f64::from(75u8).to_radians()] {
            assert_eq!(
                of(|a| if (a - hole).abs() < 0.06 { f64::NAN } else { 3.0 - (a - 0.6).powi(2) }, true),
                Best::Unknown,
                "{hole}"
            );
        }
        assert_eq!(of(|_| f64::NAN, true), Best::Unknown);
        assert_eq!(of(|a| a, false), Best::Unknown);
        assert_eq!(of(|a| -a, false), Best::Unknown);
        // A hump shows through the scatter, which is in its ±.
        assert!(matches!(of(|a| 3.0 - (a - 0.6).powi(2), false), Best::At(..)));
    }
}
