//! Jobs on the page, asked without a browser.

mod common;

use common::{ask, fresh, get, post, serve};
use jobbook::Book;
use std::net::SocketAddr;
use tickover::bench;

/// A job on the Corran with this complaint; its address.
fn opened(at: SocketAddr, complaint: &str) -> String {
    let token = format!("token of {complaint}");
    let answer = post(at, "/machine/corran-360/jobs", &[("complaint", complaint), ("who", "E."), ("token", &token)]);
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").unwrap().to_owned()
}

fn reading<'a>(stage: &'a str, value: &'a str, token: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("stage", stage),
        ("what", "pickup.gap"),
        ("value", value),
        ("place", "left"),
        ("instrument", "feeler"),
        ("who", "E."),
        ("token", token),
    ]
}

/// Value of the hidden field `replaces` in the form that begins with this action.
fn replaces(page: &str, action: &str) -> String {
    let (_, form) = page.split_once(&format!("action=\"{action}\"")).expect("the form");
    let (_, value) = form.split_once("name=\"replaces\" value=\"").expect("it says what it replaces");
    value.split('"').next().unwrap().to_owned()
}

#[test]
fn a_job_goes_from_complaint_to_hand_over_and_nothing_is_lost() {
    let at = fresh();
    let job = opened(at, "Hangs at 2500 <b>when warm</b>");
    assert!(get(at, "/").contains(&job), "on the first page");
    let card = get(at, &job);
    assert!(card.contains("Hangs at 2500 &lt;b&gt;when warm&lt;/b&gt;") && !card.contains("<b>when"), "text is shown as text");

    for (stage, value, token) in [("as_found", "0,85 ± 0.05 mm", "1"), ("as_left", "0.55 ± 0.05 mm", "2")] {
        assert_eq!(post(at, &format!("{job}/reading"), &reading(stage, value, token)).status, 303);
    }
    let card = get(at, &job);
    assert!(card.contains("0,85 ± 0.05 mm") && card.contains("0.55 ± 0.05 mm"), "as found stands beside as left");
    assert!(card.contains("<option value=\"feeler\">"), "the instrument is remembered");

    // A wrong reading is explained where it was typed, and not kept.
    let wrong = post(at, &format!("{job}/reading"), &reading("as_left", "0.55 V", "3"));
    assert_eq!(wrong.status, 422);
    assert!(wrong.text().contains("id=\"value-error\"") && wrong.text().contains("value=\"0.55 V\""));
    assert_eq!(
        post(
            at,
            &format!("{job}/reading"),
            &[("stage", "as_left"), ("what", "nothing"), ("value", "1 mm"), ("who", ""), ("token", "4")]
        )
        .status,
        422
    );

    // The device's clock says when it was typed; a time that no calendar has is refused.
    for (taken_at, status) in [("1700000000", 303), ("-1", 422), ("9223372036854775807", 422)] {
        let mut typed = reading("during", "0.70 ± 0.05 mm", taken_at);
        typed.push(("taken_at", taken_at));
        assert_eq!(post(at, &format!("{job}/reading"), &typed).status, status, "{taken_at}");
    }

    // Sent twice, kept once, though the clock has gone on.
    std::thread::sleep(std::time::Duration::from_millis(1100));
    let again = post(at, &format!("{job}/reading"), &reading("as_left", "0.55 ± 0.05 mm", "2"));
    assert_eq!(again.status, 303);
    assert_eq!(get(at, &job).matches("0.55 ± 0.05 mm").count(), card.matches("0.55 ± 0.05 mm").count());

    assert_eq!(
        post(at, &format!("{job}/note"), &[("words", "mist on the stub: no change"), ("who", "E."), ("token", "5")]).status,
        303
    );
    let due = [("what", "magnet glue"), ("due", "2020-02-29"), ("who", "E."), ("token", "6")];
    assert_eq!(post(at, &format!("{job}/reminder"), &due).status, 303);
    assert_eq!(
        post(at, &format!("{job}/reminder"), &[("what", "x"), ("due", "2021-02-29"), ("who", ""), ("token", "7")]).status,
        422
    );
    assert!(get(at, "/").contains("2020-02-29: magnet glue"), "what is due stands on the first page");

    let card = get(at, &job);
    let stand = [
        ("complaint", "Hangs at 2500"),
        ("state", "handed_over"),
        ("replaces", &replaces(&card, &format!("{job}/headline"))),
        ("who", "E."),
    ];
    assert_eq!(post(at, &format!("{job}/headline"), &stand).status, 303);
    let card = get(at, &job);
    assert!(card.contains("handed over") && card.contains("when warm"), "what it was stays in the log");
    assert!(get(at, "/machine/corran-360/jobs").contains("Hangs at 2500"));
    assert!(card.contains(&format!("{job}/paper/hand-over.pdf")));
    for paper in ["job-sheet", "readings", "hand-over", "shop-record", "label"] {
        let answer = ask(at, "GET", &format!("{job}/paper/{paper}.pdf"), "", b"");
        assert!(answer.status == 200 && answer.body.starts_with(b"%PDF-"), "{paper}");
    }
    for file in ["hand-over", "..%2fsecret.pdf", "nothing.pdf"] {
        assert_eq!(ask(at, "GET", &format!("{job}/paper/{file}"), "", b"").status, 404, "{file}");
    }
}

