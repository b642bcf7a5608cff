//! Time steps in which pressures equalise through open valves faster than the crank turns.
//!
//! Near equal pressures the flow through an opening grows with the square root of their difference, so the slower the crank and the wider
//! the valve, the stiffer the balance. A linearly implicit step bears that at any length: the two-stage, second-order W-method of Verwer,
//! Spee, Blom and Hundsdorfer, SIAM J. Sci. Comput. 20 (1999) 1456–1480 (ROS2; from memory), with γ = 1 − 1/√2, for which it is L-stable:
//!
//! (1 − γhJ) k₁ = f(t, y) + γh fₜ, (1 − γhJ) k₂ = f(t + h, y + h k₁) − 2 k₁ − γh fₜ, y ← y + 3/2 h k₁ + 1/2 h k₂.
//!
//! It keeps its order whatever J is, so J holds the equalising alone: every flow answers to the pressures at its two ends, and carries what it
//! carries. Then (1 − γhJ)⁻¹ is a small system in the pressures, one for each cylinder and one for the runner. What J adds to the rates are
//! flows like any other, taken from one account and given to another, so mass, burned mass and energy are kept to rounding.

use super::{
    body::Change,
    kernel::{Rates, cyl, run},
};
use crate::lanes::Lanes;
use std::f64::consts::FRAC_1_SQRT_2;

/// γ of the method [1], 1 − 1/√2: exact, the smaller root of γ² − 2γ + ½.
const GAMMA: f64 = 1.0 - FRAC_1_SQRT_2;
/// Most of its mass, or of its pressure, that a body may lose in one step [1] (own choice). It was reached only where several
/// cylinders exchange the gas of one tiny plenum within one step (crates/physics/tests/cycle.rs); where it is, the cycle does not count as settled.
const MOST_LOST: f64 = 0.7;

/// A flow, how it answers to pressure, and what it carries.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link<V> {
    /// Growth with the pressure before it, and fall with that behind it [kg/(rad·Pa)].
    pub per_first: V,
    pub per_second: V,
    /// Enthalpy [J/kg] and burned fraction of what flows.
    pub h: V,
    pub b: V,
}

/// Everything about the flows at one moment that J needs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Links<V, const CYL: usize> {
    pub runner: Change<V>,
    pub throttle: Link<V>,
    pub cyl: [CylinderLinks<V>; CYL],
}

/// The same for one cylinder.
#[derive(Clone, Copy, Debug)]
pub(super) struct CylinderLinks<V> {
    pub gas: Change<V>,
    pub inlet: Link<V>,
    pub exhaust: Link<V>,
    /// Temperature of the unburned gas per pressure [K/Pa].
    pub unburned: V,
}

impl<V: Lanes, const CYL: usize> Links<V, CYL> {
    /// Makes k₁ of the first rates of a step of width `h`.
    #[inline(always)]
    pub fn first(&self, rates: &mut Rates<V, CYL>, h: f64) {
        self.relax(rates, GAMMA * h, 1.0);
    }

    /// Makes 3/2 k₁ + 1/2 k₂ of the second rates; `self` and `first` are of the start of the step.
    #[inline(always)]
    pub fn second(&self, first: &Rates<V, CYL>, rates: &mut Rates<V, CYL>, h: f64) {
        let s = V::splat;
        macro_rules! combine {
            ($to:expr, $first:expr, $times:expr, $plus:expr; $($k:literal)*) => {
                $( $to[$k] = s($times) * $to[$k] + s($plus) * $first[$k]; )*
            };
        }
        for c in 0..CYL {
            combine!(rates.0[c], first.0[c], 1.0, -2.0; 0 1 2 3 4 5 6 7 8 9 10 11 12);
        }
        combine!(rates.1, first.1, 1.0, -2.0; 0 1 2 3 4 5 6);
        self.relax(rates, GAMMA * h, -1.0);
        for c in 0..CYL {
            combine!(rates.0[c], first.0[c], 0.5, 1.5; 0 1 2 3 4 5 6 7 8 9 10 11 12);
        }
        combine!(rates.1, first.1, 0.5, 1.5; 0 1 2 3 4 5 6);
    }

