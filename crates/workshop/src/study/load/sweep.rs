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
use physics::{interp::MonotoneCubic, knock, parabola, root};

/// Latest and earliest advance tried [°] (own choice): beyond both nothing burns with profit.
const LATEST: f64 = -10.0;
const EARLIEST: f64 = 75.0;
/// Half of the range round the best of those in which torque is taken for a parabola [°] (own choice): it falls there by some per cent, and the
/// greatest of single points would be chance.
const ROUND_BEST: f64 = 10.5;
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
/// Standard errors in a 95 % half-width \[1\] (JCGM 100:2008, G.6.6).
const COVERAGE: f64 = 2.0;

pub fn sweep(machine: &Machine, curve: &CurveStudy, cycle: &dyn WorkingCycle, speed: f64, opening: f64) -> Sweep {
    let spread = |low: f64, high: f64| std::array::from_fn::<f64, 8, _>(|i| (low + (high - low) * i as f64 / 7.0).to_radians());
    let settled = |which: Which, advances: [f64; 8]| cycle.eight(which, speed, opening, advances);
    let nominal = |advances| settled(Which::Nominal, advances).map_or(Vec::new(), Vec::from);

    let step = (EARLIEST - LATEST) / 15.0;
    let mut points = nominal(spread(LATEST, LATEST + 7.0 * step));
    points.extend(nominal(spread(LATEST + 8.0 * step, EARLIEST)));
    let rough = greatest(&points).map_or(0.0, |p| p.advance_rad.to_degrees());
    let middle = rough.clamp(LATEST + ROUND_BEST, EARLIEST - ROUND_BEST);
    let near = spread(middle - ROUND_BEST, middle + ROUND_BEST);
    let close = nominal(near);
    let best = best(&close, |which| settled(which, near));
    points.extend(&close);
    points.sort_by(|a, b| a.advance_rad.total_cmp(&b.advance_rad));
    points.dedup_by(|a, b| a.advance_rad == b.advance_rad);

    let highest = greatest(&points).map_or(0.0, |p| p.advance_rad);
    let at_best = between(&points, best.at().map_or(highest, |b| b.si));
    let now = earliest(curve, speed).map(|advance| {
        let here = between(&points, advance.si);
        let torque_share = here.torque_nm / at_best.torque_nm;
        Now { advance, torque_share, peak_pa: here.peak_pa, peak_at_rad: here.peak_at_rad }
    });
    let knock = match knock_limit(machine, cycle, speed, opening) {
        // A flame too slow for best torque is too slow for knock as well.
        Bound::Above(_) if matches!(best, Bound::Above(_)) => Bound::Unknown,
        limit => limit,
    };
    Sweep { speed_rad_s: speed, opening_m2: opening, points, best, at_best, knock, now }
}

fn greatest(points: &[SparkPoint]) -> Option<&SparkPoint> {
    points.iter().max_by(|a, b| a.torque_nm.total_cmp(&b.torque_nm))
}

/// The advance for best torque. Its ± is what the fit leaves open and what the flame's doubt makes of it.
fn best(near: &[SparkPoint], of: impl Fn(Which) -> Option<[SparkPoint; 8]>) -> Bound {
    let (Some(first), Some(second), Some(last)) = (near.first(), near.get(1), near.last()) else { return Bound::Unknown };
    let (from, to) = (first.advance_rad, last.advance_rad);
    let top = |points: &[SparkPoint]| {
        let torques: Vec<f64> = points.iter().map(|p| p.torque_nm).collect();
        parabola::top(from, second.advance_rad - from, &torques)
    };
    match top(near).filter(|t| (from..=to).contains(&t.at)) {
        Some(found) => {
            let end = |which| of(which).and_then(|points| top(&points)).map(|t| t.at.clamp(from, to));
            let burn = Parameter::BurnFactor;
            let ends = end(Which::Low(burn)).zip(end(Which::High(burn)));
            let flame = ends.map_or(0.0, |(low, high)| 0.5 * (high - low).abs());
            Bound::At(Finding { si: found.at, plus_minus_si: flame.hypot(COVERAGE * found.standard_error) })
        }
        // No hump. At an end of all that is tried it lies beyond; elsewhere the torque scatters, and the greatest may stand anywhere here.
        None => match greatest(near).map_or(f64::NAN, |p| p.advance_rad) {
            si if si == to && to >= EARLIEST.to_radians() => Bound::Above(to),
            si if si == from && from <= LATEST.to_radians() => Bound::Below(from),
            si => Bound::At(Finding { si, plus_minus_si: to - from }),
        },
    }
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
    }
}

/// The advance at which the knock integral reaches 1.
///
/// The integral goes as 1/delay, so a doubt of the delay or of the octane number is a doubt of the integral's logarithm, and its slope
/// makes an angle of it.
fn knock_limit(machine: &Machine, cycle: &dyn WorkingCycle, speed: f64, opening: f64) -> Bound {
    let octane = &machine.engine.octane;
    let logarithm = |at: f64| (at, cycle.knock(speed, opening, at, octane.si).ln());
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
    let slope = line.rate(si).max((last.1 - first.1) / (last.0 - first.0));
    Bound::At(Finding { si, plus_minus_si: DELAY_DOUBT.hypot(of_fuel) / slope })
}
