//! The papers of a job: its log as it is to be printed.

use super::{Bench, Room, Trouble, alterations::leave, attachments, guard::Ends, now};
use crate::{
    beside::{self, Beside},
    left::gone,
    pictures,
    wire::BesideAnswer,
};
use axum::{
    Extension,
    extract::{Path, State},
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};
use jobbook::{Body, Entry, Finding, JobRecord, Kind, Part, Place, Present, Progress, Reading, Stage, Standing, Work};
use sheets::chart::Chart;
use sheets::job::{self, JobPaper, Label, LabelSize, Money, Paper, Picture};
use sheets::words::page as words;

use crate::left::left_and_found;

/// A paper as PDF.
pub(super) async fn paper(
    State(bench): Room,
    Extension(ends): Extension<Ends>,
    Path((number, file)): Path<(String, String)>,
) -> Result<Response, Trouble> {
    let broken = |words: String| Trouble { status: StatusCode::INTERNAL_SERVER_ERROR, title: words::BOOK_TROUBLE, words };
    let bytes = match file.strip_suffix(".pdf") {
        Some("label") => {
            let record = bench.book().job_by_number(&number)?;
            job::label_pdf(&label(&bench, &ends, &record), LabelSize::default())
                .map_err(|e| broken(sheets::words::no_label(&e)))?
        }
        Some(key) if Paper::of(key).is_some() => {
            let paper = Paper::of(key).unwrap_or(Paper::JobSheet);
            let job = gathered(&bench, &number)?;
            // Long jobs have many pages: not on a thread that answers others.
            let made = tokio::task::spawn_blocking(move || job::pdf(paper, &job)).await;
            made.map_err(|_| broken(sheets::words::COMPUTATION_BROKE.to_owned()))?
                .map_err(|e| broken(sheets::words::no_pdf(&e)))?
        }
        _ => return Ok(super::nothing_here().await),
    };
    let name = format!("inline; filename=\"{number}-{file}\"");
    Ok(([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, name)], bytes).into_response())
}

fn label(bench: &Bench, ends: &Ends, record: &JobRecord) -> Label {
    Label {
        number: record.number.clone(),
        machine: record.machine_name.clone(),
        date: sheets::words::on(record.opened_at),
        // Whoever scans it may hold a phone: in the workshop's network if that is served, under the address that is known to work.
        address: format!("http://{}/job/{}", bench.lan.first().filter(|_| ends.are_here()).unwrap_or(&ends.local), record.number),
    }
}

/// A job as it stands, for paper.
fn gathered(bench: &Bench, number: &str) -> Result<JobPaper, Trouble> {
    let (record, log, machine, found, left) = {
        let book = bench.book();
        let record = book.job_by_number(number)?;
        let log = book.log(Place::Job(record.id))?;
        let machine = book.present(Place::Machine(&record.machine))?;
        let (left, found) = left_and_found(&book, &record, &log)?;
        (record, log, machine, found, left)
    };
    let present = Present::of(log.iter().cloned());
    let headline = &record.headline;
    let totals = present.totals();
    Ok(JobPaper {
        machine: record.machine_name.clone(),
        number: record.number.clone(),
        opened: sheets::words::on(record.opened_at),
        handed_over: gone(&record, &log).map_or_else(String::new, |e| sheets::words::on(e.at)),
        printed: sheets::words::on(now()),
        complaint: headline.complaint.clone(),
        odometer: headline.odometer.clone(),
        may_spend: headline.spend.as_ref().map(Money::from),
        may_cut: headline.may_cut.clone(),
        custody: machine.custody().map_or_else(job::Custody::default, |(_, c)| job::Custody {
            owner: c.owner.clone(),
            contact: c.contact.clone(),
            plate: c.plate.clone(),
            frame: c.frame.clone(),
        }),
        readings: rows(&present),
        beside: beside(bench, &left.text, &present).into_iter().map(|b| b.said).collect(),
        findings: findings(&present),
        study: present.findings().next_back().map_or_else(Vec::new, |(_, f)| f.words.clone()),
        before: found.iter().filter_map(|f| curve(bench, &f.text)).map(picture).collect(),
        after: curve(bench, &left.text).map(picture).into_iter().collect(),
        parts: present.parts().map(|(s, p)| part(s, p)).collect(),
        times: present.works().map(|(s, w)| time(s, w)).collect(),
        alterations: present
            .alterations()
            .map(|(s, a)| job::Alteration {
                words: a.words.clone(),
                progress: match a.progress {
                    Progress::Planned => job::Progress::Planned,
                    Progress::Done => job::Progress::Done,
                    Progress::GivenUp => job::Progress::GivenUp,
                },
                planned: a.length_m.map_or_else(String::new, sheets::words::mm),
                irreversible: a.irreversible,
                consented: leave(&log, &present, s.entry.id).is_some(),
                who: s.entry.who.clone(),
                when: sheets::words::on(s.entry.at),
                ..job::Alteration::default()
            })
            .collect(),
        consents: present
            .consents()
            .map(|(_, c)| job::Consent {
                work: log.iter().find(|e| e.id == c.alteration).map_or_else(String::new, |e| words::entry(&e.body)),
                risk: c.risk.clone(),
                by: c.by.clone(),
                how: c.how.clone(),
                when: sheets::words::on(c.given_at),
            })
            .collect(),
        totals: totals
            .cost
            .iter()
            .map(|(currency, c)| Money { minor: c.parts.saturating_add(c.work), currency: currency.clone() })
            .collect(),
        unpriced: totals.unpriced,
        reminders: present
            .reminders()
            .map(|(_, r)| job::Reminder {
                what: r.what.clone(),
                due: sheets::words::on(r.due),
                done: r.done.map_or_else(String::new, sheets::words::on),
            })
            .collect(),
        notes: present
            .notes()
            .map(|(s, n)| job::Note {
                words: n.words.clone(),
                about: n.about.clone(),
                who: s.entry.who.clone(),
                when: sheets::words::at(s.entry.at),
            })
            .collect(),
        attachments: attachments::for_paper(&present),
        corrections: corrections(&log),
        ..JobPaper::default()
    })
}

