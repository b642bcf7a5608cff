//! The book on disk: what is written stays, and what is not a book is left alone.

use jobbook::{Book, BookError, Kept, Opened, UnixSeconds, VERSION};
use std::path::{Path, PathBuf};

fn kept<'a>(text: &'a str, at: i64) -> Kept<'a> {
    Kept { name: "Corran 360", text, note: "reading", at: UnixSeconds(at) }
}

fn place() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a folder").join("book.sqlite");
    (folder, path)
}

fn open(path: &Path) -> Book {
    Book::open(path).unwrap().0
}

#[test]
fn opened_again_it_has_every_revision() {
    let (_folder, path) = place();
    let (mut book, opened) = Book::open(&path).unwrap();
    assert_eq!(opened, Opened::Fresh);
    book.add("corran-360", &kept("one", 10)).unwrap();
    assert_eq!(book.save("corran-360", 1, &kept("two", 20)).unwrap(), 2);
    assert_eq!(book.save("corran-360", 2, &kept("one", 30)).unwrap(), 3);
    drop(book);

    let (book, opened) = Book::open(&path).unwrap();
    assert_eq!(opened, Opened::AsItWas);
    let texts: Vec<_> = book.revisions("corran-360").unwrap().into_iter().map(|r| (r.number, r.text, r.at.0)).collect();
    assert_eq!(texts, [(3, "one".to_owned(), 30), (2, "two".to_owned(), 20), (1, "one".to_owned(), 10)]);
    assert_eq!(book.machine("corran-360").unwrap().newest.number, 3);
    assert_eq!(book.machines().unwrap().len(), 1);
}

#[test]
fn the_same_text_makes_no_revision() {
    let mut book = Book::in_memory().unwrap();
    book.add("m", &kept("one", 1)).unwrap();
    assert_eq!(book.save("m", 1, &kept("one", 2)).unwrap(), 1);
    assert_eq!(book.revisions("m").unwrap().len(), 1);
}

#[test]
fn a_revision_cannot_be_changed_or_removed_even_past_the_book() {
    let (_folder, path) = place();
    let mut book = open(&path);
    book.add("m", &kept("one", 1)).unwrap();
    let raw = rusqlite::Connection::open(&path).unwrap();
    assert!(raw.execute("UPDATE revision SET text = 'x'", []).is_err());
    assert!(raw.execute("DELETE FROM revision", []).is_err());
    assert_eq!(book.revision("m", 1).unwrap().text, "one");
}

#[test]
fn an_edit_on_an_older_revision_is_refused() {
    let (_folder, path) = place();
    let (mut desk, mut lift) = (open(&path), open(&path));
    desk.add("m", &kept("one", 1)).unwrap();
    lift.save("m", 1, &kept("from the lift", 2)).unwrap();
    let refused = desk.save("m", 1, &kept("from the desk", 3));
    assert!(matches!(refused, Err(BookError::EditedMeanwhile { newest: 2, began_at: 1, .. })), "{refused:?}");
    assert_eq!(desk.machine("m").unwrap().newest.text, "from the lift");
}

#[test]
fn writers_at_the_same_time_lose_nothing() {
    const WRITERS: usize = 4;
    const SAVES: usize = 25;
    let (_folder, path) = place();
    open(&path).add("m", &kept("start", 0)).unwrap();
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let path = &path;
            scope.spawn(move || {
                let mut book = open(path);
                for n in 0..SAVES {
                    let text = format!("{writer} {n}");
                    loop {
                        let at = book.machine("m").unwrap().newest.number;
                        match book.save("m", at, &kept(&text, n as i64)) {
                            Ok(_) => break,
                            Err(BookError::EditedMeanwhile { .. }) => continue,
                            Err(e) => panic!("{e}"),
                        }
                    }
                }
            });
        }
    });
    let all = open(&path).revisions("m").unwrap();
    assert_eq!(all.len(), 1 + WRITERS * SAVES);
    let mut texts: Vec<_> = all.iter().map(|r| r.text.as_str()).collect();
    texts.sort_unstable();
    texts.dedup();
    assert_eq!(texts.len(), all.len());
}

#[test]
fn two_that_open_a_fresh_book_together_make_one() {
    let (_folder, path) = place();
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| open(&path).machines().unwrap());
        }
    });
}

#[test]
fn a_newer_book_is_refused_and_left_alone() {
    let (_folder, path) = place();
    open(&path).add("m", &kept("one", 1)).unwrap();
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.pragma_update(None, "journal_mode", "DELETE").unwrap();
    raw.pragma_update(None, "user_version", VERSION + 1).unwrap();
    drop(raw);
    let before = std::fs::read(&path).unwrap();
    let refused = Book::open(&path).map(|_| ());
    assert!(matches!(refused, Err(BookError::Newer { found, known }) if found == VERSION + 1 && known == VERSION), "{refused:?}");
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn what_is_no_book_is_refused_and_left_alone() {
    let (folder, path) = place();
    drop(open(&path));
    let sound = std::fs::read(&path).unwrap();

    // A book overwritten in the middle of its schema page.
    let mut damaged = sound.clone();
    for byte in &mut damaged[96..3000] {
        *byte ^= 0x5A;
    }
    let text = b"format = 1\nname = \"a machine file, not a book\"\n".repeat(40);
    for (name, bytes) in [("text", text), ("damaged", damaged), ("cut short", sound[..1500].to_vec())] {
        let file = folder.path().join(name);
        std::fs::write(&file, &bytes).unwrap();
        let refused = Book::open(&file).map(|_| ());
        assert!(matches!(refused, Err(BookError::Damaged { .. })), "{name}: {refused:?}");
        assert_eq!(std::fs::read(&file).unwrap(), bytes, "{name}");
    }

    let other = folder.path().join("other.sqlite");
    rusqlite::Connection::open(&other).unwrap().execute_batch("CREATE TABLE recipe (name TEXT)").unwrap();
    let bytes = std::fs::read(&other).unwrap();
    let refused = Book::open(&other).map(|_| ());
    assert!(matches!(refused, Err(BookError::NotABook { .. })), "{refused:?}");
    assert_eq!(std::fs::read(&other).unwrap(), bytes);

    // A folder in the place of the file.
    assert!(Book::open(folder.path()).is_err());
}

#[test]
fn slugs_are_plain() {
    let mut book = Book::in_memory().unwrap();
    for bad in ["", "-", "a--b", "-a", "a-", "A", "a b", "../x", "é", "a/b", &"a".repeat(81)] {
        assert!(matches!(book.add(bad, &kept("x", 0)), Err(BookError::BadSlug { .. })), "{bad:?}");
    }
    book.add("tarn-500", &kept("x", 0)).unwrap();
    assert!(matches!(book.add("tarn-500", &kept("y", 0)), Err(BookError::SlugTaken { .. })));
    assert!(matches!(book.machine("pellow"), Err(BookError::UnknownMachine { .. })));
    assert!(matches!(book.revision("tarn-500", 2), Err(BookError::UnknownRevision { number: 2, .. })));
}

#[test]
fn surfaces_come_back_byte_for_byte() {
    let (_folder, path) = place();
    let mut book = open(&path);
    let bytes: Vec<u8> = (0..=255).cycle().take(100_000).collect();
    book.keep_surface("k", &bytes, UnixSeconds(1)).unwrap();
    drop(book);
    let book = open(&path);
    assert_eq!(book.surface("k").unwrap().as_deref(), Some(&bytes[..]));
    assert_eq!(book.surface("other").unwrap(), None);
}
