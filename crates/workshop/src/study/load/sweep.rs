//! All advances at one speed and opening.

use super::{Bound, Now, Sweep, earliest};
use crate::{
    machine::Machine,
    study::{
        Finding,
        curve::CurveStudy,
        idle::Parameter,
        model::{SparkPoint, Which, WorkingCycle},
    },
};
use physics::{
    best_torque::{self, Best},
    interp::MonotoneCubic,
    knock, root,
};

/// Advances at which the knock integral is worked out [°] (own choice): its logarithm bends little between them.
const KNOCK_AT: [f64; 6] = [0.0, 12.0, 24.0, 36.0, 48.0, 60.0];
/// How far the delay before self-ignition may be off [1], as a 95 % half-width: the correlation scatters by "tens of per cent"
/// (see `physics::knock`); 30 % is this project's choice, no source.
const DELAY_DOUBT: f64 = 0.3;
/// Any pressure [Pa] and temperature [K] serve to find how the delay depends on the octane number, because the
/// correlation is a product (own choice).
const ANY_STATE: (f64, f64) = (20.0e5, 800.0);
/// The knock limit is found to this [rad] (own choice): a tenth of what a strobe shows.
const CLOSE: f64 = 1e-3;

pub fn sweep(machine: &Machine, curve: &CurveStudy, cycle: &dyn WorkingCycle, speed: f64, opening: f64) -> Sweep {
    let cycles = |which: Which, advances: [f64; 8]| cycle.eight(which, speed, opening, advances);
    let found = best_torque::search(
        |advances| cycles(Which::Nominal, advances).unwrap_or_else(|| advances.map(SparkPoint::nowhere)),
        SparkPoint::tried,
    );
    let best = bound(found.best, &found.near, |which| cycles(which, found.near));
    let points: Vec<SparkPoint> = found.points.into_iter().map(|p| p.1).collect();
    let highest = greatest(&points).map_or(0.0, |p| p.advance_rad);
    let at_best = between(&points, best.at().map_or(highest, |b| b.si));
    let now = earliest(curve, speed).map(|advance| {
        let here = between(&points, advance.si);
        let torque_share = here.torque_nm / at_best.torque_nm;
        Now { advance, torque_share, peak_pa: here.peak_pa, peak_at_rad: here.peak_at_rad }
    });
    let knock = match knock_limit(machine, cycle, speed, opening) {
        // A flame too slow for best torque, or too unsteady, is too slow for knock as well.
        Bound::Above(_) if matches!(best, Bound::Above(_) | Bound::Unknown) => Bound::Unknown,
        limit => limit,
    };
    Sweep { speed_rad_s: speed, opening_m2: opening, points, best, at_best, knock, now }
}

fn greatest(points: &[SparkPoint]) -> Option<&SparkPoint> {
    points.iter().max_by(|a, b| a.torque_nm.total_cmp(&b.torque_nm))
}

/// The advance for best torque. Its ± is what the fit leaves open and what the flame's doubt makes of it, which `of` asks for at the same
/// advances.
fn bound(best: Best, near: &[f64; 8], of: impl Fn(Which) -> Option<[SparkPoint; 8]>) -> Bound {
    let (si, of_fit) = match best {
        Best::At(si, of_fit) => (si, of_fit),
        Best::Above(tried) => return Bound::Above(tried),
        Best::Below(tried) => return Bound::Below(tried),
        Best::Unknown => return Bound::Unknown,
    };
    let burn = Parameter::BurnFactor;
    let ends = of(Which::Low(burn)).zip(of(Which::High(burn)));
    let of_flame = ends.map_or(0.0, |(low, high)| {
        let end = |points: [SparkPoint; 8]| match best_torque::among(near, &points.map(|p| p.tried())) {
            Best::At(at, _) | Best::Above(at) | Best::Below(at) => Some(at),
            Best::Unknown => None,
        };
        // An end that cannot be told leaves all of the range open.
        end(low).zip(end(high)).map_or(near[7] - near[0], |(low, high)| 0.5 * (high - low).abs())
    });
    Bound::At(Finding { si, plus_minus_si: of_flame.hypot(of_fit) })
}

