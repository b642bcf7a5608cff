//! Substitute parts: a shelf that is sent and not kept, or one that is kept with a job as any file is.

use super::{
    Bench, Room, Trouble, around,
    arriving::{Arriving, not_kept},
    asked::Asked,
    attachments,
    recording::Pieces,
    view::{parts as view, sheet},
};
use crate::{desk::Read, exchange::shelf, faults::Quick};
use axum::{
    extract::{Multipart, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Response},
};
use sheets::words::{page as words, part as text, part::page as said};
use std::io::{BufRead, BufReader, Cursor};
use tokio::sync::mpsc;
use workshop::study::part::{Defect, Need, Refit, Shelf, base, rank, sets, ways};

/// Largest shelf [bytes].
pub const MOST_UPLOAD_BYTES: usize = shelf::MOST_BYTES as usize + (1 << 20);
/// Longest text of needs [bytes].
const MOST_NEED_BYTES: usize = 64 * 1024;
/// Longest name of a kind [bytes].
const MOST_TEXT_BYTES: usize = 200;
/// Pieces of a file that wait to be read.
const WAITING: usize = 16;
/// Parts that are put into the machine (own choice): those that are shown, and some more for the table.
const COMPUTED: usize = 8;
/// Defects of a file that are told on the page (own choice).
const DEFECTS_SHOWN: usize = 30;

/// An address under which shelves arrive.
pub fn is_upload(path: &str) -> bool {
    path.strip_prefix("/machine/").and_then(|rest| rest.strip_suffix("/parts")).is_some_and(|slug| !slug.contains('/'))
}

fn too_large() -> Trouble {
    not_kept(StatusCode::PAYLOAD_TOO_LARGE, words::file_too_large())
}

/// The form.
pub(super) async fn page(asked: Asked) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let page = view::page(&record.name, &view::From::Sent { slug: &asked.slug }, &view::Sent::default(), None);
    Ok(Html(sheet::page(asked.around(), said::TITLE, &page)).into_response())
}

/// Reads a shelf while it arrives and ranks it. What is asked must come before the file, as the form has it.
pub(super) async fn look(asked: Asked, mut form: Multipart) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let arriving = Arriving::begin(too_large)?;
    let mut sent = view::Sent::default();
    let mut answer = None;
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        match field.name().unwrap_or_default() {
            "kind" => sent.kind = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "need" => sent.need = arriving.text(&mut field, MOST_NEED_BYTES).await?,
            "file" if answer.is_none() => {
                let name = field.file_name().unwrap_or_default().to_owned();
                let (to, from) = mpsc::channel(WAITING);
                let (bench, machine, wishes) = (asked.bench.clone(), record.newest.text.clone(), sent.clone());
                let work = tokio::task::spawn_blocking(move || {
                    let from = BufReader::new(Pieces { from, piece: axum::body::Bytes::new() });
                    of(&bench, &machine, &wishes, (&name, from), |_, found| view::answer(found))
                });
                while let Some(piece) = arriving.next(field.chunk()).await? {
                    // Where it is refused already, the rest is read to its end and thrown away.
                    let _ = to.send(piece).await;
                }
                drop(to);
                answer = Some(work.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?);
            }
            _ => {}
        }
    }
    let answer = answer.unwrap_or_else(|| Err(vec![words::NO_FILE.to_owned()]));
    Ok(shown(asked.around(), &record.name, &view::From::Sent { slug: &asked.slug }, &sent, answer))
}

/// A shelf that is kept with a job.
pub(super) async fn kept(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let (job, name, unproven) = attachments::of_job(&bench, &number, &hash)?;
    let record = bench.book().machine(&job.machine)?;
    let from = view::From::Kept { slug: &job.machine, job: &number, hash: &hash, name: &name };
    if sent.kind.is_empty() {
        let page = view::page(&record.name, &from, &sent, None);
        return Ok(Html(sheet::page(around(&uri, &headers), said::TITLE, &page)).into_response());
    }
    let (wishes, file, machine) = (sent.clone(), name.clone(), record.newest.text.clone());
    let answer = tokio::task::spawn_blocking(move || {
        let bytes = unproven.prove().map_err(|damaged| vec![sheets::words::book_error(&damaged)])?;
        of(&bench, &machine, &wishes, (&file, Cursor::new(bytes)), |_, found| view::answer(found))
    });
    let answer = answer.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?;
    Ok(shown(around(&uri, &headers), &record.name, &from, &sent, answer))
}