/// What stands in a field of a page.
fn value_of<'p>(page: &'p str, name: &str) -> &'p str {
    let (_, field) = page.split_once(&format!(" name=\"{name}\" value=\"")).expect("the field");
    field.split('"').next().unwrap()
}

#[test]
fn what_an_instrument_showed_last_is_filled_in_and_seen_before_it_is_kept() {
    let at = fresh();
    let job = opened(at, "Hangs");
    let to = format!("{job}/reading");
    // However the ± is spelled.
    assert_eq!(post(at, &to, &reading("as_found", "0,85 mm +/- 0.05", "a")).status, 303);
    for (typed, filled) in [
        ("0,55", "0,55 ± 0.05 mm"),
        ("0.55 mm", "0.55 mm ± 0.05 mm"),
        ("0.55 ± 0.1", "0.55 ± 0.1 mm"),
        ("0.022 in", "0.022 in ± 0.05 mm"),
    ] {
        let shown = post(at, &to, &reading("as_left", typed, "b"));
        let page = shown.text();
        assert_eq!((shown.status, value_of(&page, "value")), (422, filled), "{typed}");
        assert!(page.contains("Not kept yet") && page.contains("“feeler”") && !page.contains("id=\"value-error\""), "{typed}");
        assert!(page.contains("id=\"stage-as_left\" type=\"radio\" name=\"stage\" value=\"as_left\" checked"));
        assert_eq!(value_of(&page, "offered"), "feeler", "the form says that it was shown");
    }
    assert!(get(at, &job).contains("one reading"), "none of them was kept");
    // With the ± beside it this could be twelve hundred; the question comes first.
    let unclear = post(at, &to, &reading("as_left", "1,200", "b"));
    assert!(unclear.status == 422 && unclear.text().contains("id=\"value-error\"") && !unclear.text().contains("Not kept yet"));

    // Seen and sent again it is kept as it stands there, with the ± or without.
    for (typed, token) in [("0,55 ± 0.05 mm", "b"), ("0.60 mm", "c")] {
        let mut seen = reading("as_left", typed, token);
        seen.push(("offered", "feeler"));
        assert_eq!(post(at, &to, &seen).status, 303);
        assert_eq!(post(at, &to, &seen).status, 303, "and twice is once");
    }
    let card = get(at, &job);
    assert!(card.contains("3 readings") && card.contains("<div>0.60 mm<"), "nothing was added in silence");
    // A feeler gauge of the same name for another gap; nothing is known of it for volts.
    let other = |what, value| {
        let pairs =
            [("stage", "during"), ("what", what), ("value", value), ("instrument", "feeler"), ("who", "E."), ("token", "d")];
        post(at, &to, &pairs)
    };
    assert_eq!(value_of(&other("plug.gap", "0.7").text(), "value"), "0.7 ± 0.05 mm");
    assert!(other("battery.rest", "12.6").text().contains("id=\"value-error\""));
}

