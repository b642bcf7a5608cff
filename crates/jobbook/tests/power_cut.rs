//! A program that is killed at any moment loses nothing that it said was kept; full and read-only disks are told, and survived.

use jobbook::{Body, Book, BookError, Draft, Headline, JobId, Kept, Note, Place, Stamp, UnixSeconds};
use std::{
    collections::BTreeMap,
    io::{BufRead, BufReader, Write},
    path::Path,
    process::{Command, Stdio},
    time::{Duration, Instant},
};

/// How often the writer is killed.
const KILLS: u64 = 300;
/// Longest that it writes before [ms].
const LONGEST_MS: u64 = 70;
/// After every so many kills the whole book is looked through.
const LOOKED_THROUGH: u64 = 10;
/// Names the book to the writer.
const BOOK: &str = "BOOK_TO_WRITE";

fn stamp() -> Stamp<'static> {
    Stamp { who: "writer", at: UnixSeconds(1_790_000_000) }
}

fn book_with_a_job(path: &Path) -> (Book, JobId) {
    let (mut book, _) = Book::open(path).unwrap();
    book.add("m", &Kept { name: "M", text: "format = 1", note: "", at: UnixSeconds(0) }).unwrap();
    let (job, _) = book.open_job("m", stamp(), Headline { complaint: "c".to_owned(), ..Headline::default() }, None).unwrap();
    (book, job)
}

fn note(words: String) -> Draft {
    Draft::new(Note { words, about: String::new() })
}

/// Not a test by itself: the program that is killed. It says what was kept once the book has said so.
#[test]
fn writer() {
    let Some(path) = std::env::var_os(BOOK) else { return };
    let (mut book, _) = Book::open(Path::new(&path)).unwrap();
    let job = book.job_by_number("2026-0001").unwrap().id;
    let mut out = std::io::stdout().lock();
    for n in 0.. {
        // Sometimes several at once, some of them long: what is written then spans pages.
        let drafts: Vec<Draft> =
            (0..1 + n % 4).map(|k| note(format!("{n} {k} {}", "x".repeat((n * 37 % 5000) as usize)))).collect();
        let kept = book.append(Place::Job(job), stamp(), &drafts).unwrap();
        for (draft, at) in drafts.iter().zip(kept) {
            let Body::Note(note) = &draft.body else { unreachable!() };
            writeln!(out, "kept {} {}", at.id.0, note.words).unwrap();
        }
        out.flush().unwrap();
    }
}

#[test]
fn killed_at_any_moment_it_has_all_that_it_said_was_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let (book, job) = book_with_a_job(&path);
    drop(book);
    let mut said: BTreeMap<i64, String> = BTreeMap::new();
    let mut random = 0x2545_F491_4F6C_DD1D_u64;
    for kill in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writer", "--nocapture", "--test-threads", "1"])
            .env(BOOK, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let reader = std::thread::spawn(move || out.lines().map_while(Result::ok).collect::<Vec<String>>());
        // xorshift64*, so that a failure comes again.
        random ^= random >> 12;
        random ^= random << 25;
        random ^= random >> 27;
        let wait = Duration::from_micros(random.wrapping_mul(0x2545_F491_4F6C_DD1D) % (LONGEST_MS * 1000));
        let begun = Instant::now();
        while begun.elapsed() < wait {
            std::hint::spin_loop();
        }
        child.kill().unwrap();
        child.wait().unwrap();
        for line in reader.join().unwrap() {
            // A line that the kill cut short was not said.
            let Some((id, words)) = line.split_once("kept ").and_then(|(_, rest)| rest.split_once(' ')) else { continue };
            if words.len() >= 4 || words.contains(' ') {
                said.insert(id.parse().unwrap(), words.to_owned());
            }
        }
        let (book, _) = Book::open(&path).unwrap_or_else(|e| panic!("after kill {kill}: {e}"));
        if kill % LOOKED_THROUGH == 0 {
            book.check().unwrap_or_else(|e| panic!("after kill {kill}: {e}"));
        }
        let log = book.log(Place::Job(job)).unwrap();
        let there: BTreeMap<i64, &str> = log
            .iter()
            .filter_map(|e| if let Body::Note(n) = &e.body { Some((e.id.0, n.words.as_str())) } else { None })
            .collect();
        for (id, words) in &said {
            let kept = there.get(id).unwrap_or_else(|| panic!("after kill {kill}: entry {id} was said to be kept and is gone"));
            assert!(kept.starts_with(words.as_str()), "after kill {kill}: entry {id} is another");
        }
    }
    let copy = folder.path().join("copy");
    let (book, _) = Book::open(&path).unwrap();
    book.back_up(&copy).unwrap();
    println!("{KILLS} kills, {} entries said to be kept, all there", said.len());
    assert!(said.len() as u64 > KILLS, "it hardly wrote before it was killed: {}", said.len());
}

