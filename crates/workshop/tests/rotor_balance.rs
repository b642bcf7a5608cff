//! Balance of a rotor and which side of it is which: from readings to findings.

mod written;

use physics::{balance::Grade, rotor::trial_runs::NoAnswer};
use quantity::{Dimension as D, Reading};
use std::f64::consts::TAU;
use workshop::{
    machine::*,
    study::rotor::{
        balance::{self, By, Cause, Correction, Given, NoCorrection, NoEdges, NoRuns, Placed, Verdict},
        held, judged_speed,
        sides::{At, End, Question, View, check, turns_in, views},
        trimmed,
    },
};
use written::{close, exact, length, number, read};

// --- balance --------------------------------------------------------------------------------------------------------------------

fn balancing() -> Balancing {
    Balancing {
        grade: Grade::G6_3,
        run_out: None,
        run_out_at: None,
        arbor_mass: read("300 ± 200 g", D::Mass),
        rolling_arm: length("0.01 ± 0.005 mm"),
        segment_at: None,
        correct_by: CorrectBy::DrillAlong,
        face: Some(SeenFrom::CoverSide),
        radius: Some(length("45 mm")),
        drill: length("6 mm"),
        deepest: Some(length("5 mm")),
        density: read("7850 kg/m³", D::Density),
        magnets: Vec::new(),
        edges: Vec::new(),
    }
}

fn run(amplitude: f64, phase: Option<f64>, weight: Option<(f64, f64)>) -> TrialRun {
    TrialRun {
        amplitude: number(&format!("{amplitude:.9} ± 0.02")),
        phase: phase.map(|p| read(&format!("{:.9} ± 1°", p.to_degrees()), D::Angle)),
        weight: weight.map(|(grams, at)| {
            [read(&format!("{grams:.9} g"), D::Mass), length("45 mm"), read(&format!("{:.9}°", at.to_degrees()), D::Angle)]
        }),
    }
}

fn given<'a>(b: &'a Balancing, trials: &'a [TrialRun], top: &Reading) -> Given<'a> {
    Given {
        balancing: b,
        trials,
        rotor_mass: Some(exact(1.2)),
        top_speed: top.si,
        holes: Vec::new(),
        cut: None,
        cut_needs: None,
        magnets: b.magnets.len(),
    }
}

/// 60 g·mm at 100°; runs made from it with a response of 50 000 per kg·m and a lag of 0.7 rad; G 6.3 allows 1.2 kg at 7000 rev/min 10.3 g·mm.
#[test]
fn runs_say_where_to_drill() {
    let (b, top) = (balancing(), read("7000 rpm", D::Speed));
    let u = (60e-6 * 100f64.to_radians().cos(), 60e-6 * 100f64.to_radians().sin());
    let at = |w: Option<(f64, f64)>| {
        let (x, y) = w.map_or(u, |(g, a)| (u.0 + g * 1e-3 * 0.045 * a.cos(), u.1 + g * 1e-3 * 0.045 * a.sin()));
        (50_000.0 * x.hypot(y), y.atan2(x) - 0.7)
    };
    let with_phase: Vec<TrialRun> = [None, Some((1.0, 0.3))].map(|w| run(at(w).0, Some(at(w).1), w)).to_vec();
    let thirds = [0.0, TAU / 3.0, 2.0 * TAU / 3.0].map(|a| Some((1.0, a)));
    let alone: Vec<TrialRun> = std::iter::once(None).chain(thirds).map(|w| run(at(w).0, None, w)).collect();
    for trials in [with_phase, alone] {
        let found = balance::study(&given(&b, &trials, &top));
        let told = found.runs.unwrap();
        close(told.size.si, 60e-6, 1e-4);
        close(told.place.si, 100f64.to_radians(), 1e-4);
        assert!(told.size.plus_minus_si > 0.0 && told.size.plus_minus_si < 0.1 * told.size.si);
        close(found.allowed_kg_m.unwrap() * 1e6, 10.313, 1e-3);
        assert_eq!(found.verdict, Verdict::PutRight);
        assert!(matches!(found.to_correct, Some((By::RunsWithPhase | By::RunsWithoutPhase { .. }, _))));
        let Ok(Correction::Drill { at_rad, plan, .. }) = &found.correction else { panic!("{:?}", found.correction) };
        close(*at_rad, 100f64.to_radians(), 1e-4);
        let took: f64 = plan.places_rad.iter().map(|p| plan.each_kg * 0.045 * p.cos()).sum();
        close(took, 60e-6, 1e-4);
        // 1.5 kg on 0.01 mm hide 15 g·mm, too much for 10.3.
        assert!(!found.knife_edges.unwrap().1);
    }
    let add = Balancing { correct_by: CorrectBy::Add, ..balancing() };
    let trials =
        [run(at(None).0, Some(at(None).1), None), run(at(Some((1.0, 0.3))).0, Some(at(Some((1.0, 0.3))).1), Some((1.0, 0.3)))];
    let Ok(Correction::Add { at_rad, mass, .. }) = balance::study(&given(&add, &trials, &top)).correction else { panic!() };
    close(at_rad, 280f64.to_radians(), 1e-4);
    close(mass.si * 1e3, 60.0 / 45.0, 1e-4);
}

