//! A part put into the machine: what the studies make of it is what they make of a machine file with the same readings typed in, and goes as closed forms say.

use workshop::{
    machine::{EXAMPLES, Machine, read},
    study::{
        curve::{self, CurveStudy},
        electric::charge,
        fault::Studies,
        part::{
            Change, Concern, Effect, Lacks, Need, Outcome, Refit, Room, Shelf, Skipped, Taken, Told, Verdict, What, base, rank,
            sets, ways, with_part,
        },
        spark,
    },
};

/// What two ways to the same number may differ by, as a share \[1\]: nothing but the last bits.
const SAME: f64 = 1e-9;

fn with_curve() -> (Machine, CurveStudy) {
    let machine = super::corran();
    let curve = curve::study(&machine).unwrap();
    (machine, curve)
}

/// The example's file with lines replaced, each of which has to be there.
fn typed(changes: &[(&str, &str)]) -> Machine {
    let text = changes.iter().fold(EXAMPLES[0].1.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    });
    read(&text).unwrap().0
}

fn shelf(text: &str) -> Shelf {
    Shelf::toml(base(), text).unwrap()
}

fn effect(text: &str) -> Effect {
    let (machine, curve) = with_curve();
    Refit::new(base(), &machine, Ok(&curve), None).effect(&[&shelf(text).parts()[0]]).unwrap()
}

fn change(effect: &Effect, what: What) -> Change {
    *effect.changes.iter().find(|c| c.what == what).unwrap_or_else(|| panic!("{what:?} in {effect:#?}"))
}

fn pair(effect: &Effect, what: What) -> (f64, f64) {
    let c = change(effect, what);
    (c.before.unwrap().at().unwrap().si, c.after.at().unwrap().si)
}

fn near(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * b.abs()
}

const COIL: &str = "[[part]]\nid = 'a'\nkind = 'coil'\nmeasured = 'bridge'\nprimary_resistance = '0.8 ± 0.05 Ω'\nprimary_inductance = '1.8 ± 0.1 mH'\nturns_ratio = '60 ± 2'\ncoupling = '0.92 ± 0.02'\nsecondary_resistance = '5.2 ± 0.1 kΩ'\nwinding_capacitance = '70 ± 20 pF'";

#[test]
fn a_coil_gives_what_a_file_with_its_readings_gives() {
    let (_, curve) = with_curve();
    let machine = typed(&[
        ("primary_resistance = { value = \"0.42 ± 0.03 Ω\"", "primary_resistance = { value = \"0.8 ± 0.05 Ω\""),
        ("primary_inductance = { value = \"0.60 ± 0.04 mH\"", "primary_inductance = { value = \"1.8 ± 0.1 mH\""),
        ("turns_ratio = { value = \"85 ± 2\"", "turns_ratio = { value = \"60 ± 2\""),
        ("coupling = { value = \"0.94 ± 0.02\"", "coupling = { value = \"0.92 ± 0.02\""),
        ("secondary_resistance = { value = \"4.6 ± 0.1 kΩ\"", "secondary_resistance = { value = \"5.2 ± 0.1 kΩ\""),
        ("winding_capacitance = { value = \"55 ± 20 pF\"", "winding_capacitance = { value = \"70 ± 20 pF\""),
        ("read_at = { value = \"18 ± 2 °C\"", "read_at = { value = \"20 ± 5 °C\""),
    ]);
    let by_file = spark::study(&machine, Ok(&curve)).unwrap().margin;
    let found = effect(COIL);
    let (kick, top) = (by_file.points[0], by_file.points.last().unwrap());
    for (what, expected) in [
        (What::AvailableKick, kick.available),
        (What::NeededKick, kick.needed.volts),
        (What::MarginKick, kick.margin),
        (What::MarginTop, top.margin),
    ] {
        let after = change(&found, what).after.at().unwrap();
        assert!(near(after.si, expected.si, SAME) && near(after.plus_minus_si, expected.plus_minus_si, SAME), "{what:?}");
    }
    // What the gap needs does not hang on the coil; three times the inductance and fewer turns give less.
    let (before, after) = pair(&found, What::NeededKick);
    assert!(near(before, after, SAME));
    let (before, after) = pair(&found, What::AvailableKick);
    assert!(after < 0.9 * before, "{before} {after}");
    assert!(found.taken.contains(&Taken::Room));
}

