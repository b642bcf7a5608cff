//! The charging circuit at one speed.
//!
//! Every winding is a sine behind its resistance and inductance, every diode a sharp junction with a source for its drop, battery and loads one EMF behind one
//! resistance. A shunt regulator, where the file has one, is a switch from plus of the bridge to the frame behind a diode, closed as volts rise past what it holds
//! and opened as they fall. Inputs that hang on nothing between two conductions have a damped snubber; without one ngspice finds no step small enough.

use physics::charge::{Circuit, Node, Regulator, Taken, Valve};
use std::fmt::Write;

/// Emission of the sharp junctions \[1\]: a twentieth of an ideal one, so that nearly all of the drop is in the source beside it.
const SHARP: f64 = 0.05;
/// Volts over such a junction at a few amps [V]: 0.05 · 25.85 mV · ln(5 A / 1 pA) at 27 °C.
const JUNCTION_V: f64 = 0.0378;
/// Steps of a period.
const STEPS: f64 = 800.0;
/// Periods that are run, and from which on they are measured. A regulator needs longer to find its rhythm.
const PERIODS: (f64, f64) = (60.0, 50.0);
/// The same with a regulator.
const REGULATED: (f64, f64) = (600.0, 300.0);

/// The netlist. `title` stands in its first line; it may not hold line breaks.
///
/// It measures the mean of the current into plus (`imean`), its root mean square (`irms`), that of every winding (`iw1` to `iw3`) and the mean volts of plus (`vmean`).
pub fn netlist(title: &str, circuit: &Circuit, taken: &Taken, regulator: Regulator, omega_rad_s: f64) -> String {
    let mut out = String::new();
    let bus = taken.bus();
    let hertz = omega_rad_s / std::f64::consts::TAU;
    let line = |out: &mut String, text: String| {
        out.push_str(&text);
        out.push('\n');
    };
    line(&mut out, format!("* {}", title.replace(['\n', '\r'], " ")));
    let node = |n: Node| match n {
        Node::Ground => "0".to_owned(),
        Node::Star => "star".to_owned(),
        Node::Terminal(k) => format!("t{}", k + 1),
    };
    for (k, w) in circuit.windings.iter().enumerate() {
        let n = k + 1;
        if w.open {
            line(&mut out, format!("* winding {n} is broken"));
            continue;
        }
        let degrees = w.phase_rad.to_degrees();
        line(
            &mut out,
            format!("V{n} e{n} {} SIN(0 {:.9} {hertz:.9} 0 0 {degrees:.9})", node(w.from), omega_rad_s * w.linkage_vs),
        );
        line(&mut out, format!("R{n} e{n} r{n} {:.9}", w.resistance_ohm));
        line(&mut out, format!("L{n} r{n} {} {:.12e} IC=0", node(w.to), w.inductance_h));
    }
    if circuit.windings.iter().any(|w| w.from == Node::Star || w.to == Node::Star) {
        line(&mut out, "Rstar star 0 1meg".to_owned());
    }
    for (k, t) in circuit.terminals.iter().enumerate() {
        let n = k + 1;
        valve(&mut out, &format!("u{n}"), &format!("t{n}"), "bridge", t.upper, circuit);
        valve(&mut out, &format!("d{n}"), "0", &format!("t{n}"), t.lower, circuit);
        line(&mut out, format!("Rs{n} t{n} s{n} 2.2k"));
        line(&mut out, format!("Cs{n} s{n} 0 10n"));
        line(&mut out, format!("Rl{n} t{n} 0 1meg"));
    }
    match regulator {
        Regulator::None => line(&mut out, "Vsense bridge plus 0".to_owned()),
        Regulator::Shunt { set_v, switch_v } => {
            // The battery is behind a valve of no drop, so that the switch does not short it.
            line(&mut out, "Vsense bridge before 0".to_owned());
            line(&mut out, "Dkeep before plus sharp".to_owned());
            line(&mut out, "Vclosed held 0 0".to_owned());
            line(&mut out, format!("Vswitch short held {:.9}", switch_v - circuit.diode_v));
            line(&mut out, "Sshunt bridge short meant 0 holds".to_owned());
            regulates(&mut out, set_v, bus.emf_v, omega_rad_s);
        }
        Regulator::Series { set_v } => {
            line(&mut out, "Sseries bridge before 0 meant opens".to_owned());
            line(&mut out, "Vsense before plus 0".to_owned());
            line(&mut out, "Rleak bridge 0 100k".to_owned());
            regulates(&mut out, set_v, bus.emf_v, omega_rad_s);
        }
    }
    line(&mut out, format!("Rbus plus emf {:.9}", bus.resistance_ohm.max(1e-6)));
    line(&mut out, format!("Vbus emf 0 {:.9}", bus.emf_v));
    line(&mut out, format!(".model sharp D(IS=1e-12 N={SHARP} RS=0.1m)"));
    line(&mut out, ".options reltol=1e-5 abstol=1e-6 vntol=1e-5 method=gear itl4=300 gmin=1e-9".to_owned());
    let (run, from) = if regulator == Regulator::None { PERIODS } else { REGULATED };
    let (step, end, from) = (1.0 / (hertz * STEPS), run / hertz, from / hertz);
    line(&mut out, format!(".tran {step:.9e} {end:.9e} 0 {step:.9e} UIC"));
    let window = format!("FROM={from:.9e} TO={end:.9e}");
    let sense = if matches!(regulator, Regulator::Shunt { .. }) { "Dkeep" } else { "Vsense" };
    let through = if sense == "Dkeep" { "@Dkeep[id]" } else { "i(Vsense)" };
    if sense == "Dkeep" {
        line(&mut out, ".save all @Dkeep[id]".to_owned());
    }
    line(&mut out, format!(".meas tran imean AVG {through} {window}"));
    line(&mut out, format!(".meas tran irms RMS {through} {window}"));
    for k in (0..circuit.windings.len()).filter(|&k| !circuit.windings[k].open) {
        line(&mut out, format!(".meas tran iw{n} RMS i(L{n}) {window}", n = k + 1));
    }
    line(&mut out, format!(".meas tran vmean AVG v(plus) {window}"));
    line(&mut out, ".end".to_owned());
    out
}

