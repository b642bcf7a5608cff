//! Torque against advance, the knock limit and the kick: on an engine that is a formula, where the answer is known, and on the computed
//! demo, where the cycle itself is asked again at the answer.

#[allow(dead_code, reason = "shared between tests")]
mod formula;

use formula::{KICK_QUICKER, KNOCK_SLOPE, OCTANE, QUICKER, WARMER, WIDE, best, exactly, knocking, machine, model_with};
use std::f64::consts::PI;
use workshop::{
    machine::{Machine, read},
    study::{
        Finding, NotStudied, curve, engine,
        load::{self, Bound, LoadStudy},
        model::{EngineModel, Which},
        trim::{self, Objection, ReversibleWay},
        warning::Warning,
    },
};

const DEGREE: f64 = PI / 180.0;
/// The formula's torque is no parabola, but a hump of e^(−x²): over ±10.5° it is one to within this [rad].
const NEARLY_A_PARABOLA: f64 = 0.1 * DEGREE;
/// What the hump's departure from a parabola adds to the ± [rad]: with it the fit says that it is no parabola.
const HUMP_DOUBT: f64 = 1.5 * DEGREE;
/// The limit's own tolerance [rad] and a line through four points that is straight already.
const LIMIT: f64 = 0.1 * DEGREE;
/// A ± to within a per cent of itself \[1\]; it has no more than one figure that counts.
const DOUBT: f64 = 0.01;

fn study(machine: &Machine, model: &EngineModel) -> LoadStudy {
    let curve = curve::study(machine).expect("a curve");
    load::study(machine, &curve, model.cycle(), Some((105.0, 2e-5)))
}

fn at(bound: Bound) -> Finding {
    bound.at().unwrap_or_else(|| panic!("{bound:?}"))
}

#[test]
fn best_torque_is_the_formulas_own() {
    let found = study(&machine(), &model_with(5.0));
    let idle = found.idle.as_ref().expect("an idle");
    assert_eq!(found.wide_open.len(), 7);
    for sweep in found.wide_open.iter().chain([idle]) {
        let expected = best(sweep.speed_rad_s, sweep.opening_m2, 0.0);
        if expected < 64.5 * DEGREE {
            let found = at(sweep.best);
            assert!((found.si - expected).abs() < NEARLY_A_PARABOLA, "{} {}", found.si, expected);
            let doubt = found.plus_minus_si;
            assert!(doubt > QUICKER - NEARLY_A_PARABOLA && doubt < QUICKER.hypot(HUMP_DOUBT), "{doubt}");
        } else {
            // Too early to have its top inside the range that is tried, or only just.
            assert!(!matches!(sweep.best, Bound::Below(_)), "{:?}", sweep.best);
        }
        assert!(sweep.points.windows(2).all(|p| p[0].advance_rad < p[1].advance_rad));
        /// The cycle at the best lies on a straight line between two points of the hump, a little below it.
        const BELOW: f64 = 0.005;
        assert!(sweep.now.expect("a curve").torque_share <= 1.0 + BELOW);
    }
    assert!(found.wide_open.iter().all(|s| s.opening_m2 == WIDE));
    assert_eq!(found.told().count(), 3);
}

#[test]
fn the_knock_limit_and_its_doubt_follow_from_the_integral() {
    let mut machine = machine();
    machine.engine.octane = exactly(OCTANE, 0.0);
    let limit = 0.5;
    for sweep in study(&machine, &knocking(5.0, limit)).wide_open {
        let found = at(sweep.knock);
        assert!((found.si - limit).abs() < LIMIT, "{}", found.si);
        // 30 % of delay is 0.3 of logarithm, and so is what the air makes of it; over the slope that is an angle, as the flame's is already.
        let air = &machine.engine.ambient_temperature;
        let of_air = WARMER * air.plus_minus_si / air.si;
        let expected = (0.3f64.hypot(of_air) / KNOCK_SLOPE).hypot(QUICKER);
        assert!((found.plus_minus_si / expected - 1.0).abs() < DOUBT, "{} {expected}", found.plus_minus_si);
    }
    // Douaud & Eyzat (SAE 780080): delay as octane to the 3.402, so from 95 to 90 the limit moves by 3.402 ln(90/95) / slope.
    machine.engine.octane = exactly(90.0, 0.0);
    let poorer = at(study(&machine, &knocking(5.0, limit)).wide_open[3].knock);
    assert!((poorer.si - (limit + 3.402 * (90.0f64 / 95.0).ln() / KNOCK_SLOPE)).abs() < LIMIT, "{}", poorer.si);
}

