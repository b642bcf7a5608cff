//! From text to fault data.

use std::{collections::BTreeSet, ops::Range};

use toml::de::DeTable;

use super::{
    data::{Cause, Complaint, Faults, Group, Hit, Kind, State, System, Tally, Test, Weight, When},
    defect::{Defect, DefectKind, What},
    keys::{CAUSE, COMPLAINT, GROUPS, KINDS, META, STATES, SYSTEMS, TEST, WHENS},
    own::{Counted, FromBook},
    range::{CHANCE, CYLINDERS, Limit, MINUTES, OTHER, REPEAT, STROKES, WEIGHT},
    walk::{Item, Placed, Walk},
};
use crate::{
    document::{self, Flaw},
    machine::most_like,
};

/// Version of the format that is read.
pub const VERSION: i64 = 1;
/// What the weights of a complaint may be off a hundred by, for they are written in tenths \[1\] (own choice).
const SUM_SLACK: f64 = 0.05;

/// Reads the base.
///
/// # Errors
/// All [`Defect`]s at once, in the order in which they stand in the file; beyond [`MOST_DEFECTS`](document::MOST_DEFECTS) only their number.
///
/// ```
/// use workshop::study::fault::{TEXT, read};
/// assert_eq!(read(TEXT).unwrap().tests.len(), 65);
/// ```
pub fn base(text: &str) -> Result<Faults, Vec<Defect>> {
    document(text, |root, walk| {
        root.refuse_unknown(walk, &["meta", "cause", "symptom", "test"]);
        let mut faults = Faults {
            numbers_source: String::new(),
            repeat_minutes: [0.0; 7],
            causes: Vec::new(),
            complaints: Vec::new(),
            tests: Vec::new(),
            own: Counted::default(),
            named: Vec::new(),
            book: FromBook::default(),
        };
        if let Some(meta) = root.table(walk, "meta") {
            meta.refuse_unknown(walk, META);
            meta.text(walk, "language");
            faults.numbers_source = meta.text(walk, "numbers_source").text;
            if let Some(repeat) = meta.table(walk, "repeat_minutes") {
                repeat.refuse_unknown(walk, WHENS);
                for (k, when) in WHENS.iter().enumerate() {
                    faults.repeat_minutes[k] = repeat.number(walk, when, &REPEAT);
                }
            }
        }
        let lists = [root.needed_tables(walk, "cause"), root.needed_tables(walk, "symptom"), root.needed_tables(walk, "test")];
        add(&mut faults, &lists, walk, false);
        faults
    })
}

