//! Mass, energy and burned-fraction balances of every cylinder and of the runner, and one time step.
//!
//! All lanes share the crank angle, so valve events and volumes are the same for all and only speeds, throttle areas, spark angles
//! and states differ.

use super::accounts::{Contents, HELD, HELD_RUN};
pub(super) use super::accounts::{cyl, run};
pub(super) use super::point::Point;
use super::{
    body::{Body, LEAST_K, MOST_K},
    burn::{BURNED_OUT, burn},
    engine::{Manner, PLACE_RAD, PLACES, Prepared, Step},
    equalise::{CylinderLinks, Link, Links},
    memory::{Firing, Memory},
};
use crate::{
    flame::{KERNEL_RADIUS_M, dilution_factor},
    heat,
    lanes::Lanes,
};
use std::f64::consts::{PI, TAU};

/// Everything that changes in time.
#[derive(Clone, Copy, Debug)]
pub(super) struct State<V, const CYL: usize> {
    pub cyl: [[V; cyl::COUNT]; CYL],
    pub run: [V; run::COUNT],
    pub memory: [Memory<V>; CYL],
    /// Steps of this cycle that were cut short: the crank went on, the accounts not as far (see [`Links::bearable`]).
    pub cut_short: V,
}

pub(super) type Rates<V, const CYL: usize> = ([[V; cyl::COUNT]; CYL], [V; run::COUNT]);

const _: () = assert!(cyl::COUNT == 13 && run::COUNT == 7, "State::advance and Links::second list every quantity");

impl<V: Lanes, const CYL: usize> State<V, CYL> {
    /// What lane `i` holds.
    pub fn held_of(&self, i: usize) -> Contents<CYL> {
        Contents { cyl: self.cyl.map(|x| HELD.map(|k| x[k].lane(i))), run: HELD_RUN.map(|k| self.run[k].lane(i)) }
    }

    /// Puts it there.
    pub fn set_held(&mut self, i: usize, held: &Contents<CYL>) {
        for (x, held) in self.cyl.iter_mut().zip(&held.cyl) {
            HELD.iter().zip(held).for_each(|(k, value)| x[*k].set(i, *value));
        }
        HELD_RUN.iter().zip(&held.run).for_each(|(k, value)| self.run[*k].set(i, *value));
    }

    /// A state to start from: cylinders full of exhaust gas at ambient pressure, the runner of fresh charge at the pressure at which
    /// the throttle would feed the displacement.
    pub fn start(p: &Prepared, point: &Point<V, CYL>) -> Self {
        let s = V::splat;
        let hot_k = 1000.0;
        let ambient = p.engine.ambient_pa;
        let cyl = std::array::from_fn(|c| {
            let mut x = [s(0.0); cyl::COUNT];
            x[cyl::MASS] = s(ambient * p.places[p.ahead[c]].volume / (p.burned.gas_constant * hot_k));
            x[cyl::ENERGY] = x[cyl::MASS] * s(p.burned.at(hot_k).energy);
            x[cyl::T] = s(hot_k);
            x[cyl::BURNED] = x[cyl::MASS];
            x[cyl::T_UNBURNED] = s(hot_k);
            x[cyl::T_PORT] = s(hot_k);
            x[cyl::BURNED_PORT] = s(1.0);
            x
        });
        let mut run = [s(0.0); run::COUNT];
        for i in 0..V::COUNT {
            let swept_m3_s = CYL as f64 * p.swept * point.speed().lane(i) / (4.0 * PI);
            let (mut low, mut high) = (0.05, 1.0);
            for _ in 0..12 {
                let ratio = 0.5 * (low + high);
                let fed = point.throttle.lane(i) * p.ambient_rt.sqrt() * p.inlet_flow.psi(ratio);
                *(if fed > ratio * swept_m3_s { &mut low } else { &mut high }) = ratio;
            }
            run[run::MASS].set(i, low * ambient * p.engine.runner_m3 / p.ambient_rt);
        }
        run[run::ENERGY] = run[run::MASS] * s(p.fresh.at(p.engine.ambient_k).energy);
        run[run::T] = s(p.engine.ambient_k);
        // One that stands between inlet closing and spark holds burned gas alone.
        let memory = std::array::from_fn(|c| Memory {
            residual: s(1.0),
            dilution: s(0.0),
            ln_top: s((ambient * p.places[p.ahead[c]].volume / (hot_k * p.engine.chamber.clearance_m3)).ln()),
            pressure: s(ambient),
            burning: s(0.0),
            now: Firing::new(),
            last: Firing::new(),
        });
        Self { cyl, run, memory, cut_short: s(0.0) }
    }

