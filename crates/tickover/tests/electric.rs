//! `tickover windings`, `charge`, `wire` and `netlist` from file to answer, and the netlists' circuits beside what ngspice found of them.

mod asked;

use asked::tickover;

fn json(arguments: &[&str]) -> serde_json::Value {
    let out = tickover(arguments);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("JSON")
}

#[test]
fn the_corran_in_json() {
    let windings = json(&["windings", "corran-360.toml", "--json"]);
    let first = &windings["windings"]["windings"][0];
    // (0.72 − 0.30) Ω · 254.5/252.5.
    assert!((first["at_20_ohm"]["value"].as_f64().unwrap() - 0.42333).abs() < 1e-4);
    assert_eq!((&first["verdict"], &first["insulation"]), (&"within".into(), &"good".into()));
    let charge = json(&["charge", "corran-360.toml", "--json"]);
    let charge = &charge["charge"];
    assert_eq!(charge["points"].as_array().map(Vec::len), Some(12));
    assert_eq!(charge["looks_like"]["faults"][0]["fault"], "weak_magnets");
    assert_eq!((&charge["break_even"], &charge["ride"]["plan"]), (&"at".into(), &"switch_off".into()));
    assert_eq!(charge["ride"]["switch_off"][0], "heated grips");
    // Its ignition has a source coil of its own.
    assert_eq!(charge["ride"]["alone"], serde_json::Value::Null);
    let wires = json(&["wire", "corran-360.toml", "--json"]);
    assert_eq!(wires["wires"]["wires"][3]["fuse"], "too_large");
    let tarn = json(&["charge", "tarn-500.toml", "--json"]);
    let alone = &tarn["charge"]["ride"]["alone"][0];
    assert!(alone["lasts_s"]["value"].as_f64().unwrap() > 600.0 && alone["way_km"]["plus_minus"].as_f64().unwrap() > 0.0);
}

#[test]
fn cautions_stand_before_their_step_and_lines_fit() {
    for (command, caution, step) in [
        ("windings", "An insulation tester puts out 500 V", "Test each winding against the frame"),
        ("charge", "A battery that is charged gives off hydrogen", "Charge the battery, let it rest"),
        ("wire", "A battery drives hundreds of amps", "Make good what drops"),
    ] {
        let out = tickover(&[command, "corran-360.toml", "--width", "80"]);
        let text = String::from_utf8(out.stdout.clone()).expect("text");
        let said = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let at = |what: &str| said.find(what).unwrap_or_else(|| panic!("{what:?} is not in\n{text}"));
        assert!(at(caution) < at(step));
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        assert_eq!(out.stdout, tickover(&[command, "corran-360.toml", "--width", "80"]).stdout);
    }
}

#[test]
fn sheets_and_pictures_are_written() {
    let folder = tempfile::tempdir().expect("a folder");
    for command in ["windings", "charge", "wire"] {
        let file = folder.path().join(format!("{command}.pdf"));
        let out = tickover(&[command, "corran-360.toml", "--sheet", file.to_str().unwrap()]);
        assert!(out.status.success());
        let pdf = std::fs::read(&file).expect("a sheet");
        assert!(pdf.starts_with(b"%PDF"));
        assert_eq!(tickover(&[command, "corran-360.toml", "--sheet", "-"]).stdout, pdf);
    }
    let wiring = folder.path().join("wiring.svg");
    assert!(tickover(&["wire", "tarn-500.toml", "--svg", wiring.to_str().unwrap()]).status.success());
    assert!(std::fs::read_to_string(wiring).unwrap().contains("wire-0"));
}

#[test]
fn what_the_file_does_not_have_is_told() {
    for (command, said, code) in
        [("windings", "no [[winding]]", "windings"), ("charge", "no [charging]", "charge"), ("wire", "no [[wire]]", "wires")]
    {
        let out = tickover(&[command, "pellow-125.toml"]);
        assert_eq!(out.status.code(), Some(4), "{command}");
        assert!(String::from_utf8_lossy(&out.stderr).contains(said), "{command}");
        let out = tickover(&[command, "pellow-125.toml", "--json"]);
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        assert_eq!(answer[code]["not_studied"], "missing");
    }
    assert_eq!(tickover(&["netlist", "pellow-125.toml"]).status.code(), Some(4));
}

