//! Which puller and mandrel fit, what a boss bears and where holes may go, from a machine file. The machine is invented.

mod written;

use physics::rotor::thread::Metric;
use workshop::{
    machine::{CorrectBy, EXAMPLES, Machine, SeenFrom, read},
    study::{
        NotStudied,
        rotor::{
            self, Held, NotchKind, RotorStudy,
            balance::{Correction, NoCorrection},
            drilled::Unfit,
            fitting::{Misfit, widest_m},
            held,
            magnets::NotFound,
        },
        warning::{BoreNumber, Warning},
    },
};
use written::{close, length};

/// The Corran with pieces of its text replaced, each of which stands there once.
fn text(changes: &[(&str, &str)]) -> String {
    let mut text = EXAMPLES[0].1.to_owned();
    for (from, to) in changes {
        assert_eq!(text.matches(from).count(), 1, "{from:?} must stand there once");
        text = text.replacen(from, to, 1);
    }
    text
}

/// Without the engine, which takes seconds to run in a debug build.
fn alone(machine: &Machine) -> RotorStudy {
    rotor::study(machine, Err(NotStudied::NoCurve)).expect("a rotor")
}

fn held_of(changes: &[(&str, &str)]) -> held::HeldStudy {
    let (machine, _) = read(&text(changes)).unwrap_or_else(|d| panic!("{d:#?}"));
    held::study(&machine, None, None).unwrap()
}

fn misfits(changes: &[(&str, &str)]) -> Vec<Misfit> {
    held_of(changes).puller_fits.unwrap()
}

const BOLTS: &str = "by = \"bolts\"\nthread = \"8 mm\"\npitch = \"1.25 mm\"";
const CIRCLE: &str = "\ncircle = { value = \"62.0 ± 0.2 mm\"";

/// Limits of inner threads of class 6H as tables print them (ISO 965-2, from memory): M6 5.153, M8 6.912, M10 8.676, M12 10.441 mm; M5 × 0.8 4.334.
#[test]
fn a_tapped_hole_is_no_wider_than_the_tables_allow() {
    // The standard rounds a tolerance of 0.2 to 0.4 mm to steps of six in a hundred.
    const ROUNDED_MM: f64 = 0.012;
    for (d, p, most) in [(5.0, 0.8, 4.334), (6.0, 1.0, 5.153), (8.0, 1.25, 6.912), (10.0, 1.5, 8.676), (12.0, 1.75, 10.441)] {
        let ours = widest_m(&Metric::new(d * 1e-3, p * 1e-3).unwrap()) * 1e3;
        assert!((ours - most).abs() < ROUNDED_MM, "M{d}: {ours} against {most}");
    }
}

/// Three M8 on 62 mm into three holes of 6.8 on 62 mm: drilled d − P = 6.75, as any tapping table has it.
#[test]
fn the_puller_is_set_against_the_holes() {
    let found = held_of(&[]);
    assert_eq!(found.puller_fits, Ok(vec![]));
    assert!(!found.pull.unwrap().steps.is_empty());
    // M8 × 1 is 6.917 mm inside at the least by its tables, and the holes are no more than 6.9.
    let fine = misfits(&[(BOLTS, "by = \"bolts\"\nthread = \"8 mm\"\npitch = \"1 mm\"")]);
    let [Misfit::HoleTooNarrow { hole, least_m }] = fine[..] else { panic!("{fine:?}") };
    close(hole.si * 1e3, 6.8, 1e-9);
    assert!((least_m * 1e3 - 6.917).abs() < 5e-4);
    let wide = misfits(&[(BOLTS, "by = \"bolts\"\nthread = \"6 mm\"\npitch = \"1 mm\"")]);
    assert!(matches!(wide[..], [Misfit::HoleTooWide { .. }]), "{wide:?}");
    // 62.0 ± 0.2 mm: bolts of 8 mm have 0.8 mm of play in their plate, so 63.1 ± 0.2 mm may still go on and 63.4 ± 0.1 mm does not.
    assert_eq!(misfits(&[(CIRCLE, "\ncircle = { value = \"63.1 ± 0.2 mm\"")]), []);
    let apart = misfits(&[(CIRCLE, "\ncircle = { value = \"63.4 ± 0.1 mm\"")]);
    assert!(matches!(apart[..], [Misfit::Circle { .. }]), "{apart:?}");
    assert_eq!(misfits(&[("bolts = 3", "bolts = 2")]), [Misfit::Count { bolts: 2, holes: 3 }]);
    let deep = misfits(&[("engaged = { value = \"7.0 ± 0.3 mm\"", "engaged = { value = \"9.0 ± 0.3 mm\"")]);
    assert!(matches!(deep[..], [Misfit::TooDeep { .. }]), "{deep:?}");
    // Nothing is tightened with a puller that does not fit.
    assert!(held_of(&[("bolts = 3", "bolts = 2")]).pull.unwrap().steps.is_empty());
    let none = held_of(&[("purpose = \"puller\"", "purpose = \"bolt\"")]);
    assert_eq!(none.puller_fits, Err(NotFound::Missing("rotor.hole")));
}

