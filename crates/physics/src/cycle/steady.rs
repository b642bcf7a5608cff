//! Repeats the cycle until it settles.

use super::{
    accounts::Contents,
    body::Body,
    engine::{MOST_SHARED, Prepared, Step},
    kernel::{Point, State, cyl, run},
    rows::{Place, Rows},
    tell::Tell,
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
    /// Time steps of the last cycle that were cut short because a body of gas, emptied within them, did not bear them: the crank went further
    /// than the gas.
    pub cut_short: usize,
    /// The torque repeated itself within [`SETTLED`](super::SETTLED), and no step was cut short; otherwise it is the mean of the last cycles.
    pub settled: bool,
    /// Cycles that were run.
    pub cycles: usize,
}

/// Mean pressure whose work is the least scale on which a change of work is judged [Pa] (own choice).
const LEAST_MEAN_PRESSURE_PA: f64 = 0.5e5;

/// Called after every cycle with the number of points that settled in it; `false` stops.
type Watch<'a> = &'a mut dyn FnMut(usize) -> bool;

/// A point to be run, each cylinder of a plenum with an advance of its own.
#[derive(Clone, Copy, Debug)]
struct Spot {
    at: Operating,
    advance_rad: [f64; MOST_SHARED],
}

impl From<Operating> for Spot {
    fn from(at: Operating) -> Self {
        Self { at, advance_rad: [at.advance_rad; MOST_SHARED] }
    }
}

/// One operating point.
pub fn settle(p: &Prepared, at: Operating) -> Settled {
    one(p, at.into())
}

/// One operating point of cylinders on a shared plenum, each with its own advance [rad]; where there are fewer advances than cylinders, the
/// others have that of `at`. The result is the cylinders' mean.
pub fn settle_each(p: &Prepared, at: Operating, advance_rad: &[f64]) -> Settled {
    let mut spot = Spot::from(at);
    spot.advance_rad.iter_mut().zip(advance_rad).for_each(|(to, from)| *to = *from);
    one(p, spot)
}

fn one(p: &Prepared, spot: Spot) -> Settled {
    by_cylinders::<f64, 1>(p, &[vec![spot]], &mut |_| true)[0][0]
}

/// One operating point of `CYL` cylinders on an inlet, each with its advance [rad]: what it comes to, and the states before and after its last cycle.
pub(super) fn settle_kept<const CYL: usize>(
    p: &Prepared,
    at: &Operating,
    advance_rad: &[f64; MOST_SHARED],
) -> (Settled, [State<f64, CYL>; 2]) {
    let plan = p.plan(at.speed_rad_s, at.opening_m2, 0);
    let mut point = Point::<f64, CYL>::new(at.speed_rad_s, at.opening_m2);
    point.set(0, at, advance_rad);
    let mut state = State::start(p, &point);
    let mut tell = Tell::default();
    loop {
        let before = state;
        one_cycle(p, &point, &plan, &mut state, |_, _| ());
        hear(p, &mut tell, &state, 0);
        if tell.done {
            return (summary(p, at, &tell, &before, &state, 0), [before, state]);
        }
    }
}

/// Tells what lane `i` did in a cycle.
#[inline(always)]
fn hear<V: Lanes, const CYL: usize>(p: &Prepared, tell: &mut Tell, state: &State<V, CYL>, i: usize) {
    let work = state.cyl.iter().map(|x| x[cyl::WORK].lane(i)).sum::<f64>() / CYL as f64;
    let residual = state.memory.iter().map(|memory| memory.residual.lane(i)).sum::<f64>() / CYL as f64;
    let charge = state.run[run::DRAWN].lane(i) / CYL as f64;
    tell.hear(work, charge, residual, LEAST_MEAN_PRESSURE_PA * p.swept, state.cut_short.lane(i) > 0.0);
}

/// Eight operating points in vector lanes. The result has the same bits whatever the processor's vectors are.
pub fn settle_eight(p: &Prepared, at: &[Operating; 8]) -> [Settled; 8] {
    let settled = settle_walks(p, &at.map(|at| vec![at]), &mut |_| true);
    std::array::from_fn(|i| settled[i][0])
}

