//! Substitute parts: what rules a part out, what is not known, and what is told of files that somebody mistyped.

mod fitted;
mod order;
mod reach;
mod sizes;

use workshop::{
    machine::{EXAMPLES, Machine, place, read},
    study::{
        curve,
        electric::{charge, windings},
        fault::Studies,
        part::{At, Defect, DefectKind, Kinds, Need, NeedFrom, Shelf, Stand, TEXT, Tier, Verdict, Wanted, base, own, rank, ways},
    },
};

fn corran() -> Machine {
    read(EXAMPLES[0].1).unwrap().0
}

/// What the Corran's file says of a kind, with `over` put over it.
fn need(kind: &str, over: &str) -> Need {
    let machine = corran();
    let curve = curve::study(&machine).ok();
    let windings = windings::study(&machine);
    let charge = charge::study(&machine).ok();
    let studies = Studies {
        curve: curve.as_ref(),
        idle: None,
        alike: None,
        spark: None,
        windings: windings.as_ref(),
        charge: charge.as_ref(),
        holds: None,
    };
    let of = Need::of_machine(base(), base().named(kind).unwrap(), &machine, studies);
    of.over(base(), over).unwrap()
}

fn number(need: &Need, attribute: &str) -> (f64, f64) {
    let kind = &base().list[need.kind];
    match &need.of[kind.named(attribute).unwrap()].as_ref().expect(attribute).what {
        Wanted::Number { reading, .. } => (reading.written(), reading.plus_minus_si / reading.unit.factor()),
        other => panic!("{other:?}"),
    }
}

fn lines(text: &str, defects: &[Defect]) -> Vec<usize> {
    let at = |d: &Defect| match &d.at {
        At::Bytes(span) => place(text, span.start).line,
        _ => 0,
    };
    defects.iter().map(at).collect()
}

#[test]
fn the_base_is_sound_says_whence_and_what_blocks() {
    let kinds = workshop::study::part::read(TEXT).unwrap();
    assert_eq!(&kinds, base());
    assert_eq!(kinds.numbers_source, "common practice, no source");
    let blockers = |id: &str| {
        let kind = &kinds.list[kinds.named(id).unwrap()];
        kind.attributes.iter().filter(|a| a.tier == Tier::Blocker).map(|a| a.id.as_str()).collect::<Vec<_>>()
    };
    // Trade practice, no source: the blockers of each part.
    assert_eq!(blockers("rotor"), ["large_end", "taper_ratio", "keyway", "turns", "magnets", "poles", "top_speed"]);
    assert_eq!(blockers("coil"), ["system", "ends", "system_volts"]);
    assert_eq!(blockers("regulator"), ["phases", "gives", "regulates", "system_volts", "earth", "sense"]);
    assert_eq!(blockers("plug"), ["thread", "reach", "seat"]);
    assert_eq!(blockers("condenser"), ["bears_volts"]);
}

#[test]
fn the_machines_own_readings_say_what_the_job_needs() {
    let coil = need("coil", "");
    assert_eq!(number(&coil, "primary_resistance"), (0.42, 0.03));
    let pickup = need("pickup", "");
    let (ohm, doubt) = number(&pickup, "resistance");
    // 218 ± 3 and 231 ± 3 Ω at 18 °C; at 20 °C by IEC 60028 times 254.5/252.5: 219.7 and 232.8 Ω, of which the middle, and a ± that takes in both.
    assert!((ohm - 0.5 * (218.0 + 231.0) * 254.5 / 252.5).abs() < 0.01 && (doubt - 10.65).abs() < 0.1, "{ohm} {doubt}");
    assert!((number(&pickup, "kick_volts").0 - 0.8).abs() < 1e-12);
    assert!((number(&pickup, "least_gap").0 - 0.55).abs() < 1e-12);
    // 46 V at 3000 rpm.
    assert!((number(&need("stator", ""), "volts_at_1000").0 - 46.0 / 3.0).abs() < 1e-9);
    let rotor = need("rotor", "");
    assert_eq!(number(&rotor, "poles").0, 6.0);
    // A chord of 36.9 mm on a rim of 108 mm: 2·asin(36.9/108) = 39.95°.
    let (arc, doubt) = number(&rotor, "segment_arc");
    assert!((arc - (2.0 * (36.9_f64 / 108.0).asin()).to_degrees()).abs() < 1e-9, "{arc}");
    // d(arc) = 2/√(D² − c²)·dc.
    assert!((doubt - (0.4 / (108.0_f64.powi(2) - 36.9_f64.powi(2)).sqrt()).to_degrees()).abs() < 0.06, "{doubt}");
    let module = need("module", "");
    assert_eq!(number(&module, "channels"), (2.0, 0.0));
    assert!((number(&module, "advance_full").0 - 35.5).abs() < 1.5);
    let amps = number(&need("regulator", ""), "amps").0;
    assert!((5.0..25.0).contains(&amps), "{amps}");
    // What a file of needs says takes the machine's place, and it is told.
    let other = need("coil", "[coil]\nprimary_resistance = \"0.5 ± 0.1 Ω\"\nends = [\"single\", \"double\"]\n");
    let at = base().list[other.kind].named("primary_resistance").unwrap();
    assert_eq!(other.of[at].as_ref().unwrap().from, NeedFrom::FileOver("coil.primary_resistance"));
}

