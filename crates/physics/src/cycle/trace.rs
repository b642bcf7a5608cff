//! One settled cycle step by step, and the advance for best torque.

use super::{
    engine::{PLACE_RAD, Prepared},
    kernel::{Point, State, cyl, phase},
    steady::{Operating, Settled, Warm, one_cycle, settle, settle_eight},
};
use std::f64::consts::TAU;

/// One step of a traced cycle, first cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// After firing top dead centre [rad], from −2π to 2π.
    pub angle_rad: f64,
    /// Volume [m³].
    pub volume_m3: f64,
    /// Pressure [Pa].
    pub pressure_pa: f64,
    /// Mean temperature [K].
    pub temperature_k: f64,
    /// Temperature of the unburned gas [K]; equal to the mean one up to the spark.
    pub unburned_k: f64,
    /// Share of the charge that the flame has burned [1].
    pub burned: f64,
    /// Work done on the piston since the start of the cycle [J].
    pub work_j: f64,
}

/// A settled cycle in detail.
#[derive(Clone, Debug)]
pub struct Trace {
    /// Operating point.
    pub at: Operating,
    /// Summary.
    pub settled: Settled,
    /// Every step.
    pub samples: Vec<Sample>,
}

/// Runs to the settled state and follows one more cycle. Exact for cylinders with throttles of their own; a shared plenum is traced as
/// if its first cylinder drew on all of it alone.
pub fn trace(p: &Prepared, at: Operating) -> Trace {
    let settled = settle(p, at);
    let mut state = State::<f64, 1>::start(p, &point(at));
    run(p, at, settled.cycles.saturating_sub(1), &mut state);
    Trace { at, settled, samples: follow(p, at, &mut state) }
}

/// The first firing after turning without a spark: fresh charge and no residual, as at the first kick.
pub fn first_firing(p: &Prepared, at: Operating) -> Trace {
    let motored = Operating { advance_rad: crate::kickback::NO_SPARK, ..at };
    let settled = settle(p, motored);
    let mut state = State::<f64, 1>::start(p, &point(at));
    run(p, motored, settled.cycles, &mut state);
    Trace { at, settled, samples: follow(p, at, &mut state) }
}

fn point(at: Operating) -> Point<f64> {
    Point { speed: at.speed_rad_s, throttle: at.opening_m2, spark: -at.advance_rad }
}

fn run(p: &Prepared, at: Operating, cycles: usize, state: &mut State<f64, 1>) {
    let plan = p.plan(at.speed_rad_s, at.opening_m2);
    for _ in 0..cycles {
        one_cycle(p, &point(at), &plan, state, |_, _| ());
    }
}

fn follow(p: &Prepared, at: Operating, state: &mut State<f64, 1>) -> Vec<Sample> {
    let plan = p.plan(at.speed_rad_s, at.opening_m2);
    let mut samples = Vec::with_capacity(plan.len());
    one_cycle(p, &point(at), &plan, state, |place_index, state| {
        let x = &state.cyl[0];
        let place = &p.places[phase(p, 0, place_index)];
        let r = p.fresh.gas_constant + x[cyl::BURNED] * (p.burned.gas_constant - p.fresh.gas_constant);
        samples.push(Sample {
            angle_rad: -TAU + place_index as f64 * PLACE_RAD,
            volume_m3: place.volume,
            pressure_pa: x[cyl::MASS] * r * x[cyl::T] / place.volume,
            temperature_k: x[cyl::T],
            unburned_k: x[cyl::T_UNBURNED],
            burned: x[cyl::FLAME],
            work_j: x[cyl::WORK],
        });
    });
    samples
}

/// Least and greatest advance searched by [`best_advance`] [rad] (own choice): beyond both nothing burns with profit.
const SEARCH: (f64, f64) = (-15.0 * TAU / 360.0, 70.0 * TAU / 360.0);

/// The advance for most torque at a speed and opening, and the settled cycle there.
///
/// Eight advances at a time in vector lanes, three rounds round the best one: to within 0.5°.
pub fn best_advance(p: &Prepared, speed_rad_s: f64, opening_m2: f64) -> (f64, Settled) {
    let (mut low, mut high) = SEARCH;
    let mut best = (low, None::<Settled>);
    for _ in 0..3 {
        let at: [Operating; 8] = std::array::from_fn(|i| Operating {
            speed_rad_s,
            opening_m2,
            advance_rad: low + (high - low) * i as f64 / 7.0,
        });
        let settled = settle_eight(p, &at, &mut Warm::default());
        let i = (0..8).max_by(|a, b| settled[*a].torque_nm.total_cmp(&settled[*b].torque_nm)).unwrap_or(0);
        best = (at[i].advance_rad, Some(settled[i]));
        let step = (high - low) / 7.0;
        (low, high) = ((at[i].advance_rad - step).max(SEARCH.0), (at[i].advance_rad + step).min(SEARCH.1));
    }
    (best.0, best.1.expect("three rounds were run"))
}