/// Rows of operating points in eight vector lanes, every lane at its own pace from point to point: each point starts from the settled state
/// of the one before it and so settles sooner. A lane at the end of its row turns round into the row after it, or else helps the row with the
/// most left, from its far end. `watch` is called after every cycle with the number of points that were settled in it; when it returns
/// `false` all stops and the rows are left short. No row may be empty.
pub fn settle_walks(p: &Prepared, walks: &[Vec<Operating>], watch: Watch) -> Vec<Vec<Settled>> {
    let walks: Vec<Vec<Spot>> = walks.iter().map(|walk| walk.iter().map(|at| (*at).into()).collect()).collect();
    #[cfg(target_arch = "x86_64")]
    {
        if has_avx512() {
            // SAFETY: the features were just detected.
            return unsafe { with_avx512(p, &walks, watch) };
        }
        if std::is_x86_feature_detected!("avx2") {
            // SAFETY: the feature was just detected.
            return unsafe { with_avx2(p, &walks, watch) };
        }
    }
    by_cylinders::<f64, 8>(p, &walks, watch)
}

/// The vector instructions that [`settle_walks`] uses here.
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

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx512f,avx512dq,avx512vl")]
fn with_avx512(p: &Prepared, walks: &[Vec<Spot>], watch: Watch) -> Vec<Vec<Settled>> {
    by_cylinders::<Eight, 1>(p, walks, watch)
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn with_avx2(p: &Prepared, walks: &[Vec<Spot>], watch: Watch) -> Vec<Vec<Settled>> {
    by_cylinders::<Four, 2>(p, walks, watch)
}

#[inline(always)]
fn by_cylinders<V: Lanes, const REGISTERS: usize>(p: &Prepared, walks: &[Vec<Spot>], watch: Watch) -> Vec<Vec<Settled>> {
    match p.on_one_inlet() {
        1 => repeat::<V, REGISTERS, 1>(p, walks, watch),
        2 => repeat::<V, REGISTERS, 2>(p, walks, watch),
        3 => repeat::<V, REGISTERS, 3>(p, walks, watch),
        _ => repeat::<V, REGISTERS, 4>(p, walks, watch),
    }
}

/// Runs one cycle of the first cylinder. Returns with the accumulators of that cycle in the state.
#[inline(always)]
pub(super) fn one_cycle<V: Lanes, const CYL: usize>(
    p: &Prepared,
    point: &Point<V, CYL>,
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
    state.cut_short = V::splat(0.0);
    for step in plan {
        state.step(p, point, step);
        watch(step.from + step.stride, state);
    }
}

/// Energy [J] and mass [kg] held in cylinders and runner.
pub(super) fn held<V: Lanes, const CYL: usize>(p: &Prepared, state: &State<V, CYL>, i: usize) -> (f64, f64) {
    // From the temperatures, so that what they miss of the accounts shows.
    let of = |[m, energy, burned, near]: [V; 4]| {
        let [m, burned] = [m, burned].map(|x| x.lane(i));
        let t = Body::new(p, [m, energy.lane(i), burned, near.lane(i)], 1.0, 0.0).t;
        let (of_fresh, of_burned) = (p.fresh.at(t).energy, p.burned.at(t).energy);
        (m * of_fresh + burned * (of_burned - of_fresh), m)
    };
    let r = &state.run;
    let mut sum = of([r[run::MASS], r[run::ENERGY], r[run::BURNED], r[run::T]]);
    for x in &state.cyl {
        let (e, m) = of([x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED], x[cyl::T]]);
        sum = (sum.0 + e, sum.1 + m);
    }
    sum
}

