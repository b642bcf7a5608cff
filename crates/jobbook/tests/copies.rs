//! Backup and restore while the book is in use: nothing that was kept is lost, and nothing unsound comes in.

mod common;

use common::{Random, headline, note, stamp};
use jobbook::*;
use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Stdio},
    sync::atomic::{AtomicBool, Ordering},
    time::Duration,
};

struct Shop {
    _folder: tempfile::TempDir,
    folder: PathBuf,
    path: PathBuf,
    book: Book,
    job: JobId,
}

fn shop() -> Shop {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let (mut book, _) = Book::open(&path).unwrap();
    book.add("corran-360", &Kept { name: "Corran 360", text: "x", note: "", at: UnixSeconds(0) }).unwrap();
    let (job, _) = book.open_job("corran-360", stamp(1), headline("hangs"), None).unwrap();
    Shop { folder: folder.path().to_owned(), _folder: folder, path, book, job }
}

impl Shop {
    fn write(&mut self, words: &str) -> EntryId {
        self.book.append(Place::Job(self.job), stamp(2), &[Draft::new(note(words))]).unwrap()[0].id
    }

    /// Names of all files there.
    fn files(&self) -> Vec<String> {
        let mut names: Vec<_> =
            fs::read_dir(&self.folder).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }
}

/// Tells the other thread to stop, also when this one panics.
struct Stop<'a>(&'a AtomicBool);

impl Drop for Stop<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

fn words(book: &Book, job: JobId) -> Vec<String> {
    book.present(Place::Job(job)).unwrap().notes().map(|(_, n)| n.words.clone()).collect()
}

fn open(path: &Path) -> Book {
    Book::open(path).unwrap().0
}

#[test]
fn a_copy_is_the_book_of_one_moment_though_others_write() {
    let mut shop = shop();
    for n in 0..400 {
        shop.write(&format!("{n} {}", "x".repeat(20_000)));
    }
    let (path, job, stop) = (shop.path.clone(), shop.job, AtomicBool::new(false));
    let copy = shop.folder.join("copy");
    let mut steps = Vec::new();
    let tally = std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut theirs = open(&path);
            while !stop.load(Ordering::Relaxed) {
                theirs.append(Place::Job(job), stamp(3), &[Draft::new(note("meanwhile"))]).unwrap();
            }
        });
        let _enough = Stop(&stop);
        shop.book
            .back_up_with(&copy, &mut |step| {
                steps.push(step);
                std::thread::sleep(Duration::from_millis(20));
            })
            .unwrap()
    });
    let (first, last) = (steps[0], steps[steps.len() - 2]);
    assert!(matches!(first, CopyStep::Copying { done, of } if done < of), "{first:?}");
    assert!(matches!(last, CopyStep::Copying { done, of } if done == of), "{last:?}");
    assert_eq!(steps.last(), Some(&CopyStep::Verifying));
    let (there, here) = (words(&open(&copy), job), words(&shop.book, job));
    assert!(there.len() >= 400 && here.len() > there.len(), "{} of {}", there.len(), here.len());
    assert_eq!(there, here[..there.len()]);
    assert_eq!(tally.entries, there.len() as u64 + 1);
    assert!(!shop.files().iter().any(|f| f.contains("partial")), "{:?}", shop.files());
}

#[test]
fn a_restore_brings_back_what_was_and_keeps_what_is() {
    let mut shop = shop();
    let picture = shop.book.keep_blob(b"a picture", UnixSeconds(1)).unwrap();
    shop.write("before");
    let backup = shop.folder.join("backup");
    let then = shop.book.back_up(&backup).unwrap();
    shop.write("after");
    let now = shop.book.tally().unwrap();
    shop.book.add_device("phone", "digest", UnixSeconds(3)).unwrap();

    // Another one has the book open all the while.
    let mut theirs = open(&shop.path);
    assert_eq!(words(&theirs, shop.job), ["before", "after"]);
    let restored = shop.book.restore_from(&backup, &mut |_| {}).unwrap();
    assert_eq!((&restored.now, restored.from_version), (&then, VERSION));
    for book in [&shop.book, &theirs] {
        assert_eq!(words(book, shop.job), ["before"]);
        assert_eq!(book.blob(&picture).unwrap(), b"a picture");
        assert_eq!(book.search("bef", 5).unwrap().jobs.len(), 1);
        assert!(book.knows_device("digest").unwrap(), "who is let in does not go back in time");
    }
    theirs.append(Place::Job(shop.job), stamp(4), &[Draft::new(note("theirs"))]).unwrap();
    assert_eq!(words(&shop.book, shop.job), ["before", "theirs"]);
    shop.book.check().unwrap();

    let before = open(&restored.before);
    assert_eq!(before.tally().unwrap(), now);
    assert_eq!(words(&before, shop.job), ["before", "after"]);
    drop(before);
    // And back again.
    shop.book.restore_from(&restored.before, &mut |_| {}).unwrap();
    assert_eq!(words(&theirs, shop.job), ["before", "after"]);
    assert!(!shop.files().iter().any(|f| f.contains("partial") || f.contains("incoming")), "{:?}", shop.files());
}