fn stuck(grams: &str, millimetres: &str, at: &str) -> [Reading; 3] {
    [read(&format!("{grams} g"), D::Mass), length(&format!("{millimetres} mm")), read(&format!("{at}°"), D::Angle)]
}

/// By hand, statics and vectors: 0.8 g and 0.6 g at 45 mm, a quarter turn apart, level 45 g·mm opposite to them; 1.5 kg on an arm of 0.01 ± 0.005 mm hide 15 ± 7.5 g·mm.
#[test]
fn knife_edges_tell_the_heavy_side() {
    let top = read("7000 rpm", D::Speed);
    let two = vec![stuck("0.8", "45", "10"), stuck("0.6", "45", "100")];
    let b = Balancing { edges: two, arbor_mass: read("300 g", D::Mass), ..balancing() };
    let found = balance::study(&given(&b, &[], &top));
    let told = found.edges.unwrap();
    close(told.size.si * 1e6, 45.0, 1e-9);
    let heavy_at = 190f64.to_radians() + (0.6f64 / 0.8).atan();
    close(told.place.si, heavy_at, 1e-9);
    // A bound in any direction: 95 % is twice the root of its mean square over √3.
    close(told.size.plus_minus_si * 1e6, 2.0 * (15.0f64.powi(2) + 3.75f64.powi(2)).sqrt() / 3f64.sqrt(), 1e-9);
    close(told.place.plus_minus_si, told.size.plus_minus_si / told.size.si, 1e-9);
    assert_eq!((found.to_correct, found.verdict), (Some((By::KnifeEdges, told)), Verdict::PutRight));
    let Ok(Correction::Drill { at_rad, .. }) = found.correction else { panic!("{:?}", found.correction) };
    close(at_rad, heavy_at, 1e-9);
    // The ± of the masses comes to it, by the law of propagation.
    let doubted = Balancing { edges: vec![stuck("1 ± 0.2", "45 ± 2", "10")], ..b.clone() };
    let of = balance::study(&given(&doubted, &[], &top)).edges.unwrap();
    let along = (0.2f64 * 45.0).hypot(2.0);
    close(of.size.plus_minus_si * 1e6, along.hypot(told.size.plus_minus_si * 1e6), 1e-9);
    // Runs count before it.
    let runs = [run(1.0, Some(0.0), None), run(3.0, Some(0.0), Some((1.0, 0.0)))];
    assert_eq!(balance::study(&given(&b, &runs, &top)).to_correct.unwrap().0, By::RunsWithPhase);
}

