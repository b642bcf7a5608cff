//! An engine whose torque is a formula, on the demo machine with a segment and a ramp that make it hang.

use physics::{cycle::Prepared, rest::TorqueMap};
use quantity::{Reading, Source, Unit};
use workshop::{
    machine::{LawData, Machine, SegmentLength, read},
    study::{
        idle::Parameter,
        model::{CyclePoint, EngineModel, SparkPoint, Which, WorkingCycle},
    },
};

/// Kick-back work [J] per radian of advance at kicking speed; the demo's crank carries 14.5 J there.
struct Formula {
    kick_j_per_rad: f64,
    knock_from_rad: f64,
}

/// Advance at which the formula engine knocks if nothing else is said [rad]: further than any curve here goes.
pub const NEVER_KNOCKS: f64 = 3.0;
/// Slope of the logarithm of its knock integral over advance [1/rad], and over the logarithm of the octane number \[1\] as Douaud & Eyzat have it.
pub const KNOCK_SLOPE: f64 = 5.0;
const OCTANE_POWER: f64 = 3.402;
/// Octane at which the limit is where it is said to be.
pub const OCTANE: f64 = 95.0;
/// Wide open [m²].
pub const WIDE: f64 = 3e-4;
/// How much quicker the flame is at the upper end of its ± [rad of best advance].
pub const QUICKER: f64 = 0.05;

/// What the logarithm of its knock integral gains over the share by which the air is warmer \[1\].
pub const WARMER: f64 = 4.5;
/// What a flame at the upper end adds to the kick, over [`QUICKER`] \[1\].
pub const KICK_QUICKER: f64 = 0.5;

fn burn_of(which: Which) -> Option<f64> {
    match which {
        Which::Nominal => Some(0.0),
        Which::Low(Parameter::BurnFactor) => Some(-QUICKER),
        Which::High(Parameter::BurnFactor) => Some(QUICKER),
        _ => None,
    }
}

impl WorkingCycle for Formula {
    fn friction_nm(&self, n: f64) -> f64 {
        2.0 + 1e-5 * n * n
    }
    fn at(&self, _: f64, _: f64, advance: f64) -> CyclePoint {
        CyclePoint { residual: 0.3, half_burned_rad: 0.5 - advance, peak_pa: 1e6, runner_pa: 4e4 }
    }
    fn kick_back_work_of_j(&self, which: Which, _: f64, advance: f64) -> Option<f64> {
        Some(self.kick_j_per_rad * (advance.max(0.0) + burn_of(which)? * KICK_QUICKER))
    }
    fn eight(&self, which: Which, n: f64, a: f64, advance: [f64; 8]) -> Option<[SparkPoint; 8]> {
        let burn = burn_of(which)?;
        Some(advance.map(|s| SparkPoint {
            advance_rad: s,
            torque_nm: torque(n, a, s, burn),
            peak_pa: 1e6,
            peak_at_rad: 0.7 - s,
            settled: true,
        }))
    }
    fn knock_of(&self, which: Which, _: (f64, f64), advance: f64, octane: f64, warmer: f64) -> Option<f64> {
        let earlier = advance + burn_of(which)? - self.knock_from_rad;
        Some((KNOCK_SLOPE * earlier + WARMER * warmer).exp() * (octane / OCTANE).powf(-OCTANE_POWER))
    }
    fn wide_open_m2(&self) -> f64 {
        WIDE
    }
    fn turning(&self) -> Option<&Prepared> {
        None
    }
}

/// Its advance for best torque [rad].
pub fn best(n: f64, a: f64, burn: f64) -> f64 {
    0.9 - 0.12 * (a / 2e-5).ln() + 0.0004 * n - burn
}

/// Charge through a choked throttle, so torque as opening over speed, times a hump over advance; a flame quicker by `burn` [rad].
pub fn torque(n: f64, a: f64, advance: f64, burn: f64) -> f64 {
    let x = (advance - best(n, a, burn)) / 0.75;
    3.0e7 * a / n * (-x * x).exp()
}

pub fn model_with(kick_j_per_rad: f64) -> EngineModel {
    knocking(kick_j_per_rad, NEVER_KNOCKS)
}

pub fn knocking(kick_j_per_rad: f64, knock_from_rad: f64) -> EngineModel {
    let map = |f: &dyn Fn(f64, f64, f64) -> f64| TorqueMap::from_fn((40.0, 900.0), (2e-6, 4e-4), (-0.3, 1.2), f);
    let off = |burn: f64| map(&move |n, a, s| torque(n, a, s, burn) - torque(n, a, s, 0.0));
    EngineModel::of_maps(
        map(&|n, a, s| torque(n, a, s, 0.0)),
        vec![(Parameter::BurnFactor, [off(-QUICKER), off(QUICKER)])],
        0.0,
        Box::new(Formula { kick_j_per_rad, knock_from_rad }),
    )
}

pub fn exactly(si: f64, plus_minus_si: f64) -> Reading {
    Reading { si, plus_minus_si, unit: Unit::One, source: Source::Estimate }
}

/// The demo machine's engine with a rim, a segment and a ramp that make the formula engine hang.
pub fn machine() -> Machine {
    let (mut machine, _) = read(include_str!("../../../../examples/corran-360.toml")).expect("the demo reads");
    machine.strobe.clear();
    machine.law = Some(LawData::Ramp { start: exactly(115.0, 2.0), full: exactly(300.0, 5.0) });
    let trigger = machine.trigger.as_mut().expect("a trigger");
    trigger.rim_diameter = exactly(0.0955, 0.0001);
    trigger.segment = SegmentLength::Arc(exactly(0.8 * 0.0955 / 2.0, 0.0002));
    trigger.lead = exactly(0.75, 0.01);
    for pickup in &mut trigger.pickups {
        pickup.place_error = exactly(0.0, 0.0);
        pickup.pulse = None;
    }
    machine.idle.as_mut().expect("an idle").speed = exactly(105.0, 4.0);
    machine
}