#[test]
fn a_boss_thread_is_set_against_the_boss() {
    let with = |size: &str| misfits(&[(BOLTS, &format!("by = \"boss thread\"\nthread = \"{size} mm\"\npitch = \"1.25 mm\""))]);
    assert_eq!(with("27"), []);
    // Over the boss of 40.0 ± 0.1 mm.
    assert_eq!(with("40"), []);
    assert!(matches!(with("42")[..], [Misfit::BossTooThin { .. }]));
    // The bore is 14.8 mm at that end: a thread of 14 mm has nothing to hold on to.
    assert!(matches!(with("14")[..], [Misfit::BoreTooWide { .. }]));
}

/// Arithmetic: 0.150 over 32 mm takes 4.8 mm off 19.6; half of 0.150 is the tangent of a side.
#[test]
fn the_mandrel_is_named_by_the_bore() {
    let m = held_of(&[]).mandrel.unwrap();
    close(m.small.si * 1e3, 14.8, 1e-9);
    close(m.side.si, 0.075f64.atan(), 1e-12);
    close(m.small.plus_minus_si * 1e3, (0.05f64.powi(2) + 0.032f64.powi(2) + 0.03f64.powi(2)).sqrt(), 1e-6);
    assert_eq!(m.thread_m, [12e-3, 1.25e-3]);
}

/// The bore of the section and the taper are one cone: what differs by more than both ± is said.
#[test]
fn a_bore_that_is_not_the_taper_is_said() {
    let said = |changes: &[(&str, &str)]| -> Vec<BoreNumber> {
        let warnings = read(&text(changes)).unwrap().1;
        warnings
            .iter()
            .filter_map(|w| if let Warning::BoreNotTheTaper { number, .. } = w { Some(*number) } else { None })
            .collect()
    };
    assert_eq!(said(&[]), []);
    let bore = |at: &str, small: &str| -> Vec<BoreNumber> {
        said(&[
            ("inside = { value = \"19.6 ± 0.1 mm\"", &format!("inside = {{ value = \"{at} ± 0.1 mm\"")),
            ("inside_at_to = { value = \"14.8 ± 0.1 mm\"", &format!("inside_at_to = {{ value = \"{small} ± 0.1 mm\"")),
        ])
    };
    // Within both ± of 0.05 and 0.1 mm.
    assert_eq!(bore("19.7", "14.8"), []);
    assert_eq!(bore("19.8", "15.0"), [BoreNumber::LargeEnd, BoreNumber::SmallEnd]);
    // 4.4 mm over 32 are 0.1375, and 0.150 ± 0.001 lies farther off than ± 0.0045.
    assert_eq!(bore("19.6", "15.2"), [BoreNumber::SmallEnd, BoreNumber::Ratio]);
}

/// A wall of 6.2 mm round the bore instead of the 11.4 that was there: hoop and pressure by Lamé for that ring (Timoshenko, Strength of Materials, from memory), with what spin does beside it.
#[test]
fn a_boss_that_is_turned_down_is_pressed_harder() {
    let whole = alone(&read(&text(&[])).unwrap().0).strength.expect("strength").pressed.expect("pressed");
    let (p, mean) = (whole.pressure.si, 19.6e-3 - 0.075 * 32e-3);
    let zone = "\n[[rotor.zone]]\npiece = \"boss\"\nface = \"outside\"\ndeepest = \"4 mm\"\nleave = \"50 %\"\n";
    let mut turned = read(&text(&[("# Hung on three wires", &format!("{zone}\n# Hung on three wires"))])).unwrap().0;
    let rotor = turned.rotor.as_mut().expect("a rotor");
    // The part of the boss that stands out from the web, as a piece of its own.
    let mut out = rotor.pieces[2].clone();
    let mm = |value: f64| quantity::Reading { si: value * 1e-3, plus_minus_si: 1e-4, ..out.outside.clone() };
    let bore = 19.6 - 4.8 * 24.4 / 32.0;
    (out.to, out.inside_at_to) = (mm(32.4), Some(mm(bore)));
    (rotor.pieces[2].from, rotor.pieces[2].inside) = (mm(32.4), mm(bore));
    rotor.pieces.push(out);
    rotor.zones.swap(0, 2);
    rotor.zones[0].piece = 3;
    let rows = alone(&turned).lighten.expect("looked at").zones[0].cuts.clone();
    let (none, deep) = (&rows[0], rows.last().expect("the deepest"));
    let von_mises = |outside: f64| {
        let ratio = (outside / mean).powi(2);
        let hoop = p * (ratio + 1.0) / (ratio - 1.0);
        (hoop * hoop + hoop * p + p * p).sqrt()
    };
    let (by, want) = (
        none.reserve_at_seat.expect("pressed").si / deep.reserve_at_seat.expect("pressed").si,
        von_mises(40e-3 - 2.0 * deep.depth_m) / von_mises(40e-3),
    );
    assert!(deep.depth_m > 3e-3 && want > 1.1 && by > 1.0 + 0.7 * (want - 1.0) && by < 1.0 + 1.1 * (want - 1.0), "{by} {want}");
}

