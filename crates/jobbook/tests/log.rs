//! The log: corrections, conflicts, what is sent twice, states as they were, and what finds a job.

mod common;

use common::{headline, note, part, reading, stamp};
use jobbook::*;

fn with_job() -> (Book, JobId) {
    let mut book = Book::in_memory().unwrap();
    book.add("corran-360", &Kept { name: "Corran 360", text: "x", note: "", at: UnixSeconds(0) }).unwrap();
    let (job, _) = book.open_job("corran-360", stamp(10), headline("hangs when warm"), None).unwrap();
    (book, job)
}

fn ids(appended: &[Appended]) -> Vec<EntryId> {
    appended.iter().map(|a| a.id).collect()
}

#[test]
fn as_found_stays_when_it_is_corrected_taken_back_and_undone() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let first = ids(&book.append(at, stamp(20), &[Draft::new(reading(330.0)), Draft::new(note("one"))]).unwrap())[0];
    let second = ids(&book.append(at, stamp(30), &[Draft::new(reading(332.0)).replacing(first)]).unwrap())[0];
    let values = |present: &Present| present.readings().map(|(s, r)| (r.value_si, s.version)).collect::<Vec<_>>();
    assert_eq!(values(&book.present(at).unwrap()), [(332.0, 2)]);
    assert_eq!(values(&book.as_of(at, Moment::Entry(first)).unwrap()), [(330.0, 1)]);
    assert_eq!(values(&book.as_of(at, Moment::Time(UnixSeconds(29))).unwrap()), [(330.0, 1)]);
    assert_eq!(values(&book.as_of(at, Moment::Time(UnixSeconds(19))).unwrap()), []);

    let gone = book.withdraw(second, "wrong winding", stamp(40), None).unwrap().id;
    assert_eq!(values(&book.present(at).unwrap()), []);
    let back = book.undo(gone, stamp(50), None).unwrap().id;
    let present = book.present(at).unwrap();
    assert_eq!(values(&present), [(332.0, 4)]);
    // It kept its place before the note, which was written with the first version.
    let kinds: Vec<_> = present.standing.iter().map(|s| s.entry.body.kind().unwrap()).collect();
    assert_eq!(kinds, [Kind::Headline, Kind::Reading, Kind::Note]);
    assert_eq!(present.standing[1].first, first);
    let chain: Vec<_> = book.versions(second).unwrap().into_iter().map(|e| e.id).collect();
    assert_eq!(chain, [first, second, gone, back]);
    assert_eq!(book.log(at).unwrap().len(), 6);
}

#[test]
fn the_second_of_two_that_replace_the_same_is_shown_the_first() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let old = book.append(at, stamp(1), &[Draft::new(reading(1.0))]).unwrap()[0].id;
    book.append(at, stamp(2), &[Draft::new(reading(2.0)).replacing(old)]).unwrap();
    let later = book.present(at).unwrap().readings().next().unwrap().0.entry.clone();
    // Nothing of the second one's batch is kept.
    let refused = book.append(at, stamp(3), &[Draft::new(note("lost?")), Draft::new(reading(3.0)).replacing(old)]);
    let Err(BookError::Replaced { wanted, now }) = refused else { panic!("{refused:?}") };
    assert_eq!((wanted, *now), (old, later));
    assert_eq!(book.present(at).unwrap().notes().count(), 0);
}

