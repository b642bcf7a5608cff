//! How long a dragged cut and a whole plan take, the working cycle's own runs left out (the engine is a formula).

#[path = "../tests/formula/mod.rs"]
#[allow(dead_code, reason = "shared with the tests")]
mod formula;

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use workshop::study::{curve, idle, load, trim};

fn cuts(c: &mut Criterion) {
    let (machine, model) = (formula::machine(), formula::model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let load = load::study(&machine, &curve, model.cycle(), None);
    let plan = trim::study(&machine, &curve, &model, &load, None).expect("a plan");
    c.bench_function("one dragged cut", |b| b.iter(|| trim::one_cut(&machine, &curve, &model, &plan, black_box(0.005))));
    c.bench_function("idle study with its 20,480 cases", |b| b.iter(|| idle::study(&machine, &curve, &model)));
    c.bench_function("whole trim plan", |b| b.iter(|| trim::study(&machine, &curve, &model, &load, None)));
}

criterion_group! {
    name = trim_plan;
    config = Criterion::default().sample_size(10);
    targets = cuts
}
criterion_main!(trim_plan);
