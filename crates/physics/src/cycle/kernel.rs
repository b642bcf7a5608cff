//! Mass, energy and burned-fraction balances of every cylinder and of the runner, and one time step.
//!
//! All lanes share the crank angle, so valve events and volumes are the same for all and only speeds, throttle areas, spark angles
//! and states differ.

use super::{
    burn::burn,
    engine::{PLACE_RAD, PLACES, Prepared, Step},
};
use crate::{
    flame::{KERNEL_RADIUS_M, dilution_factor},
    heat,
    lanes::Lanes,
};
use std::f64::consts::{PI, TAU};

/// Integrated quantities of one cylinder.
pub(super) mod cyl {
    /// Mass in the cylinder [kg].
    pub const MASS: usize = 0;
    /// Mean temperature [K].
    pub const T: usize = 1;
    /// Burned mass fraction, residual included.
    pub const BURNED: usize = 2;
    /// Share of the charge burned by this cycle's flame.
    pub const FLAME: usize = 3;
    /// Share of the charge behind the flame front, burned or not.
    pub const ENTERED: usize = 4;
    /// Temperature of the unburned gas [K].
    pub const T_UNBURNED: usize = 5;
    /// Temperature of the pocket in the exhaust port [K].
    pub const T_PORT: usize = 6;
    /// Burned fraction there.
    pub const BURNED_PORT: usize = 7;
    /// Work done on the piston [J].
    pub const WORK: usize = 8;
    /// Heat to the walls [J].
    pub const HEAT: usize = 9;
    /// Enthalpy that has left through the exhaust valve, net [J].
    pub const ENTHALPY_OUT: usize = 10;
    /// Mass that has left through the exhaust valve, net [kg].
    pub const MASS_OUT: usize = 11;
    /// Count.
    pub const COUNT: usize = 12;
}

/// Integrated quantities of the runner or plenum.
pub(super) mod run {
    /// Mass [kg].
    pub const MASS: usize = 0;
    /// Temperature [K].
    pub const T: usize = 1;
    /// Burned mass fraction.
    pub const BURNED: usize = 2;
    /// Mass drawn through the throttle [kg].
    pub const DRAWN: usize = 3;
    /// Enthalpy drawn through the throttle [J].
    pub const ENTHALPY_IN: usize = 4;
    /// Time integral of pressure over angle [Pa·rad].
    pub const PRESSURE: usize = 5;
    /// Count.
    pub const COUNT: usize = 6;
}

/// What differs between lanes but not within a cycle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point<V> {
    /// Crank speed [rad/s].
    pub speed: V,
    /// Effective throttle area [m²].
    pub throttle: V,
    /// Spark, rad after firing top dead centre (minus the advance).
    pub spark: V,
}

/// What one cylinder remembers from the last inlet closing and spark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Memory<V> {
    /// Burned mass fraction of the unburned charge.
    pub residual: V,
    /// Factor of dilution on the flame's speed.
    pub dilution: V,
    /// Density that the charge trapped at inlet closing has in the clearance volume [kg/m³].
    pub density_top: V,
    /// Pressure at inlet closing [Pa].
    pub pressure: V,
    /// Woschni's burning factor times V_d T_r/(p_r V_r) [m/(s·Pa)].
    pub burning: V,
    /// Highest pressure since inlet closing [Pa] and where [rad after firing top dead centre].
    pub peak: V,
    /// See `peak`.
    pub peak_at: V,
    /// Where half the charge had burned [rad after firing top dead centre]; not a number until then.
    pub half_at: V,
    /// Share of the charge that the last flame burned before the inlet opened.
    pub burned_share: V,
}

/// Everything that changes in time.
#[derive(Clone, Copy, Debug)]
pub(super) struct State<V, const CYL: usize> {
    pub cyl: [[V; cyl::COUNT]; CYL],
    pub run: [V; run::COUNT],
    pub memory: [Memory<V>; CYL],
}

type Rates<V, const CYL: usize> = ([[V; cyl::COUNT]; CYL], [V; run::COUNT]);

