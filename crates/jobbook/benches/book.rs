//! How fast a book of many years answers: `cargo bench -p jobbook`. It makes a book of 2 000 machines, 10 000 jobs and 500 000 readings in a
//! folder of its own, asks it, and removes it.

use jobbook::{Book, Draft, Headline, JobState, Kept, Note, Origin, Place, Reading, Stage, Stamp, UnixSeconds};
use std::time::{Duration, Instant};

const MACHINES: usize = 2_000;
const JOBS: usize = 10_000;
const READINGS_A_JOB: usize = 50;
/// Questions of one kind.
const ASKED: usize = 500;
/// Owners' words to choose from.
const WORDS: [&str; 12] =
    ["hangs", "misfires", "kicks", "back", "spark", "hot", "cold", "lights", "battery", "flat", "pinks", "stalls"];

fn reading(n: usize) -> Draft {
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

fn filled(path: &std::path::Path) {
    let (mut book, _) = Book::open(path).unwrap();
    let at = |n: usize| UnixSeconds(1_500_000_000 + n as i64 * 20_000);
    for n in 0..MACHINES {
        let name = format!("Machine {n} of {}", WORDS[n % 12]);
        book.add(&format!("machine-{n}"), &Kept { name: &name, text: "format = 1", note: "", at: at(0) }).unwrap();
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
fn spread(name: &str, wanted: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize].as_secs_f64() * 1e3;
    println!(
        "{name}: median {:.2} ms, 99th in a hundred {:.2} ms, worst {:.2} ms (wanted: {wanted})",
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let begun = Instant::now();
    let done = work();
    (done, begun.elapsed())
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let ((), made) = timed(|| filled(&path));
    println!("made in {:.0} s, {:.0} MB", made.as_secs_f64(), std::fs::metadata(&path).unwrap().len() as f64 / 1e6);
    spread("open", "200 ms", (0..20).map(|_| timed(|| Book::open(&path).unwrap()).1).collect());
    let (mut book, _) = Book::open(&path).unwrap();
    let typed = |n: usize| format!("{} {}", &WORDS[n % 12][..3], &WORDS[n / 12 % 12][..2]);
    spread("search as typed", "30 ms", (0..ASKED).map(|n| timed(|| book.search(&typed(n), 30).unwrap()).1).collect());
    let number = |n: usize| book.jobs(None, None, 1).unwrap()[0].id.0 - (n * 19) as i64;
    let ids: Vec<_> = (0..ASKED).map(|n| jobbook::JobId(number(n))).collect();
    spread("state of a job", "5 ms", ids.iter().map(|id| timed(|| book.present(Place::Job(*id)).unwrap()).1).collect());
    spread("open jobs", "", (0..50).map(|_| timed(|| book.jobs(Some(JobState::Open), None, 40).unwrap()).1).collect());
    let stamp = Stamp { who: "E.", at: UnixSeconds(1_800_000_000) };
    let one = |n: usize| timed(|| book.append(Place::Job(ids[n]), stamp, &[reading(n)]).unwrap()).1;
    let mut one = one;
    spread("keep a reading", "", (0..100).map(&mut one).collect());

    // A writer goes on meanwhile.
    let job = ids[0];
    let writing = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(true));
    let on = writing.clone();
    let theirs = path.clone();
    let writer = std::thread::spawn(move || {
        let (mut book, _) = Book::open(&theirs).unwrap();
        let mut times = Vec::new();
        while on.load(std::sync::atomic::Ordering::Relaxed) {
            times.push(timed(|| book.append(Place::Job(job), stamp, &[reading(times.len())]).unwrap()).1);
            std::thread::sleep(Duration::from_millis(50));
        }
        times
    });
    let (tally, took) = timed(|| book.back_up(&folder.path().join("copy")).unwrap());
    writing.store(false, std::sync::atomic::Ordering::Relaxed);
    println!("backup of {} entries, read again and compared: {:.1} s (wanted: 10 s)", tally.entries, took.as_secs_f64());
    spread("keep a reading meanwhile", "", writer.join().unwrap());
}
