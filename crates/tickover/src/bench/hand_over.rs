//! What can be saved and printed.

use super::{
    Trouble,
    asked::Asked,
    cards,
    view::{question, sheet},
};
use crate::desk;
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

/// The sheet to work from; before it the question which end of the segment leads.
pub(super) async fn sheet(asked: Asked, Query(query): Query<Leads>) -> Result<Response, Trouble> {
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
    let made = tokio::task::spawn_blocking(move || work.found().and_then(desk::sheet)).await;
    Ok(match made {
        Ok(Some(Ok(pdf))) => file("application/pdf", &format!("{slug}.pdf"), pdf),
        _ => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
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
