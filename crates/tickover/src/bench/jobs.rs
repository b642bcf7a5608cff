//! Jobs: opened with the owner's words, filled with readings (see [`super::readings`]) and notes as the work goes on, handed over.
//! Everything is an entry in the book's log, so nothing here changes or removes what was written.

use super::{
    Bench, Room, Trouble, alterations, around,
    asked::Asked,
    costs,
    fault::Search,
    guard::cookie,
    known, now, pair, papers,
    view::{job as view, jobs as lists, sheet},
    works::Outcome,
};
use crate::left::left_and_found;
use axum::{
    extract::{Form, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Redirect, Response},
};
use jobbook::{
    Body, Book, BookError, Custody, Draft, EntryId, Headline, JobRecord, JobState, Note, Place, Present, Reminder, Stamp,
    UnixSeconds,
};
use serde::Deserialize;
use sheets::words::page as words;
use std::sync::Arc;

/// Cookie with the name that this device writes under.
const WHO: &str = "who";
/// Longest name of a writer [letters].
const LONGEST_WHO: usize = 40;
/// Jobs on one page of a list.
const PAGE: u32 = 40;
/// Machines and jobs that a search shows.
const FOUND: u32 = 30;

/// The name that this device writes under, as its cookie has it.
pub(super) fn who(headers: &HeaderMap) -> String {
    let decoded =
        cookie(headers, WHO).and_then(|text| serde_urlencoded::from_str::<Vec<(String, String)>>(&format!("w={text}")).ok());
    decoded.and_then(|pairs| pairs.into_iter().next()).map(|(_, name)| name).unwrap_or_default()
}

