//! What can be saved and printed.

use super::{Trouble, asked::Asked, cards};
use crate::desk;
use axum::{
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};

/// A file to save; slugs are plain, so they need no quoting.
fn file(kind: &'static str, name: &str, body: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, disposition)], body).into_response()
}

/// The sheet to work from.
pub(super) async fn sheet(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let work = cards::answer_of(&bench, &slug)?;
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