const COILS: &str = r#"
[[part]]
id = "good"
kind = "coil"
measured = "four-wire meter"
system = "capacitor"
ends = "single"
primary_resistance = "0.5 ± 0.05 Ω"
core_earth = "earthed by its lugs"
[[part]]
id = "points"
kind = "coil"
measured = "four-wire meter"
system = "battery"
ends = "single"
primary_resistance = "420 mΩ"
secondary_resistance = "4.6 kΩ"
core_earth = "earthed by its lugs"
[[part]]
id = "unmeasured"
kind = "coil"
quoted = "seller"
system = "capacitor"
primary_resistance = "0.42 Ω"
core_earth = "earthed by its lugs"
[[part]]
id = "far"
kind = "coil"
measured = "meter"
system = "capacitor"
ends = "single"
primary_resistance = "1.4 ± 0.1 Ω"
core_earth = "earthed by its lugs"
"#;

#[test]
fn a_blocker_rules_out_and_what_is_not_known_is_no_match() {
    let need = need("coil", "[coil]\nends = \"single\"\ncore_earth = \"earthed by its lugs\"\n");
    let shelf = Shelf::toml(base(), COILS).unwrap();
    let matched = rank(base(), &need, &shelf);
    let found: Vec<(&str, Verdict)> = matched.ranked.iter().map(|r| (matched.part(r).id.as_str(), r.verdict)).collect();
    use Verdict::{Blocked, Match, Out, Unknown};
    assert_eq!(found, [("good", Match), ("unmeasured", Unknown), ("far", Out), ("points", Blocked)]);
    assert!(matched.need_lacks().is_empty(), "{:?}", matched.need_lacks());
    // All that is open on the unmeasured one is how many ends it has.
    let next = matched.next(&matched.ranked[1]).unwrap();
    assert_eq!((matched.kind.attributes[next.attribute].id.as_str(), next.closer), ("ends", false));
    // The battery coil's own volts do not count on a capacitor ignition, nor its ohms being the same.
    let lines = matched.lines(&matched.ranked[3]);
    let stand = |id: &str| lines[matched.kind.named(id).unwrap()].stand;
    assert_eq!((stand("system"), stand("system_volts")), (Stand::Chance(0.0), Stand::NotAsked));
    assert_eq!(stand("primary_resistance"), Stand::Chance(1.0));
}

#[test]
fn what_the_job_does_not_say_is_not_known_either() {
    let need = need("coil", "");
    let shelf = Shelf::toml(base(), COILS).unwrap();
    let matched = rank(base(), &need, &shelf);
    let lacks: Vec<&str> = matched.need_lacks().iter().map(|a| matched.kind.attributes[*a].id.as_str()).collect();
    assert_eq!(lacks, ["ends", "core_earth"]);
    assert!(matched.ranked.iter().all(|r| r.verdict != Verdict::Match));
}

#[test]
fn every_defect_of_a_shelf_is_told_at_once_and_nothing_is_taken() {
    let text = COILS
        .replace("id = \"points\"", "id = \"Good\"")
        .replace("\"420 mΩ\"", "\"1,200 Ω\"")
        .replace("\"4.6 kΩ\"", "\"4.6 mm\"")
        .replace(
            "quoted = \"seller\"",
            "quoted = \"seller\"\nmeasured = \"me\"\nprice = \"30\"\nprice_day = \"2026-02-30\"\nprice_place = \"stall\"",
        )
        .replace("\"1.4 ± 0.1 Ω\"\ncore_earth", "\"1.4 ± 0.1 Ω\"\ntaper = \"1\"\ncore_earth");
    let defects = Shelf::toml(base(), &text).unwrap_err();
    let kinds: Vec<&DefectKind> = defects.iter().map(|d| &d.kind).collect();
    assert_eq!(defects.len(), 7, "{defects:#?}");
    assert!(matches!(kinds[0], DefectKind::Twice { name } if name == "Good"));
    assert!(matches!(kinds[1], DefectKind::Reading(e) if matches!(e.kind, quantity::ReadingErrorKind::Ambiguous { .. })));
    assert!(matches!(kinds[2], DefectKind::Reading(e) if matches!(e.kind, quantity::ReadingErrorKind::UnitWrong { .. })));
    assert!(kinds.iter().any(|k| matches!(k, DefectKind::MeasuredOrQuoted)));
    assert!(kinds.iter().any(|k| matches!(k, DefectKind::BadPrice { found } if found == "30")));
    assert!(kinds.iter().any(|k| matches!(k, DefectKind::BadDay { .. })));
    assert!(kinds.iter().any(|k| matches!(k, DefectKind::NoAttribute { kind, .. } if kind == "coil")));
    let lines = lines(&text, &defects);
    assert!(lines.is_sorted() && lines[0] == 11, "{lines:?}");
}