/// Back to a page, and the name remembered for next time.
pub(super) fn back(to: &str, who: &str) -> Response {
    let name: String = who.trim().chars().take(LONGEST_WHO).collect();
    let pair = serde_urlencoded::to_string([(WHO, name)]).unwrap_or_default();
    let cookie = format!("{pair}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict");
    ([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response()
}

/// Back to a job, which shows what was kept under a mark, at this place.
pub(super) fn after(number: &str, mark: &str, place: &str, who: &str) -> Response {
    let sent = serde_urlencoded::to_string([("sent", mark)]).unwrap_or_default();
    back(&format!("/job/{number}?{sent}#{place}"), who)
}

pub(super) fn stamp(who: &str) -> Stamp<'_> {
    Stamp { who: who.trim(), at: now() }
}

/// When what came under a mark was kept first; now, if it has not come before. With it, what is sent again later is the same.
pub(super) fn first_sent(book: &Book, mark: &str) -> Result<UnixSeconds, BookError> {
    Ok(book.sent(mark)?.map_or_else(now, |entry| entry.at))
}

/// What waits in the book: jobs that are open or waiting, and what is due.
pub(super) fn waiting(book: &Book) -> Result<lists::Waiting, BookError> {
    Ok(lists::Waiting {
        open: book.jobs(Some(JobState::Open), None, PAGE)?,
        waiting: book.jobs(Some(JobState::Waiting), None, PAGE)?,
        due: book.reminders_due(now())?,
    })
}

#[derive(Deserialize)]
pub(super) struct Wanted {
    #[serde(default)]
    q: String,
}

/// Machines and jobs with all the words typed.
pub(super) async fn find(
    State(bench): Room,
    Query(wanted): Query<Wanted>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let found = bench.book().search(&wanted.q, FOUND)?;
    let page = lists::found(&wanted.q, &found, FOUND);
    Ok(Html(sheet::page(around(&uri, &headers), words::FIND, &page)).into_response())
}

/// All jobs of one machine, and a form for the next.
pub(super) async fn history(asked: Asked, headers: HeaderMap) -> Result<Response, Trouble> {
    let (record, jobs, present) = {
        let book = asked.bench.book();
        (book.machine(&asked.slug)?, book.jobs_of(&asked.slug)?, book.present(Place::Machine(&asked.slug))?)
    };
    let page = lists::history(&record, &jobs, present.custody(), &who(&headers), &pair::token());
    Ok(Html(sheet::page(asked.around(), &record.name, &page)).into_response())
}

#[derive(Deserialize)]
pub(super) struct NewJob {
    complaint: String,
    #[serde(default)]
    odometer: String,
    #[serde(default)]
    may_cut: String,
    who: String,
    token: String,
}

/// Opens a job.
pub(super) async fn open(asked: Asked, Form(form): Form<NewJob>) -> Result<Response, Trouble> {
    let mut book = asked.bench.book();
    // The file may have been changed since the first of two equal requests.
    let file_as_found = match book.sent(&form.token)?.map(|entry| entry.body) {
        Some(Body::Headline(first)) => first.file_as_found,
        _ => Some(book.machine(&asked.slug)?.newest.number),
    };
    let headline = Headline {
        complaint: form.complaint.trim().to_owned(),
        odometer: form.odometer.trim().to_owned(),
        may_cut: form.may_cut.trim().to_owned(),
        file_as_found,
        ..Headline::default()
    };
    if headline.complaint.is_empty() {
        return Err(refused(words::NO_COMPLAINT.to_owned()));
    }
    let (job, _) = book.open_job(&asked.slug, stamp(&form.who), headline, Some(&form.token))?;
    let number = book.job(job)?.number;
    Ok(back(&format!("/job/{number}"), &form.who))
}

#[derive(Deserialize)]
pub(super) struct Keeper {
    #[serde(default)]
    owner: String,
    #[serde(default)]
    contact: String,
    #[serde(default)]
    plate: String,
    #[serde(default)]
    frame: String,
    replaces: Option<String>,
    who: String,
}

/// Notes whose machine it is.
pub(super) async fn custody(asked: Asked, Form(form): Form<Keeper>) -> Result<Response, Trouble> {
    let draft = Draft::new(Custody { owner: form.owner, contact: form.contact, plate: form.plate, frame: form.frame });
    let draft = Draft { replaces: entry_id(form.replaces.as_deref())?, ..draft };
    asked.bench.book().append(Place::Machine(&asked.slug), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/machine/{}/jobs", asked.slug), &form.who))
}

pub(super) fn entry_id(text: Option<&str>) -> Result<Option<EntryId>, Trouble> {
    match text {
        None | Some("") => Ok(None),
        Some(number) => number.parse().map(|n| Some(EntryId(n))).map_err(|_| refused(words::NO_SUCH_ENTRY.to_owned())),
    }
}

pub(super) fn refused(words: String) -> Trouble {
    Trouble { status: StatusCode::UNPROCESSABLE_ENTITY, title: words::NOT_KEPT, words }
}

#[derive(Deserialize)]
pub(super) struct Just {
    /// The mark of what this device sent just before.
    #[serde(default)]
    sent: String,
}

/// A job's card.
pub(super) async fn job(
    State(bench): Room,
    Path(number): Path<String>,
    Query(just): Query<Just>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let kept = {
        let book = bench.book();
        let job = book.job_by_number(&number)?;
        book.sent(&just.sent)?.filter(|entry| entry.job == Some(job.id))
    };
    show(&bench, &number, around(&uri, &headers), &who(&headers), &view::Typed { kept, ..view::Typed::default() })
}

pub(super) fn show(
    bench: &Arc<Bench>,
    number: &str,
    around: sheet::Around,
    who: &str,
    typed: &view::Typed,
) -> Result<Response, Trouble> {
    let (record, mut log, instruments, machine, text, found) = {
        let book = bench.book();
        let record = book.job_by_number(number)?;
        let machine = book.present(Place::Machine(&record.machine))?;
        let log = book.log(Place::Job(record.id))?;
        let (left, found) = left_and_found(&book, &record, &log)?;
        (record, log, book.instruments()?, machine, left.text, found)
    };
    // The card shows what was said of a study; its figures are by far the longest entries, and would be copied for nothing.
    for entry in &mut log {
        if let Body::Finding(finding) = &mut entry.body {
            finding.result = serde_json::Value::Null;
        }
    }
    let present = Present::of(log.iter().cloned());
    let read = bench.read(&text);
    // What was handed over is not worked out anew.
    let wanted = record.headline.state != JobState::HandedOver;
    let work = match &*read {
        Ok(read) if wanted => Some(bench.work(&record.machine, read, &text)),
        Ok(_) => bench.works.look(&record.machine, &text),
        Err(_) => None,
    };
    let study = match (&*read, work.as_ref().map(|work| (work, work.outcome()))) {
        (Err(_), _) => view::Study::Defects,
        (Ok(_), None) => view::Study::NotAsked,
        (Ok(_), Some((work, None))) => view::Study::Running(&work.progress),
        (Ok(_), Some((_, Some(Outcome::Found(answer))))) => view::Study::Found(answer),
        (Ok(_), Some((_, Some(Outcome::Stopped)))) => view::Study::Stopped,
        (Ok(_), Some((_, Some(Outcome::Broken)))) => view::Study::Broken,
    };
    let inputs = known::inputs(&text);
    let defects = read.as_ref().as_ref().err().map_or(0, Vec::len);
    let custody = machine.custody().map(|(_, c)| c);
    let job = view::Job {
        record: &record,
        log: &log,
        present: &present,
        instruments: &instruments,
        who,
        token: &pair::token(),
        typed,
        known: &known::of(&record, &log, &present, custody, &inputs, defects, study),
        inputs: &inputs,
        study,
        curves: found.and_then(|found| Some((papers::curve(bench, &found.text)?, papers::curve(bench, &text)?))),
        faults: bench.faults(),
        currency: known::currency(&log),
    };
    let page = Html(sheet::page(around, &format!("{} {}", record.number, record.machine_name), &job.render()));
    let status =
        if typed.wrong.is_empty() && typed.filled.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, page).into_response())
}