#[test]
fn after_a_reading_the_form_is_ready_for_the_next_and_the_last_can_be_undone() {
    let at = fresh();
    let job = opened(at, "Hangs");
    let mut first = reading("during", "0.85 ± 0.05 mm", "mark/1 &c");
    first.extend([("condition", "still"), ("temperature", "20 °C")]);
    let kept = post(at, &format!("{job}/reading"), &first);
    assert_eq!(kept.header("location"), Some(format!("{job}?sent=mark%2F1+%26c#value").as_str()));
    let page = get(at, &format!("{job}?sent=mark%2F1+%26c"));
    assert!(page.contains("Kept: Reading during the work: Pickup gap, left: 0.85 ± 0.05 mm"));
    assert!(page.contains("value=\"during\" checked"), "the stage stays");
    assert!(page.contains("<option value=\"pickup.gap\" selected"));
    assert_eq!((value_of(&page, "place"), value_of(&page, "instrument")), ("left", "feeler"));
    assert!(page.contains("<option value=\"still\" selected"));
    assert_eq!(
        (value_of(&page, "value"), value_of(&page, "temperature")),
        ("", ""),
        "what changes every time is typed every time"
    );
    let (_, undo) = page.split_once("class=\"row kept\"").unwrap();
    let entry = value_of(undo, "entry").to_owned();
    let undone = post(at, &format!("{job}/undo"), &[("entry", &entry), ("who", "E."), ("then", "measure")]);
    assert_eq!(undone.header("location"), Some(format!("{job}#measure").as_str()));
    let page = get(at, &format!("{job}?sent=mark%2F1+%26c"));
    assert!(page.contains("0 readings") && page.contains("taken back since"));
    // Another job's mark shows nothing here.
    let other = opened(at, "Other");
    assert!(!get(at, &format!("{other}?sent=mark%2F1+%26c")).contains("Kept:"));
}

#[test]
fn the_second_of_two_devices_is_shown_the_conflict() {
    let at = fresh();
    let job = opened(at, "No spark");
    let was = replaces(&get(at, &job), &format!("{job}/headline"));
    let stand = |complaint| {
        post(at, &format!("{job}/headline"), &[("complaint", complaint), ("state", "open"), ("replaces", &was), ("who", "A.")])
    };
    assert_eq!(stand("No spark when hot").status, 303);
    let second = stand("No spark at all");
    assert_eq!(second.status, 409);
    assert!(second.text().contains("A."), "who was first: {}", second.text());
    assert!(get(at, &job).contains("No spark when hot"));
}

#[test]
fn what_cannot_be_undone_waits_for_the_owner() {
    let at = fresh();
    let job = opened(at, "Hangs");
    let plan = [
        ("words", "trailing end of the segment"),
        ("length", "5,5 ± 0.2 mm"),
        ("irreversible", "yes"),
        ("who", "E."),
        ("token", "p"),
    ];
    assert_eq!(post(at, &format!("{job}/alteration"), &plan).status, 303);
    let card = get(at, &job);
    let (before, form) = card.split_once(&format!("action=\"{job}/consent\"")).expect("it asks for leave");
    assert!(before.contains("class=\"caution\""), "the caution stands before the step");
    let (_, entry) = form.split_once("name=\"entry\" value=\"").unwrap();
    let entry = entry.split('"').next().unwrap();
    let step =
        |entry: &str, progress| post(at, &format!("{job}/step"), &[("entry", entry), ("progress", progress), ("who", "E.")]);
    assert_eq!(step(entry, "done").status, 422, "not without leave");
    let leave = |by, how, token| {
        post(at, &format!("{job}/consent"), &[("entry", entry), ("by", by), ("how", how), ("who", "E."), ("token", token)]).status
    };
    assert_eq!((leave("", "signed", "1"), leave("Owner", "", "2"), leave("Owner", "signed", "3")), (422, 422, 303));
    assert_eq!(step(entry, "done").status, 303);
    let card = get(at, &job);
    assert!(
        card.contains("<strong>Done</strong>") && card.contains("Leave given by Owner, signed"),
        "leave stays with what was done"
    );
    assert_eq!(step(entry, "given_up").status, 409, "somebody was faster");
    // Other work waits for leave of its own.
    let other = [("words", "lighten the rotor"), ("irreversible", "yes"), ("who", "E."), ("token", "q")];
    assert_eq!(post(at, &format!("{job}/alteration"), &other).status, 303);
    assert!(get(at, &job).contains("leave is missing for 1"));
}

