//! How long a changed curve takes: the line, its folds and the rest points, on one core.

use criterion::{Criterion, criterion_group, criterion_main};
use physics::rest::{Running, TorqueMap};
use std::hint::black_box;

fn changed_curve(c: &mut Criterion) {
    let map = TorqueMap::from_fn((50.0, 700.0), (2e-6, 2e-4), (-0.3, 1.0), |n, a, advance| {
        let best = 0.9 - 0.12 * (a / 2e-5).ln() + 0.0004 * n;
        let x = (advance - best) / 0.55;
        3.0e5 * a / (1.0 + n / 600.0) * (-x * x).exp()
    });
    let maps = [(1.0, &map)];
    let advance = |c: usize, n: f64| 0.7 - 0.01 * c as f64 - (0.233 * 420.0 / n - 0.233).clamp(0.0, 0.7);
    let friction = |n: f64| 2.0 + 1e-5 * n * n;
    c.bench_function("line, folds and rest points of a changed curve", |b| {
        b.iter(|| {
            let running = Running::new(&maps, 2, black_box(&advance), &friction, 0.02);
            let line = running.line();
            (running.folds(&line), running.rests(black_box(3e-5)))
        });
    });
    c.bench_function("is there a rest above (one sampled case)", |b| {
        b.iter(|| Running::new(&maps, 2, black_box(&advance), &friction, 0.02).stable_above(110.0, black_box(3e-5)));
    });
}

criterion_group!(rest, changed_curve);
criterion_main!(rest);