/// Parses a text, hands its root to `of`, and sorts what was found wrong.
pub(in crate::study) fn document<T>(text: &str, of: impl FnOnce(&Item<'_>, &mut Walk) -> T) -> Result<T, Vec<Defect>> {
    document::fits(text.len()).map_err(|flaw| vec![flaw.of_whole()])?;
    let (table, errors) = DeTable::parse_recoverable(text);
    let version = table.get_ref().get("meta").and_then(|meta| meta.get_ref().as_table()?.get("schema"));
    if let Some(newer) = document::newer(version, "meta.schema", VERSION) {
        return Err(vec![newer]);
    }
    let mut walk = Walk { broken: !errors.is_empty(), defects: document::syntax(errors) };
    let broken: Vec<usize> = walk.defects.iter().map(|d| d.span.start).collect();
    let root = Item::root(table.get_ref());
    let read = of(&root, &mut walk);
    // What was made of the rest of a broken line proves nothing.
    let apart = |a: usize, b: usize| text.get(a.min(b)..a.max(b)).is_none_or(|between| between.contains('\n'));
    walk.defects.retain(|d| {
        matches!(d.kind, DefectKind::Document(Flaw::Syntax { .. })) || broken.iter().all(|at| apart(*at, d.span.start))
    });
    if walk.defects.is_empty() { Ok(read) } else { Err(document::in_order(walk.defects)) }
}

/// Adds causes, complaints and tests; names are resolved over all that is there then.
pub(super) fn add(faults: &mut Faults, [causes, complaints, tests]: &[Vec<Item<'_>>; 3], walk: &mut Walk, own: bool) {
    let names = |list: &[Item<'_>], walk: &mut Walk| list.iter().map(|item| item.name(walk, "id")).collect::<Vec<_>>();
    let [cause_ids, complaint_ids, test_ids] = [names(causes, walk), names(complaints, walk), names(tests, walk)];
    let known = |what: What, faults: &Faults| -> Vec<String> {
        match what {
            What::Cause => faults.causes.iter().map(|c| c.id.clone()).collect(),
            What::Complaint => faults.complaints.iter().map(|c| c.id.clone()).collect(),
            What::Test => faults.tests.iter().map(|t| t.id.clone()).collect(),
            // Jobs have numbers, not names.
            What::Job => Vec::new(),
        }
    };
    for (what, ids) in [(What::Cause, &cause_ids), (What::Complaint, &complaint_ids), (What::Test, &test_ids)] {
        once(walk, what, ids, &known(what, faults));
    }
    let old = faults.causes.len();
    for (item, id) in causes.iter().zip(&cause_ids) {
        faults.causes.push(cause(item, walk, id.text.clone(), own));
    }
    let test_names: Vec<String> =
        faults.tests.iter().map(|t| t.id.clone()).chain(test_ids.iter().map(|id| id.text.clone())).collect();
    let cause_names = known(What::Cause, faults);
    let old_tests = faults.tests.len();
    for (item, id) in tests.iter().zip(&test_ids) {
        faults.tests.push(test(item, walk, id.text.clone(), (&test_names, &cause_names), own));
    }
    for (item, id) in complaints.iter().zip(&complaint_ids) {
        let found = complaint(item, walk, id.text.clone(), (&test_names, &cause_names), own);
        for &t in &found.bar_until {
            if faults.tests.get(t).is_some_and(|t| found.bar_states.contains(&t.state)) {
                let name = test_names[t].clone();
                walk.defect(item.path_of("bar_until"), item.span_of("bar_until"), DefectKind::BarsItself { name });
            }
        }
        faults.complaints.push(found);
    }
    for (k, id) in test_ids.iter().enumerate() {
        if in_a_ring(&faults.tests, old_tests + k) {
            let (path, span) = (tests[k].path_of("after"), tests[k].span_of("after"));
            walk.defect(path, span, DefectKind::AfterItself { name: id.text.clone() });
        }
    }
    if !own {
        shown(faults, old, causes, walk);
    }
}

/// Notes causes from `old` on that no test shows.
pub(super) fn shown(faults: &Faults, old: usize, items: &[Item<'_>], walk: &mut Walk) {
    // By name: one that stands twice is told as such.
    let name = |cause: usize| faults.causes[cause].id.as_str();
    let hit: BTreeSet<&str> = faults.tests.iter().flat_map(|t| t.hits.iter().map(|h| name(h.cause))).collect();
    for (k, item) in items.iter().enumerate().filter(|(k, _)| !hit.contains(name(old + k))) {
        let name = name(old + k).to_owned();
        walk.defect(item.path_of("id"), item.span_of("id"), DefectKind::NothingShows { name });
    }
}

/// Notes names that are there already, in the base or further up.
fn once(walk: &mut Walk, what: What, ids: &[Placed], base: &[String]) {
    let mut seen = BTreeSet::new();
    for id in ids.iter().filter(|id| !id.text.is_empty()) {
        if base.contains(&id.text) {
            walk.defect(id.path.clone(), id.span.clone(), DefectKind::InBase { what, name: id.text.clone() });
        } else if !seen.insert(&id.text) {
            walk.defect(id.path.clone(), id.span.clone(), DefectKind::Twice { what, name: id.text.clone() });
        }
    }
}

/// Whether a test comes after itself, by way of others.
fn in_a_ring(tests: &[Test], of: usize) -> bool {
    let mut open: Vec<usize> = tests[of].after.clone();
    let mut seen = BTreeSet::new();
    while let Some(t) = open.pop() {
        if t == of {
            return true;
        }
        if seen.insert(t) {
            open.extend(tests.get(t).into_iter().flat_map(|t| t.after.iter().copied()));
        }
    }
    false
}

/// The place of a name among others; notes one that nothing has.
pub(super) fn resolve(walk: &mut Walk, what: What, name: &Placed, among: &[String]) -> Option<usize> {
    let found = among.iter().position(|id| *id == name.text && !id.is_empty());
    if found.is_none() && !name.text.is_empty() {
        let did_you_mean = most_like(&name.text, among.iter().map(String::as_str)).map(str::to_owned);
        let kind = DefectKind::NoSuch { what, found: name.text.clone(), did_you_mean };
        walk.defect(name.path.clone(), name.span.clone(), kind);
    }
    found
}

fn several(walk: &mut Walk, what: What, names: Option<Vec<Placed>>, among: &[String]) -> Vec<usize> {
    let mut found = Vec::new();
    for name in names.unwrap_or_default() {
        let Some(at) = resolve(walk, what, &name, among) else { continue };
        if found.contains(&at) {
            walk.defect(name.path, name.span, DefectKind::Twice { what, name: name.text });
        } else {
            found.push(at);
        }
    }
    found
}

fn cylinders(item: &Item<'_>, walk: &mut Walk) -> u8 {
    item.count_or(walk, "min_cyl", &CYLINDERS, 1) as u8
}

fn systems(item: &Item<'_>, walk: &mut Walk, key: &'static str) -> Vec<System> {
    item.words(walk, key, SYSTEMS, &System::ALL).unwrap_or_default()
}

fn cause(item: &Item<'_>, walk: &mut Walk, id: String, own: bool) -> Cause {
    item.refuse_unknown(walk, CAUSE);
    if !item.has("systems") {
        walk.defect(item.path_of("systems"), item.span.clone(), DefectKind::MissingKey { key: "systems" });
    }
    Cause {
        id,
        name: item.text(walk, "name").text,
        group: item.needed_word(walk, "group", GROUPS, &Group::ALL),
        systems: systems(item, walk, "systems"),
        strokes: item.counts(walk, "strokes", &STROKES),
        min_cyl: cylinders(item, walk),
        needs_battery: item.flag(walk, "needs_battery"),
        needs_regulator: item.flag(walk, "needs_regulator"),
        irreversible: item.flag(walk, "irreversible"),
        shows: item.text(walk, "shows").text,
        put_right: item.text(walk, "put_right").text,
        mend_minutes: item.number(walk, "mend_minutes", &MINUTES),
        own,
    }
}

/// A cause with a number beside it.
struct Numbered {
    cause: usize,
    number: f64,
    path: String,
    span: Range<usize>,
    only: Vec<System>,
}

/// Causes by name with a number beside each, each once.
fn numbered(
    item: &Item<'_>,
    walk: &mut Walk,
    (list, key, other): (&'static str, &'static str, &'static [&'static str]),
    limit: &'static Limit,
    causes: &[String],
) -> Vec<Numbered> {
    let mut found: Vec<Numbered> = Vec::new();
    for row in item.needed_tables(walk, list) {
        row.refuse_unknown(walk, other);
        let name = row.text(walk, "id");
        let number = row.number(walk, key, limit);
        let only = if other.contains(&"only") { systems(&row, walk, "only") } else { Vec::new() };
        let Some(cause) = resolve(walk, What::Cause, &name, causes) else { continue };
        if found.iter().any(|f| f.cause == cause) {
            walk.defect(name.path, name.span, DefectKind::Twice { what: What::Cause, name: name.text });
        } else {
            found.push(Numbered { cause, number, path: row.path_of(key), span: row.span_of(key), only });
        }
    }
    found
}

fn complaint(item: &Item<'_>, walk: &mut Walk, id: String, (tests, causes): (&[String], &[String]), own: bool) -> Complaint {
    item.refuse_unknown(walk, COMPLAINT);
    let weights = numbered(item, walk, ("causes", "w", &["id", "w", "only"]), &WEIGHT, causes);
    let other = item.number(walk, "other", &OTHER);
    let sum = weights.iter().map(|w| w.number).sum::<f64>() + other;
    if (sum - 100.0).abs() > SUM_SLACK {
        walk.defect(item.path_of("causes"), item.span_of("causes"), DefectKind::NotHundred { sum });
    }
    let bar_until = item.texts(walk, "bar_until");
    let ask = item.texts(walk, "ask").unwrap_or_default();
    Complaint {
        id,
        name: item.text(walk, "name").text,
        owner_says: item.text(walk, "owner_says").text,
        ask: ask.into_iter().map(|a| a.text).collect(),
        kind: item.needed_word(walk, "kind", KINDS, &Kind::ALL),
        when: item.needed_word(walk, "when", WHENS, &When::ALL),
        stop_first: item.optional_text(walk, "stop_first").map(|t| t.text),
        min_cyl: cylinders(item, walk),
        bar_states: item.words(walk, "bar_states", STATES, &State::ALL).unwrap_or_default(),
        bar_until: several(walk, What::Test, bar_until, tests),
        dead: item.flag(walk, "dead"),
        causes: weights.into_iter().map(|w| Weight { cause: w.cause, weight: w.number, only: w.only, jobs: 0 }).collect(),
        other,
        other_jobs: 0,
        own,
    }
}

fn test(item: &Item<'_>, walk: &mut Walk, id: String, (tests, causes): (&[String], &[String]), own: bool) -> Test {
    item.refuse_unknown(walk, TEST);
    let none = item.number(walk, "p_none", &CHANCE);
    let mut hits = Vec::new();
    for hit in numbered(item, walk, ("hits", "p", &["id", "p"]), &CHANCE, causes) {
        let chance = hit.number;
        if chance <= none {
            walk.defect(hit.path, hit.span, DefectKind::TellsNothing { chance, none });
        }
        hits.push(Hit { cause: hit.cause, chance, seen: Tally::default() });
    }
    let minutes = item.number(walk, "minutes", &MINUTES);
    let again = item.number(walk, "again", &MINUTES);
    if again > minutes {
        walk.defect(item.path_of("again"), item.span_of("again"), DefectKind::AgainLonger { first: minutes, again });
    }
    let after = item.texts(walk, "after");
    Test {
        id,
        name: item.text(walk, "name").text,
        tool: item.text(walk, "tool").text,
        state: item.needed_word(walk, "state", STATES, &State::ALL),
        setup: item.text(walk, "setup").text,
        minutes,
        again,
        how: item.text(walk, "how").text,
        expect: item.text(walk, "expect").text,
        positive: item.text(walk, "positive").text,
        if_positive: item.text(walk, "if_positive").text,
        if_negative: item.text(walk, "if_negative").text,
        danger: item.optional_text(walk, "danger").map(|t| t.text),
        applies: systems(item, walk, "applies"),
        strokes: item.counts(walk, "strokes", &STROKES),
        min_cyl: cylinders(item, walk),
        kinds: item.words(walk, "kinds", KINDS, &Kind::ALL).unwrap_or_default(),
        only_when: item.words(walk, "only_when", WHENS, &When::ALL).unwrap_or_default(),
        after: several(walk, What::Test, after, tests),
        sees: item.words(walk, "sees", WHENS, &When::ALL),
        repeats: item.flag(walk, "repeats"),
        needs_spare: item.flag(walk, "needs_spare"),
        must_run: item.flag(walk, "must_run"),
        none,
        none_seen: Tally::default(),
        hits,
        own,
    }
}