#[test]
fn what_is_sent_twice_is_kept_once() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let batch = [Draft::new(reading(1.0)).token("phone-1"), Draft::new(note("n")).token("phone-2")];
    let first = book.append(at, stamp(1), &batch).unwrap();
    let again = book.append(at, stamp(99), &batch).unwrap();
    assert_eq!(ids(&first), ids(&again));
    assert!(first.iter().all(|a| !a.again) && again.iter().all(|a| a.again));
    // A correction that was sent twice does not conflict with itself.
    let fix = [Draft::new(reading(2.0)).replacing(first[0].id).token("phone-3")];
    let fixed = book.append(at, stamp(2), &fix).unwrap();
    assert_eq!(ids(&book.append(at, stamp(3), &fix).unwrap()), ids(&fixed));
    assert_eq!(book.log(at).unwrap().len(), 4);

    let other = book.append(at, stamp(4), &[Draft::new(reading(9.0)).token("phone-1")]);
    assert!(matches!(&other, Err(BookError::TokenReused { there, .. }) if there.id == first[0].id), "{other:?}");
    let elsewhere = book.append(Place::Machine("corran-360"), stamp(4), &[Draft::new(note("n")).token("phone-2")]);
    assert!(matches!(elsewhere, Err(BookError::TokenReused { .. })), "{elsewhere:?}");

    let (job, one) = book.open_job("corran-360", stamp(5), headline("stalls"), Some("phone-4")).unwrap();
    let (same, two) = book.open_job("corran-360", stamp(6), headline("stalls"), Some("phone-4")).unwrap();
    assert_eq!((job, one.id, two.again), (same, two.id, true));
    assert_eq!(book.jobs_of("corran-360").unwrap().len(), 2);
}

#[test]
fn what_cannot_be_kept_as_it_is_is_refused_whole() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let price = |minor, currency: &str| Some(Price { minor, currency: currency.to_owned() });
    let bad: Vec<(Body, &str)> = vec![
        (Reading { value_si: f64::NAN, ..reading(0.0) }.into(), "value_si"),
        (Reading { plus_minus_si: -1.0, ..reading(0.0) }.into(), "plus_minus_si"),
        (Reading { temperature_k: Some(-3.0), ..reading(0.0) }.into(), "temperature_k"),
        (Part { price: price(100, "eur"), ..part("coil", 1.0, 0) }.into(), "price"),
        (Part { price: price(i64::MIN, "EUR"), ..part("coil", 1.0, 0) }.into(), "price"),
        (Part { quantity: f64::INFINITY, ..part("coil", 1.0, 0) }.into(), "quantity"),
        (Alteration { length_m: Some(f64::NAN), ..common::alteration() }.into(), "body"),
        (Work { minutes: u32::MAX, words: String::new(), hourly: None }.into(), "minutes"),
        (note(&"x".repeat(MOST_BODY_BYTES)).into(), "length"),
        (Withdrawn { why: String::new() }.into(), "replaces"),
        (Body::Unknown(Unknown { kind: "dream".into(), body: serde_json::json!({}) }), "kind"),
    ];
    let before = book.tally().unwrap();
    for (body, field) in bad {
        let refused = book.append(at, stamp(1), &[Draft::new(note("goes with it")), Draft { body, replaces: None, token: None }]);
        assert!(matches!(&refused, Err(BookError::Unfit { field: f, .. }) if *f == field), "{field}: {refused:?}");
    }
    let token = book.append(at, stamp(1), &[Draft::new(note("")).token("x".repeat(LONGEST_TOKEN + 1))]);
    assert!(matches!(token, Err(BookError::Unfit { field: "token", .. })), "{token:?}");
    assert_eq!(book.tally().unwrap(), before);
}

#[test]
fn an_entry_is_replaced_by_its_like_in_its_place() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let head = book.present(at).unwrap().standing[0].entry.id;
    let id = book.append(at, stamp(1), &[Draft::new(note("a"))]).unwrap()[0].id;
    let other = book.append(at, stamp(2), &[Draft::new(reading(1.0)).replacing(id)]);
    assert!(matches!(other, Err(BookError::OtherKind { .. })), "{other:?}");
    let elsewhere = book.append(Place::Machine("corran-360"), stamp(2), &[Draft::new(note("b")).replacing(id)]);
    assert!(matches!(elsewhere, Err(BookError::UnknownEntry { .. })), "{elsewhere:?}");
    assert!(matches!(book.withdraw(head, "", stamp(2), None), Err(BookError::OneHeadline)));
    assert!(matches!(book.append(at, stamp(2), &[Draft::new(headline("two"))]), Err(BookError::OneHeadline)));
    // After it was taken back, its kind is still what it was.
    let gone = book.withdraw(id, "", stamp(3), None).unwrap().id;
    let other = book.append(at, stamp(4), &[Draft::new(reading(1.0)).replacing(gone)]);
    assert!(matches!(other, Err(BookError::OtherKind { .. })), "{other:?}");
    assert!(matches!(book.present(Place::Job(JobId(99))), Err(BookError::UnknownJob { .. })));
    assert!(matches!(book.entry(EntryId(99)), Err(BookError::UnknownEntry { .. })));
}

