//! The owner's page: what was wrong, what was done and why, what it cost, and what to do from here.

use super::{Alteration, JobPaper, Progress, pieces};
use crate::flow::{Flow, Sign};
use crate::words::{self, job as text, job::owner as plain};

/// On one page where it fits, closer set if need be.
pub fn flow(job: &JobPaper) -> Flow {
    let airy = written(Flow::new(text::HAND_OVER), job);
    if airy.count() > 1 {
        let dense = written(Flow::new(text::HAND_OVER).dense(), job);
        if dense.count() == 1 {
            return dense;
        }
    }
    airy
}

fn written(mut flow: Flow, job: &JobPaper) -> Flow {
    let boxes = [
        (text::JOB, job.number.as_str()),
        (text::BROUGHT_IN, &job.opened),
        (text::HANDED_OVER, &job.handed_over),
        (text::ODOMETER, &job.odometer),
    ];
    pieces::head(&mut flow, job, text::HAND_OVER, &boxes);
    if !job.complaint.is_empty() {
        flow.side_heading(plain::TOLD_US);
        flow.body(&job.complaint);
    }
    flow.side_heading(plain::WRONG);
    let wrong: Vec<&str> = job.findings.iter().map(|f| either(&f.plain, &f.words)).collect();
    list(&mut flow, &wrong, None);
    work(&mut flow, job);
    if !(job.parts.is_empty() && job.times.is_empty() && job.totals.is_empty()) {
        flow.side_heading(plain::COST);
        pieces::costs(&mut flow, job, false);
    }
    flow.side_heading(plain::LISTEN);
    for what in job.listen_for.iter().map(String::as_str).chain(plain::LISTEN_FOR) {
        flow.item(Sign::Bullet, what);
    }
    flow.body(plain::CALL_US);
    flow.side_heading(plain::BEWARE);
    flow.warnings(words::cautions_for_owner());
    flow.side_heading(plain::COME_BACK);
    let due: Vec<String> =
        job.reminders.iter().filter(|r| r.done.is_empty()).map(|r| pieces::joined(&[&r.due, &r.what])).collect();
    list(&mut flow, &due, None);
    flow.side_heading(plain::OLD_PARTS);
    if job.old_parts.is_empty() {
        flow.ticks(&plain::OLD_PARTS_TICKS, 3);
    } else {
        flow.body(&format!("{} {}.", plain::GIVEN_BACK, job.old_parts.join(", ")));
    }
    flow.full_width();
    flow.blanks(&plain::SIGNATURES);
    flow
}

fn either<'a>(plain: &'a str, words: &'a str) -> &'a str {
    if plain.is_empty() { words } else { plain }
}

/// Sentences, or the one that stands in their place, or lines to write on: what is not noted is not denied either.
fn list<S: AsRef<str>>(flow: &mut Flow, sentences: &[S], none: Option<&str>) {
    for s in sentences {
        flow.item(Sign::Bullet, s.as_ref());
    }
    match none {
        _ if !sentences.is_empty() => {}
        Some(none) => flow.body(none),
        None => flow.write_lines(1),
    }
}

fn work(flow: &mut Flow, job: &JobPaper) {
    let with_why = |a: &Alteration| {
        let words = either(&a.plain, &a.words);
        if a.why.is_empty() { words.to_owned() } else { format!("{} — {}", words.trim_end_matches('.'), a.why) }
    };
    let of = |progress| job.alterations.iter().filter(move |a| a.progress == progress);
    let noted = !job.alterations.is_empty();
    flow.side_heading(plain::DONE);
    list(flow, &of(Progress::Done).map(with_why).collect::<Vec<_>>(), noted.then_some(plain::NOTHING_DONE));
    let not_done: Vec<_> = of(Progress::GivenUp).chain(of(Progress::Planned)).map(with_why).collect();
    if !not_done.is_empty() {
        flow.side_heading(plain::NOT_DONE);
        list(flow, &not_done, None);
    }
    flow.side_heading(plain::FOR_GOOD);
    let for_good: Vec<_> = of(Progress::Done).filter(|a| a.irreversible).map(|a| either(&a.plain, &a.words)).collect();
    list(flow, &for_good, noted.then_some(plain::NOTHING_FOR_GOOD));
}
