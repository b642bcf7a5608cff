//! What a test should read on this very machine, where its studies can tell.

use super::{
    data::Test,
    evidence::{FULL, Studies, copper},
};
use crate::{
    machine::{LawData, Machine},
    study::{
        Finding,
        curve::{BandPoint, CylinderCurve},
        electric::charge::Point,
    },
};
use physics::copper::{COLD_K, ratio};
use quantity::Reading;
use std::f64::consts::TAU;

/// Speed at which an alternator is read without load [rad/s] (common practice, no source: 3000 rpm).
const UNLOADED: f64 = 3000.0 * TAU / 60.0;
/// Speed at which charging is read [rad/s] (common practice, no source: 4000 rpm).
const CHARGING: f64 = 4000.0 * TAU / 60.0;

/// Speed in town [rad/s] (common practice, no source: 2500 rpm).
const TOWN: f64 = 2500.0 * TAU / 60.0;
/// Temperature to which a winding is warmed with the meter on it [K] (common practice, no source: 80 °C).
pub const WARM_K: f64 = 353.15;

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
    /// The same at [`WARM_K`].
    Warm(Vec<(String, Finding)>),
    /// Primary and secondary resistance of the coil as the file has them [Ω].
    Coil(Finding, Finding),
    /// A peak [V].
    PeakAlone(Finding),
    /// A peak at the kick of each winding of the source coil [V].
    Peaks(Vec<Finding>),
    /// What the wires' copper drops; more than that is lost in joints [V].
    Drop(Finding),
    /// Gap of the file, and the largest that still fires at the kick, of each pickup [m].
    PickupGaps(Vec<(Finding, Option<Finding>)>),
    /// Gap of the plug [m].
    PlugGap(Finding),
    /// One cylinder earlier than the other at a crank speed [rad/s], [rad].
    Apart(f64, Finding),
    /// Amps into the battery at a crank speed [rad/s], [A].
    Amps(f64, Finding),
}

/// What a test should read on a machine; `None` where the file does not tell.
pub fn expected(test: &Test, machine: &Machine, studies: Studies) -> Option<Expected> {
    match test.id.as_str() {
        "strobe-idle" => advance(studies, machine.idle.as_ref()?.speed.si),
        "static-timing" => {
            // Weights stand at their inner stop as long as the engine does.
            matches!(machine.law, Some(LawData::BobWeights(_) | LawData::Fixed(_))).then(|| advance(studies, 0.0))?
        }
        "strobe-pair" => {
            let speed = machine.idle.as_ref()?.speed.si;
            let [one, other] = &studies.curve?.cylinders[..] else { return None };
            let (one, other) = (nearest(&one.band, speed)?.advance, nearest(&other.band, speed)?.advance);
            let apart = Finding { si: one.si - other.si, plus_minus_si: one.plus_minus_si.hypot(other.plus_minus_si) };
            Some(Expected::Apart(speed, apart))
        }
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
            let p = charging(studies, CHARGING)?;
            Some(Expected::Volts(p.crank_rad_s, p.plus))
        }
        "amps-balance" => {
            let p = charging(studies, TOWN)?;
            Some(Expected::Amps(p.crank_rad_s, p.battery))
        }
        "module-peak" => Some(Expected::PeakAlone(studies.spark?.output?.computed)),
        "source-peak" => {
            let kick = &machine.engine.kicking_speed;
            let of = |w: &crate::machine::spark::SourceWinding| {
                let si = w.volts.si * kick.si / w.speed.si;
                let share = [&w.volts, &w.speed, kick].iter().map(|r| (r.plus_minus_si / r.si).powi(2)).sum::<f64>().sqrt();
                Finding { si, plus_minus_si: si * share }
            };
            let all: Vec<Finding> = machine.ignition.source.iter().flat_map(|s| &s.windings).map(of).collect();
            (!all.is_empty()).then_some(Expected::Peaks(all))
        }
        "coil-ohms" => {
            let c = machine.ignition.coil.as_ref()?;
            Some(Expected::Coil(Finding::of(&c.primary_resistance), Finding::of(&c.secondary_resistance)))
        }
        "cap-ohms" => Some(Expected::Ohms(vec![(String::new(), Finding::of(&machine.ignition.plug.as_ref()?.cap))])),
        "plug-read" | "new-plug" => Some(Expected::PlugGap(Finding::of(&machine.ignition.plug.as_ref()?.gap))),
        "pickup-gap" => {
            let signals = studies.spark.and_then(|s| s.signal.as_ref().ok());
            let largest = |k: usize| Some(signals?.iter().find(|s| s.pickup == k)?.largest_gap);
            let pickups = machine.trigger.as_ref()?.pickups.iter().enumerate();
            Some(Expected::PickupGaps(pickups.map(|(k, p)| (Finding::of(&p.gap), largest(k))).collect()))
        }
        "drop-feed" => copper(machine).feed.map(Expected::Drop),
        "drop-earth" => copper(machine).earth.map(Expected::Drop),
        "winding-heat" => {
            let all = machine.electric.windings.iter();
            let warm = |r: &Reading| {
                let factor = ratio(COLD_K, WARM_K);
                Finding { si: factor * r.si, plus_minus_si: factor * r.plus_minus_si }
            };
            let warm: Vec<(String, Finding)> = all.filter_map(|w| Some((w.name.clone(), warm(w.record.as_ref()?)))).collect();
            (!warm.is_empty()).then_some(Expected::Warm(warm))
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

fn charging(studies: Studies<'_>, speed: f64) -> Option<&Point> {
    let off = |p: &Point| (p.crank_rad_s - speed).abs();
    studies.charge?.points.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
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
