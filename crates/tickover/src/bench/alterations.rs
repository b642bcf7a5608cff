//! Work that changes the machine: planned, allowed where it cannot be undone, done or given up.

use super::{
    Room, Trouble,
    jobs::{back, first_sent, record, refused, stamp},
};
use axum::{
    extract::{Form, Path, State},
    response::Response,
};
use jobbook::{Alteration, Body, Consent, Draft, Entry, EntryId, Place, Present, Progress};
use quantity::Dimension;
use serde::Deserialize;
use sheets::words::page as words;
use workshop::job::TRIM;

#[derive(Deserialize)]
pub(super) struct Plan {
    words: String,
    #[serde(default)]
    length: String,
    irreversible: Option<String>,
    #[serde(default)]
    work: String,
    who: String,
    token: String,
}

/// Plans work.
pub(super) async fn plan(State(bench): Room, Path(number): Path<String>, Form(form): Form<Plan>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let words = form.words.trim().replace("\r\n", "\n");
    if words.is_empty() {
        return Err(refused(words::NO_WORDS.to_owned()));
    }
    let length_m = match form.length.trim() {
        "" => None,
        text => {
            let reading = quantity::Reading::parse(text, Dimension::Length);
            Some(reading.map_err(|e| refused(sheets::words::reading_error(&e)))?.si)
        }
    };
    let alteration = Alteration {
        irreversible: form.irreversible.is_some() || form.work == TRIM,
        work: form.work,
        progress: Progress::Planned,
        words,
        length_m,
        angle_rad: None,
        measured_after: Vec::new(),
    };
    bench.book().append(Place::Job(job.id), stamp(&form.who), &[Draft::new(alteration).token(form.token)])?;
    Ok(back(&format!("/job/{number}#alter"), &form.who))
}

#[derive(Deserialize)]
pub(super) struct Leave {
    entry: i64,
    by: String,
    how: String,
    who: String,
    token: String,
}

/// Notes the owner's leave for work that cannot be undone, with the sentence of risk that stands on the card.
pub(super) async fn consent(
    State(bench): Room,
    Path(number): Path<String>,
    Form(form): Form<Leave>,
) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let (by, how) = (form.by.trim(), form.how.trim());
    if by.is_empty() || how.is_empty() {
        return Err(refused(words::CONSENT_OF_WHOM.to_owned()));
    }
    let mut book = bench.book();
    let alteration = EntryId(form.entry);
    let present = book.present(Place::Job(job.id))?;
    if !present.alterations().any(|(s, a)| s.entry.id == alteration && a.irreversible) {
        return Err(refused(words::NO_SUCH_ENTRY.to_owned()));
    }
    let given_at = first_sent(&book, &form.token)?;
    let consent = Consent { alteration, risk: words::RISK.to_owned(), by: by.to_owned(), how: how.to_owned(), given_at };
    book.append(Place::Job(job.id), stamp(&form.who), &[Draft::new(consent).token(form.token)])?;
    Ok(back(&format!("/job/{number}#alter"), &form.who))
}

/// The standing consent for an alteration. It was given for a version of it; how far the work is may have changed since, what it is may
/// not: that wants leave again.
pub(super) fn leave<'p>(log: &[Entry], present: &'p Present, alteration: EntryId) -> Option<&'p Consent> {
    let said = |id: EntryId| log.iter().find(|e| e.id == id);
    let what = |e: &Entry| if let Body::Alteration(a) = &e.body { Some((a.words.clone(), a.length_m)) } else { None };
    let now = what(said(alteration)?)?;
    let mut at = said(alteration);
    while let Some(entry) = at {
        if what(entry).is_some_and(|then| then == now)
            && let Some((_, consent)) = present.consents().find(|(_, c)| c.alteration == entry.id)
        {
            return Some(consent);
        }
        at = entry.replaces.and_then(said);
    }
    None
}

/// What cannot be undone does not stand as done without leave.
pub(super) fn may_stand(alteration: &Alteration, log: &[Entry], present: &Present, id: EntryId) -> Result<(), Trouble> {
    if alteration.progress == Progress::Done && alteration.irreversible && leave(log, present, id).is_none() {
        return Err(refused(words::CONSENT_FIRST.to_owned()));
    }
    Ok(())
}

#[derive(Deserialize)]
pub(super) struct Step {
    entry: i64,
    progress: Progress,
    who: String,
}

/// Marks work as done or given up.
pub(super) async fn step(State(bench): Room, Path(number): Path<String>, Form(form): Form<Step>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    let id = EntryId(form.entry);
    let log = book.log(Place::Job(job.id))?;
    let present = Present::of(log.iter().cloned());
    let Body::Alteration(alteration) = book.entry(id)?.body else {
        return Err(refused(words::NO_SUCH_ENTRY.to_owned()));
    };
    let alteration = Alteration { progress: form.progress, ..alteration };
    may_stand(&alteration, &log, &present, id)?;
    let draft = Draft::new(alteration).replacing(id);
    book.append(Place::Job(job.id), stamp(&form.who), &[draft])?;
    Ok(back(&format!("/job/{number}#alter"), &form.who))
}
