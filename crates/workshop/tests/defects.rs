//! What is wrong with a file, all at once and where.

use workshop::machine::{Defect, DefectKind, EXAMPLES, Flaw, Inconsistency, MOST_BYTES, Place, decode, edit, place, read};
use workshop::study::warning::Warning;

const CORRAN: &str = EXAMPLES[0].1;

/// The Corran with one piece replaced.
fn spoiled(from: &str, to: &str) -> String {
    assert_eq!(CORRAN.matches(from).count(), 1, "{from:?} must stand there once");
    CORRAN.replacen(from, to, 1)
}

fn defects(text: &str) -> Vec<Defect> {
    read(text).expect_err("must be refused")
}

/// The only defect of a text, and what it blames.
fn only(text: &str) -> (DefectKind, String, &str) {
    let mut found = defects(text);
    assert_eq!(found.len(), 1, "{found:#?}");
    let defect = found.remove(0);
    (defect.kind, defect.path, &text[defect.span])
}

#[test]
fn all_defects_at_once_with_their_places() {
    let text = "tickover = 1\r\nname = \"Tést\"\r\n[engine]\r\nstrokes = 4\r\nbore = \"62\"\r\nstrok = \"59.6 mm\"\r\n\
                rod = \"12 m\"\r\ncompression_ratio = 92\r\ntop_speed = \"9,000 rpm\"\r\n\
                [[engine.cylinder]]\r\nname = \"µ\"; fires_at = \"0°\"\r\n[idle]\r\nspeed = true\r\n";
    let found: Vec<String> = defects(text)
        .iter()
        .map(|d| {
            let Place { line, column } = place(text, d.span.start);
            let kind = match &d.kind {
                DefectKind::Document(flaw) => format!("{flaw:?}"),
                kind => format!("{kind:?}"),
            };
            let name: String = kind.chars().take_while(|c| c.is_alphanumeric()).collect();
            format!("{line}:{column} {} {name} {:?}", d.path, &text[d.span.clone()])
        })
        .collect();
    assert_eq!(
        found,
        [
            "5:11 engine.bore BadReading \"\"",
            "6:1 engine.strok UnknownKey \"strok\"",
            "7:11 engine.rod BadReading \"m\"",
            "8:21 engine.compression_ratio OutOfRange \"92\"",
            "9:14 engine.top_speed BadReading \"9,000\"",
            "11:11  Syntax \"\"",
            "13:9 idle.speed WrongType \"true\"",
        ]
    );
}

#[test]
fn unknown_keys_get_a_guess() {
    for (wrong, right) in
        [("bor", "bore"), ("strokess", "strokes"), ("compresion_ratio", "compression_ratio"), ("Octane", "octane")]
    {
        let text = spoiled("octane = {", &format!("{wrong} = {{"));
        let (kind, path, blamed) = only(&text);
        let DefectKind::Document(Flaw::UnknownKey { did_you_mean, known }) = kind else { panic!("{kind:?}") };
        assert_eq!((did_you_mean, path.as_str(), blamed), (Some(right), format!("engine.{wrong}").as_str(), wrong));
        assert!(known.contains(&"bore"));
    }
    let (kind, ..) = only(&spoiled("octane = {", "zzz = {"));
    assert!(matches!(kind, DefectKind::Document(Flaw::UnknownKey { did_you_mean: None, .. })));
}

#[test]
fn out_of_range_carries_value_limits_and_reason() {
    let text = spoiled("108.0 ± 0.1 mm", "-108.0 ± 0.1 mm");
    let (kind, path, blamed) = only(&text);
    let DefectKind::OutOfRange { value, field } = kind else { panic!("{kind:?}") };
    assert_eq!(path, "trigger.rim_diameter");
    assert_eq!(blamed, "\"-108.0 ± 0.1 mm\"");
    assert_eq!(value.to_string(), "-108.00 ± 0.10 mm");
    let range = field.range_for(value.unit).unwrap();
    assert!(range.least > 0.0 && !field.why.is_empty());
}

