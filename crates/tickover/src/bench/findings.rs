//! Findings that are kept with a job, with the readings that gave them.

use super::{
    Room, Trouble, cards,
    jobs::{back, record, refused, stamp},
    known,
    view::judge::said,
};
use axum::{
    extract::{Form, Path, State},
    response::Response,
};
use jobbook::{Draft, Finding, Place};
use serde::Deserialize;
use sheets::words::page as words;

/// Name of the study in the book.
const STUDY: &str = "study";

#[derive(Deserialize)]
pub(super) struct Keep {
    who: String,
    token: String,
}

/// Keeps what the study of the machine gives now.
pub(super) async fn keep(State(bench): Room, Path(number): Path<String>, Form(form): Form<Keep>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let newest = bench.book().machine(&job.machine)?.newest;
    let work = cards::answer_for(&bench, &job.machine, &newest.text)?;
    let Some(answer) = work.found() else { return Err(refused(words::WORKING.to_owned())) };
    let finding = Finding {
        study: STUDY.to_owned(),
        file_revision: newest.number,
        inputs: known::inputs(&newest.text),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        result: serde_json::to_value(answer.wire()).map_err(|_| refused(words::BROKEN.to_owned()))?,
        words: said(answer),
    };
    bench.book().append(Place::Job(job.id), stamp(&form.who), &[Draft::new(finding).token(form.token)])?;
    Ok(back(&format!("/job/{number}#judge"), &form.who))
}