const _: () = assert!(cyl::COUNT == 12 && run::COUNT == 6, "State::advance lists every quantity");

impl<V: Lanes, const CYL: usize> State<V, CYL> {
    /// A state to start from: cylinders full of exhaust gas at ambient pressure, the runner of fresh charge at the pressure at which
    /// the throttle would feed the displacement.
    pub fn start(p: &Prepared, point: &Point<V>) -> Self {
        let s = V::splat;
        let hot_k = 1000.0;
        let ambient = p.engine.ambient_pa;
        let cyl = std::array::from_fn(|c| {
            let mut x = [s(0.0); cyl::COUNT];
            x[cyl::MASS] = s(ambient * p.places[p.ahead[c]].volume / (p.burned.gas_constant * hot_k));
            x[cyl::T] = s(hot_k);
            x[cyl::BURNED] = s(1.0);
            x[cyl::T_UNBURNED] = s(hot_k);
            x[cyl::T_PORT] = s(hot_k);
            x[cyl::BURNED_PORT] = s(1.0);
            x
        });
        let mut run = [s(0.0); run::COUNT];
        for i in 0..V::COUNT {
            let swept_m3_s = CYL as f64 * p.swept * point.speed.lane(i) / (4.0 * PI);
            let (mut low, mut high) = (0.05, 1.0);
            for _ in 0..12 {
                let ratio = 0.5 * (low + high);
                let fed = point.throttle.lane(i) * p.ambient_rt.sqrt() * p.inlet_flow.psi(ratio, 0.02);
                *(if fed > ratio * swept_m3_s { &mut low } else { &mut high }) = ratio;
            }
            run[run::MASS].set(i, low * ambient * p.engine.runner_m3 / p.ambient_rt);
        }
        run[run::T] = s(p.engine.ambient_k);
        let memory = Memory {
            residual: s(0.0),
            dilution: s(1.0),
            density_top: s(1.0),
            pressure: s(ambient),
            burning: s(0.0),
            peak: s(0.0),
            peak_at: s(0.0),
            half_at: s(f64::NAN),
            burned_share: s(0.0),
        };
        Self { cyl, run, memory: [memory; CYL] }
    }

    /// Numbers in one lane of a state.
    pub const SIZE: usize = CYL * (cyl::COUNT + 9) + run::COUNT;

    /// Appends one lane's numbers.
    pub fn save(&self, lane: usize, to: &mut Vec<f64>) {
        let mut copy = *self;
        copy.each(|x| to.push(x.lane(lane)));
    }

    /// Sets one lane's numbers from what [`State::save`] appended.
    pub fn load(&mut self, lane: usize, from: &[f64]) {
        let mut from = from.iter();
        self.each(|x| {
            if let Some(saved) = from.next() {
                x.set(lane, *saved);
            }
        });
    }

    fn each(&mut self, mut f: impl FnMut(&mut V)) {
        self.cyl.iter_mut().flatten().for_each(&mut f);
        self.run.iter_mut().for_each(&mut f);
        for m in &mut self.memory {
            let Memory { residual, dilution, density_top, pressure, burning, peak, peak_at, half_at, burned_share } = m;
            [residual, dilution, density_top, pressure, burning, peak, peak_at, half_at, burned_share]
                .into_iter()
                .for_each(&mut f);
        }
    }

    /// Goes along `rates` by `h` radians.
    #[inline(always)]
    fn advance(&mut self, rates: &Rates<V, CYL>, h: f64) {
        let h = V::splat(h);
        // Written out: as a loop over the quantities it would be vectorised the wrong way round, across them instead of the lanes.
        macro_rules! along {
            ($to:expr, $rate:expr, $($k:literal)*) => { $( $to[$k] = $to[$k] + h * $rate[$k]; )* };
        }
        for c in 0..CYL {
            along!(self.cyl[c], rates.0[c], 0 1 2 3 4 5 6 7 8 9 10 11);
        }
        along!(self.run, rates.1, 0 1 2 3 4 5);
    }

