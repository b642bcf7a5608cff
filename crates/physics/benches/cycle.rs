//! How long the working cycle takes: one point, eight points side by side, the full surface on all cores, and a look-up in it.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{motorcycle, rpm};
use criterion::{Criterion, criterion_group, criterion_main};
use physics::{
    cycle::{Drive, Operating, Outside, Prepared, Start, settle, settle_eight, turn},
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

/// A minute of engine time of a twin near its idle, the crank's speed free, one core.
fn free(c: &mut Criterion) {
    let mut engine = motorcycle(45.0, 1.0);
    engine.fires_at_rad = vec![0.0, std::f64::consts::PI];
    let p = Prepared::new(engine).unwrap();
    let drive = Drive { inertia_kg_m2: 0.0115, friction: &|n| 3.0 + 0.02 * n, advance: &|_, n| (0.1 * n).to_radians(), finer: 1 };
    let start = Start { speed_rad_s: rpm(1100.0), opening_m2: 5e-6, push: 0.0 };
    let mut group = c.benchmark_group("free crank");
    group.sample_size(10);
    group.bench_function("60 s of engine time, two cylinders", |b| {
        b.iter(|| {
            turn(&p, &drive, black_box(start), &|_, _| 1.0, &mut |now| {
                (now.time_s < 60.0).then_some(Outside { opening_m2: start.opening_m2, drag_nm: 0.0 })
            })
        });
    });
    group.finish();
}

criterion_group!(all, cycle, surface, free);
criterion_main!(all);
