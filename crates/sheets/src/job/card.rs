//! The job sheet: the card on paper, to be worked from and written on.

use super::{Alteration, JobPaper, Progress, pieces};
use crate::flow::{Flow, Sign};
use crate::font::Weight;
use crate::scene::Ink;
use crate::words::{self, job as text, sheet};

/// Rows to write in where no reading is asked for yet.
const BLANK_ROWS: usize = 5;

pub fn flow(job: &JobPaper) -> Flow {
    let mut flow = Flow::new(text::JOB_SHEET);
    let boxes = [
        (text::JOB, job.number.as_str()),
        (text::OPENED, &job.opened),
        (text::HANDED_OVER, &job.handed_over),
        (text::ODOMETER, &job.odometer),
    ];
    pieces::head(&mut flow, job, text::JOB_SHEET, &boxes);
    pieces::complaint(&mut flow, job);
    pieces::machine(&mut flow, job);
    pieces::allowed(&mut flow, job);
    look_first(&mut flow);
    found(&mut flow, job);
    readings(&mut flow, job);
    plan(&mut flow, job);
    consent(&mut flow, job);
    flow.heading(text::NOTES);
    for note in &job.notes {
        flow.item(Sign::Bullet, &pieces::joined(&[&note.words, &note.about, &note.who, &note.when]));
    }
    flow.write_lines(3);
    flow.body(sheet::DEFER);
    flow
}

fn look_first(flow: &mut Flow) {
    flow.heading(text::LOOK_FIRST);
    flow.body(text::LOOK_FIRST_TEXT);
    flow.ticks(&text::STOP_FIRST, 3);
}

fn found(flow: &mut Flow, job: &JobPaper) {
    flow.heading(text::FOUND);
    for finding in &job.findings {
        flow.item(Sign::Bullet, &finding.words);
    }
    if job.findings.is_empty() {
        flow.write_lines(3);
    }
}

fn readings(flow: &mut Flow, job: &JobPaper) {
    flow.heading(text::READINGS_HERE);
    flow.warnings(words::cautions_for_test());
    flow.warnings(words::cautions_for_run());
    flow.body(text::READINGS_TEXT);
    pieces::readings(flow, &job.readings, if job.readings.is_empty() { BLANK_ROWS } else { 1 });
}

/// Work by steps to tick, the cautions before the first that cannot be undone.
fn plan(flow: &mut Flow, job: &JobPaper) {
    flow.heading(text::PLAN);
    let mut warned = false;
    let (mut planned, mut other): (Vec<&Alteration>, Vec<&Alteration>) = (Vec::new(), Vec::new());
    for a in &job.alterations {
        if a.progress == Progress::Planned { planned.push(a) } else { other.push(a) }
    }
    for a in other {
        let state = if a.progress == Progress::Done { text::DONE } else { text::GIVEN_UP };
        flow.item(Sign::Bullet, &format!("{} — {}", a.words, pieces::joined(&[&text::state_on(state, &a.when), &a.who])));
        under(flow, a);
    }
    for (n, a) in planned.iter().enumerate() {
        if a.irreversible && !warned {
            pieces::cautions(flow, words::cautions_for_cut());
            warned = true;
        }
        flow.item(Sign::Step(n + 1), &a.words);
        under(flow, a);
    }
    if planned.is_empty() {
        flow.write_lines(4);
    }
}

/// What belongs to a step, indented under it.
fn under(flow: &mut Flow, a: &Alteration) {
    const INDENT: f64 = 10.1;
    for said in pieces::about(a) {
        flow.text(&said, crate::flow::BODY, Weight::Regular, Ink::Soft, INDENT);
    }
    if a.irreversible {
        flow.text(text::CANNOT_BE_UNDONE, crate::flow::BODY, Weight::Bold, Ink::Ink, INDENT);
        if !a.consented && a.progress == Progress::Planned {
            flow.text(text::NO_CONSENT, crate::flow::BODY, Weight::Bold, Ink::Ink, INDENT);
        }
    }
    flow.gap(1.2);
}

/// Consents given, and places to sign for what still wants one.
fn consent(flow: &mut Flow, job: &JobPaper) {
    let wanted: Vec<_> =
        job.alterations.iter().filter(|a| a.irreversible && !a.consented && a.progress == Progress::Planned).collect();
    if wanted.is_empty() && job.consents.is_empty() {
        return;
    }
    flow.heading(text::CONSENT);
    pieces::consents(flow, job);
    for a in wanted {
        flow.keep(60.0);
        flow.fact(text::AGREED_WORK, &pieces::joined(&[&a.words, &a.planned]));
        flow.fact_blank(text::RISK);
        flow.gap(1.5);
        flow.body(text::CONSENT_TEXT);
        flow.blanks(&[sheet::SIGN_OWNER, sheet::SIGN_MECHANIC]);
    }
}
