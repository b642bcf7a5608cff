//! Repeats the cycle until it settles.

use super::{
    engine::{MOST_SHARED, Prepared, Step},
    kernel::{Point, State, cyl, run},
};
use crate::lanes::Lanes;
#[cfg(target_arch = "x86_64")]
use crate::lanes::{Eight, Four};
use std::f64::consts::{PI, TAU};

/// An operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Operating {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Effective flow area of the throttle [m²].
    pub opening_m2: f64,
    /// Spark advance [rad before firing top dead centre].
    pub advance_rad: f64,
}

/// The settled cycle at one operating point; means over the cylinders of one plenum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Mean torque of the gas, gas exchange included, one cylinder [N·m].
    pub torque_nm: f64,
    /// Charge drawn through the throttle per cylinder [kg/s].
    pub charge_kg_s: f64,
    /// Burned mass fraction of the charge at the spark [1].
    pub residual: f64,
    /// Peak pressure [Pa].
    pub peak_pa: f64,
    /// Where, after firing top dead centre [rad].
    pub peak_at_rad: f64,
    /// Where half the charge has burned, after firing top dead centre [rad]; NaN where less burns.
    pub half_burned_rad: f64,
    /// Share of the charge that burns before the inlet opens [1].
    pub burned_share: f64,
    /// Mean pressure behind the throttle [Pa].
    pub runner_pa: f64,
    /// Energy that the balance of the last cycle leaves over, as a share of the charge's burning heat [1].
    pub energy_left_over: f64,
    /// Mass that the balance of the last cycle leaves over, as a share of the charge [1].
    pub mass_left_over: f64,
    /// The torque repeated itself within [`SETTLED`]; otherwise it is the mean of the last cycles.
    pub settled: bool,
    /// Cycles that were run.
    pub cycles: usize,
}

/// What a settled point may still be off by [1] (own choice), as a share of the cycle's work (of the work of 0.5 bar mean pressure if that is more) and of its
/// charge: half of the 0.2 % wanted. Estimated from the last two changes as a geometric series.
pub const SETTLED: f64 = 1e-3;
const LEAST_MEAN_PRESSURE_PA: f64 = 0.5e5;
/// Cycles after which a point that does not close in steadily counts as not settling: it alternates, as engines near misfire do.
const ENOUGH_CYCLES: usize = 12;
/// Most cycles for one that does: a large plenum behind a small opening fills slowly.
const MOST_CYCLES: usize = 120;
/// Cycles in the mean that is given then: even, so that a cycle that alternates is averaged fairly.
const MEAN_OF: usize = 8;

/// One operating point.
pub fn settle(p: &Prepared, at: Operating) -> Settled {
    by_cylinders::<f64, 1>(p, &[at], &mut Vec::new())[0]
}

/// Eight operating points in vector lanes, until all have settled. `warm` carries the state from one call to the next, which then settles
/// sooner. The result has the same bits whatever the processor's vectors are.
pub fn settle_eight(p: &Prepared, at: &[Operating; 8], warm: &mut Warm) -> [Settled; 8] {
    #[cfg(target_arch = "x86_64")]
    {
        if has_avx512() {
            // SAFETY: the features were just detected.
            return eight(unsafe { with_avx512(p, at, &mut warm.0) });
        }
        if std::is_x86_feature_detected!("avx2") {
            // SAFETY: the feature was just detected.
            return eight(unsafe { with_avx2(p, at, &mut warm.0) });
        }
    }
    eight(by_cylinders::<f64, 8>(p, at, &mut warm.0))
}

/// The vector instructions that [`settle_eight`] uses here.
pub fn vectors() -> &'static str {
    #[cfg(target_arch = "x86_64")]
    {
        if has_avx512() {
            return "AVX-512";
        }
        if std::is_x86_feature_detected!("avx2") {
            return "AVX2";
        }
    }
    "none"
}

/// Everything that [`with_avx512`] is compiled for.
#[cfg(target_arch = "x86_64")]
fn has_avx512() -> bool {
    std::is_x86_feature_detected!("avx512f")
        && std::is_x86_feature_detected!("avx512dq")
        && std::is_x86_feature_detected!("avx512vl")
}

fn eight(settled: Vec<Settled>) -> [Settled; 8] {
    std::array::from_fn(|i| settled[i])
}