#[test]
fn numbers_count_within_the_year() {
    let (mut book, first) = with_job();
    let in_2026 = stamp(1_798_761_599);
    let mut open = |at| {
        let (job, _) = book.open_job("corran-360", at, headline("x"), None).unwrap();
        book.job(job).unwrap().number
    };
    assert_eq!([open(in_2026), open(in_2026), open(stamp(1_798_761_600))], ["2026-0001", "2026-0002", "2027-0001"]);
    assert_eq!(open(in_2026), "2026-0003");
    assert_eq!(book.job(first).unwrap().number, "1970-0001");
    assert_eq!(book.job_by_number("2027-0001").unwrap().opened_at.0, 1_798_761_600);
    assert!(matches!(book.job_by_number("2027-0002"), Err(BookError::UnknownJob { .. })));
}

#[test]
fn lists_have_pages_and_states() {
    let (mut book, _) = with_job();
    let jobs: Vec<JobId> = (0..7).map(|n| book.open_job("corran-360", stamp(n), headline("x"), None).unwrap().0).collect();
    let done = Headline { state: JobState::HandedOver, ..headline("x") };
    for job in &jobs[..3] {
        let head = book.present(Place::Job(*job)).unwrap().standing[0].entry.id;
        book.append(Place::Job(*job), stamp(9), &[Draft::new(done.clone()).replacing(head)]).unwrap();
    }
    let page =
        |state, before, most| -> Vec<JobId> { book.jobs(state, before, most).unwrap().into_iter().map(|j| j.id).collect() };
    assert_eq!(page(Some(JobState::HandedOver), None, 10), [jobs[2], jobs[1], jobs[0]]);
    assert_eq!(page(Some(JobState::Open), None, 2), [jobs[6], jobs[5]]);
    assert_eq!(page(Some(JobState::Open), Some(jobs[5]), 2), [jobs[4], jobs[3]]);
    assert_eq!(page(Some(JobState::Waiting), None, 2), []);
    assert_eq!(page(None, Some(jobs[1]), 2).len(), 2);
    assert_eq!(JobState::ALL.map(|s| book.count_jobs(s).unwrap()), [5, 0, 3]);
    let lines = book.machine_lines(0, 10).unwrap();
    assert_eq!((lines.len(), lines[0].jobs, lines[0].last_opened), (1, 8, Some(UnixSeconds(6))));
    assert!(book.machine_lines(1, 10).unwrap().is_empty());
}

