//! Recordings that a job keeps, in the search for its fault: heard beside the page, counted when they were heard, and the same for the command.

mod asked;
mod common;

use asked::{json, tickover};
use common::{ask, demos, get, post, serve};
use jobbook::{Attachment, Blob, Book, Draft, Headline, Media, Place, Stage, Stamp, UnixSeconds};
use serde_json::Value;
use std::{
    net::SocketAddr,
    path::Path,
    time::{Duration, Instant},
};
use tickover::bench;

/// Nothing here is heard for as long.
const PATIENCE: Duration = Duration::from_secs(120);

/// Opens a job of the Corran that keeps these files; its number.
fn job(book: &mut Book, files: &[(&str, Stage, &[u8])]) -> String {
    let stamp = |n: i64| Stamp { who: "E.", at: UnixSeconds(n) };
    let headline = Headline { complaint: "cuts out".to_owned(), ..Headline::default() };
    let (job, _) = book.open_job("corran-360", stamp(1), headline, None).unwrap();
    for (n, (file, stage, bytes)) in files.iter().enumerate() {
        let blob = Blob::new(bytes.to_vec()).unwrap();
        let attachment = Attachment {
            file: (*file).to_owned(),
            media: Media::Wav.name().to_owned(),
            hash: blob.hash().clone(),
            stage: *stage,
            words: "recording".to_owned(),
            reading: None,
        };
        book.attach(Place::Job(job), stamp(2 + n as i64), Draft::new(attachment), &blob).unwrap();
    }
    book.job(job).unwrap().number
}

fn begun(at: SocketAddr, number: &str, complaint: &str) {
    let begin = [("complaint", complaint), ("did", ""), ("who", ""), ("token", complaint)];
    assert_eq!(post(at, &format!("/job/{number}/fault"), &begin).status, 303);
}

