//! What the command line computed before is found again, and a job book that cannot be used only costs time.

use std::{
    fs,
    path::Path,
    process::{Command, Output},
    sync::atomic::{AtomicUsize, Ordering},
};
use tickover::{
    desk::{self, Progress, Read},
    shelf::{BookShelf, Shelf},
};

const MACHINE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/tarn-500.toml");

fn tickover(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(arguments)
        .env("XDG_DATA_HOME", home)
        .env("HOME", home)
        .env("NO_COLOR", "1")
        .output()
        .expect("the binary runs")
}

fn told(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).into_owned()
}

#[test]
fn a_second_run_finds_what_the_first_kept_and_says_the_same() {
    let home = tempfile::tempdir().unwrap();
    let book = home.path().join("tickover/book.sqlite");
    let first = tickover(home.path(), &["idle", MACHINE, "--json"]);
    assert!(first.status.success() && told(&first).is_empty(), "{}", told(&first));
    assert!(book.exists(), "kept in the bench page's own book");
    assert_eq!(first.stdout, tickover(home.path(), &["idle", MACHINE, "--json"]).stdout);
    // The page's shelf is the same book under the same keys: nothing is left to be computed.
    struct Watched {
        book: BookShelf,
        computed: AtomicUsize,
    }
    impl Shelf for Watched {
        fn take(&self, key: &str) -> Option<Vec<u8>> {
            self.book.take(key)
        }
        fn keep(&self, _: &str, _: &[u8]) {
            self.computed.fetch_add(1, Ordering::Relaxed);
        }
    }
    let kept = jobbook::Book::open(&book).unwrap().0;
    assert!(kept.machines().unwrap().is_empty(), "a study puts no machine into the book");
    let shelf = Watched { book: BookShelf::new(kept), computed: AtomicUsize::new(0) };
    let read = Read::of(&fs::read_to_string(MACHINE).unwrap()).unwrap();
    assert!(desk::answer(read, &Progress::default(), &shelf).is_some());
    assert_eq!(shelf.computed.into_inner(), 0);
}

#[test]
fn afresh_leaves_every_book_alone() {
    let home = tempfile::tempdir().unwrap();
    let out = tickover(home.path(), &["idle", MACHINE, "--json", "--afresh"]);
    assert!(out.status.success() && told(&out).is_empty());
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 0);
    assert_eq!(tickover(home.path(), &["idle", MACHINE, "--afresh", "--book", "x"]).status.code(), Some(2), "one or the other");
}

#[test]
fn a_book_that_cannot_be_used_is_told_and_left_alone() {
    let home = tempfile::tempdir().unwrap();
    // Somebody else's file, a folder, and a place below a file, where nothing can be made whoever asks.
    let foreign = home.path().join("foreign.sqlite");
    fs::write(&foreign, b"SQLite format 3\0 but not a book at all, only some text that goes on for long enough").unwrap();
    let folder = home.path().join("folder");
    fs::create_dir(&folder).unwrap();
    let below = foreign.join("book.sqlite");
    for book in [&foreign, &folder, &below] {
        let out = tickover(home.path(), &["curve", MACHINE, "--json"]);
        assert!(out.status.success(), "the curve needs no book");
        let out = tickover(home.path(), &["idle", MACHINE, "--json", "--book", book.to_str().unwrap()]);
        assert!(out.status.success(), "{}: {}", book.display(), told(&out));
        assert!(told(&out).contains(&book.display().to_string()), "{}", told(&out));
        serde_json::from_slice::<serde_json::Value>(&out.stdout).expect("the answer is whole");
    }
    assert!(fs::read(&foreign).unwrap().ends_with(b"long enough"), "untouched");
}

/// Bytes under the right key that are no surface are computed anew.
#[test]
fn a_damaged_surface_is_computed_again() {
    struct Torn;
    impl Shelf for Torn {
        fn take(&self, _: &str) -> Option<Vec<u8>> {
            Some(vec![7; 1000])
        }
        fn keep(&self, _: &str, _: &[u8]) {}
    }
    let read = Read::of(&fs::read_to_string(MACHINE).unwrap()).unwrap();
    let answer =
        |shelf: &dyn Shelf| desk::answer(read.clone(), &Progress::default(), shelf).expect("not stopped").wire().to_text();
    assert_eq!(answer(&Torn), answer(&tickover::shelf::NoShelf));
}
