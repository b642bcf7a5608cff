//! What can be saved and printed.

use super::{
    Trouble,
    asked::Asked,
    cards,
    view::{question, sheet},
};
use crate::desk::{self, Answer, Paper};
use axum::{
    extract::Query,
    http::{StatusCode, header},
    response::{Html, IntoResponse, Response},
};
use serde::Deserialize;
use workshop::study::rotor::sides::{self, End};

/// A file to save; slugs are plain, so they need no quoting.
fn file(kind: &'static str, name: &str, body: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, disposition)], body).into_response()
}

#[derive(Deserialize)]
pub(super) struct Leads {
    /// The end that was said to lead.
    leads: Option<String>,
}

/// The sheet to work from.
pub(super) async fn sheet(asked: Asked, query: Query<Leads>) -> Result<Response, Trouble> {
    to_cut_by(asked, query, "", desk::sheet).await
}

/// The rotor's sheet.
pub(super) async fn rotor_sheet(asked: Asked, query: Query<Leads>) -> Result<Response, Trouble> {
    to_cut_by(asked, query, "-rotor", desk::rotor_sheet).await
}

/// A sheet; before it the question which end of the segment leads.
async fn to_cut_by(
    asked: Asked,
    Query(query): Query<Leads>,
    named: &str,
    made: fn(&Answer) -> Paper,
) -> Result<Response, Trouble> {
    let Asked { bench, slug, .. } = &asked;
    let work = cards::answer_of(bench, slug)?;
    if let Some(found) = work.found()
        && let Some(check) = sides::before_a_cut(&found.read.machine)
    {
        let end = match query.leads.as_deref() {
            Some("left") => Some(End::Left),
            Some("right") => Some(End::Right),
            _ => None,
        };
        if !end.is_some_and(|end| check.is_right(end)) {
            let name = &found.read.machine.name;
            let page = sheet::page(asked.around(), name, &question::page(name, &check, end.is_some()));
            let status = if end.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
            return Ok((status, Html(page)).into_response());
        }
    }
    let made = tokio::task::spawn_blocking(move || work.found().and_then(made)).await;
    Ok(printed(made.ok(), &format!("{slug}{named}.pdf")))
}

/// The spark's sheet: nothing is cut by it, so nothing is asked.
pub(super) async fn spark_sheet(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let work = cards::answer_of(&bench, &slug)?;
    let made = tokio::task::spawn_blocking(move || work.found().and_then(desk::spark_sheet)).await;
    Ok(printed(made.ok(), &format!("{slug}-spark.pdf")))
}

/// A paper that was made, or `None` where the work broke off.
fn printed(made: Option<Paper>, name: &str) -> Response {
    match made {
        Some(Some(Ok(pdf))) => file("application/pdf", name, pdf),
        Some(None) => StatusCode::NOT_FOUND.into_response(),
        Some(Some(Err(_))) | None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// The sheet of windings.
pub(super) async fn windings_sheet(asked: Asked) -> Result<Response, Trouble> {
    to_check_by(asked, "-windings", desk::windings_sheet).await
}

/// The sheet of charging and ride.
pub(super) async fn charge_sheet(asked: Asked) -> Result<Response, Trouble> {
    to_check_by(asked, "-charge", desk::charge_sheet).await
}

/// The wiring as fitted.
pub(super) async fn wires_sheet(asked: Asked) -> Result<Response, Trouble> {
    to_check_by(asked, "-wires", desk::wires_sheet).await
}

/// A sheet that nothing is cut by.
async fn to_check_by(asked: Asked, named: &str, made: fn(&Answer) -> Paper) -> Result<Response, Trouble> {
    let Asked { bench, slug, .. } = &asked;
    let work = cards::answer_of(bench, slug)?;
    let made = tokio::task::spawn_blocking(move || work.found().and_then(made)).await;
    Ok(match made {
        Ok(Some(Ok(pdf))) => file("application/pdf", &format!("{slug}{named}.pdf"), pdf),
        Ok(None) => StatusCode::NOT_FOUND.into_response(),
        Ok(Some(Err(_))) | Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    })
}

/// The findings.
pub(super) async fn json(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let work = cards::answer_of(&bench, &slug)?;
    let text = work.found().map(|answer| answer.wire().to_text()).unwrap_or_default();
    Ok(file("application/json", &format!("{slug}.json"), text.into()))
}

/// The machine file as it stands.
pub(super) async fn file_text(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let text = bench.book().machine(&slug)?.newest.text;
    Ok(file("application/toml", &format!("{slug}.toml"), text.into()))
}
