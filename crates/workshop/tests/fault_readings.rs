//! Readings of a job by computation: marks, drops, magnets, resistances; and finished jobs that count.

use std::f64::consts::TAU;
use workshop::{
    machine::{EXAMPLES, Machine, read},
    study::{
        Finding, curve,
        electric::charge,
        fault::{Bike, Case, Evidence, Finished, Of, Said, Step, Studies, base, marks::weigh, own},
        rotor::held,
        spark::beside::Kept,
    },
};

fn machine(file: &str) -> Machine {
    let text = EXAMPLES.iter().find(|(name, _)| *name == file).unwrap().1;
    read(text).unwrap().0
}

fn kept(what: &str, si: f64, plus_minus_si: f64) -> Kept<'_> {
    let read = Finding { si, plus_minus_si };
    Kept { what, place: "", read, temperature_k: None, crank_rad_s: None, loaded: false }
}

/// Chance of each of some causes with these readings kept.
fn chances(machine: &Machine, complaint: &str, kept: &[Kept], causes: &[&str]) -> Vec<f64> {
    let faults = base();
    let found = curve::study(machine).ok();
    let studies = Studies { curve: found.as_ref(), ..Studies::default() };
    let at = faults.complaint(complaint).unwrap();
    let evidence = Evidence::of(faults, machine, Studies::default()).with_kept(faults, machine, studies, kept);
    let evidence = evidence.bearing_on(faults, &faults.complaints[at]);
    let study = Case::new(faults, Bike::of(machine), at, evidence).unwrap().study();
    causes.iter().map(|id| study.causes.iter().find(|c| faults.causes[c.cause].id == *id).map_or(0.0, |c| c.chance)).collect()
}

/// `reference/fault/marks.csv`: SciPy's multivariate normal density with the covariance written out. Two ways to the same sums, which cancel by some
/// hundred times where readings share a large error.
#[test]
fn the_likelihood_of_marks_is_the_normal_density() {
    const CANCELLING: f64 = 1e-9;
    let table = include_str!("../../../reference/fault/marks.csv");
    let mut rows = 0;
    for line in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let list = |k: usize| cells[k].split(' ').map(|x| x.parse::<f64>().unwrap()).collect::<Vec<_>>();
        let (speeds, off, by) = (list(0), list(1), list(2));
        let marks: Vec<_> = (0..speeds.len())
            .map(|k| (speeds[k] * TAU / 60.0, Finding { si: off[k].to_radians(), plus_minus_si: by[k].to_radians() }))
            .collect();
        let found = weigh(&marks, list(3)[0].to_radians());
        for (got, k) in [(found.sound, 4), (found.shifted, 5), (found.other, 6)] {
            let want = list(k)[0];
            assert!((got - want).abs() <= CANCELLING * (1.0 + want.abs()), "{line}: {got} for {want}");
        }
        rows += 1;
    }
    assert_eq!(rows, 24);
}

/// Marks on the Pellow's fixed timing, off by an angle that may grow with the speed [°].
fn marked(machine: &Machine, off: impl Fn(f64) -> f64) -> Vec<Kept<'static>> {
    let law = curve::study(machine).unwrap().cylinders[0].law.clone();
    let one = |rpm: f64| {
        let speed = rpm * TAU / 60.0;
        let si = law.advance(speed).radians() + off(rpm).to_radians();
        Kept { crank_rad_s: Some(speed), ..kept("strobe.advance", si, 1f64.to_radians()) }
    };
    [1500.0, 2500.0, 3500.0, 5000.0, 6500.0].map(one).to_vec()
}

#[test]
fn a_shift_is_the_timing_and_a_slope_is_the_module() {
    let pellow = machine("pellow-125.toml");
    let causes = ["timing-set", "cdi-mismatch"];
    let of = |kept: &[Kept]| chances(&pellow, "pinks", kept, &causes);
    let before = of(&[]);
    let sound = of(&marked(&pellow, |_| 0.0));
    assert!(sound[0] < 0.3 * before[0] && sound[1] < 0.3 * before[1], "{before:?} {sound:?}");
    let shifted = of(&marked(&pellow, |_| 6.0));
    assert!(shifted[0] > 2.0 * before[0] && shifted[0] > 5.0 * shifted[1], "{before:?} {shifted:?}");
    let other = of(&marked(&pellow, |rpm| 12.0 * (rpm - 1500.0) / 5000.0));
    assert!(other[1] > 5.0 * before[1] && other[1] > 2.0 * other[0], "{before:?} {other:?}");
    // Two marks do not part a shift from a slope: they answer the strobe's tests one by one.
    let few = Evidence::default().with_kept(base(), &pellow, Studies::default(), &marked(&pellow, |_| 6.0)[..2]);
    assert!(few.signatures.is_empty());
}