#[test]
fn undoing_is_no_way_round_the_owners_leave() {
    let at = fresh();
    let job = opened(at, "Hangs");
    let card = |path: &str, pairs: &[(&str, &str)]| {
        assert_eq!(post(at, &format!("{job}/{path}"), pairs).status, 303);
        get(at, &job)
    };
    let entry_in = |from: &str, mark: &str| {
        let (_, after) = from.split_once(mark).unwrap();
        let (_, value) = after.split_once("name=\"entry\" value=\"").unwrap();
        value.split('"').next().unwrap().to_owned()
    };
    let planned = card("alteration", &[("words", "the cut"), ("irreversible", "yes"), ("who", "E."), ("token", "p")]);
    let entry = entry_in(&planned, &format!("action=\"{job}/consent\""));
    card("consent", &[("entry", &entry), ("by", "Owner"), ("how", "signed"), ("who", "E."), ("token", "l")]);
    card("step", &[("entry", &entry), ("progress", "done"), ("who", "E.")]);
    let undo = |line: &str| {
        let page = get(at, &job);
        let (_, log) = page.split_once("id=\"log\"").unwrap();
        post(at, &format!("{job}/undo"), &[("entry", &entry_in(log, line)), ("who", "E.")]).status
    };
    // Undone, leave taken back, and the undoing undone: it would stand as done without leave.
    assert_eq!((undo("Done: the cut"), undo("Leave given by"), undo("Planned: the cut")), (303, 303, 422));
}

#[test]
fn what_was_written_is_undone_and_redone() {
    let at = fresh();
    let job = opened(at, "Kicks back");
    post(at, &format!("{job}/reading"), &reading("as_found", "0.90 ± 0.05 mm", "a"));
    let undo = |page: &str| {
        let (_, form) = page.split_once(&format!("action=\"{job}/undo\"")).expect("a button to undo");
        let (_, value) = form.split_once("name=\"entry\" value=\"").unwrap();
        post(at, &format!("{job}/undo"), &[("entry", value.split('"').next().unwrap()), ("who", "E.")])
    };
    assert_eq!(undo(&get(at, &job)).status, 303);
    let card = get(at, &job);
    assert!(
        card.contains("0 readings") && card.contains("Taken back") && card.contains("0.90 ± 0.05 mm"),
        "gone from the table, not from the log"
    );
    assert_eq!(undo(&card).status, 303);
    assert!(get(at, &job).contains("one reading"));
    // Another job's entry is not this one's to undo.
    let other = opened(at, "Other");
    assert_eq!(post(at, &format!("{other}/undo"), &[("entry", "2"), ("who", "")]).status, 422);
}

#[test]
fn everything_is_found_by_the_beginnings_of_words() {
    let at = fresh();
    let job = opened(at, "Misfires under load");
    let whose = [("owner", "Widow O’Brien"), ("plate", "ÄB 12"), ("contact", ""), ("frame", ""), ("who", "")];
    assert_eq!(post(at, "/machine/corran-360/whose", &whose).status, 303);
    for typed in ["misf", "LOAD+corr", "brien", "ab+12", &job[5..]] {
        assert!(get(at, &format!("/find?q={typed}")).contains(&job), "{typed}");
    }
    for typed in ["", "%22", "NEAR(", "*", "zz%00q", "tarn+misf"] {
        assert!(!get(at, &format!("/find?q={typed}")).contains(&job), "{typed}");
    }
    assert_eq!(ask(at, "GET", "/job/2020-9999", "", b"").status, 404);
    // Who it is may be changed, and the second of two who change it is told.
    let was = replaces(&get(at, "/machine/corran-360/jobs"), "/machine/corran-360/whose");
    let with = |owner| post(at, "/machine/corran-360/whose", &[("owner", owner), ("replaces", &was), ("who", "")]).status;
    assert_eq!((with("A"), with("B")), (303, 409));
}