/// State kept between neighbouring points: every quantity of every lane, in the order of `State::save`.
#[derive(Clone, Debug, Default)]
pub struct Warm(Vec<f64>);

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx512f,avx512dq,avx512vl")]
fn with_avx512(p: &Prepared, at: &[Operating; 8], warm: &mut Vec<f64>) -> Vec<Settled> {
    by_cylinders::<Eight, 1>(p, at, warm)
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn with_avx2(p: &Prepared, at: &[Operating; 8], warm: &mut Vec<f64>) -> Vec<Settled> {
    by_cylinders::<Four, 2>(p, at, warm)
}

#[inline(always)]
fn by_cylinders<V: Lanes, const REGISTERS: usize>(p: &Prepared, at: &[Operating], warm: &mut Vec<f64>) -> Vec<Settled> {
    let shared = if p.engine.shared { p.engine.fires_at_rad.len().min(MOST_SHARED) } else { 1 };
    match shared {
        0 | 1 => repeat::<V, REGISTERS, 1>(p, at, warm),
        2 => repeat::<V, REGISTERS, 2>(p, at, warm),
        3 => repeat::<V, REGISTERS, 3>(p, at, warm),
        _ => repeat::<V, REGISTERS, 4>(p, at, warm),
    }
}

/// Runs one cycle of the first cylinder. Returns with the accumulators of that cycle in the state.
#[inline(always)]
pub(super) fn one_cycle<V: Lanes, const CYL: usize>(
    p: &Prepared,
    point: &Point<V>,
    plan: &[Step],
    state: &mut State<V, CYL>,
    mut watch: impl FnMut(usize, &State<V, CYL>),
) {
    for c in 0..CYL {
        for k in [cyl::WORK, cyl::HEAT, cyl::ENTHALPY_OUT, cyl::MASS_OUT] {
            state.cyl[c][k] = V::splat(0.0);
        }
    }
    for k in [run::DRAWN, run::ENTHALPY_IN, run::PRESSURE] {
        state.run[k] = V::splat(0.0);
    }
    for step in plan {
        state.step(p, point, step);
        watch(step.from + step.stride, state);
    }
}

/// Energy [J] and mass [kg] held in cylinders and runner.
pub(super) fn held<V: Lanes, const CYL: usize>(p: &Prepared, state: &State<V, CYL>, i: usize) -> (f64, f64) {
    // From the temperatures, so that what they miss of the accounts shows.
    let energy = |m: f64, t: f64, burned: f64| {
        let (of_fresh, of_burned) = (p.fresh.at(t).energy, p.burned.at(t).energy);
        m * of_fresh + burned * (of_burned - of_fresh)
    };
    let of = |x: &[V], m: usize, t: usize, b: usize| (energy(x[m].lane(i), x[t].lane(i), x[b].lane(i)), x[m].lane(i));
    let mut sum = of(&state.run, run::MASS, run::T, run::BURNED);
    for x in &state.cyl {
        let (e, m) = of(x, cyl::MASS, cyl::T, cyl::BURNED);
        sum = (sum.0 + e, sum.1 + m);
    }
    sum
}

/// Runs cycles until every lane has settled. The lanes lie `V::COUNT` to a register, `REGISTERS` registers run in step.
#[inline(always)]
fn repeat<V: Lanes, const REGISTERS: usize, const CYL: usize>(
    p: &Prepared,
    at: &[Operating],
    warm: &mut Vec<f64>,
) -> Vec<Settled> {
    let lanes = REGISTERS * V::COUNT;
    let least = at.iter().map(|a| a.speed_rad_s).fold(f64::INFINITY, f64::min);
    let widest = at.iter().map(|a| a.opening_m2).fold(0.0, f64::max);
    let plan = p.plan(least, widest);
    let mut points = [Point { speed: V::splat(1.0), throttle: V::splat(0.0), spark: V::splat(0.0) }; REGISTERS];
    for (lane, at) in at.iter().enumerate() {
        let (point, i) = (&mut points[lane / V::COUNT], lane % V::COUNT);
        point.speed.set(i, at.speed_rad_s);
        point.throttle.set(i, at.opening_m2);
        point.spark.set(i, -at.advance_rad);
    }
    let mut states = [State::<V, CYL>::start(p, &points[0]); REGISTERS];
    for (state, point) in states.iter_mut().zip(&points) {
        *state = State::start(p, point);
    }
    let size = State::<V, CYL>::SIZE;
    if warm.len() == lanes * size {
        for lane in 0..lanes {
            states[lane / V::COUNT].load(lane % V::COUNT, &warm[lane * size..][..size]);
        }
    }
    let least_work = LEAST_MEAN_PRESSURE_PA * p.swept;
    let mut lane_tells = vec![Tell::default(); lanes];
    let mut before = states;
    for cycle in 1..=MOST_CYCLES {
        before = states;
        for (state, point) in states.iter_mut().zip(&points) {
            one_cycle(p, point, &plan, state, |_, _| ());
        }
        for (lane, tell) in lane_tells.iter_mut().enumerate() {
            let (state, i) = (&states[lane / V::COUNT], lane % V::COUNT);
            let work = state.cyl.iter().map(|x| x[cyl::WORK].lane(i)).sum::<f64>() / CYL as f64;
            tell.hear(work, state.run[run::DRAWN].lane(i) / CYL as f64, least_work);
        }
        if lane_tells.iter().all(|tell| tell.settled || (cycle >= ENOUGH_CYCLES && !tell.closing_in())) {
            break;
        }
    }
    warm.clear();
    for lane in 0..lanes {
        states[lane / V::COUNT].save(lane % V::COUNT, warm);
    }
    (0..lanes)
        .map(|lane| {
            let (register, i) = (lane / V::COUNT, lane % V::COUNT);
            summary(p, &at[lane], &lane_tells[lane], &before[register], &states[register], i)
        })
        .collect()
}

/// Work and charge of one lane, cycle after cycle.
#[derive(Clone, Debug, Default)]
struct Tell {
    works: Vec<f64>,
    charges: Vec<f64>,
    settled: bool,
}

impl Tell {
    fn hear(&mut self, work: f64, charge: f64, least_work: f64) {
        self.works.push(work);
        self.charges.push(charge);
        self.settled = near_its_limit(&self.works, least_work) && near_its_limit(&self.charges, 0.0);
    }

    /// The last two changes of work have one sign and shrink.
    fn closing_in(&self) -> bool {
        let [.., a, b, c] = self.works.as_slice() else { return true };
        let (first, second) = (b - a, c - b);
        first * second > 0.0 && second.abs() < first.abs()
    }

    /// Work and charge of the settled cycle, or means of the last ones.
    fn result(&self) -> (f64, f64) {
        let tail = if self.settled { 1 } else { MEAN_OF.min(self.works.len()) };
        let mean = |x: &[f64]| x[x.len() - tail..].iter().sum::<f64>() / tail as f64;
        (mean(&self.works), mean(&self.charges))
    }
}

/// Has a sequence come within [`SETTLED`] of its limit, if its changes go on shrinking as they do now?
fn near_its_limit(x: &[f64], least_scale: f64) -> bool {
    /// Shrinking slower than this from cycle to cycle [1] is not taken for converging at all (own choice).
    const SLOWEST: f64 = 0.97;
    let [.., a, b, c] = *x else { return false };
    let (before, last) = ((b - a).abs(), (c - b).abs());
    let scale = SETTLED * c.abs().max(least_scale);
    let shrinks = if before > 0.0 { last / before } else { 0.0 };
    // Two changes this small in a row are settled whichever way they go.
    before.max(last) < 0.3 * scale || (shrinks < SLOWEST && last < 2.0 * scale && last * shrinks < scale * (1.0 - shrinks))
}

/// What one lane's last cycle, from `before` to `after`, amounts to.
fn summary<V: Lanes, const CYL: usize>(
    p: &Prepared,
    at: &Operating,
    tell: &Tell,
    before: &State<V, CYL>,
    after: &State<V, CYL>,
    i: usize,
) -> Settled {
    let (work, charge) = tell.result();
    let mean = |f: &dyn Fn(usize) -> f64| (0..CYL).map(f).sum::<f64>() / CYL as f64;
    let (energy_before, mass_before) = held(p, before, i);
    let (energy_after, mass_after) = held(p, after, i);
    let sum = |k: usize| after.cyl.iter().map(|x| x[k].lane(i)).sum::<f64>();
    let energy = energy_after - energy_before - after.run[run::ENTHALPY_IN].lane(i)
        + sum(cyl::ENTHALPY_OUT)
        + sum(cyl::HEAT)
        + sum(cyl::WORK);
    let drawn = after.run[run::DRAWN].lane(i);
    let mass = mass_after - mass_before - drawn + sum(cyl::MASS_OUT);
    let ambient_k = p.engine.ambient_k;
    let heat_of_charge = p.ambient_enthalpy - p.burned.at(ambient_k).energy - p.burned.gas_constant * ambient_k;
    let scale = drawn.abs().max(1e-3 * p.engine.ambient_pa * p.swept / p.ambient_rt);
    Settled {
        torque_nm: work / (4.0 * PI),
        charge_kg_s: charge * at.speed_rad_s / (4.0 * PI),
        residual: mean(&|c| after.memory[c].residual.lane(i)),
        peak_pa: mean(&|c| after.memory[c].peak.lane(i)),
        peak_at_rad: mean(&|c| after.memory[c].peak_at.lane(i)),
        half_burned_rad: mean(&|c| after.memory[c].half_at.lane(i)),
        burned_share: mean(&|c| after.memory[c].burned_share.lane(i)),
        runner_pa: after.run[run::PRESSURE].lane(i) / (2.0 * TAU),
        energy_left_over: energy / (scale * heat_of_charge),
        mass_left_over: mass / scale,
        settled: tell.settled,
        cycles: tell.works.len(),
    }
}
