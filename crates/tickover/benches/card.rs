//! How fast the card of a job comes while twenty devices ask at once: `cargo bench -p tickover`. A book of many years is served, and each
//! device asks for one card after the other without a pause; every tenth time it keeps a reading. The machines are the demonstration's, so
//! the studies of the jobs that are open are begun meanwhile, as they are in a workshop. Every other card is of a job with two whole studies
//! kept with it, on a machine whose file was changed ten times.

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../../jobbook/benches/many/mod.rs"]
mod many;

use common::{FORM, ask, form, serve};
use jobbook::{Book, Draft, Finding, JobId, Kept, Place, Stamp, UnixSeconds};
use many::{JOBS, filled, spread, timed};
use std::{net::SocketAddr, time::Duration};
use tickover::{
    bench::findings,
    desk::{self, Progress, Read},
    shelf::NoShelf,
};

/// Devices that ask at once.
const DEVICES: usize = 20;
/// Requests of each.
const REQUESTS: usize = 300;
/// One of so many requests keeps a reading.
const KEEPS: usize = 10;
/// Walks through the jobs without a pattern: coprime with their number.
const STRIDE: usize = 7_919;

/// Jobs with findings, the newest ones.
const STUDIED: usize = 500;
/// Revisions of their machines' files.
const REVISIONS: u32 = 10;

/// Keeps two studies with each of the newest jobs, and gives their machines more revisions.
fn studied(book: &mut Book, jobs: &[(JobId, String)]) {
    let text = workshop::machine::EXAMPLES[0].1;
    let answer = desk::answer(Read::of(text).unwrap(), &Progress::default(), &NoShelf).unwrap();
    let finding = Finding {
        study: "study".to_owned(),
        file_revision: 1,
        inputs: "other".to_owned(),
        program: "0".to_owned(),
        result: findings::result(&answer).unwrap(),
        words: vec![answer.verdict()],
    };
    let stamp = Stamp { who: "E.", at: UnixSeconds(1_800_000_000) };
    for (job, machine) in jobs {
        let both = [Draft::new(finding.clone()), Draft::new(finding.clone())];
        book.append(Place::Job(*job), stamp, &both).unwrap();
        for n in 1..REVISIONS {
            let name = &book.machine(machine).unwrap().name;
            book.save(machine, n, &Kept { name, text: &format!("{text}# {n}\n"), note: "", at: stamp.at }).unwrap();
        }
    }
}

/// Times of a device's cards, and of its readings.
fn device(at: SocketAddr, n: usize, numbers: &[String]) -> (Vec<Duration>, Vec<Duration>) {
    let (mut cards, mut kept) = (Vec::new(), Vec::new());
    for k in 0..REQUESTS {
        let all = if k % 2 == 0 { numbers.len() } else { STUDIED };
        let job = &numbers[(n * REQUESTS + k) * STRIDE % all];
        if k % KEEPS == 0 {
            let token = format!("device {n}, {k}");
            let pairs = [
                ("stage", "during"),
                ("what", "pickup.gap"),
                ("value", "0.55 ± 0.05 mm"),
                ("instrument", "brass feeler"),
                ("who", "E."),
                ("token", &token),
            ];
            let body = form(&pairs);
            let (answer, took) = timed(|| ask(at, "POST", &format!("/job/{job}/reading"), FORM, body.as_bytes()));
            assert_eq!(answer.status, 303, "{}", answer.text());
            kept.push(took);
        } else {
            let (answer, took) = timed(|| ask(at, "GET", &format!("/job/{job}"), "", b""));
            assert!(answer.status == 200 && answer.body.len() > 10_000);
            cards.push(took);
        }
    }
    (cards, kept)
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    filled(&path, workshop::machine::EXAMPLES[0].1);
    let (mut book, _) = Book::open(&path).unwrap();
    // The newest first.
    let jobs = book.jobs(None, None, JOBS as u32).unwrap();
    assert_eq!(jobs.len(), JOBS);
    let newest: Vec<_> = jobs.iter().take(STUDIED).map(|job| (job.id, job.machine.clone())).collect();
    studied(&mut book, &newest);
    let numbers: Vec<String> = jobs.into_iter().map(|job| job.number).collect();
    let (at, _) = serve("127.0.0.1", book);
    let (all, took) = timed(|| {
        std::thread::scope(|scope| {
            let devices: Vec<_> = (0..DEVICES)
                .map(|n| {
                    scope.spawn({
                        let numbers = &numbers;
                        move || device(at, n, numbers)
                    })
                })
                .collect();
            devices.into_iter().map(|d| d.join().unwrap()).collect::<Vec<_>>()
        })
    });
    let (cards, kept): (Vec<_>, Vec<_>) = all.into_iter().unzip();
    println!("{DEVICES} devices, {:.0} answers a second", (DEVICES * REQUESTS) as f64 / took.as_secs_f64());
    spread("card of a job", "100 ms", cards.concat());
    spread("keep a reading", "", kept.concat());
}
