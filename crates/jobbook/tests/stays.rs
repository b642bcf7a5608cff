//! What is in the log stays, whoever asks; and what this version does not understand stays as well.

mod common;

use common::{headline, note, reading, stamp};
use jobbook::*;

fn written() -> (tempfile::TempDir, std::path::PathBuf, Book, JobId) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let (mut book, _) = Book::open(&path).unwrap();
    book.add("m", &Kept { name: "M", text: "x", note: "", at: UnixSeconds(0) }).unwrap();
    let (job, _) = book.open_job("m", stamp(1), headline("c"), None).unwrap();
    let id = book.append(Place::Job(job), stamp(2), &[Draft::new(reading(1.0)).token("t")]).unwrap()[0].id;
    book.append(Place::Job(job), stamp(3), &[Draft::new(reading(2.0)).replacing(id)]).unwrap();
    book.keep_blob(b"bytes", UnixSeconds(1)).unwrap();
    (folder, path, book, job)
}

#[test]
fn nothing_is_changed_removed_or_written_over_even_past_the_book() {
    let (_folder, path, book, _) = written();
    let before = book.tally().unwrap();
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.pragma_update(None, "foreign_keys", false).unwrap();
    let entry = "INTO entry (id, kind, body, who, at, token, replaces) VALUES";
    for sql in [
        "UPDATE entry SET body = '{}'".to_owned(),
        "UPDATE entry SET at = 0 WHERE id = 1".to_owned(),
        "DELETE FROM entry".to_owned(),
        "DELETE FROM entry WHERE id = 1".to_owned(),
        format!("INSERT OR REPLACE {entry} (1, 'note', '{{}}', '', 0, NULL, NULL)"),
        format!("INSERT OR REPLACE {entry} (99, 'note', '{{}}', '', 0, 't', NULL)"),
        format!("REPLACE {entry} (99, 'note', '{{}}', '', 0, NULL, 2)"),
        format!("INSERT {entry} (99, 'note', 'no json', '', 0, NULL, NULL)"),
        format!("INSERT {entry} (99, 'note', '{{}}', '', 0, NULL, 99)"),
        "UPDATE job SET machine = 2".to_owned(),
        "DELETE FROM job".to_owned(),
        "REPLACE INTO job VALUES (1, 1, '1999-0001', 0)".to_owned(),
        "REPLACE INTO job SELECT 9, machine, number, 0 FROM job".to_owned(),
        "INSERT INTO job VALUES (9, 1, 'first', 0)".to_owned(),
        "UPDATE blob SET bytes = x'00'".to_owned(),
        "DELETE FROM blob".to_owned(),
        "REPLACE INTO blob SELECT hash, x'00', 0 FROM blob".to_owned(),
        "UPDATE revision SET text = ''".to_owned(),
        "REPLACE INTO revision VALUES (1, 1, 'other', '', 0)".to_owned(),
        "DELETE FROM machine".to_owned(),
    ] {
        assert!(raw.execute(&sql, []).is_err(), "{sql}");
    }
    assert_eq!(book.check().unwrap(), before);
}

#[test]
fn an_entry_of_a_newer_version_is_kept_shown_and_can_be_taken_back() {
    let (_folder, path, mut book, job) = written();
    let raw = rusqlite::Connection::open(&path).unwrap();
    let put = |kind: &str, body: &str| -> EntryId {
        raw.execute(
            "INSERT INTO entry (job, machine, kind, body, who, at) VALUES (?1, 1, ?2, ?3, 'newer', 5)",
            rusqlite::params![job.0, kind, body],
        )
        .unwrap();
        EntryId(raw.last_insert_rowid())
    };
    let dream = put("dream", r#"{"of":"a better spark","n":[1,2.5,null]}"#);
    // A known kind in a shape that is not known, and no object at all.
    let shape = put("reading", r#"{"stage":"in_between"}"#);
    let odd = put("note", "17");
    let place = Place::Job(job);
    let present = book.present(place).unwrap();
    let unknown: Vec<_> = present.standing.iter().filter(|s| s.entry.body.kind().is_none()).map(|s| s.entry.id).collect();
    assert_eq!(unknown, [dream, shape, odd]);
    assert_eq!(book.entry(dream).unwrap().body.kind_name(), "dream");
    assert_eq!(present.readings().count(), 1);

    for id in [dream, shape, odd] {
        let said = book.entry(id).unwrap().body;
        let gone = book.withdraw(id, "", stamp(6), None).unwrap().id;
        assert!(book.present(place).unwrap().standing.iter().all(|s| s.first != id));
        let back = book.undo(gone, stamp(7), None).unwrap().id;
        assert_eq!(book.entry(back).unwrap().body, said);
    }
    // It cannot be passed off as something else.
    let made_up = Body::Unknown(Unknown { kind: "note".into(), body: serde_json::json!({"words": "x"}) });
    let refused = book.append(place, stamp(8), &[Draft { body: made_up, replaces: None, token: None }]);
    assert!(matches!(refused, Err(BookError::Unfit { .. })), "{refused:?}");
    book.check().unwrap();
    // A job whose headline is of a newer version is listed all the same.
    let head = book.log(place).unwrap()[0].id;
    raw.execute(
        "INSERT INTO entry (job, machine, kind, body, who, at, replaces) VALUES (?1, 1, 'headline', '{\"v\":2}', '', 9, ?2)",
        [job.0, head.0],
    )
    .unwrap();
    assert_eq!(book.jobs(None, None, 9).unwrap().len(), 1);
    book.append(place, stamp(10), &[Draft::new(note("goes on"))]).unwrap();
}

#[test]
fn a_big_book_that_was_cut_short_is_refused_without_reading_it() {
    let (_folder, path, mut book, job) = written();
    let long = "x".repeat(1 << 20);
    for _ in 0..12 {
        book.append(Place::Job(job), stamp(4), &[Draft::new(note(&long))]).unwrap();
    }
    drop(book);
    let bytes = std::fs::read(&path).unwrap();
    assert!(bytes.len() > 12 << 20);
    let cut = path.with_file_name("cut");
    std::fs::write(&cut, &bytes[..10 << 20]).unwrap();
    assert!(matches!(Book::open(&cut).map(|_| ()), Err(BookError::Damaged { .. })));
    assert_eq!(std::fs::metadata(&cut).unwrap().len(), 10 << 20);
    // Damage in the middle is no matter for opening, and for the full check.
    let mut spoilt = bytes;
    spoilt[5 << 20..6 << 20].fill(0xA5);
    let middle = path.with_file_name("middle");
    std::fs::write(&middle, &spoilt).unwrap();
    let (book, _) = Book::open(&middle).unwrap();
    assert!(!book.was_left_open());
    assert!(book.check().is_err());
}

#[test]
fn a_book_that_others_have_open_says_so() {
    let (_folder, path, mut book, job) = written();
    book.append(Place::Job(job), stamp(4), &[Draft::new(note("not folded in yet"))]).unwrap();
    let (second, _) = Book::open(&path).unwrap();
    assert!(second.was_left_open() && !second.is_read_only());
    drop((book, second));
    assert!(!Book::open(&path).unwrap().0.was_left_open());
}