/// What the regulator feels: volts of plus as a filter of a few periods lets them through, and the two switches that follow it.
fn regulates(out: &mut String, set_v: f64, idle_v: f64, omega_rad_s: f64) {
    /// How far the volts swing about what is held, each way, as a share of what they lie above plus without the alternator \[1\]: so that it switches every few periods.
    const SWING: f64 = 1.0 / 6.0;
    /// Least swing [V].
    const LEAST_V: f64 = 0.005;
    let swing_v = (SWING * (set_v - idle_v)).max(LEAST_V);
    let tau = 20.0 * std::f64::consts::TAU / omega_rad_s;
    // Writing into a string does not fail.
    let _ = writeln!(out, "Rfeel plus meant 10k");
    let _ = writeln!(out, "Cfeel meant 0 {:.9e}", tau / 1e4);
    let _ = writeln!(out, ".model holds SW(VT={set_v:.9} VH={swing_v:.9} RON=1m ROFF=1meg)");
    let _ = writeln!(out, ".model opens SW(VT={:.9} VH={swing_v:.9} RON=1m ROFF=1meg)", -set_v);
}

fn valve(out: &mut String, name: &str, from: &str, to: &str, valve: Valve, circuit: &Circuit) {
    let _ = match valve {
        Valve::Open => Ok(()),
        Valve::Shorted => writeln!(out, "R{name} {from} {to} {:.9}", circuit.diode_ohm.max(1e-3)),
        Valve::Diode => {
            let drop = circuit.diode_v - JUNCTION_V;
            writeln!(out, "D{name} {from} x{name} sharp")
                .and_then(|()| writeln!(out, "V{name} x{name} y{name} {drop:.9}"))
                .and_then(|()| {
                    // Its resistance, or a piece of wire.
                    writeln!(out, "R{name} y{name} {to} {:.9}", circuit.diode_ohm.max(1e-6))
                })
        }
    };
}
