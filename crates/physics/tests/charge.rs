//! Alternators and rectifiers: against formulas, ngspice's stored runs, and accounts that must close.

mod closed;

use closed::{Source, bridge_mean, pulse, short_circuit_limit, three_phase_first_harmonic};
use physics::charge::{
    Bus, Circuit, Kind, Node, NotACircuit, NotSettled, Regulator, Settled, Taken, TooHot, Valve, fast, regulate, steady, warm,
};
use std::f64::consts::TAU;

fn rad_s(rpm: f64) -> f64 {
    rpm * TAU / 60.0
}

fn stiff(volts: f64) -> Bus {
    Bus { emf_v: volts, resistance_ohm: 0.0 }
}

fn star() -> Circuit {
    Circuit::sound(Kind::Star, 0.008, 0.15, 0.25e-3, 0.7, 0.0)
}

fn at(circuit: &Circuit, bus: Bus, pole_pairs: f64, rpm: f64) -> Settled {
    steady(circuit, bus, pole_pairs * rad_s(rpm)).expect("a steady state")
}

/// A row of `reference/electric/plain.csv`: circuits as ngspice solves them.
struct Run {
    circuit: Circuit,
    pole_pairs: f64,
    rpm: f64,
    battery_v: f64,
    battery_ohm: f64,
    /// Of the clock of a shunt, in a period; none: no shunt.
    switchings: f64,
    through: f64,
    mean_a: f64,
    rms_a: f64,
}

fn ngspice() -> Vec<Run> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/electric/plain.csv");
    let text = std::fs::read_to_string(path).expect("the table");
    let rows = text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|line| {
        let (windings, numbers) = line.split_once(',').expect("columns");
        let n: Vec<f64> = numbers.split(',').map(|x| x.parse().expect("a number")).collect();
        let (kind, inductance_h, pole_pairs) =
            if windings == "star" { (Kind::Star, 0.25e-3, 6.0) } else { (Kind::HalfWave, 1.2e-3, 4.0) };
        let circuit = Circuit::sound(kind, n[0], n[1], inductance_h, 0.7, 0.0);
        let (rpm, battery_v, battery_ohm) = (n[2], n[3], n[4]);
        Run { circuit, pole_pairs, rpm, battery_v, battery_ohm, switchings: n[5], through: n[6], mean_a: n[7], rms_a: n[8] }
    });
    rows.collect()
}

/// Diodes of ngspice are not exactly flat, and its steps are 1600 a period: share, amps.
const NGSPICE: (f64, f64) = (0.0025, 0.004);

#[test]
fn bridges_and_half_waves_as_ngspice_has_them() {
    let runs: Vec<Run> = ngspice().into_iter().filter(|run| run.switchings == 0.0).collect();
    assert_eq!(runs.len(), 12);
    for run in runs {
        let t = at(&run.circuit, stiff(run.battery_v), run.pole_pairs, run.rpm).totals;
        let windings = run.circuit.windings.iter().zip(t.winding_rms_a).map(|(_, rms_a)| (rms_a, run.rms_a));
        for (ours, theirs) in windings.chain([(t.mean_a, run.mean_a)]) {
            assert!((ours - theirs).abs() <= NGSPICE.0 * theirs + NGSPICE.1, "{}: {ours} {theirs}", run.rpm);
        }
    }
}

/// The places of switchings are found to 1e-10 rad, and Simpson's rule over 1.5° leaves less than this of a mean [1].
const EXACT: f64 = 1e-6;

#[test]
fn half_waves_and_bridges_as_their_formulas_have_them() {
    let mut tried = [0, 0];
    for volts in [4.0, 13.5] {
        for (r, l) in [(0.4, 1.2e-3), (1.5, 0.3e-3), (0.05, 2e-3)] {
            for rpm in [900.0, 2300.0, 4100.0, 9000.0] {
                let omega = 4.0 * rad_s(rpm);
                let source = Source { peak_v: 0.02 * omega, resistance_ohm: r, reactance_ohm: omega * l };
                for (n, kind, drops) in [(0, Kind::HalfWave, 1.0), (1, Kind::FullWave, 2.0)] {
                    let circuit = Circuit::sound(kind, 0.02, r, l, 0.7, 0.0);
                    let ours = at(&circuit, stiff(volts), 4.0, rpm).totals.mean_a;
                    let against = volts + drops * 0.7;
                    let theirs =
                        if n == 0 { pulse(source, against).map_or(0.0, |p| p.mean_a) } else { bridge_mean(source, against) };
                    assert!((ours - theirs).abs() <= EXACT * theirs.max(0.01), "{kind:?} {volts} {r} {rpm}: {ours} {theirs}");
                    tried[n] += usize::from(theirs > 0.0);
                }
            }
        }
    }
    assert!(tried[0] >= 15 && tried[1] >= 15, "{tried:?}");
}

