//! What a mark a turn cannot see: how much slower the crank is near the top than in the mean of its turn.

use super::way_round;
use crate::machine::{Cylinder, Machine, Strokes};
use std::f64::consts::{PI, TAU};

/// Polytropic exponent of the compression \[1\] (Heywood, *Internal Combustion Engine Fundamentals* (1988), 9.2: 1.3 ± 0.05; from memory).
const POLYTROPE: f64 = 1.3;
/// Up to this speed the charge is at ambient pressure whatever the throttle stands at [rad/s] (common practice, no source): 700 rpm. Above it an opening on the stop
/// passes no more air in a second, and friction turns the rest: the pressure falls with the square, down to the share at idle \[1\] (own choice).
const FULL_RAD_S: f64 = 700.0 * TAU / 60.0;
const IDLE_CHARGE: f64 = 0.4;
/// Mean pressure that the gas works with at ambient pressure, and of friction on the stand [Pa] (own choice): 10 bar and 1.2 bar.
const AT_AMBIENT_PA: f64 = 10e5;
const FRICTION_PA: f64 = 1.2e5;
/// Kept for gas that burns before the top, for uneven pressures and for the cubic through the marks \[1\] (own choice, above what
/// `reference/recording/within_turn.csv` needs).
const RESERVE: f64 = 1.2;
/// An engine that just comes over its compression all but stands there: shares are bounded \[1\], and what they make of an angle [rad] (own choice, the same table).
const MOST: f64 = 4.5;
const MOST_RAD: f64 = 50.0 * TAU / 360.0;
/// An angle over which the speed is off one way and then the other [rad] (own choice): an eighth of a turn, for two swings in a turn.
const SWING_RAD: f64 = TAU / 8.0;

/// Energies that change the crank's speed within a turn, on the stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Uneven {
    /// Displacement of those cylinders that are squeezed together, and of all [m³].
    squeezed_m3: f64,
    all_m3: f64,
    ratio: f64,
    cycle_rad: f64,
    four: bool,
    inertia_kgm2: f64,
    ambient_pa: f64,
}

impl Uneven {
    pub(super) fn of(machine: &Machine) -> Self {
        let e = &machine.engine;
        let one = e.swept_m3();
        let four = e.strokes == Strokes::Four;
        let cycle_rad = if four { 2.0 * TAU } else { TAU };
        let with = |of: &Cylinder| {
            let near = |c: &&Cylinder| way_round(c.fires_at.si, of.fires_at.si, cycle_rad) < SWING_RAD;
            e.cylinders.iter().filter(near).count()
        };
        let together = e.cylinders.iter().map(with).max().unwrap_or(1);
        Self {
            squeezed_m3: one * together as f64,
            all_m3: one * e.cylinders.len() as f64,
            ratio: e.compression_ratio.si,
            cycle_rad,
            four,
            inertia_kgm2: e.inertia.si,
            ambient_pa: e.ambient_pressure.si,
        }
    }

    /// Share by which the crank may be slower than the mean of its turn while it gains speed at this rate [rad/s²].
    ///
    /// `ΔE = V p₀ [c r/(r−1) (r^(n−1)−1)/(n−1) − 1 + (1−c)/2] + (τ_f + J α) π` is what compression, the drawing of the charge and half a turn of friction and gain
    /// take from `J ω²/2`; `c` is the charge's pressure over the ambient.
    fn share(&self, speed_rad_s: f64, gain_rad_s2: f64) -> f64 {
        let gain_nm = self.inertia_kgm2 * gain_rad_s2.max(0.0);
        let friction_nm = FRICTION_PA * self.all_m3 / self.cycle_rad;
        let loaded = IDLE_CHARGE + gain_nm * self.cycle_rad / self.all_m3 / AT_AMBIENT_PA;
        let charge = (FULL_RAD_S / speed_rad_s).powi(2).max(loaded).min(1.0);
        let squeezing = self.ratio / (self.ratio - 1.0) * (self.ratio.powf(POLYTROPE - 1.0) - 1.0) / (POLYTROPE - 1.0);
        let drawing = if self.four { 0.5 * (1.0 - charge) } else { 0.0 };
        let gas_j = self.squeezed_m3 * self.ambient_pa * ((charge * squeezing - 1.0).max(0.0) + drawing);
        let taken = RESERVE * (gas_j + (friction_nm + gain_nm) * PI) / (self.inertia_kgm2 * speed_rad_s.powi(2));
        let left = 1.0 - 2.0 * taken;
        if left > 0.0 { (left.powf(-0.5) - 1.0).min(MOST) } else { MOST }
    }

    /// Half-width of what that does to an angle that lies so far from the next known one [rad].
    pub(super) fn over(&self, speed_rad_s: f64, gain_rad_s2: f64, way_rad: f64) -> f64 {
        (self.share(speed_rad_s, gain_rad_s2) * way_rad.min(SWING_RAD)).min(MOST_RAD)
    }
}

/// From a spark with this advance to the nearest angle that the mark tells [rad]: the middle of it, which stands `at` before the top, or, where they tell, its ends,
/// so far apart.
pub(super) fn way(ends_rad: Option<f64>, at_rad: f64, advance_rad: f64) -> f64 {
    let off = way_round(at_rad, advance_rad, TAU);
    ends_rad.map_or(off, |arc| (off - 0.5 * arc).abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_goes_from_the_nearest_end_or_from_the_middle() {
        let deg = |d: f64| d * TAU / 360.0;
        // Middle 16° before top: the trailing end passes 4° behind it, the leading one 36° before.
        for (advance, by_ends, by_middle) in [(-4.0, 0.0, 20.0), (36.0, 0.0, 20.0), (10.0, 14.0, 6.0), (46.0, 10.0, 30.0)] {
            for (ends, want) in [(Some(deg(40.0)), by_ends), (None, by_middle)] {
                assert!((way(ends, deg(16.0), deg(advance)) - deg(want)).abs() < 1e-9, "{advance}");
            }
        }
    }

    /// What a mark at top makes of an advance lies within the band, kicked, idling and speeding up: against `reference/recording/within_turn.py`.
    #[test]
    fn what_a_mark_at_top_tells_is_within_the_band() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/within_turn.csv");
        let text = std::fs::read_to_string(path).unwrap();
        let (mut rows, mut widest) = (0, 0.0f64);
        for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let f: Vec<&str> = line.split(',').collect();
            let n = |i: usize| f[i].parse::<f64>().unwrap();
            let (one, count, four) = (PI / 4.0 * n(1).powi(2) * n(2), n(6), f[5] == "4");
            let uneven = Uneven {
                squeezed_m3: one,
                all_m3: one * count,
                ratio: n(3),
                cycle_rad: if four { 2.0 * TAU } else { TAU },
                four,
                inertia_kgm2: n(4),
                ambient_pa: 1e5,
            };
            let (advance, told) = (n(10).to_radians(), n(11).to_radians());
            let band = uneven.over(n(8) * TAU / 60.0, n(9), way(None, 0.0, advance));
            assert!(told > advance && told - advance <= band, "{line}: {}", band.to_degrees());
            if f[7] != "kicked" && n(8) > 900.0 && count < 3.0 {
                widest = widest.max(band / (told - advance));
            }
            rows += 1;
        }
        // No wider than it need be where one or two cylinders run at idle or above.
        assert!(rows > 200 && widest < 5.0, "{rows} {widest}");
    }
}