/// How many entries each of two programs writes.
const EACH: usize = 150;
/// Names the book to one of two writers.
const SHARED: &str = "BOOK_TO_SHARE";

/// Not a test by itself: one of two programs on one book.
#[test]
fn one_of_two() {
    let Some(path) = std::env::var_os(SHARED) else { return };
    let (mut book, _) = Book::open(Path::new(&path)).unwrap();
    let job = book.job_by_number("2026-0001").unwrap().id;
    for n in 0..EACH {
        book.append(Place::Job(job), stamp(), &[note(format!("{} {n}", std::process::id()))]).unwrap();
    }
}

#[test]
fn two_programs_on_one_book_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let (book, job) = book_with_a_job(&path);
    let start = || {
        Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "one_of_two"])
            .env(SHARED, &path)
            .stdout(Stdio::null())
            .spawn()
            .unwrap()
    };
    let mut writers = [start(), start()];
    assert!(writers.iter_mut().all(|w| w.wait().unwrap().success()));
    let present = book.present(Place::Job(job)).unwrap();
    for writer in &writers {
        let of = format!("{} ", writer.id());
        let theirs: Vec<_> = present.notes().filter_map(|(_, n)| n.words.strip_prefix(&of)?.parse::<usize>().ok()).collect();
        assert_eq!(theirs, (0..EACH).collect::<Vec<_>>(), "all of each, in its order");
    }
    book.check().unwrap();
}

/// A file system of its own that is small, where the system lets us make one (Linux, root).
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn new(bytes: u32) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let size = format!("size={bytes}");
        let made =
            Command::new("mount").args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(folder.path()).stderr(Stdio::null()).status();
        made.is_ok_and(|s| s.success()).then_some(Self(folder))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

#[test]
fn a_full_disk_is_told_and_the_book_works_again_when_there_is_room() {
    let Some(disk) = SmallDisk::new(3 << 20) else {
        println!("no small disk can be made here; nothing was tried");
        return;
    };
    let path = disk.0.path().join("book.sqlite");
    let (mut book, job) = book_with_a_job(&path);
    let ballast = disk.0.path().join("ballast");
    std::fs::write(&ballast, vec![1; 1 << 20]).unwrap();
    let mut kept = 0;
    let full = loop {
        match book.append(Place::Job(job), stamp(), &[note(format!("{kept} {}", "y".repeat(20_000)))]) {
            Ok(_) => kept += 1,
            Err(e) => break e,
        }
        assert!(kept < 1000, "a disk of 3 MB never filled");
    };
    assert!(matches!(full, BookError::DiskFull), "{full:?}");
    assert_eq!(book.present(Place::Job(job)).unwrap().notes().count(), kept, "what was kept is there");
    std::fs::remove_file(&ballast).unwrap();
    book.append(Place::Job(job), stamp(), &[note("room again".to_owned())]).unwrap();
    drop(book);
    let (book, _) = Book::open(&path).unwrap();
    assert_eq!(book.present(Place::Job(job)).unwrap().notes().count(), kept + 1);
}

#[test]
fn a_read_only_disk_is_told_and_what_was_kept_can_be_read() {
    let Some(disk) = SmallDisk::new(4 << 20) else {
        println!("no disk can be made here; nothing was tried");
        return;
    };
    let path = disk.0.path().join("book.sqlite");
    let (mut book, job) = book_with_a_job(&path);
    let mount = |how: &str| Command::new("mount").args(["-o", how]).arg(disk.0.path()).status().unwrap().success();
    // Refused by the system while the file is open for writing.
    drop(book);
    assert!(mount("remount,ro"));
    let refused = Book::open(&path).map(|(mut book, _)| book.append(Place::Job(job), stamp(), &[note("no".to_owned())]));
    match refused {
        Err(BookError::ReadOnly) | Ok(Err(BookError::ReadOnly)) => {}
        other => panic!("{other:?}"),
    }
    assert!(mount("remount,rw"));
    (book, _) = Book::open(&path).unwrap();
    book.append(Place::Job(job), stamp(), &[note("yes".to_owned())]).unwrap();
    assert_eq!(book.present(Place::Job(job)).unwrap().notes().count(), 1);
}