#[test]
fn three_phases_near_the_first_harmonic_and_the_limits() {
    // Caliskan and others, 2003: the formula is for current without rests; how far off it is falls with speed.
    let source = |rpm: f64| {
        let omega = 6.0 * rad_s(rpm);
        Source { peak_v: 0.008 * omega, resistance_ohm: 0.15, reactance_ohm: omega * 0.25e-3 }
    };
    // Rows worked out with NumPy.
    for (rpm, amps) in
        [(2000.0, 3.249651908), (2500.0, 12.55197171), (3500.0, 20.99430041), (5000.0, 25.75133127), (8000.0, 28.64996446)]
    {
        assert!((three_phase_first_harmonic(source(rpm), 14.9) / amps - 1.0).abs() < 1e-8, "{rpm}");
    }
    let off = |rpm: f64| three_phase_first_harmonic(source(rpm), 14.9) / at(&star(), stiff(13.5), 6.0, rpm).totals.mean_a - 1.0;
    let row = [3500.0, 5000.0, 8000.0, 20000.0].map(off);
    assert!(row.windows(2).all(|w| w[1] < w[0]) && row[3] > 0.0 && row[3] < 0.002, "{row:?}");
    // Without resistance and ever faster it nears the short-circuit limit, whatever the volts.
    let limit = short_circuit_limit(true, 0.008, 0.25e-3);
    assert!((limit - 30.55774907).abs() < 1e-7);
    let free = Circuit::sound(Kind::Star, 0.008, 1e-3, 0.25e-3, 0.7, 0.0);
    let fast = at(&free, stiff(13.5), 6.0, 60000.0).totals.mean_a;
    assert!((fast / limit - 1.0).abs() < 0.001, "{fast} {limit}");
    let single = Circuit::sound(Kind::FullWave, 0.008, 1e-3, 0.25e-3, 0.7, 0.0);
    let fast = at(&single, stiff(13.5), 6.0, 60000.0).totals.mean_a;
    // Its harmonics near the limit more slowly.
    assert!((fast / short_circuit_limit(false, 0.008, 0.25e-3) - 1.0).abs() < 0.005, "{fast}");
}

#[test]
fn an_ideal_bridge_gives_the_mean_of_its_peaks() {
    // Any power electronics text: Vd0 = (3√2/π) V_LL = 1.350474 V_LL. Loaded through 10 kΩ behind next to no impedance, its volts are that.
    let omega = 6.0 * rad_s(3000.0);
    let circuit = Circuit::sound(Kind::Star, 0.01, 1e-4, 1e-9, 0.0, 0.0);
    let t = steady(&circuit, Bus { emf_v: 0.0, resistance_ohm: 1e4 }, omega).unwrap().totals;
    let line_to_line_rms = 3f64.sqrt() * 0.01 * omega / 2f64.sqrt();
    /// Commutation takes a little.
    const IDEAL: f64 = 1e-4;
    assert!((t.mean_a * 1e4 / line_to_line_rms - 1.350474474).abs() < IDEAL, "{}", t.mean_a * 1e4 / line_to_line_rms);
    assert!((t.between_rms_v[0] / line_to_line_rms - 1.0).abs() < 0.001);
}

#[test]
fn a_delta_is_a_star_of_a_third() {
    // A ring of R, L and linkage Ψ behaves outside as a star of R/3, L/3 and Ψ/√3 (any network text).
    let (r, l, linkage) = (0.45, 0.75e-3, 0.008 * 3f64.sqrt());
    let ring = Circuit::sound(Kind::Delta, linkage, r, l, 0.7, 0.0);
    for rpm in [2000.0, 2600.0, 5000.0] {
        let (a, b) = (at(&ring, stiff(13.5), 6.0, rpm).totals, at(&star(), stiff(13.5), 6.0, rpm).totals);
        assert!((a.mean_a / b.mean_a - 1.0).abs() < EXACT, "{rpm}: {} {}", a.mean_a, b.mean_a);
        assert!((a.range_a.1 / b.range_a.1 - 1.0).abs() < 1e-4);
        assert!((a.copper_w.iter().sum::<f64>() / b.copper_w.iter().sum::<f64>() - 1.0).abs() < 1e-5);
    }
}

