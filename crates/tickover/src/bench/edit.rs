//! Changing what is kept: readings field by field, the file as text, an earlier revision, a new machine.

use super::{
    Bench, Room, Trouble, around,
    asked::Asked,
    cards,
    fields::{self, Entry, Origin},
    now,
    view::{
        file,
        measure::{Typed, Wrong},
        sheet,
    },
};
use axum::{
    extract::{Form, State},
    http::{HeaderMap, StatusCode, Uri},
    response::{Html, IntoResponse, Response},
};
use jobbook::{BookError, Kept};
use serde::Deserialize;
use sheets::words::page as words;
use std::{collections::HashMap, sync::Arc};
use workshop::machine::{self, Change, Defect, place};

/// The fields as posted: `v.PATH` the value, `o.PATH` its origin.
type Pairs = Vec<(String, String)>;

/// Keeps changed readings.
pub(super) async fn readings(asked: Asked, Form(pairs): Form<Pairs>) -> Result<Response, Trouble> {
    let (bench, slug) = (&asked.bench, asked.slug.as_str());
    let record = bench.book().machine(slug)?;
    let posted: HashMap<&str, &str> = pairs.iter().map(|(n, v)| (n.as_str(), v.trim())).collect();
    // Told before anything else: shown again over a newer revision, the form would take back what others changed. A form that does not say
    // where it began is as old as any.
    let began_at = posted.get("began_at").and_then(|n| n.parse().ok()).unwrap_or(0);
    if began_at != record.newest.number {
        return Err(BookError::EditedMeanwhile { slug: record.slug, newest: record.newest.number, began_at }.into());
    }
    let parts = fields::parts(&record.newest.text);
    let entries: HashMap<&str, &Entry> = parts.iter().flat_map(|p| &p.fields).map(|e| (e.path.as_str(), e)).collect();

    let mut wrong = Wrong::new();
    let mut typed = Typed::new();
    let mut changes = Vec::new();
    for (name, _) in &pairs {
        let Some(path) = name.strip_prefix("v.").or_else(|| name.strip_prefix("o.")) else { continue };
        let Some(entry) = entries.get(path) else {
            wrong.entry(String::new()).or_default().push(words::no_such_field(path));
            continue;
        };
        let before = (entry.written.clone(), origin_as_typed(&entry.origin));
        let now = |prefix: &str, before: &str| posted.get(format!("{prefix}{path}").as_str()).map_or(before, |v| v).to_owned();
        let after = (now("v.", &before.0), now("o.", &before.1));
        if after != before && typed.insert(path.to_owned(), after.clone()).is_none() {
            changes.push(Change { path: path.to_owned(), value: after.0, origin: after.1 });
        }
    }
    let away: Vec<&str> = pairs.iter().filter(|(name, _)| name == "away").map(|(_, row)| row.as_str()).collect();
    for row in &away {
        if !parts.iter().any(|p| p.row && p.there && p.path == *row) {
            wrong.entry(String::new()).or_default().push(words::no_such_field(row));
        }
        // What was typed into it goes with it.
        changes.retain(|change| change.path.strip_prefix(row).is_none_or(|rest| !rest.starts_with('.')));
        changes.push(Change { path: (*row).to_owned(), value: String::new(), origin: String::new() });
    }
    let fold = if posted.get("fold") == Some(&"complaint") { "complaint" } else { "measure" };

    if wrong.is_empty() {
        match machine::edit_all(&record.newest.text, &changes) {
            Ok(text) => {
                keep(bench, slug, began_at, &text, words::EDITED)?;
                return Ok(cards::back_to(slug, fold));
            }
            Err(defects) => {
                for defect in defects {
                    // A defect that belongs to no field on the page is told at the top of the fold.
                    let path = if entries.contains_key(defect.path.as_str()) { defect.path.clone() } else { String::new() };
                    wrong.entry(path).or_default().push(sheets::words::defect_sentence(&defect));
                }
            }
        }
    }
    let shown = cards::Shown { typed, wrong, cut_mm: None };
    let card = asked.card();
    let page = cards::render(bench, slug, sheet::Around { path: &card, ..asked.around() }, &shown)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(page)).into_response())
}

/// An origin as it stands in its field.
pub(super) fn origin_as_typed(origin: &Origin) -> String {
    match origin {
        Origin::Unsaid => String::new(),
        Origin::With(text) | Origin::From(text) => text.clone(),
    }
}

fn keep(bench: &Arc<Bench>, slug: &str, began_at: u32, text: &str, note: &str) -> Result<(), Trouble> {
    let name = machine::read(text).map_or_else(|_| slug.to_owned(), |(machine, _)| machine.name);
    bench.book().save(slug, began_at, &Kept { name: &name, text, note, at: now() })?;
    Ok(())
}

