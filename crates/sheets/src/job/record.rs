//! The shop record: everything, for whoever opens this machine next.

use super::{JobPaper, Progress, pieces};
use crate::flow::{Cell, Column, Flow, Para, Sign};
use crate::words::job as text;

pub fn flow(job: &JobPaper) -> Flow {
    let mut flow = Flow::new(text::SHOP_RECORD);
    let boxes = [
        (text::JOB, job.number.as_str()),
        (text::OPENED, &job.opened),
        (text::HANDED_OVER, &job.handed_over),
        (text::ODOMETER, &job.odometer),
    ];
    pieces::head(&mut flow, job, text::SHOP_RECORD, &boxes);
    custody(&mut flow, job);
    pieces::complaint(&mut flow, job);
    pieces::machine(&mut flow, job);
    pieces::allowed(&mut flow, job);
    sentences(&mut flow, text::FOUND, job.findings.iter().map(|f| f.words.as_str()));
    sentences(&mut flow, text::STUDY, job.study.iter().map(String::as_str));
    if !job.readings.is_empty() {
        flow.heading(text::READINGS_HERE);
        pieces::readings(&mut flow, &job.readings, 0);
        pieces::beside(&mut flow, job);
    }
    pieces::pictures(&mut flow, text::BEFORE, &job.before);
    alterations(&mut flow, job);
    if !job.consents.is_empty() {
        flow.heading(text::CONSENT);
        pieces::consents(&mut flow, job);
    }
    pieces::pictures(&mut flow, text::AFTER, &job.after);
    costs(&mut flow, job);
    kept(&mut flow, job);
    history(&mut flow, job);
    flow
}

fn custody(flow: &mut Flow, job: &JobPaper) {
    let c = &job.custody;
    let facts = [(text::OWNER, &c.owner), (text::CONTACT, &c.contact), (text::PLATE, &c.plate), (text::FRAME, &c.frame)];
    if facts.iter().all(|(_, value)| value.is_empty()) {
        return;
    }
    flow.heading(text::CUSTODY);
    flow.body(text::STAYS_HERE);
    for (name, value) in facts {
        flow.fact(name, value);
    }
}

fn sentences<'a>(flow: &mut Flow, heading: &str, sentences: impl Iterator<Item = &'a str>) {
    let mut sentences = sentences.peekable();
    if sentences.peek().is_some() {
        flow.heading(heading);
    }
    for sentence in sentences {
        flow.item(Sign::Bullet, sentence);
    }
}

fn alterations(flow: &mut Flow, job: &JobPaper) {
    if job.alterations.is_empty() {
        return;
    }
    flow.heading(text::ALTERATIONS);
    let rows = job.alterations.iter().map(|a| {
        let mut what = vec![Para::body(&a.words)];
        what.extend(pieces::about(a).into_iter().map(Para::small));
        if a.irreversible {
            what.push(Para::strong(text::CANNOT_BE_UNDONE));
        }
        let state = match a.progress {
            Progress::Planned => text::PLANNED,
            Progress::Done => text::DONE,
            Progress::GivenUp => text::GIVEN_UP,
        };
        let by = pieces::joined(&[&a.when, &a.who]);
        vec![Cell::Text(what), Cell::Text(vec![Para::strong(state), Para::small(by)])]
    });
    flow.grid(&[Column::new(text::WORK, 3.0), Column::new(text::STATE, 1.0)], rows.collect());
}

fn costs(flow: &mut Flow, job: &JobPaper) {
    if job.parts.is_empty() && job.times.is_empty() && job.totals.is_empty() {
        return;
    }
    flow.heading(text::PARTS_AND_TIME);
    pieces::costs(flow, job, true);
    if !job.times.is_empty() {
        flow.fact(text::TIME_IN_ALL, &text::time(job.times.iter().map(|t| u64::from(t.minutes)).sum()));
    }
}

/// Reminders, notes, and the names of what the job book holds.
fn kept(flow: &mut Flow, job: &JobPaper) {
    let reminders: Vec<String> = job
        .reminders
        .iter()
        .map(|r| {
            let done = if r.done.is_empty() { String::new() } else { text::was_done(&r.done) };
            pieces::joined(&[&r.due, &r.what, &done])
        })
        .collect();
    sentences(flow, text::REMINDERS, reminders.iter().map(String::as_str));
    let given_back = job.old_parts.join(", ");
    sentences(flow, text::owner::OLD_PARTS, job.old_parts.first().map(|_| given_back.as_str()).into_iter());
    let notes: Vec<String> = job.notes.iter().map(|n| pieces::joined(&[&n.words, &n.about, &n.who, &n.when])).collect();
    sentences(flow, text::NOTES, notes.iter().map(String::as_str));
    let files: Vec<String> = job.attachments.iter().map(|a| pieces::joined(&[&a.file, &a.words, &a.stage, &a.when])).collect();
    sentences(flow, text::ATTACHMENTS, files.iter().map(String::as_str));
}

fn history(flow: &mut Flow, job: &JobPaper) {
    if job.corrections.is_empty() {
        return;
    }
    flow.heading(text::HISTORY);
    flow.body(text::HISTORY_TEXT);
    let rows = job.corrections.iter().map(|c| {
        let now = if c.now.is_empty() { text::TAKEN_BACK } else { &c.now };
        vec![
            Cell::body(&c.what),
            Cell::body(&c.was),
            Cell::body(now),
            Cell::Text(vec![Para::small(pieces::joined(&[&c.who, &c.when, &c.why]))]),
        ]
    });
    let columns = [
        Column::new(text::WHAT, 0.9),
        Column::new(text::WAS, 1.2),
        Column::new(text::NOW, 1.2),
        Column::new(text::WHO_WHEN, 1.2),
    ];
    flow.grid(&columns, rows.collect());
}
