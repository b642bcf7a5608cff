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
        let r = p.fresh.gas_constant + x[cyl::BURNED] / x[cyl::MASS] * (p.burned.gas_constant - p.fresh.gas_constant);
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

/// Half of the range over which torque round its best is taken for a parabola [rad]: ±6°, where it falls by about 1 % (own choice).
const ROUND_BEST: f64 = 6.0 * TAU / 360.0;

/// The advance for most torque at a speed and opening, and the settled cycle there.
///
/// Eight advances at a time in vector lanes: over the whole search, round the best of those, and then a least-squares parabola, because
/// torque is so flat there that the best of single points is chance.
pub fn best_advance(p: &Prepared, speed_rad_s: f64, opening_m2: f64) -> (f64, Settled) {
    let torques = |low: f64, high: f64| {
        let at: [Operating; 8] =
            std::array::from_fn(|i| Operating { speed_rad_s, opening_m2, advance_rad: low + (high - low) * i as f64 / 7.0 });
        let settled = settle_eight(p, &at, &mut Warm::default());
        std::array::from_fn::<_, 8, _>(|i| (at[i].advance_rad, settled[i].torque_nm))
    };
    let greatest = |points: [(f64, f64); 8]| points.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0.0, |p| p.0);
    let within = |x: f64| x.clamp(SEARCH.0, SEARCH.1);
    let step = (SEARCH.1 - SEARCH.0) / 7.0;
    let rough = greatest(torques(SEARCH.0, SEARCH.1));
    let near = greatest(torques(within(rough - step), within(rough + step)));
    let points = torques(within(near - ROUND_BEST), within(near + ROUND_BEST));
    let middle = 0.5 * (points[0].0 + points[7].0);
    // Even steps about the middle make odd and even terms of the parabola independent.
    let sum = |f: &dyn Fn(f64, f64) -> f64| points.iter().map(|(a, t)| f(a - middle, *t)).sum::<f64>();
    let (two, four) = (sum(&|x, _| x * x), sum(&|x, _| x.powi(4)));
    let slope = sum(&|x, t| x * t) / two;
    let bend = (8.0 * sum(&|x, t| x * x * t) - two * sum(&|_, t| t)) / (8.0 * four - two * two);
    let best = if bend < 0.0 { middle - 0.5 * slope / bend } else { near };
    let advance_rad = best.clamp(points[0].0, points[7].0);
    (advance_rad, settle(p, Operating { speed_rad_s, opening_m2, advance_rad }))
}