#[test]
fn every_defect_of_kinds_and_needs_is_told_at_once() {
    let text = r#"
[[kind]]
id = "plug"
name = "Plug"
[[kind.attribute]]
id = "Grip"
name = "Grip"
measure = "lenght"
usual_pm = "-1 mm"
tier = "must-match"
below = "1 mm"
share_least = 2.0
why = "w"
how = "h"
minutes = 0
if_not = "n"
[[kind.attribute.instead]]
attribute = "seat"
is = "flat"
"#;
    let defects = own(base(), ways(), text).unwrap_err();
    let has = |of: &dyn Fn(&DefectKind) -> bool| defects.iter().any(|d| of(&d.kind));
    assert!(has(&|k| matches!(k, DefectKind::Twice { name } if name == "plug")), "{defects:#?}");
    assert!(has(&|k| matches!(k, DefectKind::OneTolerance)));
    assert!(has(&|k| matches!(k, DefectKind::Form(f) if format!("{f:?}").contains("BadName"))));
    assert!(has(&|k| matches!(k, DefectKind::Form(f) if format!("{f:?}").contains("OutOfRange"))));
    assert!(has(&|k| matches!(k, DefectKind::Form(f) if format!("{f:?}").contains("did_you_mean: Some(\"length\")"))));
    let whole = "[coil]\nsystm = \"capacitor\"\nsystem = \"capactor\"\nprimary_resistance = \"0 Ω\"\n[stator]\nair_gap = \"0.5 mm\"\n[coyl]\n";
    let of = Need { kind: base().named("coil").unwrap(), of: vec![None; base().list[2].attributes.len()] };
    let defects = of.over(base(), whole).unwrap_err();
    assert_eq!(lines(whole, &defects), [2, 3, 4, 6, 7], "{defects:#?}");
    assert!(matches!(defects[2].kind, DefectKind::NotAboveNothing) && matches!(defects[3].kind, DefectKind::RangeHolds));
}

#[test]
fn a_workshops_own_kind_serves_beside_the_base() {
    let text = "[[kind]]\nid = \"lever\"\nname = \"Lever\"\n[[kind.attribute]]\nid = \"pull\"\nname = \"Pull\"\nmeasure = \"length\"\nusual_pm = \"0.5 mm\"\nbelow = \"1 mm\"\nabove = \"1 mm\"\ntier = \"must-match\"\nwhy = \"w\"\nhow = \"h\"\nminutes = 2\nif_not = \"n\"\n";
    let kinds: Kinds = own(base(), ways(), text).unwrap().0;
    assert_eq!(kinds.list.len(), base().list.len() + 1);
    let of = Need { kind: kinds.named("lever").unwrap(), of: vec![None] }.over(&kinds, "[lever]\npull = \"24 mm\"").unwrap();
    let shelf = Shelf::toml(&kinds, "[[part]]\nid = \"l\"\nkind = \"lever\"\nmeasured = \"rule\"\npull = \"2.45 cm\"").unwrap();
    let found = rank(&kinds, &of, &shelf).ranked[0];
    // 24.5 ± 0.5 and 24 ± 0.5 mm within 1 mm: Φ(0.5/0.3536) − Φ(−1.5/0.3536) = 0.9214 − 0.0000.
    assert!((found.chance - 0.9214).abs() < 1e-4 && found.verdict == Verdict::Doubtful, "{found:?}");
}

#[test]
fn what_is_dear_is_so_beside_the_same_function() {
    let mut text = String::new();
    for (id, price) in [("a", "40"), ("b", "45"), ("c", "50"), ("d", "55"), ("e", "120"), ("f", "60")] {
        text += &format!(
            "[[part]]\nid = '{id}'\nkind = 'plug'\nquoted = 'list'\nthread = 'M14x1.25'\nprice = '{price} EUR'\nprice_day = '2026-0{}-01'\nprice_place = 'market'\n",
            price.len()
        );
    }
    // Ruled out, so its price is none of this function.
    text += "[[part]]\nid = 'x'\nkind = 'plug'\nquoted = 'list'\nthread = 'M10x1'\nprice = '5 EUR'\nprice_day = '2024-01-01'\nprice_place = 'market'\n";
    let need = need("plug", "[plug]\nthread = \"M14x1.25\"");
    let shelf = Shelf::toml(base(), &text).unwrap();
    let matched = rank(base(), &need, &shelf);
    let [fair] = &matched.fair[..] else { panic!("{:?}", matched.fair) };
    let middle = fair.middle.unwrap();
    // Of 40, 45, 50, 55, 60, 120 the median is 52.5, the distances 2.5, 2.5, 7.5, 7.5, 12.5, 67.5: their median 7.5.
    assert!((middle.median - 52.5).abs() < 1e-9 && (middle.spread - 7.5 * 1.4826).abs() < 1e-3);
    assert_eq!((fair.count, fair.from.as_str(), fair.to.as_str()), (6, "2026-02-01", "2026-03-01"));
    let dear: Vec<&str> =
        matched.ranked.iter().filter(|r| matched.dear(r).is_some()).map(|r| matched.part(r).id.as_str()).collect();
    assert_eq!(dear, ["e"]);
}