#[test]
fn the_machines_own_coil_changes_nothing_but_the_temperature_at_which_it_was_read() {
    let own = COIL
        .replace("0.8 ± 0.05", "0.42 ± 0.03")
        .replace("1.8 ± 0.1", "0.60 ± 0.04")
        .replace("60 ± 2", "85 ± 2")
        .replace("0.92", "0.94")
        .replace("5.2", "4.6")
        .replace("70", "55");
    let found = effect(&own);
    for c in &found.changes {
        let (before, after) = (c.before.unwrap().at().unwrap(), c.after.at().unwrap());
        // Ohms read 2 K warmer are those of a coil with 0.8 % less copper when hot (IEC 60028: 1/254.5 for each K).
        assert!(near(after.si, before.si, 0.01), "{c:?}");
    }
}

#[test]
fn what_is_lacking_is_named_and_nothing_is_put_in_its_place() {
    let machine = super::corran();
    let part = shelf("[[part]]\nid = 'a'\nkind = 'coil'\nmeasured = 'meter'\nprimary_resistance = '0.4 Ω'\nturns_ratio = '80'");
    let lacks = with_part(base(), &machine, &part.parts()[0]).unwrap_err();
    let names: Vec<&str> = lacks
        .iter()
        .map(|l| match l {
            Lacks::Part { kind, attribute } => base().list[*kind].attributes[*attribute].id.as_str(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(names, ["primary_inductance", "coupling", "secondary_resistance", "winding_capacitance"]);
    let pellow = read(EXAMPLES[1].1).unwrap().0;
    let regulator =
        shelf("[[part]]\nid = 'a'\nkind = 'regulator'\nmeasured = 'meter'\nset_point = '14.3 V'\nregulates = 'shunt'");
    if pellow.electric.charging.is_none() {
        assert_eq!(with_part(base(), &pellow, &regulator.parts()[0]), Err(vec![Lacks::Machine("charging")]));
    }
    let seal = shelf("[[part]]\nid = 'a'\nkind = 'seal'\nmeasured = 'caliper'\nshaft = '20 mm'");
    assert_eq!(with_part(base(), &machine, &seal.parts()[0]), Err(vec![Lacks::NotComputed]));
}

#[test]
fn inertia_moves_unevenness_and_times_as_one_over_it_and_as_it() {
    // 10 kg·cm² more than the swing of the old one gives.
    let machine = super::corran();
    let old = workshop::study::rotor::inertia(&machine).unwrap().si;
    let text =
        format!("[[part]]\nid = 'a'\nkind = 'rotor'\nmeasured = 'swing'\ninertia = '{:.6} ± 0.1 kg·cm²'", (old + 1e-3) * 1e4);
    let found = effect(&text);
    let (before, after) = pair(&found, What::Inertia);
    assert!((after - before - 1e-3).abs() < 1e-9, "{before} {after}");
    let ratio = after / before;
    // δ = E/(J·ω²), t = ∫J/M dω: closed forms.
    let (before, after) = pair(&found, What::Unevenness);
    assert!(near(after * ratio, before, SAME));
    for what in [What::RevUp, What::RunDown] {
        let (before, after) = pair(&found, what);
        assert!(near(after, before * ratio, SAME));
    }
    // Half of ½·J·ω² against the burn's work.
    let (before, after) = pair(&found, What::KickBack);
    assert!(near(after * ratio, before, SAME));
    assert!(found.changes.iter().all(|c| c.what != What::AmpsCruise), "its volts were not measured");
}

#[test]
fn a_longer_segment_makes_the_late_spark_later_by_as_much_and_leaves_the_early_one() {
    let machine = super::corran();
    // Chord to angle: 2·asin(36.9/108) = 39.95°; here 3° more.
    let arc = (2.0 * (36.9_f64 / 108.0).asin()).to_degrees() + 3.0;
    let inertia = workshop::study::rotor::inertia(&machine).unwrap().si * 1e4;
    let text = format!(
        "[[part]]\nid = 'a'\nkind = 'rotor'\nmeasured = 'disc'\ninertia = '{inertia:.6} kg·cm²'\nsegment_arc = '{arc:.9} ± 0.3°'"
    );
    let found = effect(&text);
    let fitted = curve::study(&machine).unwrap();
    let old = fitted.cylinders.iter().map(|c| c.law.segment().unwrap().arc().degrees()).fold(0.0, f64::max);
    let (before, after) = pair(&found, What::AdvanceKick);
    // The fit may put the old segment's length elsewhere within its ±; the late spark goes with the length that the new one has.
    let moved = (before - after).to_degrees();
    assert!((moved - (arc - old)).abs() < 0.5, "{moved} {arc} {old}");
    let (before, after) = pair(&found, What::AdvanceTop);
    assert!((before - after).abs() < 1e-9);
    assert!(found.skipped.iter().any(|(room, why)| (*room, *why) == (Room::Idle, Skipped::NoSurface)));
}

#[test]
fn a_module_has_its_own_curve_and_threshold() {
    let text = "[[part]]\nid = 'a'\nkind = 'module'\nmeasured = 'strobe'\ntrigger_volts = '4 ± 0.5 V'\nstart_speed = '1500 rpm'\nadvance_start = '5 ± 1°'\nadvance_2000 = '15 ± 1°'\nfull_speed = '4000 rpm'\nadvance_full = '30 ± 1°'";
    let found = effect(text);
    // The pickup of the earliest cylinder stands at 0 ± 0.5°, the other later.
    for (what, degrees) in [(What::AdvanceKick, 5.0), (What::Advance2000, 15.0), (What::AdvanceTop, 30.0)] {
        let after = change(&found, what).after.at().unwrap().si.to_degrees();
        assert!((after - degrees).abs() < 1e-6, "{what:?} {after}");
    }
    // 2.3 V against 4 V.
    let (before, after) = pair(&found, What::SignalKick);
    assert!(near(after, before * 0.8 / 4.0, SAME));
    assert!(found.concerns.iter().any(|c| matches!(c, Concern::NoSignal { .. })));
    assert_eq!(found.outcome(), Outcome::Fails);
    let back = text.replace("'4000 rpm'", "'1400 rpm'");
    let machine = super::corran();
    assert_eq!(with_part(base(), &machine, &shelf(&back).parts()[0]), Err(vec![Lacks::Points]));
}

const STATOR: &str = "[[part]]\nid = 's-8'\nkind = 'stator'\nmeasured = 'meter'\nphases = 'three'\nwinding = 'floating'\nsource_coil = 'yes'\npoles = '8'\nspigot = '30 mm'\nair_gap = '0.5 mm'\ncore_height = '20 mm'\nvolts_at_1000 = '15.3 ± 0.5 V'\nwinding_resistance = '0.5 ± 0.02 Ω'\nwinding_inductance = '0.5 ± 0.05 mH'\n";

#[test]
fn a_regulator_and_a_stator_charge_as_the_same_file_does() {
    let machine = typed(&[("regulator_volts = { value = \"14.3 ± 0.2 V\"", "regulator_volts = { value = \"14.0 ± 0.1 V\"")]);
    let as_is = super::corran();
    let speeds = [as_is.idle.as_ref().unwrap().speed.si, 0.5 * as_is.engine.top_speed.si];
    let by_file = charge::brief(&machine, &speeds).unwrap();
    let found =
        effect("[[part]]\nid = 'a'\nkind = 'regulator'\nmeasured = 'meter'\nset_point = '14.0 ± 0.1 V'\nregulates = 'shunt'");
    assert!(near(change(&found, What::AmpsIdle).after.at().unwrap().si, by_file.points[0].battery.si, SAME));
    assert!(near(change(&found, What::VoltsCruise).after.at().unwrap().si, by_file.points[1].plus.si, SAME));
    let (before, after) = (change(&found, What::BreakEven).before, change(&found, What::BreakEven).after);
    assert_eq!(before, Some(after), "what the alternator gives does not hang on the regulator");

    let machine = typed(&[
        ("no_load_volts = { value = \"46 ± 2 V\"", "no_load_volts = { value = \"15.3 ± 0.5 V\""),
        ("no_load_speed = { value = \"3000 rpm\"", "no_load_speed = { value = \"1000 rpm\""),
        (
            "resistance = { value = \"0.42 ± 0.03 Ω\", with = \"meter, leads",
            "resistance = { value = \"0.5 ± 0.02 Ω\", with = \"meter, leads",
        ),
        ("resistance_at = { value = \"18 ± 3 °C\"", "resistance_at = { value = \"20 ± 5 °C\""),
        ("pole_pairs = 3", "pole_pairs = 4"),
        (
            "joined_amps = { value = \"11.6 ± 0.4 A\", with = \"clamp meter\" }\njoined_speed = { value = \"5000 ± 75 rpm\", with = \"clip-on rev counter\" }",
            "inductance = \"0.5 ± 0.05 mH\"",
        ),
    ]);
    let by_file = charge::brief(&machine, &speeds).unwrap();
    let found = effect(STATOR);
    assert!(near(change(&found, What::AmpsCruise).after.at().unwrap().si, by_file.points[1].battery.si, SAME));
    assert!(matches!(change(&found, What::BreakEven).after, Told::At(_) | Told::Never | Told::Always));
}

const ROTOR: &str = "[[part]]\nid = 'r-8'\nkind = 'rotor'\nmeasured = 'caliper'\nlarge_end = 'towards the engine'\ntaper_ratio = '0.150 ± 0.001'\nkeyway = 'in the old place'\nturns = 'either'\nmagnets = 'outside the stator'\npoles = '8'\ntop_speed = '10000 rpm'\ntaper_diameter = '19.6 ± 0.01 mm'\ncontact = '85 ± 5 %'\ninside_diameter = '82.95 ± 0.01 mm'\nsegment_arc = '39.95 ± 0.1°'\ninertia = '24 ± 1 kg·cm²'\nbalanced = 'yes'\n";

#[test]
fn a_set_mends_what_rules_each_of_its_parts_out_and_says_by_which_link() {
    let (machine, curve) = with_curve();
    let charging = charge::study(&machine).ok();
    let studies = Studies { curve: Some(&curve), charge: charging.as_ref(), ..Studies::default() };
    let over = "[rotor]\nlarge_end = 'towards the engine'\ninertia = '24 ± 1 kg·cm²'\ninside_diameter = '83.0 ± 0.02 mm'\n[stator]\nspigot = '30 mm'\ncore_height = '20 mm'\n[regulator]\nearth = 'negative'\nsense = 'none'\n";
    let together = ways().set("charging").unwrap();
    let needs: Vec<Need> =
        together.kinds.iter().map(|k| Need::of_machine(base(), *k, &machine, studies).over(base(), over).unwrap()).collect();
    // A third rotor fits in all but its taper, which runs the other way: no set may take it in.
    let turned = ROTOR.replace("r-8", "r-turned").replace("'towards the engine'", "'away from the engine'");
    let all = shelf(&format!("{ROTOR}{turned}{STATOR}"));
    for need in &needs[..2] {
        let matched = rank(base(), need, &all);
        assert!(matched.ranked.iter().all(|r| r.verdict == Verdict::Blocked), "{:?}", matched.ranked);
    }
    let refit = Refit::new(base(), &machine, Ok(&curve), None);
    let found = sets(base(), together, &needs, &all, &refit, 20);
    assert_eq!(found.found.len(), 1, "{found:#?}");
    let set = &found.found[0];
    assert_eq!(set.parts, [Some(0), Some(2), None]);
    let links: Vec<&str> = set.mends.iter().map(|m| base().list[together.kinds[together.links[m.link].of]].id.as_str()).collect();
    assert_eq!(links, ["rotor", "stator"]);
    assert!(set.mends.iter().all(|m| m.ruled_out));
    let effect = set.effect.as_ref().unwrap().as_ref().unwrap();
    assert!(effect.changes.iter().any(|c| c.what == What::AmpsCruise) && effect.changes.iter().any(|c| c.what == What::Inertia));
    assert!(found.found.iter().all(|s| !s.parts.contains(&Some(1))));
}

#[test]
fn an_adaptation_is_offered_beside_the_blocker_and_never_in_its_place() {
    let (machine, curve) = with_curve();
    let rotor = base().named("rotor").unwrap();
    let studies = Studies { curve: Some(&curve), ..Studies::default() };
    let need =
        Need::of_machine(base(), rotor, &machine, studies).over(base(), "[rotor]\nlarge_end = 'towards the engine'").unwrap();
    let other = ROTOR
        .replace("'towards the engine'", "'away from the engine'")
        .replace("'8'", "'6'")
        .replace("'85 ± 5 %'", "'40 ± 5 %'")
        .replace("'24 ± 1", "'40 ± 1");
    let all = shelf(&(other.clone() + &other.replace("r-8", "r-slow").replace("'10000 rpm'", "'6000 rpm'")));
    let matched = rank(base(), &need, &all);
    let name = |a: &usize| matched.kind.attributes[*a].id.as_str();
    for ranked in &matched.ranked {
        assert_eq!(ranked.verdict, Verdict::Blocked);
        let offer = matched.offer(ways(), ranked).unwrap();
        let with: Vec<&str> = offer.with.iter().map(|a| a.id.as_str()).collect();
        // The hub takes contact with it, so the taper need not be lapped in too.
        assert_eq!(with, ["new-hub", "rotor-turned"]);
        assert_eq!(offer.removed.iter().map(name).collect::<Vec<_>>(), ["large_end", "contact", "inertia"]);
        let slow = matched.part(ranked).id == "r-slow";
        assert_eq!(offer.stays.iter().map(name).collect::<Vec<_>>(), if slow { vec!["top_speed"] } else { vec![] });
        // 420 ± 180 and 90 ± 45 min; 90 ± 50 and 15 ± 15 EUR.
        assert!((offer.minutes.si - 510.0).abs() < 1e-9 && (offer.minutes.plus_minus_si - 180.0_f64.hypot(45.0)).abs() < 1e-9);
        let cost = offer.cost.unwrap();
        assert!((cost.amount - 105.0).abs() < 1e-9 && (cost.plus_minus - 50.0_f64.hypot(15.0)).abs() < 1e-9);
        assert!(offer.with.iter().all(|a| !a.caution.is_empty()));
    }
}
