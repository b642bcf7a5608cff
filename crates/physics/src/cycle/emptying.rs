//! Time steps in which a body of gas may be emptied or exchanged altogether: a few cubic centimetres behind a wide valve, or kicking speed.
//!
//! There neither the pressures nor what the flows carry may be taken from the start of the step. The pressures come first, by one linearly
//! implicit Euler step in which every flow is in proportion to its pressure difference; that brings the pressures together but never past
//! each other. With the flows so found, burned gas and enthalpy are carried by the upwind rule with the composition and temperature at
//! the *end* of the step, solved from giver to receiver. Positive and kept to rounding at any step length, of first order.

use super::{
    engine::Prepared,
    equalise::Links,
    kernel::{Rates, State, cyl, run},
};
use crate::{lanes::Lanes, orifice::LINEAR};

/// One body's balance over a step of width `h`, without what it gets from others that are not yet known.
#[derive(Clone, Copy)]
struct Balance<V> {
    /// Mass and energy at the start, burned mass with all that comes in, energy likewise.
    m: V,
    burned: V,
    energy: V,
    /// All that comes in and all that goes out [kg].
    gained: V,
    lost: V,
    /// Of the start: burned fraction, energy and RT [J/kg], more energy of burned gas, R/cv.
    b: V,
    u: V,
    rt: V,
    more_u: V,
    r_over_cv: V,
}

impl<V: Lanes> Balance<V> {
    /// Burned fraction and enthalpy at the end of the step: m₁ b₁ = m₀ b₀ + in − out b₁, and the same with u₁ and h₁ = u₁ + R T₁.
    #[inline(always)]
    fn end(&self) -> (V, V) {
        let b = self.burned / (self.m + self.gained);
        let without = self.rt - self.r_over_cv * (self.u + self.more_u * (b - self.b));
        let with = V::splat(1.0) + self.r_over_cv;
        let u = (self.energy - self.lost * without) / (self.m + self.gained - self.lost + self.lost * with);
        (b, without + with * u)
    }

    #[inline(always)]
    fn gain(&mut self, mass: V, b: V, h: V) {
        self.gained = self.gained + mass;
        self.burned = self.burned + mass * b;
        self.energy = self.energy + mass * h;
    }
}

impl<V: Lanes, const CYL: usize> Links<V, CYL> {
    /// Turns the rates at the start of a step of width `h` into mean ones over the step.
    #[inline(always)]
    #[allow(clippy::needless_range_loop, reason = "`c` is the cylinder's place in several lists")]
    pub fn emptying(&self, p: &Prepared, state: &State<V, CYL>, rates: &mut Rates<V, CYL>, volumes: &[f64; CYL], h: f64) {
        let s = V::splat;
        let (zero, one, h) = (s(0.0), s(1.0), s(h));
        let ambient = s(p.engine.ambient_pa);
        let p_r = self.runner.p;
        // Flow over pressure difference [kg/(rad·Pa)]; within the straight part the slope is that already.
        macro_rules! firm {
            ($flow:expr, $p1:expr, $p2:expr, $slope:expr) => {{
                let apart = $p1 - $p2;
                apart.max(-apart).if_less(s(LINEAR) * $p1.max($p2), $slope, $flow / apart)
            }};
        }
        macro_rules! balance {
            ($x:expr, $quantities:ident, $gas:expr, $volume:expr) => {{
                let m = $x[$quantities::MASS];
                let burned = $x[$quantities::BURNED];
                let energy = $x[$quantities::ENERGY];
                let rt = $gas.p * s($volume) / m;
                let (b, u) = (burned / m, energy / m);
                let (more_u, r_over_cv) = ($gas.more_u, $gas.on_energy * s($volume));
                Balance { m, burned, energy, gained: zero, lost: zero, b, u, rt, more_u, r_over_cv }
            }};
        }

        // Pressures, as in `relax` with flows in proportion to their differences.
        let x = &rates.1;
        let drawn = x[run::DRAWN];
        let k_throttle = firm!(drawn, ambient, p_r, self.throttle.per_second);
        let mut rise = self.runner.of_p(x[run::MASS], x[run::ENERGY], x[run::BURNED]);
        let mut stiff = one + self.runner.by_flow(self.throttle.h, self.throttle.b) * h * k_throttle;
        let (mut own, mut share) = ([zero; CYL], [zero; CYL]);
        let (mut k_inlet, mut k_exhaust) = ([zero; CYL], [zero; CYL]);
        for c in 0..CYL {
            let (l, x) = (&self.cyl[c], &rates.0[c]);
            let out = x[cyl::MASS_OUT];
            k_inlet[c] = firm!(x[cyl::MASS] + out, p_r, l.gas.p, l.inlet.per_second);
            k_exhaust[c] = firm!(out, l.gas.p, ambient, l.exhaust.per_first);
            let by_inlet = l.gas.by_flow(l.inlet.h, l.inlet.b) * h * k_inlet[c];
            let by_exhaust = l.gas.by_flow(l.exhaust.h, l.exhaust.b) * h * k_exhaust[c];
            let per_stiff = one / (one + by_inlet + by_exhaust);
            own[c] = (l.gas.of_p(x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED]) + l.gas.by_piston) * per_stiff;
            share[c] = by_inlet * per_stiff;
            let given = self.runner.by_flow(l.inlet.h, l.inlet.b) * h * k_inlet[c];
            rise = rise + given * own[c];
            stiff = stiff + given * (one - share[c]);
        }
        let rise = rise / stiff;

