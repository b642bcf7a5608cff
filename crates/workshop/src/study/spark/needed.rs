//! What the gap asks for: pressure and temperature at the spark, and the voltage that breaks it down.

use super::Finding;
use crate::{
    machine::{Machine, spark::Plug},
    study::{
        curve::CurveStudy,
        engine::{OPEN_DISCHARGE, engine},
        known::Known,
        model::Which,
    },
};
use physics::{
    crank::{Chamber, SliderCrank},
    cycle::{Operating, Prepared, trace},
    kickback::NO_SPARK,
    spark::breakdown::{Shape, uniform_v},
};
use rayon::prelude::*;
use std::{f64::consts::PI, sync::Arc};

/// ± of the pressure at the spark as a share of it [1] (own choice): what compression ratio, filling and heat leave open in the working cycle.
const PRESSURE_SHARE: f64 = 0.08;
/// The same of the temperature [1] (own choice).
const TEMPERATURE_SHARE: f64 = 0.05;
/// Both where there is no cycle, but plain compression of a full cylinder [1] (own choice).
const PLAIN_PRESSURE_SHARE: f64 = 0.2;
const PLAIN_TEMPERATURE_SHARE: f64 = 0.1;
/// Exponent of plain compression [1], with heat lost to the walls: 1.3 (Heywood 1988, 9.3, from memory: 1.3 ± 0.05).
const EXPONENT: f64 = 1.3;
/// By how much the charge is warmer than the air at the start of plain compression [K] (own choice).
const WARMED_K: f64 = 40.0;
/// Wear of a gap where none was read, and its ± [m]: 0.2 mm counts as worn (common practice, no source).
const WEAR_M: f64 = 0.2e-3;
const WEAR_PM: f64 = 0.05e-3;

/// Speeds at which the cycle is run with a fire [1] (own choice): pressure at an angle hardly changes with speed.
const FIRED: usize = 5;

/// Where pressure and temperature come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// The working cycle, throttle wide open.
    Cycle,
    /// The working cycle without a fire.
    Motored,
    /// Plain compression of a full cylinder: the cycle is not computed for this machine.
    Plain,
}

/// What stands between the electrodes, and what that asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needed {
    /// Advance of the spark [rad], the latest of all cylinders.
    pub advance_rad: f64,
    /// Pressure [Pa].
    pub pressure: Finding,
    /// Temperature [K].
    pub temperature: Finding,
    /// Where both come from.
    pub from: From,
    /// Voltage over the gap as found [V].
    pub volts: Finding,
    /// Voltage over the worn gap, edges rounded [V].
    pub worn: Finding,
}

/// One stroke of compression: angle after top dead centre [rad], pressure [Pa], temperature of the unburned gas [K].
type Stroke = Vec<(f64, f64, f64)>;

/// Strokes of compression of a machine's engine, for one curve after the other: they hang on the latest spark of all alone, and are run once for each whole degree of it.
///
/// The cycle is run at the kick and at a few of the speeds; what lies between is straight in the speed's logarithm. Every fire is lit as late as the latest
/// spark of all, or up to a degree later, so that the gas is unburned wherever a spark may come; pressure before a spark hardly hangs on when the next one comes.
pub struct Strokes<'m> {
    machine: &'m Machine,
    speeds: Vec<f64>,
    chamber: Option<Chamber>,
    /// The cycle and its throttle, wide open [m²].
    engine: Option<(Prepared, f64)>,
    motored: Known<0, Arc<Stroke>>,
    fired: Known<1, Fired>,
}

/// With a fire, at rising speeds [rad/s].
type Fired = Arc<Vec<(f64, Stroke)>>;

impl<'m> Strokes<'m> {
    /// Of a machine at rising speeds [rad/s].
    pub fn of(machine: &'m Machine, speeds: Vec<f64>) -> Self {
        let e = &machine.engine;
        let chamber = SliderCrank::new(0.5 * e.stroke.si, e.rod.si, e.pin_offset.si)
            .ok()
            .and_then(|crank| Chamber::new(crank, e.bore.si, e.compression_ratio.si).ok());
        let prepared = engine(machine, Which::Nominal).ok().and_then(|e| Prepared::new(e).ok());
        let open = |bore: f64| OPEN_DISCHARGE * 0.25 * PI * bore * bore;
        let engine = prepared.zip(e.inlet.as_ref().map(|inlet| open(inlet.throttle_bore.si)));
        Self { machine, speeds, chamber, engine, motored: Known::default(), fired: Known::default() }
    }