    /// Goes along `rates` by `h` radians.
    #[inline(always)]
    fn advance(&mut self, rates: &Rates<V, CYL>, h: V) {
        // Written out: as a loop over the quantities it would be vectorised the wrong way round, across them instead of the lanes.
        macro_rules! along {
            ($to:expr, $rate:expr, $($k:literal)*) => { $( $to[$k] = $to[$k] + h * $rate[$k]; )* };
        }
        for c in 0..CYL {
            along!(self.cyl[c], rates.0[c], 0 1 2 3 4 5 6 7 8 9 10 11 12);
        }
        along!(self.run, rates.1, 0 1 2 3 4 5 6);
    }

    /// How much of a step is borne, and the lanes that do not bear all of it put down.
    #[inline(always)]
    fn bearable(&mut self, links: &Links<V, CYL>, rates: &Rates<V, CYL>, h: f64) -> V {
        let share = links.bearable(rates, h);
        let one = V::splat(1.0);
        if share.any_less(one) {
            self.cut_short = share.if_less(one, self.cut_short + one, self.cut_short);
        }
        share
    }

    /// One time step: linearly implicit in two stages where pressures may equalise fast, else by Kutta's third-order method. At these
    /// step lengths the fourth order costs a third more and gains nothing.
    #[inline(always)]
    pub fn step(&mut self, p: &Prepared, point: &Point<V, CYL>, step: &Step) {
        let s = V::splat;
        let h = step.stride as f64 * PLACE_RAD;
        // Kutta's stages [1], exact: how far the next one goes with this slope and with the first, the slope's weight in the result.
        const KUTTA: [(f64, f64, f64); 3] = [(0.5, 0.0, 1.0 / 6.0), (2.0, -1.0, 2.0 / 3.0), (0.0, 0.0, 1.0 / 6.0)];
        let stages = match step.manner {
            Manner::Explicit => 3,
            Manner::Equalising => 2,
            Manner::Emptying => 1,
        };
        let mut first: Option<(Rates<V, CYL>, Links<V, CYL>)> = None;
        let flames: [V; CYL] = std::array::from_fn(|c| self.cyl[c][cyl::FLAME]);
        let mut start: Option<Self> = None;
        let mut at = *self;
        // One place where rates are asked for: they are long, and compiled into every such place.
        for (stage, &(reach, back, weight)) in KUTTA.iter().enumerate().take(stages) {
            let (mut rates, links) = at.rates(p, point, step, stage * step.stride / (stages - 1).max(1));
            if stage == 0 {
                self.run[run::T] = at.run[run::T];
                for c in 0..CYL {
                    self.cyl[c][cyl::T] = at.cyl[c][cyl::T];
                }
            }
            match step.manner {
                Manner::Explicit => {
                    at = *start.get_or_insert(*self);
                    at.advance(&rates, s(reach * h));
                    if back != 0.0
                        && let Some((first, _)) = &first
                    {
                        at.advance(first, s(back * h));
                    }
                    self.advance(&rates, s(weight * h));
                }
                Manner::Equalising => {
                    if let Some((first, links)) = &first {
                        links.second(first, &mut rates, h);
                        let share = self.bearable(links, &rates, h);
                        self.advance(&rates, s(h) * share);
                    } else {
                        links.first(&mut rates, h);
                        let share = self.bearable(&links, &rates, h);
                        at.advance(&rates, s(h) * share);
                    }
                }
                Manner::Emptying => {
                    let mut volumes = [0.0; CYL];
                    for (c, volume) in volumes.iter_mut().enumerate() {
                        *volume = p.places[phase(p, c, step.from)].volume;
                    }
                    links.emptying(p, self, &mut rates, &volumes, h);
                    let share = self.bearable(&links, &rates, h);
                    self.advance(&rates, s(h) * share);
                }
            }
            first.get_or_insert((rates, links));
        }
        for (c, flame) in flames.into_iter().enumerate() {
            self.events(p, point, c, phase(p, c, step.from + step.stride), h, flame);
        }
    }