#[test]
fn volts_lost_in_an_earth_are_a_bad_earth_where_the_copper_loses_less() {
    let tarn = machine("tarn-500.toml");
    let of = |volts: f64| chances(&tarn, "misfire-with-lamps", &[kept("earth.drop", volts, 0.02)], &["bad-earth"])[0];
    let before = chances(&tarn, "misfire-with-lamps", &[], &["bad-earth"])[0];
    assert!(of(0.9) > 2.0 * before && of(0.05) < 0.5 * before, "{} {before} {}", of(0.9), of(0.05));
}

#[test]
fn the_last_reading_of_a_place_counts_and_a_doubtful_one_counts_less() {
    let corran = machine("corran-360.toml");
    let of = |kept: &[Kept]| chances(&corran, "misfire-load", kept, &["plug-cap"])[0];
    let cap = |si, by| kept("cap.resistance", si, by);
    let (bad, good) = (cap(9.0e3, 200.0), cap(5.1e3, 200.0));
    assert_eq!(of(&[bad, good]), of(&[good]));
    let before = of(&[]);
    assert!(of(&[good]) < before && before < of(&[bad]));
    // 6.1 kΩ for 5.1 ± 0.2 kΩ is right at a fifth: with a wide ± nobody can tell.
    let near = of(&[cap(6.12e3, 2.0e3)]);
    assert!(of(&[good]) < near && near < of(&[bad]), "{near}");
}

/// The Corran's file has 41 ± 1 V now and 46 ± 2 V recorded: about 0.89 of the flux.
#[test]
fn lost_flux_makes_magnets_likelier_and_the_same_volts_make_them_less_likely() {
    let text = EXAMPLES[0].1;
    let of = |now: &str| {
        let machine = read(&text.replace("volts = { value = \"41 ± 1 V\", with = \"meter, alternating\" }", now)).unwrap().0;
        let evidence = Evidence::of(base(), &machine, Studies::default());
        let of_flux = evidence.signatures.iter().find(|s| s.of == Of::Flux).unwrap().clone();
        let weak = base().cause("magnet-weak").unwrap();
        of_flux.causes.iter().find(|(c, _)| *c == weak).unwrap().1 / of_flux.otherwise
    };
    let lost = of("volts = { value = \"33 ± 1 V\", with = \"meter, alternating\" }");
    let whole = of("volts = { value = \"46 ± 1 V\", with = \"meter, alternating\" }");
    assert!(lost > 5.0 && whole < 0.5, "{lost} {whole}");
}

/// As many magnets as the Corran's ring has, one of them dead: a job's own volts take the place of the file's, at another speed.
#[test]
fn volts_of_a_job_tell_of_the_flux_as_those_of_the_file_do() {
    let corran = machine("corran-360.toml");
    let of = |evidence: &Evidence, cause: &str| {
        let of_flux = evidence.signatures.iter().find(|s| s.of == Of::Flux).unwrap();
        let at = base().cause(cause).unwrap();
        of_flux.causes.iter().find(|(c, _)| *c == at).unwrap().1 / of_flux.otherwise
    };
    let file = Evidence::of(base(), &corran, Studies::default());
    let job = |volts: f64, rpm: f64| {
        let reading = Kept {
            crank_rad_s: Some(rpm * TAU / 60.0),
            temperature_k: Some(298.15),
            ..kept("alternator.open", volts, volts / 41.0)
        };
        Evidence::of(base(), &corran, Studies::default()).with_kept(base(), &corran, Studies::default(), &[reading])
    };
    // The file's own volts at twice the speed are twice as many; its temperature is 25 ± 5 °C, the job's is exact.
    let same = job(82.0, 6000.0);
    assert_eq!(same.signatures.iter().filter(|s| s.of == Of::Flux).count(), 1);
    for cause in ["magnet-weak", "magnet-loose"] {
        let (a, b) = (of(&file, cause), of(&same, cause));
        assert!((a / b - 1.0).abs() < 0.05, "{cause}: {a} {b}");
    }
    // Whole flux speaks against both.
    let whole = job(46.0, 3000.0);
    assert!(of(&whole, "magnet-weak") < 1.0 && of(&whole, "magnet-loose") < 1.0);
    let read = whole.tests.iter().find(|r| r.test == base().test("stator-acv").unwrap()).unwrap();
    assert!(read.positive < 0.01 && read.within == Some(Of::Flux), "it is in the signature");
}

