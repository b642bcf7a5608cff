//! Thousands of random changes, compared with a model that is nothing but lists.

mod common;

use common::{Random, headline, note, part, reading, stamp};
use jobbook::*;
use std::collections::BTreeMap;

/// One line of history: which slot of which place came to say what (nothing if it was taken back), when.
#[derive(Clone)]
struct Event {
    id: EntryId,
    place: usize,
    slot: usize,
    says: Option<Body>,
    at: i64,
}

#[derive(Default)]
struct Model {
    events: Vec<Event>,
    slots: usize,
}

impl Model {
    /// Versions of a slot, the last one last.
    fn versions(&self, slot: usize) -> Vec<&Event> {
        self.events.iter().filter(|e| e.slot == slot).collect()
    }

    /// What stood in a place after the event of that number in the whole log.
    fn standing(&self, place: usize, upto: usize) -> Vec<(EntryId, Body)> {
        let mut last: BTreeMap<usize, &Event> = BTreeMap::new();
        for event in self.events[..upto].iter().filter(|e| e.place == place) {
            last.insert(event.slot, event);
        }
        last.into_values().filter_map(|e| Some((e.id, e.says.clone()?))).collect()
    }

    fn slots_of(&self, place: usize) -> Vec<usize> {
        let mut slots: Vec<usize> = self.events.iter().filter(|e| e.place == place).map(|e| e.slot).collect();
        slots.sort_unstable();
        slots.dedup();
        slots
    }
}

fn body(random: &mut Random, like: Option<&Body>) -> Body {
    let n = random.next();
    let kind = like.and_then(Body::kind).unwrap_or([Kind::Reading, Kind::Note, Kind::Part][random.below(3)]);
    match kind {
        Kind::Reading => reading((n % 1000) as f64 / 7.0).into(),
        Kind::Note => note(&format!("word{n}")).into(),
        Kind::Headline => headline(&format!("word{n}")).into(),
        _ => part(&format!("word{n}"), 1.0, 100).into(),
    }
}

fn read(present: &Present) -> Vec<(EntryId, Body)> {
    present.standing.iter().map(|s| (s.entry.id, s.entry.body.clone())).collect()
}

