//! Findings that are kept with a job, with the readings that gave them.

use super::{
    Room, Trouble, cards,
    jobs::{back, record, refused, stamp},
    known,
    view::judge::said,
};
use crate::desk::Answer;
use crate::left::left_and_found;
use axum::{
    extract::{Form, Path, State},
    http::StatusCode,
    response::Response,
};
use jobbook::{Draft, Finding, Place};
use serde::Deserialize;
use sheets::words::page as words;

/// Name of the study in the book.
const STUDY: &str = "study";

#[derive(Deserialize)]
pub(super) struct Keep {
    /// Hash of the readings whose findings were shown.
    inputs: String,
    who: String,
    token: String,
}

/// The findings as JSON, without the line of rest speeds of every cut: those are a hundred times as long as all the rest, and come again from
/// the same readings.
pub fn result(answer: &Answer) -> Option<serde_json::Value> {
    let mut result = serde_json::to_value(answer.wire()).ok()?;
    let cuts = result.pointer_mut("/trim/cuts").and_then(serde_json::Value::as_array_mut);
    for cut in cuts.into_iter().flatten().filter_map(serde_json::Value::as_object_mut) {
        cut.retain(|key, _| !key.starts_with("rest_"));
    }
    Some(result)
}

/// Keeps what the study of the machine gives now.
pub(super) async fn keep(State(bench): Room, Path(number): Path<String>, Form(form): Form<Keep>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let left = {
        let book = bench.book();
        left_and_found(&book, &job, &book.log(Place::Job(job.id))?)?.0
    };
    if form.inputs != known::inputs(&left.text) {
        let words = words::FINDINGS_OF_OTHERS.to_owned();
        return Err(Trouble { status: StatusCode::CONFLICT, title: words::EDITED_MEANWHILE, words });
    }
    let work = cards::answer_for(&bench, &job.machine, &left.text)?;
    let Some(answer) = work.found() else { return Err(refused(words::WORKING.to_owned())) };
    let finding = Finding {
        study: STUDY.to_owned(),
        file_revision: left.number,
        inputs: form.inputs,
        program: known::PROGRAM.to_owned(),
        result: result(answer).ok_or_else(|| refused(words::BROKEN.to_owned()))?,
        words: said(answer),
    };
    bench.book().append(Place::Job(job.id), stamp(&form.who), &[Draft::new(finding).token(form.token)])?;
    Ok(back(&format!("/job/{number}#judge"), &form.who))
}