#[derive(Deserialize)]
pub(super) struct Restore {
    began_at: u32,
    number: u32,
}

/// Takes an earlier revision into use again, as a new one.
pub(super) async fn restore(Asked { bench, slug, .. }: Asked, Form(form): Form<Restore>) -> Result<Response, Trouble> {
    let text = bench.book().revision(&slug, form.number)?.text;
    keep(&bench, &slug, form.began_at, &text, &words::restored(form.number))?;
    Ok(cards::back_to(&slug, "hand-over"))
}

#[derive(Deserialize)]
pub(super) struct TextForm {
    #[serde(default)]
    began_at: u32,
    text: String,
}

/// The file as text, to edit.
pub(super) async fn text_page(asked: Asked) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let page = file::page(&record.name, Some((&asked.slug, record.newest.number)), &record.newest.text, &[]);
    Ok(Html(sheet::page(asked.around(), &record.name, &page)).into_response())
}

/// Keeps the file as text.
pub(super) async fn text(asked: Asked, Form(form): Form<TextForm>) -> Result<Response, Trouble> {
    let (bench, slug) = (&asked.bench, asked.slug.as_str());
    let record = bench.book().machine(slug)?;
    // Browsers post every line end as CR LF.
    let text = form.text.replace("\r\n", "\n");
    match machine::read(&text) {
        Ok(_) => {
            keep(bench, slug, form.began_at, &text, words::EDITED)?;
            Ok(cards::back_to(slug, "measure"))
        }
        Err(defects) => {
            let page = file::page(&record.name, Some((slug, form.began_at)), &text, &told(&text, &defects));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(sheet::page(asked.around(), &record.name, &page))).into_response())
        }
    }
}

/// A new machine, to fill in.
pub(super) async fn new_page(uri: Uri, headers: HeaderMap) -> Response {
    let page = file::page(words::NEW_MACHINE, None, &machine::template(), &[]);
    Html(sheet::page(around(&uri, &headers), words::NEW_MACHINE, &page)).into_response()
}

/// Takes a new machine into the book.
pub(super) async fn add(
    State(bench): Room,
    uri: Uri,
    headers: HeaderMap,
    Form(form): Form<TextForm>,
) -> Result<Response, Trouble> {
    let text = form.text.replace("\r\n", "\n");
    let refused = |said: &[String]| {
        let page = file::page(words::NEW_MACHINE, None, &text, said);
        let around = sheet::Around { path: "/new", ..around(&uri, &headers) };
        Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(sheet::page(around, words::NEW_MACHINE, &page))).into_response())
    };
    match machine::read(&text) {
        Err(defects) => refused(&told(&text, &defects)),
        Ok((machine, _)) => {
            let mut book = bench.book();
            let slug = free_slug(&machine.name, |slug| book.machine(slug).is_ok());
            book.add(&slug, &Kept { name: &machine.name, text: &text, note: words::ADDED, at: now() })?;
            Ok(cards::back_to(&slug, "measure"))
        }
    }
}

/// Defects with their places.
fn told(text: &str, defects: &[Defect]) -> Vec<String> {
    let one = |defect: &Defect| {
        let at = place(text, defect.span.start);
        words::in_line(at.line, at.column, &sheets::words::defect_sentence(defect))
    };
    defects.iter().map(one).collect()
}

/// A slug for a name that is not taken: "Corran 360" gives `corran-360`, then `corran-360-2`.
pub(crate) fn free_slug(name: &str, taken: impl Fn(&str) -> bool) -> String {
    /// Room is left for a number behind it; the book takes 80 letters.
    const MOST: usize = 60;
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let groups: Vec<&str> = plain.split('-').filter(|g| !g.is_empty()).collect();
    let mut slug: String = groups.join("-").chars().take(MOST).collect();
    slug.truncate(slug.trim_end_matches('-').len());
    if slug.is_empty() {
        slug.push_str("machine");
    }
    let numbered = (2..).map(|n| format!("{slug}-{n}"));
    std::iter::once(slug.clone()).chain(numbered).find(|s| !taken(s)).unwrap_or(slug)
}

#[cfg(test)]
mod tests {
    use super::free_slug;

    #[test]
    fn slugs_are_plain_and_free() {
        assert_eq!(free_slug("Corran 360", |_| false), "corran-360");
        assert_eq!(free_slug("Corran 360", |s| s == "corran-360"), "corran-360-2");
        assert_eq!(free_slug("  – ", |_| false), "machine");
        assert_eq!(free_slug("Zündapparat № 7", |_| false), "z-ndapparat-7");
        assert!(free_slug(&"ab ".repeat(200), |_| false).len() <= 60);
    }
}