/// The match sheet of a shelf that is kept with a job.
pub(super) async fn paper(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
) -> Result<Response, Trouble> {
    let (job, name, unproven) = attachments::of_job(&bench, &number, &hash)?;
    let machine = bench.book().machine(&job.machine)?.newest.text;
    let made = tokio::task::spawn_blocking(move || {
        let bytes = unproven.prove().map_err(|damaged| vec![sheets::words::book_error(&damaged)])?;
        of(&bench, &machine, &sent, (&name, Cursor::new(bytes)), |read, found| match found {
            view::Found::Kind { matched, effects } => {
                let options = sheets::sheet::SheetOptions::default();
                sheets::sheet::matched(&read.machine, base(), matched, effects, ways(), &options).ok()
            }
            view::Found::Set(_) => None,
        })
    });
    let made = made.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?;
    Ok(match made {
        Ok(Some(pdf)) => {
            let disposition = format!("attachment; filename=\"{}-match.pdf\"", job.machine);
            ([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)], pdf)
                .into_response()
        }
        Ok(None) => StatusCode::NOT_FOUND.into_response(),
        Err(why) => not_kept(StatusCode::UNPROCESSABLE_ENTITY, why.join(" ")).into_response(),
    })
}

fn shown(
    around: sheet::Around<'_>,
    name: &str,
    from: &view::From<'_>,
    sent: &view::Sent,
    answer: Result<maud::Markup, Vec<String>>,
) -> Response {
    let status = if answer.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let page = view::page(name, from, sent, Some(answer));
    (status, Html(sheet::page(around, said::TITLE, &page))).into_response()
}

/// Ranks a shelf for what is asked, and makes something of it.
///
/// # Errors
/// Sentences: what is wrong with the machine file, the needs or the shelf.
fn of<T>(
    bench: &Bench,
    machine: &str,
    sent: &view::Sent,
    (name, from): (&str, impl BufRead),
    make: impl FnOnce(&Read, &view::Found<'_, '_>) -> T,
) -> Result<T, Vec<String>> {
    let read = bench.read(machine);
    let read = (*read).as_ref().map_err(|defects| vec![words::defects_first(defects.len())])?;
    let told = |file: &str, whole: &str, defects: Vec<Defect>| -> Vec<String> {
        let all = defects.iter().take(DEFECTS_SHOWN).map(|d| text::defect(d, file, whole));
        all.chain([text::refused(file, &defects)]).collect()
    };
    let kinds = base();
    let quick = Quick::of(read);
    let need_of = |kind: usize| {
        let need = Need::of_machine(kinds, kind, &read.machine, quick.studies(read));
        need.over(kinds, &sent.need).map_err(|defects| told(said::NEED, &sent.need, defects))
    };
    let together = sent.kind.strip_prefix(view::SET).map(|set| ways().set(set).ok_or_else(|| vec![said::CHOOSE_KIND.to_owned()]));
    let together = together.transpose()?;
    let kind =
        if together.is_some() { None } else { Some(kinds.named(&sent.kind).ok_or_else(|| vec![said::CHOOSE_KIND.to_owned()])?) };
    let shelf: Shelf = match shelf::any(kinds, name, from) {
        Err(why) => return Err(vec![why.to_string()]),
        Ok(Err((whole, defects))) => return Err(told(name, &whole, defects)),
        Ok(Ok(shelf)) => shelf,
    };
    let refit = Refit::new(kinds, &read.machine, read.curve.as_ref().map_err(|e| *e), None);
    if let Some(together) = together {
        let needs = together.kinds.iter().map(|k| need_of(*k)).collect::<Result<Vec<_>, _>>()?;
        let found = sets(kinds, together, &needs, &shelf, &refit, COMPUTED);
        return Ok(make(read, &view::Found::Set(&found)));
    }
    let need = need_of(kind.unwrap_or_default())?;
    let matched = rank(kinds, &need, &shelf);
    let effects = refit.best(&matched, COMPUTED);
    Ok(make(read, &view::Found::Kind { matched: &matched, effects: &effects }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_parts_of_a_machine_take_a_shelf() {
        assert!(is_upload("/machine/corran-360/parts"));
        for path in ["/machine/a/b/parts", "/machine/parts", "/job/1/parts", "/machine/a/parts/"] {
            assert!(!is_upload(path), "{path}");
        }
    }
}
