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
fn a_workshops_own_kinds_and_adaptations_stand_beside_those_of_the_program() {
    let own = ["--kinds", "parts/own.toml"];
    let rotor = ["match", "corran-360.toml", "--kind", "rotor", "--shelf", "parts/shelf.csv", "--need", "parts/need.toml"];
    let text = said(&[&rotor[..], &own].concat());
    // It takes fewer minutes than the hub that the program knows.
    assert!(text.contains("Hub bored out and bushed") && text.contains("A bush that creeps"), "{text}");
    assert!(!said(&rotor).contains("Hub bored out"));
    let kinds = said(&[&["match", "corran-360.toml"][..], &own].concat());
    assert!(kinds.contains("lever Points lever (your own)"), "{kinds}");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("own.toml");
    std::fs::write(&file, "[[adaptation]]\nid = 'x'\nkind = 'roter'\nminutes = 0\n").unwrap();
    let out = tickover(&["match", "corran-360.toml", "--kinds", file.to_str().unwrap()]);
    assert_eq!((out.status.code(), out.stdout.is_empty()), (Some(3), true));
    let told = String::from_utf8_lossy(&out.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    for piece in ["line 3, column 8: “roter” is none of the words", "line 4", "caution", "so nothing of it is used"] {
        assert!(told.contains(piece), "{piece}: {told}");
    }
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

#[test]
fn what_a_part_would_do_is_told_before_and_after_and_what_it_lacks_by_name() {
    let answer = json(&[&COIL[..], &["--json", "--most", "9"]].concat());
    let parts = answer["match"]["parts"].as_array().unwrap();
    let part = |id: &str| parts.iter().find(|p| p["part"] == id).unwrap();
    let fitted = &part("c-01")["in_the_machine"];
    let change = |what: &str| {
        let all = fitted["changes"].as_array().unwrap();
        all.iter().find(|c| c["what"].as_str().unwrap().starts_with(what)).unwrap_or_else(|| panic!("{what}: {fitted}")).clone()
    };
    // The margin is what is available over what is needed.
    let value = |c: &serde_json::Value| c["after"]["value"].as_f64().unwrap();
    let (available, needed, margin) = (change("Voltage available"), change("Voltage needed"), change("Margin at the kick"));
    assert!((value(&available) / value(&needed) - value(&margin)).abs() < 1e-9);
    assert_eq!(available["unit"], "kV");
    assert!(part("c-04")["in_the_machine"]["lacks"].as_str().unwrap().contains("Inductance of the primary"));
    assert!(part("c-02")["in_the_machine"].is_null(), "what is ruled out is not put in");
    let attribute = |id: &str, name: &str| {
        part(id)["attributes"].as_array().unwrap().iter().find(|a| a["attribute"] == name).unwrap()["known"].clone()
    };
    assert_eq!(attribute("c-04", "primary_resistance"), "quoted: small advert, 2026-05-02");
    // 240 EUR is asked; the most to pay is three spreads over the median of what is asked for the same.
    let list = answer["match"]["shopping"].as_array().unwrap();
    let dear = list.iter().find(|b| b["part"] == "c-04").unwrap();
    assert_eq!(dear["most_to_pay"], answer["match"]["prices"][0]["dear_above"]);
    assert!(dear["measure_first"].as_array().unwrap().contains(&"system".into()));
}

#[test]
fn an_adaptation_stands_after_its_caution_and_the_blocker_stays() {
    let answer = said(&[
        "match",
        "corran-360.toml",
        "--kind",
        "rotor",
        "--shelf",
        "parts/shelf.csv",
        "--need",
        "parts/need.toml",
        "--width",
        "200",
    ]);
    let at = |what: &str| answer.find(what).unwrap_or_else(|| panic!("{what:?} is not in {answer}"));
    assert!(at("A hub that lets go kills") < at("Turned from steel bar"));
    assert!(answer.contains("ruled out: Large end of the taper away from the engine"));
    assert!(answer.contains("Would fit with: New hub"));
}

#[test]
fn sets_work_where_their_parts_alone_do_not() {
    let set = |name: &str| {
        json(&["match", "corran-360.toml", "--set", name, "--shelf", "parts/shelf.csv", "--need", "parts/need.toml", "--json"])
    };
    let charging = set("charging");
    let found = charging["sets"]["found"].as_array().unwrap();
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0]["parts"], serde_json::json!(["r-03", "s-01", null]));
    assert!(found[0]["why"][0].as_str().unwrap().contains("r-03 alone is ruled out by Magnet poles"));
    assert!(
        found[0]["in_the_machine"]["changes"].as_array().unwrap().iter().any(|c| c["what"] == "Charging covers the loads from")
    );
    let ignition = set("ignition");
    let found = ignition["sets"]["found"].as_array().unwrap();
    assert!(found.iter().any(|s| s["parts"] == serde_json::json!(["m-02", null, "p-04"])), "{found:?}");
    assert!(
        said(&["match", "corran-360.toml", "--set", "chargin", "--shelf", "parts/shelf.csv"])
            .contains("Did you mean “charging”?")
    );
}

