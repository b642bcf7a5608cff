//! How long an answer of fault finding takes: causes, every test's worth, the advice, after none and after eight answers; and in a job with readings and
//! recordings, where these are weighed anew with every answer.

use criterion::{Criterion, criterion_group, criterion_main};
use std::{f64::consts::TAU, hint::black_box};
use workshop::{
    machine::{EXAMPLES, read},
    made::{Faults, Maker, Run, Wish},
    study::{
        Finding, curve,
        electric::{charge, windings},
        fault::{Advice, Bike, Case, Evidence, Heard, Said, Step, Studies, System, base},
        recording::{Given, Listener},
        spark::{self, beside::Kept},
    },
};

/// Eight tests that passed, each the one that was advised.
fn eight(case: &mut Case) {
    for _ in 0..8 {
        if let Advice::Test(next) = case.study().next {
            case.step(Step::Tested(next.test, Said::No)).expect("it was offered");
        }
    }
}

fn answers(c: &mut Criterion) {
    let bike = Bike { systems: vec![System::CdiSource], strokes: 4, cylinders: 2, battery: None, regulator: None };
    let complaint = base().complaint("no-spark").expect("it is there");
    let mut case = Case::new(base(), bike, complaint, Evidence::default()).expect("it can show");
    c.bench_function("first answer", |b| b.iter(|| case.study()));
    eight(&mut case);
    c.bench_function("after eight answers", |b| b.iter(|| case.study()));
}

fn of_job(c: &mut Criterion) {
    let (machine, _) = read(EXAMPLES[0].1).expect("an example");
    let found = curve::study(&machine);
    let curve = found.as_ref().ok();
    let spark = spark::study(&machine, found.as_ref().map_err(|e| *e)).ok();
    let (windings, charge) = (windings::study(&machine), charge::study(&machine).ok());
    let studies = Studies {
        curve,
        idle: None,
        alike: None,
        spark: spark.as_ref(),
        windings: windings.as_ref(),
        charge: charge.as_ref(),
        holds: None,
    };
    let wish = Wish {
        rate_hz: 48_000.0,
        seconds: 30.0,
        run: Run::Sweep,
        fastest_rad_s: Some(6000.0 * TAU / 60.0),
        sweep_rad_s2: 1500.0 * TAU / 60.0,
        exhaust: false,
        mark: false,
        faults: Faults { missing: 0.01, ..Faults::default() },
        seed: 3,
    };
    let mut maker = Maker::new(&machine, &wish).expect("an example");
    let mut listener = Listener::new(wish.rate_hz, &machine, &Given::default());
    while let Some(block) = maker.next_block() {
        listener.push(&block[0], &block[1]);
    }
    let recorded = listener.finish().expect("it was made so");
    let kept = |what, si: f64, share: f64, rpm: Option<f64>| Kept {
        what,
        place: "",
        read: Finding { si, plus_minus_si: share * si.abs() },
        temperature_k: None,
        crank_rad_s: rpm.map(|n| n * TAU / 60.0),
        loaded: false,
    };
    let mut readings = vec![
        kept("pickup.resistance", 220.0, 0.02, None),
        kept("source.resistance", 240.0, 0.02, None),
        kept("cap.resistance", 5.1e3, 0.02, None),
        kept("pickup.peak", 2.4, 0.1, None),
        kept("module.peak", 165.0, 0.05, None),
        kept("earth.drop", 0.12, 0.1, None),
        kept("feed.drop", 0.45, 0.1, None),
        kept("alternator.open", 41.0, 0.02, Some(3000.0)),
    ];
    readings.extend((0..12).map(|k| kept("strobe.advance", 0.5, 0.02, Some(1000.0 + 400.0 * f64::from(k)))));
    let at = base().complaint("misfire-high").expect("it is there");
    let begun = || {
        let heard = [Heard::Ignition(&recorded)];
        let evidence = Evidence::of(base(), &machine, studies).with_heard(base(), &machine, studies, &heard);
        let evidence = evidence.with_kept(base(), &machine, studies, &readings).bearing_on(base(), &base().complaints[at]);
        Case::new(base(), Bike::of(&machine), at, evidence).expect("it can show")
    };
    c.bench_function("job with readings and a recording", |b| b.iter(|| black_box(begun().study())));
    // Volts that were read just now, with and without load: nothing of them is known from the answer before.
    let mut volts = 41.0;
    let flat = base().complaint("flat-short-trips").expect("it is there");
    c.bench_function("volts that are new", |b| {
        b.iter(|| {
            volts += 1e-6;
            let new = [
                kept("alternator.open", volts, 0.02, Some(3000.0)),
                kept("charging.volts", 13.6 + 1e-3 * volts, 0.01, Some(3500.0)),
            ];
            let evidence = Evidence::of(base(), &machine, studies).with_kept(base(), &machine, studies, &new);
            let evidence = evidence.bearing_on(base(), &base().complaints[flat]);
            black_box(Case::new(base(), Bike::of(&machine), flat, evidence).expect("it can show").study())
        });
    });
    let mut case = begun();
    eight(&mut case);
    let steps = case.steps().to_vec();
    c.bench_function("job with readings, a recording and eight answers", |b| {
        b.iter(|| {
            let mut case = begun();
            for step in &steps {
                case.step(*step).expect("it was taken before");
            }
            black_box(case.study())
        });
    });
}

criterion_group! {
    name = fault;
    config = Criterion::default().sample_size(20);
    targets = answers, of_job
}
criterion_main!(fault);