/// A rotor that lies still by itself may stay only where friction hides less than the grade permits: 10.3 g·mm.
#[test]
fn a_rotor_that_lies_still_is_as_good_as_the_edges_are_fine() {
    let top = read("7000 rpm", D::Speed);
    let b = Balancing { edges: vec![stuck("0", "45", "0")], ..balancing() };
    assert_eq!(balance::study(&given(&b, &[], &top)).verdict, Verdict::Unsure);
    let fine = Balancing { rolling_arm: length("0.002 ± 0.001 mm"), ..b };
    let found = balance::study(&given(&fine, &[], &top));
    assert_eq!((found.verdict, found.correction), (Verdict::MayStay, Err(NoCorrection::NotNeeded)));
    let unknown = Given { rotor_mass: None, ..given(&fine, &[], &top) };
    assert_eq!(balance::study(&unknown).edges, Err(NoEdges::NoMass));
    assert_eq!(balance::study(&given(&balancing(), &[], &top)).edges, Err(NoEdges::None));
}

#[test]
fn what_is_known_is_added_up() {
    let top = read("7000 rpm", D::Speed);
    let mut b = balancing();
    // Three magnets a third of a turn apart, one 0.5 g heavier at 120°: 0.5 g · 45 mm at 120°.
    b.magnets = [(20.0, 0.0), (20.5, 120.0), (20.0, 240.0)]
        .map(|(g, at)| [read(&format!("{g} g"), D::Mass), length("45 mm"), read(&format!("{at}°"), D::Angle)])
        .to_vec();
    b.run_out = Some(length("0.10 mm"));
    b.run_out_at = Some(read("120°", D::Angle));
    let cut = Some(Placed { size: exact(30e-6), place: exact(300f64.to_radians()) });
    let found = balance::study(&Given { cut, ..given(&b, &[], &top) });
    assert_eq!(found.causes.iter().map(|c| c.0).collect::<Vec<_>>(), [Cause::Cut, Cause::Magnets, Cause::RunOut]);
    close(found.causes[1].1.size.si * 1e6, 22.5, 1e-9);
    close(found.causes[2].1.size.si * 1e6, 60.0, 1e-9);
    // All three point to 120°: what is cut at 300° leaves 120° heavy.
    let sum = found.sum.unwrap();
    close(sum.size.si * 1e6, 112.5, 1e-9);
    close(sum.place.si, 120f64.to_radians(), 1e-9);
    assert_eq!(found.to_correct.unwrap().0, By::Sum);
    assert_eq!(found.runs, Err(NoRuns::None));
}

/// By complex numbers: runs that told 62 g·mm at 312°, and a block cut off at 312° that leaves the other side heavy.
#[test]
fn a_planned_cut_comes_to_what_the_runs_told() {
    let (b, top) = (balancing(), read("7000 rpm", D::Speed));
    let u = (62e-6 * 312f64.to_radians().cos(), 62e-6 * 312f64.to_radians().sin());
    let response = |w: Option<(f64, f64)>| {
        let (x, y) = w.map_or(u, |(g, a)| (u.0 + g * 1e-3 * 0.045 * a.cos(), u.1 + g * 1e-3 * 0.045 * a.sin()));
        run(50_000.0 * x.hypot(y), Some(y.atan2(x) - 0.7), w)
    };
    let runs = [None, Some((1.0, 0.3))].map(response);
    let cut = Some(Placed { size: exact(20e-6), place: exact(312f64.to_radians()) });
    let found = balance::study(&Given { cut, ..given(&b, &runs, &top) });
    let (by, left) = found.to_correct.unwrap();
    assert_eq!(by, By::RunsWithPhase);
    close(left.size.si * 1e6, 42.0, 1e-9);
    close(left.place.si, 312f64.to_radians(), 1e-9);
    // The runs by themselves are told as they were.
    close(found.runs.unwrap().size.si * 1e6, 62.0, 1e-9);
}

