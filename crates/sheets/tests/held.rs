//! What holds a rotor, in words and drawings. The machine is invented.

use sheets::{
    report::{self, Style},
    rotor::{diagram, drill_plan, other_side, two_sides},
    scene::{Item, Point, Scene},
    words::rotor::{balance as words, steps},
};
use workshop::{
    machine::{self, EXAMPLES, Machine, SeenFrom, Turns},
    study::{
        NotStudied,
        rotor::{
            self,
            balance::Correction,
            glue::GlueStep,
            held::{self, HeldStudy},
            pulling::PullStep,
            sides::{At, Question, View, check},
        },
        trim::RotorPicture,
    },
};

/// Rounding of a few operations on millimetres.
const ROUNDING_MM: f64 = 1e-9;

fn corran() -> (Machine, HeldStudy) {
    let (machine, _) = machine::read(EXAMPLES[0].1).unwrap();
    // Without the engine, which takes seconds to run in a debug build.
    let found = rotor::study(&machine, Err(NotStudied::NoCurve)).ok();
    let study = held::study(&machine, found.as_ref(), None).unwrap();
    (machine, study)
}

fn picture(turns: Turns, seen_from: SeenFrom) -> RotorPicture {
    RotorPicture {
        turns,
        seen_from,
        rim_diameter_m: 0.108,
        segment_arc_m: 0.0377,
        cut_m: 0.0,
        pickups_rad: vec![0.0],
        lead_rotor_rad: 36f64.to_radians(),
        turns_per_crank_turn: 1.0,
    }
}

fn plain() -> Style {
    Style { unicode: true, colour: false }
}

