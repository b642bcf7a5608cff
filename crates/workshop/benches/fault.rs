//! How long an answer of fault finding takes: causes, every test's worth, the advice, after none and after eight answers.

use criterion::{Criterion, criterion_group, criterion_main};
use workshop::study::fault::{Advice, Bike, Case, Evidence, Said, Step, System, base};

fn answers(c: &mut Criterion) {
    let bike = Bike { systems: vec![System::CdiSource], strokes: 4, cylinders: 2, battery: None };
    let complaint = base().complaint("no-spark").expect("it is there");
    let mut case = Case::new(base(), bike, complaint, Evidence::default()).expect("it can show");
    c.bench_function("first answer", |b| b.iter(|| case.study()));
    for _ in 0..8 {
        if let Advice::Test(next) = case.study().next {
            case.step(Step::Tested(next.test, Said::No)).expect("it was offered");
        }
    }
    c.bench_function("after eight answers", |b| b.iter(|| case.study()));
}

criterion_group! {
    name = fault;
    config = Criterion::default().sample_size(20);
    targets = answers
}
criterion_main!(fault);