    /// Rates per radian of crank angle, `past` places after the start of a step, and how the flows answer to pressure. Solves the energies
    /// for the temperatures.
    #[inline(always)]
    fn rates(&mut self, p: &Prepared, point: &Point<V, CYL>, step: &Step, past: usize) -> (Rates<V, CYL>, Links<V, CYL>) {
        let s = V::splat;
        let zero = s(0.0);
        let per_speed = point.per_speed;
        macro_rules! link {
            ($flow:ident, $h:expr, $b:expr) => {
                Link { per_first: $flow.per_first * per_speed, per_second: $flow.per_second * per_speed, h: $h, b: $b }
            };
        }

        // The runner and the throttle.
        let r = &mut self.run;
        let runner = Body::new(p, [r[run::MASS], r[run::ENERGY], r[run::BURNED], r[run::T]], p.engine.runner_m3, 0.0);
        r[run::T] = runner.t;
        let ambient = s(p.engine.ambient_pa);
        let flow = p.inlet_flow.flow(point.throttle, (ambient, s(p.ambient_rt)), (runner.p, runner.rt));
        let drawn = flow.mass * per_speed;
        let throttle = link!(flow, drawn.if_less(zero, runner.h, s(p.ambient_enthalpy)), drawn.if_less(zero, runner.b, zero));
        let (mut run_mass, mut run_energy, mut run_burned) = (drawn, drawn * throttle.h, drawn * throttle.b);
        let enthalpy_in = run_energy;

        // Loops, not closures: a closure would be compiled without the caller's vector instructions.
        let mut d_cyl = [[zero; cyl::COUNT]; CYL];
        let shut = Link { per_first: zero, per_second: zero, h: zero, b: zero };
        let sealed = CylinderLinks { gas: runner.change, inlet: shut, exhaust: shut, unburned: zero };
        let mut links = Links { runner: runner.change, throttle, cyl: [sealed; CYL] };
        #[allow(clippy::needless_range_loop, reason = "`c` is the cylinder's place in several lists")]
        for c in 0..CYL {
            let place = &p.places[(step.from + past + p.ahead[c]) % PLACES];
            let x = &mut self.cyl[c];
            let memory = &self.memory[c];
            let accounts = [x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED], x[cyl::T]];
            let gas = Body::new(p, accounts, place.volume, place.volume_rate);
            x[cyl::T] = gas.t;
            let (pressure, t) = (gas.p, gas.t);
            let link = &mut links.cyl[c];
            link.gas = gas.change;
            let d = &mut d_cyl[c];

            let (mut mass, mut energy, mut burned) = (zero, zero, zero);
            if place.inlet_area > 0.0 {
                let flow = p.inlet_flow.flow(s(place.inlet_area), (runner.p, runner.rt), (pressure, gas.rt));
                mass = flow.mass * per_speed;
                link.inlet = link!(flow, mass.if_less(zero, gas.h, runner.h), mass.if_less(zero, gas.b, runner.b));
                (energy, burned) = (mass * link.inlet.h, mass * link.inlet.b);
                (run_mass, run_energy, run_burned) = (run_mass - mass, run_energy - energy, run_burned - burned);
            }
            if place.exhaust_area > 0.0 {
                let (t_x, b_x) = (x[cyl::T_PORT], x[cyl::BURNED_PORT]);
                let rt_x = (s(p.fresh.gas_constant) + b_x * s(p.burned.gas_constant - p.fresh.gas_constant)) * t_x;
                let flow = p.exhaust_flow.flow(s(place.exhaust_area), (pressure, gas.rt), (ambient, rt_x));
                let out = flow.mass * per_speed;
                // Backflow is rare: the pocket's gas is worked out only where some lane draws on it.
                let (mut h_up, mut b_up) = (gas.h, gas.b);
                if out.any_less(zero) {
                    let (fresh_x, burned_x) = (p.fresh.at(t_x), p.burned.at(t_x));
                    let h_x = fresh_x.energy + b_x * (burned_x.energy - fresh_x.energy) + rt_x;
                    h_up = out.if_less(zero, h_x, h_up);
                    b_up = out.if_less(zero, b_x, b_up);
                }
                link.exhaust = link!(flow, h_up, b_up);
                let (energy_out, burned_out) = (out * h_up, out * b_up);
                (mass, energy, burned) = (mass - out, energy - energy_out, burned - burned_out);
                // The pocket takes on what passes; no more than all of it in one step.
                let mixing = (out.max(zero) * s(1.0 / p.port_mass)).min(s(1.0 / (step.stride as f64 * PLACE_RAD)));
                d[cyl::T_PORT] = mixing * (t - t_x);
                d[cyl::BURNED_PORT] = mixing * (gas.b - b_x);
                d[cyl::ENTHALPY_OUT] = energy_out;
                d[cyl::MASS_OUT] = out;
            }

            let phase = phase(p, c, step.from);
            let closed = phase >= p.inlet_closes && phase < p.exhaust_opens;
            let piston_speed = point.speed() * s(p.engine.chamber.crank.piston_stroke_m() / PI);
            let wall_film = if closed {
                let burning = (memory.burning * (pressure - memory.pressure * s(place.motored))).max(zero);
                heat::coefficient(2.0 * p.radius, pressure, t, s(heat::CLOSED) * piston_speed + burning)
            } else {
                heat::coefficient(2.0 * p.radius, pressure, t, s(heat::GAS_EXCHANGE) * piston_speed)
            };
            let film = wall_film * s(p.engine.heat_factor * place.wall_area) * per_speed;
            let heat_out = film * (t - s(p.wall_k));

            let burning = burn(p, point, c, place, x, memory, step, phase, past, pressure);
            if let Some(burn) = &burning {
                d[cyl::FLAME] = burn.flame;
                d[cyl::ENTERED] = burn.entered;
            }
            if burning.is_some() {
                // What the flame takes was fresh: 1 − residual of it, but no more than the fresh gas left, where burned gas has come back.
                let left = (s(1.0) - gas.b) / (s(1.0) - x[cyl::FLAME]).max(s(1.0 - BURNED_OUT));
                burned = burned + left.min(s(1.0) - memory.residual) * d[cyl::FLAME] * x[cyl::MASS];
            }
            d[cyl::WORK] = pressure * s(place.volume_rate);
            d[cyl::HEAT] = heat_out;
            energy = energy - heat_out - d[cyl::WORK];
            d[cyl::MASS] = mass;
            d[cyl::ENERGY] = energy;
            d[cyl::BURNED] = burned;
            d[cyl::T] = gas.change.of_t(mass, energy, burned);
            if let Some(burn) = burning {
                let t_u = burn.t;
                link.unburned = burn.r_over_cp * t_u / pressure;
                // Compression by the burning gas, less the heat that the unburned share of the volume loses.
                d[cyl::T_UNBURNED] = link.unburned * (gas.change.of_p(mass, energy, burned) + gas.change.by_piston)
                    - film * (t_u - s(p.wall_k)) / (burn.density * s(place.volume) * burn.cp);
            }
        }

