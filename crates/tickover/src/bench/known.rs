//! What is known of a job: its log, its machine and the study of it, taken together.

use super::{alterations::leave, view::job::Study};
use crate::desk::Answer;
use jobbook::{Body, ContentHash, Custody, Entry, JobRecord, JobState, Present, Price, Progress, Reading, Stage};
use workshop::{
    job::steps::{Advised, Known, Planned, StudyState},
    study::trim::Advice,
};

/// What is known of a job; `inputs` is the hash of the machine's file, `defects` what is wrong with it.
pub(super) fn of(
    job: &JobRecord,
    log: &[Entry],
    present: &Present,
    custody: Option<&Custody>,
    inputs: &str,
    defects: usize,
    study: Study,
) -> Known {
    let headline = &job.headline;
    let open: Vec<_> = present.alterations().filter(|(_, a)| a.progress == Progress::Planned).collect();
    let answer = if let Study::Found(answer) = study { Some(answer) } else { None };
    Known {
        handed_over: headline.state == JobState::HandedOver,
        whose: custody.is_some_and(|c| !c.owner.is_empty()),
        odometer: !headline.odometer.is_empty(),
        may_cut: !headline.may_cut.is_empty(),
        as_found: present.readings().filter(|(_, r)| r.stage == Stage::AsFound).count(),
        not_as_left: not_as_left(present),
        defects,
        study: match study {
            Study::Defects | Study::NotAsked => StudyState::Unknown,
            Study::Running(_) => StudyState::Running,
            Study::Stopped | Study::Broken => StudyState::Stopped,
            Study::Found(_) => match present.findings().next_back() {
                None => StudyState::Found,
                Some((_, kept)) if kept.inputs == inputs && kept.program == PROGRAM => StudyState::Kept,
                Some(_) => StudyState::KeptEarlier,
            },
        },
        advised: answer.and_then(advised),
        turns_on: answer.and_then(|a| a.idle().ok()?.depends.iter().find(|d| d.turns_the_verdict()).map(|d| d.on)),
        planned: open
            .iter()
            .map(|(s, a)| Planned {
                words: a.words.clone(),
                wants_leave: a.irreversible && leave(log, present, s.entry.id).is_none(),
            })
            .collect(),
        done: present.alterations().filter(|(_, a)| a.progress == Progress::Done).count(),
        noted_work: present.alterations().count(),
        reminders: present.reminders().count(),
    }
}

/// Version of this program, which the findings of another one are told from.
pub(super) const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Hash of what a study reads.
pub(super) fn inputs(text: &str) -> String {
    ContentHash::of(text.as_bytes()).as_str().to_owned()
}

/// What was measured as found and not as left, each once, in the order in which it was measured.
fn not_as_left(present: &Present) -> Vec<String> {
    let of = |stage| present.readings().map(|(_, r)| r).filter(move |r| r.stage == stage);
    let same = |a: &Reading, b: &Reading| a.what == b.what && a.place == b.place;
    let mut missing: Vec<String> = Vec::new();
    for reading in of(Stage::AsFound).filter(|found| !of(Stage::AsLeft).any(|left| same(found, left))) {
        let place = if reading.place.is_empty() { String::new() } else { format!(", {}", reading.place) };
        let what = format!("{}{place}", reading.words);
        if !missing.contains(&what) {
            missing.push(what);
        }
    }
    missing
}

fn advised(answer: &Answer) -> Option<Advised> {
    Some(match answer.trim().ok()?.advice {
        Advice::NoneNeeded | Advice::NoCutServes { .. } | Advice::RuleOutFirst { .. } => Advised::Nothing,
        Advice::TryReversibleFirst { .. } => Advised::Reversible,
        Advice::Cut(_) => Advised::Cut,
    })
}

/// The currency that was used last in a job.
pub(super) fn currency(log: &[Entry]) -> Option<&str> {
    log.iter().rev().find_map(|e| price(&e.body)).map(|p| p.currency.as_str())
}

fn price(body: &Body) -> Option<&Price> {
    match body {
        Body::Part(part) => part.price.as_ref(),
        Body::Work(work) => work.hourly.as_ref(),
        Body::Headline(headline) => headline.spend.as_ref(),
        _ => None,
    }
}