    /// Turns `rates` r into (1 − reach · J)⁻¹ (r + reach · `piston` · fₜ).
    #[inline(always)]
    fn relax(&self, rates: &mut Rates<V, CYL>, reach: f64, piston: f64) {
        let s = V::splat;
        let one = s(1.0);
        let reach = s(reach);
        // Pressures of the cylinders, p_c = own + share · p_runner, put into that of the runner.
        let x = &rates.1;
        let mut runner = self.runner.of_p(x[run::MASS], x[run::ENERGY], x[run::BURNED]);
        let mut runner_stiff = one + self.runner.by_flow(self.throttle.h, self.throttle.b) * reach * self.throttle.per_second;
        let mut own = [s(0.0); CYL];
        let mut share = [s(0.0); CYL];
        for c in 0..CYL {
            let l = &self.cyl[c];
            let x = &rates.0[c];
            let by_inlet = l.gas.by_flow(l.inlet.h, l.inlet.b) * reach;
            let by_exhaust = l.gas.by_flow(l.exhaust.h, l.exhaust.b) * reach;
            let per_stiff = one / (one + by_inlet * l.inlet.per_second + by_exhaust * l.exhaust.per_first);
            own[c] = (l.gas.of_p(x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED]) + s(piston) * l.gas.by_piston) * per_stiff;
            share[c] = by_inlet * l.inlet.per_first * per_stiff;
            let given = self.runner.by_flow(l.inlet.h, l.inlet.b) * reach;
            runner = runner + given * l.inlet.per_second * own[c];
            runner_stiff = runner_stiff + given * (l.inlet.per_first - l.inlet.per_second * share[c]);
        }
        let p_runner = runner / runner_stiff;
        // The flows' changes, and what they carry.
        let drawn = -(reach * self.throttle.per_second * p_runner);
        let (mut mass, mut energy, mut burned) = (drawn, drawn * self.throttle.h, drawn * self.throttle.b);
        let r = &mut rates.1;
        r[run::DRAWN] = r[run::DRAWN] + drawn;
        r[run::ENTHALPY_IN] = r[run::ENTHALPY_IN] + energy;
        for c in 0..CYL {
            let l = &self.cyl[c];
            let pressure = own[c] + share[c] * p_runner;
            let inlet = reach * (l.inlet.per_first * p_runner - l.inlet.per_second * pressure);
            let exhaust = reach * l.exhaust.per_first * pressure;
            let (inlet_energy, inlet_burned) = (inlet * l.inlet.h, inlet * l.inlet.b);
            let (exhaust_energy, exhaust_burned) = (exhaust * l.exhaust.h, exhaust * l.exhaust.b);
            (mass, energy, burned) = (mass - inlet, energy - inlet_energy, burned - inlet_burned);
            let (gained, warmed, soiled) = (inlet - exhaust, inlet_energy - exhaust_energy, inlet_burned - exhaust_burned);
            let x = &mut rates.0[c];
            x[cyl::MASS] = x[cyl::MASS] + gained;
            x[cyl::ENERGY] = x[cyl::ENERGY] + warmed;
            x[cyl::BURNED] = x[cyl::BURNED] + soiled;
            x[cyl::T] = x[cyl::T] + l.gas.of_t(gained, warmed, soiled);
            x[cyl::T_UNBURNED] = x[cyl::T_UNBURNED] + l.unburned * l.gas.of_p(gained, warmed, soiled);
            x[cyl::ENTHALPY_OUT] = x[cyl::ENTHALPY_OUT] + exhaust_energy;
            x[cyl::MASS_OUT] = x[cyl::MASS_OUT] + exhaust;
        }
        let r = &mut rates.1;
        r[run::MASS] = r[run::MASS] + mass;
        r[run::ENERGY] = r[run::ENERGY] + energy;
        r[run::BURNED] = r[run::BURNED] + burned;
        r[run::T] = r[run::T] + self.runner.of_t(mass, energy, burned);
    }

    /// How much of a step of width `h` along `rates` every body bears: 1, or less where one would lose more than [`MOST_LOST`] of its
    /// mass or pressure. Going less far along all rates alike keeps mass and energy, but the crank goes all the way: `State` counts it.
    #[inline(always)]
    pub fn bearable(&self, rates: &Rates<V, CYL>, h: f64) -> V {
        let s = V::splat;
        let r = &rates.1;
        let mut most = s(1.0);
        macro_rules! bear {
            ($gas:expr, $mass:expr, $energy:expr, $burned:expr) => {
                let (lost, fallen) = (s(-h) * $mass, s(-h) * $gas.of_p($mass, $energy, $burned));
                let (may_lose, may_fall) = (s(MOST_LOST) * $gas.m, s(MOST_LOST) * $gas.p);
                if may_lose.any_less(lost) {
                    most = most.max(lost / may_lose);
                }
                if may_fall.any_less(fallen) {
                    most = most.max(fallen / may_fall);
                }
            };
        }
        bear!(self.runner, r[run::MASS], r[run::ENERGY], r[run::BURNED]);
        for c in 0..CYL {
            let x = &rates.0[c];
            bear!(self.cyl[c].gas, x[cyl::MASS], x[cyl::ENERGY], x[cyl::BURNED]);
        }
        if s(1.0).any_less(most) { s(1.0) / most } else { s(1.0) }
    }
}