#[test]
fn a_hole_by_itself_throws_it_out() {
    let (b, top) = (balancing(), read("7000 rpm", D::Speed));
    let holes = vec![(exact(40e-6), Some(exact(30f64.to_radians()))), (exact(9e-6), None)];
    let found = balance::study(&Given { holes, ..given(&b, &[], &top) });
    assert_eq!(found.causes.iter().map(|c| c.0).collect::<Vec<_>>(), [Cause::Hole]);
    close(found.sum.unwrap().place.si, 210f64.to_radians(), 1e-9);
    assert_eq!(found.unplaced, [exact(9e-6)]);
}

/// The Corran's segment with 6 mm off its trailing end, as a mass of its own: a ring sector 2.4 mm high and 9.5 mm wide of 7840 kg/m³ whose middle lies half of
/// what is left of the segment behind the segment's middle. Worked out by summing a thousand small blocks.
#[test]
fn what_the_cut_takes_off_and_where() {
    let text = EXAMPLES[0].1;
    let (machine, _) = workshop::machine::read(text).unwrap();
    let at = machine.rotor.as_ref().unwrap().held.balance.as_ref().unwrap().segment_at.as_ref().unwrap().si;
    let (rim, cut) = (0.054f64, 6e-3f64);
    let arc = 2.0 * rim * (0.0369f64 / 0.108).asin();
    let trailing = at - 0.5 * arc / rim;
    let (mut x, mut y) = (0.0, 0.0);
    let (n, rows) = (1000, 100);
    for k in 0..n {
        for j in 0..rows {
            let angle = trailing + cut / rim * (f64::from(k) + 0.5) / f64::from(n);
            let r = rim + 0.0024 * (f64::from(j) + 0.5) / f64::from(rows);
            let mass = 7840.0 * 0.0095 * 0.0024 / f64::from(rows) * r * cut / rim / f64::from(n);
            x += mass * r * angle.cos();
            y += mass * r * angle.sin();
        }
    }
    let found = trimmed::placed(&machine, cut).unwrap();
    close(found.size.si, x.hypot(y), 1e-5);
    close(found.place.si.rem_euclid(TAU), y.atan2(x).rem_euclid(TAU), 1e-5);
    assert!(found.size.plus_minus_si > 0.0 && found.place.plus_minus_si >= 2f64.to_radians());
    // One speed for everything: the rotor's own limit, where the engine stays below it.
    close(judged_speed(&machine).si, 9500.0 * TAU / 60.0, 1e-9);
    let (faster, _) = workshop::machine::read(&text.replacen("\"9500 rpm\"", "\"8500 rpm\"", 1)).unwrap();
    close(judged_speed(&faster).si, faster.engine.top_speed.si, 1e-9);
    // With the cut planned it is in the balance, and moves what is to be corrected by its vector.
    let before = held::study(&machine, None, None).unwrap().balance.unwrap();
    let after = held::study(&machine, None, Some(cut)).unwrap().balance.unwrap();
    let vector = |p: Placed| (p.size.si * p.place.si.cos(), p.size.si * p.place.si.sin());
    let (a, b) = (vector(before.to_correct.unwrap().1), vector(after.to_correct.unwrap().1));
    assert!((b.0 - a.0 + x).hypot(b.1 - a.1 + y) < 1e-4 * x.hypot(y));
}