#[test]
fn warnings_and_what_is_unknown_reach_json() {
    let charge = json(&["charge", "corran-360.toml", "--json"]);
    let charge = &charge["charge"];
    assert!(charge["warnings"].is_array());
    assert_eq!((&charge["hot_with"], &charge["break_even_why"]), (&"what_must_stay_on".into(), &serde_json::Value::Null));
    assert!(charge["stator_fast_w"]["value"].as_f64().unwrap() > charge["stator_w"]["value"].as_f64().unwrap());
    assert!(charge["winding_fast_c"]["value"].as_f64().unwrap() > charge["winding_c"]["value"].as_f64().unwrap());
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("boils.toml");
    let corran = workshop::machine::EXAMPLES[0].1;
    let without = corran.replacen("regulator = \"shunt\"", "regulator = \"none\"", 1);
    let without = without.replacen("regulator_volts = { value = \"14.3 ± 0.2 V\", with = \"meter\" }\n", "", 1);
    std::fs::write(&file, without).expect("written");
    let warned = json(&["charge", file.to_str().unwrap(), "--json"]);
    let first = &warned["charge"]["warnings"][0];
    assert_eq!((&first["warning"], &first["limit_v"]), (&"boils".into(), &15.0.into()));
    assert!(first["volts"]["value"].as_f64().unwrap() > 14.0 && first.get("winding_c").is_none());
}

#[test]
fn every_drawing_of_the_wiring_is_saved() {
    let folder = tempfile::tempdir().expect("a folder");
    let tarn = workshop::machine::EXAMPLES[2].1;
    let wire = "\n[[wire]]\nfrom = \"switch\"\nfrom_at = \"58\"\nto = \"load\"\nto_at = \"58\"\nsection = \"0.75 mm²\"\nlength = \"1 m\"\namps = \"1 A\"\n";
    let file = folder.path().join("many.toml");
    std::fs::write(&file, format!("{tarn}{}", wire.repeat(40))).expect("written");
    let to = folder.path().join("drawings");
    let out = tickover(&["wire", file.to_str().unwrap(), "--svg", to.to_str().unwrap()]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let drawn: usize = (1..=9)
        .map(|k| std::fs::read_to_string(to.join(format!("wiring-{k}.svg"))).map_or(0, |svg| svg.matches("id=\"wire-").count()))
        .sum();
    assert_eq!(drawn, tarn.matches("[[wire]]").count() + 40);
}

#[test]
fn a_netlist_has_the_volts_to_which_the_battery_has_risen() {
    let text = String::from_utf8(tickover(&["netlist", "corran-360.toml", "--speed", "6000"]).stdout).expect("text");
    let number = |of: &str| -> f64 {
        let line = text.lines().find(|l| l.starts_with(of)).unwrap_or_else(|| panic!("{of} in\n{text}"));
        line.split_whitespace().nth(3).unwrap().parse().unwrap()
    };
    // Charging, it stands above its 12.5 V at rest, less what the loads take through its resistance; the alternator lifts it from there to the regulator's 14.3 V.
    let emf = number("Vbus");
    assert!((13.3..14.3).contains(&emf), "{emf}");
}

/// FNV-1a, 64 bits, as `reference/electric/grid.py` has it.
fn checksum(text: &[u8]) -> String {
    let h = text.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, byte| (h ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3));
    format!("{h:016x}")
}

mod beside_ngspice {
    use super::{checksum, tickover};
    use physics::charge::{Regulator, regulate};
    use workshop::{
        machine,
        study::electric::{
            alternator::{Alternator, On},
            likeness::Fault,
        },
    };

    /// Of what the table holds, without a regulator: diodes of ngspice are not exactly flat (0.70 V at 5 A, 15 mV less at a tenth), and 800 steps a period leave
    /// up to 0.1 % [1]; at small currents that is amps, or volts [A, V].
    const SOLVED: (f64, f64) = (0.01, 0.03);
    /// With a regulator, which in ngspice switches every few periods: each switching leaves some of what flowed before, where the program shares the time alone [1].
    const REGULATED: (f64, f64) = (0.05, 0.1);