/// With the charging of the file the job's volts are weighed as one, once, as a file weighs them that has them in place of its own: neither the record nor the flux counts twice.
/// That density is SciPy's (`reference/fault/together.csv`).
#[test]
fn volts_of_a_job_and_the_charging_of_the_file_share_the_record() {
    let weighed = |text: &str, kept: &[Kept]| {
        let machine = read(text).unwrap().0;
        let study = charge::study(&machine).unwrap();
        let studies = Studies { charge: Some(&study), ..Studies::default() };
        let all = Evidence::of(base(), &machine, studies).with_kept(base(), &machine, studies, kept);
        assert!(all.signatures.iter().all(|s| s.of != Of::Flux));
        let found: Vec<_> = all.signatures.into_iter().filter(|s| s.of == Of::Charging).collect();
        assert_eq!(found.len(), 1);
        found[0].clone()
    };
    let text = EXAMPLES[0].1;
    let job = Kept { crank_rad_s: Some(3000.0 * TAU / 60.0), temperature_k: Some(298.15), ..kept("alternator.open", 41.0, 1.0) };
    let ours = weighed(text, &[job]);
    let (seen, rest) = text.split_once("unplugged_12").unwrap();
    let rest = rest.split_once("[battery]").unwrap().1;
    let row = "\n[[charging.seen]]\nspeed = \"3000 ± 50 rpm\"\nlights = false\nunplugged_12 = \"41 ± 1 V\"\n\n[battery]";
    let theirs = weighed(&format!("{seen}{row}{rest}"), &[]);
    assert_eq!(ours.readings, theirs.readings);
    let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 0.05, "{a} {b}\n{ours:?}\n{theirs:?}");
    near(ours.otherwise, theirs.otherwise);
    ours.causes.iter().zip(&theirs.causes).for_each(|(a, b)| near(a.1, b.1));
}

/// Volts at the battery that a job keeps stand in place of the file's, which are older, and are weighed by the computed circuit with the lights on or off.
#[test]
fn battery_volts_of_a_job_are_weighed_by_the_circuit_in_place_of_those_of_the_file() {
    // A file that says nothing of volts without load, and reads 11.9 V.
    let low = EXAMPLES[0]
        .1
        .replace("13.1 ± 0.1 V", "11.9 ± 0.1 V")
        .lines()
        .filter(|l| !l.starts_with("unplugged") && !l.starts_with("amps = { value = \"0.9"))
        .map(|l| format!("{l}\n"))
        .collect::<String>();
    let machine = read(&low).unwrap().0;
    let charge = charge::study(&machine).unwrap();
    let studies = Studies { charge: Some(&charge), ..Studies::default() };
    let of = |kept: &[Kept]| Evidence::of(base(), &machine, studies).with_kept(base(), &machine, studies, kept);
    let at = |volts: f64| Kept { crank_rad_s: Some(3500.0 * TAU / 60.0), ..kept("charging.volts", volts, 0.1) };
    let worst = |e: &Evidence| {
        let found = e.signatures.iter().find(|s| s.of == Of::Charging).unwrap();
        assert_eq!(found.readings, 1);
        found.causes.iter().map(|c| c.1 / found.otherwise).fold(0.0, f64::max)
    };
    let (file, good, bad) = (of(&[]), of(&[at(14.2)]), of(&[at(11.9)]));
    assert!(worst(&file) > 10.0 && worst(&bad) > 10.0 && worst(&good) < 2.0, "{} {} {}", worst(&file), worst(&bad), worst(&good));
    // The old one does not speak for low volts beside the new one.
    let charge_low = base().test("charge-low").unwrap();
    assert!(good.tests.iter().filter(|r| r.test == charge_low).all(|r| r.within == Some(Of::Charging) && r.positive < 0.3));
    // What no circuit is computed of is not cleared by low volts.
    let found = bad.signatures.iter().find(|s| s.of == Of::Charging).unwrap();
    let load = found.causes.iter().find(|(c, _)| *c == base().cause("load-too-big").unwrap()).unwrap().1;
    assert!(load > 2.0 * found.otherwise, "{load} {}", found.otherwise);
}

