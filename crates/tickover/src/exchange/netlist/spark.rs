//! The circuit of one spark, from the moment the switch acts, with the plug's gap left open.
//!
//! Coil as two coupled inductors, diodes and thyristor as sharp junctions with a source for their drop. It measures the greatest voltage at the plug (`vpk`), when it comes
//! (`tpk`) and its rise from a tenth to nine tenths (`rise`).

use physics::spark::{Circuit, Feed, Switch};
use std::fmt::Write;

/// Emission of the sharp junctions \[1\]: a twentieth of an ideal one, so that nearly all of the drop is in the source beside it.
const SHARP: f64 = 0.05;
/// Volts over such a junction at ten amps [V]: 0.05 · 25.85 mV · ln(10 A / 1 pA) at 27 °C.
const JUNCTION_V: f64 = 0.0387;
/// Steps in the fastest swing.
const STEPS: f64 = 1000.0;

/// The netlist. `title` stands in its first line; line breaks in it become spaces.
pub fn netlist(title: &str, circuit: &Circuit) -> String {
    let mut out = format!("* {}\n", title.replace(['\n', '\r'], " "));
    // Writing into a string does not fail.
    let mut line = |text: String| {
        let _ = writeln!(out, "{text}");
    };
    match circuit.feed {
        Feed::Capacitor(d) => {
            line(format!("Cstore store 0 {:.9e} IC={:.9}", d.capacitance_f, d.volts));
            if d.leak_s > 0.0 {
                line(format!("Rleak store 0 {:.9e}", 1.0 / d.leak_s));
            }
            if d.switch == Switch::Closed {
                line("Vsw store on 0".to_owned());
            } else {
                line("Dsw store drop sharp".to_owned());
                line(format!("Vsw drop on {:.9}", d.switch_v - JUNCTION_V));
                // What hangs between diodes that block needs something to hang on.
                line("Rhold on held 10k".to_owned());
                line("Chold held 0 1n".to_owned());
            }
            if d.switch == Switch::BackDiode {
                line("Dback on back sharp".to_owned());
                line(format!("Vback back store {:.9}", d.switch_v - JUNCTION_V));
            }
            if let Some(across) = d.across_v {
                line("Dacross 0 across sharp".to_owned());
                line(format!("Vacross across store {:.9}", across - JUNCTION_V));
            }
            line(format!("Rsw on feed {:.9e}", d.switch_ohm.max(1e-6)));
            line(format!("R1 feed prim {:.9e}", circuit.coil.primary_ohm.max(1e-6)));
            line(format!("L1 prim 0 {:.9e} IC=0", circuit.coil.primary_h));
        }
        Feed::Breaker(b) => {
            line(format!("Vsupply plus 0 {:.9}", b.supply_v));
            line(format!("Rseries plus feed {:.9e}", b.series_ohm.max(1e-6)));
            line(format!("R1 feed prim {:.9e}", circuit.coil.primary_ohm.max(1e-6)));
            line(format!("L1 prim points {:.9e} IC={:.9}", circuit.coil.primary_h, b.current_a));
            line(format!("Cond points 0 {:.9e} IC=0", b.condenser_f));
            if let Some(clamp) = b.clamp_v {
                line("Dclamp points clamp sharp".to_owned());
                line(format!("Vclamp clamp 0 {:.9}", clamp - JUNCTION_V));
            }
            if let Some(back) = b.back_v {
                line("Dback 0 back sharp".to_owned());
                line(format!("Vback back points {:.9}", back - JUNCTION_V));
            }
        }
    }
    let (coil, load) = (&circuit.coil, &circuit.load);
    line(format!("L2 sec 0 {:.9e} IC=0", coil.secondary_h()));
    line(format!("K12 L1 L2 {:.9}", coil.coupling));
    line(format!("R2 sec end {:.9e}", coil.secondary_ohm.max(1e-3)));
    line(format!("Cend end 0 {:.9e} IC=0", coil.winding_f + load.lead_f));
    line(format!("Rcap end plug {:.9e}", load.series_ohm.max(1e-1)));
    line(format!("Cplug plug 0 {:.9e} IC=0", load.plug_f.max(1e-15)));
    line(format!("Rsoot plug 0 {:.9e}", 1.0 / load.shunt_s.max(1e-12)));
    line(format!(".model sharp D(IS=1e-12 N={SHARP} RS=0.1m)"));
    line(".options reltol=1e-5 abstol=1e-9 vntol=1e-5 method=gear itl4=300 gmin=1e-12".to_owned());
    let step = circuit.fastest_s() / STEPS;
    line(format!(".tran {step:.9e} {:.9e} 0 {step:.9e} UIC", circuit.first_swing_s()));
    line(".control\nrun".to_owned());
    // The secondary of a breaker swings the other way.
    let sign = if matches!(circuit.feed, Feed::Capacitor(_)) { "" } else { "-" };
    line(format!("let out = {sign}v(plug)"));
    line("meas tran vpk MAX out\nmeas tran tpk MAX_AT out\nlet low = 0.1*vpk\nlet high = 0.9*vpk".to_owned());
    line("meas tran t10 WHEN out=low RISE=1\nmeas tran t90 WHEN out=high RISE=1\nlet rise = t90-t10\nprint rise\nquit\n.endc\n.end".to_owned());
    out
}
