//! The shared write-up: what does not travel.

use crate::{AT, fill, reading, stamp};
use jobbook::{
    Alteration, Attachment, Body, Book, Condition, Consent, ContentHash, Custody, Did, Draft, EntryId, Finding, Headline,
    JobState, Kept, Note, Part, Place, Progress, Reading, SearchStep, Stage, Stamp, UnixSeconds, Work,
};
use proptest::prelude::*;
use std::collections::BTreeSet;
use tickover::{
    bench,
    exchange::write_up::{self, Wanted, picture},
};

/// A camera's JPEG and a program's PNG with words in EXIF, XMP, IPTC, comments and after the end; made with Pillow 12.
pub const CAMERA: &[u8] = include_bytes!("../pictures/camera.jpg");
const SCREEN: &[u8] = include_bytes!("../pictures/screen.png");

const OWNER: &str = "Mrs Quentine Okonkwo-Brandt";
const CONTACT: &str = "0171 555 0199, 7 Quarry Lane, quentine@oldmill.example";
const PLATE: &str = "HX-71 KLM";
const FRAME: &str = "PLW 125/004417";
/// A sentence with all of them, each spelt in several ways.
const PLANTED: &str = "Quentine OKONKWO's bike, Brandt; mrs okonkwo-brandt (QuentineOkonkwo), plate HX71KLM / hx 71-klm / H.X.7.1.K.L.M, \
     frame plw125004417, PLW-125-004417 or 004417, call +44 171 555-0199 or 01715550199, Quarry lane, quentine@oldmill.example, \
     Fergus and DeviceOfFergus looked, leave by Wilhelmina, job 2026-0001";

/// What must not be in any file, in small letters, as it stands and without signs between.
const TRACES: [&str; 14] = [
    "quentine",
    "okonkwo",
    "brandt",
    "hx71klm",
    "hx 71",
    "hx-71",
    "plw125",
    "004417",
    "5550199",
    "oldmill",
    "quarry",
    "fergus",
    "wilhelmina",
    "20260001",
];

/// A book in which every field of text has something planted.
fn planted() -> (Book, Vec<EntryId>) {
    let mut book = Book::in_memory().unwrap();
    let file = workshop::machine::EXAMPLES[0].1;
    let name = format!("Corran 360 of {PLANTED}");
    let file = file.replacen("name = \"Corran 360\"", &format!("name = \"{name}\""), 1);
    let file = format!(
        "# {PLANTED}\n{}",
        file.replace("with = \"", "with = \"Quentine's ").replacen("Quentine's bore gauge", "004417", 1)
    );
    assert!(file.contains(&name), "the example has its name where it is looked for");
    book.add("quentine-okonkwo", &Kept { name: &name, text: &file, note: PLANTED, at: AT }).unwrap();
    book.add_device("DeviceOfFergus", "digest", AT).unwrap();

    let machine = Place::Machine("quentine-okonkwo");
    let custody =
        |owner: &str| Custody { owner: owner.into(), contact: CONTACT.into(), plate: PLATE.into(), frame: FRAME.into() };
    let first = book.append(machine, stamp("Fergus"), &[Draft::new(custody("Wilhelmina Vex"))]).unwrap()[0].id;
    book.append(machine, stamp("Fergus"), &[Draft::new(custody(OWNER)).replacing(first)]).unwrap();

    let words = || PLANTED.to_owned();
    let headline = Headline { complaint: words(), odometer: words(), may_cut: words(), ..Headline::default() };
    let (job, _) = book.open_job("quentine-okonkwo", stamp("Fergus"), headline, Some("token")).unwrap();
    let attached = |hash: ContentHash, media: &str| Attachment {
        file: format!("{PLANTED}.jpg"),
        media: media.into(),
        hash,
        stage: Stage::AsFound,
        words: words(),
        reading: None,
    };
    let jpeg = book.keep_blob(CAMERA, AT).unwrap();
    let png = book.keep_blob(SCREEN, AT).unwrap();
    let other = book.keep_blob(b"HX71KLM", AT).unwrap();
    let planted = Reading {
        words: words(),
        place: words(),
        instrument: words(),
        condition: Some(Condition::Other(words())),
        ..reading("pickup.gap", "0.85 ± 0.05 mm")
    };
    let drafts = [
        Draft::new(planted.clone()),
        Draft::new(Reading { typed: words(), ..planted.clone() }),
        Draft::new(Reading { what: words(), ..planted.clone() }),
        Draft::new(Reading { unit: words(), ..planted }),
        Draft::new(Note { words: words(), about: words() }),
        Draft::new(Note { words: "not ticked, never written".into(), about: String::new() }),
        Draft::new(attached(jpeg, "image/png")),
        Draft::new(attached(png, &words())),
        Draft::new(attached(other, "image/jpeg")),
        Draft::new(Finding {
            study: words(),
            file_revision: 1,
            inputs: words(),
            program: words(),
            result: serde_json::json!({ PLANTED: [PLANTED, { "x": PLANTED }], "verdict": "steady" }),
            words: vec![words()],
        }),
        Draft::new(Alteration {
            work: words(),
            progress: Progress::Planned,
            words: words(),
            length_m: Some(0.0055),
            angle_rad: Some(0.1),
            irreversible: true,
            measured_after: Vec::new(),
        }),
        Draft::new(Part { name: words(), quantity: 1.0, price: None, source: words(), on: None }),
        Draft::new(Work { minutes: 5, words: words(), hourly: None }),
        Draft::new(SearchStep { complaint: words(), did: Did::Found, what: words(), words: words() }),
    ];
    let kept: Vec<EntryId> = book.append(Place::Job(job), stamp("Fergus"), &drafts).unwrap().iter().map(|a| a.id).collect();
    let consent = Consent { alteration: kept[10], risk: words(), by: "Wilhelmina".into(), how: words(), given_at: AT };
    book.append(Place::Job(job), stamp("Fergus"), &[Draft::new(consent)]).unwrap();
    (book, kept)
}

