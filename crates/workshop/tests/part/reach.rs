//! How far what is computed reaches: knock, a lighter rotor's return map, what a set's alternator gives, a workshop's own adaptations.

use physics::{
    cycle::Prepared,
    return_map::Manner,
    surface::{Progress, Surface},
};
use workshop::{
    machine::{Machine, place},
    study::{
        curve,
        electric::charge,
        engine,
        fault::Studies,
        idle::{self, Parameter},
        load,
        model::{EngineModel, Which},
        part::{At, Concern, DefectKind, Need, Refit, Room, Shelf, Verdict, What, base, own, rank, sets, ways, with_part},
    },
};

/// What two ways to the same number may differ by, as a share \[1\]: nothing but the last bits.
const SAME: f64 = 1e-9;

fn shelf(text: &str) -> Shelf {
    Shelf::toml(base(), text).unwrap()
}

/// A module with a curve of its own, its least and full advance in degrees.
fn module(least: f64, full: f64) -> String {
    format!(
        "[[part]]\nid = 'm'\nkind = 'module'\nmeasured = 'strobe'\nstart_speed = '1200 rpm'\nadvance_start = '{least:.1} ± 1°'\nfull_speed = '4000 rpm'\nadvance_full = '{full:.1} ± 1°'"
    )
}

#[test]
fn a_modules_own_curve_is_held_against_the_knock_limits_of_the_engine() {
    let machine = super::corran();
    let found = curve::study(&machine).unwrap();
    let refit = Refit::new(base(), &machine, Ok(&found), None);
    let room = |least: f64, full: f64| {
        let part = shelf(&module(least, full));
        let effect = refit.effect(&[&part.parts()[0]]).unwrap();
        let change = *effect.changes.iter().find(|c| c.what == What::KnockRoom).unwrap();
        let fitted = with_part(base(), &machine, &part.parts()[0]).unwrap();
        (change.before.unwrap().at().unwrap(), change.after.at().unwrap(), effect, fitted.machine)
    };
    // The study of load, run on the changed machine and on the machine as it is.
    let by_load = |machine: &Machine| {
        let curve = curve::study(machine).unwrap();
        let cycle = engine::cycle(machine).unwrap();
        let found = load::study(machine, &curve, &*cycle, None);
        found.wide_open.iter().filter_map(|s| Some(s.knock.room(s.now?.advance)?.si)).fold(f64::INFINITY, f64::min)
    };
    let (before, mild, effect, fitted) = room(6.0, 34.0);
    assert!((before.si - by_load(&machine)).abs() < SAME);
    assert!((mild.si - by_load(&fitted)).abs() < SAME);
    assert!(mild.si > 0.0 && !effect.concerns.iter().any(|c| matches!(c, Concern::Knocks { .. })), "{mild:?}");
    // At the slowest speed that is looked at, where this engine knocks first, so many degrees earlier leave so many less.
    let (_, early, effect, fitted) = room(56.0, 58.0);
    assert!((early.si - by_load(&fitted)).abs() < SAME);
    let knocks = effect.concerns.iter().find(|c| matches!(c, Concern::Knocks { room, .. } if *room == early)).unwrap();
    assert!(early.si < 0.0);
    assert_eq!(knocks.fails(), early.si + early.plus_minus_si < 0.0, "only the ± may let it pass");
}

fn model(machine: &Machine) -> EngineModel {
    let (which, engine) = engine::surfaces_needed(machine).unwrap().swap_remove(0);
    let prepared = Prepared::new(engine).unwrap();
    // The grid of the study of doubt: coarse, which is enough here.
    let grid = engine::grid(machine, Which::High(Parameter::BurnFactor));
    let surface = Surface::compute(&prepared, &grid, &Progress::default()).unwrap();
    engine::from_surfaces(machine, &[(which, surface)]).unwrap()
}

#[test]
fn a_rotors_inertia_moves_how_a_push_comes_back_and_no_rest_point() {
    let machine = super::corran();
    let found = curve::study(&machine).unwrap();
    let model = model(&machine);
    let old = workshop::study::rotor::inertia(&machine).unwrap().si;
    let all = machine.engine.inertia.si;
    let refit = Refit::new(base(), &machine, Ok(&found), Some(&model));
    let effect = |more: f64| {
        let kgcm2 = (old + more * all) * 1e4;
        let part = shelf(&format!("[[part]]\nid = 'r'\nkind = 'rotor'\nmeasured = 'swing'\ninertia = '{kgcm2:.6} ± 0.1 kg·cm²'"));
        refit.effect(&[&part.parts()[0]]).unwrap()
    };
    let push = |more: f64| {
        let effect = effect(more);
        assert!(!effect.skipped.iter().any(|(room, _)| *room == Room::Idle), "{effect:#?}");
        let of = |what: What| effect.changes.iter().find(|c| c.what == what).copied();
        let hangs = of(What::HangsAt).unwrap();
        assert_eq!(hangs.before, Some(hangs.after), "mean torque knows no inertia");
        let change = of(What::PushIdle).unwrap();
        (change.before.unwrap().at().unwrap().si, change.after.at().unwrap().si)
    };
    // Before: what the study of the run has for the same machine on its stop.
    let run = idle::study(&machine, &found, &model).unwrap().run.unwrap();
    let by_run = run.push_at_idle.unwrap();
    assert_eq!(by_run.manner(), Manner::Steady);
    let (before, heavier) = push(0.5);
    assert!((before - by_run.magnitude()).abs() < SAME * before, "{before} {by_run:?}");
    // λ = exp(T ∂T/∂ω/J): more inertia brings it nearer to 1. Half as much again takes a third off its logarithm where the charge remembers little.
    let (_, lighter) = push(-0.2);
    assert!(lighter < before && before < heavier && heavier < 1.0, "{lighter} {before} {heavier}");
    let ratio = heavier.ln() / before.ln();
    /// What charge's memory and the stop that is set anew leave of that (own choice).
    const MEMORY: f64 = 0.15;
    assert!((ratio * 1.5 - 1.0).abs() < MEMORY, "{ratio}");
}

