//! What a repair changes: tests that are open again, bars, set-ups, answers that came before it and after.

use workshop::study::fault::{
    Advice, Bike, Case, Evidence, Finished, From, Oddity, Of, Refused, Said, Signature, Standing, Step, System, TestReading, Why,
    base,
};

fn bike(system: System) -> Bike {
    Bike { systems: vec![system], strokes: 4, cylinders: 1, battery: None, regulator: None }
}

fn case(complaint: &str, system: System, evidence: Evidence) -> Case<'static> {
    Case::new(base(), bike(system), base().complaint(complaint).unwrap(), evidence).unwrap()
}

fn test(name: &str) -> usize {
    base().test(name).unwrap()
}

fn cause(name: &str) -> usize {
    base().cause(name).unwrap()
}

fn chance(case: &Case, name: &str) -> f64 {
    case.belief().of_causes()[case.local(cause(name)).unwrap()]
}

fn lifts(case: &Case) -> Option<usize> {
    match case.study().next {
        Advice::Test(next) if next.why == Why::LiftsTheBar => Some(next.test),
        _ => None,
    }
}

/// Re-timed and proved before it is kicked again: the order that safety asks for loses nothing of what was found.
#[test]
fn a_repair_is_proved_before_the_complaint_is_tried() {
    let timing = test("static-timing");
    let mut case = case("kicks-back", System::CdiSource, Evidence::default());
    case.step(Step::Tested(timing, Said::Yes)).unwrap();
    let found = chance(&case, "timing-set");
    assert_eq!(case.study().tests.iter().find(|t| t.test == timing).unwrap().standing, Standing::Done(Said::Yes));
    case.step(Step::Untried(cause("timing-set"))).unwrap();
    assert!((chance(&case, "timing-set") - found).abs() < 1e-12, "nothing is known yet of the repair");
    assert_eq!(lifts(&case), Some(timing), "what lifts the bar is done again");
    case.step(Step::Tested(timing, Said::No)).unwrap();
    assert!(!case.study().barred);
    assert_eq!(case.study().next, Advice::Try { cause: cause("timing-set") });
    // With the timing put right that it passes says little against it having been wrong, and the answer before stands.
    assert!(chance(&case, "timing-set") > 0.7 * found, "{} {found}", chance(&case, "timing-set"));
    assert_eq!(case.steps().len(), 3);
    // It kicks back all the same: that tells against it alone, and the bar stays lifted.
    case.step(Step::PutRight(cause("timing-set"))).unwrap();
    let after = chance(&case, "timing-set");
    assert!(after < 0.9 * found && !case.study().barred, "{after} {found}");
    assert_eq!(case.step(Step::PutRight(cause("timing-set"))), Err(Refused::PutRightBefore(cause("timing-set"))));
    // Time: the test, the repair, the test again from the start, the trial.
    let data = base();
    let trial = case.repeat_min();
    let spent = 2.0 * data.tests[timing].minutes + data.causes[cause("timing-set")].mend_minutes + trial;
    assert!((case.spent() - spent).abs() < 1e-9, "{} {spent}", case.spent());
}

#[test]
fn a_repair_of_what_lifted_the_bar_brings_it_back() {
    let mut case = case("kicks-back", System::CdiSource, Evidence::default());
    case.step(Step::Tested(test("static-timing"), Said::No)).unwrap();
    assert!(!case.study().barred);
    // With the rotor off and on again nothing is proved of the timing.
    case.step(Step::PutRight(cause("key-sheared"))).unwrap();
    assert!(case.study().barred);
    assert_eq!(lifts(&case), Some(test("static-timing")));
}

#[test]
fn what_lifts_a_bar_is_offered_though_a_reading_answers_it_or_nobody_could_tell() {
    let timing = test("static-timing");
    let read = TestReading { test: timing, positive: 0.01, from: From::Snap, within: None };
    let evidence = Evidence { tests: vec![read], signatures: Vec::new() };
    let mut case = case("kicks-back", System::Points, evidence);
    assert_eq!(lifts(&case), Some(timing));
    case.step(Step::Tested(timing, Said::CannotTell)).unwrap();
    let found = case.study();
    assert!(found.barred && found.tests.iter().any(|t| t.test == timing && t.worth.is_some()));
}

/// The log of a job is read again with what is known by then: what was done stays done.
#[test]
fn what_took_place_stays_and_what_would_be_barred_is_told() {
    let mut case = case("kicks-back", System::CdiSource, Evidence::default());
    let strobe = Step::Tested(test("strobe-idle"), Said::Yes);
    assert!(matches!(case.step(strobe), Err(Refused::Barred { .. })));
    case.took_place(strobe).unwrap();
    assert!(case.study().oddities.contains(&Oddity::WouldBeBarred(test("strobe-idle"))));
    // Metal: a cause whose cure cuts is not put right while others stand, but what was cut is cut.
    let mut hang = self::case("revs-hang", System::CdiSource, Evidence::default());
    let cut = Step::PutRight(cause("curve-steep"));
    assert!(matches!(hang.step(cut), Err(Refused::Metal { .. })));
    hang.took_place(cut).unwrap();
    assert_eq!(hang.steps(), [cut]);
    assert_eq!(hang.took_place(cut), Err(Refused::PutRightBefore(cause("curve-steep"))));
    assert_eq!(hang.took_place(Step::PutRight(cause("reg-over"))), Err(Refused::NoSuchCause(cause("reg-over"))));
}