/// The letters and figures of a file in small letters, without signs.
fn bare(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

#[test]
fn nothing_of_the_owner_is_left_in_any_byte() {
    let (book, kept) = planted();
    let wanted =
        Wanted { notes: BTreeSet::from([kept[4]]), pictures: kept[6..9].iter().copied().collect(), also: vec!["Corran".into()] };
    let gathered = write_up::gather(&book, "2026-0001", &wanted).unwrap();
    let page = write_up::page(&gathered);
    for text in [page.clone(), bare(&page), page.replace("\\u003c", "<")] {
        let text = text.to_lowercase();
        for trace in TRACES {
            let found = text.find(trace).map(|at| text[at.saturating_sub(60)..].chars().take(140).collect::<String>());
            assert_eq!(found, None, "{trace}");
        }
    }
    assert!(!page.to_lowercase().contains("corran"), "words that were added");
    // In the pictures, once they are taken out of their coding.
    assert_eq!(gathered.pictures.len(), 2);
    for bytes in gathered.pictures.values() {
        for trace in ["Quentine", "HX71KLM", "GPS", "http", "Photoshop"] {
            assert!(!bytes.windows(trace.len()).any(|w| w == trace.as_bytes()), "{trace}");
        }
    }
    // What was taken out is told with its place, and what could not go in.
    assert!(gathered.taken.len() > 50, "{}", gathered.taken.len());
    let told = gathered.told().join("\n");
    assert!(
        told.contains("In the machine file, line 1: “") && told.contains("(frame number)") && told.contains("(job number)"),
        "{told}"
    );
    assert_eq!(gathered.left_out.len(), 3, "{:?}", gathered.left_out);
    assert!(!page.contains("never written"), "a note that was not ticked");
    // The readings are there, and the machine is still one.
    assert_eq!(
        gathered.write_up.readings.iter().map(|r| r.value.as_str()).collect::<Vec<_>>(),
        ["0.85 ± 0.05 mm", "0.850 ± 0.050 mm"]
    );
    assert!(page.contains("0.85 ± 0.05 mm") && page.contains("Content-Security-Policy"));
    assert!(workshop::machine::read(&gathered.write_up.machine).is_ok());
    let received = write_up::read(page.as_bytes()).unwrap();
    assert_eq!(received.write_up, gathered.write_up, "it carries the same as data");
    assert_eq!(received.pictures, gathered.pictures);
}

#[test]
fn nothing_goes_in_that_was_not_ticked() {
    let (book, _) = planted();
    let gathered = write_up::gather(&book, "2026-0001", &Wanted::default()).unwrap();
    assert!(gathered.write_up.notes.is_empty() && gathered.write_up.pictures.is_empty());
    assert_eq!((gathered.notes.len(), gathered.attachments.len()), (2, 3));
    assert!(!write_up::page(&gathered).contains("<img"));
}

#[test]
fn a_job_handed_over_has_the_file_that_it_left() {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    let headline = Headline { complaint: "x".into(), ..Headline::default() };
    let left = book.machine("corran-360").unwrap().newest;
    let at = |later: i64| UnixSeconds(left.at.0 + later);
    let (job, _) = book.open_job("corran-360", stamp(""), headline.clone(), None).unwrap();
    let gone = Headline { state: JobState::HandedOver, ..headline };
    let open = book.log(Place::Job(job)).unwrap()[0].id;
    book.append(Place::Job(job), Stamp { who: "", at: at(1) }, &[Draft::new(gone).replacing(open)]).unwrap();
    let later = format!("# next winter\n{}", left.text);
    book.save("corran-360", 1, &Kept { name: "Corran 360", text: &later, note: "", at: at(2) }).unwrap();
    let gathered = write_up::gather(&book, "2026-0001", &Wanted::default()).unwrap();
    assert_eq!(gathered.write_up.machine, left.text);
}

#[test]
fn figures_of_a_finding_are_no_words() {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    fill(&mut book);
    let finding = Finding {
        study: "idle".into(),
        file_revision: 1,
        inputs: String::new(),
        program: "0.1.0".into(),
        result: serde_json::json!({ "rpm": 1500, "said": "1500 here" }),
        words: Vec::new(),
    };
    book.append(Place::Job(book.job_by_number("2026-0001").unwrap().id), stamp(""), &[Draft::new(finding)]).unwrap();
    let wanted = Wanted { also: vec!["1500".into()], ..Wanted::default() };
    let gathered = write_up::gather(&book, "2026-0001", &wanted).unwrap();
    let result = &gathered.write_up.findings.last().unwrap().result;
    assert_eq!(result, &serde_json::json!({ "rpm": 1500, "said": "(taken out) here" }));
}

#[test]
fn no_file_is_written_that_our_own_reader_refuses() {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    let headline = Headline { complaint: "turned \u{202e}round".into(), ..Headline::default() };
    book.open_job("corran-360", stamp(""), headline, None).unwrap();
    let refused = write_up::gather(&book, "2026-0001", &Wanted::default()).unwrap().file().unwrap_err();
    let said = refused.words().join(" ");
    assert!(said.contains("could not be taken in") && said.contains("U+202E"), "{said}");
}

#[test]
fn a_name_hidden_in_an_escape_stops_the_write_up() {
    let mut book = Book::in_memory().unwrap();
    let file = workshop::machine::EXAMPLES[0].1.replacen("\"Corran 360\"", "\"Corran of \\u0051uentine\"", 1);
    book.add("c", &Kept { name: "C", text: &file, note: "", at: AT }).unwrap();
    book.append(Place::Machine("c"), stamp(""), &[Draft::new(Custody { owner: "Quentine".into(), ..Custody::default() })])
        .unwrap();
    book.open_job("c", stamp(""), Headline { complaint: "x".into(), ..Headline::default() }, None).unwrap();
    let refused = write_up::gather(&book, "2026-0001", &Wanted::default()).unwrap_err();
    assert!(matches!(refused, write_up::NotWritten::StillThere(_)), "{refused:?}");
}

#[test]
fn pictures_keep_what_draws_them_and_which_way_is_up() {
    let (kind, jpeg) = picture::bare(CAMERA).unwrap();
    assert_eq!(kind, picture::Kind::Jpeg);
    // Tag 274 with the value 6: turn to the right (JEITA CP-3451, 4.6.4 A).
    assert!(jpeg.windows(10).any(|w| w == [0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6]));
    assert!(jpeg.ends_with(&[0xFF, 0xD9]) && jpeg.len() < CAMERA.len());
    let (kind, png) = picture::bare(SCREEN).unwrap();
    assert_eq!((kind, picture::Kind::of(&png)), (picture::Kind::Png, Some(picture::Kind::Png)));
    assert!(png.ends_with(b"IEND\xAE\x42\x60\x82"));
    for (before, after) in [(CAMERA, &jpeg), (SCREEN, &png)] {
        assert_eq!(picture::bare(after).unwrap().1, *after, "done again it is the same");
        for cut in 0..before.len() {
            let _ = picture::bare(&before[..cut]);
        }
    }
    assert_eq!(picture::bare(b"GIF89a"), Err(picture::Unfit::Kind));
    assert_eq!(picture::bare(&CAMERA[..300]), Err(picture::Unfit::Broken));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn what_is_planted_anywhere_in_a_note_is_found(before in "[ -~äöü]{0,12}", after in "[ -~äöü]{0,12}") {
        let mut book = Book::in_memory().unwrap();
        bench::add_demos(&mut book).unwrap();
        let custody = Custody { owner: OWNER.into(), plate: PLATE.into(), frame: FRAME.into(), contact: CONTACT.into() };
        book.append(Place::Machine("tarn-500"), stamp(""), &[Draft::new(custody)]).unwrap();
        let complaint = format!("{before} okonkwo {after} {before}hx71klm{after} {after} h-x/71.klm {before}");
        book.open_job("tarn-500", stamp(""), Headline { complaint, ..Headline::default() }, None).unwrap();
        let page = write_up::page(&write_up::gather(&book, "2026-0001", &Wanted::default()).unwrap());
        for trace in ["okonkwo", "hx71klm", "h-x/71"] {
            prop_assert!(!page.to_lowercase().contains(trace), "{}", trace);
        }
    }
}

#[test]
fn every_kind_of_entry_is_planted() {
    let (book, _) = planted();
    let log = book.log(Place::Job(book.job_by_number("2026-0001").unwrap().id)).unwrap();
    let there = |name: &str| log.iter().any(|e| e.body.kind_name() == name);
    // Those that are no part of a job, or hold no words.
    let elsewhere = ["custody", "instrument", "reminder", "file_revision", "withdrawn"];
    for kind in jobbook::Kind::ALL.iter().map(|k| k.name()).filter(|k| !elsewhere.contains(k)) {
        assert!(there(kind), "{kind}");
    }
    assert!(log.iter().all(|e| !matches!(e.body, Body::Unknown(_))));
}
