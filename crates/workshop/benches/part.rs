//! How long a shelf takes: 50,000 coils ranked for one need; the best 20 put into the machine and computed again, coils and stators.

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use workshop::{
    machine::{EXAMPLES, read},
    study::{
        curve,
        fault::Studies,
        part::{Need, Refit, Shelf, base, rank},
    },
};

/// A coil, every value a little off that of the one before.
fn coil(n: usize) -> String {
    let share = 0.9 + 0.2 * (n % 1009) as f64 / 1009.0;
    format!(
        "[[part]]\nid = 'c-{n}'\nkind = 'coil'\nmeasured = 'bridge'\nsystem = '{}'\nends = 'single'\ncore_earth = 'earthed by its lugs'\nprimary_resistance = '{:.4} ± 0.02 Ω'\nsecondary_resistance = '{:.4} ± 0.1 kΩ'\nprimary_inductance = '{:.4} ± 0.03 mH'\nturns_ratio = '{:.3} ± 2'\ncoupling = '0.94 ± 0.02'\nwinding_capacitance = '55 ± 20 pF'\nprice = '{:.2} EUR'\nprice_day = '2026-03-14'\nprice_place = 'autojumble'\n",
        if n.is_multiple_of(7) { "battery" } else { "capacitor" },
        0.42 * share,
        4.6 * share,
        0.6 * share,
        85.0 * share,
        30.0 * share,
    )
}

fn stator(n: usize) -> String {
    let share = 0.95 + 0.005 * n as f64;
    format!(
        "[[part]]\nid = 's-{n}'\nkind = 'stator'\nmeasured = 'meter'\nphases = 'three'\nwinding = 'floating'\nsource_coil = 'yes'\npoles = '6'\nspigot = '34 mm'\nair_gap = '0.5 mm'\ncore_height = '26 mm'\nvolts_at_1000 = '{:.3} ± 0.5 V'\nwinding_resistance = '0.42 ± 0.03 Ω'\nwinding_inductance = '{:.3} ± 0.2 mH'\n",
        15.3 * share,
        3.9 * share,
    )
}

fn shelves(c: &mut Criterion) {
    let (machine, _) = read(EXAMPLES[0].1).expect("an example");
    let curve = curve::study(&machine).expect("it has readings");
    let studies = Studies { curve: Some(&curve), ..Studies::default() };
    let need = |kind: &str, over: &str| {
        let kind = base().named(kind).expect("it is there");
        Need::of_machine(base(), kind, &machine, studies).over(base(), over).expect("sound")
    };
    let coils = need("coil", "[coil]\nends = 'single'\ncore_earth = 'earthed by its lugs'\nprimary_resistance = '0.42 ± 0.03 Ω'");
    let shelf = Shelf::toml(base(), &(0..50_000).map(coil).collect::<String>()).expect("sound");
    c.bench_function("50,000 coils ranked", |b| b.iter(|| black_box(rank(base(), &coils, &shelf).ranked.len())));
    let best = rank(base(), &coils, &shelf);
    c.bench_function("20 coils in the machine", |b| {
        b.iter(|| black_box(Refit::new(base(), &machine, Ok(&curve), None).best(&best, 20).len()));
    });
    let stators = need("stator", "[stator]\nspigot = '34 mm'\ncore_height = '26 mm'");
    let shelf = Shelf::toml(base(), &(0..20).map(stator).collect::<String>()).expect("sound");
    let best = rank(base(), &stators, &shelf);
    c.bench_function("20 stators in the machine", |b| {
        b.iter(|| black_box(Refit::new(base(), &machine, Ok(&curve), None).best(&best, 20).len()));
    });
}

criterion_group! {
    name = part;
    config = Criterion::default().sample_size(10);
    targets = shelves
}
criterion_main!(part);
