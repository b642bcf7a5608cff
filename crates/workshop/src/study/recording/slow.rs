//! What a mark a turn cannot see: the speed within the turn, while the engine is kicked over.

use super::MarkFound;
use crate::study::Finding;
use std::f64::consts::TAU;

/// The speed of a running engine within a turn lies so far off its mean at this speed \[1\], [rad/s] (own choice): a tenth at 200 rpm. A compression takes the same work at
/// any speed, so the share falls with the square of it.
const UNEVEN: f64 = 0.1;
const AT_RAD_S: f64 = 200.0 * TAU / 60.0;
/// Below this it is kicked over [rad/s] (common practice, no source): 700 rpm.
const KICKED_RAD_S: f64 = 700.0 * TAU / 60.0;
/// The same where it is kicked \[1\] (own choice, above what `reference/recording/slow_kick.csv` has for a single of 500 cm³ that just comes over its compression), and at
/// most: near the top it all but stands, and half the turn is over in no time.
const UNEVEN_KICKED: f64 = 9.0;
const MOST_UNEVEN: f64 = 1.25;
/// An angle over which the speed is off one way and then the other [rad] (own choice): an eighth of a turn, for two swings in a turn.
const SWING_RAD: f64 = TAU / 8.0;

/// Share by which the speed within a turn may lie off its mean.
fn uneven(speed_rad_s: f64) -> f64 {
    let at_200 = if speed_rad_s < KICKED_RAD_S { UNEVEN_KICKED } else { UNEVEN };
    (at_200 * (AT_RAD_S / speed_rad_s).powi(2)).min(MOST_UNEVEN)
}

/// Half-width of what the unevenness does to an angle that lies so far from the next known one [rad].
pub(super) fn over(speed_rad_s: f64, way_rad: f64) -> f64 {
    uneven(speed_rad_s) * way_rad.min(SWING_RAD)
}

/// From a spark with this advance to the nearest angle that the mark tells [rad]: its own, or an end of the segment. The mark's middle stands `at` before the top.
pub(super) fn way(mark: MarkFound, at_rad: f64, advance_rad: f64) -> f64 {
    let off = (at_rad - advance_rad + 0.5 * TAU).rem_euclid(TAU) - 0.5 * TAU;
    match mark {
        MarkFound::Segment { arc: Finding { si, .. }, .. } => (off.abs() - 0.5 * si).abs(),
        MarkFound::Mark { .. } => off.abs(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_band_grows_with_the_way_and_falls_with_the_square_of_the_speed() {
        let deg = |d: f64| d * TAU / 360.0;
        let rpm = |n: f64| n * TAU / 60.0;
        assert!(
            (over(rpm(800.0), deg(16.0)) - deg(0.1)).abs() < 1e-9 && (over(rpm(1600.0), deg(16.0)) - deg(0.025)).abs() < 1e-9
        );
        // Twice a turn a tenth: the integral of 0.1 cos 2θ is never more than 0.05.
        assert!(over(rpm(200.0), deg(170.0)) > 0.05 && over(rpm(1000.0), deg(170.0)) < deg(0.2));
        let arc = Finding { si: deg(40.0), plus_minus_si: 0.0 };
        let segment = MarkFound::Segment { arc, leading_up: true };
        // Middle 16° before top: the trailing end passes 4° behind it, the leading one 36° before.
        for (advance, want) in [(-4.0, 0.0), (36.0, 0.0), (10.0, 14.0), (46.0, 10.0)] {
            assert!((way(segment, deg(16.0), deg(advance)) - deg(want)).abs() < 1e-9, "{advance}");
        }
        assert!((way(MarkFound::Mark { pair: true }, deg(0.0), deg(10.0)) - deg(10.0)).abs() < 1e-9);
    }

    /// What a mark at top makes of an advance where a big single is kicked over lies within the band: against `reference/recording/slow_kick.py`.
    #[test]
    fn a_big_single_that_is_kicked_is_within_the_band() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/slow_kick.csv");
        let text = std::fs::read_to_string(path).unwrap();
        let mut rows = 0;
        for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let n: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
            let (mean, advance, told) = (n[1] * TAU / 60.0, n[3].to_radians(), n[4].to_radians());
            let band = over(mean, way(MarkFound::Mark { pair: false }, 0.0, advance));
            assert!(told > advance && told - advance <= band, "{line}: {}", band.to_degrees());
            rows += 1;
        }
        assert_eq!(rows, 18);
    }
}