#[test]
fn the_report_says_what_counts() {
    let (_, study) = corran();
    let text = report::held(&study, 100, plain());
    for said in [
        "Balance it:",
        "Drill ",
        "Bonds of the magnets",
        "Of the recorded flux",
        "The seat slips at",
        "pressed on dry",
        "Nothing in the file",
        "A mandrel that fits",
        "That is not lost",
        "gives the place and is not counted",
        "or more",
        "segment at the top, its",
    ] {
        assert!(text.contains(said), "{said} is not in\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
    // Cautions stand before holes, those for drilling too, and the face is told.
    let drill = text.find("Drill ").unwrap();
    for c in sheets::words::rotor::cautions().iter().chain(sheets::words::rotor::cautions_for_drilling()) {
        let first = c.danger.split_whitespace().take(4).collect::<Vec<_>>().join(" ");
        assert!(text.find(&first).is_some_and(|at| at < drill), "{first}");
    }
    assert!(text.contains("face on the cover"), "{text}");
    // The arrow comes before anything is taken off, with its caution before it.
    let caution = text.find("rotation looks reversed").unwrap();
    assert!(caution < text.find("Mark the turning arrow").unwrap());
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
}

#[test]
fn what_is_missing_is_named_in_words() {
    let (mut machine, _) = corran();
    machine.rotor.as_mut().unwrap().held = machine::Held::default();
    let text = report::held(&held::study(&machine, None, None).unwrap(), 80, plain());
    for path in ["rotor.bond", "rotor.flux", "rotor.taper", "rotor.puller", "rotor.balance"] {
        assert!(text.contains(path), "{path} is not in\n{text}");
    }
}

/// Every step that can hurt has its caution.
#[test]
fn cautions_stand_before_steps() {
    let sixty = workshop::study::Finding { si: 60.0, plus_minus_si: 20.0 };
    for step in [GlueStep::TakeOff, GlueStep::SetIn { layer_um: 200 }, GlueStep::Degrease] {
        assert!(steps::glue(step).0.is_some(), "{step:?}");
    }
    assert!(steps::pull(PullStep::Warm { by: sixty, not_above_k: Some(353.15) }).1.contains("80\u{a0}°C"));
    for step in [
        PullStep::NutBackOn,
        PullStep::Tighten { most_n_m: 20.0 },
        PullStep::Warm { by: sixty, not_above_k: None },
        PullStep::DoNotWarm { most_k: 353.15 },
        PullStep::Hold,
    ] {
        assert!(steps::pull(step).0.is_some(), "{step:?}");
    }
}

#[test]
fn the_question_has_one_right_answer() {
    let q = Question { view: View::ChuckCoverIn, segment_at: At::Top };
    assert!(words::question(q).contains("engine side towards you"));
    let c = check(q, Turns::Anticlockwise, SeenFrom::CoverSide);
    assert!(words::answered(c.is_right(c.leads)).starts_with("Right"));
    assert!(words::answered(c.is_right(c.leads.other())).starts_with("Wrong"));
}

fn circles(items: &[Item], shift: Point, into: &mut Vec<(Point, f64)>) {
    for item in items {
        match item {
            Item::Circle { centre, radius, .. } => into.push((Point { x: centre.x + shift.x, y: centre.y + shift.y }, *radius)),
            Item::Group(g) => circles(&g.items, Point { x: shift.x + g.shift.x, y: shift.y + g.shift.y }, into),
            _ => {}
        }
    }
}

/// 1 mm on the plan is 1 mm: the rim, the circle of the holes, each drill and its place, on both sides.
#[test]
fn the_drill_plan_is_true() {
    let (_, study) = corran();
    let balance = study.balance.unwrap();
    let Ok(Correction::Drill { at_rad, plan, drill_m, radius_m, .. }) = &balance.correction else {
        panic!("{:?}", balance.correction)
    };
    for p in [picture(Turns::Anticlockwise, SeenFrom::CoverSide), other_side(&picture(Turns::Anticlockwise, SeenFrom::CoverSide))]
    {
        let page = drill_plan(&balance, &p).unwrap();
        assert_eq!((page.width, page.height), (210.0, 297.0));
        let mut found = Vec::new();
        circles(&page.find("drill-plan").unwrap().items, Point::default(), &mut found);
        let (centre, rim) = found[0];
        assert!((rim - 54.0).abs() < ROUNDING_MM && (found[1].1 - radius_m * 1e3).abs() < ROUNDING_MM);
        let sense = if p.turns == Turns::Clockwise { 1.0 } else { -1.0 };
        let holes = &found[2..];
        assert_eq!(holes.len(), plan.places_rad.len());
        for ((hole, radius), by) in holes.iter().zip(&plan.places_rad) {
            assert!((radius - 0.5e3 * drill_m).abs() < ROUNDING_MM);
            let angle = sense * (at_rad + by);
            assert!((hole.x - centre.x - radius_m * 1e3 * angle.sin()).abs() < ROUNDING_MM);
            assert!((centre.y - hole.y - radius_m * 1e3 * angle.cos()).abs() < ROUNDING_MM);
        }
        assert!(page.find("bar-across").is_some() && page.find("bar-down").is_some());
        no_collisions(&page);
    }
    let large = RotorPicture { rim_diameter_m: 0.25, ..picture(Turns::Clockwise, SeenFrom::CoverSide) };
    assert!(drill_plan(&balance, &large).is_none(), "no page for it");
}

fn no_collisions(scene: &Scene) {
    let texts = scene.texts();
    for (i, a) in texts.iter().enumerate() {
        let b = a.bounds();
        assert!(
            b.x >= 0.0 && b.right() <= scene.width + 0.1 && b.bottom() <= scene.height + 2.0,
            "{} leaves the sheet: {b:?}",
            a.content
        );
        for other in &texts[i + 1..] {
            assert!(!b.overlaps(&other.bounds()), "“{}” on “{}”", a.content, other.content);
        }
    }
}

#[test]
fn drawings_hold_their_texts() {
    let (_, study) = corran();
    let balance = study.balance.unwrap();
    for turns in [Turns::Clockwise, Turns::Anticlockwise] {
        for from in [SeenFrom::CoverSide, SeenFrom::EngineSide] {
            let p = picture(turns, from);
            for scene in [diagram(&balance, &p, 110.0), two_sides(&p, 170.0)] {
                assert!(scene.height > 40.0);
                no_collisions(&scene);
            }
        }
    }
}

/// The marked end lies to the right of the top where the rotor turns clockwise, in the left half of the drawing; the other half is its mirror image.
#[test]
fn the_leading_end_is_marked_on_both_sides() {
    let p = picture(Turns::Clockwise, SeenFrom::CoverSide);
    let scene = two_sides(&p, 170.0);
    let marks: Vec<f64> = scene.texts().iter().filter(|t| t.content == words::LEADS).map(|t| t.at.x).collect();
    assert_eq!(marks.len(), 2);
    let (left, right) = (marks[0] - 42.5, marks[1] - 127.5);
    assert!(left > 0.0 && right < 0.0 && (left + right).abs() < 1e-6, "{marks:?}");
}
