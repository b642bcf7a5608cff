//! The engine turning freely: all cylinders crank-resolved, the crank's speed following from their torque.
//!
//! d(½ J ω²)/dθ = Σ꜀ (p꜀ − p_a) dV꜀/dθ − T_friction(ω) − T_drag
//!
//! p_a is the ambient pressure, which stands under the pistons. Cylinders advance side by side by [`COUPLED`] at a time; within it each makes the steps
//! of its own cycle, at the speed that the crank is expected to have in the middle. The coupling is of second order in its width, and the
//! energies add up exactly at any.
//!
//! Spark and flame are settled 90° before each firing: the advance at the mean speed of the cycle before, since that is what a curve read with strobe and rev
//! counter says, and the factor on the flame's speed that the burn happens to have.
//!
//! Validity: J does not change with the angle, so the to and fro of the pistons' own mass, which matters at high speed, is left out. Friction is the mean one at
//! the present speed.

use super::{
    engine::{Manner, PLACE_RAD, PLACES, Prepared, Step},
    kernel::{Point, State, cyl, phase, run},
    steady::{held, one_cycle},
};
use std::{
    collections::{BTreeMap, VecDeque},
    f64::consts::{FRAC_PI_2, TAU},
};

/// Places by which all cylinders advance together: 1.5° (own choice), as long as the longest time step.
const COUPLED: usize = 12;
/// The same as an angle [rad] (own choice): how often [`turn`] asks what acts from outside.
pub const STRETCH_RAD: f64 = COUPLED as f64 * PLACE_RAD;
/// Place at which spark and flame of the next firing are settled: 90° before firing top dead centre, where no valve is open.
const SETTLED_AT: usize = 3 * PLACES / 8;
/// Cycles at constant speed before the crank is let go (own choice): on the demo twin forty give the same wandering idle to ten digits, and the same way back of a push
/// to four.
const CYCLES_BEFORE: usize = 15;
/// Steps are planned anew when speed or opening has changed by this share [1] (own choice).
const PLAN_SHARE: f64 = 0.1;
/// Speed below which an engine has stopped [rad/s]: 300 1/min, below any kick or starter (own choice).
const STOPPED: f64 = 300.0 * TAU / 60.0;

/// What turns, what brakes it, and when it fires.
#[derive(Clone, Copy)]
pub struct Drive<'a> {
    /// Inertia at the crank [kg·m²].
    pub inertia_kg_m2: f64,
    /// Friction torque of the whole engine [N·m] at a speed [rad/s].
    pub friction: &'a (dyn Fn(f64) -> f64 + Sync),
    /// Advance [rad] of a cylinder at a speed [rad/s].
    pub advance: &'a (dyn Fn(usize, f64) -> f64 + Sync),
    /// How many time steps stand in place of one, 1 or 2: to see what their width does.
    pub finer: usize,
}

/// Factor on the speed of a cylinder's flame in its so-manieth firing \[1\].
pub type Scatter<'a> = &'a dyn Fn(usize, usize) -> f64;

/// How the engine is let go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Speed at which the charge has settled [rad/s].
    pub speed_rad_s: f64,
    /// Effective area of each throttle [m²].
    pub opening_m2: f64,
    /// Share by which the crank is then pushed faster \[1\].
    pub push: f64,
}

/// What acts from outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Effective area of each throttle [m²].
    pub opening_m2: f64,
    /// Torque that holds the crank back beside friction [N·m].
    pub drag_nm: f64,
}

/// Where the engine is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since the crank was let go [s].
    pub time_s: f64,
    /// Turned since then [rad].
    pub turned_rad: f64,
    /// Speed now [rad/s].
    pub speed_rad_s: f64,
    /// Mean speed of the last two turns, a whole cycle [rad/s].
    pub mean_rad_s: f64,
    /// A cylinder that has just finished a cycle, counted from 90° before its firing, and the work of its gas in it [J]; the last one where two did at once.
    pub finished: Option<(usize, f64)>,
}

/// Where the energy went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Account {
    /// Work of the gas on the pistons, less that of the air under them [J].
    pub gas_j: f64,
    /// Taken by friction [J].
    pub friction_j: f64,
    /// Taken by what drags from outside [J].
    pub drag_j: f64,
    /// Gained by the turning parts [J].
    pub turning_j: f64,
    /// What came in with the charge, less all that left by exhaust, walls and pistons, less what cylinders and runners hold more than before [J]: zero but for
    /// rounding.
    pub gas_left_over_j: f64,
    /// Time steps that were cut short.
    pub cut_short: usize,
    /// The engine stopped.
    pub stopped: bool,
}

/// Lets the engine turn until `control` gives nothing more. It is asked every [`STRETCH_RAD`].
///
/// The same inputs give the same bits: one thread, no vectors.
pub fn turn(
    p: &Prepared,
    drive: &Drive,
    start: Start,
    scatter: Scatter,
    control: &mut dyn FnMut(&Moment) -> Option<Outside>,
) -> Account {
    match p.on_one_inlet() {
        1 => Free::<1>::new(p, drive, start).run(scatter, control),
        2 => Free::<2>::new(p, drive, start).run(scatter, control),
        3 => Free::<3>::new(p, drive, start).run(scatter, control),
        _ => Free::<4>::new(p, drive, start).run(scatter, control),
    }
}