#[test]
fn limits_outside_what_was_tried_are_not_made_up() {
    let never = study(&machine(), &model_with(0.0));
    assert!(never.wide_open.iter().all(|s| matches!(s.knock, Bound::Above(_))));
    assert!(matches!(never.kick.limit, Bound::Above(a) if (a - 60.0 * DEGREE).abs() < LIMIT));
    assert!(never.warnings.is_empty(), "{:?}", never.warnings);
    let always = study(&machine(), &knocking(5.0, -3.0));
    assert!(always.wide_open.iter().all(|s| matches!(s.knock, Bound::Below(_))));
    let [Warning::BeyondKnockLimit { by_rad, .. }] = always.warnings[..] else { panic!("{:?}", always.warnings) };
    assert!(by_rad > 0.0);
}

#[test]
fn what_cannot_be_told_is_no_leave() {
    let none = study(&machine(), &knocking(f64::NAN, f64::NAN));
    assert!(none.wide_open.iter().all(|s| s.knock == Bound::Unknown));
    assert_eq!(none.kick.limit, Bound::Unknown);
    assert_eq!(none.wide_open[0].knock.room(Finding { si: -1.0, plus_minus_si: 0.0 }), None);
}

#[test]
fn a_kick_turns_back_where_the_work_is_half_the_energy() {
    let machine = machine();
    let engine = &machine.engine;
    let energy = 0.5 * engine.inertia.si * engine.kicking_speed.si.powi(2);
    let per_rad = 30.0;
    let kick = study(&machine, &model_with(per_rad)).kick;
    let found = at(kick.limit);
    assert!((found.si - 0.5 * energy / per_rad).abs() < LIMIT, "{}", found.si);
    // The formula's work is proportional to advance, so the limit's share of doubt is the energy's: JCGM 100:2008, 5.1.6.
    let share = (engine.inertia.plus_minus_si / engine.inertia.si)
        .hypot(2.0 * engine.kicking_speed.plus_minus_si / engine.kicking_speed.si);
    assert!((kick.energy.si / energy - 1.0).abs() < DOUBT && (kick.energy.plus_minus_si / (share * energy) - 1.0).abs() < DOUBT);
    let (now, taken) = (kick.now.expect("a curve"), kick.taken_now.expect("a curve"));
    let flame = KICK_QUICKER * QUICKER;
    assert!((taken.si - per_rad * now.si.max(0.0)).abs() < LIMIT, "{taken:?} {now:?}");
    // Of the advance's own doubt only what lies before top dead centre counts.
    let reach = 0.5 * ((now.si + now.plus_minus_si).max(0.0) - (now.si - now.plus_minus_si).max(0.0));
    assert!((taken.plus_minus_si - per_rad * reach.hypot(flame)).abs() < DOUBT * energy, "{taken:?}");
    let share = share.hypot(per_rad * flame / (0.5 * energy));
    assert!((found.plus_minus_si / (share * found.si) - 1.0).abs() < DOUBT, "{}", found.plus_minus_si);
}

