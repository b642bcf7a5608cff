//! `tickover rotor` from file to answer.

mod asked;

use asked::tickover;

#[test]
fn the_corran_in_json() {
    let out = tickover(&["rotor", "corran-360.toml", "--json"]);
    assert!(out.status.success());
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let rotor = &answer["rotor"];
    assert_eq!(rotor["section"]["weighed_kg"]["agrees"], true);
    assert_eq!(rotor["section"]["swung_kg_m2"]["agrees"], true);
    // By hand in `crates/workshop/tests/rotor.rs`: 1.409 kg.
    assert!((rotor["section"]["mass_kg"]["value"].as_f64().expect("a number") - 1.409).abs() < 1e-3);
    assert_eq!(rotor["strength"]["speed_rpm"].as_f64().map(f64::round), Some(9500.0));
    assert_eq!(rotor["strength"]["notches"][0]["kind"], "keyway");
    let zones = &rotor["lighten"]["zones"];
    assert_eq!((&zones[0]["bounded_by"], &zones[1]["forbidden"]), (&"wall".into(), &"behind_magnets".into()));
    // A fifth of 7.6 mm less 0.14 for its two readings, less the 0.05 that a lathe may take more.
    assert!((zones[0]["most_mm"].as_f64().expect("a number") - 1.442).abs() < 0.002);
    assert!((zones[0]["cuts"][4]["wall_left_mm"].as_f64().expect("a number") - 6.7).abs() < 1e-9);
    assert_eq!(rotor["lighten"]["kick_not_looked_at"], serde_json::Value::Null);
    assert!(rotor["strength"]["with_seat"]["reserve"]["value"].as_f64().is_some_and(|r| r < 2.0));
    let cuts = zones[0]["cuts"].as_array().expect("a row");
    assert!(cuts.iter().all(|c| c["unevenness_share"]["value"].is_f64() && c["rev_up_s"]["value"].is_f64()));
    assert_eq!(rotor["engine_not_studied"], serde_json::Value::Null);
    assert_eq!(rotor["lighten"]["rest_points_stay"], true);
    let holds = &rotor["holds"];
    assert_eq!(holds["balance"]["verdict"], "put_right");
    assert!(holds["balance"]["correction"]["at_deg"].as_array().is_some_and(|holes| !holes.is_empty()));
    assert!(holds["seat"]["slips_at_nm"]["value"].as_f64() < holds["seat"]["worked_home_nm"]["value"].as_f64());
    assert_eq!(holds["sides"].as_array().map(Vec::len), Some(6));
}

#[test]
fn no_sheet_to_cut_by_before_the_right_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().join("cut.pdf");
    let sheet = |leads: &[&str]| {
        let out = tickover(&[&["sheet", "corran-360.toml", "-o", to.to_str().expect("a path")], leads].concat());
        (out.status.code(), String::from_utf8_lossy(&out.stderr).into_owned())
    };
    let (code, said) = sheet(&[]);
    assert!(code == Some(1) && said.contains("Which end leads") && said.contains("--leads"), "{said}");
    // Anticlockwise from the cover side is clockwise from the engine side, where what is at the top moves to the right.
    let (code, said) = sheet(&["--leads", "left"]);
    assert!(code == Some(1) && said.contains("Wrong"), "{said}");
    assert!(!to.exists());
}

#[test]
fn the_corran_in_words_with_cautions_before_any_depth() {
    let out = tickover(&["rotor", "corran-360.toml", "--width", "80"]);
    let text = String::from_utf8(out.stdout).expect("text");
    // Sentences without the breaks of their lines.
    let said = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let at = |what: &str| said.find(what).unwrap_or_else(|| panic!("{what:?} is not in\n{text}"));
    assert!(at("they agree with the section") < at("greatest stress away from notches"));
    assert!(at("Caution") < at("At the most") && at("At the most") < at("run-down"));
    assert!(at("a hang stays where it is") > 0 && at("behind the magnets: their") > 0);
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    // The same twice over.
    assert_eq!(text.as_bytes(), tickover(&["rotor", "corran-360.toml", "--width", "80"]).stdout);
}