/// Cylinders on one inlet.
struct Bank<const CYL: usize> {
    state: State<f64, CYL>,
    point: Point<f64, CYL>,
    /// Its first cylinder in the engine's order, and the places by which that runs ahead of the engine's first.
    first: usize,
    ahead: usize,
    /// Firings of each cylinder.
    fired: [usize; CYL],
    /// What the account of each one's work stood at when the last was settled [J].
    work_j: [f64; CYL],
}

/// Steps of a cycle, and the first one of each stretch.
struct Plan {
    steps: Vec<Step>,
    first: Vec<usize>,
}
type Key = (i32, i32, usize);

struct Free<'a, const CYL: usize> {
    p: &'a Prepared,
    drive: &'a Drive<'a>,
    banks: Vec<Bank<CYL>>,
    plans: BTreeMap<Key, Plan>,
    /// Place of the engine's first cylinder, and the width of a stretch.
    place: usize,
    stretch: usize,
    now: Moment,
    /// Ends of the stretches of the last cycle [s].
    times: VecDeque<f64>,
    turning_j: f64,
    /// Energy that the last stretch added to the turning parts [J].
    gained_j: f64,
}

impl<'a, const CYL: usize> Free<'a, CYL> {
    fn new(p: &'a Prepared, drive: &'a Drive<'a>, start: Start) -> Self {
        let stretch = COUPLED / drive.finer.max(1);
        let mut plans = BTreeMap::new();
        let banks = (0..p.ahead.len().max(1) / CYL)
            .map(|b| {
                let first = b * CYL;
                let ahead = if CYL == 1 { p.ahead.get(b).copied().unwrap_or(0) } else { 0 };
                let spark = std::array::from_fn(|c| -(drive.advance)(first + c, start.speed_rad_s));
                let mut point = Point::new(start.speed_rad_s, start.opening_m2);
                point.spark = spark;
                let mut state = State::start(p, &point);
                let plan = plan(&mut plans, p, drive.finer, &point, ahead % COUPLED);
                for _ in 0..CYCLES_BEFORE {
                    one_cycle(p, &point, &plan.steps, &mut state, |_, _| ());
                }
                plan.steps.iter().take_while(|step| step.from < ahead).for_each(|step| state.step(p, &point, step));
                state.cut_short = 0.0;
                Bank { state, point, first, ahead, fired: [0; CYL], work_j: [0.0; CYL] }
            })
            .collect();
        let speed_rad_s = start.speed_rad_s * (1.0 + start.push);
        Self {
            p,
            drive,
            banks,
            plans,
            place: 0,
            stretch,
            now: Moment { time_s: 0.0, turned_rad: 0.0, speed_rad_s, mean_rad_s: speed_rad_s, finished: None },
            times: VecDeque::from([0.0]),
            turning_j: 0.5 * drive.inertia_kg_m2 * speed_rad_s * speed_rad_s,
            gained_j: 0.0,
        }
    }

    fn run(mut self, scatter: Scatter, control: &mut dyn FnMut(&Moment) -> Option<Outside>) -> Account {
        let mut account = Account::default();
        let (turning_before, gas_before) = (self.turning_j, self.left_in_gas());
        while let Some(outside) = control(&self.now) {
            self.advance(outside, scatter, &mut account);
            if self.now.speed_rad_s.is_nan() || self.now.speed_rad_s <= STOPPED {
                account.stopped = true;
                break;
            }
        }
        account.turning_j = self.turning_j - turning_before;
        account.gas_left_over_j = gas_before - self.left_in_gas();
        account.cut_short = self.banks.iter().map(|b| b.state.cut_short as usize).sum();
        account
    }