#[test]
fn readings_that_contradict_each_other() {
    type Check = fn(&Inconsistency) -> bool;
    let cases: &[(&str, &str, &str, Check)] = &[
        ("36,9 ± 0,2 mm", "133.4 mm", "trigger.segment_chord", |i| matches!(i, Inconsistency::ChordExceedsRim { .. })),
        ("segment_chord = { value = \"36,9 ± 0,2 mm\"", "segment_arc = { value = \"350 mm\"", "trigger.segment_arc", |i| {
            matches!(i, Inconsistency::SegmentExceedsRim { .. })
        }),
        ("36,9 ± 0,2 mm", "90 mm", "trigger.segment_chord", |i| matches!(i, Inconsistency::TrailingEdgeTooLate { .. })),
        ("segment_chord =", "segment_arc = \"34 mm\"\nsegment_chord =", "trigger.segment_chord", |i| {
            *i == Inconsistency::ArcOrChord
        }),
        ("strokes = 4", "strokes = 3", "engine.strokes", |i| *i == Inconsistency::ThreeStrokes),
        ("rod = { value = \"118 mm\"", "rod = { value = \"40 mm\"", "", |_| false),
        ("27.0 ± 0.1 mm", "67 mm", "engine.valves.inlet_diameter", |i| matches!(i, Inconsistency::ValveExceedsBore { .. })),
        ("26.0 ± 0.1 mm", "66 mm", "engine.inlet.throttle_bore", |i| matches!(i, Inconsistency::ThrottleExceedsBore { .. })),
        ("name = \"right\"", "name = \"left\"", "engine.cylinder[1].name", |i| *i == Inconsistency::SameName),
        ("fires_at = \"180°\"", "fires_at = \"720°\"", "engine.cylinder[1].fires_at", |i| {
            matches!(i, Inconsistency::FiresOutsideCycle { .. })
        }),
        ("fires = \"right\"", "fires = \"left\"", "trigger.pickup", |i| matches!(i, Inconsistency::CylinderFiredBy { .. })),
        (
            "fires = \"right\"",
            "fires = \"rigth\"",
            "trigger.pickup[1].fires",
            |i| matches!(i, Inconsistency::NoSuchCylinder { did_you_mean: Some(name), .. } if name == "right"),
        ),
        ("1120 ± 20 rpm", "2500 rpm", "idle.speed", |i| {
            matches!(i, Inconsistency::SpeedNotBelow { other: "idle.hangs_at", .. })
        }),
        ("speed = \"5990 rpm\"", "speed = \"9900 rpm\"", "strobe[10].speed", |i| {
            matches!(i, Inconsistency::SpeedNotBelow { .. })
        }),
        ("value = \"95 ± 1\", from", "value = \"95 ± 1\", with = \"book\", from", "engine.octane.from", |i| {
            *i == Inconsistency::TwoSources
        }),
    ];
    for (from, to, path, check) in cases.iter().filter(|case| !case.2.is_empty()) {
        let text = spoiled(from, to);
        let found = defects(&text);
        let right = |d: &Defect| matches!(&d.kind, DefectKind::Inconsistent(i) if check(i)) && d.path == *path;
        assert!(found.iter().any(right), "{to}: {found:#?}");
    }
    let text = spoiled("59.6 mm", "150 mm").replacen("118 mm", "300 mm", 1);
    let text = text.replacen("61 ± 4 cm³", "2 cm³", 1);
    let found = defects(&text);
    assert!(found.iter().any(|d| matches!(d.kind, DefectKind::Inconsistent(Inconsistency::InletTooSmall { .. }))), "{found:#?}");
    // The shortest rod that the limits let through turns on this stroke, so a long stroke is needed to stop it.
    let text = spoiled("59.6 mm", "85 mm").replacen("118 mm", "41 mm", 1);
    assert!(matches!(only(&text).0, DefectKind::Inconsistent(Inconsistency::RodTooShort { .. })));
    let pellow =
        EXAMPLES[1].1.to_string() + "\n[engine.inlet]\narrangement = \"own\"\nvolume = \"60 cc\"\nthrottle_bore = \"24 mm\"\n";
    assert_eq!(only(&pellow).0, DefectKind::Inconsistent(Inconsistency::TwoStrokeWithValves));
    let travel = EXAMPLES[1].1.replacen("2.0 ± 0.1 mm BTDC", "39 mm BTDC", 1).replacen("\"54 mm\"", "\"35 mm\"", 1);
    assert!(matches!(only(&travel).0, DefectKind::Inconsistent(Inconsistency::TravelExceedsStroke { .. })));
}