    /// One time step by Kutta's third-order method: at these step lengths the fourth order costs a third more and gains nothing.
    #[inline(always)]
    pub fn step(&mut self, p: &Prepared, point: &Point<V>, step: &Step) {
        let h = step.stride as f64 * PLACE_RAD;
        // Stages: where along the step, how far the next one goes with this slope and with the first, the slope's weight in the result.
        let stages = [(0, 0.5, 0.0, 1.0 / 6.0), (1, 2.0, -1.0, 2.0 / 3.0), (2, 0.0, 0.0, 1.0 / 6.0)];
        let mut first: Option<Rates<V, CYL>> = None;
        let start = *self;
        let mut at = start;
        for (halves, reach, back, weight) in stages {
            let rates = at.rates(p, point, step, halves * step.stride / 2);
            at = start;
            at.advance(&rates, reach * h);
            if back != 0.0
                && let Some(first) = &first
            {
                at.advance(first, back * h);
            }
            self.advance(&rates, weight * h);
            first.get_or_insert(rates);
        }
        for c in 0..CYL {
            self.events(p, point, c, phase(p, c, step.from + step.stride));
        }
    }

    /// Rates per radian of crank angle, `past` places after the start of a step.
    #[inline(always)]
    fn rates(&self, p: &Prepared, point: &Point<V>, step: &Step, past: usize) -> Rates<V, CYL> {
        let s = V::splat;
        let per_speed = s(1.0) / point.speed;
        let mut d_run = [s(0.0); run::COUNT];

        // The runner and the throttle.
        let (m_r, t_r, b_r) = (self.run[run::MASS], self.run[run::T], self.run[run::BURNED]);
        let (r_fresh, r_burned) = (p.fresh.gas_constant, p.burned.gas_constant);
        macro_rules! gas_constant {
            ($b:expr) => {
                s(r_fresh) + $b * s(r_burned - r_fresh)
            };
        }
        let rt_r = gas_constant!(b_r) * t_r;
        let p_r = m_r * rt_r * s(1.0 / p.engine.runner_m3);
        let (fresh_r, burned_r) = (p.fresh.at(t_r), p.burned.at(t_r));
        let u_r = fresh_r.energy + b_r * (burned_r.energy - fresh_r.energy);
        let cv_r = fresh_r.cv + b_r * (burned_r.cv - fresh_r.cv);
        let h_r = u_r + rt_r;

        let zero = s(0.0);
        let drawn =
            p.inlet_flow.flow(point.throttle, (s(p.engine.ambient_pa), s(p.ambient_rt)), (p_r, rt_r), step.linear) * per_speed;
        let h_drawn = drawn.if_less(zero, h_r, s(p.ambient_enthalpy));
        let b_drawn = drawn.if_less(zero, b_r, zero);
        let mut run_mass = drawn;
        let mut run_burned = drawn * (b_drawn - b_r);
        let mut run_energy = drawn * (h_drawn - u_r);

        // Loops, not closures: a closure would be compiled without the caller's vector instructions.
        let mut d_cyl = [[zero; cyl::COUNT]; CYL];
        #[allow(clippy::needless_range_loop, reason = "`c` is the cylinder's place in several lists")]
        for c in 0..CYL {
            let place = &p.places[(step.from + past + p.ahead[c]) % PLACES];
            let x = &self.cyl[c];
            let memory = &self.memory[c];
            let (m, t, b) = (x[cyl::MASS], x[cyl::T], x[cyl::BURNED]);
            let r = gas_constant!(b);
            let rt = r * t;
            let pressure = m * rt * s(1.0 / place.volume);
            let (fresh, burned) = (p.fresh.at(t), p.burned.at(t));
            let u = fresh.energy + b * (burned.energy - fresh.energy);
            let cv = fresh.cv + b * (burned.cv - fresh.cv);
            let h = u + rt;
            let d = &mut d_cyl[c];

            let mut mass = zero;
            let mut burned_in = zero; // Σ ṁ (b_up − b)
            let mut energy_in = zero; // Σ ṁ (h_up − u)
            if place.inlet_area > 0.0 {
                let flow = p.inlet_flow.flow(s(place.inlet_area), (p_r, rt_r), (pressure, rt), step.linear) * per_speed;
                let h_up = flow.if_less(zero, h, h_r);
                let b_up = flow.if_less(zero, b, b_r);
                mass = mass + flow;
                burned_in = burned_in + flow * (b_up - b);
                energy_in = energy_in + flow * (h_up - u);
                run_mass = run_mass - flow;
                run_burned = run_burned - flow * (b_up - b_r);
                run_energy = run_energy - flow * (h_up - u_r);
            }
            if place.exhaust_area > 0.0 {
                let (t_x, b_x) = (x[cyl::T_PORT], x[cyl::BURNED_PORT]);
                let rt_x = gas_constant!(b_x) * t_x;
                let flow =
                    p.exhaust_flow.flow(s(place.exhaust_area), (pressure, rt), (s(p.engine.ambient_pa), rt_x), step.linear)
                        * per_speed;
                // Backflow is rare: the pocket's gas is worked out only where some lane draws on it.
                let (mut h_up, mut b_up) = (h, b);
                if flow.any_less(zero) {
                    let (fresh_x, burned_x) = (p.fresh.at(t_x), p.burned.at(t_x));
                    let h_x = fresh_x.energy + b_x * (burned_x.energy - fresh_x.energy) + rt_x;
                    h_up = flow.if_less(zero, h_x, h);
                    b_up = flow.if_less(zero, b_x, b);
                }
                mass = mass - flow;
                burned_in = burned_in - flow * (b_up - b);
                energy_in = energy_in - flow * (h_up - u);
                let mixing = flow.max(zero) * s(1.0 / p.port_mass);
                d[cyl::T_PORT] = mixing * (t - t_x);
                d[cyl::BURNED_PORT] = mixing * (b - b_x);
                d[cyl::ENTHALPY_OUT] = flow * h_up;
                d[cyl::MASS_OUT] = flow;
            }

            let phase = phase(p, c, step.from);
            let closed = phase >= p.inlet_closes && phase < p.exhaust_opens;
            let piston_speed = point.speed * s(p.engine.chamber.crank.piston_stroke_m() / PI);
            let wall_film = if closed {
                let burning = (memory.burning * (pressure - memory.pressure * s(place.motored))).max(zero);
                heat::coefficient(2.0 * p.radius, pressure, t, s(heat::CLOSED) * piston_speed + burning)
            } else {
                heat::coefficient(2.0 * p.radius, pressure, t, s(heat::GAS_EXCHANGE) * piston_speed)
            };
            let film = wall_film * s(p.engine.heat_factor * place.wall_area) * per_speed;
            let heat_out = film * (t - s(p.wall_k));

            let burning = burn(p, point, place, x, memory, step, phase, past, pressure);
            if let Some(burn) = &burning {
                d[cyl::FLAME] = burn.flame;
                d[cyl::ENTERED] = burn.entered;
            }
            let chemical = (s(1.0) - memory.residual) * d[cyl::FLAME];

            d[cyl::MASS] = mass;
            d[cyl::BURNED] = burned_in / m + chemical;
            d[cyl::WORK] = pressure * s(place.volume_rate);
            d[cyl::HEAT] = heat_out;
            d[cyl::T] = ((energy_in - heat_out - d[cyl::WORK]) / m - (burned.energy - fresh.energy) * d[cyl::BURNED]) / cv;
            if let Some(burn) = burning {
                let log_pressure =
                    mass / m + s(r_burned - r_fresh) * d[cyl::BURNED] / r + d[cyl::T] / t - s(place.volume_rate / place.volume);
                let t_u = x[cyl::T_UNBURNED];
                // Compression by the burning gas, less the heat that the unburned share of the volume loses.
                d[cyl::T_UNBURNED] =
                    burn.r_over_cp * t_u * log_pressure - film * (t_u - s(p.wall_k)) / (burn.density * s(place.volume) * burn.cp);
            }
        }

        d_run[run::MASS] = run_mass;
        d_run[run::BURNED] = run_burned / m_r;
        d_run[run::T] = (run_energy / m_r - (burned_r.energy - fresh_r.energy) * d_run[run::BURNED]) / cv_r;
        d_run[run::DRAWN] = drawn;
        d_run[run::ENTHALPY_IN] = drawn * h_drawn;
        d_run[run::PRESSURE] = p_r;
        (d_cyl, d_run)
    }