#[test]
fn what_is_written_while_a_book_is_restored_is_in_the_book_or_in_the_backup() {
    const RESTORES: usize = 8;
    let mut shop = shop();
    shop.write("first");
    let backup = shop.folder.join("backup");
    shop.book.back_up(&backup).unwrap();
    let (path, job, stop) = (shop.path.clone(), shop.job, AtomicBool::new(false));
    let (said, befores) = std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            let (mut theirs, mut said) = (open(&path), Vec::new());
            while !stop.load(Ordering::Relaxed) {
                let words = format!("entry {}", said.len());
                theirs.append(Place::Job(job), stamp(3), &[Draft::new(note(&words))]).unwrap();
                said.push(words);
            }
            said
        });
        let enough = Stop(&stop);
        let befores: Vec<_> = (0..RESTORES)
            .map(|_| {
                std::thread::sleep(Duration::from_millis(30));
                shop.book.restore_from(&backup, &mut |_| {}).unwrap().before
            })
            .collect();
        drop(enough);
        (writer.join().unwrap(), befores)
    });
    let mut there: std::collections::BTreeSet<String> = words(&shop.book, job).into_iter().collect();
    for before in befores {
        there.extend(words(&open(&before), job));
    }
    let lost: Vec<_> = said.iter().filter(|w| !there.contains(*w)).collect();
    assert!(lost.is_empty(), "{} of {} lost: {lost:?}", lost.len(), said.len());
    assert!(said.len() > RESTORES, "hardly anything was written: {}", said.len());
}

#[test]
fn nothing_unsound_comes_in() {
    let mut shop = shop();
    let picture = shop.book.keep_blob(&[7; 50_000], UnixSeconds(1)).unwrap();
    shop.write(&"a long note ".repeat(20_000));
    let good = shop.folder.join("good");
    shop.book.back_up(&good).unwrap();
    shop.write("kept");
    let before = shop.book.tally().unwrap();

    let altered = |name: &str, sql: &str| {
        let file = shop.folder.join(name);
        fs::copy(&good, &file).unwrap();
        rusqlite::Connection::open(&file).unwrap().execute_batch(sql).unwrap();
        file
    };
    let newer = altered("newer", &format!("PRAGMA user_version = {}", VERSION + 1));
    let trigger = altered("trigger", "CREATE TRIGGER t AFTER INSERT ON entry BEGIN DELETE FROM surface; END");
    let fewer = altered("fewer", "DROP TRIGGER entry_stays");
    let blob = altered(
        "blob",
        "DROP TRIGGER blob_stays_as_written; UPDATE blob SET bytes = x'00';
        CREATE TRIGGER blob_stays_as_written BEFORE UPDATE ON blob
    BEGIN SELECT RAISE(ABORT, 'a blob is never changed'); END;",
    );
    let stray = altered("stray", "PRAGMA foreign_keys = OFF; INSERT INTO revision VALUES (99, 1, 'x', '', 0)");
    let empty = shop.folder.join("empty");
    fs::write(&empty, "").unwrap();
    let text = shop.folder.join("text");
    fs::write(&text, "format = 1\n".repeat(100)).unwrap();
    let damaged = shop.folder.join("damaged");
    let mut bytes = fs::read(&good).unwrap();
    // Page 3 and all the next ones, 4096 bytes each, up to the last.
    let end = bytes.len() - 4096;
    bytes[2 * 4096..end].iter_mut().for_each(|b| *b ^= 0x5A);
    fs::write(&damaged, bytes).unwrap();
    let cut = shop.folder.join("cut");
    let bytes = fs::read(&good).unwrap();
    fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();

    type Expected = fn(&BookError) -> bool;
    let cases: [(&Path, Expected); 10] = [
        (&newer, |e| matches!(e, BookError::Newer { .. })),
        (&trigger, |e| matches!(e, BookError::NotABook { .. })),
        (&fewer, |e| matches!(e, BookError::NotABook { .. })),
        (&blob, |e| matches!(e, BookError::DamagedBlob { .. })),
        (&stray, |e| matches!(e, BookError::Damaged { .. })),
        (&empty, |e| matches!(e, BookError::NotABook { .. })),
        (&text, |e| matches!(e, BookError::Damaged { .. })),
        (&damaged, |e| matches!(e, BookError::Damaged { .. })),
        (&cut, |e| matches!(e, BookError::Damaged { .. })),
        (Path::new("/no/such/file"), |e| matches!(e, BookError::Files { .. })),
    ];
    let files = shop.files();
    for (file, expected) in cases {
        let bytes = fs::read(file).ok();
        let refused = shop.book.restore_from(file, &mut |_| {});
        assert!(refused.as_ref().is_err_and(expected), "{}: {refused:?}", file.display());
        assert_eq!(fs::read(file).ok(), bytes, "{}", file.display());
    }
    assert_eq!(shop.files(), files, "no file is left behind");
    assert_eq!(shop.book.check().unwrap(), before);
    assert_eq!(shop.book.blob(&picture).unwrap(), [7; 50_000]);
    assert!(matches!(Book::in_memory().unwrap().restore_from(&good, &mut |_| {}), Err(BookError::NoFile)));
}