/// All manner of circuits, sound and not.
fn many() -> Vec<(String, Circuit)> {
    let mut all = Vec::new();
    for kind in [Kind::HalfWave, Kind::FullWave, Kind::Star, Kind::Delta] {
        let sound = Circuit::sound(kind, 0.012, 0.2, 0.4e-3, 0.7, 0.01);
        all.push((format!("{kind:?} sound"), sound.clone()));
        let mut dead = sound.clone();
        dead.windings[0].open = true;
        all.push((format!("{kind:?} dead phase"), dead));
        let mut open = sound.clone();
        open.terminals[0].upper = Valve::Open;
        all.push((format!("{kind:?} open upper"), open));
        let mut weak = sound.clone();
        weak.windings.last_mut().unwrap().linkage_vs *= 0.6;
        weak.windings.last_mut().unwrap().resistance_ohm *= 0.7;
        all.push((format!("{kind:?} turns shorted"), weak));
        let mut through = sound.clone();
        through.terminals[0].upper = Valve::Shorted;
        all.push((format!("{kind:?} shorted upper"), through));
        if kind != Kind::HalfWave {
            let mut open = sound.clone();
            open.terminals[1].lower = Valve::Open;
            all.push((format!("{kind:?} open lower"), open));
            let mut through = sound.clone();
            through.terminals[1].lower = Valve::Shorted;
            all.push((format!("{kind:?} shorted lower"), through));
        }
    }
    all
}

#[test]
fn accounts_close_for_every_fault() {
    for (name, circuit) in many() {
        for (emf_v, resistance_ohm) in [(12.6, 0.03), (6.3, 0.1), (-0.4, 0.0), (12.6, 0.0)] {
            for rpm in [400.0, 1500.0, 3000.0, 9000.0] {
                let found = steady(&circuit, Bus { emf_v, resistance_ohm }, 6.0 * rad_s(rpm));
                let t = found.unwrap_or_else(|e| panic!("{name} {emf_v} {rpm}: {e}")).totals;
                let spent = t.bus_w + t.copper_w.iter().sum::<f64>() + t.valves_w;
                let size = t.emf_w.abs() + t.bus_w.abs() + 1e-3;
                assert!((t.emf_w - spent).abs() < 1e-5 * size, "{name} {emf_v} {rpm}: {} {spent}", t.emf_w);
                assert!(t.bus_w.is_finite() && t.mean_a <= t.range_a.1 + 1e-9 && t.mean_a >= t.range_a.0 - 1e-9);
                let bus = emf_v * t.mean_a + resistance_ohm * t.rms_a.powi(2);
                assert!((bus - t.bus_w).abs() < 1e-6 * size, "{name}: {bus} {}", t.bus_w);
            }
        }
    }
}

#[test]
fn the_regulator_shares_the_time() {
    let taken = Taken { battery_v: 12.7, battery_ohm: 0.05, conductance_s: 0.3, constant_a: 0.5 };
    let omega = 6.0 * rad_s(5000.0);
    let open = regulate(&star(), &taken, Regulator::None, omega).unwrap();
    assert_eq!(open.through, 1.0);
    // Kirchhoff at plus, and Ohm at the battery.
    assert!((open.rectified_a - open.battery_a - open.loads_a).abs() < 1e-9);
    assert!((open.plus_v - 12.7 - 0.05 * open.battery_a).abs() < 1e-9);
    let set_v = 13.4;
    assert!(open.plus_v > set_v);
    let series = regulate(&star(), &taken, Regulator::Series { set_v }, omega).unwrap();
    let shunt = regulate(&star(), &taken, Regulator::Shunt { set_v, switch_v: 1.0 }, omega).unwrap();
    for held in [&series, &shunt] {
        assert!((held.plus_v - set_v).abs() < 1e-9 && held.through < 1.0);
        assert!((held.battery_a - (set_v - 12.7) / 0.05).abs() < 1e-9);
        // What the magnets give goes into copper, valves and plus, whose volts swing about the set ones as the regulator switches.
        let spent = held.copper_w.iter().sum::<f64>() + held.valves_w + held.through * held.open.totals.bus_w;
        assert!((held.emf_w - spent).abs() < 1e-4 * spent, "{} {spent}", held.emf_w);
    }
    // Joined windings go on getting warm, open ones do not.
    let heat = |r: &physics::charge::Regulated| r.copper_w.iter().sum::<f64>();
    assert!(
        heat(&series) < heat(&open) && heat(&shunt) > 0.9 * heat(&open),
        "{} {} {}",
        heat(&series),
        heat(&open),
        heat(&shunt)
    );
    assert!((series.copper_w[0] / (series.through * series.open.totals.copper_w[0]) - 1.0).abs() < 1e-12);
    // Joined through a volt, fast: nearly the short-circuit current, by its phasor.
    let fast = 6.0 * rad_s(12000.0);
    let joined =
        regulate(&star(), &Taken { battery_v: 14.0, ..taken }, Regulator::Shunt { set_v: 13.0, switch_v: 0.0 }, fast).unwrap();
    assert_eq!(joined.through, 0.0);
    let phasor = 0.008 * fast / 2f64.sqrt() / 0.15f64.hypot(fast * 0.25e-3);
    assert!((joined.winding_rms_a[0] / phasor - 1.0).abs() < 0.01, "{} {phasor}", joined.winding_rms_a[0]);
}