#[test]
fn a_job_is_found_by_what_stands_in_it() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let custody = |owner: &str| Custody { owner: owner.into(), plate: "AB-12 Ü".into(), ..Custody::default() };
    let id = book
        .append(at, stamp(1), &[Draft::new(custody("Renée Okafor")), Draft::new(part("source coil, rewound", 1.0, 0))])
        .unwrap()[0]
        .id;
    let hits = |book: &Book, text: &str| book.search(text, 10).unwrap().jobs.len();
    for text in ["corran", "Corr hang", "WARM", "renee oka", "ab-12 u", "1970-0001", "rewo", "okafor coil corran 360", "co"] {
        assert_eq!(hits(&book, text), 1, "{text}");
    }
    for text in ["", "  ", "pellow", "okafor pellow", "\"", "*", "()", "-", "ohm"] {
        assert_eq!(hits(&book, text), 0, "{text}");
    }
    book.append(at, stamp(2), &[Draft::new(custody("Somebody Else")).replacing(id)]).unwrap();
    assert_eq!((hits(&book, "okafor"), hits(&book, "somebody")), (0, 1));
    // What is noted on the machine finds the machine and its jobs; so does its new name.
    let frame = Custody { frame: "F7741".into(), ..Custody::default() };
    let kept = book.append(Place::Machine("corran-360"), stamp(3), &[Draft::new(frame)]).unwrap()[0].id;
    let found = book.search("f7741", 10).unwrap();
    assert_eq!((found.machines.len(), found.jobs.len()), (1, 1));
    book.withdraw(kept, "", stamp(4), None).unwrap();
    assert_eq!(book.search("f7741", 10).unwrap(), Found::default());
    book.save("corran-360", 1, &Kept { name: "Corran 400", text: "y", note: "", at: UnixSeconds(5) }).unwrap();
    assert_eq!((hits(&book, "corran 360 hangs"), hits(&book, "400 hangs")), (1, 1), "the slug still says 360");
}

#[test]
fn nothing_typed_is_an_error() {
    let (book, _) = with_job();
    let signs = [
        "\"", "'", "*", "^", "-", "+", "(", ")", "{", "}", ":", "AND", "OR", "NOT", "NEAR(", "words:", "\0", "e\u{301}", "ⓐ",
        "१", "\u{202e}", "🏍", "中文", "\u{e001}",
    ];
    let mut random = common::Random(7);
    for _ in 0..2000 {
        let text: String = (0..1 + random.below(6)).map(|_| signs[random.below(signs.len())]).collect();
        book.search(&text, 5).unwrap_or_else(|e| panic!("{text:?}: {e}"));
    }
    book.search(&"long ".repeat(10_000), 5).unwrap();
    book.search(&"l".repeat(1_000_000), 5).unwrap();
}

#[test]
fn reminders_come_when_due_until_done() {
    let (mut book, job) = with_job();
    let glue = |done| Reminder { what: "look at the glue".into(), due: UnixSeconds(1000), done };
    let nut = Reminder { what: "nut".into(), due: UnixSeconds(500), done: None };
    let id = book.append(Place::Job(job), stamp(1), &[Draft::new(glue(None))]).unwrap()[0].id;
    book.append(Place::Machine("corran-360"), stamp(1), &[Draft::new(nut)]).unwrap();
    let due = |book: &Book, by| book.reminders_due(UnixSeconds(by)).unwrap();
    assert_eq!([due(&book, 499).len(), due(&book, 500).len(), due(&book, 1000).len()], [0, 1, 2]);
    let all = due(&book, 1000);
    assert_eq!((all[0].job_number.as_deref(), all[1].job_number.as_deref()), (None, Some("1970-0001")));
    assert_eq!(all[1].machine_name.as_deref(), Some("Corran 360"));
    book.append(Place::Job(job), stamp(2), &[Draft::new(glue(Some(UnixSeconds(2)))).replacing(id)]).unwrap();
    assert_eq!(due(&book, 9999).len(), 1);
}

fn meter(unit: &str, plus_minus: &str, what: &str) -> Instrument {
    Instrument { name: "meter".into(), unit: unit.into(), plus_minus: plus_minus.into(), what: what.into() }
}

#[test]
fn instruments_are_remembered_as_last_kept_for_each_quantity() {
    let mut book = Book::in_memory().unwrap();
    let gauge = Instrument { name: "gauge".into(), ..meter("mm", "0.02", "") };
    let kept = [meter("ohm", "1 %", "coil"), gauge.clone(), meter("V", "0.1", "battery"), meter("kohm", "1 %", "coil")];
    book.append(Place::Workshop, stamp(1), &kept.map(Draft::new)).unwrap();
    assert_eq!(book.instruments().unwrap(), [gauge, meter("V", "0.1", "battery"), meter("kohm", "1 %", "coil")]);
}