    /// The gas under a curve; without one the spark is taken at top dead centre, where most is asked for.
    pub fn under<'a>(&'a self, curve: Option<&'a CurveStudy>) -> Gas<'a> {
        let mut gas = Gas { machine: self.machine, curve, chamber: &self.chamber, motored: None, fired: Fired::default() };
        if let Some(engine) = &self.engine {
            let latest = self.speeds.iter().map(|n| gas.advance_rad(*n)).fold(f64::INFINITY, f64::min).to_degrees().floor();
            let latest = latest.to_radians();
            let kick = self.machine.engine.kicking_speed.si;
            let (motored, fired) = rayon::join(
                || self.motored.or([], || Arc::new(stroke(engine, kick, NO_SPARK))),
                || self.fired.or([latest], || self.lit(engine, latest)),
            );
            (gas.motored, gas.fired) = (Some(motored), fired);
        }
        gas
    }

    /// Strokes at a few of the speeds, lit at an advance [rad].
    fn lit(&self, engine: &(Prepared, f64), advance_rad: f64) -> Fired {
        let last = self.speeds.len().saturating_sub(1);
        let few = (0..FIRED).into_par_iter().map(|k| self.speeds[(k * last) / (FIRED - 1)]);
        Arc::new(few.map(|speed| (speed, stroke(engine, speed, advance_rad))).collect())
    }

    /// What the gap asks for at each speed; nothing without a plug. `is_kick` tells which speeds are without a fire.
    pub fn needed(&self, curve: Option<&CurveStudy>, plug: Option<&Plug>, is_kick: impl Fn(f64) -> bool) -> Vec<Needed> {
        let Some(plug) = plug else { return Vec::new() };
        let gas = self.under(curve);
        self.speeds.iter().map(|&speed| gas.needed(speed, is_kick(speed), plug)).collect()
    }
}

fn stroke((prepared, opening_m2): &(Prepared, f64), speed_rad_s: f64, advance_rad: f64) -> Stroke {
    let samples = trace(prepared, Operating { speed_rad_s, opening_m2: *opening_m2, advance_rad }).samples;
    samples.iter().filter(|s| s.angle_rad.abs() < PI).map(|s| (s.angle_rad, s.pressure_pa, s.unburned_k)).collect()
}

/// The gas between the electrodes of a machine.
pub struct Gas<'a> {
    machine: &'a Machine,
    curve: Option<&'a CurveStudy>,
    chamber: &'a Option<Chamber>,
    /// Without a fire, at the kick.
    motored: Option<Arc<Stroke>>,
    fired: Fired,
}

impl Gas<'_> {
    /// The latest advance of all cylinders at a speed [rad/s] \[rad\]: nearest to top dead centre, where pressure is greatest.
    fn advance_rad(&self, speed_rad_s: f64) -> f64 {
        let of = |c: &crate::study::curve::CylinderCurve| c.law.advance(speed_rad_s).radians();
        let least = self.curve.map(|c| c.cylinders.iter().map(of).fold(f64::INFINITY, f64::min));
        least.filter(|a| a.is_finite()).unwrap_or(0.0)
    }

    /// At a crank speed [rad/s], with or without a fire, for a plug.
    pub fn needed(&self, speed_rad_s: f64, kicked: bool, plug: &Plug) -> Needed {
        let advance_rad = self.advance_rad(speed_rad_s);
        let (pressure_pa, temperature_k, from) = self.state(speed_rad_s, kicked, advance_rad);
        let (p_share, t_share) = match from {
            From::Plain => (PLAIN_PRESSURE_SHARE, PLAIN_TEMPERATURE_SHARE),
            _ => (PRESSURE_SHARE, TEMPERATURE_SHARE),
        };
        let pressure = Finding { si: pressure_pa, plus_minus_si: p_share * pressure_pa };
        let temperature = Finding { si: temperature_k, plus_minus_si: t_share * temperature_k };
        let shape = if plug.rounded { Shape::ROUNDED } else { Shape::SHARP };
        let gap = Finding::of(&plug.gap);
        let worn = plug
            .worn
            .as_ref()
            .map_or(Finding { si: gap.si + WEAR_M, plus_minus_si: gap.plus_minus_si.hypot(WEAR_PM) }, Finding::of);
        Needed {
            advance_rad,
            pressure,
            temperature,
            from,
            volts: volts(gap, pressure, temperature, shape),
            worn: volts(worn, pressure, temperature, Shape::ROUNDED),
        }
    }

    fn state(&self, speed_rad_s: f64, kicked: bool, advance_rad: f64) -> (f64, f64, From) {
        let found = match &self.motored {
            Some(stroke) if kicked => at(stroke, -advance_rad).map(|(p, t)| (p, t, From::Motored)),
            _ => self.between(speed_rad_s, -advance_rad).map(|(p, t)| (p, t, From::Cycle)),
        };
        if let Some(found) = found.filter(|(p, t, _)| p.is_finite() && t.is_finite()) {
            return found;
        }
        let e = &self.machine.engine;
        let ratio = self.chamber.as_ref().map_or(e.compression_ratio.si, |c| {
            let (most, _) = c.volume_and_rate(PI);
            most / c.volume_and_rate(-advance_rad).0
        });
        let pressure = e.ambient_pressure.si * ratio.powf(EXPONENT);
        let temperature = (e.ambient_temperature.si + WARMED_K) * ratio.powf(EXPONENT - 1.0);
        (pressure, temperature, From::Plain)
    }

    /// Pressure and temperature at an angle [rad] with a fire, between the speeds that were run.
    fn between(&self, speed_rad_s: f64, angle_rad: f64) -> Option<(f64, f64)> {
        let k = self.fired.partition_point(|(n, _)| *n < speed_rad_s).clamp(1, self.fired.len().max(2) - 1);
        let [(slow, low), (fast, high)] = self.fired.get(k - 1..=k)? else { return None };
        let share = ((speed_rad_s / slow).ln() / (fast / slow).ln()).clamp(0.0, 1.0);
        let ((pa, ta), (pb, tb)) = (at(low, angle_rad)?, at(high, angle_rad)?);
        Some((pa + share * (pb - pa), ta + share * (tb - ta)))
    }
}

