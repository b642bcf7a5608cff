//! How long the working cycle takes: one point, eight points side by side, the full surface on all cores, and a look-up in it.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{motorcycle, rpm};
use criterion::{Criterion, criterion_group, criterion_main};
use physics::{
    cycle::{Operating, Prepared, settle, settle_eight},
    surface::{Grid, Progress, Surface},
};
use std::hint::black_box;

fn cycle(c: &mut Criterion) {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let at = |mm2: f64| Operating { speed_rad_s: rpm(1000.0), opening_m2: mm2 * 1e-6, advance_rad: 12_f64.to_radians() };
    c.bench_function("one point settled", |b| b.iter(|| settle(&p, black_box(at(6.0)))));
    let eight = std::array::from_fn(|i| at(4.0 + i as f64));
    c.bench_function("eight points settled side by side", |b| b.iter(|| settle_eight(&p, black_box(&eight))));
}

fn surface(c: &mut Criterion) {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let grid = Grid::for_idle((rpm(450.0), rpm(7000.0)), (0.66e-6, 64e-6));
    let mut group = c.benchmark_group("surface");
    group.sample_size(10);
    group.bench_function("24 speeds, 16 openings, 12 advances", |b| {
        b.iter(|| Surface::compute(&p, black_box(&grid), &Progress::default()).unwrap());
    });
    group.finish();
    // A changed curve over the surface is many of these; benches/rest.rs has the whole answer.
    let surface = Surface::compute(&p, &grid, &Progress::default()).unwrap();
    c.bench_function("torque looked up in the surface", |b| {
        b.iter(|| surface.gas_torque(black_box(120.0), black_box(5e-6), black_box(0.21)))
    });
}

criterion_group!(all, cycle, surface);
criterion_main!(all);
