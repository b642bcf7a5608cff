//! What cuts of the rotor's faces do, while a slide moves.

use super::{Trouble, asked::Asked, cards, view::lighten};
use crate::pictures;
use axum::{
    Json,
    extract::Query,
    http::StatusCode,
    response::{IntoResponse, Response},
};
use serde::{Deserialize, Serialize};

#[derive(Deserialize)]
pub(super) struct Depths {
    /// Zone and depth [mm], as `0:1.25,2:0.50`; the one that moved stands last.
    cuts: String,
}

/// The drawing as SVG, words as HTML; everything is escaped where it is made.
#[derive(Serialize)]
struct Lightened {
    drawing: String,
    verdict: String,
    facts: String,
}

/// The answer to a place of the slides.
pub(super) async fn lighten(Asked { bench, slug, .. }: Asked, Query(query): Query<Depths>) -> Result<Response, Trouble> {
    let work = cards::answer_of(&bench, &slug)?;
    let drawn = tokio::task::spawn_blocking(move || {
        let answer = work.found()?;
        let rotor = answer.read.machine.rotor.as_ref()?;
        let cuts: Vec<(usize, f64)> = query.cuts.split(',').map(|cut| read(cut, rotor)).collect::<Option<_>>()?;
        let outcome = answer.lightened(&cuts)?;
        Some(Lightened {
            drawing: pictures::scene_on_page(&pictures::section_cut(rotor, &cuts)),
            verdict: maud::html! { (lighten::verdict(&outcome)) }.into_string(),
            facts: lighten::facts(&outcome).into_string(),
        })
    });
    match drawn.await {
        Ok(Some(answer)) => Ok(Json(answer).into_response()),
        Ok(None) => Ok(StatusCode::NOT_FOUND.into_response()),
        Err(_) => Ok(StatusCode::INTERNAL_SERVER_ERROR.into_response()),
    }
}

/// A zone of the rotor and a depth within what its file allows [m].
fn read(cut: &str, rotor: &workshop::machine::rotor::Rotor) -> Option<(usize, f64)> {
    let (zone, mm) = cut.split_once(':')?;
    let (zone, mm): (usize, f64) = (zone.parse().ok()?, mm.parse().ok()?);
    let deepest = rotor.zones.get(zone)?.deepest.si;
    // What is no number counts as nothing.
    Some((zone, if mm > 0.0 { (mm * 1e-3).min(deepest) } else { 0.0 }))
}
