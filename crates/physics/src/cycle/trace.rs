//! One settled cycle step by step.

use super::{
    engine::{MOST_SHARED, PLACE_RAD, PLACES, Prepared},
    kernel::{Point, State, cyl, phase},
    steady::{Operating, Settled, one_cycle, settle_kept},
};
use std::f64::consts::TAU;

/// One step of a traced cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// After firing top dead centre [rad], above −2π and up to 2π.
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
    /// Summary, the mean over the cylinders of one plenum.
    pub settled: Settled,
    /// Every step.
    pub samples: Vec<Sample>,
}

/// Runs to the settled state and gives the last cycle of the first cylinder.
pub fn trace(p: &Prepared, at: Operating) -> Trace {
    trace_each(p, at, &[]).swap_remove(0)
}

/// The same for every cylinder on one inlet, each with its own advance [rad]; where there are fewer advances than cylinders, the others have
/// that of `at`. Cylinders with throttles of their own know nothing of each other: then there is one trace, with the first advance.
pub fn trace_each(p: &Prepared, at: Operating, advance_rad: &[f64]) -> Vec<Trace> {
    let advance = advances(at, advance_rad);
    let (settled, samples) = by_cylinders(p, at, &advance);
    let trace = |(samples, advance_rad): (_, &f64)| Trace { at: Operating { advance_rad: *advance_rad, ..at }, settled, samples };
    samples.into_iter().zip(&advance).map(trace).collect()
}

/// The first firing after turning without a spark: fresh charge and no residual, as at the first kick. Of several cylinders on a plenum
/// the first fires first.
pub fn first_firing(p: &Prepared, at: Operating) -> Trace {
    let [fired] = first_firings(p, at, [at.advance_rad]);
    fired
}

/// The same at several advances [rad], each after the same turning.
pub fn first_firings<const N: usize>(p: &Prepared, at: Operating, advance_rad: [f64; N]) -> [Trace; N] {
    match p.on_one_inlet() {
        1 => after_turning::<1, N>(p, at, advance_rad),
        2 => after_turning::<2, N>(p, at, advance_rad),
        3 => after_turning::<3, N>(p, at, advance_rad),
        _ => after_turning::<4, N>(p, at, advance_rad),
    }
}

fn after_turning<const CYL: usize, const N: usize>(p: &Prepared, at: Operating, advance_rad: [f64; N]) -> [Trace; N] {
    let motored = advances(Operating { advance_rad: crate::kickback::NO_SPARK, ..at }, &[]);
    let (settled, [_, after]) = settle_kept::<CYL>(p, &at, &motored);
    advance_rad.map(|advance_rad| {
        let mut firing = motored;
        firing[0] = advance_rad;
        let samples = next_cycle(p, &at, &firing, after).into_iter().next().unwrap_or_default();
        Trace { at: Operating { advance_rad, ..at }, settled, samples }
    })
}

fn advances(at: Operating, given: &[f64]) -> [f64; MOST_SHARED] {
    std::array::from_fn(|c| given.get(c).copied().unwrap_or(at.advance_rad))
}

/// A settled point and the samples of its last cycle, a row for every cylinder.
fn by_cylinders(p: &Prepared, at: Operating, advance_rad: &[f64; MOST_SHARED]) -> (Settled, Vec<Vec<Sample>>) {
    match p.on_one_inlet() {
        1 => follow::<1>(p, &at, advance_rad),
        2 => follow::<2>(p, &at, advance_rad),
        3 => follow::<3>(p, &at, advance_rad),
        _ => follow::<4>(p, &at, advance_rad),
    }
}

fn follow<const CYL: usize>(p: &Prepared, at: &Operating, advance_rad: &[f64; MOST_SHARED]) -> (Settled, Vec<Vec<Sample>>) {
    let (settled, [before, _]) = settle_kept::<CYL>(p, at, advance_rad);
    (settled, next_cycle(p, at, advance_rad, before))
}

/// The samples of the cycle that follows on a state, a row for every cylinder.
fn next_cycle<const CYL: usize>(
    p: &Prepared,
    at: &Operating,
    advance_rad: &[f64; MOST_SHARED],
    mut state: State<f64, CYL>,
) -> Vec<Vec<Sample>> {
    let plan = p.plan(at.speed_rad_s, at.opening_m2, 0);
    let mut point = Point::<f64, CYL>::new(at.speed_rad_s, at.opening_m2);
    point.set(0, at, advance_rad);
    let mut samples = vec![Vec::with_capacity(plan.len()); CYL];
    one_cycle(p, &point, &plan, &mut state, |at, state| {
        for (c, samples) in samples.iter_mut().enumerate() {
            samples.push(sample(p, phase(p, c, at), &state.cyl[c]));
        }
    });
    // Each cylinder's own cycle from its gas-exchange top dead centre on, its work counted from there.
    for row in &mut samples {
        let whole = row.last().map_or(0.0, |s| s.work_j);
        let turn = (0..row.len()).min_by(|a, b| row[*a].angle_rad.total_cmp(&row[*b].angle_rad)).unwrap_or(0);
        let before = if turn > 0 { row[turn - 1].work_j } else { 0.0 };
        row.iter_mut().enumerate().for_each(|(k, s)| s.work_j += if k < turn { whole } else { 0.0 } - before);
        row.rotate_left(turn);
    }
    samples
}

fn sample(p: &Prepared, phase: usize, x: &[f64; cyl::COUNT]) -> Sample {
    let place = &p.places[phase];
    // The end of a cycle, not the start of the next.
    let place_index = if phase == 0 { PLACES } else { phase };
    let r = p.fresh.gas_constant + x[cyl::BURNED] / x[cyl::MASS] * (p.burned.gas_constant - p.fresh.gas_constant);
    Sample {
        angle_rad: -TAU + place_index as f64 * PLACE_RAD,
        volume_m3: place.volume,
        pressure_pa: x[cyl::MASS] * r * x[cyl::T] / place.volume,
        temperature_k: x[cyl::T],
        unburned_k: x[cyl::T_UNBURNED],
        burned: x[cyl::FLAME],
        work_j: x[cyl::WORK],
    }
}