    /// What happens at the end of a step: resets, memories, records.
    #[inline(always)]
    fn events(&mut self, p: &Prepared, point: &Point<V>, c: usize, phase: usize) {
        let s = V::splat;
        let x = &mut self.cyl[c];
        let memory = &mut self.memory[c];
        let angle = -TAU + phase as f64 * PLACE_RAD;
        let place = &p.places[phase];
        if phase == p.inlet_opens {
            memory.burned_share = x[cyl::FLAME];
            x[cyl::FLAME] = s(0.0);
            x[cyl::ENTERED] = s(0.0);
        }
        if phase < p.inlet_closes || phase >= p.inlet_opens {
            return;
        }
        let r = s(p.fresh.gas_constant) + x[cyl::BURNED] * s(p.burned.gas_constant - p.fresh.gas_constant);
        let pressure = x[cyl::MASS] * r * x[cyl::T] * s(1.0 / place.volume);
        if phase == p.inlet_closes {
            memory.density_top = x[cyl::MASS] * s(1.0 / p.engine.chamber.clearance_m3);
            memory.pressure = pressure;
            memory.burning = s(heat::COMBUSTION * p.swept / place.volume) * x[cyl::T] / pressure;
            memory.peak = s(0.0);
            memory.half_at = s(f64::NAN);
        }
        let higher = memory.peak.if_less(pressure, s(1.0), s(0.0));
        memory.peak_at = s(0.5).if_less(higher, s(angle), memory.peak_at);
        memory.peak = memory.peak.max(pressure);
        // Up to the spark the unburned gas is all of the gas, and a kernel stands ready.
        if angle < 0.5 * PI {
            // The small addition keeps a spark on a step's edge from being missed by rounding.
            let before = s(angle - 1e-6 * PLACE_RAD).if_less(point.spark, s(1.0), s(0.0));
            let keep = |old: V, new: V| s(0.5).if_less(before, new, old);
            let b = x[cyl::BURNED];
            // Mole fraction of burned gas from its mass fraction and the gas constants.
            let mole = b * s(p.burned.gas_constant) / r;
            memory.residual = keep(memory.residual, b);
            memory.dilution = keep(memory.dilution, dilution_factor(mole));
            let kernel = s(2.0 / 3.0 * PI * KERNEL_RADIUS_M.powi(3) / place.volume);
            x[cyl::T_UNBURNED] = keep(x[cyl::T_UNBURNED], x[cyl::T]);
            x[cyl::FLAME] = keep(x[cyl::FLAME], kernel);
            x[cyl::ENTERED] = keep(x[cyl::ENTERED], kernel);
        }
        x[cyl::ENTERED] = x[cyl::ENTERED].min(s(1.0));
        x[cyl::FLAME] = x[cyl::FLAME].min(x[cyl::ENTERED]);
        if angle > -0.5 * PI {
            // Not a number compares false, so the first angle at which half has burned stays.
            let passed = s(0.5).if_less(x[cyl::FLAME], s(angle), s(f64::NAN));
            let unset = memory.half_at.if_less(s(f64::INFINITY), s(0.0), s(1.0));
            memory.half_at = s(0.5).if_less(unset, passed, memory.half_at);
        }
    }
}

/// Place of cylinder `c` in its own cycle when the first cylinder is at `place`.
#[inline(always)]
pub(super) fn phase(p: &Prepared, c: usize, place: usize) -> usize {
    (place + p.ahead[c]) % PLACES
}