const ROTOR: &str = "[[part]]\nid = 'r'\nkind = 'rotor'\nmeasured = 'caliper'\nlarge_end = 'towards the engine'\ntaper_ratio = '0.150 ± 0.001'\nkeyway = 'in the old place'\nturns = 'either'\nmagnets = 'outside the stator'\npoles = '8'\ntop_speed = '10000 rpm'\ntaper_diameter = '19.6 ± 0.01 mm'\ncontact = '85 ± 5 %'\ninside_diameter = '82.95 ± 0.01 mm'\nsegment_arc = '39.95 ± 0.1°'\ninertia = '24 ± 1 kg·cm²'\nbalanced = 'yes'\n";

fn stator(id: &str, milliohm: u32, henry: &str) -> String {
    format!(
        "[[part]]\nid = '{id}'\nkind = 'stator'\nmeasured = 'meter'\nphases = 'three'\nwinding = 'floating'\nsource_coil = 'yes'\npoles = '8'\nspigot = '30 mm'\nair_gap = '0.5 mm'\ncore_height = '20 mm'\nvolts_at_1000 = '15.3 ± 0.2 V'\nwinding_resistance = '{milliohm} ± 5 mΩ'\nwinding_inductance = '{henry} ± 0.1 mH'\n"
    )
}

#[test]
fn a_regulator_of_a_set_is_judged_by_the_stator_that_it_will_have() {
    let machine = super::corran();
    let found = curve::study(&machine).unwrap();
    let charging = charge::study(&machine).unwrap();
    // The top speed gives most: the study's own curve says so.
    let most = charging.points.iter().map(|p| p.gives.si).fold(0.0, f64::max);
    assert!((charge::greatest(&machine).unwrap().si - most).abs() < SAME * most);
    let gives = |text: &str| {
        let fitted = with_part(base(), &machine, &shelf(text).parts()[0]).unwrap();
        charge::greatest(&fitted.machine).unwrap().si
    };
    let (weak, strong) = (stator("s-weak", 900, "8.0"), stator("s-strong", 300, "0.9"));
    let (least, greatest) = (gives(&weak), gives(&strong));
    assert!(least < 0.8 * most && most < 0.8 * greatest, "{least} {most} {greatest}");
    // One bears 1.3 times what the weak stator gives and a little, one the same of the old one.
    let regulator = |id: &str, amps: f64| {
        format!(
            "[[part]]\nid = '{id}'\nkind = 'regulator'\nmeasured = 'meter'\nphases = 'three'\ngives = 'direct current'\nregulates = 'shunt'\nsystem_volts = '12 V'\nearth = 'negative'\nsense = 'none'\nset_point = '14.4 ± 0.1 V'\nheat_path = 'yes'\namps = '{:.2} A'\n",
            1.3 * amps
        )
    };
    let small = regulator("g-small", 1.25 * least);
    let middle = regulator("g-middle", 1.15 * most);
    let all = shelf(&format!("{ROTOR}{weak}{strong}{small}{middle}"));
    let over = "[rotor]\nlarge_end = 'towards the engine'\ninertia = '24 ± 1 kg·cm²'\ninside_diameter = '83.0 ± 0.02 mm'\n[stator]\nspigot = '30 mm'\ncore_height = '20 mm'\nvolts_at_1000 = 'any'\nwinding_resistance = 'any'\n[regulator]\nearth = 'negative'\nsense = 'none'\n";
    let together = ways().set("charging").unwrap();
    let studies = Studies { curve: Some(&found), charge: Some(&charging), ..Studies::default() };
    let needs: Vec<Need> =
        together.kinds.iter().map(|k| Need::of_machine(base(), *k, &machine, studies).over(base(), over).unwrap()).collect();
    let alone = rank(base(), &needs[2], &all);
    let verdict = |id: &str| alone.ranked.iter().find(|r| alone.part(r).id == id).unwrap().verdict;
    assert_eq!((verdict("g-small"), verdict("g-middle")), (Verdict::Out, Verdict::Match));
    let refit = Refit::new(base(), &machine, Ok(&found), None);
    let sets = sets(base(), together, &needs, &all, &refit, 4);
    let name = |p: Option<usize>| p.map_or("", |p| all.parts()[p].id.as_str());
    let with: Vec<[&str; 2]> = sets.found.iter().map(|s| [name(s.parts[1]), name(s.parts[2])]).collect();
    assert!(with.contains(&["s-weak", "g-small"]), "{with:?}");
    assert!(!with.contains(&["s-strong", "g-small"]) && !with.contains(&["s-strong", "g-middle"]), "{with:?}");
    let set = sets.found.iter().find(|s| name(s.parts[2]) == "g-small").unwrap();
    assert!(set.mends.iter().any(|m| together.links[m.link].on.is_none() && !m.ruled_out), "{set:#?}");
}

