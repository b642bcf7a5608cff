//! A write-up of another workshop: what is kept of it, and what is refused.

use crate::{AT, fill, stamp, write_up::CAMERA};
use jobbook::{Attachment, Book, ContentHash, Draft, Note, Origin, Place, Stage, Stamp};
use proptest::prelude::*;
use std::collections::BTreeSet;
use tickover::{
    bench,
    exchange::write_up::{self, Fault, Wanted, picture},
};

/// A write-up as another workshop would have made it.
fn from_elsewhere() -> String {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    let job = fill(&mut book);
    let hash = book.keep_blob(CAMERA, AT).unwrap();
    let picture = Attachment {
        file: "a.jpg".into(),
        media: "image/jpeg".into(),
        hash,
        stage: Stage::AsLeft,
        words: "rotor <b>".into(),
        reading: None,
    };
    let noted = [Draft::new(picture), Draft::new(Note { words: "plug <script>alert(1)</script>".into(), about: String::new() })];
    let kept = book.append(Place::Job(job), Stamp { who: "E.", at: AT }, &noted).unwrap();
    let wanted = Wanted { notes: BTreeSet::from([kept[1].id]), pictures: BTreeSet::from([kept[0].id]), ..Wanted::default() };
    write_up::page(&write_up::gather(&book, "2026-0001", &wanted).unwrap())
}

#[test]
fn a_write_up_becomes_a_machine_and_a_job_of_its_own_once() {
    let page = from_elsewhere();
    assert!(!page.contains("<script>alert") && !page.contains("rotor <b>"), "text is shown as text");
    let received = write_up::read(page.as_bytes()).unwrap();
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    let before = book.machine("corran-360").unwrap();

    let kept = write_up::keep(&mut book, &received, stamp("M.")).unwrap();
    assert!(!kept.again);
    assert_eq!((kept.job.machine.as_str(), kept.job.headline.write_up.as_ref()), ("corran-360-2", Some(&received.file)));
    assert_eq!(kept.job.headline.complaint, "Hangs at 2500 <b>warm</b>");
    assert_eq!(book.machine("corran-360").unwrap(), before, "what was there is not touched");
    let present = book.present(Place::Job(kept.job.id)).unwrap();
    let readings: Vec<_> = present.readings().map(|(_, r)| (r.stage, r.typed.as_str(), r.value_si, r.origin)).collect();
    assert_eq!(
        readings,
        [(Stage::AsFound, "0,85 ± 0.05 mm", 0.85e-3, Origin::Shared), (Stage::AsLeft, "0.55 ± 0.05 mm", 0.55e-3, Origin::Shared)]
    );
    let notes: Vec<_> = present.notes().map(|(_, n)| n.words.as_str()).collect();
    assert!(notes[0].starts_with("From another workshop") && notes[1].contains("<script>"), "{notes:?}");
    let (_, picture) = present.attachments().next().unwrap();
    assert_eq!(book.blob(&picture.hash).unwrap(), picture::bare(CAMERA).unwrap().1);
    assert_eq!(present.consents().count(), 0, "nobody here was asked");

    let again = write_up::keep(&mut book, &received, stamp("M.")).unwrap();
    assert!(again.again && again.job.id == kept.job.id);
    assert_eq!(write_up::kept_before(&book, &received).unwrap().map(|j| j.id), Some(kept.job.id));
}

fn faults(page: &str) -> Vec<Fault> {
    write_up::read(page.as_bytes()).unwrap_err()
}

/// The page with something else in its data.
fn with(page: &str, change: impl FnOnce(&mut serde_json::Value)) -> String {
    let block = "id=\"tickover-write-up\">";
    let from = page.find(block).unwrap() + block.len();
    let to = from + page[from..].find("</script>").unwrap();
    let mut data: serde_json::Value = serde_json::from_str(&page[from..to]).unwrap();
    change(&mut data);
    format!("{}{}{}", &page[..from], data.to_string().replace('<', "\\u003c"), &page[to..])
}