#[test]
fn a_reading_and_its_instrument_are_kept_together_or_not_at_all() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let coil = |plus_minus| Some(meter("ohm", plus_minus, "coil"));
    let taken = |n: f64, token: &str| Draft::new(reading(n)).token(token);
    let instruments = |book: &Book| book.log(Place::Workshop).unwrap().len();

    let before = book.tally().unwrap();
    let nameless = Some(Instrument { name: String::new(), ..meter("ohm", "", "") });
    let refused = book.take(job, stamp(2), taken(1.0, "a"), nameless);
    assert!(matches!(refused, Err(BookError::Unfit { field: "name", .. })), "{refused:?}");
    assert_eq!(book.tally().unwrap(), before, "the reading went with its instrument");

    let first = book.take(job, stamp(2), taken(1.0, "a"), coil("3")).unwrap();
    assert_eq!((first.again, instruments(&book)), (false, 1));
    book.take(job, stamp(3), taken(2.0, "b"), coil("3")).unwrap();
    assert_eq!(instruments(&book), 1, "nothing new about it");
    book.take(job, stamp(4), taken(3.0, "c"), coil("")).unwrap();
    assert_eq!(book.instruments().unwrap(), [meter("ohm", "3", "coil")], "no ± this time is no reason to forget it");
    book.take(job, stamp(5), taken(4.0, "d"), coil("5")).unwrap();

    // What comes late for the second time does not bring back what the instrument showed then.
    let again = book.take(job, stamp(9), taken(1.0, "a"), coil("3")).unwrap();
    assert_eq!((again.id, again.again), (first.id, true));
    assert_eq!(book.instruments().unwrap(), [meter("ohm", "5", "coil")]);
    assert_eq!(book.present(at).unwrap().readings().count(), 4);
}

#[test]
fn bytes_and_the_entry_that_speaks_of_them_are_kept_together_or_not_at_all() {
    let (mut book, job) = with_job();
    let at = Place::Job(job);
    let blob = Blob::new(b"a picture".to_vec()).unwrap();
    let photo = Attachment {
        file: "rotor.jpg".into(),
        media: Media::Jpeg.name().into(),
        hash: blob.hash().clone(),
        stage: Stage::AsFound,
        words: "rotor".into(),
        reading: None,
    };
    let draft = Draft::new(photo.clone()).token("p");
    let elsewhere = book.attach(Place::Machine("nowhere"), stamp(1), draft.clone(), &blob);
    assert!(matches!(elsewhere, Err(BookError::UnknownMachine { .. })), "{elsewhere:?}");
    assert!(matches!(book.blob(blob.hash()), Err(BookError::UnknownBlob { .. })), "no bytes without the entry");

    let first = book.attach(at, stamp(1), draft.clone(), &blob).unwrap();
    let again = book.attach(at, stamp(2), draft, &blob).unwrap();
    assert_eq!((first.again, again.again, again.id), (false, true, first.id));
    let other = Blob::new(b"another".to_vec()).unwrap();
    let reused = book.attach(at, stamp(3), Draft::new(Attachment { hash: other.hash().clone(), ..photo }).token("p"), &other);
    assert!(matches!(reused, Err(BookError::TokenReused { .. })), "{reused:?}");
    assert_eq!(book.tally().unwrap().blobs, 1);
    assert_eq!(book.blob(blob.hash()).unwrap(), b"a picture");
}