/// Names the book to the program that restores.
const RESTORE: &str = "BOOK_TO_RESTORE";

/// Not a test by itself: the program that is killed while it restores one of two books, again and again.
#[test]
fn restorer() {
    let Some(path) = std::env::var_os(RESTORE).map(PathBuf::from) else { return };
    let mut book = open(&path);
    loop {
        for name in ["one", "two"] {
            let restored = book.restore_from(&path.with_file_name(name), &mut |_| {}).unwrap();
            fs::remove_file(restored.before).unwrap();
        }
    }
}

#[test]
fn killed_while_it_restores_the_book_is_the_one_or_the_other() {
    const KILLS: usize = 30;
    /// Time that a program takes to start and restore once, and some more [ms].
    const LONGEST_MS: usize = 250;
    let mut shop = shop();
    shop.write(&"one ".repeat(50_000));
    let one = shop.book.back_up(&shop.folder.join("one")).unwrap();
    shop.write(&"two ".repeat(200_000));
    let two = shop.book.back_up(&shop.folder.join("two")).unwrap();
    let path = shop.path.clone();
    drop(shop.book);
    let (mut random, mut ones) = (Random(11), 0);
    for kill in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "restorer"])
            .env(RESTORE, &path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(random.below(LONGEST_MS) as u64));
        child.kill().unwrap();
        child.wait().unwrap();
        let now = open(&path).check().unwrap_or_else(|e| panic!("after kill {kill}: {e}"));
        assert!(now == one || now == two, "after kill {kill}: {now:?}");
        ones += usize::from(now == one);
    }
    println!("{KILLS} kills, {ones} left the first book");
    assert!(ones > 0, "no restore was ever finished");
}

#[test]
fn a_damaged_blob_is_told_wherever_it_is_read() {
    let mut shop = shop();
    let (one, two) = (shop.book.keep_blob(b"one", UnixSeconds(1)).unwrap(), shop.book.keep_blob(b"two", UnixSeconds(1)).unwrap());
    assert_eq!(shop.book.keep_blob(b"one", UnixSeconds(2)).unwrap(), one, "the same bytes are kept once");
    assert_eq!(shop.book.tally().unwrap().blobs, 2);
    rusqlite::Connection::open(&shop.path)
        .unwrap()
        .execute_batch("DROP TRIGGER blob_stays_as_written; UPDATE blob SET bytes = x'6f6e66' WHERE bytes = x'6f6e65'")
        .unwrap();
    assert!(matches!(shop.book.blob(&one), Err(BookError::DamagedBlob { hash }) if hash == one));
    assert_eq!(shop.book.blob(&two).unwrap(), b"two");
    assert!(matches!(shop.book.check(), Err(BookError::DamagedBlob { hash }) if hash == one));
    let files = shop.files();
    assert!(matches!(shop.book.back_up(&shop.folder.join("copy")), Err(BookError::DamagedBlob { .. })));
    assert_eq!(shop.files(), files, "no copy is left");

    let big = shop.book.keep_blob(&vec![0; MOST_BLOB_BYTES + 1], UnixSeconds(1));
    assert!(matches!(big, Err(BookError::BlobTooBig { .. })), "{big:?}");
    let missing = Attachment {
        file: "../../etc/passwd".into(),
        media: "image/png".into(),
        hash: ContentHash::of(b"never kept"),
        stage: Stage::AsFound,
        words: String::new(),
        reading: None,
    };
    let refused = shop.book.append(Place::Job(shop.job), stamp(1), &[Draft::new(missing.clone())]);
    assert!(matches!(refused, Err(BookError::UnknownBlob { .. })), "{refused:?}");
    assert!(matches!(shop.book.blob(&missing.hash), Err(BookError::UnknownBlob { .. })));
    shop.book.append(Place::Job(shop.job), stamp(1), &[Draft::new(Attachment { hash: two, ..missing })]).unwrap();
}
