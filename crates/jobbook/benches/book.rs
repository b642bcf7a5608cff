//! How fast a book of many years answers: `cargo bench -p jobbook`. It makes the book in a folder of its own, asks it, and removes it.

mod many;

use jobbook::{Book, JobState, Place, Stamp, UnixSeconds};
use many::{WORDS, filled, reading, spread, timed};
use std::time::Duration;

/// Questions of one kind.
const ASKED: usize = 500;

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let ((), made) = timed(|| filled(&path, "format = 1"));
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