pub(super) fn record(bench: &Arc<Bench>, number: &str) -> Result<JobRecord, Trouble> {
    Ok(bench.book().job_by_number(number)?)
}

#[derive(Deserialize)]
pub(super) struct Noted {
    words: String,
    who: String,
    token: String,
}

/// Keeps a note.
pub(super) async fn note(State(bench): Room, Path(number): Path<String>, Form(form): Form<Noted>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let words = form.words.trim().replace("\r\n", "\n");
    if words.is_empty() {
        return Err(refused(words::NO_WORDS.to_owned()));
    }
    let draft = Draft::new(Note { words, about: String::new() }).token(form.token);
    bench.book().append(Place::Job(job.id), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/job/{number}#measure"), &form.who))
}

#[derive(Deserialize)]
pub(super) struct Stands {
    complaint: String,
    #[serde(default)]
    odometer: String,
    #[serde(default)]
    may_cut: String,
    #[serde(default)]
    spend: String,
    state: JobState,
    replaces: String,
    who: String,
}

/// Changes what the job is and how it stands. What it was stays in the log.
pub(super) async fn headline(
    State(bench): Room,
    Path(number): Path<String>,
    Form(form): Form<Stands>,
) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    let headline = Headline {
        spend: costs::price(&book, &job, &form.spend)?,
        complaint: form.complaint.trim().replace("\r\n", "\n"),
        odometer: form.odometer.trim().to_owned(),
        may_cut: form.may_cut.trim().to_owned(),
        state: form.state,
        ..job.headline.clone()
    };
    if headline.complaint.is_empty() {
        return Err(refused(words::NO_COMPLAINT.to_owned()));
    }
    let draft = Draft { replaces: entry_id(Some(&form.replaces))?, ..Draft::new(headline) };
    book.append(Place::Job(job.id), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/job/{number}"), &form.who))
}

#[derive(Deserialize)]
pub(super) struct Later {
    what: String,
    due: String,
    who: String,
    token: String,
}

/// Keeps a reminder.
pub(super) async fn reminder(
    State(bench): Room,
    Path(number): Path<String>,
    Form(form): Form<Later>,
) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let due = sheets::words::day(&form.due).ok_or_else(|| refused(words::no_such_day(&form.due)))?;
    if form.what.trim().is_empty() {
        return Err(refused(words::NO_WORDS.to_owned()));
    }
    let draft = Draft::new(Reminder { what: form.what.trim().to_owned(), due, done: None }).token(form.token);
    bench.book().append(Place::Job(job.id), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/job/{number}#hand-over"), &form.who))
}

#[derive(Deserialize)]
pub(super) struct Which {
    entry: i64,
    who: String,
    /// The fold to come back to.
    #[serde(default)]
    then: String,
    /// What the address of a search says beside the answers.
    #[serde(default)]
    said: String,
}

/// Marks a reminder as done.
pub(super) async fn done(State(bench): Room, Path(number): Path<String>, Form(form): Form<Which>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    let Body::Reminder(reminder) = book.entry(EntryId(form.entry))?.body else {
        return Err(refused(words::NO_SUCH_ENTRY.to_owned()));
    };
    let draft = Draft::new(Reminder { done: Some(now()), ..reminder }).replacing(EntryId(form.entry));
    book.append(Place::Job(job.id), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/job/{number}#hand-over"), &form.who))
}

/// Undoes what an entry did: what stood before it stands again.
pub(super) async fn undo(State(bench): Room, Path(number): Path<String>, Form(form): Form<Which>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    if book.entry(EntryId(form.entry))?.job != Some(job.id) {
        return Err(refused(words::NO_SUCH_ENTRY.to_owned()));
    }
    allowed_again(&book, &job, EntryId(form.entry))?;
    book.undo(EntryId(form.entry), stamp(&form.who), None)?;
    if form.then == "fault" {
        return Ok(back(&Search::of(Some(&form.said)).at(&format!("/job/{number}/fault"), &[]), &form.who));
    }
    let fold = if form.then == "measure" { "measure" } else { "log" };
    Ok(back(&format!("/job/{number}#{fold}"), &form.who))
}

/// What undoing an entry brings back must be allowed as it would be the first time: work that cannot be undone does not stand as done again
/// without leave.
fn allowed_again(book: &Book, job: &JobRecord, entry: EntryId) -> Result<(), Trouble> {
    let Some(before) = book.entry(entry)?.replaces else { return Ok(()) };
    let Body::Alteration(alteration) = book.entry(before)?.body else { return Ok(()) };
    let log = book.log(Place::Job(job.id))?;
    alterations::may_stand(&alteration, &log, &Present::of(log.iter().cloned()), before)
}

/// So many days from now.
pub(super) fn in_days(days: i64) -> UnixSeconds {
    UnixSeconds(now().0 + days * 86_400)
}