#[test]
fn what_cannot_be_balanced_is_refused() {
    let (b, top) = (balancing(), read("7000 rpm", D::Speed));
    let of = |trials: &[TrialRun]| balance::study(&given(&b, trials, &top));
    assert_eq!(of(&[]).correction, Err(NoCorrection::NotKnown));
    assert_eq!(of(&[]).verdict, Verdict::NotTold);
    let w = Some((1.0, 0.0));
    assert_eq!(of(&[run(3.0, None, w)]).runs, Err(NoRuns::NoneWithout));
    assert_eq!(of(&[run(3.0, None, None)]).runs, Err(NoRuns::NoneWith));
    assert_eq!(of(&[run(3.0, None, None), run(3.1, None, None), run(4.0, None, w)]).runs, Err(NoRuns::SeveralWithout));
    assert_eq!(of(&[run(3.0, None, None), run(4.0, None, w)]).runs, Err(NoRuns::NoAnswer(NoAnswer::Mirrored)));
    let massless = balance::study(&Given { rotor_mass: None, ..given(&b, &[], &top) });
    assert!(massless.allowed_kg_m.is_none() && massless.knife_edges.is_none());
    let nowhere = Balancing { radius: None, ..balancing() };
    let cut = Some(Placed { size: exact(80e-6), place: exact(0.0) });
    let found = balance::study(&Given { cut, ..given(&nowhere, &[], &top) });
    assert_eq!(found.correction, Err(NoCorrection::Missing("rotor.balance.radius")));
    let little = Some(Placed { size: exact(2e-6), place: exact(0.0) });
    let found = balance::study(&Given { cut: little, ..given(&b, &[], &top) });
    // What is known alone never lets it stay: what is not known is not in it.
    assert_eq!((found.verdict, found.correction), (Verdict::Unsure, Err(NoCorrection::NotKnown)));
    let w = Some((1.0, 0.0));
    let fine = [run(0.1, Some(0.0), None), run(2.35, Some(0.0), w)];
    let found = of(&fine);
    assert_eq!((found.verdict, found.correction), (Verdict::MayStay, Err(NoCorrection::NotNeeded)), "{:?}", found.to_correct);
    let faceless = Balancing { face: None, ..balancing() };
    let found = balance::study(&Given { cut, ..given(&faceless, &[], &top) });
    assert_eq!(found.correction, Err(NoCorrection::Missing("rotor.balance.face")));
}

/// Two of six magnets weighed are no ring: as a ring they would throw it out by 2000 g·mm.
#[test]
fn part_of_a_ring_of_magnets_is_in_no_sum() {
    let (mut b, top) = (balancing(), read("7000 rpm", D::Speed));
    b.magnets = [0.0, 60.0].map(|at| [read("26 g", D::Mass), length("45 mm"), read(&format!("{at}°"), D::Angle)]).to_vec();
    let found = balance::study(&Given { magnets: 6, ..given(&b, &[], &top) });
    assert_eq!((found.partly_weighed, found.sum), (Some((2, 6)), None));
}

/// U = V₀/(V₁ − V₀) · m r: a weight that is known to 10 % tells the unbalance to 10 %, and a place to 5° tells its place to no better.
#[test]
fn the_doubt_of_the_trial_weight_is_in_what_the_runs_tell() {
    let top = read("7000 rpm", D::Speed);
    let sure = [run(3.0, Some(0.6), None), run(4.0, Some(1.2), Some((1.0, 0.3)))];
    let mut vague = sure.clone();
    vague[1].weight = Some([read("1.0 ± 0.1 g", D::Mass), length("45 mm"), read("17.18873385 ± 5°", D::Angle)]);
    let b = balancing();
    let told = |runs: &[TrialRun]| balance::study(&given(&b, runs, &top)).runs.unwrap();
    let (a, c) = (told(&sure), told(&vague));
    close(a.size.si, c.size.si, 1e-9);
    let added = (c.size.plus_minus_si.powi(2) - a.size.plus_minus_si.powi(2)).sqrt();
    close(added / a.size.si, 0.1, 1e-3);
    let turned = (c.place.plus_minus_si.powi(2) - a.place.plus_minus_si.powi(2)).sqrt();
    close(turned, 5f64.to_radians(), 1e-2);
    // Of two weighted runs with phase that do not quite agree the mean is told, and how far they lie apart is in its ±.
    let other = run(4.1, Some(1.25), Some((1.0, 0.3)));
    let [first, second] = [sure[1].clone(), other.clone()].map(|with| told(&[sure[0].clone(), with]));
    let two = [sure[0].clone(), sure[1].clone(), other];
    let found = balance::study(&given(&b, &two, &top));
    assert!(matches!(found.to_correct, Some((By::RunsWithPhase, _))));
    let at = |p: &balance::Placed| (p.size.si * p.place.si.cos(), p.size.si * p.place.si.sin());
    let both = found.runs.unwrap();
    let ((x1, y1), (x2, y2), (x, y)) = (at(&first), at(&second), at(&both));
    close(x, 0.5 * (x1 + x2), 1e-9);
    close(y, 0.5 * (y1 + y2), 1e-9);
    let apart = (x1 - x2).hypot(y1 - y2);
    assert!(both.size.plus_minus_si > first.size.plus_minus_si.min(second.size.plus_minus_si) && apart > 0.0);
    // Runs without a phase among them are said to leave it unused.
    let thirds = [0.0, TAU / 3.0, 2.0 * TAU / 3.0].map(|a| run(3.2 + a.cos(), None, Some((1.0, a))));
    let mixed: Vec<TrialRun> = std::iter::once(sure[0].clone()).chain(thirds).collect();
    let by = balance::study(&given(&b, &mixed, &top)).to_correct.map(|t| t.0);
    assert!(matches!(by, Some(By::RunsWithoutPhase { phases_unused: true, .. })), "{by:?}");
}