/// Cast iron breaks where spin and press together reach its strength; by its press alone it does at rest.
#[test]
fn a_brittle_rotor_breaks_by_press_and_spin() {
    let cast = |torque: &str| {
        let nut = format!("nut_torque = {{ value = \"{torque}\"");
        let cast = [("metal = \"forged steel\"", "metal = \"grey cast iron\""), ("nut_torque = { value = \"60 ± 3 N·m\"", &nut)];
        alone(&read(&text(&cast)).unwrap().0).strength.expect("strength")
    };
    assert_eq!(cast("150 ± 3 N·m").bursts_at.si, 0.0);
    let loose = cast("5 ± 1 N·m");
    let key = loose.notches.iter().find(|n| n.kind == NotchKind::Keyway).expect("a keyway");
    let peak = key.peak.expect("a factor").si;
    assert!(loose.bursts_at.si > 0.0 && key.at_rest_pa > 0.0 && key.at_rest_pa < peak);
}

/// The Corran's rim is 6 mm thick with magnets from 3 to 30 mm: what fits, and what does not, by those numbers.
#[test]
fn holes_are_drilled_where_there_is_metal_for_them() {
    let text = EXAMPLES[0].1;
    let planned = |from: &str, to: &str| {
        assert_eq!(text.matches(from).count(), 1, "{from:?}");
        let (machine, _) = read(&text.replacen(from, to, 1)).unwrap_or_else(|d| panic!("{d:#?}"));
        let study = rotor::study(&machine, Err(NotStudied::NoCurve)).ok();
        held::study(&machine, study.as_ref(), None).unwrap().balance.unwrap().correction
    };
    let Ok(Correction::Drill { plan, face, drill_m, .. }) = planned("# Its large end", "#") else { panic!() };
    assert_eq!(face, Some(SeenFrom::CoverSide));
    // A wall of a millimetre either side of a 3 mm drill, and behind the web the point stays short of the magnets.
    assert!(drill_m < 4e-3 && 40e-3 - plan.to_point_m > 30.2e-3 + 1e-3 && plan.places_rad.len() <= 5);
    let unfit = |from: &str, to: &str| match planned(from, to) {
        Err(NoCorrection::Unfit(why)) => why,
        other => panic!("{to}: {other:?}"),
    };
    assert!(matches!(unfit("drill = \"3 mm\"", "drill = \"5 mm\""), Unfit::NoMetal { .. }));
    assert_eq!(unfit("face = \"cover side\"\nradius", "face = \"engine side\"\nradius"), Unfit::Magnets);
    assert_eq!(unfit("correct_by = \"drill along\"", "correct_by = \"drill inward\""), Unfit::Magnets);
    assert_eq!(unfit("metal = \"forged steel\"\n", "density = \"7840 ± 30 kg/m³\"\n"), Unfit::NotJudged(Held::NoMetal));
    assert_eq!(unfit("metal = \"forged steel\"", "metal = \"forged steel\"\nproof_stress = \"90 ± 5 MPa\""), Unfit::Stress);
    assert_eq!(unfit("metal = \"forged steel\"", "metal = \"forged steel\"\ntensile_strength = \"80 ± 30 MPa\""), Unfit::Burst);
}

/// A disc of 96 mm, 7.6 mm thick, with three threads out to 68.8 mm, drilled from its edge.
#[test]
fn a_disc_is_drilled_inward_no_wider_than_its_wall_and_no_deeper_than_its_threads() {
    let disc = |drill: &str, deepest: &str, thick: f64| {
        let (mut machine, _) = read(EXAMPLES[0].1).unwrap();
        let rotor = machine.rotor.as_mut().unwrap();
        rotor.pieces.remove(0);
        rotor.magnets.clear();
        rotor.zones.clear();
        rotor.held.bond = None;
        rotor.pieces[0].from = length(&format!("{} mm", 40.0 - thick));
        let b = rotor.held.balance.as_mut().unwrap();
        b.correct_by = CorrectBy::DrillInward;
        (b.radius, b.drill, b.deepest) = (Some(length("48 mm")), length(drill), Some(length(deepest)));
        let study = rotor::study(&machine, Err(NotStudied::NoCurve)).ok();
        held::study(&machine, study.as_ref(), None).unwrap().balance.unwrap().correction
    };
    let Ok(Correction::Drill { plan, .. }) = disc("3 mm", "6 mm", 7.6) else { panic!("{:?}", disc("3 mm", "6 mm", 7.6)) };
    assert!(plan.to_point_m <= 8e-3);
    let no_metal = |found| matches!(found, Err(NoCorrection::Unfit(Unfit::NoMetal { .. })));
    // 6 mm with two millimetres either side want ten; 3 mm with one want five.
    assert!(no_metal(disc("6 mm", "6 mm", 7.6)) && no_metal(disc("3 mm", "6 mm", 4.9)));
    // One hole of 2 mm would go 14 mm in, and the threads begin 13.6 mm behind the edge.
    assert_eq!(disc("2 mm", "16 mm", 7.6).map(|_| ()), Err(NoCorrection::Unfit(Unfit::HolesMeet)));
}
