//! `tickover spark` and its netlist from file to answer.

mod asked;

use asked::tickover;

#[test]
fn the_demos_in_json() {
    for (file, kind, kick) in [
        ("corran-360.toml", "capacitor_from_source_coil", "doubtful"),
        ("pellow-125.toml", "capacitor_from_battery", "fires"),
        ("tarn-500.toml", "points", "fires"),
    ] {
        let out = tickover(&["spark", file, "--json"]);
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        let spark = &answer["spark"];
        assert_eq!((&spark["kind"], &spark["at_the_kick"]), (&kind.into(), &kick.into()), "{file}");
        let speeds = spark["speeds"].as_array().expect("a row");
        assert_eq!(speeds.len(), 16);
        for s in speeds {
            let of = |name: &str| s[name]["value"].as_f64().expect("a number");
            assert!((of("available_kv") / of("needed_kv") / of("margin") - 1.0).abs() < 1e-9);
            assert!(s["margin"]["plus_minus"].as_f64() > Some(0.0));
        }
        // What was stored is where the books say that it is.
        for e in spark["sparks"].as_array().expect("a row") {
            let of = |name: &str| e[name].as_f64().expect("a number");
            let gap = e["gap_mj"]["value"].as_f64().expect("a number");
            let parts =
                ["primary_mj", "switch_mj", "secondary_mj", "cap_and_lead_mj", "shunt_mj", "leak_mj", "clamp_mj", "after_mj"];
            let spent: f64 = parts.iter().map(|name| of(name)).sum();
            assert!((of("before_mj") + of("from_supply_mj") - spent - gap).abs() < 1e-6 * of("before_mj"));
        }
    }
}

#[test]
fn cautions_stand_before_any_finding_but_the_verdict() {
    let out = tickover(&["spark", "tarn-500.toml", "--width", "100"]);
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let caution = text.find("Caution: High voltage").expect("the caution");
    assert!(text.find("crank speed").is_some_and(|table| caution < table), "{text}");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("A usual coil for capacitor discharge in its place takes 18.4 A with the contacts closed; they bear 4.5 A"),
        "{text}"
    );
}

#[test]
fn the_sheet_and_the_netlist() {
    let out = tickover(&["spark", "corran-360.toml", "--sheet", "-"]);
    assert!(out.stdout.starts_with(b"%PDF") && out.stdout.len() > 20_000);
    assert_eq!(out.stdout, tickover(&["spark", "corran-360.toml", "--sheet", "-"]).stdout);
    let list = String::from_utf8(tickover(&["netlist", "corran-360.toml", "--spark"]).stdout).expect("text");
    assert!(list.starts_with("* Corran 360: one spark at 480"), "{list}");
    for part in ["Cstore store 0 1.000000000e-6", "L1 prim 0 6.000000000e-4", "K12 L1 L2 0.94", "meas tran vpk MAX"] {
        assert!(list.contains(part), "{part} in {list}");
    }
    // Faster, the store is fuller.
    let volts = |text: &str| -> f64 {
        let at = text.find("IC=").expect("volts") + 3;
        text[at..].lines().next().expect("a line").parse().expect("a number")
    };
    let fast = String::from_utf8(tickover(&["netlist", "corran-360.toml", "--spark", "--speed", "3000"]).stdout).expect("text");
    assert!(volts(&fast) > 1.5 * volts(&list));
}

#[test]
fn what_is_missing_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("bare.toml");
    let tarn = include_str!("../../../examples/tarn-500.toml");
    std::fs::write(&path, tarn.split("[plug]").next().expect("the part before")).expect("written");
    let out = tickover(&["spark", path.to_str().expect("a path")]);
    assert_eq!(out.status.code(), Some(4));
    assert!(String::from_utf8_lossy(&out.stderr).contains("no [plug]"));
}