#[test]
fn the_winding_warms_until_its_heat_is_carried_off() {
    // A constant current: P = I²R(1 + α(T − 20 °C)), a straight equation.
    let (alpha, p20, k_w, t0) = (1.0 / 254.5, 40.0, 1.5, 313.15);
    let heat = |t: f64| p20 * physics::copper::ratio(293.15, t);
    let found = warm(t0, k_w, |t| Ok::<f64, NotSettled>(heat(t))).unwrap();
    let exact = (t0 + k_w * p20 * (1.0 - alpha * 293.15)) / (1.0 - k_w * p20 * alpha);
    assert!((found.kelvin - exact).abs() < 0.06, "{} {exact}", found.kelvin);
    // Steeper than a kelvin for a kelvin.
    assert_eq!(warm(t0, 7.0, |t| Ok::<f64, NotSettled>(heat(t))), Err(TooHot::Runaway));
    assert_eq!(warm(t0, 7.0, |_| Err(NotSettled::Chatter)), Err(TooHot::Heat(NotSettled::Chatter)));
}

#[test]
fn what_is_no_circuit_is_said() {
    let bus = stiff(12.0);
    let why = |change: &dyn Fn(&mut Circuit)| {
        let mut c = star();
        change(&mut c);
        match steady(&c, bus, 100.0) {
            Err(NotSettled::NotACircuit(why)) => why,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(why(&|c| c.windings.clear()), NotACircuit::Count { windings: 0, terminals: 3 });
    assert_eq!(why(&|c| c.windings[1].resistance_ohm = 0.0), NotACircuit::BadWinding { winding: 1 });
    assert_eq!(why(&|c| c.windings[2].inductance_h = f64::NAN), NotACircuit::BadWinding { winding: 2 });
    assert_eq!(why(&|c| c.windings[0].to = Node::Terminal(3)), NotACircuit::Loose { winding: 0 });
    assert_eq!(why(&|c| c.diode_v = -0.1), NotACircuit::BadBus);
    assert_eq!(
        why(&|c| (c.terminals[1].upper, c.terminals[1].lower) = (Valve::Shorted, Valve::Shorted)),
        NotACircuit::BatteryShorted { terminal: 1 }
    );
    assert_eq!(steady(&star(), bus, 0.0), Err(NotSettled::BadSpeed));
}

/// A shunt that a clock switches: battery and what it shall hold for the share of time that the clock leaves.
fn clocked(run: &Run) -> (Taken, f64, f64) {
    let taken = Taken { battery_v: run.battery_v, battery_ohm: run.battery_ohm, conductance_s: 0.0, constant_a: 0.0 };
    (taken, run.battery_v + run.battery_ohm * run.mean_a, run.pole_pairs * rad_s(run.rpm))
}

#[test]
fn a_shunt_that_switches_fast_as_ngspice_has_it() {
    /// Ripple of the switching, and diodes that are not exactly flat [1].
    const RIPPLE: f64 = 0.01;
    let runs: Vec<Run> = ngspice().into_iter().filter(|run| run.switchings >= 3.0).collect();
    assert_eq!(runs.len(), 5);
    for run in runs {
        let (taken, set_v, omega) = clocked(&run);
        let found = fast(&run.circuit, &taken, set_v, 1.0, omega).unwrap().expect("something to hold");
        assert!((found.winding_rms_a[0] / run.rms_a - 1.0).abs() < RIPPLE, "{} {found:?}", run.rms_a);
        assert!((found.through - run.through).abs() < RIPPLE, "{} {found:?}", run.through);
        // Slow switching is the other end, and lies below.
        let slow = regulate(&run.circuit, &taken, Regulator::Shunt { set_v, switch_v: 1.0 }, omega).unwrap();
        assert!(slow.through < 1.0 && slow.winding_rms_a[0] < found.winding_rms_a[0], "{slow:?}");
        // Nothing to hold where all that it gives is taken.
        assert_eq!(fast(&run.circuit, &taken, run.battery_v + 40.0 * run.battery_ohm + 1.0, 1.0, omega).unwrap(), None);
    }
}

/// Eight periods to a switching: shares of time, as [`regulate`] has it.
#[test]
fn a_shunt_that_switches_slowly_as_ngspice_has_it() {
    let run = ngspice().into_iter().find(|run| run.switchings > 0.0 && run.switchings < 1.0).expect("its row");
    let (taken, set_v, omega) = clocked(&run);
    let slow = regulate(&run.circuit, &taken, Regulator::Shunt { set_v, switch_v: 1.0 }, omega).unwrap();
    // Each switching leaves some of what flowed before.
    assert!((slow.through - run.through).abs() < 0.03 && (slow.winding_rms_a[0] / run.rms_a - 1.0).abs() < 0.015, "{slow:?}");
}

#[test]
fn parts_of_a_period_put_together_are_the_whole() {
    /// How far a winding is put out, as a share of its resistance: enough that the circuit is no longer symmetric, and the period is run as a whole.
    const OUT: f64 = 1e-11;
    /// What two searches for the same steady state leave between them, as a share of the largest [1]: each stops at a change of 1e-9 between parts, of which
    /// some twenty are left at this speed.
    const NEAR: f64 = 1e-7;
    for (kind, diode_ohm) in [(Kind::FullWave, 0.0), (Kind::Star, 0.0), (Kind::Delta, 0.0), (Kind::Star, 0.02)] {
        for (rpm, emf_v) in [(900.0, 12.6), (1500.0, 12.6), (5000.0, 13.5), (8000.0, -0.7)] {
            let even = Circuit::sound(kind, 0.008, 0.15, 0.25e-3, 0.7, diode_ohm);
            let mut uneven = even.clone();
            uneven.windings[0].resistance_ohm *= 1.0 + OUT;
            let bus = Bus { emf_v, resistance_ohm: 0.03 };
            let (even, whole) = (at(&even, bus, 6.0, rpm), at(&uneven, bus, 6.0, rpm));
            let (a, b) = (&even.totals, &whole.totals);
            let same = |x: f64, y: f64, size: f64| assert!((x - y).abs() <= NEAR * size.max(1e-3), "{kind:?} {rpm} {x} {y}");
            let amps = b.range_a.1.abs().max(b.winding_rms_a[0]);
            same(a.mean_a, b.mean_a, amps);
            same(a.rms_a, b.rms_a, amps);
            same(a.range_a.0, b.range_a.0, amps);
            same(a.range_a.1, b.range_a.1, amps);
            let watt = b.emf_w.abs();
            for (x, y) in [(a.valves_w, b.valves_w), (a.emf_w, b.emf_w), (a.bus_w, b.bus_w)] {
                same(x, y, watt);
            }
            for k in 0..3 {
                same(a.winding_rms_a[k], b.winding_rms_a[k], amps);
                same(a.copper_w[k], b.copper_w[k], watt);
                same(a.between_rms_v[k], b.between_rms_v[k], 20.0);
                same(a.between_mean_v[k], b.between_mean_v[k], 20.0);
            }
            assert_eq!(even.samples.len(), whole.samples.len());
            for (x, y) in even.samples.iter().zip(&whole.samples) {
                assert_eq!(x.angle_rad, y.angle_rad);
                same(x.into_plus_a, y.into_plus_a, amps);
                (0..3).for_each(|k| same(x.windings_a[k], y.windings_a[k], amps));
            }
        }
    }
}