    struct Row {
        file: String,
        rpm: f64,
        fault: Fault,
        found: Vec<f64>,
        netlist: String,
        arguments: Vec<String>,
    }

    fn rows() -> Vec<Row> {
        let table = include_str!("../../../reference/electric/grid.csv");
        let lines = table.lines().filter(|l| !l.starts_with('#')).skip(1);
        let row = |line: &str| {
            let cells: Vec<&str> = line.split(',').collect();
            let file = format!("{}/../../reference/electric/{}.toml", env!("CARGO_MANIFEST_DIR"), cells[0]);
            let mut arguments = vec!["netlist".to_owned(), file.clone(), "--speed".to_owned(), cells[1].to_owned()];
            if cells[2] != "sound" {
                arguments.extend(["--fault".to_owned(), cells[2].to_owned()]);
            }
            Row {
                file,
                rpm: cells[1].parse().unwrap(),
                fault: match cells[2] {
                    "dead-phase" => Fault::DeadPhase(0),
                    "open-diode" => Fault::OpenDiode(0, true),
                    "shorted-diode" => Fault::ShortedDiode(0, true),
                    "weak-magnets" => Fault::WeakMagnets(0.75),
                    _ => Fault::Sound,
                },
                found: cells[3..9].iter().map(|c| c.parse().unwrap()).collect(),
                netlist: cells[9].to_owned(),
                arguments,
            }
        };
        lines.map(row).collect()
    }

    #[test]
    fn means_ripple_and_volts() {
        let rows = rows();
        assert!(rows.len() >= 60, "{}", rows.len());
        let (mut worst, mut square, mut count) = (0.0_f64, 0.0, 0);
        for row in &rows {
            let text = std::fs::read_to_string(&row.file).unwrap();
            let (machine, _) = machine::read(&text).unwrap_or_else(|e| panic!("{e:?}"));
            let a = Alternator::of(&machine).unwrap();
            let x = a.middle();
            // What it holds is what ngspice's came to: its switch follows a filter with a swing, and amps go with hundredths of a volt.
            let regulator = match a.regulator(&x) {
                Regulator::None => Regulator::None,
                Regulator::Shunt { switch_v, .. } => Regulator::Shunt { set_v: row.found[5], switch_v },
                Regulator::Series { .. } => Regulator::Series { set_v: row.found[5] },
            };
            let omega = a.electrical(row.rpm * std::f64::consts::TAU / 60.0);
            let circuit = row.fault.put_into(a.circuit(&x));
            let (taken, _) = a.charged(&x, &circuit, a.regulator(&x), On::All, omega).unwrap();
            let r = regulate(&circuit, &taken, regulator, omega).unwrap();
            let held = regulator != Regulator::None;
            let allowed = if held { REGULATED } else { SOLVED };
            let mut ours = vec![r.rectified_a, r.open.totals.rms_a];
            ours.extend(r.winding_rms_a);
            ours.push(r.plus_v);
            for (k, (ours, theirs)) in ours.iter().zip(&row.found).enumerate() {
                // While a regulator switches, the ripple is its own.
                if theirs.is_nan() || (held && k == 1) {
                    continue;
                }
                let off = (ours - theirs).abs();
                let limit = allowed.0 * theirs.abs() + allowed.1;
                assert!(off <= limit, "{} {} {:?}, column {k}: {ours} and {theirs}", row.file, row.rpm, row.fault);
                if !held {
                    worst = worst.max(off / theirs.abs().max(1.0));
                    square += (off / theirs.abs().max(1.0)).powi(2);
                    count += 1;
                }
            }
        }
        let spread = (square / f64::from(count)).sqrt();
        println!("{} circuits, {count} figures: spread {:.3} %, worst {:.2} %", rows.len(), 100.0 * spread, 100.0 * worst);
        /// Most of them lie far closer than the worst.
        const SPREAD: f64 = 0.004;
        assert!(spread < SPREAD, "{spread}");
    }

    #[test]
    fn the_netlists_are_those_that_were_run() {
        for row in rows() {
            let arguments: Vec<&str> = row.arguments.iter().map(String::as_str).collect();
            let out = tickover(&arguments);
            assert_eq!(checksum(&out.stdout), row.netlist, "{arguments:?}: run reference/electric/grid.py again");
        }
    }
}
