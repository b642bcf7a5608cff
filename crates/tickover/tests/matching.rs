//! `tickover match`, from a shelf to advice.

mod asked;

use asked::{json, said, tickover};

const COIL: [&str; 8] = ["match", "corran-360.toml", "--kind", "coil", "--shelf", "parts/shelf.csv", "--need", "parts/need.toml"];

#[test]
fn a_shelf_is_ranked_with_its_reasons() {
    let answer = json(&[&COIL[..], &["--json", "--most", "9"]].concat());
    let found = &answer["match"];
    let parts = found["parts"].as_array().unwrap();
    let order: Vec<(&str, &str)> = parts.iter().map(|p| (p["part"].as_str().unwrap(), p["verdict"].as_str().unwrap())).collect();
    assert_eq!(order[..3], [("c-01", "match"), ("c-04", "match"), ("c-06", "doubtful")]);
    assert_eq!(order[5..], [("c-02", "blocked"), ("c-05", "blocked")]);
    assert_eq!(found["numbers_source"], "common practice, no source");
    let because = |part: usize, attribute: &str| {
        let list = parts[part]["attributes"].as_array().unwrap();
        list.iter().find(|a| a["attribute"] == attribute).unwrap()["because"].clone()
    };
    assert!(because(5, "system").as_str().unwrap().contains("other kind of ignition"));
    assert!(because(6, "ends").is_string() && because(0, "ends").is_null());
    assert_eq!((&parts[1]["price"]["dear"], &parts[0]["price"]["dear"]), (&true.into(), &false.into()));
    // 25, 240, 15, 28 and 38 EUR: the two that are ruled out are none of this function.
    assert_eq!((found["prices"][0]["count"].as_u64(), found["prices"][0]["median"].as_f64()), (Some(5), Some(28.0)));
}

#[test]
fn cautions_and_advice_stand_first_and_a_taper_that_runs_the_other_way_is_told() {
    let text = said(&[
        "match",
        "corran-360.toml",
        "--kind",
        "rotor",
        "--shelf",
        "parts/shelf.csv",
        "--need",
        "parts/need.toml",
        "--width",
        "120",
    ]);
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what:?} is not in {text}"));
    assert!(at("A rotor that bursts") < at("No part on this shelf fits"));
    assert!(text.contains("The taper runs the other way"));
    let alone = said(&["match", "corran-360.toml", "--kind", "rotor"]);
    assert!(alone.contains("Not known of the job") && alone.contains("Large end of the taper (rules out, 2 min)"), "{alone}");
    let kinds = said(&["match", "corran-360.toml"]);
    assert!(kinds.contains("coil High-tension coil. rules out: system, ends, system_volts"), "{kinds}");
}

#[test]
fn what_is_mistyped_is_refused_whole() {
    assert!(said(&["match", "corran-360.toml", "--kind", "coyl"]).contains("Did you mean “coil”?"));
    let folder = tempfile::tempdir().unwrap();
    let shelf = folder.path().join("shelf.csv");
    std::fs::write(&shelf, "id;kind;measured;primary_resistance\na;coil;meter;1,200 Ω\nA;coil;;0,4 mm\n").unwrap();
    let out = tickover(&["match", "corran-360.toml", "--kind", "coil", "--shelf", shelf.to_str().unwrap()]);
    assert_eq!((out.status.code(), out.stdout.is_empty()), (Some(3), true));
    let told = String::from_utf8_lossy(&out.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    for piece in [
        "line 2, column 4: primary_resistance: This can mean 1.200 or 1200",
        "line 3, column 1:",
        "line 3, column 4:",
        "4 defects",
    ] {
        assert!(told.contains(piece), "{piece}: {told}");
    }
}
