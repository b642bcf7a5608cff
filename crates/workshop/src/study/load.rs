//! What advance does at a given load: torque against advance, best torque, the knock limit, and the advance at which a kick turns back.
//!
//! At the idle, on its stop, and wide open over the range of speeds. The working cycle is run at a bounded number of points, eight to a
//! call, so it takes a fraction of what the torque surfaces take and needs none of them.

mod kick;
mod sweep;

use super::{
    Finding,
    curve::{CurveStudy, CylinderCurve},
    model::{SparkPoint, WorkingCycle},
    warning::Warning,
};
use crate::machine::Machine;
use rayon::prelude::*;

/// What advance does at idle, wide open and at the kick.
#[derive(Clone, Debug)]
pub struct LoadStudy {
    /// At the idle seen, on its stop; `None` where no opening holds that idle, or none was asked for.
    pub idle: Option<Sweep>,
    /// Wide open, slowest first: from a quarter of the top speed to all of it.
    pub wide_open: Vec<Sweep>,
    /// Octane number of the fuel that the knock limits are for \[1\].
    pub octane: Finding,
    /// When a kick would turn back.
    pub kick: Kick,
    /// What must be said beside it.
    pub warnings: Vec<Warning>,
}

/// One speed and opening, over all advances.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Effective flow area of each throttle [m²].
    pub opening_m2: f64,
    /// The settled cycle at rising advances.
    pub points: Vec<SparkPoint>,
    /// Advance for best torque.
    pub best: Bound,
    /// The cycle there, or at the best of the advances tried.
    pub at_best: SparkPoint,
    /// Advance from which the unburned gas lights itself on this fuel.
    pub knock: Bound,
    /// What the curve as found gives here.
    pub now: Option<Now>,
}

/// Where something begins, over the advances that were tried [rad].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// Here.
    At(Finding),
    /// Earlier than the earliest advance tried.
    Above(f64),
    /// Later than the latest advance tried.
    Below(f64),
    /// Cannot be told: the cycle came to no number, or the flame is too slow for that load.
    Unknown,
}

impl Bound {
    /// The advance, where it lies inside what was tried.
    pub fn at(self) -> Option<Finding> {
        match self {
            Bound::At(found) => Some(found),
            _ => None,
        }
    }

    /// How far an advance [rad] stays below it; `None` where the bound lies above all that was tried, or cannot be told.
    pub fn room(self, advance: Finding) -> Option<Finding> {
        let (si, plus_minus_si) = match self {
            Bound::At(at) => (at.si - advance.si, at.plus_minus_si.hypot(advance.plus_minus_si)),
            Bound::Below(at) => (at - advance.si, advance.plus_minus_si),
            Bound::Above(_) | Bound::Unknown => return None,
        };
        Some(Finding { si, plus_minus_si })
    }
}

/// The curve as found at one speed and opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Now {
    /// Advance of the cylinder that fires first [rad].
    pub advance: Finding,
    /// Torque there, as a share of the best \[1\].
    pub torque_share: f64,
    /// Peak pressure [Pa].
    pub peak_pa: f64,
    /// Where, after firing top dead centre [rad].
    pub peak_at_rad: f64,
}

/// Kick-back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kick {
    /// Kicking speed [rad/s].
    pub speed: Finding,
    /// Advance of the cylinder that fires first at that speed [rad].
    pub now: Option<Finding>,
    /// Advance from which the burn may turn the crank back.
    pub limit: Bound,
    /// Energy of the turning parts at that speed [J]; the burn may take half of it.
    pub energy: Finding,
    /// What the burn takes at the advance now [J].
    pub taken_now: Option<Finding>,
}

/// Wide-open speeds, in this many parts of the top speed \[1\], from the second part on (own choice): below a quarter of its top speed
/// nobody opens an engine wide.
const PARTS: usize = 8;
const FIRST_PART: usize = 2;

/// What advance does. `idle` is the speed [rad/s] and the opening [m²] of the stop at which the engine idles, where known.
pub fn study(machine: &Machine, curve: &CurveStudy, cycle: &dyn WorkingCycle, idle: Option<(f64, f64)>) -> LoadStudy {
    let wide = wide_open_speeds(machine).map(|speed| (speed, cycle.wide_open_m2()));
    let asked: Vec<(f64, f64)> = idle.into_iter().chain(wide).collect();
    let mut sweeps: Vec<Sweep> =
        asked.into_par_iter().map(|(speed, opening)| sweep::sweep(machine, curve, cycle, speed, opening)).collect();
    let wide_open = sweeps.split_off(usize::from(idle.is_some()));
    let warnings = not_found(&wide_open).into_iter().chain(beyond_knock(&wide_open)).collect();
    let octane = Finding::of(&machine.engine.octane);
    LoadStudy { idle: sweeps.pop(), wide_open, octane, kick: kick::limit(machine, curve, cycle), warnings }
}

/// Crank speeds that are looked at wide open [rad/s], the slowest first.
fn wide_open_speeds(machine: &Machine) -> impl Iterator<Item = f64> {
    let top = machine.engine.top_speed.si;
    (FIRST_PART..=PARTS).map(move |part| top * part as f64 / PARTS as f64)
}

/// Knock limits alone, wide open: crank speed [rad/s] and advance from which the unburned gas lights itself. No curve counts in them.
pub fn knock_limits(machine: &Machine, cycle: &dyn WorkingCycle) -> Vec<(f64, Bound)> {
    let speeds: Vec<f64> = wide_open_speeds(machine).collect();
    speeds.into_par_iter().map(|speed| (speed, sweep::knock_limit(machine, cycle, speed, cycle.wide_open_m2()))).collect()
}

impl LoadStudy {
    /// The sweeps worth a line of their own: at the idle, at half and at full top speed.
    pub fn told(&self) -> impl Iterator<Item = &Sweep> {
        let middle = self.wide_open.get(PARTS / 2 - FIRST_PART);
        self.idle.iter().chain(middle).chain(self.wide_open.last())
    }
}

/// The slowest speed at which the flame is too slow for best torque to be found.
fn not_found(wide_open: &[Sweep]) -> Option<Warning> {
    wide_open.iter().find_map(|s| match s.best {
        Bound::Above(tried_rad) => Some(Warning::BestTorqueNotFound { from_rad_s: s.speed_rad_s, tried_rad }),
        _ => None,
    })
}

/// The speed at which the curve as found goes furthest beyond the knock limit.
fn beyond_knock(wide_open: &[Sweep]) -> Option<Warning> {
    let beyond = |s: &Sweep| Some((s.speed_rad_s, s.knock.room(s.now?.advance)?));
    let (at_rad_s, room) = wide_open.iter().filter_map(beyond).min_by(|a, b| a.1.si.total_cmp(&b.1.si))?;
    (room.si < 0.0).then_some(Warning::BeyondKnockLimit { at_rad_s, by_rad: -room.si, plus_minus_rad: room.plus_minus_si })
}

/// The earliest cylinder's advance at a speed [rad/s], with the ± of its band there.
pub fn earliest(curve: &CurveStudy, speed_rad_s: f64) -> Option<Finding> {
    let at = |c: &CylinderCurve| {
        let off = |b: &&super::curve::BandPoint| (b.speed_rad_s - speed_rad_s).abs();
        let near = c.band.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        let plus_minus_si = near.map_or(0.0, |b| b.advance.plus_minus_si);
        Finding { si: c.law.advance(speed_rad_s).radians(), plus_minus_si }
    };
    curve.cylinders.iter().map(at).max_by(|a, b| a.si.total_cmp(&b.si))
}