fn run(mut book: Book, seed: u64, steps: usize) {
    let mut random = Random(seed);
    for slug in ["m", "n"] {
        book.add(slug, &Kept { name: "name", text: "x", note: "", at: UnixSeconds(0) }).unwrap();
    }
    let mut model = Model::default();
    let mut jobs = Vec::new();
    for (place, slug) in ["m", "m", "n"].into_iter().enumerate() {
        let (job, kept) = book.open_job(slug, stamp(0), headline("c"), None).unwrap();
        jobs.push(job);
        model.events.push(Event { id: kept.id, place, slot: place, says: Some(headline("c").into()), at: 0 });
        model.slots += 1;
    }
    let places = [Place::Job(jobs[0]), Place::Job(jobs[1]), Place::Job(jobs[2]), Place::Machine("m"), Place::Workshop];
    let mut clock = 0;
    for step in 0..steps {
        // A clock that mostly goes on, and is sometimes set back.
        clock += if random.below(20) == 0 { -(random.below(50) as i64) } else { random.below(4) as i64 };
        let (place, now) = (random.below(places.len()), stamp(clock));
        let slots = model.slots_of(place);
        let action = if slots.is_empty() { 0 } else { random.below(8) };
        let (slot, says, id) = match action {
            0..=2 => {
                let says = body(&mut random, None);
                let draft = Draft::new(says.clone()).token(format!("{step}"));
                let kept = book.append(places[place], now, std::slice::from_ref(&draft)).unwrap()[0];
                assert_eq!(book.append(places[place], now, &[draft]).unwrap()[0], Appended { again: true, ..kept });
                model.slots += 1;
                (model.slots - 1, Some(says), kept.id)
            }
            _ => {
                let slot = slots[random.below(slots.len())];
                let versions = model.versions(slot);
                let (head, first) = (versions[versions.len() - 1].clone(), versions[0].says.clone().unwrap());
                let is_headline = first.kind() == Some(Kind::Headline);
                match action {
                    3 | 4 => {
                        let says = body(&mut random, Some(&first));
                        let draft = Draft::new(says.clone()).replacing(head.id);
                        (slot, Some(says), book.append(places[place], now, &[draft]).unwrap()[0].id)
                    }
                    5 if !is_headline => (slot, None, book.withdraw(head.id, "", now, None).unwrap().id),
                    6 if !is_headline || versions.len() > 1 => {
                        let says = if versions.len() > 1 { versions[versions.len() - 2].says.clone() } else { None };
                        (slot, says, book.undo(head.id, now, None).unwrap().id)
                    }
                    _ => {
                        // Too late: refused with what is there, and nothing of the batch is kept.
                        if versions.len() > 1 {
                            let old = versions[random.below(versions.len() - 1)].id;
                            let drafts = [Draft::new(note("lost")), Draft::new(first).replacing(old)];
                            match book.append(places[place], now, &drafts) {
                                Err(BookError::Replaced { wanted, now }) => assert_eq!((wanted, now.id), (old, head.id)),
                                other => panic!("{other:?}"),
                            }
                        }
                        continue;
                    }
                }
            }
        };
        model.events.push(Event { id, place, slot, says, at: clock });
        assert_eq!(read(&book.present(places[place]).unwrap()), model.standing(place, model.events.len()), "step {step}");

        // Any earlier moment, of any place.
        let (place, upto) = (random.below(places.len()), random.below(model.events.len()));
        let moment = Moment::Entry(model.events[upto].id);
        assert_eq!(read(&book.as_of(places[place], moment).unwrap()), model.standing(place, upto + 1), "step {step}");
        let time = random.below(usize::try_from(clock.max(0)).unwrap() + 10) as i64 - 5;
        let last = model.events.iter().rposition(|e| e.place == place && e.at <= time).map_or(0, |n| n + 1);
        let then = book.as_of(places[place], Moment::Time(UnixSeconds(time))).unwrap();
        assert_eq!(read(&then), model.standing(place, last), "step {step}, time {time}");
    }

    for slot in 0..model.slots {
        let versions = model.versions(slot);
        let chain: Vec<_> = book.versions(versions[versions.len() / 2].id).unwrap().into_iter().map(|e| e.id).collect();
        assert_eq!(chain, versions.iter().map(|e| e.id).collect::<Vec<_>>());
    }
    // Each word stands in one slot at most: it is found in its job, or in the jobs of its machine, or not at all.
    let every: Vec<String> = model.events.iter().filter_map(|e| Some(e.says.as_ref()?.clone())).filter_map(word).collect();
    for looked_for in every.iter().step_by(3) {
        let found: Vec<JobId> = book.search(looked_for, 99).unwrap().jobs.into_iter().map(|j| j.id).rev().collect();
        let stands = |place: usize| {
            model.standing(place, model.events.len()).into_iter().any(|(_, b)| word(b).as_ref() == Some(looked_for))
        };
        let wanted: Vec<JobId> = (0..3).filter(|p| stands(*p) || (*p < 2 && stands(3))).map(|p| jobs[p]).collect();
        assert_eq!(found, wanted, "{looked_for}");
    }
    assert_eq!(book.check().unwrap().entries, model.events.len() as u64);
}

fn word(body: Body) -> Option<String> {
    match body {
        Body::Note(n) => Some(n.words),
        Body::Part(p) => Some(p.name),
        Body::Headline(h) => Some(h.complaint).filter(|c| c.starts_with("word")),
        _ => None,
    }
}

#[test]
fn the_log_comes_to_what_a_list_would() {
    for seed in 1..=6 {
        run(Book::in_memory().unwrap(), seed, 500);
    }
}

#[test]
fn on_disk_too() {
    let folder = tempfile::tempdir().unwrap();
    run(Book::open(&folder.path().join("book.sqlite")).unwrap().0, 99, 200);
}
