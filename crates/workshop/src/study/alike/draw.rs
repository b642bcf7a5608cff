//! Engines drawn within every stated ±.

use crate::{
    machine::{IdleSeen, Machine},
    sampling::LatinHypercube,
    study::{curve::CurveStudy, judge::Subject, model::EngineModel},
};
use physics::law::Law;

/// Engines that are drawn: enough that no share of a cause moves by more than 0.01 with another seed (four seeds on the demo).
pub const ENGINES: usize = 24;
/// Seed of the draws. Any number would do; it is fixed so that the same job gives the same sheet.
const SEED: u64 = 46;
/// Least factor on friction in a draw \[1\], so that a wide ± cannot turn friction into drive (own choice).
const LEAST_FRICTION: f64 = 0.1;
/// Half-widths per standard uncertainty \[1\]: a ± is two of them (JCGM 100:2008, 6.2).
const HALF_WIDTHS: f64 = 0.5;
/// Dimensions of a draw before those of the torque's parameters.
const IDLE: usize = 0;
const FRICTION: usize = 1;
const FIRST: usize = 2;

/// A drawn engine and the idle speed that it was seen to have.
pub struct Engine<'a> {
    /// The engine.
    pub subject: Subject<'a>,
    /// Its idle speed [rad/s].
    pub idle_rad_s: f64,
}

/// One of [`ENGINES`] engines; the first is as given.
pub fn engine<'a>(machine: &Machine, curve: &CurveStudy, model: &'a EngineModel, seen: &IdleSeen, index: usize) -> Engine<'a> {
    let stated = || curve.cylinders.iter().map(|c| c.law.clone()).collect::<Vec<Law>>();
    let Some(case) = index.checked_sub(1) else {
        return Engine { subject: Subject::nominal(machine, model, stated()), idle_rad_s: seen.speed.si };
    };
    let parameters = model.parameters().count();
    let normals = curve.cylinders.iter().map(|c| c.doubt.normals()).max().unwrap_or(0);
    let cube = LatinHypercube::new(ENGINES - 1, FIRST + parameters + normals, SEED);
    let z = |dimension: usize| cube.normal(case, dimension);
    let torque: Vec<f64> = (0..parameters).map(|p| HALF_WIDTHS * z(FIRST + p)).collect();
    let drawn: Vec<f64> = (0..normals).map(|n| z(FIRST + parameters + n)).collect();
    let laws = curve.cylinders.iter().map(|c| c.doubt.draw(&drawn).unwrap_or_else(|| c.law.clone())).collect();
    let friction = &machine.engine.friction_factor;
    let friction_factor = (friction.si + z(FRICTION) * friction.standard_uncertainty_si()).max(LEAST_FRICTION);
    Engine {
        subject: Subject { maps: model.varied(&torque), laws, friction_factor },
        idle_rad_s: seen.speed.si + z(IDLE) * seen.speed.standard_uncertainty_si(),
    }
}
