//! Sizes of the trade: what a caliper reads tells the standard's sizes apart, plug threads are the standard's, and a taper's tolerances are what its geometry makes of them.

use physics::within::Allowed;
use workshop::study::part::{Measure, Need, Rule, Shelf, Verdict, base, rank};

/// Rows of a table without its provenance and its head.
fn rows(text: &str) -> Vec<Vec<String>> {
    let rows = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    rows.map(|l| l.split(',').map(str::to_owned).collect()).collect()
}

#[test]
fn bearings_of_iso_15_are_told_apart_by_a_caliper_and_the_same_size_is_found() {
    let table = rows(include_str!("../../../../reference/part/bearings.csv"));
    assert_eq!(table.len(), 18);
    let mut text = String::new();
    for row in &table {
        let [series, bore, outside, width] = &row[..] else { panic!("{row:?}") };
        text += &format!(
            "[[part]]\nid = 'b-{series}-{bore}'\nkind = 'bearing'\nmeasured = 'caliper'\ntype = 'deep groove ball'\nbore = '{bore} mm'\noutside = '{outside} mm'\nwidth = '{width} mm'\nclearance = 'C3'\nspeed = '20000 rpm'\n"
        );
    }
    let shelf = Shelf::toml(base(), &text).unwrap();
    let bearing = base().named("bearing").unwrap();
    let nothing = || Need { kind: bearing, of: vec![None; base().list[bearing].attributes.len()] };
    for (n, row) in table.iter().enumerate() {
        // Needed by a caliper that reads a twentieth off.
        let off = |mm: &str| format!("{:.2} ± 0.05 mm", mm.parse::<f64>().unwrap() + 0.05);
        let over = format!(
            "[bearing]\ntype = 'deep groove ball'\nbore = '{}'\noutside = '{}'\nwidth = '{}'\nclearance = 'C3'\nspeed = '9000 rpm'",
            off(&row[1]),
            off(&row[2]),
            off(&row[3])
        );
        let need = nothing().over(base(), &over).unwrap();
        let found = rank(base(), &need, &shelf);
        let not_blocked: Vec<usize> = found.ranked.iter().filter(|r| r.verdict != Verdict::Blocked).map(|r| r.part).collect();
        assert_eq!(not_blocked, [n], "{row:?}");
    }
}

#[test]
fn plug_threads_are_combinations_of_iso_261() {
    let table = rows(include_str!("../../../../reference/part/threads.csv"));
    let plug = &base().list[base().named("plug").unwrap()];
    let Measure::Words(words) = &plug.attributes[plug.named("thread").unwrap()].measure else { panic!() };
    for word in words {
        let (diameter, pitch) = word.trim_start_matches('M').split_once('x').unwrap();
        let row = table.iter().find(|r| r[0] == diameter).unwrap_or_else(|| panic!("{word}"));
        let pitch: f64 = pitch.parse().unwrap();
        assert!(row[1].split(' ').any(|p| p.parse::<f64>().unwrap() == pitch), "{word}: {row:?}");
    }
}

#[test]
fn tolerances_of_a_taper_are_what_its_geometry_makes_of_them() {
    let rotor = &base().list[base().named("rotor").unwrap()];
    let rule = |id: &str| match &rotor.attributes[rotor.named(id).unwrap()].rule {
        Rule::Within(allowed) => *allowed,
        other => panic!("{other:?}"),
    };
    // Along the shaft Δz = Δd/C; trade practice, no source: ±0.5 mm of seat. At C = 1/10 the data's ±0.05 mm are just that.
    let Allowed::Off { below, above } = rule("taper_diameter") else { panic!() };
    assert!((below / 0.1 - 0.5e-3).abs() < 1e-12 && (above / 0.1 - 0.5e-3).abs() < 1e-12);
    // Over a seat of length L a taper that is off by ΔC gapes by ΔC·L on the diameter: the data's comment says 0.04 mm at 1/10 over 20 mm.
    let Allowed::Share { least, most } = rule("taper_ratio") else { panic!() };
    assert!(((1.0 - least) * 0.1 * 20.0 - 0.04).abs() < 1e-9 && ((most - 1.0) * 0.1 * 20.0 - 0.04).abs() < 1e-9);
}