#[test]
fn a_machine_without_a_rotor_is_told_so() {
    let out = tickover(&["rotor", "pellow-125.toml"]);
    // 4: the study does not cover this machine.
    assert_eq!(out.status.code(), Some(4));
    assert!(String::from_utf8_lossy(&out.stderr).contains("no [rotor]"));
    let out = tickover(&["rotor", "pellow-125.toml", "--json"]);
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(answer["rotor"]["not_studied"], "no_rotor");
}

#[test]
fn every_drawing_is_saved_as_a_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    let saved = folder.path().join("pictures");
    // The plan of holes is to drill by: first the question.
    let out = tickover(&["rotor", "corran-360.toml", "--svg", saved.to_str().expect("a path")]);
    assert!(out.status.success() && !saved.join("rotor-holes.svg").exists());
    assert!(String::from_utf8_lossy(&out.stderr).contains("--leads"), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(
        !tickover(&["rotor", "corran-360.toml", "--svg", saved.to_str().expect("a path"), "--leads", "left"]).status.success()
    );
    let out = tickover(&["rotor", "corran-360.toml", "--svg", saved.to_str().expect("a path"), "--leads", "right"]);
    assert!(out.status.success());
    let picture = std::fs::read_to_string(saved.join("rotor-section.svg")).expect("a picture");
    // Both sides, the unbalance and the plan of holes are saved with it.
    for name in ["rotor-sides", "rotor-unbalance", "rotor-holes"] {
        let text = std::fs::read_to_string(saved.join(name).with_extension("svg")).expect("a picture");
        assert!(text.starts_with("<svg") && text.trim_end().ends_with("</svg>"), "{name}");
    }
    for id in ["rotor-section", "rotor-zone-0", "rotor-zone-1"] {
        assert!(picture.contains(id), "{id}");
    }
}

#[test]
fn the_sheet_is_written_beside_the_answer_or_alone_into_the_pipe() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("rotor.pdf");
    let path = file.to_str().expect("a path");
    // Nothing to cut by before the end that leads is named rightly: engine side towards the eye, the Corran turns clockwise, so what is on top moves to the right.
    for asked in
        [&["rotor", "corran-360.toml", "--sheet", path][..], &["rotor", "corran-360.toml", "--sheet", path, "--leads", "left"]]
    {
        assert!(!tickover(asked).status.success() && !file.exists());
    }
    let out = tickover(&["rotor", "corran-360.toml", "--sheet", path, "--leads", "right"]);
    assert!(out.status.success());
    assert!(String::from_utf8_lossy(&out.stdout).contains(path));
    let pdf = std::fs::read(&file).expect("a sheet");
    assert!(pdf.starts_with(b"%PDF"));
    let piped = tickover(&["rotor", "corran-360.toml", "--sheet", "-", "--leads", "right"]);
    assert!(piped.status.success() && piped.stdout == pdf);
    // Nothing is known of this one's rotor.
    let none = folder.path().join("none.pdf");
    let out = tickover(&["rotor", "pellow-125.toml", "--sheet", none.to_str().expect("a path")]);
    assert_eq!(out.status.code(), Some(4));
    assert!(!none.exists());
}

#[test]
fn a_cut_counts_as_done_where_it_is_asked_for() {
    let unbalance = |more: &[&str]| -> serde_json::Value {
        let out = tickover(&[&["rotor", "corran-360.toml", "--json"], more].concat());
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        answer["rotor"]["holds"]["balance"].clone()
    };
    let (before, after) = (unbalance(&[]), unbalance(&["--trimmed", "6"]));
    assert!(before["causes"].as_array().expect("causes").iter().all(|c| c["cause"] != "planned_cut"));
    assert_eq!(after["causes"][0]["cause"], "planned_cut");
    assert_ne!(before["to_correct"], after["to_correct"]);
    // Where it cannot be counted the command stops.
    let text = include_str!("../../../examples/corran-360.toml").replace("segment_at = ", "# ");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("c.toml");
    std::fs::write(&file, text).expect("written");
    let out = tickover(&["rotor", file.to_str().expect("a path"), "--trimmed", "6"]);
    assert!(!out.status.success() && out.stdout.is_empty());
    assert!(
        String::from_utf8_lossy(&out.stderr).contains("rotor.balance.segment_at"),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let out = tickover(&["rotor", "corran-360.toml", "--trimmed", "60"]);
    assert!(!out.status.success());
    assert!(String::from_utf8_lossy(&out.stderr).contains("cannot be"), "{}", String::from_utf8_lossy(&out.stderr));
}
