//! Faults drawn from the data, and looked for in three ways: `cargo run --release -p workshop --example fault_ways [patients]`.
//! Prints share found, median and 90 % of the minutes to the cause, mean minutes to a repaired machine, tests; and the time of an answer.

#[path = "../tests/simulated/mod.rs"]
mod simulated;

use simulated::{Way, disturbed, look, patient, sum};
use std::time::Instant;
use workshop::study::fault::{Case, Evidence, base};

fn main() {
    let patients: u64 = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(4000);
    println!("data,way,found,median_min,p90_min,mean_min_to_repaired,tests");
    for off in [false, true] {
        for way in [Way::Advised, Way::Information, Way::Chart] {
            let each = (0..patients).map(|seed| {
                // Fifty other truths, so that no single one speaks.
                let truth = if off { disturbed(base(), seed % 50) } else { base().clone() };
                look(base(), &truth, &patient(&truth, seed), way)
            });
            let s = sum(&each.collect::<Vec<_>>());
            let data = if off { "off by up to two" } else { "as in the file" };
            println!("{data},{way:?},{:.3},{:.0},{:.0},{:.0},{:.1}", s.found, s.to_cause.0, s.to_cause.1, s.mean, s.tests);
        }
    }
    let mut slowest: f64 = 0.0;
    for seed in 0..500 {
        let p = patient(base(), seed);
        let case = Case::new(base(), p.bike, p.complaint, Evidence::default()).expect("drawn so");
        let begun = Instant::now();
        std::hint::black_box(case.study());
        slowest = slowest.max(begun.elapsed().as_secs_f64());
    }
    println!("slowest of 500 answers: {:.2} ms", slowest * 1e3);
}