#[test]
fn wrong_kinds_of_values() {
    for (from, to, path) in [
        ("fires_at = \"180°\"", "fires_at = [1]", "engine.cylinder[1].fires_at"),
        ("clutch_pulls_down = true", "clutch_pulls_down = \"yes\"", "idle.clutch_pulls_down"),
        ("strokes = 4", "strokes = \"four\"", "engine.strokes"),
        ("name = \"Corran 360\"", "name = 360", "name"),
        ("fires = \"right\"", "fires = 2.5", "trigger.pickup[1].fires"),
        ("[idle]\n", "[[idle]]\n", "idle"),
        ("with = \"bore gauge\"", "with = 1", "engine.bore"),
    ] {
        let text = spoiled(from, to);
        let found = defects(&text);
        assert!(found.iter().any(|d| matches!(d.kind, DefectKind::WrongType { .. }) && d.path == path), "{to}: {found:#?}");
    }
    let (kind, ..) = only(&spoiled("\"anticlockwise\"", "\"anticlokwise\""));
    assert!(matches!(kind, DefectKind::UnknownChoice { did_you_mean: Some(word), .. } if word == "anticlockwise"));
}

#[test]
fn numbers_that_are_none() {
    for bad in ["nan", "inf", "-inf", "1e300", "\"NaN\"", "\"10^300\"", "\"1e300\"", "99999999999999999999", "-9.2"] {
        let text =
            spoiled("compression_ratio = { value = \"9.2 ± 0.3\", from = \"maker\" }", &format!("compression_ratio = {bad}"));
        let found = defects(&text);
        assert!(
            found
                .iter()
                .all(|d| d.path == "engine.compression_ratio" || matches!(d.kind, DefectKind::Document(Flaw::Syntax { .. }))),
            "{found:#?}"
        );
    }
}

#[test]
fn missing_parts() {
    let (kind, path, _) = only("tickover = 1\nname = \"x\"\n");
    assert_eq!((kind, path.as_str()), (DefectKind::MissingSection { key: "engine" }, "engine"));
    assert_eq!(defects("").len(), 3, "version, name and engine");
    let text = CORRAN.replace("fires_at", "# fires_at");
    let found = defects(&text);
    assert_eq!(found.len(), 2);
    assert!(found.iter().all(|d| matches!(d.kind, DefectKind::MissingField { field } if field.key() == "fires_at")));
    assert_eq!(&text[found[1].span.clone()], "[[engine.cylinder]]");
}

#[test]
fn a_newer_file_is_refused_as_such_alone() {
    let (kind, _, blamed) = only("tickover = 2\nshape = \"other\"\n");
    assert_eq!((kind, blamed), (DefectKind::Document(Flaw::NewerVersion { found: 2, known: 1 }), "2"));
    let (kind, ..) = only(&spoiled("tickover = 1\n", "tickover = 0\n"));
    assert!(matches!(kind, DefectKind::CountOutOfRange { value: 0, .. }));
}

#[test]
fn byte_order_mark_and_line_ends_change_nothing() {
    let (plain, _) = read(CORRAN).unwrap();
    let windows = format!("\u{feff}{}", CORRAN.replace('\n', "\r\n"));
    let (same, _) = read(&windows).unwrap();
    assert_eq!(plain, same);
    let spoiled = windows.replacen("name = \"Corran", "nmae = \"Corran", 1);
    let found = defects(&spoiled);
    let at = found.iter().find(|d| d.path == "nmae").map(|d| place(&spoiled, d.span.start));
    assert_eq!(at, Some(Place { line: 5, column: 1 }));
    assert_eq!(place("\u{feff}bad", 3), Place { line: 1, column: 1 });
    assert_eq!(place("\u{feff}bad", usize::MAX), Place { line: 1, column: 4 });
}

#[test]
fn a_huge_file_is_refused_at_once() {
    let huge = "#".repeat(50_000_000);
    let kind = DefectKind::Document(Flaw::TooLarge { bytes: 50_000_000, most: MOST_BYTES as u64 });
    let start = std::time::Instant::now();
    assert_eq!(only(&huge).0, kind);
    assert_eq!(decode(huge.as_bytes()).unwrap_err().kind, kind);
    assert_eq!(edit(&huge, "name", "x").unwrap_err()[0].kind, kind);
    /// Reading the size takes nanoseconds; reading 50 MB would take longer than this.
    const AT_ONCE: std::time::Duration = std::time::Duration::from_millis(20);
    assert!(start.elapsed() < AT_ONCE, "{:?}", start.elapsed());
    let not_text = decode(b"name = \"\xff\"").unwrap_err();
    assert_eq!((not_text.kind, not_text.span), (DefectKind::NotText, 8..9));
}

