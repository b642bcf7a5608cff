//! The demonstration machines, the schema and the template.

use quantity::{Reading, Source};
use workshop::machine::{DefectKind, EXAMPLES, Inconsistency, LawData, SegmentLength, limits, read, schema, template};

#[test]
fn every_example_reads_without_a_defect() {
    for (name, text) in EXAMPLES {
        if let Err(defects) = read(text) {
            panic!("{name}: {defects:#?}");
        }
    }
}

#[test]
fn every_reading_of_an_example_says_where_it_comes_from() {
    for (name, text) in EXAMPLES {
        let (machine, _) = read(text).unwrap();
        for reading in machine.strobe.iter().flat_map(|row| [&row.speed, &row.advance]).chain([&machine.engine.bore]) {
            assert!(matches!(reading.source, Source::Measured { .. }), "{name}: {reading:?}");
        }
    }
}

#[test]
fn the_corran_is_as_measured() {
    let (machine, _) = read(EXAMPLES[0].1).unwrap();
    let trigger = machine.trigger.unwrap();
    let SegmentLength::Chord(chord) = trigger.segment else { panic!("measured with a caliper") };
    // 40° of a 108 mm rim, straight across: 108 mm · sin 20° (definition of the chord), read to 0.1 mm.
    let expected_m = 0.108 * 20f64.to_radians().sin();
    assert!((chord.si - expected_m).abs() < 0.05e-3);
    assert_eq!(trigger.pickups.iter().map(|pickup| pickup.fires.clone()).collect::<Vec<_>>(), [vec![0], vec![1]]);
    assert_eq!(machine.strobe.len(), 22);
}

#[test]
fn fixed_timing_in_travel_becomes_an_angle() {
    let (machine, _) = read(EXAMPLES[1].1).unwrap();
    let Some(LawData::Fixed(advance)) = machine.law else { panic!("fixed") };
    // Slider-crank solved for the angle: cos θ = ((r + l − x)² + r² − l²)/(2 r (r + l − x)), r = 27, l = 110, x = 2.1 mm.
    let (r, l, x) = (27.0f64, 110.0f64, 2.1f64);
    let d = r + l - x;
    let angle = ((d * d + r * r - l * l) / (2.0 * r * d)).acos();
    /// Two independent solutions in doubles.
    const SOLVERS: f64 = 1e-9;
    assert!((advance.si - angle).abs() < SOLVERS, "{} for {angle}", advance.si);
    assert_eq!(advance.source, Source::Maker);
}

#[test]
fn defaults_lie_inside_their_own_limits() {
    for field in limits::fields() {
        let limits::Need::Default { written, why } = field.need else { continue };
        assert!(!why.is_empty(), "{}", field.path);
        match field.kind {
            limits::Kind::Reading { dimension, .. } => {
                let reading = Reading::parse(written, dimension).unwrap_or_else(|e| panic!("{}: {e}", field.path));
                assert!(field.holds(&reading), "{}: {written}", field.path);
            }
            limits::Kind::Choice(words) => assert!(words.contains(&written), "{}", field.path),
            limits::Kind::Count { least, most } => assert!((least..=most).contains(&written.parse().unwrap())),
            _ => panic!("{} has a default that nothing reads", field.path),
        }
    }
}

#[test]
fn every_field_has_a_range_a_reason_and_a_path_of_its_own() {
    let fields = limits::fields();
    for (i, field) in fields.iter().enumerate() {
        assert!(!field.label.is_empty() && !field.why.is_empty(), "{}", field.path);
        assert!(fields[..i].iter().all(|other| other.path != field.path), "{} twice", field.path);
        if let limits::Kind::Reading { dimension, range, .. } = field.kind {
            assert!(range.least < range.most, "{}", field.path);
            assert!(dimension.units().contains(&range.unit), "{} is limited in a unit it does not accept", field.path);
        }
    }
    let words = limits::field("law.kind").map(|field| field.kind);
    let kinds: Vec<_> = limits::FILE.sections.iter().flat_map(|s| s.variants).map(|v| v.kind).collect();
    let Some(limits::Kind::Choice(words)) = words else { panic!("law.kind is a choice") };
    assert_eq!(words, kinds);
}

fn json(text: &str) -> serde_json::Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

/// Where the published schema stands.
const PUBLISHED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/machine.schema.json");

/// To publish a changed schema: `UPDATE_SCHEMA=1 cargo test -p workshop published_schema`.
#[test]
fn published_schema_is_current() {
    let current = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        std::fs::write(PUBLISHED, &current).unwrap();
    }
    assert_eq!(std::fs::read_to_string(PUBLISHED).unwrap(), current);
}

#[test]
fn schema_accepts_the_examples_and_refuses_what_the_reader_refuses() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    for (name, text) in EXAMPLES {
        let errors: Vec<_> = validator.iter_errors(&json(text)).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
    let corran = EXAMPLES[0].1;
    for (from, to) in [
        ("strokes = 4", "strokes = 5"),
        ("[trigger]\ndrive", "[trigger]\ndrvie"),
        ("\"anticlockwise\"", "\"widdershins\""),
        ("bore = { value = \"62.02 ± 0.02 mm\", with", "bore = { value = \"62.02 ± 0.02 mm\", from = \"maker\", with"),
        ("name = \"Corran 360\"", ""),
    ] {
        let spoiled = corran.replacen(from, to, 1);
        assert_ne!(spoiled, corran, "{from}");
        assert!(!validator.is_valid(&json(&spoiled)), "{to}");
        assert!(read(&spoiled).is_err(), "{to}");
    }
}

#[test]
fn template_names_exactly_the_readings_that_are_missing() {
    let text = template();
    let defects = read(&text).unwrap_err();
    let mut missing: Vec<&str> = Vec::new();
    for defect in &defects {
        let DefectKind::MissingField { field } = &defect.kind else { panic!("{defect:?}") };
        assert_eq!(&text[defect.span.clone()], "\"\"");
        missing.push(field.path);
    }
    let required = ["engine", "engine.cylinder"];
    let expected: Vec<&str> = limits::fields()
        .into_iter()
        .filter(|field| {
            let part = field.path.rsplit_once('.').map_or("", |(part, _)| part);
            field.need == limits::Need::Required && field.path != "tickover" && (part.is_empty() || required.contains(&part))
        })
        .map(|field| field.path)
        .collect();
    assert_eq!(missing, expected);
}

#[test]
fn template_with_everything_filled_in_knows_every_key() {
    let bare: String = template()
        .lines()
        .map(|line| {
            let code = line.strip_prefix("# ").filter(|code| {
                let key = code.split(" = ").next().unwrap_or("");
                code.starts_with('[') || code.contains(" = ") && key.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')
            });
            // The law's keys depend on its kind, and `start` stands there twice.
            format!("{}\n", code.unwrap_or(line))
        })
        .collect();
    let lawless: String = bare.split("\n[law]").next().unwrap().into();
    let after: String = bare.split("\n[lamp]").nth(1).map(|rest| format!("\n[lamp]{rest}")).unwrap();
    for defect in read(&(lawless + &after)).unwrap_err() {
        let missing = matches!(defect.kind, DefectKind::MissingField { .. });
        // One of two, or one because of another, is left blank with the rest.
        use Inconsistency::{ArcOrChord, OneDwell, PowerOrAmps, RideParts, SectionOrGauge, WiresWithoutLength};
        let blank = matches!(
            defect.kind,
            DefectKind::Inconsistent(ArcOrChord | OneDwell | PowerOrAmps | RideParts | SectionOrGauge | WiresWithoutLength)
        );
        assert!(missing || blank, "{defect:?}");
    }
}
