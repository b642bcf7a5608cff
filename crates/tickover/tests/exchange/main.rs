//! Taking data out of the book and in, with files of one's own and from elsewhere.

#[path = "../common/mod.rs"]
mod common;
mod everything;
mod page;
mod readings;
mod received;
mod write_up;

use jobbook::{
    Alteration, Attachment, Book, Consent, Custody, Draft, Finding, Headline, JobId, Note, Origin, Part, Place, Progress,
    Reading, Stage, Stamp, UnixSeconds,
};
use tickover::bench;
use workshop::job::named;

const AT: UnixSeconds = UnixSeconds(1_795_615_402);

fn stamp(who: &str) -> Stamp<'_> {
    Stamp { who, at: AT }
}

fn reading(what: &str, typed: &str) -> Reading {
    let quantity = named(what).unwrap();
    let read = quantity::Reading::parse(typed, quantity.dimension).unwrap();
    Reading {
        stage: Stage::AsFound,
        what: what.to_owned(),
        words: quantity.label.to_owned(),
        place: String::new(),
        typed: typed.to_owned(),
        value_si: read.si,
        plus_minus_si: read.plus_minus_si,
        unit: read.unit.symbol().to_owned(),
        instrument: String::new(),
        temperature_k: None,
        crank_rad_s: None,
        condition: None,
        origin: Origin::Measured,
        taken_at: AT,
    }
}

/// A book with a job in which every kind of entry is there.
fn full_book(path: &std::path::Path) -> (Book, JobId) {
    let (mut book, _) = Book::open(path).unwrap();
    bench::add_demos(&mut book).unwrap();
    let job = fill(&mut book);
    (book, job)
}

fn fill(book: &mut Book) -> JobId {
    let headline = Headline { complaint: "Hangs at 2500 <b>warm</b>".into(), ..Headline::default() };
    let (job, _) = book.open_job("corran-360", stamp("E."), headline, None).unwrap();
    let hash = book.keep_blob(b"not really a picture", AT).unwrap();
    let alteration = Alteration {
        work: "trim".into(),
        progress: Progress::Planned,
        words: "cut".into(),
        length_m: Some(0.0055),
        angle_rad: None,
        irreversible: true,
        measured_after: Vec::new(),
    };
    let drafts = [
        Draft::new(reading("pickup.gap", "0,85 ± 0.05 mm")),
        Draft::new(Reading { stage: Stage::AsLeft, ..reading("pickup.gap", "0.55 ± 0.05 mm") }),
        Draft::new(Note { words: "mist: no change".into(), about: String::new() }),
        Draft::new(Attachment {
            file: "../../etc/passwd".into(),
            media: "image/jpeg".into(),
            hash,
            stage: Stage::AsFound,
            words: "rotor".into(),
            reading: None,
        }),
        Draft::new(Finding {
            study: "idle".into(),
            file_revision: 1,
            inputs: "x".into(),
            program: "0.1.0".into(),
            result: serde_json::json!({"verdict": {"code": "hangs"}}),
            words: vec!["Hangs near 2000 rpm.".into()],
        }),
        Draft::new(alteration),
        Draft::new(Part { name: "gasket".into(), quantity: 1.0, price: None, source: String::new(), on: Some(AT) }),
    ];
    let kept = book.append(Place::Job(job), stamp("E."), &drafts).unwrap();
    let consent = Consent { alteration: kept[5].id, risk: "r".into(), by: "Q. Park".into(), how: "signed".into(), given_at: AT };
    book.append(Place::Job(job), stamp("E."), &[Draft::new(consent)]).unwrap();
    let custody = Custody { owner: "Quentine Park".into(), plate: "HX 71 KLM".into(), ..Custody::default() };
    book.append(Place::Machine("corran-360"), stamp("E."), &[Draft::new(custody)]).unwrap();
    book.undo(kept[2].id, stamp("M."), None).unwrap();
    job
}
