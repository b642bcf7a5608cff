//! The write-up as a page that needs nothing else: no network, no script, no other file.

use super::{Gathered, WriteUp};
use base64::{Engine, prelude::BASE64_STANDARD};
use jobbook::{ContentHash, Progress, Stage};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sheets::words::{exchange as text, page as words};
use std::collections::BTreeMap;
use workshop::job::named;

/// Name of the block with the data.
pub(super) const BLOCK: &str = "<script type=\"application/json\" id=\"tickover-write-up\">";
/// What stands before the hash of a picture, and between its hash and its media type, and before its bytes.
pub(super) const PICTURE: [&str; 3] = ["<img data-picture=\"", "\" src=\"data:", ";base64,"];

const STYLE: &str = include_str!("../../../assets/write-up.css");

/// Where the pictures of a write-up are.
pub enum Shown<'a> {
    /// In the page itself.
    Within(&'a BTreeMap<ContentHash, Vec<u8>>),
    /// At an address.
    At(&'a dyn Fn(&ContentHash) -> String),
}

/// The whole file.
pub fn page(gathered: &Gathered) -> String {
    let w = &gathered.write_up;
    // Only this style and pictures within the page (W3C Content Security Policy Level 3); a data block is no script.
    let policy = format!(
        "default-src 'none'; style-src 'sha256-{}'; img-src data:; base-uri 'none'; form-action 'none'",
        BASE64_STANDARD.encode(digest(STYLE.as_bytes()))
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                title { (text::WRITE_UP) ": " (name(w)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    h1 { (text::WRITE_UP) ": " (name(w)) }
                    (body(w, &Shown::Within(&gathered.pictures)))
                    footer { p { (text::write_up_foot(&w.tickover.version)) } }
                }
                (PreEscaped(BLOCK)) (PreEscaped(json(w))) (PreEscaped("</script>"))
            }
        }
    }
    .into_string()
}

/// Bytes of a SHA-256.
fn digest(bytes: &[u8]) -> Vec<u8> {
    let hex = ContentHash::of(bytes);
    hex.as_str().as_bytes().chunks(2).filter_map(|two| u8::from_str_radix(std::str::from_utf8(two).ok()?, 16).ok()).collect()
}

/// The data as JSON that can stand in a page: no sign that begins a tag or an entity.
fn json(w: &WriteUp) -> String {
    let plain = serde_json::to_string(w).unwrap_or_default();
    let mut safe = String::with_capacity(plain.len());
    for c in plain.chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => safe.push_str(&format!("\\u{:04x}", u32::from(c))),
            _ => safe.push(c),
        }
    }
    safe
}

fn name(w: &WriteUp) -> String {
    workshop::machine::read(&w.machine).map_or_else(|_| String::new(), |(machine, _)| machine.name)
}

/// What the page says, for the file and to be looked at before it is written or kept.
pub fn body(w: &WriteUp, pictures: &Shown) -> Markup {
    html! {
        section { h2 { (text::COMPLAINT) } p.lines { (w.complaint) } }
        @if !w.readings.is_empty() { section { h2 { (words::READINGS) } (readings(w)) } }
        @if !w.alterations.is_empty() {
            section {
                h2 { (text::WORK) }
                ul { @for a in &w.alterations {
                    li {
                        strong { (words::progress(a.progress)) } ": " span.lines { (a.words) }
                        @if let Some(m) = a.length_m { ", " (sheets::words::mm(m)) }
                        @if let Some(w) = a.angle_rad { ", " (sheets::words::degrees(w)) }
                        @if a.is_for_good() && a.progress != Progress::GivenUp { " (" (text::FOR_GOOD) ")" }
                    }
                } }
            }
        }
        @if !w.notes.is_empty() {
            section { h2 { (words::NOTES) } ul { @for note in &w.notes { li { @if !note.about.is_empty() { strong { (note.about) } ": " } span.lines { (note.words) } } } } }
        }
        @if !w.pictures.is_empty() {
            section {
                h2 { (text::PICTURES) }
                @for p in &w.pictures {
                    figure {
                        @match pictures {
                            Shown::At(address) => { img src=(address(&p.hash)) alt=(alt(&p.words)); }
                            Shown::Within(all) => { (within(p, all.get(&p.hash).map_or(&[][..], Vec::as_slice))) }
                        }
                        figcaption { (words::stage(p.stage)) @if !p.words.is_empty() { ": " (p.words) } }
                    }
                }
            }
        }
        @if !w.findings.is_empty() {
            section {
                h2 { (text::FINDINGS) }
                @for f in &w.findings {
                    ul { @for words in &f.words { li { (words) } } }
                    details { summary { (text::numbers_of(&f.study, &f.program)) } pre { (format!("{:#}", f.result)) } }
                }
            }
        }
        section { h2 { (text::MACHINE_FILE) } details open { summary { (text::MACHINE_FILE_IS) } pre { (w.machine) } } }
    }
}

/// A picture written out, for it is read again sign by sign.
fn within(p: &super::Picture, bytes: &[u8]) -> Markup {
    html! {
        (PreEscaped(PICTURE[0])) (p.hash.as_str()) (PreEscaped(PICTURE[1])) (p.media) (PreEscaped(PICTURE[2]))
        (PreEscaped(BASE64_STANDARD.encode(bytes))) (PreEscaped("\" alt=\"")) (alt(&p.words)) (PreEscaped("\">"))
    }
}

fn alt(words: &str) -> &str {
    if words.is_empty() { text::A_PICTURE } else { words }
}

/// Readings by quantity and place, as found beside as left.
fn readings(w: &WriteUp) -> Markup {
    let mut rows: Vec<(&str, &str)> = Vec::new();
    for r in &w.readings {
        if !rows.contains(&(&r.what, &r.place)) {
            rows.push((&r.what, &r.place));
        }
    }
    let stages = [Stage::AsFound, Stage::During, Stage::AsLeft];
    html! {
        div.scroll tabindex="0" role="region" aria-label=(words::READINGS) {
            table {
                thead { tr { th scope="col" { (words::WHAT) } @for stage in stages { th scope="col" { (words::stage(stage)) } } } }
                tbody {
                    @for (what, place) in rows {
                        tr {
                            th scope="row" { (named(what).map_or(what, |q| q.label)) @if !place.is_empty() { ", " (place) } }
                            @for stage in stages {
                                td {
                                    @for r in w.readings.iter().filter(|r| r.what == what && r.place == place && r.stage == stage) {
                                        div { (r.value) @let beside = [&r.instrument, &r.temperature, &r.speed, &r.condition, &r.taken_on];
                                            @let beside: Vec<&str> = beside.into_iter().map(String::as_str).filter(|t| !t.is_empty()).collect();
                                            div.soft { (beside.join(", ")) } }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