#[test]
fn totals_are_added_by_hand() {
    let (mut book, job) = with_job();
    let work = Work { minutes: 50, words: "strobe".into(), hourly: Some(Price { minor: 6000, currency: "EUR".into() }) };
    let pound = Part { price: Some(Price { minor: 199, currency: "GBP".into() }), ..part("cap", 2.0, 0) };
    let free = Part { price: None, ..part("wire", 0.3, 0) };
    let drafts = [Draft::new(work), Draft::new(part("wire", 2.5, 333)), Draft::new(pound), Draft::new(free)];
    book.append(Place::Job(job), stamp(1), &drafts).unwrap();
    let totals = book.present(Place::Job(job)).unwrap().totals();
    assert_eq!((totals.minutes, totals.unpriced), (50, 1));
    // 2.5 · 3.33 = 8.325, half up; 50/60 · 60.00 = 50.00.
    assert_eq!(totals.cost["EUR"], Cost { parts: 833, work: 5000 });
    assert_eq!(totals.cost["GBP"], Cost { parts: 398, work: 0 });
}

#[test]
fn json_keeps_kinds_and_every_bit() {
    let mut random = common::Random(3);
    for _ in 0..2000 {
        let value = f64::from_bits(random.next());
        if value.is_finite() {
            let body: Body = Reading { value_si: value, ..reading(0.0) }.into();
            let text = serde_json::to_string(&body).unwrap();
            let back: Body = serde_json::from_str(&text).unwrap();
            let Body::Reading(r) = &back else { panic!("{text}") };
            assert_eq!(r.value_si.to_bits(), value.to_bits(), "{text}");
        }
    }
    let text = r#"{"kind":"dream","body":{"of":[1,2]}}"#;
    let Body::Unknown(unknown) = serde_json::from_str::<Body>(text).unwrap() else { panic!() };
    assert_eq!(unknown.kind, "dream");
    let mut names: Vec<_> = Kind::ALL.iter().map(|k| k.name()).collect();
    names.dedup();
    assert_eq!(names.len(), 15);
    let body: Body = note("x").into();
    assert_eq!(serde_json::to_value(&body).unwrap()["kind"], body.kind_name());
}

#[test]
fn searches_of_jobs_that_were_handed_over_are_found_with_what_stands() {
    let mut book = Book::in_memory().unwrap();
    book.add("corran-360", &Kept { name: "Corran 360", text: "x", note: "", at: UnixSeconds(1) }).unwrap();
    let step = |did, what: &str| SearchStep { complaint: "no-spark".into(), did, what: what.into(), words: "w".into() };
    let steps =
        [step(Did::Begun, ""), step(Did::Positive, "spark-gap"), step(Did::Passed, "kill-off"), step(Did::Found, "condenser")];
    let mut jobs = Vec::new();
    for n in 0..3 {
        let (job, opened) = book.open_job("corran-360", stamp(n), headline("no spark"), None).unwrap();
        let drafts: Vec<Draft> = steps.iter().cloned().map(Draft::new).collect();
        let written = book.append(Place::Job(job), stamp(n), &drafts).unwrap();
        // One answer is taken back.
        book.undo(written[2].id, stamp(n), None).unwrap();
        jobs.push((job, opened.id));
    }
    assert_eq!(book.finished_searches().unwrap(), []);
    for (job, opened) in [jobs[0], jobs[2]] {
        let gone = Headline { state: JobState::HandedOver, ..headline("no spark") };
        book.append(Place::Job(job), stamp(9), &[Draft::new(gone).replacing(opened)]).unwrap();
    }
    let left = vec![steps[0].clone(), steps[1].clone(), steps[3].clone()];
    let of = |k: usize| {
        let number = book.job(jobs[k].0).unwrap().number;
        FinishedSearch { job: jobs[k].0, number, steps: left.clone() }
    };
    assert_eq!(book.finished_searches().unwrap(), [of(0), of(2)]);
    assert_eq!(book.present(Place::Job(jobs[0].0)).unwrap().search_steps().count(), 3);
    for bad in [step(Did::Begun, "x"), step(Did::Found, ""), SearchStep { complaint: String::new(), ..step(Did::Begun, "") }] {
        let refused = book.append(Place::Job(jobs[1].0), stamp(9), &[Draft::new(bad)]);
        assert!(matches!(refused, Err(BookError::Unfit { .. })), "{refused:?}");
    }
}