/// Read again at the same speed, the later mark counts; at another speed it is one more.
#[test]
fn a_mark_that_is_read_again_takes_the_place_of_the_first() {
    let corran = machine("corran-360.toml");
    let found = curve::study(&corran).unwrap();
    let studies = Studies { curve: Some(&found), ..Studies::default() };
    let speed = corran.idle.as_ref().unwrap().speed.si;
    let law = found.cylinders[0].law.advance(speed).radians();
    let mark = |off_deg: f64, speed: f64| Kept {
        crank_rad_s: Some(speed),
        ..kept("strobe.advance", law + f64::to_radians(off_deg), f64::to_radians(1.0))
    };
    let idle = base().test("strobe-idle").unwrap();
    let positive = |kept: &[Kept]| {
        let all = Evidence::of(base(), &corran, studies).with_kept(base(), &corran, studies, kept);
        all.tests.iter().find(|r| r.test == idle).unwrap().positive
    };
    assert!(positive(&[mark(8.0, speed), mark(0.0, speed)]) < 0.05);
    assert!(positive(&[mark(0.0, speed), mark(8.0, 1.01 * speed)]) > 0.95);
}

#[test]
fn finished_jobs_count_as_the_same_jobs_in_a_file_of_ones_own_do() {
    let job = |cause: &str| Finished {
        number: cause.into(),
        complaint: "revs-hang".into(),
        cause: cause.into(),
        tests: vec![("inlet-mist".into(), true), ("throttle-snap".into(), false), ("no-such-test".into(), true)],
    };
    let jobs = [
        job("air-leak"),
        job("air-leak"),
        job("other"),
        job("no-such-cause"),
        Finished { complaint: "x".into(), ..job("other") },
    ];
    let book = base().with_jobs(&jobs, None);
    let own = "[[job]]\ncomplaint = \"revs-hang\"\ncause = \"air-leak\"\ncount = 2\n[[job]]\ncomplaint = \"revs-hang\"\ncause = \"other\"\n\
        [[seen]]\ntest = \"inlet-mist\"\ncause = \"air-leak\"\npositive = 2\n[[seen]]\ntest = \"throttle-snap\"\ncause = \"air-leak\"\nnegative = 2\n\
        [[seen]]\ntest = \"inlet-mist\"\ncause = \"other\"\npositive = 1\n[[seen]]\ntest = \"throttle-snap\"\ncause = \"other\"\nnegative = 1\n";
    let own_faults = base().with_own(own).unwrap();
    let study = |faults| {
        let bike = Bike::of(&machine("corran-360.toml"));
        let mut case = Case::new(faults, bike, base().complaint("revs-hang").unwrap(), Evidence::default()).unwrap();
        case.step(Step::Tested(base().test("inlet-mist").unwrap(), Said::Yes)).unwrap();
        case.study()
    };
    let (of_book, of_own, of_base) = (study(&book), study(&own_faults), study(base()));
    assert_eq!(of_book.causes, of_own.causes);
    assert_ne!(of_book.causes, of_base.causes);
    assert_eq!((book.book.jobs, book.book.tests, book.book.left_out), (3, 6, 2));
    // Dirichlet and Beta means, by hand: 40 · 0.30 + 2; (20 · 0.8 + 2)/22.
    let at = base().complaint("revs-hang").unwrap();
    let leak = book.complaints[at].causes.iter().find(|w| base().causes[w.cause].id == "air-leak").unwrap();
    assert_eq!(own::counted_weight(leak.weight, leak.jobs), 14.0);
    let test = &book.tests[base().test("inlet-mist").unwrap()];
    let hit = test.hits.iter().find(|h| h.cause == leak.cause).unwrap();
    assert!((own::counted_chance(hit.chance, hit.seen) - 18.0 / 22.0).abs() < 1e-12);
    assert_eq!(base().with_jobs(&[], None), *base());
}

#[test]
fn a_job_in_the_book_and_in_a_file_of_ones_own_counts_once() {
    let own = |rows: &str| base().with_own(rows);
    let row = |number: &str| format!("[[job]]\nnumber = \"{number}\"\ncomplaint = \"revs-hang\"\ncause = \"air-leak\"\n");
    let job = |number: &str| Finished {
        number: number.into(),
        complaint: "revs-hang".into(),
        cause: "air-leak".into(),
        tests: vec![("inlet-mist".into(), true)],
    };
    let at = base().complaint("revs-hang").unwrap();
    let leak = base().cause("air-leak").unwrap();
    let counted =
        |faults: &workshop::study::fault::Faults| faults.complaints[at].causes.iter().find(|w| w.cause == leak).unwrap().jobs;
    let book = [job("2026-0001"), job("2026-0002")];
    let once = own(&row("2026-0001")).unwrap().with_jobs(&book, None);
    assert_eq!((counted(&once), once.book.in_own, once.book.jobs), (2, 1, 1));
    assert!(once.book.unknown.is_empty());
    // Its own search does not count it, wherever it stands.
    let itself = own(&row("2026-0001")).unwrap().with_jobs(&book[1..], Some("2026-0001"));
    assert_eq!((counted(&itself), itself.own.jobs), (1, 0));
    // A number that no finished job has is told, and counts.
    let wrong = own(&row("2026-0009")).unwrap().with_jobs(&book, None);
    assert_eq!((counted(&wrong), wrong.book.unknown.as_slice()), (3, &["2026-0009".to_owned()][..]));
    // The same number twice, and a count beside a number, are refused, both at once.
    let twice = own(&format!("{}{}count = 3\n", row("2026-0001"), row("2026-0001"))).unwrap_err();
    assert_eq!(twice.len(), 2);
}

