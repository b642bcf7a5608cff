//! The same engine many times over, each time with readings and parameters moved within their ±.

use super::{
    curve::CurveStudy,
    idle::{Chance, Parameter},
    judge::{APART, Subject},
    model::EngineModel,
};
use crate::{machine::Machine, sampling::LatinHypercube};
use physics::{interval::wilson, law::Law, rest::Hold};
use rayon::prelude::*;

/// Cases sampled: a share of 5 % is then known to about ±2 % (Wilson, 95 %).
pub const CASES: usize = 400;
/// Seed of the cases. Any number would do; it is fixed so that the same job gives the same sheet.
const SEED: u64 = 360;
/// Least factor on friction in a case \[1\], so that a wide ± cannot turn friction into drive (own choice).
const LEAST_FRICTION: f64 = 0.1;
/// Half-widths per standard uncertainty \[1\]: a ± is two of them (JCGM 100:2008, 6.2).
const HALF_WIDTHS: f64 = 0.5;

/// Dimensions of a case before those of torque and curve.
const IDLE: usize = 0;
const FRICTION: usize = 1;
const CHANGE: usize = 2;
const FIRST_TORQUE: usize = 3;
/// Dimensions kept for torque parameters, taken or not, so that one more or less leaves the curves as they were.
const TORQUE: usize = 3;

/// Shares that hang, for each change asked about.
pub struct Shares {
    /// In the order of the changes.
    pub hanging: Vec<Chance>,
    /// Share of cases that could not idle at the speed seen after the first change \[1\].
    pub left_out: f64,
}

/// What is done to a law; the number is a standard normal deviate for the doubt of doing it. `None` where it cannot be done.
pub type Change<'a> = &'a (dyn Fn(&Law, f64) -> Option<Law> + Sync);

/// Nothing is done.
pub fn as_found(law: &Law, _: f64) -> Option<Law> {
    Some(law.clone())
}

/// Counts the cases that hang after each change, with the stop reset to the idle.
/// A case that cannot idle at its speed after a change is left out of that change's count.
pub fn shares(machine: &Machine, curve: &CurveStudy, model: &EngineModel, idle_rad_s: (f64, f64), changes: &[Change]) -> Shares {
    let normals = curve.cylinders.iter().map(|c| c.doubt.normals()).max().unwrap_or(0);
    let cube = LatinHypercube::new(CASES, FIRST_TORQUE + TORQUE + normals, SEED);
    let outcomes: Vec<Vec<Option<bool>>> = (0..cube.cases())
        .into_par_iter()
        .map(|case| {
            let z = |dimension: usize| cube.normal(case, dimension);
            let drawn: Vec<f64> = (0..normals).map(|i| z(FIRST_TORQUE + TORQUE + i)).collect();
            let laws: Vec<Law> = curve.cylinders.iter().map(|c| c.doubt.draw(&drawn).unwrap_or_else(|| c.law.clone())).collect();
            let torque: Vec<f64> = model.parameters().map(|p| HALF_WIDTHS * z(FIRST_TORQUE + place(p))).collect();
            let friction = &machine.engine.friction_factor;
            let subject = Subject {
                maps: model.varied(&torque),
                laws,
                friction_factor: (friction.si + z(FRICTION) * friction.standard_uncertainty_si()).max(LEAST_FRICTION),
            };
            let idle = idle_rad_s.0 + z(IDLE) * idle_rad_s.1;
            changes.iter().map(|change| hangs(&subject, machine, model, idle, *change, z(CHANGE))).collect()
        })
        .collect();
    let hanging = (0..changes.len())
        .map(|i| {
            let of = outcomes.iter().filter(|o| o[i].is_some()).count();
            let hanging = outcomes.iter().filter(|o| o[i] == Some(true)).count();
            let (low, high) = wilson(hanging, of);
            Chance { hanging, of, low, high }
        })
        .collect();
    let left_out = outcomes.iter().filter(|o| o.first() == Some(&None)).count() as f64 / CASES as f64;
    Shares { hanging, left_out }
}

/// A parameter's dimension.
fn place(parameter: Parameter) -> usize {
    match parameter {
        Parameter::BurnFactor | Parameter::FrictionFactor => 0,
        Parameter::RunnerVolume => 1,
        Parameter::Overlap => 2,
    }
}

/// Does this engine have a second stable rest above its idle after a change? `None` where it cannot idle.
fn hangs(subject: &Subject, machine: &Machine, model: &EngineModel, idle: f64, change: Change, z: f64) -> Option<bool> {
    let changed = Subject {
        maps: subject.maps.clone(),
        laws: subject.laws.iter().map(|l| change(l, z)).collect::<Option<_>>()?,
        friction_factor: subject.friction_factor,
    };
    changed.run(machine, model, |running| match running.opening_for(idle) {
        Hold::At { opening_m2, .. } => Some(running.stable_above(idle * APART, opening_m2).is_some()),
        _ => None,
    })
}