/// Readings beside a machine's file, as far as that can be read.
fn beside(bench: &Bench, text: &str, present: &Present) -> Vec<Beside> {
    (*bench.read(text)).as_ref().map(|read| beside::of_job(&read.machine, present)).unwrap_or_default()
}

/// The readings of a job beside the machine's file, as JSON.
pub(super) async fn readings(State(bench): Room, Path(number): Path<String>) -> Result<Response, Trouble> {
    let (record, log, left) = {
        let book = bench.book();
        let record = book.job_by_number(&number)?;
        let log = book.log(Place::Job(record.id))?;
        let (left, _) = left_and_found(&book, &record, &log)?;
        (record, log, left)
    };
    let found = beside(&bench, &left.text, &Present::of(log));
    let answer = BesideAnswer::of(&record.number, &record.machine_name, &found).to_text();
    Ok(([(header::CONTENT_TYPE, "application/json")], answer).into_response())
}

/// Where the spark comes, drawn from a machine's file.
pub(super) fn curve(bench: &Bench, text: &str) -> Option<Chart> {
    let read = bench.read(text);
    pictures::curve((*read).as_ref().ok()?, None, None)
}

fn picture(chart: Chart) -> Picture {
    Picture::Chart(Box::new(chart))
}

/// The verdict of each study that was kept, the first one first.
fn findings(present: &Present) -> Vec<job::Finding> {
    let verdict = |f: &Finding| f.words.first().cloned();
    present.findings().filter_map(|(_, f)| verdict(f)).map(|words| job::Finding { words, plain: String::new() }).collect()
}

fn part(standing: &Standing, part: &Part) -> job::Part {
    job::Part {
        name: part.name.clone(),
        quantity: words::quantity(part.quantity),
        each: part.price.as_ref().map(Money::from),
        cost: part.cost().as_ref().map(Money::from),
        source: part.source.clone(),
        when: sheets::words::on(part.on.unwrap_or(standing.entry.at)),
    }
}

fn time(standing: &Standing, work: &Work) -> job::Time {
    job::Time {
        minutes: work.minutes,
        words: work.words.clone(),
        hourly: work.hourly.as_ref().map(Money::from),
        cost: work.cost().as_ref().map(Money::from),
        who: standing.entry.who.clone(),
        when: sheets::words::on(standing.entry.at),
    }
}

/// Readings by quantity and place, in the order in which they were first taken.
fn rows(present: &Present) -> Vec<job::ReadingRow> {
    let mut rows: Vec<(&str, job::ReadingRow)> = Vec::new();
    for (standing, r) in present.readings() {
        let at = rows.iter().position(|(what, row)| *what == r.what && row.place == r.place).unwrap_or_else(|| {
            let row = job::ReadingRow { quantity: r.words.clone(), place: r.place.clone(), ..job::ReadingRow::default() };
            rows.push((&r.what, row));
            rows.len() - 1
        });
        let row = &mut rows[at].1;
        let stage = match r.stage {
            Stage::AsFound => &mut row.found,
            Stage::During => &mut row.during,
            Stage::AsLeft => &mut row.left,
        };
        stage.push(taken(standing, r));
    }
    rows.into_iter().map(|(_, row)| row).collect()
}

fn taken(standing: &Standing, r: &Reading) -> job::Taken {
    job::Taken {
        value: r.typed.clone(),
        instrument: r.instrument.clone(),
        temperature: r.temperature_k.map_or_else(String::new, sheets::words::celsius),
        speed: r.crank_rad_s.map_or_else(String::new, sheets::words::rpm),
        condition: r.condition.as_ref().map_or_else(String::new, words::condition),
        who: standing.entry.who.clone(),
        when: sheets::words::at(r.taken_at),
    }
}

/// What took the place of what.
fn corrections(log: &[Entry]) -> Vec<job::Correction> {
    let before = |entry: &Entry| entry.replaces.and_then(|id| log.iter().find(|e| e.id == id));
    log.iter()
        .filter_map(|now| before(now).map(|was| (was, now)))
        .map(|(was, now)| {
            let back = now.body.kind() == Some(Kind::Withdrawn);
            job::Correction {
                what: words::kind(&was.body).to_owned(),
                was: words::entry(&was.body),
                now: if back { String::new() } else { words::entry(&now.body) },
                who: now.who.clone(),
                when: sheets::words::at(now.at),
                why: if let Body::Withdrawn(w) = &now.body { w.why.clone() } else { String::new() },
            }
        })
        .collect()
}
