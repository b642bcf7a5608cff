//! The spark's circuits, against closed forms and outside solvers.

mod outside;

use outside::{close, near};
use physics::spark::{
    Breaker, Circuit, Discharge, Feed, Switch, burned,
    coil::{Coil, Load},
    follow, open_pulse, spark,
};
use std::f64::consts::PI;

const COIL: Coil =
    Coil { primary_ohm: 0.5, primary_h: 0.5e-3, turns: 90.0, coupling: 0.96, secondary_ohm: 4e3, winding_f: 50e-12 };
const LOAD: Load = Load { lead_f: 0.0, series_ohm: 0.0, plug_f: 0.0, shunt_s: 0.0 };
const STORE: Discharge = Discharge {
    capacitance_f: 1e-6,
    volts: 250.0,
    leak_s: 0.0,
    switch: Switch::Closed,
    switch_v: 0.0,
    switch_ohm: 0.05,
    across_v: None,
};

fn capacitor(coil: Coil, load: Load, store: Discharge) -> Circuit {
    Circuit { coil, load, feed: Feed::Capacitor(store) }
}

/// ngspice 39.3 (trap, reltol 1e-6, steps of 100, 50 and 25 ns agree to 0.1 V) and, apart from it, SciPy 1.17.1 with the matrix exponential of the same
/// network (28436.86 V).
#[test]
fn a_closed_switch_is_that_of_ngspice() {
    /// Spread of ngspice over its own steps [1], [s].
    const VOLTS: f64 = 2e-5;
    const RISE: f64 = 5e-9;
    let pulse = open_pulse(&capacitor(COIL, LOAD, STORE));
    close(pulse.peak_v, 28436.86, VOLTS);
    near(pulse.peak_s, 10.46e-6, 20e-9);
    near(pulse.rise_s, 6.182e-6, RISE);
    close(pulse.primary_a, 20.692, 1e-4);
    let least = follow(&capacitor(COIL, LOAD, STORE), None, 400e-6).iter().map(|m| m.plug_v).fold(0.0, f64::min);
    close(least, -20638.5, 2e-3);
}

/// The same with 1 MΩ across the plug, with and without a diode across the store (ngspice 39.3).
#[test]
fn a_fouled_plug_and_a_diode_across_the_store() {
    let load = Load { shunt_s: 1e-6, ..LOAD };
    let pulse = open_pulse(&capacitor(COIL, load, STORE));
    close(pulse.peak_v, 26578.4, 2e-4);
    near(pulse.peak_s, 10.32e-6, 20e-9);
    // Its diode has 10 mΩ and an exponential law, ours a drop.
    let circuit = capacitor(COIL, load, Discharge { across_v: Some(0.62), ..STORE });
    close(open_pulse(&circuit).peak_v, 26578.4, 2e-4);
    let least = follow(&circuit, None, 400e-6).iter().map(|m| m.plug_v).fold(0.0, f64::min);
    close(least, -8482.7, 1e-2);
}

/// i = V0/(wd L) exp(-at) sin(wd t): with nothing coupled, the primary is a damped swing. Numbers with numpy 2.4.6, and scipy 1.17.1 solve_ivp (rtol 1e-11).
#[test]
fn an_uncoupled_primary_is_a_damped_swing() {
    /// Cubic curves between steps [1].
    const BETWEEN: f64 = 2e-6;
    let pulse = open_pulse(&capacitor(Coil { coupling: 1e-9, ..COIL }, LOAD, STORE));
    close(pulse.primary_a, 10.96807118, BETWEEN);
}

/// Greatest secondary voltage [V] that a store of `capacitance_f` [F] at `volts` [V] could give if all of its energy went over: `½ C V² = ½ C₂ V₂²`.
fn energy_limit_v(capacitance_f: f64, volts: f64, secondary_f: f64) -> f64 {
    volts * (capacitance_f / secondary_f).sqrt()
}

/// A lossless, loosely coupled pair of circuits tuned alike hands over all its energy: the limit V √(C₁/C₂); and no coil goes beyond it.
#[test]
fn the_limit_of_energy() {
    let lossless = |coupling: f64, winding_f: f64| {
        let coil = Coil { primary_ohm: 0.0, secondary_ohm: 0.0, coupling, winding_f, ..COIL };
        open_pulse(&capacitor(coil, LOAD, Discharge { switch_ohm: 0.0, ..STORE }))
    };
    // Tuned: C₂ = C₁/n². Complete transfer at k = 0.6 (the double tuned transformer: frequencies 1/√(1±k) in the ratio 2:1), Finkelstein, Rev. Sci. Instrum.
    // 37 (1966) 159 (from memory).
    let tuned = 1e-6 / (90.0f64 * 90.0);
    close(lossless(0.6, tuned).peak_v, energy_limit_v(1e-6, 250.0, tuned), 1e-5);
    for coupling in [0.3, 0.8, 0.96] {
        for pf in [20e-12, 50e-12, 123e-12, 400e-12] {
            assert!(lossless(coupling, pf).peak_v <= energy_limit_v(1e-6, 250.0, pf) * (1.0 + 1e-6));
        }
    }
}