/// Runs cycles until every lane has come to the end of its row. The lanes lie `V::COUNT` to a register, `REGISTERS` registers run in step.
#[inline(always)]
fn repeat<V: Lanes, const REGISTERS: usize, const CYL: usize>(
    p: &Prepared,
    walks: &[Vec<Spot>],
    watch: Watch,
) -> Vec<Vec<Settled>> {
    let all = || walks.iter().flatten();
    let slowest = all().map(|spot| spot.at.speed_rad_s).fold(f64::INFINITY, f64::min);
    let widest = all().map(|spot| spot.at.opening_m2).fold(0.0, f64::max);
    let plan = p.plan(slowest, widest, 0);
    let lanes = REGISTERS * V::COUNT;
    let mut rows = Rows::new(walks.iter().map(Vec::len));
    let mut stands: Vec<Option<Place>> = (0..lanes).map(|lane| rows.first(lane, lanes)).collect();
    let mut points = [Point::new(V::splat(1.0), V::splat(0.0)); REGISTERS];
    for (lane, stand) in stands.iter().enumerate() {
        // A lane without work runs what the first has.
        let spot = stand.map_or(&walks[0][0], |place| &walks[place.row][place.index]);
        points[lane / V::COUNT].set(lane % V::COUNT, &spot.at, &spot.advance_rad);
    }
    let mut states = [State::<V, CYL>::start(p, &points[0]); REGISTERS];
    for (state, point) in states.iter_mut().zip(&points) {
        *state = State::start(p, point);
    }
    let mut tells = vec![Tell::default(); lanes];
    let mut marks: Vec<Option<Mark<CYL>>> = vec![None; lanes];
    let mut settled: Vec<Vec<Option<Settled>>> = walks.iter().map(|walk| vec![None; walk.len()]).collect();
    loop {
        let before = states;
        for (state, point) in states.iter_mut().zip(&points) {
            one_cycle(p, point, &plan, state, |_, _| ());
        }
        let mut news = 0;
        for (lane, (stand, tell)) in stands.iter_mut().zip(&mut tells).enumerate() {
            let Some(place @ Place { row, index, .. }) = *stand else { continue };
            let (register, i) = (lane / V::COUNT, lane % V::COUNT);
            let state = &states[register];
            hear(p, tell, state, i);
            if tell.done {
                settled[row][index] = Some(summary(p, &walks[row][index].at, tell, &before[register], state, i));
                let was_settled = tell.settled;
                *tell = tell.next();
                news += 1;
                *stand = rows.next(place);
                if let Some(next) = *stand {
                    let spot = &walks[next.row][next.index];
                    points[register].set(i, &spot.at, &spot.advance_rad);
                    let here = Mark { row, index, held: states[register].held_of(i) };
                    let on = marks[lane].as_ref().filter(|_| was_settled).and_then(|last| here.onward(last, &next));
                    if let Some(on) = on {
                        states[register].set_held(i, &on);
                    }
                    marks[lane] = was_settled.then_some(here);
                }
            }
        }
        if !watch(news) || stands.iter().all(Option::is_none) {
            return settled.into_iter().map(|row| row.into_iter().map_while(|point| point).collect()).collect();
        }
    }
}

/// Where a lane settled, and with what in cylinders and runner.
#[derive(Clone)]
struct Mark<const CYL: usize> {
    row: usize,
    index: usize,
    held: Contents<CYL>,
}

impl<const CYL: usize> Mark<CYL> {
    /// What to start the next point with, if the last three lie on a row in equal steps: the change goes on as it went.
    fn onward(&self, last: &Self, next: &Place) -> Option<Contents<CYL>> {
        let steps = |from: usize, to: usize| to as isize - from as isize;
        let equal =
            self.row == last.row && next.row == self.row && steps(last.index, self.index) == steps(self.index, next.index);
        if !equal {
            return None;
        }
        let mut on = self.held;
        for (on, last) in on.cyl.iter_mut().flatten().chain(&mut on.run).zip(last.held.cyl.iter().flatten().chain(&last.held.run))
        {
            let change = *on - last;
            if change.abs() > MOST_AHEAD * on.abs() {
                return None;
            }
            *on += change;
        }
        Some(on)
    }
}

/// Greatest change from point to point that is taken to go on [1] (own choice).
const MOST_AHEAD: f64 = 0.2;

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
        peak_pa: mean(&|c| after.memory[c].last.peak.lane(i)),
        peak_at_rad: mean(&|c| after.memory[c].last.peak_at.lane(i)),
        half_burned_rad: mean(&|c| after.memory[c].last.half_at.lane(i)),
        burned_share: mean(&|c| after.memory[c].last.burned.lane(i)),
        runner_pa: after.run[run::PRESSURE].lane(i) / (2.0 * TAU),
        energy_left_over: energy / (scale * heat_of_charge),
        mass_left_over: mass / scale,
        cut_short: after.cut_short.lane(i) as usize,
        settled: tell.settled,
        cycles: tell.cycles(),
    }
}
