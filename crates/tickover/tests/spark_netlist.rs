//! Sparks as netlists: what ngspice makes of them, against the program's own steps.

use physics::spark::{
    Breaker, Circuit, Discharge, Feed, Switch,
    coil::{Coil, Load},
    open_pulse,
};
use tickover::exchange::netlist::spark::netlist;

/// Where netlists and table stand.
const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/spark");

const FOR_CAPACITOR: Coil =
    Coil { primary_ohm: 0.5, primary_h: 0.5e-3, turns: 90.0, coupling: 0.96, secondary_ohm: 4e3, winding_f: 50e-12 };
const FOR_BATTERY: Coil =
    Coil { primary_ohm: 3.4, primary_h: 8.5e-3, turns: 75.0, coupling: 0.95, secondary_ohm: 9.2e3, winding_f: 55e-12 };

/// Every circuit that is compared, by name.
fn grid() -> Vec<(String, Circuit)> {
    let mut all = Vec::new();
    let load = |series_ohm: f64, shunt_s: f64| Load { lead_f: 30e-12, series_ohm, plug_f: 10e-12, shunt_s };
    let store = |micro: f64, volts: f64, switch: Switch, across_v: Option<f64>| {
        Feed::Capacitor(Discharge {
            capacitance_f: micro * 1e-6,
            volts,
            leak_s: 1e-6,
            switch,
            switch_v: if switch == Switch::Closed { 0.0 } else { 1.3 },
            switch_ohm: 0.1,
            across_v,
        })
    };
    for (coil_name, coil) in [("cdi", FOR_CAPACITOR), ("coil", FOR_BATTERY)] {
        for (load_name, load) in [("clean", load(5e3, 0.0)), ("1m", load(5e3, 1e-6)), ("100k", load(0.0, 1e-5))] {
            for (feed_name, feed) in [
                ("thyristor", store(1.0, 250.0, Switch::OneWay, Some(0.8))),
                ("small", store(0.47, 160.0, Switch::OneWay, Some(0.8))),
                ("back", store(2.2, 300.0, Switch::BackDiode, None)),
                ("closed", store(1.0, 250.0, Switch::Closed, None)),
            ] {
                all.push((format!("{coil_name}-{load_name}-{feed_name}"), Circuit { coil, load, feed }));
            }
            let points = Breaker {
                supply_v: 12.5,
                series_ohm: 0.25,
                condenser_f: 0.22e-6,
                current_a: if coil_name == "cdi" { 15.0 } else { 3.3 },
                clamp_v: None,
                back_v: None,
            };
            let transistor = Breaker { condenser_f: 5e-9, clamp_v: Some(360.0), back_v: Some(0.8), ..points };
            for (feed_name, breaker) in [("points", points), ("transistor", transistor)] {
                let circuit = Circuit { coil, load, feed: Feed::Breaker(breaker) };
                all.push((format!("{coil_name}-{load_name}-{feed_name}"), circuit));
            }
        }
    }
    all
}

/// To write changed netlists: `UPDATE_NETLISTS=1 cargo test -p tickover --test spark_netlist`, and then `reference/spark/make.py`.
#[test]
fn the_netlists_of_the_comparison_are_those_that_the_program_writes() {
    let mut names = Vec::new();
    for (name, circuit) in grid() {
        let path = format!("{FOLDER}/{name}.cir");
        let text = netlist(&name, &circuit);
        if std::env::var_os("UPDATE_NETLISTS").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "{name}");
        names.push(format!("{name}.cir"));
    }
    let mut there: Vec<String> = std::fs::read_dir(FOLDER)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".cir"))
        .collect();
    names.sort();
    there.sort();
    assert_eq!(names, there);
}

/// Peak, its time and its rise, of every circuit.
#[test]
fn peak_and_rise_are_those_of_ngspice() {
    /// ngspice's own steps, at a thousand to the fastest swing, and its junctions in place of plain drops [1].
    const VOLTS: f64 = 1.5e-3;
    /// The same of times, in parts of the time to the peak [1].
    const TIMES: f64 = 2e-4;
    let table = std::fs::read_to_string(format!("{FOLDER}/grid.csv")).unwrap();
    let rows: Vec<Vec<&str>> = table.lines().filter(|l| !l.starts_with('#')).skip(1).map(|l| l.split(',').collect()).collect();
    let all = grid();
    assert_eq!(rows.len(), all.len());
    let (mut worst_v, mut worst_t) = (0.0f64, 0.0f64);
    for (row, (name, circuit)) in rows.iter().zip(&all) {
        assert_eq!(row[0], name);
        let number = |k: usize| row[k].parse::<f64>().unwrap();
        let pulse = open_pulse(circuit);
        let off_v = (pulse.peak_v / number(1) - 1.0).abs();
        let off_t = ((pulse.rise_s - number(3)) / number(2)).abs();
        println!("{name}: {:.1} V {:.3} us, off {off_v:.1e} {off_t:.1e}", pulse.peak_v, 1e6 * pulse.rise_s);
        (worst_v, worst_t) = (worst_v.max(off_v), worst_t.max(off_t));
        assert!(off_v < VOLTS && off_t < TIMES, "{name}: {pulse:?} {row:?}");
    }
    println!("worst {worst_v:.1e} {worst_t:.1e}");
}
