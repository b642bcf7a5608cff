//! The idle and the trim plan, on an engine whose torque is a formula: what they decide, not what an engine does.

#[allow(dead_code, reason = "shared between tests")]
mod formula;

use formula::{exactly, machine, model_with};
use std::f64::consts::{PI, TAU};
use workshop::{
    machine::{LawData, Machine, Polarity, SegmentLength, Strokes, Turns},
    study::{
        NotStudied, curve,
        curve::CurveStudy,
        idle::{self, Verdict},
        load,
        model::EngineModel,
        trim::{self, Advice, Limit, ReversibleWay},
        warning::Warning,
    },
};

const RPM: f64 = TAU / 60.0;
const DEGREE: f64 = PI / 180.0;
/// Sums of a few roundings.
const ROUNDING: f64 = 1e-9;

fn model() -> EngineModel {
    model_with(5.0)
}

fn curve_of(machine: &Machine) -> CurveStudy {
    curve::study(machine).expect("a curve")
}

fn plan(machine: &Machine, model: &EngineModel) -> trim::TrimStudy {
    planned(machine, model).expect("a plan")
}

fn planned(machine: &Machine, model: &EngineModel) -> Result<trim::TrimStudy, NotStudied> {
    let curve = curve_of(machine);
    trim::study(machine, &curve, model, &load::study(machine, &curve, model.cycle(), None), None)
}

#[test]
fn a_hang_is_found_and_named() {
    let machine = machine();
    let found = idle::study(&machine, &curve_of(&machine), &model()).expect("an idle");
    let Verdict::Hangs { at_rad_s } = found.verdict else { panic!("{:?}", found.verdict) };
    assert_eq!(found.rest.points.iter().map(|p| p.stable).collect::<Vec<_>>(), [true, false, true]);
    assert!((found.rest.points[0].speed_rad_s / 105.0 - 1.0).abs() < 1e-6, "the idle seen is a rest point");
    assert_eq!(found.rest.points[2].speed_rad_s, at_rad_s);
    assert_eq!(found.rest.folds.len(), 2);
    assert!(found.chance.low <= found.chance.hanging as f64 / found.chance.of as f64);
    assert!(found.chance.of > 0 && found.chance.hanging > 0);
    assert_eq!(found.depends.len(), 2, "burn and friction");
}

#[test]
fn a_hang_elsewhere_than_seen_is_said() {
    let mut machine = machine();
    let says = |m: &Machine| {
        let found = idle::study(m, &curve_of(m), &model()).expect("an idle");
        found.warnings.iter().any(|w| matches!(w, Warning::HangNotReproduced { .. }))
    };
    let hang = |rad_s: f64| Some(exactly(rad_s, 5.0));
    let found = idle::study(&machine, &curve_of(&machine), &model()).expect("an idle");
    let Verdict::Hangs { at_rad_s } = found.verdict else { panic!() };
    for (seen, said) in [(at_rad_s, false), (1.5 * at_rad_s, true)] {
        machine.idle.as_mut().expect("an idle").hangs_at = hang(seen);
        assert_eq!(says(&machine), said, "{seen}");
    }
}

/// Common practice, no source: 10 mm off the trailing end of a 95.5 mm rim makes 0°–40° into 12°–40°, and everything above the new knee stays.
#[test]
fn ten_millimetres_are_twelve_degrees() {
    let mut machine = machine();
    machine.law = Some(LawData::Ramp { start: exactly(1000.0 * RPM, 0.0), full: exactly(4000.0 * RPM, 0.0) });
    let trigger = machine.trigger.as_mut().expect("a trigger");
    trigger.lead = exactly(40.0 * DEGREE, 0.0);
    trigger.segment = SegmentLength::Arc(exactly(40.0 * DEGREE * 0.0955 / 2.0, 0.0));
    let curve = curve_of(&machine);
    let cut = trim::one_cut(&machine, &curve, &model(), &plan(&machine, &model()), 0.010).expect("a cut");
    // 10 mm on a 95.5 mm rim: 360 · 10 / (π · 95.5) = 11.999°, with which the trade's 12° agrees to a thousandth.
    assert!((cut.cut_crank_rad / DEGREE - 12.0).abs() < 0.01);
    assert!((cut.least_advance.si / DEGREE - 12.0).abs() < 0.01, "{:?}", cut.least_advance);
    let law = &curve.cylinders[0].law;
    let after = law.with_trailing_cut(quantity::CrankAngle::from_radians(cut.cut_crank_rad)).expect("a law");
    let (knee, _) = after.knees().expect("knees");
    assert!(knee > 1000.0 * RPM);
    for i in 0..50 {
        let n = knee * (1.0 + 0.1 * f64::from(i));
        assert!((after.advance(n).radians() - law.advance(n).radians()).abs() < ROUNDING);
    }
}

