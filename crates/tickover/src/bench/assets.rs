//! The files beside the pages. All of them are in the binary.

use axum::{
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};
use sheets::{
    font,
    scene::ink::{Ink, Light},
};

const STYLE: &str = include_str!("../../assets/bench.css");
const SCRIPT: &str = include_str!("../../assets/bench.js");
const READOUT: &str = include_str!("../../assets/readout.js");
const LATER: &str = include_str!("../../assets/later.js");
const MEASURE: &str = include_str!("../../assets/measure.js");
const MARK: &str = include_str!("../../assets/mark.svg");

/// The fonts never change under one version; everything else is small and asked for again.
const KEEP_A_DAY: &str = "private, max-age=86400";

/// The style sheet: the drawings' inks by day and by night, then the page's own rules.
fn style() -> String {
    let (day, night) = (Ink::css_variables(Light::Day), Ink::css_variables(Light::Night));
    format!(
        ":root{{{day}}}\n@media (prefers-color-scheme:dark){{:root:not([data-light=\"day\"]){{{night}}}}}\n\
         :root[data-light=\"night\"]{{{night}}}\n{STYLE}"
    )
}

/// An asset by its path.
pub async fn asset(path: axum::http::Uri) -> Response {
    let typed = |kind: &'static str, body: Vec<u8>| ([(header::CONTENT_TYPE, kind)], body).into_response();
    let font =
        |bytes: &'static [u8]| ([(header::CONTENT_TYPE, "font/otf"), (header::CACHE_CONTROL, KEEP_A_DAY)], bytes).into_response();
    match path.path() {
        "/bench.css" => typed("text/css; charset=utf-8", style().into()),
        "/bench.js" => typed("text/javascript; charset=utf-8", SCRIPT.into()),
        "/readout.js" => typed("text/javascript; charset=utf-8", READOUT.into()),
        "/later.js" => typed("text/javascript; charset=utf-8", LATER.into()),
        "/measure.js" => typed("text/javascript; charset=utf-8", MEASURE.into()),
        "/mark.svg" => typed("image/svg+xml", MARK.into()),
        "/inter-regular.otf" => font(font::REGULAR),
        "/inter-bold.otf" => font(font::BOLD),
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}
