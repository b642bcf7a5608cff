//! The files beside the pages. All of them are in the binary.

use axum::{
    http::{StatusCode, Uri, header},
    response::{IntoResponse, Response},
};
use sheets::{
    font,
    scene::ink::{Ink, Light},
};
use std::{
    borrow::Cow,
    hash::{DefaultHasher, Hash, Hasher},
    sync::LazyLock,
};

const STYLE: &str = include_str!("../../assets/bench.css");
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const FONT: &str = "font/otf";

/// Under the address that a page gives, a file never changes, so a browser need not ask for it again.
const KEEP: &str = "private, max-age=31536000, immutable";
/// Under any other address it is asked for again after a day.
const KEEP_A_DAY: &str = "private, max-age=86400";
const ASK_AGAIN: &str = "no-cache";

/// One file.
struct Asset {
    path: &'static str,
    kind: &'static str,
    bytes: Cow<'static, [u8]>,
    /// Tells these bytes from those of another version of the program.
    mark: String,
}

static ASSETS: LazyLock<[Asset; 11]> = LazyLock::new(|| {
    let asset = |path, kind, bytes: Cow<'static, [u8]>| {
        let mut hasher = DefaultHasher::new();
        bytes.hash(&mut hasher);
        Asset { path, kind, bytes, mark: format!("{:016x}", hasher.finish()) }
    };
    let text = |path, kind, text: &'static str| asset(path, kind, Cow::Borrowed(text.as_bytes()));
    [
        asset("/bench.css", CSS, Cow::Owned(style().into_bytes())),
        text("/bench.js", SCRIPT, include_str!("../../assets/bench.js")),
        text("/readout.js", SCRIPT, include_str!("../../assets/readout.js")),
        text("/later.js", SCRIPT, include_str!("../../assets/later.js")),
        text("/run.js", SCRIPT, include_str!("../../assets/run.js")),
        text("/lighten.js", SCRIPT, include_str!("../../assets/lighten.js")),
        text("/fault.js", SCRIPT, include_str!("../../assets/fault.js")),
        text("/measure.js", SCRIPT, include_str!("../../assets/measure.js")),
        text("/mark.svg", "image/svg+xml", include_str!("../../assets/mark.svg")),
        asset("/inter-regular.otf", FONT, Cow::Borrowed(font::REGULAR)),
        asset("/inter-bold.otf", FONT, Cow::Borrowed(font::BOLD)),
    ]
});

/// The style sheet: the drawings' inks by day and by night, then the page's own rules.
fn style() -> String {
    let (day, night) = (Ink::css_variables(Light::Day), Ink::css_variables(Light::Night));
    format!(
        ":root{{{day}}}\n@media (prefers-color-scheme:dark){{:root:not([data-light=\"day\"]){{{night}}}}}\n\
         :root[data-light=\"night\"]{{{night}}}\n{STYLE}"
    )
}

/// Paths of all of them.
pub fn paths() -> impl Iterator<Item = &'static str> {
    ASSETS.iter().map(|a| a.path)
}

/// The address under which a page asks for a file.
pub fn address(path: &'static str) -> String {
    let mark = ASSETS.iter().find(|a| a.path == path).map_or("", |a| a.mark.as_str());
    format!("{path}?{mark}")
}

/// A file by its path.
pub async fn asset(uri: Uri) -> Response {
    let Some(asset) = ASSETS.iter().find(|a| a.path == uri.path()) else { return StatusCode::NOT_FOUND.into_response() };
    let keep = match uri.query() {
        Some(mark) if mark == asset.mark => KEEP,
        _ if asset.kind == FONT => KEEP_A_DAY,
        _ => ASK_AGAIN,
    };
    ([(header::CONTENT_TYPE, asset.kind), (header::CACHE_CONTROL, keep)], asset.bytes.as_ref()).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_has_an_address_of_its_own() {
        let mut all: Vec<String> = paths().map(address).collect();
        assert!(all.iter().all(|a| a.split('?').nth(1).is_some_and(|mark| mark.len() == 16)), "{all:?}");
        all.sort();
        all.dedup();
        assert_eq!(all.len(), ASSETS.len());
    }
}