/// The cycle at an advance [rad], straight between its neighbours; beyond the ends, the end.
pub fn between(points: &[SparkPoint], advance_rad: f64) -> SparkPoint {
    let after = points.partition_point(|p| p.advance_rad < advance_rad).clamp(1, points.len().max(2) - 1);
    let (Some(a), Some(b)) = (points.get(after - 1), points.get(after)) else { return SparkPoint::nowhere(advance_rad) };
    let share = ((advance_rad - a.advance_rad) / (b.advance_rad - a.advance_rad)).clamp(0.0, 1.0);
    let line = |x: f64, y: f64| x + share * (y - x);
    SparkPoint {
        advance_rad: line(a.advance_rad, b.advance_rad),
        torque_nm: line(a.torque_nm, b.torque_nm),
        peak_pa: line(a.peak_pa, b.peak_pa),
        peak_at_rad: line(a.peak_at_rad, b.peak_at_rad),
        settled: a.settled && b.settled,
    }
}

/// The advance at which the knock integral reaches 1.
///
/// The integral goes as 1/delay, so a doubt of the delay or of the octane number is a doubt of the integral's logarithm, and its slope
/// makes an angle of it. So does what the air's temperature and the flame may be off, of which the cycle itself is asked.
pub fn knock_limit(machine: &Machine, cycle: &dyn WorkingCycle, speed: f64, opening: f64) -> Bound {
    let octane = &machine.engine.octane;
    let logarithm = |at: f64| (at, cycle.knock((speed, opening), at, octane.si).ln());
    let points = KNOCK_AT.map(|at| logarithm(at.to_radians()));
    if points.iter().any(|p| p.1.is_nan()) {
        return Bound::Unknown;
    }
    let (first, last) = (points[0], points[KNOCK_AT.len() - 1]);
    if last.1 < 0.0 {
        return Bound::Above(last.0);
    }
    if first.1 > 0.0 {
        return Bound::Below(first.0);
    }
    let Ok(line) = MonotoneCubic::new(&points) else { return Bound::Unknown };
    let Ok(si) = root::bracketed(|x| line.value(x), first.0, last.0, CLOSE) else { return Bound::Unknown };
    let delay = |octane: f64| knock::delay_s(octane, ANY_STATE.0, ANY_STATE.1);
    let of_fuel = (delay(octane.si + octane.plus_minus_si) / delay(octane.si)).ln();
    // What air and flame make of the logarithm, at the limit itself.
    let here = |which: Which, warmer: f64| Some(cycle.knock_of(which, (speed, opening), si, octane.si, warmer)?.ln());
    let air = &machine.engine.ambient_temperature;
    let of_air = here(Which::Nominal, air.plus_minus_si / air.si).zip(here(Which::Nominal, 0.0)).map_or(0.0, |(w, n)| w - n);
    let burn = Parameter::BurnFactor;
    let of_flame = here(Which::High(burn), 0.0).zip(here(Which::Low(burn), 0.0)).map_or(0.0, |(h, l)| 0.5 * (h - l));
    let doubts = [DELAY_DOUBT, of_fuel, of_air, of_flame];
    let slope = line.rate(si).max((last.1 - first.1) / (last.0 - first.0));
    Bound::At(Finding { si, plus_minus_si: doubts.into_iter().fold(0.0, f64::hypot) / slope })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_varied_flame_that_cannot_be_told_leaves_the_range_open() {
        let near: [f64; 8] = std::array::from_fn(|i| 0.1 * i as f64);
        let hump =
            |top: f64| near.map(|a| SparkPoint { torque_nm: 1.0 - (a - top).powi(2), settled: true, ..SparkPoint::nowhere(a) });
        let doubt = |high: [SparkPoint; 8]| {
            let of = |which| Some(if matches!(which, Which::High(_)) { high } else { hump(0.4) });
            bound(Best::At(0.35, 0.0), &near, of).at().map(|found| found.plus_minus_si)
        };
        /// Sums of eight terms in double precision.
        const ROUNDING: f64 = 1e-9;
        assert!(doubt(hump(0.3)).is_some_and(|d| (d - 0.05).abs() < ROUNDING));
        assert_eq!(doubt(near.map(SparkPoint::nowhere)), Some(near[7] - near[0]));
        assert_eq!(bound(Best::Unknown, &near, |_| None), Bound::Unknown);
    }
}