#[test]
fn the_match_sheet_is_the_same_twice_and_has_the_list_to_take_along() {
    let sheet = || tickover(&[&COIL[..], &["--sheet", "-"]].concat());
    let (one, two) = (sheet(), sheet());
    assert!(one.status.success() && one.stdout.starts_with(b"%PDF"), "{}", String::from_utf8_lossy(&one.stderr));
    assert!(one.stdout == two.stdout);
}

#[test]
fn a_shelf_goes_from_one_book_to_another_and_is_matched_by_its_name_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let photo: &[u8] = include_bytes!("../../jobbook/tests/files/photo.png");
    let shelf = include_str!("../../../examples/parts/shelf.csv");
    let shelf: String = shelf
        .lines()
        .map(|row| {
            let photo =
                if row.starts_with("id,") { "photo" } else { ["", "coil.PNG; gone.png"][usize::from(row.starts_with("c-01,"))] };
            format!("{row},{photo}\n")
        })
        .collect();
    // A first file, as another workshop would pack it by hand.
    let packed = |name: &str, files: &[(&str, &[u8])]| {
        use std::io::Write;
        let mut zip = zip::ZipWriter::new(std::fs::File::create(path(name)).unwrap());
        for (name, bytes) in files {
            zip.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            zip.write_all(bytes).unwrap();
        }
        zip.finish().unwrap();
    };
    packed("by-hand.zip", &[("theirs.csv", shelf.as_bytes()), ("Coil.png", photo)]);
    let (first, second) = (path("first.book"), path("second.book"));
    for book in [&first, &second] {
        jobbook::Book::open(std::path::Path::new(book)).unwrap();
    }
    let looked = said(&["take-in", &path("by-hand.zip"), "--book", &first]);
    assert!(looked.contains("theirs.csv: 20 parts and 1 photo. One photo that it names is not with it."), "{looked}");
    let none = said(&["match", "corran-360.toml", "--kind", "coil", "--kept", "theirs.csv", "--book", &first]);
    assert!(none.contains("keeps no shelf “theirs.csv”"), "{none}");
    assert!(said(&["take-in", &path("by-hand.zip"), "--keep", "--book", &first]).contains("is kept in the book"));
    let written = said(&["shelf", "THEIRS.csv", &path("out.zip"), "--book", &first]);
    assert!(written.contains("20 parts and 1 photo"), "{written}");
    assert!(said(&["take-in", &path("out.zip"), "--keep", "--book", &second]).contains("is kept in the book"));
    let there = jobbook::Book::open(std::path::Path::new(&second)).unwrap().0;
    let present = there.present(jobbook::Place::Workshop).unwrap();
    let files: Vec<(String, Vec<u8>)> =
        present.attachments().map(|(_, a)| (a.file.clone(), there.blob(&a.hash).unwrap())).collect();
    assert_eq!(files, [("theirs.csv".to_owned(), shelf.clone().into_bytes()), ("Coil.png".to_owned(), photo.to_vec())]);
    drop(there);
    let kept = ["match", "corran-360.toml", "--kind", "coil", "--need", "parts/need.toml", "--json"];
    let by_name = json(&[&kept[..], &["--kept", "theirs.csv", "--book", &second]].concat());
    let by_file = json(&[&kept[..], &["--shelf", "parts/shelf.csv"]].concat());
    assert_eq!(by_name["match"]["parts"][0]["part"], by_file["match"]["parts"][0]["part"]);
    let none = said(&["match", "corran-360.toml", "--kind", "coil", "--kept", "mine.csv", "--book", &second]);
    assert!(none.contains("keeps no shelf “mine.csv”. It has: theirs.csv."), "{none}");
    // What has the same name and is another is told before it takes its place.
    packed("new.zip", &[("theirs.csv", shelf.replace("c-01", "c-99").as_bytes())]);
    let told = said(&["take-in", &path("new.zip"), "--book", &second]);
    assert!(
        told.contains("Takes the place of what the book has under the same name: theirs.csv.") && told.contains("2 photos that"),
        "{told}"
    );
}