#[test]
fn what_stands_in_is_said() {
    let (_, warnings) = read(CORRAN).unwrap();
    let used: Vec<_> = warnings
        .iter()
        .filter_map(|w| match w {
            Warning::DefaultUsed { field } => Some(*field),
            _ => None,
        })
        .collect();
    assert_eq!(
        used,
        [
            "engine.pin_offset",
            "engine.valves.inlet_count",
            "engine.valves.exhaust_count",
            "engine.mixture",
            "engine.burn_scatter",
            "strobe.trend",
            "rotor.bond.coldest",
            "battery.rated_over",
            "load.kind",
            "load.on",
            "charging.turns"
        ]
    );
    assert!(!warnings.iter().any(|w| matches!(w, Warning::TakenAsExact { .. })), "{warnings:?}");
    let (_, warnings) = read(&spoiled("108.0 ± 0.1 mm", "108.0 mm")).unwrap();
    assert!(warnings.contains(&Warning::TakenAsExact { field: "trigger.rim_diameter" }));
    let (machine, warnings) = read(&spoiled("rod = {", "# rod = {")).unwrap();
    assert!(warnings.contains(&Warning::DefaultUsed { field: "engine.rod" }));
    assert_eq!(machine.engine.rod.si, 2.0 * machine.engine.stroke.si);
    let (_, warnings) = read(&spoiled("36,9 ± 0,2 mm", "43 mm")).unwrap();
    assert!(warnings.iter().any(|w| matches!(w, Warning::LateTrailingEdge { .. })));
}

#[test]
fn an_edit_changes_one_value_and_nothing_else() {
    let edited = edit(CORRAN, "trigger.segment_chord", "32.1 ± 0.2 mm").unwrap();
    assert_eq!(edited, CORRAN.replacen("\"36,9 ± 0,2 mm\"", "\"32.1 ± 0.2 mm\"", 1));
    let windows = format!("\u{feff}{}", CORRAN.replace('\n', "\r\n"));
    let edited = edit(&windows, "strobe[6].advance", "19.5°").unwrap();
    assert_eq!(edited, windows.replacen("advance = \"19.0°\"", "advance = \"19.5°\"", 1));
    let edited = edit(CORRAN, "engine.bore.with", "caliper").unwrap();
    assert_eq!(edited, CORRAN.replacen("\"bore gauge\"", "\"caliper\"", 1));
    let edited = edit(CORRAN, "idle.clutch_pulls_down", "false").unwrap();
    assert_eq!(edited, CORRAN.replacen("clutch_pulls_down = true", "clutch_pulls_down = false", 1));
    let inches = edit(CORRAN, "trigger.pickup[1].gap", "1/32\"").unwrap();
    assert_eq!(read(&inches).unwrap().0.trigger.unwrap().pickups[1].gap.si, 0.0254 / 32.0);
}

#[test]
fn an_edit_can_add_a_key() {
    for text in [CORRAN.to_string(), CORRAN.replace('\n', "\r\n"), CORRAN.trim_end().to_string()] {
        let added = edit(&text, "engine.pin_offset", "0.5 mm").unwrap();
        assert_eq!(read(&added).unwrap().0.engine.pin_offset.si, 0.0005);
        let added = edit(&text, "strobe[3].trend", "rising").unwrap();
        assert!(added.contains("advance = \"4.0°\", trend = \"rising\" }") || added.contains("trend = 'rising'"));
        let added = edit(&text, "trigger.pickup[0].pulse.volts", "3 V").unwrap();
        assert_eq!(read(&added).unwrap().0.trigger.unwrap().pickups[0].pulse.as_ref().unwrap().volts.si, 3.0);
    }
}

#[test]
fn an_edit_that_spoils_the_file_is_refused() {
    assert!(matches!(edit(CORRAN, "engine.bore", "62").unwrap_err()[0].kind, DefectKind::BadReading { .. }));
    assert!(matches!(edit(CORRAN, "engine.bore", "").unwrap_err()[0].kind, DefectKind::MissingField { .. }));
    assert!(matches!(edit(CORRAN, "idle.speed", "9500 rpm").unwrap_err()[0].kind, DefectKind::OutOfRange { .. }));
    assert!(matches!(edit(CORRAN, "engine.bor", "62 mm").unwrap_err()[0].kind, DefectKind::Document(Flaw::UnknownKey { .. })));
    assert!(matches!(edit(CORRAN, "strobe[99].speed", "900 rpm").unwrap_err()[0].kind, DefectKind::MissingField { .. }));
    assert!(matches!(edit(CORRAN, "engine.strokes", "4 or so").unwrap_err()[0].kind, DefectKind::WrongType { .. }));
    let quoted = edit(CORRAN, "name", "a \"b\"\nc = 1").unwrap();
    assert_eq!(read(&quoted).unwrap().0.name, "a \"b\"\nc = 1");
}
