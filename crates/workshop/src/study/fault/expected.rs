//! What a test should read on this very machine, where its studies can tell.

use super::{
    data::Test,
    evidence::{FULL, Studies},
};
use crate::{
    machine::Machine,
    study::{
        Finding,
        curve::{BandPoint, CylinderCurve},
    },
};
use std::f64::consts::TAU;

/// Speed at which an alternator is read without load [rad/s] (common practice, no source: 3000 rpm).
const UNLOADED: f64 = 3000.0 * TAU / 60.0;
/// Speed at which charging is read [rad/s] (common practice, no source: 4000 rpm).
const CHARGING: f64 = 4000.0 * TAU / 60.0;

/// What should be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Expected {
    /// Advance at a crank speed [rad/s], [rad] before top dead centre, of each cylinder as an index.
    Advance(f64, Vec<(usize, Finding)>),
    /// Volts at a crank speed [rad/s], [V].
    Volts(f64, Finding),
    /// Pickup's peak at the kick, and what the module needs [V].
    Peak(Finding, Finding),
    /// Resistance as recorded at 20 °C [Ω].
    Ohms(Vec<(String, Finding)>),
}

/// What a test should read on a machine; `None` where the file does not tell.
pub fn expected(test: &Test, machine: &Machine, studies: Studies) -> Option<Expected> {
    match test.id.as_str() {
        "strobe-idle" => advance(studies, machine.idle.as_ref()?.speed.si),
        "strobe-full" => {
            let first = studies.curve?.cylinders.first()?;
            advance(studies, full_speed(first)?)
        }
        "pickup-peak" => {
            let signals = studies.spark?.signal.as_ref().ok()?;
            let weakest = signals.iter().min_by(|a, b| a.margin.si.total_cmp(&b.margin.si))?;
            Some(Expected::Peak(weakest.peak, weakest.need))
        }
        "stator-acv" => {
            let c = machine.electric.charging.as_ref()?;
            let si = c.no_load_volts.si * UNLOADED / c.no_load_speed.si;
            let share =
                (c.no_load_volts.plus_minus_si / c.no_load_volts.si).hypot(c.no_load_speed.plus_minus_si / c.no_load_speed.si);
            Some(Expected::Volts(UNLOADED, Finding { si, plus_minus_si: si * share }))
        }
        "charge-low" => {
            let points = &studies.charge?.points;
            let off = |speed: f64| (speed - CHARGING).abs();
            let p = points.iter().min_by(|a, b| off(a.crank_rad_s).total_cmp(&off(b.crank_rad_s)))?;
            Some(Expected::Volts(p.crank_rad_s, p.plus))
        }
        "stator-ohms" => {
            let c = machine.electric.charging.as_ref()?;
            Some(Expected::Ohms(vec![(String::new(), Finding::of(&c.resistance))]))
        }
        "pickup-ohms" | "source-ohms" => {
            use crate::machine::charging::WindingKind as W;
            let pickup = test.id == "pickup-ohms";
            let mine =
                |kind: W| if pickup { kind == W::Pickup } else { matches!(kind, W::SourceLow | W::SourceHigh | W::SourceSingle) };
            let all = machine.electric.windings.iter().filter(|w| mine(w.kind));
            let recorded: Vec<(String, Finding)> =
                all.filter_map(|w| Some((w.name.clone(), Finding::of(w.record.as_ref()?)))).collect();
            (!recorded.is_empty()).then_some(Expected::Ohms(recorded))
        }
        _ => None,
    }
}

fn advance(studies: Studies, speed: f64) -> Option<Expected> {
    let of = |c: &CylinderCurve| nearest(&c.band, speed).map(|p| p.advance);
    let all: Vec<(usize, Finding)> = studies.curve?.cylinders.iter().enumerate().filter_map(|(k, c)| Some((k, of(c)?))).collect();
    (!all.is_empty()).then_some(Expected::Advance(speed, all))
}

fn nearest(band: &[BandPoint], speed: f64) -> Option<&BandPoint> {
    band.iter().min_by(|a, b| (a.speed_rad_s - speed).abs().total_cmp(&(b.speed_rad_s - speed).abs()))
}

/// The lowest speed at which the advance is full.
fn full_speed(c: &CylinderCurve) -> Option<f64> {
    let most = c.band.iter().map(|b| b.advance.si).fold(f64::NEG_INFINITY, f64::max);
    c.band.iter().find(|b| b.advance.si >= FULL * most).map(|b| b.speed_rad_s)
}
