//! A book of many years: 2 000 machines, 10 000 jobs and 500 000 readings, all invented; and how times are told.

use jobbook::{Book, Draft, Headline, JobState, Kept, Note, Origin, Place, Reading, Stage, Stamp, UnixSeconds};
use std::time::{Duration, Instant};

pub const MACHINES: usize = 2_000;
pub const JOBS: usize = 10_000;
const READINGS_A_JOB: usize = 50;
/// Owners' words to choose from.
pub const WORDS: [&str; 12] =
    ["hangs", "misfires", "kicks", "back", "spark", "hot", "cold", "lights", "battery", "flat", "pinks", "stalls"];

pub fn reading(n: usize) -> Draft {
    let value_si = 0.5e-3 + (n % 40) as f64 * 1e-5;
    Draft::new(Reading {
        stage: if n.is_multiple_of(2) { Stage::AsFound } else { Stage::AsLeft },
        what: "pickup.gap".to_owned(),
        words: "Pickup gap".to_owned(),
        place: ["left", "right"][n % 2].to_owned(),
        typed: format!("{:.2} ± 0.05 mm", value_si * 1e3),
        value_si,
        plus_minus_si: 5e-5,
        unit: "mm".to_owned(),
        instrument: "brass feeler".to_owned(),
        temperature_k: Some(291.0),
        crank_rad_s: None,
        condition: None,
        origin: Origin::Measured,
        taken_at: UnixSeconds(1_700_000_000 + n as i64),
    })
}

/// Makes the book; every machine has a file of this text.
pub fn filled(path: &std::path::Path, text: &str) {
    let (mut book, _) = Book::open(path).unwrap();
    let at = |n: usize| UnixSeconds(1_500_000_000 + n as i64 * 20_000);
    for n in 0..MACHINES {
        let name = format!("Machine {n} of {}", WORDS[n % 12]);
        book.add(&format!("machine-{n}"), &Kept { name: &name, text, note: "", at: at(0) }).unwrap();
    }
    for n in 0..JOBS {
        let stamp = Stamp { who: "E.", at: at(n) };
        let complaint = format!("{} when {} and {}", WORDS[n % 12], WORDS[n / 12 % 12], WORDS[n / 144 % 12]);
        let state = if n + 60 > JOBS { JobState::Open } else { JobState::HandedOver };
        let (job, _) = book
            .open_job(&format!("machine-{}", n % MACHINES), stamp, Headline { complaint, state, ..Headline::default() }, None)
            .unwrap();
        let mut drafts: Vec<Draft> = (0..READINGS_A_JOB).map(|k| reading(n * READINGS_A_JOB + k)).collect();
        drafts.push(Draft::new(Note { words: format!("note {n}"), about: String::new() }));
        book.append(Place::Job(job), stamp, &drafts).unwrap();
    }
}

/// Median, 99th in a hundred, and worst of many times.
pub fn spread(name: &str, wanted: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize].as_secs_f64() * 1e3;
    println!(
        "{name}: median {:.2} ms, 99th in a hundred {:.2} ms, worst {:.2} ms (wanted: {wanted})",
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

pub fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let begun = Instant::now();
    let done = work();
    (done, begun.elapsed())
}