#[test]
fn the_advised_cut_serves_and_less_does_not() {
    let machine = machine();
    let study = plan(&machine, &model());
    let (Advice::Cut(window) | Advice::TryReversibleFirst { otherwise: Some(window), .. }) = study.advice else {
        panic!("{:?}", study.advice)
    };
    assert!(window.least_m > 0.0 && window.least_m < window.advised.si && window.advised.si <= window.most_m);
    assert_eq!(study.drawing.cut_m, window.advised.si);
    for cut in &study.cuts {
        let chance = cut.chance.expect("the plan has chances");
        let serves = cut.verdict == Verdict::Steady && chance.hanging * 20 <= chance.of && cut.kick_back.passes;
        if cut.cut_m < window.least_m - ROUNDING {
            assert!(cut.cut_m == 0.0 || !serves, "{}", cut.cut_m);
        } else if cut.cut_m <= window.most_m + ROUNDING {
            assert!(serves, "{}", cut.cut_m);
        }
    }
}

#[test]
fn more_cut_hangs_less_and_holds_firmer() {
    let study = plan(&machine(), &model());
    for pair in study.cuts.windows(2) {
        let hanging = |i: usize| pair[i].chance.expect("a chance").hanging;
        assert!(hanging(1) <= hanging(0), "{}", pair[1].cut_m);
        assert!(pair[1].least_advance.si > pair[0].least_advance.si);
        assert!(pair[1].segment_left_m < pair[0].segment_left_m);
    }
    let (first, last) = (&study.cuts[0], &study.cuts[study.cuts.len() - 1]);
    assert!(last.stiffness_rad_s_per_percent < first.stiffness_rad_s_per_percent);
}

#[test]
fn no_cut_is_as_found_and_the_quick_answer_is_the_plans() {
    let (machine, model) = (machine(), model());
    let curve = curve_of(&machine);
    let found = idle::study(&machine, &curve, &model).expect("an idle");
    let study = plan(&machine, &model);
    let none = &study.cuts[0];
    assert_eq!(none.cut_m, 0.0);
    assert_eq!(none.verdict, found.verdict);
    assert_eq!(none.chance, Some(found.chance));
    let speeds = |p: &idle::RestPicture| p.points.iter().map(|p| p.speed_rad_s).collect::<Vec<_>>();
    assert_eq!(speeds(&none.same_idle), speeds(&found.rest));
    assert_eq!(speeds(&none.same_stop), speeds(&found.rest));
    let row = &study.cuts[8];
    let quick = trim::one_cut(&machine, &curve, &model, &study, row.cut_m).expect("a cut");
    assert_eq!(quick.chance, row.chance);
    assert_eq!(quick.kick_back, row.kick_back);
    assert!(trim::one_cut(&machine, &curve, &model, &study, 1.0).is_none(), "a metre is beyond the plan");
    assert!(trim::one_cut(&machine, &curve, &model, &study, f64::NAN).is_none());
    assert_eq!(quick.verdict, row.verdict);
    assert_eq!(speeds(&quick.same_idle), speeds(&row.same_idle));
}

#[test]
fn the_same_on_one_thread_and_on_many() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| format!("{:?}", plan(&machine(), &model())))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn nothing_is_cut_where_the_idle_is_steady() {
    let mut machine = machine();
    // A short segment: the advance is high at idle already.
    machine.trigger.as_mut().expect("a trigger").segment = SegmentLength::Arc(exactly(0.2 * 0.0955 / 2.0, 0.0002));
    let study = plan(&machine, &model());
    assert_eq!(study.advice, Advice::NoneNeeded);
    assert_eq!(study.drawing.cut_m, 0.0);
}

#[test]
fn kick_back_stops_a_cut() {
    let study = plan(&machine(), &model_with(1e4));
    assert_eq!(study.advice, Advice::NoCutServes { because: Limit::KickBack });
}