#[test]
fn an_answer_that_is_changed_is_the_last_that_was_given() {
    let mut case = case("revs-hang", System::CdiSource, Evidence::default());
    let (snap, mist) = (test("throttle-snap"), test("inlet-mist"));
    for step in [Step::Tested(snap, Said::Yes), Step::Tested(mist, Said::No), Step::Tested(snap, Said::No)] {
        case.step(step).unwrap();
    }
    assert_eq!(case.back(), Some(Step::Tested(snap, Said::No)));
    assert_eq!(case.steps(), [Step::Tested(mist, Said::No)]);
}

#[test]
fn a_repair_takes_set_ups_down() {
    let mut case = case("cover-noise", System::CdiSource, Evidence::default());
    let rotor = test("rotor-off");
    let (first, again) = (base().tests[rotor].minutes, base().tests[rotor].again);
    case.step(Step::Tested(rotor, Said::Yes)).unwrap();
    assert_eq!(case.minutes(rotor, 1), again);
    case.step(Step::Untried(cause("magnet-loose"))).unwrap();
    assert_eq!(case.minutes(rotor, 2), first);
}

/// Marks of one lamp weigh once: together as read, or as the mechanic judged one of them.
#[test]
fn an_answer_by_hand_stands_over_the_signature_that_has_its_reading() {
    let idle = test("strobe-idle");
    let read = TestReading { test: idle, positive: 0.99, from: From::Snap, within: Some(Of::Marks) };
    let marks = Signature { causes: vec![(cause("timing-set"), 1.0)], otherwise: 0.03, readings: 5, of: Of::Marks };
    let both = Evidence { tests: vec![read], signatures: vec![marks] };
    let mut weighed = case("pinks", System::CdiSource, both);
    assert!(weighed.signatures().count() == 1 && !weighed.counts(&read));
    weighed.step(Step::Tested(idle, Said::Yes)).unwrap();
    assert!(weighed.signatures().count() == 0 && !weighed.counts(&read));
    let mut alone = case("pinks", System::CdiSource, Evidence::default());
    alone.step(Step::Tested(idle, Said::Yes)).unwrap();
    assert_eq!(weighed.belief(), alone.belief());
    // What is seen after a repair is another state of the machine: the reading from before stays.
    let mut later =
        case("pinks", System::CdiSource, Evidence { tests: vec![TestReading { within: None, ..read }], signatures: Vec::new() });
    let before = chance(&later, "timing-set");
    later.step(Step::PutRight(cause("timing-set"))).unwrap();
    later.step(Step::Tested(idle, Said::No)).unwrap();
    assert!(later.counts(&later.evidence.tests[0]) && before > 0.1, "{before}");
}

/// A spark that was looked at cold says little of a machine that dies hot.
#[test]
fn a_test_that_did_not_bring_the_complaint_on_is_not_counted() {
    let spark = test("spark-gap");
    let sees = base().tests[spark].sees.clone().unwrap();
    let job = |complaint: usize| {
        let it = &base().complaints[complaint];
        let cause = &base().causes[it.causes[0].cause].id;
        Finished { number: "1".into(), complaint: it.id.clone(), cause: cause.clone(), tests: vec![("spark-gap".into(), false)] }
    };
    let place = |seen: bool| base().complaints.iter().position(|c| sees.contains(&c.when) == seen).unwrap();
    let counted = |at: usize| base().with_jobs(&[job(at)], None).book;
    assert_eq!((counted(place(true)).jobs, counted(place(true)).tests), (1, 1));
    assert_eq!((counted(place(false)).jobs, counted(place(false)).tests), (1, 0));
}

#[test]
fn a_good_part_is_fitted_only_beside_neighbours_that_passed() {
    let mut case = case("no-spark", System::CdiSource, Evidence::default());
    let swap = test("module-swap");
    let stands = |case: &Case| case.study().tests.into_iter().find(|t| t.test == swap).unwrap().standing;
    let order = base().tests[swap].after.clone();
    for t in &order[1..] {
        case.took_place(Step::Tested(*t, Said::No)).ok();
    }
    case.took_place(Step::Tested(order[0], Said::Yes)).unwrap();
    assert_eq!(stands(&case), Standing::After(vec![order[0]]), "it did not pass");
    case.step(Step::Tested(order[0], Said::No)).unwrap();
    assert_eq!(stands(&case), Standing::Open);
}
