//! How long a shelf takes: 50,000 parts ranked for one need; the best 20 put into the machine and computed again, kind by kind.

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use workshop::{
    machine::{EXAMPLES, read},
    study::{
        curve,
        fault::Studies,
        part::{At, Cell, Need, Refit, Shelf, Shelving, base, rank},
    },
};

/// What parts of a kind are like.
type Like = (&'static str, &'static str, &'static [(&'static str, f64, &'static str)], &'static [(&'static str, &'static str)]);

/// Kind, what the job needs, numbers that scatter (attribute, value, ± and unit), words and numbers that do not.
const ALL: [Like; 6] = [
    (
        "coil",
        "[coil]\nends = 'single'\ncore_earth = 'earthed by its lugs'\nprimary_resistance = '0.42 ± 0.03 Ω'",
        &[
            ("primary_resistance", 0.42, "± 0.02 Ω"),
            ("secondary_resistance", 4.6, "± 0.1 kΩ"),
            ("primary_inductance", 0.6, "± 0.03 mH"),
            ("turns_ratio", 85.0, "± 2"),
        ],
        &[
            ("system", "capacitor"),
            ("ends", "single"),
            ("core_earth", "earthed by its lugs"),
            ("coupling", "0.94 ± 0.02"),
            ("winding_capacitance", "55 ± 20 pF"),
        ],
    ),
    (
        "pickup",
        "[pickup]\ntype = 'coil'\npole_width = '4.0 ± 0.1 mm'\nheat = '120 °C'",
        &[("kick_volts", 1.9, "± 0.2 V"), ("resistance", 220.0, "± 4 Ω"), ("pole_width", 4.0, "± 0.1 mm")],
        &[("type", "coil"), ("opposite_segment", "yes"), ("leads", "as needed"), ("least_gap", "0.4 mm"), ("heat", "130 °C")],
    ),
    (
        "module",
        "[module]\ntrigger = 'positive first'\nfires_on = 'leading edge'\nearth = 'negative'\nkill = 'earth to stop'",
        &[("trigger_volts", 0.7, "± 0.1 V"), ("advance_2000", 17.0, "± 1°"), ("advance_full", 35.0, "± 0.5°")],
        &[
            ("feed", "source coil"),
            ("works", "capacitor"),
            ("trigger", "positive first"),
            ("channels", "2"),
            ("fires_on", "leading edge"),
            ("earth", "negative"),
            ("kill", "earth to stop"),
            ("rev_ceiling", "10500 rpm"),
            ("start_speed", "1500 rpm"),
            ("advance_start", "6 ± 1°"),
            ("full_speed", "4200 rpm"),
        ],
    ),
    (
        "stator",
        "[stator]\nspigot = '34 mm'\ncore_height = '26 mm'",
        &[("volts_at_1000", 15.3, "± 0.5 V"), ("winding_inductance", 3.0, "± 0.2 mH"), ("winding_resistance", 0.42, "± 0.03 Ω")],
        &[
            ("phases", "three"),
            ("winding", "floating"),
            ("source_coil", "yes"),
            ("poles", "6"),
            ("spigot", "34 mm"),
            ("air_gap", "0.5 mm"),
            ("core_height", "26 mm"),
        ],
    ),
    (
        "rotor",
        "[rotor]\nlarge_end = 'towards the engine'\ncontact = 'any'\ninside_diameter = '83.0 ± 0.03 mm'",
        &[("inertia", 24.0, "± 1 kg·cm²"), ("segment_arc", 39.9, "± 0.1°")],
        &[
            ("large_end", "towards the engine"),
            ("taper_ratio", "0.150 ± 0.001"),
            ("keyway", "in the old place"),
            ("turns", "either"),
            ("magnets", "outside the stator"),
            ("poles", "6"),
            ("top_speed", "10000 rpm"),
            ("taper_diameter", "19.6 ± 0.01 mm"),
            ("inside_diameter", "82.95 ± 0.01 mm"),
            ("balanced", "yes"),
            ("volts_at_1000", "15.3 ± 0.5 V"),
        ],
    ),
    (
        "regulator",
        "[regulator]\nearth = 'negative'\nsense = 'none'",
        &[("set_point", 14.4, "± 0.1 V"), ("amps", 30.0, "A")],
        &[
            ("phases", "three"),
            ("gives", "direct current"),
            ("regulates", "shunt"),
            ("system_volts", "12 V"),
            ("earth", "negative"),
            ("heat_path", "yes"),
            ("sense", "none"),
        ],
    ),
];

/// So many parts of a kind, every value a little off that of the one before.
fn shelf((kind, _, numbers, words): &Like, count: usize, spread: f64) -> Shelf {
    let mut shelving = Shelving::new(base());
    for n in 0..count {
        let share = 1.0 + spread * ((n % 1009) as f64 / 504.0 - 1.0);
        let mut texts = vec![("id", format!("p-{n}")), ("kind", (*kind).to_owned()), ("measured", "bridge".to_owned())];
        texts.extend(numbers.iter().map(|(id, value, rest)| (*id, format!("{:.4} {rest}", value * share))));
        texts.extend(words.iter().map(|(id, text)| (*id, (*text).to_owned())));
        if n % 2 == 0 {
            let price = [("price", format!("{:.2} EUR", 30.0 * share)), ("price_day", "2026-03-14".to_owned())];
            texts.extend(price.into_iter().chain([("price_place", "autojumble".to_owned())]));
        }
        let cells: Vec<Cell<'_>> = texts.iter().map(|(key, text)| Cell { key, text, at: At::Whole }).collect();
        shelving.put(&cells, At::Whole);
    }
    shelving.done().expect("sound")
}

fn shelves(c: &mut Criterion) {
    let (machine, _) = read(EXAMPLES[0].1).expect("an example");
    let curve = curve::study(&machine).expect("it has readings");
    let studies = Studies { curve: Some(&curve), ..Studies::default() };
    for like in &ALL {
        let kind = base().named(like.0).expect("it is there");
        let need = Need::of_machine(base(), kind, &machine, studies).over(base(), like.1).expect("sound");
        let all = shelf(like, 50_000, 0.2);
        c.bench_function(&format!("50,000 of kind {} ranked", like.0), |b| {
            b.iter(|| black_box(rank(base(), &need, &all).ranked.len()));
        });
        let few = shelf(like, 20, 0.02);
        let best = rank(base(), &need, &few);
        let computed = |refit: &Refit<'_>| {
            let found = refit.best(&best, 20);
            assert!(found.len() == 20 && found.iter().all(|(_, effect)| effect.is_ok()), "{}: {:?}", like.0, found.first());
        };
        c.bench_function(&format!("20 of kind {} in the machine", like.0), |b| {
            b.iter(|| computed(&Refit::new(base(), &machine, Ok(&curve), None)));
        });
    }
}

criterion_group! {
    name = part;
    config = Criterion::default().sample_size(10);
    targets = shelves
}
criterion_main!(part);