    /// By one stretch.
    fn advance(&mut self, outside: Outside, scatter: Scatter, account: &mut Account) {
        let inertia = self.drive.inertia_kg_m2;
        // Half of what the last stretch brought, but never so much that the crank would stand still.
        let expected = (self.turning_j + 0.5 * self.gained_j).max(0.5 * self.turning_j);
        let speed = (2.0 * expected / inertia).sqrt();
        let width = self.stretch as f64 * PLACE_RAD;
        let ambient = self.p.engine.ambient_pa;
        let mut gas_j = 0.0;
        self.now.finished = None;
        for bank in &mut self.banks {
            let from = (self.place + bank.ahead) % PLACES;
            let finished = bank.settle(self.p, from, self.stretch, self.now.mean_rad_s, self.drive, scatter);
            self.now.finished = finished.or(self.now.finished);
            bank.point.go_on_at(speed, outside.opening_m2);
            let plan = plan(&mut self.plans, self.p, self.drive.finer, &bank.point, bank.ahead % COUPLED);
            let volume = |place: usize| -> f64 { (0..CYL).map(|c| self.p.places[phase(self.p, c, place)].volume).sum() };
            let work = |state: &State<f64, CYL>| -> f64 { state.cyl.iter().map(|x| x[cyl::WORK]).sum() };
            let (work_before, volume_before) = (work(&bank.state), volume(from));
            for part in [from..(from + self.stretch).min(PLACES), 0..(from + self.stretch).saturating_sub(PLACES)] {
                let first = if part.start == 0 { 0 } else { plan.first[part.start / self.stretch] };
                for step in plan.steps[first..].iter().take_while(|step| step.from < part.end) {
                    bank.state.step(self.p, &bank.point, step);
                }
            }
            gas_j += work(&bank.state) - work_before - ambient * (volume(from + self.stretch) - volume_before);
        }
        let friction_j = (self.drive.friction)(speed) * width;
        let drag_j = outside.drag_nm * width;
        self.gained_j = gas_j - friction_j - drag_j;
        self.turning_j += self.gained_j;
        account.gas_j += gas_j;
        account.friction_j += friction_j;
        account.drag_j += drag_j;

        self.place = (self.place + self.stretch) % PLACES;
        self.now.time_s += width / speed;
        self.now.turned_rad += width;
        self.now.speed_rad_s = (2.0 * self.turning_j.max(0.0) / inertia).sqrt();
        self.times.push_back(self.now.time_s);
        if self.times.len() > PLACES / self.stretch {
            let since = self.times.pop_front().unwrap_or(0.0);
            self.now.mean_rad_s = 2.0 * TAU / (self.now.time_s - since);
        }
    }

    /// Energy that the gas holds, less what it has gained by flows, heat and work since the accumulators began [J].
    fn left_in_gas(&self) -> f64 {
        let of = |bank: &Bank<CYL>| {
            let sum = |k: usize| bank.state.cyl.iter().map(|x| x[k]).sum::<f64>();
            held(self.p, &bank.state, 0).0 - bank.state.run[run::ENTHALPY_IN]
                + sum(cyl::ENTHALPY_OUT)
                + sum(cyl::HEAT)
                + sum(cyl::WORK)
        };
        self.banks.iter().map(of).sum()
    }
}

impl<const CYL: usize> Bank<CYL> {
    /// Spark and flame of each cylinder that comes to its [`SETTLED_AT`] in the stretch from place `from`. Gives the last that had come to it before, and its work
    /// since then [J].
    fn settle(
        &mut self,
        p: &Prepared,
        from: usize,
        stretch: usize,
        mean_rad_s: f64,
        drive: &Drive,
        scatter: Scatter,
    ) -> Option<(usize, f64)> {
        let mut finished = None;
        for c in 0..CYL {
            let place = phase(p, c, from);
            if (place..place + stretch).contains(&SETTLED_AT) {
                self.point.spark[c] = -(drive.advance)(self.first + c, mean_rad_s).min(FRAC_PI_2);
                self.point.flame[c] = scatter(self.first + c, self.fired[c]);
                let work_j = self.state.cyl[c][cyl::WORK];
                if self.fired[c] > 0 {
                    finished = Some((self.first + c, work_j - self.work_j[c]));
                }
                self.work_j[c] = work_j;
                self.fired[c] += 1;
            }
        }
        finished
    }
}

/// The steps of a cycle at about this speed and opening, none across the ends of the stretches, which lie `offset` places after the cycle's start and every stretch
/// from there.
fn plan<'m, const CYL: usize>(
    plans: &'m mut BTreeMap<Key, Plan>,
    p: &Prepared,
    finer: usize,
    point: &Point<f64, CYL>,
    offset: usize,
) -> &'m Plan {
    let speed = (point.speed().ln() / PLAN_SHARE).floor();
    let opening = (point.throttle.max(f64::MIN_POSITIVE).ln() / PLAN_SHARE).ceil();
    plans.entry((speed as i32, opening as i32, offset)).or_insert_with(|| {
        let stretch = COUPLED / finer.max(1);
        let mut steps = Vec::new();
        for step in p.plan((speed * PLAN_SHARE).exp(), (opening * PLAN_SHARE).exp(), offset) {
            let (mut from, end) = (step.from, step.from + step.stride);
            while from < end {
                let to_edge = stretch - (from + COUPLED - offset) % stretch;
                let part = to_edge.min(end - from);
                // An explicit step needs its middle, and all places are even.
                let halves = if finer > 1 && (part % 4 == 0 || (part == 2 && step.manner == Manner::Emptying)) { 2 } else { 1 };
                let stride = if part == stretch { part } else { part / halves };
                steps.extend((0..part / stride).map(|k| Step { from: from + k * stride, stride, ..step }));
                from += part;
            }
        }
        let first =
            (0..PLACES / stretch).map(|k| steps.partition_point(|step| step.from < offset % stretch + k * stretch)).collect();
        Plan { steps, first }
    })
}