        let mut d_run = [zero; run::COUNT];
        d_run[run::MASS] = run_mass;
        d_run[run::ENERGY] = run_energy;
        d_run[run::BURNED] = run_burned;
        d_run[run::T] = runner.change.of_t(run_mass, run_energy, run_burned);
        d_run[run::DRAWN] = drawn;
        d_run[run::ENTHALPY_IN] = enthalpy_in;
        d_run[run::PRESSURE] = runner.p;
        ((d_cyl, d_run), links)
    }

    /// What happens at the end of a step of width `h`, before which the flame had burned the share `flame`: resets, memories, records.
    #[inline(always)]
    fn events(&mut self, p: &Prepared, point: &Point<V, CYL>, c: usize, phase: usize, h: f64, flame: V) {
        let s = V::splat;
        let x = &mut self.cyl[c];
        let memory = &mut self.memory[c];
        let angle = -TAU + phase as f64 * PLACE_RAD;
        let place = &p.places[phase];
        if phase == p.flame_ends % PLACES {
            memory.last = Firing { burned: x[cyl::FLAME], ..memory.now };
            x[cyl::FLAME] = s(0.0);
            x[cyl::ENTERED] = s(0.0);
        }
        if phase < p.inlet_closes || phase >= p.flame_ends {
            return;
        }
        let more_r = s(p.burned.gas_constant - p.fresh.gas_constant);
        let m_r = x[cyl::MASS] * s(p.fresh.gas_constant) + x[cyl::BURNED] * more_r;
        let pressure = m_r * x[cyl::T] * s(1.0 / place.volume);
        if phase == p.inlet_closes {
            // From here to the spark nothing burns and nothing passes: what is burned gas now is so then.
            memory.residual = x[cyl::BURNED] / x[cyl::MASS];
            // Mole fraction of burned gas from its mass and the gas constants.
            memory.dilution = dilution_factor(x[cyl::BURNED] * s(p.burned.gas_constant) / m_r);
            memory.ln_top = (m_r * s(1.0 / p.engine.chamber.clearance_m3)).ln();
            memory.pressure = pressure;
            memory.burning = s(heat::COMBUSTION * p.swept / place.volume) * x[cyl::T] / pressure;
            memory.now = Firing::new();
        }
        let now = &mut memory.now;
        let higher = now.peak.if_less(pressure, s(1.0), s(0.0));
        now.peak_at = s(0.5).if_less(higher, s(angle), now.peak_at);
        now.peak = now.peak.max(pressure);
        // Up to the spark the unburned gas is all of the gas, and a kernel stands ready. The small addition keeps a spark on a step's edge
        // from being missed by rounding.
        let edge = s(angle - 1e-6 * PLACE_RAD);
        if edge.any_less(point.spark[c]) {
            let keep = |old: V, new: V| edge.if_less(point.spark[c], new, old);
            let kernel = s(2.0 / 3.0 * PI * KERNEL_RADIUS_M.powi(3) / place.volume);
            x[cyl::T_UNBURNED] = keep(x[cyl::T_UNBURNED], x[cyl::T]);
            x[cyl::FLAME] = keep(x[cyl::FLAME], kernel);
            x[cyl::ENTERED] = keep(x[cyl::ENTERED], kernel);
        }
        x[cyl::ENTERED] = x[cyl::ENTERED].min(s(1.0));
        x[cyl::FLAME] = x[cyl::FLAME].min(x[cyl::ENTERED]);
        x[cyl::BURNED] = x[cyl::BURNED].min(x[cyl::MASS]);
        x[cyl::T_UNBURNED] = x[cyl::T_UNBURNED].max(s(LEAST_K)).min(s(MOST_K));
        // Straight over the step. Not a number compares false, so the first angle at which half has burned stays.
        let burned = x[cyl::FLAME];
        if s(0.5).any_less(burned) {
            let passed = s(angle) - s(h) * (burned - s(0.5)) / (burned - flame);
            let passed = s(0.5).if_less(burned, passed, s(f64::NAN));
            let unset = now.half_at.if_less(s(f64::INFINITY), s(0.0), s(1.0));
            now.half_at = s(0.5).if_less(unset, passed, now.half_at);
        }
    }
}

/// Place of cylinder `c` in its own cycle when the first cylinder is at `place`.
#[inline(always)]
pub(super) fn phase(p: &Prepared, c: usize, place: usize) -> usize {
    (place + p.ahead[c]) % PLACES
}