        // What flows in the step [kg], and what the cylinders that give to the runner have at its end.
        let drawn = h * (drawn - h * k_throttle * rise);
        let mut runner = balance!(state.run, run, self.runner, p.engine.runner_m3);
        runner.gain(drawn.max(zero), zero, s(p.ambient_enthalpy));
        runner.lost = (-drawn).max(zero);
        let (mut inlet, mut exhaust) = ([zero; CYL], [zero; CYL]);
        let mut h_port = [zero; CYL];
        let mut gases = [runner; CYL];
        for c in 0..CYL {
            let (l, x) = (&self.cyl[c], &rates.0[c]);
            let rise_c = own[c] + share[c] * rise;
            inlet[c] = h * (x[cyl::MASS] + x[cyl::MASS_OUT] + h * k_inlet[c] * (rise - rise_c));
            exhaust[c] = h * (x[cyl::MASS_OUT] + h * k_exhaust[c] * rise_c);
            let y = &state.cyl[c];
            let mut gas = balance!(y, cyl, l.gas, volumes[c]);
            let burning = x[cyl::BURNED] - (x[cyl::MASS] + x[cyl::MASS_OUT]) * l.inlet.b + x[cyl::MASS_OUT] * l.exhaust.b;
            gas.burned = gas.burned + h * burning;
            gas.energy = gas.energy - h * (x[cyl::HEAT] + x[cyl::WORK]);
            let (t_x, b_x) = (y[cyl::T_PORT], y[cyl::BURNED_PORT]);
            let (fresh_x, burned_x) = (p.fresh.at(t_x), p.burned.at(t_x));
            let rt_x = (s(p.fresh.gas_constant) + b_x * s(p.burned.gas_constant - p.fresh.gas_constant)) * t_x;
            h_port[c] = fresh_x.energy + b_x * (burned_x.energy - fresh_x.energy) + rt_x;
            gas.gain((-exhaust[c]).max(zero), b_x, h_port[c]);
            gas.lost = exhaust[c].max(zero) + (-inlet[c]).max(zero);
            let (b, enthalpy) = gas.end();
            runner.gain((-inlet[c]).max(zero), b, enthalpy);
            runner.lost = runner.lost + inlet[c].max(zero);
            gases[c] = gas;
        }
        let (b_r, h_r) = runner.end();

        // Mean rates of all accounts.
        let per_h = one / h;
        let (h_drawn, b_drawn) = (drawn.if_less(zero, h_r, s(p.ambient_enthalpy)), drawn.if_less(zero, b_r, zero));
        let (mut mass, mut energy, mut burned) = (drawn, drawn * h_drawn, drawn * b_drawn);
        let r = &mut rates.1;
        r[run::DRAWN] = drawn * per_h;
        r[run::ENTHALPY_IN] = energy * per_h;
        for c in 0..CYL {
            let l = &self.cyl[c];
            let gas = &mut gases[c];
            gas.gain(inlet[c].max(zero), b_r, h_r);
            let (b, enthalpy) = gas.end();
            let (h_in, b_in) = (inlet[c].if_less(zero, enthalpy, h_r), inlet[c].if_less(zero, b, b_r));
            let b_x = state.cyl[c][cyl::BURNED_PORT];
            let (h_out, b_out) = (exhaust[c].if_less(zero, h_port[c], enthalpy), exhaust[c].if_less(zero, b_x, b));
            mass = mass - inlet[c];
            energy = energy - inlet[c] * h_in;
            burned = burned - inlet[c] * b_in;
            let x = &mut rates.0[c];
            let burning = x[cyl::BURNED] - (x[cyl::MASS] + x[cyl::MASS_OUT]) * l.inlet.b + x[cyl::MASS_OUT] * l.exhaust.b;
            let before = l.gas.of_p(x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED]);
            x[cyl::MASS] = (inlet[c] - exhaust[c]) * per_h;
            x[cyl::BURNED] = (inlet[c] * b_in - exhaust[c] * b_out) * per_h + burning;
            x[cyl::ENERGY] = (inlet[c] * h_in - exhaust[c] * h_out) * per_h - x[cyl::HEAT] - x[cyl::WORK];
            let after = l.gas.of_p(x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED]);
            x[cyl::T_UNBURNED] = x[cyl::T_UNBURNED] + l.unburned * (after - before);
            x[cyl::T] = (enthalpy - gas.u - gas.rt - gas.more_u * (b - gas.b)) / (one + gas.r_over_cv) * l.gas.per_cv() * per_h;
            x[cyl::MASS_OUT] = exhaust[c] * per_h;
            x[cyl::ENTHALPY_OUT] = exhaust[c] * h_out * per_h;
        }
        let r = &mut rates.1;
        r[run::MASS] = mass * per_h;
        r[run::ENERGY] = energy * per_h;
        r[run::BURNED] = burned * per_h;
        let warmer = h_r - runner.u - runner.rt - runner.more_u * (b_r - runner.b);
        r[run::T] = warmer / (one + runner.r_over_cv) * self.runner.per_cv() * per_h;
    }
}