const OWN: &str = r#"
[[adaptation]]
id = "own-bush"
name = "Bush in the hub"
kind = "rotor"
minutes = 60
minutes_pm = 20
cost = "8 ± 3 EUR"
how = "Turned from one bar with the taper, pressed and bonded."
caution = "A bush that creeps lets the rotor go. Prove it to twice the torque of the kick."

[[adaptation.removes]]
attribute = "taper_diameter"
when = "more"
"#;

#[test]
fn a_workshops_own_adaptation_is_offered_beside_those_of_the_program() {
    let (kinds, with) = own(base(), ways(), OWN).unwrap();
    assert_eq!((kinds.list.len(), with.adaptations.len()), (base().list.len(), ways().adaptations.len() + 1));
    let machine = super::corran();
    let rotor = base().named("rotor").unwrap();
    let need = Need::of_machine(base(), rotor, &machine, Studies::default());
    let need = need.over(base(), "[rotor]\nlarge_end = 'towards the engine'\ninside_diameter = '83.0 mm'").unwrap();
    let wide = ROTOR.replace("'8'", "'6'").replace("19.6 ± 0.01", "22.6 ± 0.01");
    let all = shelf(&wide);
    let matched = rank(&kinds, &need, &all);
    let offered = |ways| matched.offer(ways, &matched.ranked[0]).map(|o| o.with.iter().map(|a| a.id.clone()).collect::<Vec<_>>());
    assert!(offered(&with).unwrap().contains(&"own-bush".to_owned()));
    assert!(!offered(ways()).unwrap_or_default().contains(&"own-bush".to_owned()));
}

#[test]
fn every_slip_in_a_workshops_own_file_is_told_at_once_with_its_line() {
    let text = OWN
        .replace("own-bush", "new-hub")
        .replace("\"rotor\"", "\"roter\"")
        .replace("minutes = 60", "minutes = 0")
        .replace("8 ± 3 EUR", "8 ± 3")
        .replace("caution = ", "warning = ")
        + "[[adaptation]]\nid = 'b'\nname = 'B'\nkind = 'coil'\nminutes = 5\nminutes_pm = 1\ncost = '1 EUR'\nhow = 'h'\ncaution = 'c'\n[[adaptation.removes]]\nattribute = 'core_earth'\nwhen = 'less'\n[[adaptation.removes]]\nattribute = 'ends'\nhas = ['tripel']\n[[kind]]\nid = 'bare'\nname = 'Bare'\n[[adaptation]]\nid = 'c'\nname = 'C'\nkind = 'bare'\nminutes = 5\nminutes_pm = 1\ncost = '1 EUR'\nhow = 'h'\ncaution = 'c'\n[[adaptation.removes]]\nattribute = 'x'\n";
    let defects = own(base(), ways(), &text).unwrap_err();
    let line = |at: &At| if let At::Bytes(span) = at { place(&text, span.start).line } else { 0 };
    let has = |of: &dyn Fn(&DefectKind) -> bool| defects.iter().filter(|d| of(&d.kind)).map(|d| line(&d.at)).collect::<Vec<_>>();
    assert_eq!(has(&|k| matches!(k, DefectKind::Twice { name } if name == "new-hub")), [3], "{defects:#?}");
    let meant =
        |wanted: &'static str| move |k: &DefectKind| matches!(k, DefectKind::Word { did_you_mean: Some(w), .. } if w == wanted);
    assert_eq!(has(&meant("rotor")), [5]);
    assert_eq!(has(&|k| format!("{k:?}").contains("OutOfRange")), [6]);
    assert_eq!(has(&|k| matches!(k, DefectKind::BadPrice { .. })), [8]);
    assert_eq!(has(&|k| format!("{k:?}").contains("UnknownKey")), [10]);
    assert_eq!(has(&|k| matches!(k, DefectKind::OtherSort)).len(), 1);
    assert!(has(&|k| matches!(k, DefectKind::Word { found, .. } if found == "tripel")).len() == 1);
    assert!(has(&|k| format!("{k:?}").contains("MissingKey { key: \"attribute\" }")).len() == 1);
    assert!(defects.is_sorted_by_key(|d| line(&d.at)));
    assert_eq!(own(base(), ways(), "").unwrap_err()[0].kind, DefectKind::NothingOwn);
}