/// The plate is judged by knock only where it makes the spark earlier, and by all of the limit's ±.
#[test]
fn a_plate_shift_into_knock_is_objected_to() {
    let machine = machine();
    let curve = curve::study(&machine).expect("a curve");
    let top = curve.cylinders[0].law.advance(machine.engine.top_speed.si).radians();
    let objections = |knock_from: f64| {
        let model = knocking(5.0, knock_from);
        let load = load::study(&machine, &curve, model.cycle(), None);
        let plan = trim::study(&machine, &curve, &model, &load, None).expect("a plan");
        let plate = plan.reversible.iter().find(|w| matches!(w.way, ReversibleWay::PlateShift { .. })).expect("a shift").clone();
        let ReversibleWay::PlateShift { by_rad } = plate.way else { panic!() };
        (by_rad, plate)
    };
    let knocks = |way: &trim::Reversible| way.objections.iter().any(|o| matches!(o, Objection::Knocks(_)));
    let (by, far) = objections(top + 60.0 * DEGREE);
    assert!(by > 0.0 && !knocks(&far), "{far:?}");
    let (_, near) = objections(top + 0.5 * by);
    assert!(knocks(&near) && !near.serves());
    let room = near.knock.expect("a limit").room;
    assert!((room.si - (-0.5 * by)).abs() < LIMIT, "{room:?} {by}");
}

/// At the answers of the computed demo the cycle itself is asked again.
#[test]
fn the_demos_limits_are_limits() {
    let (machine, _) = read(include_str!("../../../examples/corran-360.toml")).expect("the demo reads");
    let curve = curve::study(&machine).expect("a curve");
    let cycle = engine::cycle(&machine).expect("an engine");
    let found = load::study(&machine, &curve, &*cycle, None);
    assert!(found.idle.is_none());
    for sweep in &found.wide_open {
        let (n, a) = (sweep.speed_rad_s, sweep.opening_m2);
        println!("{n:.0} {:?} {:?} {:?} {:?}", sweep.best, sweep.knock, sweep.at_best, sweep.now);
        if let Bound::At(limit) = sweep.knock {
            /// Between the four advances the logarithm is a smooth line; this is a tenth of the delay's own doubt.
            const OF_LINE: f64 = 0.03;
            let integral = cycle.knock((n, a), limit.si, machine.engine.octane.si);
            assert!((integral - 1.0).abs() < OF_LINE, "{integral}");
        }
        // A hump: no other advance tried gives more than settling and the parabola's fit allow.
        /// Each cycle is settled within 0.2 %, and two of them are compared.
        const SETTLED: f64 = 0.005;
        let most = sweep.points.iter().map(|p| p.torque_nm).fold(0.0, f64::max);
        assert!(sweep.at_best.torque_nm > (1.0 - SETTLED) * most);
        // Heywood (1988), 9.2.1 and 15.3.3 (from memory): with best torque the peak comes about 16° after top dead centre, usually 12–17;
        // two more on each side for the flatness of the top, in which such an advance is lost.
        if let Bound::At(best) = sweep.best {
            let peak = sweep.at_best.peak_at_rad / DEGREE;
            assert!((10.0..=19.0).contains(&peak), "{peak}");
            assert!(best.plus_minus_si > 0.0 && best.plus_minus_si < 15.0 * DEGREE);
        }
    }
    println!("{:?}", found.kick);
    let limit = at(found.kick.limit);
    let energy = 0.5 * machine.engine.inertia.si * machine.engine.kicking_speed.si.powi(2);
    let work = cycle.kick_back_work_j(machine.engine.kicking_speed.si, limit.si);
    assert!(work <= 0.5 * energy, "on the safe side: {work} of {energy}");
    /// The line over 5° lies above the work, so the work at the limit is somewhat less.
    const OF_STEP: f64 = 0.8;
    assert!(work > OF_STEP * 0.5 * energy, "{work} of {energy}");
    assert!(found.kick.now.expect("a curve").si < 0.0, "the demo sparks after top dead centre at the kick");
    // Another engine than the given one is at hand only with its flame varied.
    assert!(cycle.eight(Which::Low(workshop::study::idle::Parameter::Overlap), 100.0, 1e-5, [0.0; 8]).is_none());
}

#[test]
fn a_two_stroke_has_no_cycle() {
    let (machine, _) = read(include_str!("../../../examples/pellow-125.toml")).expect("the demo reads");
    assert!(matches!(engine::cycle(&machine), Err(NotStudied::TwoStroke)));
}
