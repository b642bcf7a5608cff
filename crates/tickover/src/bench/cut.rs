//! What one cut does, while the handle moves.

use super::{Trouble, asked::Asked, cards, view::alter};
use crate::pictures;
use axum::{
    Json,
    extract::Query,
    http::StatusCode,
    response::{IntoResponse, Response},
};
use serde::{Deserialize, Serialize};

#[derive(Deserialize)]
pub(super) struct CutQuery {
    mm: f64,
    #[serde(default)]
    narrow: bool,
}

/// Drawings as SVG, words as HTML; everything is escaped where it is made.
#[derive(Serialize)]
struct CutAnswer {
    rotor: String,
    curve: String,
    rest: String,
    chance: String,
    verdict: String,
    facts: String,
    spoken: String,
}

/// The answer to a place of the handle.
pub(super) async fn cut(Asked { bench, slug, .. }: Asked, Query(query): Query<CutQuery>) -> Result<Response, Trouble> {
    let work = cards::answer_of(&bench, &slug)?;
    let drawn = tokio::task::spawn_blocking(move || {
        let answer = work.found()?;
        let trim = answer.trim().ok()?;
        // NaN is clamped to nothing as well.
        let cut_m = if query.mm > 0.0 { (query.mm * 1e-3).min(answer.most_cut_m()) } else { 0.0 };
        let outcome = answer.cut(cut_m)?;
        let chart = |c: Option<sheets::chart::Chart>| c.map(|c| pictures::on_page(&c, "cut", query.narrow));
        Some(CutAnswer {
            rotor: pictures::scene_on_page(&pictures::rotor(&trim.drawing, cut_m)),
            curve: chart(pictures::curve(&answer.read, answer.load().ok(), Some(alter::angle(&outcome)))).unwrap_or_default(),
            rest: chart(pictures::rest(answer, Some(&outcome))).unwrap_or_default(),
            chance: chart(Some(pictures::chance(trim, cut_m))).unwrap_or_default(),
            verdict: maud::html! { (alter::verdict(&outcome)) }.into_string(),
            facts: alter::facts(&outcome).into_string(),
            spoken: alter::spoken(&outcome),
        })
    });
    match drawn.await {
        Ok(Some(answer)) => Ok(Json(answer).into_response()),
        Ok(None) => Ok(StatusCode::NOT_FOUND.into_response()),
        Err(_) => Ok(StatusCode::INTERNAL_SERVER_ERROR.into_response()),
    }
}