/// Runs the program and gives whether it was content, and what it said.
fn run(args: &[&str], files: [&std::path::Path; 2]) -> (bool, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_tickover"));
    let out = command.args(args).arg(files[0]).arg("--book").arg(files[1]).output().unwrap();
    (out.status.success(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

#[test]
fn a_book_is_backed_up_and_restored_while_it_is_in_use() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("b.sqlite"), folder.path().join("copy"));
    assert!(!run(&["backup"], [&copy, &path]).0, "no book, no backup");
    let (mut book, _) = Book::open(&path).unwrap();
    bench::add_demos(&mut book).unwrap();
    let (saved, said) = run(&["backup"], [&copy, &path]);
    assert!(saved && said.contains("3 machines"), "{said}");
    let (saved, said) = run(&["backup"], [&copy, &path]);
    assert!(!saved, "an existing file is left alone: {said}");

    let at = jobbook::UnixSeconds(1_800_000_000);
    let stamp = jobbook::Stamp { who: "E.", at };
    let headline = jobbook::Headline { complaint: "No spark".to_owned(), ..jobbook::Headline::default() };
    book.open_job("tarn-500", stamp, headline, None).unwrap();
    let (restored, said) = run(&["restore"], [&copy, &path]);
    assert!(restored, "{said}");
    // The book that stayed open sees what was restored; what was there before is beside it.
    assert!(book.jobs_of("tarn-500").unwrap().is_empty());
    let before = said.rsplit(' ').next().unwrap().trim();
    assert_eq!(Book::open(std::path::Path::new(before)).unwrap().0.jobs_of("tarn-500").unwrap().len(), 1);

    let foreign = folder.path().join("foreign");
    std::fs::write(&foreign, "not a book").unwrap();
    assert!(!run(&["restore"], [&foreign, &path]).0);
    assert_eq!(book.machines().unwrap().len(), 3);
}

#[test]
fn a_long_list_has_pages_and_begins_no_work_of_its_own() {
    let mut book = Book::in_memory().unwrap();
    let (_, text) = workshop::machine::EXAMPLES[0];
    for n in 0..45 {
        let kept = jobbook::Kept { name: &format!("Machine {n:02}"), text, note: "", at: jobbook::UnixSeconds(0) };
        book.add(&format!("machine-{n}"), &kept).unwrap();
    }
    let (at, _) = serve("127.0.0.1", book);
    let mut seen = 0;
    let mut next = Some("/".to_owned());
    while let Some(path) = next {
        let page = get(at, &path);
        assert!(!page.contains("data-waiting"), "{path}: work was begun");
        seen += page.matches("<h2><a href=\"/machine/machine-").count();
        next = page.split_once("More machines</a>").map(|(before, _)| {
            let (_, href) = before.rsplit_once("href=\"").unwrap();
            href.split('"').next().unwrap().to_owned()
        });
    }
    assert_eq!(seen, 45);
}

#[test]
fn damage_is_looked_for_and_told_on_the_first_page() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("b.sqlite");
    let (mut book, _) = Book::open(&path).unwrap();
    bench::add_demos(&mut book).unwrap();
    let stamp = jobbook::Stamp { who: "", at: jobbook::UnixSeconds(0) };
    let headline = jobbook::Headline { complaint: "No spark".to_owned(), ..jobbook::Headline::default() };
    let (job, _) = book.open_job("tarn-500", stamp, headline, None).unwrap();
    // More than is looked through when a book is opened.
    for n in 0..12 {
        let words = "x".repeat(1 << 20);
        let note = jobbook::Draft::new(jobbook::Note { words, about: n.to_string() });
        book.append(jobbook::Place::Job(job), stamp, &[note]).unwrap();
    }
    drop(book);
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[5 << 20..6 << 20].fill(0xA5);
    std::fs::write(&path, bytes).unwrap();
    let (at, bench) = serve("127.0.0.1", Book::open(&path).unwrap().0);
    let told = || get(at, "/").contains("role=\"alert\"");
    assert!(!told(), "nobody has looked yet");
    bench.look_through(path);
    let begun = std::time::Instant::now();
    while !told() {
        assert!(begun.elapsed() < std::time::Duration::from_secs(30), "the damage was not told");
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
}