/// The limit of turns: a tight coil with hardly anything on its secondary gives n V when a stiff store is put on it, and twice that at the first swing of
/// its stray inductance.
#[test]
fn the_limit_of_turns() {
    let coil = Coil { primary_ohm: 0.0, secondary_ohm: 0.0, coupling: 0.999, winding_f: 1e-12, ..COIL };
    let store = Discharge { capacitance_f: 1e-3, switch_ohm: 0.0, ..STORE };
    let pulse = open_pulse(&capacitor(coil, LOAD, store));
    // 2 k n V, less the little that the secondary's capacitance is of the store's.
    close(pulse.peak_v, 2.0 * 0.999 * 90.0 * 250.0, 2e-3);
}

/// A coil cut off without losses: ½ L i² = ½ (C₁ + n² C₂) v₁² for a tight coil, v₂ = n v₁.
#[test]
fn a_coil_that_is_cut_off_gives_what_it_holds() {
    let coil = Coil { primary_ohm: 0.0, primary_h: 8e-3, turns: 80.0, coupling: 0.9999, secondary_ohm: 0.0, winding_f: 80e-12 };
    let breaker = Breaker { supply_v: 0.0, series_ohm: 0.0, condenser_f: 0.22e-6, current_a: 3.0, clamp_v: None, back_v: None };
    let circuit = Circuit { coil, load: LOAD, feed: Feed::Breaker(breaker) };
    let want = 80.0 * 3.0 * (8e-3f64 / (0.22e-6 + 80.0 * 80.0 * 80e-12)).sqrt();
    let pulse = open_pulse(&circuit);
    // The fast swing of the stray inductance rides on it.
    close(pulse.peak_v, want, 0.02);
    near(pulse.peak_s, 0.5 * PI * (8e-3f64 * (0.22e-6 + 80.0 * 80.0 * 80e-12)).sqrt(), 0.06 * pulse.peak_s);
    // A transistor that holds 200 V holds the plug's side at n times that (and the stray swing).
    let held = Circuit { feed: Feed::Breaker(Breaker { clamp_v: Some(200.0), back_v: Some(0.8), ..breaker }), ..circuit };
    close(open_pulse(&held).peak_v, 80.0 * 200.0, 0.03);
}

/// What was in the store is heat, gap and what is left, in every kind of circuit.
#[test]
fn energy_is_kept() {
    /// Rounding of some thousand exact steps [1].
    const KEPT: f64 = 1e-8;
    let load = Load { lead_f: 15e-12, series_ohm: 5e3, plug_f: 10e-12, shunt_s: 1e-6 };
    let mut looked_at = 0;
    for switch in [Switch::OneWay, Switch::BackDiode, Switch::Closed] {
        for across_v in [None, Some(0.8)] {
            for load in [load, Load { series_ohm: 0.0, ..load }] {
                for needed in [3e3, 12e3, 1e6] {
                    let store = Discharge { switch, across_v, switch_v: 1.2, leak_s: 1e-6, ..STORE };
                    let circuit = capacitor(COIL, load, store);
                    let s = spark(&circuit, needed, 500.0);
                    close(s.books.before_j, 31.25e-3, 1e-12);
                    near(s.books.amiss_j(), 0.0, KEPT * s.books.before_j);
                    assert_eq!(s.struck_s.is_some(), needed < 1e5);
                    assert_eq!(s.books.gap_j > 0.0, needed < 1e5);
                    // Without the other books it is the same spark.
                    let alone = burned(&circuit, needed, 500.0);
                    assert_eq!((alone.gap_j, alone.burns_s), (s.books.gap_j, s.burns_s));
                    looked_at += 1;
                }
            }
        }
    }
    for (clamp_v, back_v) in [(None, None), (Some(300.0), Some(0.8))] {
        for needed in [8e3, 1e6] {
            let coil = Coil { primary_ohm: 3.0, primary_h: 8e-3, turns: 80.0, secondary_ohm: 9e3, ..COIL };
            let breaker = Breaker { supply_v: 12.0, series_ohm: 0.2, condenser_f: 0.22e-6, current_a: 3.0, clamp_v, back_v };
            let s = spark(&Circuit { coil, load, feed: Feed::Breaker(breaker) }, needed, 500.0);
            near(s.books.amiss_j(), 0.0, KEPT * s.books.before_j);
            close(s.books.before_j, 36e-3, 1e-12);
            looked_at += 1;
        }
    }
    assert_eq!(looked_at, 40);
}
