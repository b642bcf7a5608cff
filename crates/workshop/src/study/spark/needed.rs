//! What the gap asks for: pressure and temperature at the spark, and the voltage that breaks it down.

use super::Finding;
use crate::{
    machine::{Machine, spark::Plug},
    study::{
        curve::CurveStudy,
        engine::{OPEN_DISCHARGE, engine},
        model::Which,
    },
};
use physics::{
    crank::{Chamber, SliderCrank},
    cycle::{Operating, Prepared, trace},
    kickback::NO_SPARK,
    spark::breakdown::{Shape, uniform_v},
};
use std::f64::consts::PI;

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

/// The gas between the electrodes of a machine.
pub struct Gas<'a> {
    machine: &'a Machine,
    curve: Option<&'a CurveStudy>,
    prepared: Option<(Prepared, f64)>,
    chamber: Option<Chamber>,
}

impl<'a> Gas<'a> {
    /// Of a machine; without a curve the spark is taken at top dead centre, where most is asked for.
    pub fn of(machine: &'a Machine, curve: Option<&'a CurveStudy>) -> Self {
        let e = &machine.engine;
        let prepared = engine(machine, Which::Nominal).ok().and_then(|e| Prepared::new(e).ok());
        let bore = e.inlet.as_ref().map_or(0.0, |i| i.throttle_bore.si);
        let chamber = SliderCrank::new(0.5 * e.stroke.si, e.rod.si, e.pin_offset.si)
            .ok()
            .and_then(|crank| Chamber::new(crank, e.bore.si, e.compression_ratio.si).ok());
        Self { machine, curve, prepared: prepared.map(|p| (p, OPEN_DISCHARGE * 0.25 * PI * bore * bore)), chamber }
    }

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
        let gap = super::finding(&plug.gap);
        let worn = plug
            .worn
            .as_ref()
            .map_or(Finding { si: gap.si + WEAR_M, plus_minus_si: gap.plus_minus_si.hypot(WEAR_PM) }, super::finding);
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
        if let Some((prepared, opening_m2)) = &self.prepared {
            let lit = if kicked { NO_SPARK } else { advance_rad };
            let at = Operating { speed_rad_s, opening_m2: *opening_m2, advance_rad: lit };
            let samples = trace(prepared, at).samples;
            // The last moment before the flame.
            let k = samples.partition_point(|s| s.angle_rad <= -advance_rad).clamp(1, samples.len().max(1)) - 1;
            if let Some(s) = samples.get(k).filter(|s| s.pressure_pa.is_finite() && s.unburned_k.is_finite()) {
                return (s.pressure_pa, s.unburned_k, if kicked { From::Motored } else { From::Cycle });
            }
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