/// The page of a search once all was heard.
fn heard(at: SocketAddr, number: &str) -> String {
    let since = Instant::now();
    loop {
        let page = get(at, &format!("/job/{number}/fault"));
        if !page.contains("data-hearing") {
            return page;
        }
        assert!(page.contains("is being heard"), "{page}");
        let now = ask(at, "GET", &format!("/job/{number}/fault/hearing"), "", b"").json();
        let share = now["share"].as_f64().expect("a share");
        assert!((0.0..=1.0).contains(&share), "{now}");
        assert!(since.elapsed() < PATIENCE, "it is never heard");
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn chance(answer: &Value, cause: &str) -> f64 {
    let causes = answer["fault"]["causes"].as_array().expect("causes");
    causes.iter().find(|c| c["cause"] == cause).unwrap_or_else(|| panic!("{cause}"))["chance_share"].as_f64().unwrap()
}

fn signature(answer: &Value, of: &str) -> Value {
    let all = answer["fault"]["signatures"].as_array().expect("signatures");
    all.iter().find(|s| s["of"] == of).unwrap_or_else(|| panic!("{of}: {all:?}")).clone()
}

/// A recording that is kept with a job counts by itself, on the page and for the command; one that was made as the machine was left does not, and what cannot
/// be heard is told.
#[test]
fn recordings_of_a_job_count_in_its_search() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (wav, path) = (at("ride.wav"), at("book.tickover"));
    let made = ["synthesize", "corran-360.toml", &wav, "--seconds", "12", "--missing", "0.1", "--seed", "5"];
    assert!(tickover(&made).status.success());
    let bytes = std::fs::read(&wav).unwrap();
    let hiss = include_bytes!("../../jobbook/tests/files/run.wav");
    let number = {
        let (mut book, _) = Book::open(Path::new(&path)).unwrap();
        bench::add_demos(&mut book).unwrap();
        let files = [("ride.wav", Stage::AsFound, &bytes[..]), ("hiss.wav", Stage::AsFound, hiss)];
        let number = job(&mut book, &files);
        let (at, _) = serve("127.0.0.1", book);
        begun(at, &number, "cuts-on-bumps");
        let page = heard(at, &number);
        assert!(page.contains("Recorded firings, for those that are missing"), "{page}");
        assert!(page.contains("The recording “hiss.wav” does not count"), "{page}");
        number
    };
    let out = tickover(&["fault", "corran-360.toml", "--job", &number, "--book", &path, "--json"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(String::from_utf8_lossy(&out.stderr).contains("hiss.wav"));
    let of_job: Value = serde_json::from_slice(&out.stdout).unwrap();
    let of_file = json(&["fault", "corran-360.toml", "--complaint", "cuts-on-bumps", "--recording", &wav, "--json"]);
    let missing = signature(&of_file, "recorded_missing");
    assert_eq!(signature(&of_job, "recorded_missing"), missing, "the same file says the same");
    let each = missing["likelihoods"].as_array().unwrap();
    assert!(each.iter().all(|l| l["likelihood"].as_f64() > missing["anything_else"].as_f64()));
    let none = tickover(&["fault", "corran-360.toml", "--complaint", "cuts-on-bumps", "--recording", &at("none.wav"), "--json"]);
    assert!(none.status.code() == Some(1) && String::from_utf8_lossy(&none.stderr).contains("none.wav"));
}

/// While a recording is heard the page answers without it and says so; nothing is cut meanwhile; the fault sheet waits.
#[test]
fn a_page_does_not_wait_for_what_is_being_heard() {
    let folder = tempfile::tempdir().unwrap();
    let wav = folder.path().join("long.wav");
    let made = ["synthesize", "corran-360.toml", wav.to_str().unwrap(), "--seconds", "120", "--exhaust", "--run", "blip"];
    assert!(tickover(&made).status.success());
    let bytes = std::fs::read(&wav).unwrap();
    let mut book = demos();
    let number = job(&mut book, &[("long.wav", Stage::AsFound, &bytes)]);
    let (at, _) = serve("127.0.0.1", book);
    begun(at, &number, "revs-hang");
    let first = get(at, &format!("/job/{number}/fault"));
    // Two minutes of sound are not heard in the time of one answer.
    assert!(first.contains("The recording “long.wav” is being heard") && first.contains("class=\"verdict\""), "{first}");
    let cut = [("complaint", "revs-hang"), ("did", "curve-steep=put-right"), ("who", ""), ("token", "cut")];
    let refused = post(at, &format!("/job/{number}/fault"), &cut);
    assert!(refused.status == 422 && refused.text().contains("may be put right without cutting"), "{}", refused.text());
    let pdf = ask(at, "GET", &format!("/job/{number}/fault.pdf"), "", b"");
    assert!(pdf.status == 200 && pdf.body.starts_with(b"%PDF"));
    let now = ask(at, "GET", &format!("/job/{number}/fault/hearing"), "", b"").json();
    assert_eq!((&now["state"], &now["share"]), (&"ended".into(), &1.0.into()));
    assert!(!get(at, &format!("/job/{number}/fault")).contains("data-hearing"));
}

/// Made by SciPy (`reference/recording/make.py`): two pickups over gaps of 0.6 and 0.9 mm, so that one is half as high and wider. The gap is the likelier for it, the winding
/// less likely beside it.
#[test]
fn two_recorded_pickups_tell_the_wider_gap() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.tickover");
    let wav = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/pickups.wav")).unwrap();
    let (mut book, _) = Book::open(&path).unwrap();
    bench::add_demos(&mut book).unwrap();
    let number = job(&mut book, &[("both.wav", Stage::AsFound, &wav)]);
    let (at, _) = serve("127.0.0.1", book);
    begun(at, &number, "one-cyl-high");
    assert!(heard(at, &number).contains("The peaks of two recorded pickups"));
    let book = path.to_str().unwrap();
    let with = json(&["fault", "corran-360.toml", "--job", &number, "--book", book, "--json"]);
    let without = json(&["fault", "corran-360.toml", "--complaint", "one-cyl-high", "--json"]);
    let (gap, before) = (chance(&with, "pickup-gap-wide"), chance(&without, "pickup-gap-wide"));
    assert!(gap > 2.0 * before, "{gap} {before}");
    assert!(
        signature(&with, "recorded_pickups")["likelihoods"]
            .as_array()
            .unwrap()
            .iter()
            .any(|l| { l["cause"] == "pickup-gap-wide" && l["likelihood"].as_f64() > Some(0.9) })
    );
}

/// The exhaust of an engine that hangs after a blip, heard for a machine whose file says nothing of a hang: the idle study rests where it was heard, so the curve is the likelier
/// for it. Where the file has the hang, that is weighed and the recording not a second time.
#[test]
fn a_hang_that_is_heard_makes_the_curve_likelier() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (wav, file, book) = (at("blip.wav"), at("corran.toml"), at("book.tickover"));
    let made = [
        "synthesize",
        "corran-360.toml",
        &wav,
        "--exhaust",
        "--run",
        "blip",
        "--seconds",
        "40",
        "--samples",
        "16000",
        "--noise",
        "12",
        "--fastest",
        "4500",
        "--sweep-rate",
        "3000",
    ];
    assert!(tickover(&made).status.success());
    let text = include_str!("../../../examples/corran-360.toml");
    let silent: String = text.lines().filter(|l| !l.starts_with("hangs_at")).map(|l| format!("{l}\n")).collect();
    assert!(silent.len() < text.len());
    std::fs::write(&file, silent).unwrap();
    let asked = |file: &str, more: &[&str]| {
        let all = ["fault", file, "--complaint", "revs-hang", "--idle", "--book", &book, "--json"];
        json(&[&all, more].concat())
    };
    let (without, with) = (asked(&file, &[]), asked(&file, &["--recording", &wav]));
    let (before, after) = (chance(&without, "curve-steep"), chance(&with, "curve-steep"));
    let odds = |chance: f64| chance / (1.0 - chance);
    assert!(odds(after) > 2.0 * odds(before), "{before} {after}");
    let noted = asked("corran-360.toml", &["--recording", &wav]);
    let of: Vec<&str> = noted["fault"]["signatures"].as_array().unwrap().iter().map(|s| s["of"].as_str().unwrap()).collect();
    assert!(of.contains(&"hang") && !of.contains(&"recorded_hang"), "{of:?}");
    // Kept with a job it says the same.
    let bytes = std::fs::read(&wav).unwrap();
    let number = {
        let (mut kept, _) = Book::open(Path::new(&book)).unwrap();
        bench::add_demos(&mut kept).unwrap();
        let number = job(&mut kept, &[("blip.wav", Stage::AsFound, &bytes)]);
        let (at, _) = serve("127.0.0.1", kept);
        begun(at, &number, "revs-hang");
        number
    };
    let of_job = json(&["fault", &file, "--job", &number, "--idle", "--book", &book, "--json"]);
    assert_eq!(signature(&of_job, "recorded_hang"), signature(&with, "recorded_hang"));
    assert_eq!(chance(&of_job, "curve-steep"), after);
}