#[test]
fn a_short_segment_stops_a_cut() {
    let mut machine = machine();
    let trigger = machine.trigger.as_mut().expect("a trigger");
    // The same crank angles on a rim a fifth as large: 7.6 mm of segment, 6 mm of it needed.
    trigger.rim_diameter = exactly(0.0191, 0.0001);
    trigger.segment = SegmentLength::Arc(exactly(0.8 * 0.0191 / 2.0, 0.0001));
    let study = plan(&machine, &model());
    assert_eq!(study.advice, Advice::NoCutServes { because: Limit::SegmentLength });
    assert!(study.cuts.iter().all(|c| c.segment_left_m >= 6.0e-3));
}

#[test]
fn a_plate_shift_moves_the_top_end_and_says_so() {
    let study = plan(&machine(), &model());
    let plate = study.reversible.iter().find(|w| matches!(w.way, ReversibleWay::PlateShift { .. })).expect("tried");
    let ReversibleWay::PlateShift { by_rad } = plate.way else { unreachable!() };
    assert!((plate.full_advance_rad - 0.75 - by_rad).abs() < 1e-6);
    assert!(!plate.serves() || by_rad <= 2.0 * DEGREE + ROUNDING);
    assert!(study.reversible.iter().all(|w| w.way != ReversibleWay::PickupLeads), "the leads are right");
}

#[test]
fn reversed_leads_are_tried_first() {
    let mut machine = machine();
    machine.trigger.as_mut().expect("a trigger").segment = SegmentLength::Arc(exactly(0.2 * 0.0955 / 2.0, 0.0002));
    for pickup in &mut machine.trigger.as_mut().expect("a trigger").pickups {
        pickup.polarity = Polarity::Reversed;
    }
    match planned(&machine, &model()) {
        Ok(study) => assert!(study.reversible.iter().any(|w| w.way == ReversibleWay::PickupLeads)),
        Err(why) => assert_eq!(why, NotStudied::IdleNotReproduced),
    }
}

#[test]
fn the_drawing_follows_direction_and_drive() {
    let mut machine = machine();
    for turns in [Turns::Clockwise, Turns::Anticlockwise] {
        machine.trigger.as_mut().expect("a trigger").turns = turns;
        let picture = plan(&machine, &model()).drawing;
        assert_eq!(picture.turns, turns);
        // Angles count in the turning direction, so they are the same for both: a half turn between the pickups of a 180° twin.
        assert!((picture.lead_rotor_rad - 0.75).abs() < ROUNDING);
        assert!((picture.pickups_rad[1] - PI).abs() < ROUNDING, "{picture:?}");
    }
}

/// 1.2 kg at 7000 1/min to G 6.3 is 10 g·mm (arithmetic: 10.3).
#[test]
fn permitted_unbalance_is_the_trades() {
    let mut machine = machine();
    machine.engine.rotor_mass = Some(exactly(1.2, 0.0));
    machine.engine.top_speed = exactly(7000.0 * RPM, 0.0);
    // Its own limit is higher, and would count.
    machine.rotor = None;
    let cut = trim::one_cut(&machine, &curve_of(&machine), &model(), &plan(&machine, &model()), 0.005).expect("a cut");
    let unbalance = cut.unbalance.expect("masses are known");
    assert!((unbalance.permissible_kg_m * 1e6 - 10.3).abs() < 0.05, "{unbalance:?}");
    // Block of 5 × 2.4 × 9.5 mm steel at 48.95 mm: 0.9 g there.
    let block = 7850.0 * 5.0e-3 * 2.4e-3 * 9.5e-3 * 48.95e-3;
    assert!((unbalance.made_kg_m / block - 1.0).abs() < 0.05, "{unbalance:?} {block}");
}

#[test]
fn what_cannot_be_studied_is_refused_with_its_reason() {
    let whole = machine();
    let model = model();
    let curve = curve_of(&whole);
    let load = load::study(&whole, &curve, model.cycle(), None);
    let refused = |change: &dyn Fn(&mut Machine)| {
        let mut m = whole.clone();
        change(&mut m);
        trim::study(&m, &curve, &model, &load, None).expect_err("refused")
    };
    assert_eq!(refused(&|m| m.trigger = None), NotStudied::NoSegment);
    assert_eq!(refused(&|m| m.idle = None), NotStudied::NoIdleSeen);
    assert_eq!(refused(&|m| m.engine.friction_factor.si = 1e3), NotStudied::IdleNotReproduced);
    let mut fixed = whole.clone();
    fixed.law = Some(LawData::Fixed(exactly(0.3, 0.0)));
    assert_eq!(planned(&fixed, &model).expect_err("refused"), NotStudied::LawWithoutSegment);
    assert_eq!(whole.engine.strokes, Strokes::Four);
}