/// A cut that cannot be counted says what is missing.
#[test]
fn a_cut_that_is_not_counted_names_what_is_missing() {
    let text = EXAMPLES[0].1.replacen("segment_at = { value = \"131 ± 2°\", with = \"degree disc\" }\n", "", 1);
    let (machine, _) = workshop::machine::read(&text).unwrap();
    let needs = |cut: Option<f64>| held::study(&machine, None, cut).unwrap().balance.unwrap().cut_needs;
    assert_eq!((needs(None), needs(Some(6e-3))), (None, Some("rotor.balance.segment_at")));
}

// --- sides ----------------------------------------------------------------------------------------------------------------------

/// By vectors: the rotor's axis points to the cover side, a point of it moves along `axis × place`, and what the eye has to its right is
/// worked out from where it looks along.
#[test]
fn the_leading_end_by_vectors() {
    for turns in [Turns::Clockwise, Turns::Anticlockwise] {
        for seen_from in [SeenFrom::CoverSide, SeenFrom::EngineSide] {
            // Spin about the axis that points to the cover side: clockwise as seen from there is negative.
            let spin = match (turns, seen_from) {
                (Turns::Clockwise, SeenFrom::CoverSide) | (Turns::Anticlockwise, SeenFrom::EngineSide) => -1.0,
                _ => 1.0,
            };
            for view in View::ALL {
                for segment_at in [At::Top, At::Bottom] {
                    // The eye looks along −z at the cover side, along +z at the engine side; up is +y. Right = look × up.
                    let look_z = if view.shows() == SeenFrom::CoverSide { -1.0 } else { 1.0 };
                    let right_x = -look_z;
                    let y = if segment_at == At::Top { 1.0 } else { -1.0 };
                    // ω ẑ × y ŷ = −ω y x̂.
                    let moves_x = -spin * y;
                    let leads = if moves_x * right_x > 0.0 { End::Right } else { End::Left };
                    let c = check(Question { view, segment_at }, turns, seen_from);
                    assert_eq!(c.leads, leads, "{turns:?} {seen_from:?} {view:?} {segment_at:?}");
                    assert!(c.is_right(leads) && !c.is_right(leads.other()));
                    assert_eq!(c.cut_end(), leads.other());
                }
            }
        }
    }
    // From the side that the file states, the file's word holds.
    assert_eq!(turns_in(View::OnTheMachine, Turns::Clockwise, SeenFrom::CoverSide), Turns::Clockwise);
    let all = views(Turns::Anticlockwise, SeenFrom::CoverSide);
    assert_eq!(all.iter().filter(|v| v.2 == End::Left).count(), 3);
}