/// Likelihood of a cause beside anything else by a signature of this kind, where there is one.
fn beside(evidence: &Evidence, of: Of, cause: &str) -> Option<f64> {
    let found = evidence.signatures.iter().find(|s| s.of == of)?;
    let at = base().cause(cause).unwrap();
    Some(found.causes.iter().find(|(c, _)| *c == at)?.1 / found.otherwise)
}

/// The Corran's alternator reads a tenth low without load beside a maker's 46 ± 2 V. Sound ones of one kind scatter by as much, so it says little; a third low it says much.
#[test]
fn the_charging_weighs_no_more_than_its_file_is_sure_of() {
    let of = |volts: u32| {
        let text =
            EXAMPLES[0].1.replace("41 ± 1 V", &format!("{volts} ± 1 V")).replace("42 ± 1 V", &format!("{} ± 1 V", volts + 1));
        let loaded = |l: &&str| !l.starts_with("amps = { value = \"0.9") && !l.starts_with("volts = { value = \"13.1");
        let machine = read(&text.lines().filter(loaded).map(|l| format!("{l}\n")).collect::<String>()).unwrap().0;
        let charge = charge::study(&machine).unwrap();
        let said = Evidence::of(base(), &machine, Studies { charge: Some(&charge), ..Studies::default() });
        assert!(beside(&said, Of::Flux, "magnet-weak").is_none(), "the same volts do not count for the flux as well");
        assert!(beside(&said, Of::Charging, "magnet-loose").is_some(), "which alone tells of one loose magnet");
        beside(&said, Of::Charging, "magnet-weak").unwrap()
    };
    let (little, much) = (of(41), of(31));
    assert!(little < 4.0 && much > 2.0 * little, "{little} {much}");
    // No signature weighs more.
    assert!(much < 33.4, "{much}");
}

/// A bond that bears all that the engine does says nothing; one that is computed to let go has had luck where its magnets sit fast.
#[test]
fn a_weak_bond_speaks_for_a_loose_magnet_and_a_strong_one_says_nothing() {
    let of = |text: &str| {
        let machine = read(text).unwrap().0;
        let holds = held::study(&machine, None, None).unwrap();
        let said = Evidence::of(base(), &machine, Studies { holds: Some(&holds), ..Studies::default() });
        (holds.rings[0].lets_go.unwrap(), beside(&said, Of::Bonds, "magnet-loose"))
    };
    let (lets_go, said) = of(EXAMPLES[0].1);
    assert!(lets_go < 0.01 && said.is_none(), "{lets_go} {said:?}");
    let soft = EXAMPLES[0].1.replace("\"9 ± 2 MPa\"", "\"0.03 ± 0.01 MPa\"").replace("\"3 ± 1 MPa\"", "\"0.02 ± 0.005 MPa\"");
    let (lets_go, said) = of(&soft);
    let said = said.unwrap();
    // 1 against 1 − f, as often as the test for it shows it, and 3 % for what misleads.
    assert!(lets_go > 0.1 && said > 1.0 && said < 1.0 / (1.0 - lets_go).max(0.03), "{lets_go} {said}");
}

/// The Corran's file says what was tried while it hung: what comes first has been done.
#[test]
fn a_test_that_a_reading_answers_came_first() {
    let machine = machine("corran-360.toml");
    let faults = base();
    let odd = |evidence: Evidence| {
        let mut case = Case::new(faults, Bike::of(&machine), faults.complaint("revs-hang").unwrap(), evidence).unwrap();
        let late = (0..faults.tests.len()).find(|t| faults.tests[*t].after.contains(&faults.test("enrich").unwrap())).unwrap();
        case.step(Step::Tested(late, Said::Yes)).unwrap();
        case.study().oddities.len()
    };
    assert_eq!((odd(Evidence::of(faults, &machine, Studies::default())), odd(Evidence::default())), (0, 2));
}