/// Pressure and temperature at an angle [rad], straight between samples.
fn at(stroke: &Stroke, angle_rad: f64) -> Option<(f64, f64)> {
    let k = stroke.partition_point(|s| s.0 < angle_rad).clamp(1, stroke.len().max(2) - 1);
    let [a, b] = stroke.get(k - 1..=k)? else { return None };
    let share = ((angle_rad - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
    Some((a.1 + share * (b.1 - a.1), a.2 + share * (b.2 - a.2)))
}

/// Voltage of a gap [m] in a gas, with the ± of gap, gas and shape.
pub fn volts(gap: Finding, pressure: Finding, temperature: Finding, shape: Shape) -> Finding {
    let v = |d: f64, p: f64, t: f64| uniform_v(d.max(0.0), p, t);
    let si = v(gap.si, pressure.si, temperature.si);
    let both = |up: f64, down: f64| 0.5 * (up - down);
    let by_gap = both(
        v(gap.si + gap.plus_minus_si, pressure.si, temperature.si),
        v(gap.si - gap.plus_minus_si, pressure.si, temperature.si),
    );
    let by_p = both(
        v(gap.si, pressure.si + pressure.plus_minus_si, temperature.si),
        v(gap.si, pressure.si - pressure.plus_minus_si, temperature.si),
    );
    let by_t = both(
        v(gap.si, pressure.si, temperature.si + temperature.plus_minus_si),
        v(gap.si, pressure.si, temperature.si - temperature.plus_minus_si),
    );
    let gas = by_gap.hypot(by_p).hypot(by_t);
    Finding { si: shape.factor * si, plus_minus_si: (shape.factor * gas).hypot(shape.plus_minus * si) }
}

#[cfg(test)]
mod tests {
    use super::super::margin::strokes;
    use crate::{machine, study::curve};

    #[test]
    fn a_fire_up_to_a_degree_later_hardly_moves_what_is_asked_for() {
        /// Voltage that is needed, lit a degree later over lit where the latest spark comes \[1\]: far below what pressure and temperature leave open.
        const MOVED: f64 = 1e-3;
        let mut tried = 0;
        for (_, text) in machine::EXAMPLES {
            let (machine, _) = machine::read(text).unwrap();
            let curve = curve::study(&machine).unwrap();
            let strokes = strokes(&machine);
            let (Some(engine), Some(plug)) = (&strokes.engine, &machine.ignition.plug) else { continue };
            let mut gas = strokes.under(Some(&curve));
            let latest = strokes.speeds.iter().map(|n| gas.advance_rad(*n)).fold(f64::INFINITY, f64::min);
            for speed in &strokes.speeds {
                let [there, later] = [0.0, 1.0_f64.to_radians()].map(|by| {
                    gas.fired = strokes.lit(engine, latest - by);
                    gas.needed(*speed, false, plug).volts.si
                });
                assert!((later / there - 1.0).abs() < MOVED, "{}: {there} {later}", machine.name);
            }
            tried += 1;
        }
        assert!(tried > 0);
    }
}