#[test]
fn a_write_up_that_was_tampered_with_is_refused_with_a_sentence() {
    let page = from_elsewhere();
    assert!(write_up::read(with(&page, |_| {}).as_bytes()).is_ok());
    let deep = (0..100).fold(serde_json::json!(1), |inner, _| serde_json::json!([inner]));
    type Change<'c> = Box<dyn FnOnce(&mut serde_json::Value) + 'c>;
    let changes: Vec<(Change, &str)> = vec![
        (Box::new(|d| d["tickover"]["write_up"] = 2.into()), "A newer Tickover wrote this"),
        (Box::new(|d| d["tickover"]["write_up"] = (-1).into()), "form of a write-up"),
        (Box::new(|d| d["owner"] = "x".into()), "unknown field `owner`"),
        (Box::new(|d| d["readings"][0]["who"] = "x".into()), "unknown field `who`"),
        (Box::new(|d| d["complaint"] = 1.into()), "form of a write-up"),
        (Box::new(|d| d["complaint"] = "".into()), "In the complaint: Nothing is written here"),
        (Box::new(|d| d["complaint"] = "a\u{202e}b".into()), "U+202E"),
        (Box::new(|d| d["complaint"] = "a\u{0}b".into()), "U+0000"),
        (Box::new(|d| d["complaint"] = "x".repeat(200_000).into()), "has 200000 letters; 100000 are the most"),
        (Box::new(|d| d["readings"][0]["value"] = "NaN mm".into()), "In reading 1, “NaN mm”"),
        (Box::new(|d| d["readings"][0]["value"] = "1e999 mm".into()), "In reading 1"),
        (Box::new(|d| d["readings"][0]["value"] = "1,200 mm".into()), "This can mean"),
        (
            Box::new(|d| d["readings"][1]["what"] = "pickup.gab".into()),
            "In reading 2, “pickup.gab”: This means nothing here. Did you mean “pickup.gap”?",
        ),
        (Box::new(|d| d["readings"][0]["temperature"] = "-300 °C".into()), "Nothing is colder"),
        (Box::new(|d| d["readings"][0]["taken_on"] = "2026-02-31".into()), "This is not a time"),
        (
            Box::new(|d| d["readings"] = vec![d["readings"][0].clone(); 10_001].into()),
            "It has 10001 readings; 10000 are the most",
        ),
        (Box::new(|d| d["alterations"][0]["length_m"] = (-0.001).into()), "not a length up to one metre"),
        (Box::new(|d| d["findings"][0]["result"] = deep), "nested more than 40 deep"),
        (Box::new(|d| d["machine"] = "bore = 1".into()), "In the machine file, line 1"),
        (Box::new(|d| d["pictures"][0]["hash"] = "0".repeat(64).into()), "The picture is not in the file"),
        (Box::new(|d| d["pictures"][0]["hash"] = "../x".into()), "form of a write-up"),
        (Box::new(|d| d["pictures"][0]["media"] = "image/svg+xml".into()), "The picture is not in the file"),
        (Box::new(|d| d["pictures"] = vec![d["pictures"][0].clone(); 2].into()), "named twice"),
    ];
    for (change, expected) in changes {
        let said: Vec<String> = faults(&with(&page, change)).iter().map(Fault::words).collect();
        assert!(said.iter().any(|s| s.contains(expected)), "{expected}: {said:?}");
    }
    // All at once.
    let both = with(&page, |d| {
        d["complaint"] = "".into();
        d["readings"][0]["value"] = "x".into();
    });
    assert_eq!(faults(&both).len(), 2);
    for (page, expected) in [
        (String::new(), "not a write-up"),
        (format!("{page}{page}"), "more than one block"),
        (page.replace("0,85", "\u{e000}"), "In reading 1"),
        (page.replace(";base64,/9j/", ";base64,!9j/"), "cannot be read"),
        (page.replace(";base64,/9j/", ";base64,/9k/"), "its hash is another one"),
        (page.replace("{\"tickover\"", "{\"complaint\":\"twice\",\"tickover\""), "duplicate field"),
        (page.replace("\"length_m\":0.0055", "\"length_m\":1e999"), "number out of range"),
    ] {
        let said: Vec<String> = faults(&page).iter().map(Fault::words).collect();
        assert!(said.iter().any(|s| s.contains(expected)), "{expected}: {said:?}");
    }
    let huge = vec![b' '; write_up::MOST_BYTES + 1];
    assert!(matches!(write_up::read(&huge).unwrap_err()[..], [Fault::TooLarge { .. }]));
    let nested = page.replace("{\"tickover\"", &"[".repeat(1_000_000));
    assert!(matches!(faults(&nested)[..], [Fault::TooDeep]));
}

/// A picture that hides something behind its end, with a hash that is right.
#[test]
fn what_hides_beside_a_picture_is_refused() {
    use base64::{Engine, prelude::BASE64_STANDARD};
    let page = from_elsewhere();
    let honest = picture::bare(CAMERA).unwrap().1;
    let hiding = [&honest[..], b"<script>alert(1)</script>"].concat();
    let page = page
        .replace(ContentHash::of(&honest).as_str(), ContentHash::of(&hiding).as_str())
        .replace(&BASE64_STANDARD.encode(&honest), &BASE64_STANDARD.encode(&hiding));
    assert!(faults(&page).iter().any(|f| f.words().contains("something else is hidden in it")));
}

#[test]
fn a_trim_cannot_be_undone_whatever_the_file_says() {
    let page = with(&from_elsewhere(), |d| d["alterations"][0]["irreversible"] = false.into());
    let mut book = Book::in_memory().unwrap();
    let kept = write_up::keep(&mut book, &write_up::read(page.as_bytes()).unwrap(), stamp("M.")).unwrap();
    let present = book.present(Place::Job(kept.job.id)).unwrap();
    assert!(present.alterations().all(|(_, a)| a.work == "trim" && a.irreversible));
    assert_eq!(present.alterations().count(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn garbled_bytes_never_panic(at in 0.0..1.0f64, with in prop::collection::vec(any::<u8>(), 0..20), cut in 0usize..40) {
        use std::sync::OnceLock;
        static PAGE: OnceLock<String> = OnceLock::new();
        let page = PAGE.get_or_init(from_elsewhere);
        let at = (at * page.len() as f64) as usize;
        let mut bytes = page.as_bytes()[..at].to_vec();
        bytes.extend(with);
        bytes.extend(&page.as_bytes()[(at + cut).min(page.len())..]);
        if let Err(faults) = write_up::read(&bytes) {
            prop_assert!(!faults.is_empty() && faults.iter().all(|f| !f.words().is_empty()));
        }
    }
}
