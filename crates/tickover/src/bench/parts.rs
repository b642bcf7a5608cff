//! Substitute parts: a shelf that is sent, and kept if it is sound; one that the book has, for every job; and one that is kept with a job as any file is.

use super::{
    Bench, Room, Trouble, around,
    arriving::{Arriving, not_kept},
    asked::Asked,
    attachments,
    jobs::stamp,
    recording::Pieces,
    shelves,
    view::{parts as view, sheet},
};
use crate::{
    desk::Read,
    exchange::{
        shelf,
        shelf_file::{self, Coming},
    },
    faults::Quick,
};
use axum::{
    extract::{Multipart, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Redirect, Response},
};
use jobbook::{ContentHash, Place, Unproven};
use sheets::words::{page as words, part as text, part::page as said};
use std::io::{BufRead, BufReader, Cursor};
use std::sync::Arc;
use tokio::sync::mpsc;
use workshop::study::part::{Defect, Need, Refit, Shelf, rank, sets};

/// Largest shelf with photos [bytes].
pub const MOST_UPLOAD_BYTES: usize = shelf::MOST_BYTES as usize + attachments::MOST_FILE_BYTES + (1 << 20);
/// Longest text of needs [bytes].
const MOST_NEED_BYTES: usize = 64 * 1024;
/// Longest name of a kind [bytes].
const MOST_TEXT_BYTES: usize = 200;
/// Pieces of a file that wait to be read.
const WAITING: usize = 16;
/// Parts that are put into the machine (own choice): those that are shown, and some more for the table.
const COMPUTED: usize = 8;
/// Kinds of part that move the idle: where the spark comes, or how heavy what turns is.
const MOVES_IDLE: [&str; 2] = ["module", "rotor"];
/// Defects of a file that are told on the page (own choice).
const DEFECTS_SHOWN: usize = 30;

/// An address under which shelves arrive.
pub fn is_upload(path: &str) -> bool {
    path.strip_prefix("/machine/").and_then(|rest| rest.strip_suffix("/parts")).is_some_and(|slug| !slug.contains('/'))
}

fn too_large() -> Trouble {
    not_kept(StatusCode::PAYLOAD_TOO_LARGE, words::file_too_large())
}

/// The form, and the shelves that the book has.
pub(super) async fn page(asked: Asked) -> Result<Response, Trouble> {
    let (name, kept) = {
        let book = asked.bench.book();
        (book.machine(&asked.slug)?.name, shelves::list(&book)?)
    };
    let from = view::From::Sent { slug: &asked.slug, kept: &kept, note: None };
    let page = view::page(&name, &from, &view::Sent::default(), asked.bench.parts(), None);
    Ok(Html(sheet::page(asked.around(), said::TITLE, &page)).into_response())
}

/// Reads a shelf while it arrives, ranks it, and keeps it if it is sound. What is asked must come before the file, as the form has it.
pub(super) async fn look(asked: Asked, mut form: Multipart) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let arriving = Arriving::begin(too_large)?;
    let mut sent = view::Sent::default();
    let mut photos = Vec::new();
    let mut shelf = None;
    let mut answer = None;
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        match field.name().unwrap_or_default() {
            "kind" => sent.kind = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "need" => sent.need = arriving.text(&mut field, MOST_NEED_BYTES).await?,
            "photo" => {
                let name = attachments::file_name(field.file_name().unwrap_or_default());
                let held: usize = photos.iter().map(|p: &Coming| p.bytes.len()).sum();
                let bytes = arriving.bytes(&mut field, attachments::MOST_FILE_BYTES - held).await?.ok_or_else(too_large)?;
                if !bytes.is_empty() {
                    photos.push(Coming { words: String::new(), name, bytes });
                }
            }
            "file" if answer.is_none() => {
                let name = attachments::file_name(field.file_name().unwrap_or_default());
                if name.to_ascii_lowercase().ends_with(".zip") {
                    let bytes = arriving.bytes(&mut field, MOST_UPLOAD_BYTES).await?.ok_or_else(too_large)?;
                    let bench = asked.bench.clone();
                    let taken = tokio::task::spawn_blocking(move || take_in(&bench, &bytes));
                    match taken.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?? {
                        Ok(hash) => {
                            let at = format!("/machine/{}/parts/{hash}?{}", asked.slug, view::query(&sent));
                            return Ok(Redirect::to(&at).into_response());
                        }
                        Err(why) => answer = Some(Err(why)),
                    }
                    continue;
                }
                let (to, from) = mpsc::channel(WAITING);
                let (bench, wishes, file) = (asked.bench.clone(), sent.clone(), name.clone());
                let (slug, machine) = (asked.slug.clone(), record.newest.text.clone());
                let shown = shelves::photos(&asked.bench.book(), None)?;
                let work = tokio::task::spawn_blocking(move || {
                    let from = BufReader::new(Pieces { from, piece: axum::body::Bytes::new() });
                    of(&bench, (&slug, &machine), &wishes, (&file, from), |_, found| {
                        (view::answer(found, bench.parts(), &shown), found.shelf().parts().len())
                    })
                });
                // What the book can hold is held for it.
                let mut whole = Some(Vec::new());
                while let Some(piece) = arriving.next(field.chunk()).await? {
                    whole = whole.filter(|w| w.len() + piece.len() <= attachments::MOST_FILE_BYTES);
                    if let Some(whole) = &mut whole {
                        whole.extend_from_slice(&piece);
                    }
                    // Where it is refused already, the rest is read to its end and thrown away.
                    let _ = to.send(piece).await;
                }
                drop(to);
                let found = work.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?;
                answer = Some(found.map(|(markup, count)| {
                    shelf = whole.map(|bytes| Coming { name, bytes, words: said::parts_on_it(count) });
                    markup
                }));
            }
            _ => {}
        }
    }
    if answer.is_none() && !photos.is_empty() {
        let bench = asked.bench.clone();
        let kept = tokio::task::spawn_blocking(move || shelves::keep(&bench, photos));
        kept.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))??;
        return Ok(Redirect::to(&format!("/machine/{}/parts", asked.slug)).into_response());
    }
    let answer = answer.unwrap_or_else(|| Err(vec![words::NO_FILE.to_owned()]));
    // A file with defects leaves nothing behind, its photos neither.
    let (kept, note) = match (answer.is_ok(), shelf) {
        (false, _) => (None, None),
        (true, None) => (None, Some(said::too_large_to_keep(attachments::MOST_FILE_BYTES))),
        (true, Some(shelf)) => {
            let (name, hash) = (shelf.name.clone(), ContentHash::of(&shelf.bytes).to_string());
            let (bench, coming) = (asked.bench.clone(), photos.into_iter().chain([shelf]).collect());
            let kept = tokio::task::spawn_blocking(move || shelves::keep(&bench, coming));
            kept.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))??;
            (Some((name, hash)), None)
        }
    };
    let list = if kept.is_none() { shelves::list(&asked.bench.book())? } else { Vec::new() };
    let at = kept.as_ref().map(|(_, hash)| format!("/machine/{}/parts/{hash}", asked.slug));
    let from = match (&kept, &at) {
        (Some((name, _)), Some(at)) => view::From::Kept { slug: &asked.slug, at, job: None, name },
        _ => view::From::Sent { slug: &asked.slug, kept: &list, note: note.as_deref() },
    };
    Ok(shown(asked.around(), &asked.bench, &record.name, &from, &sent, answer))
}

/// Takes in a shelf with its photos as one file: its hash, or what is wrong with it.
fn take_in(bench: &Bench, bytes: &[u8]) -> Result<Result<String, Vec<String>>, Trouble> {
    let received = match shelf_file::read(bench.parts().0, bytes) {
        Ok(received) => received,
        Err(why) => return Ok(Err(why)),
    };
    bench.apart(|book| shelf_file::keep(book, &received.files, stamp("")))??;
    Ok(Ok(received.files.hash()))
}

/// A shelf that is kept, and where.
struct Kept {
    slug: String,
    /// Address of its page.
    at: String,
    /// Number of the job that it belongs to.
    job: Option<String>,
    name: String,
    unproven: Unproven,
    photos: view::Photos,
}

impl Kept {
    fn of_job(bench: &Bench, number: String, hash: &str) -> Result<Self, Trouble> {
        let (job, name, unproven) = attachments::of_job(bench, &number, hash)?;
        let photos = shelves::photos(&bench.book(), Some(&job))?;
        Ok(Self { slug: job.machine, at: format!("/job/{number}/shelf/{hash}"), job: Some(number), name, unproven, photos })
    }

    fn in_book(bench: &Bench, slug: String, hash: &str) -> Result<Self, Trouble> {
        let (name, unproven) = attachments::of_place(bench, Place::Workshop, hash)?;
        let photos = shelves::photos(&bench.book(), None)?;
        Ok(Self { at: format!("/machine/{slug}/parts/{hash}"), slug, job: None, name, unproven, photos })
    }

    async fn look(self, bench: Arc<Bench>, sent: view::Sent, uri: Uri, headers: HeaderMap) -> Result<Response, Trouble> {
        let record = bench.book().machine(&self.slug)?;
        let from = view::From::Kept { slug: &self.slug, at: &self.at, job: self.job.as_deref(), name: &self.name };
        if sent.kind.is_empty() {
            let page = view::page(&record.name, &from, &sent, bench.parts(), None);
            return Ok(Html(sheet::page(around(&uri, &headers), said::TITLE, &page)).into_response());
        }
        let (wishes, file, machine, room) = (sent.clone(), self.name.clone(), record.newest.text.clone(), bench.clone());
        let (slug, unproven, photos) = (self.slug.clone(), self.unproven, self.photos);
        let answer = tokio::task::spawn_blocking(move || {
            let bytes = unproven.prove().map_err(|damaged| vec![sheets::words::book_error(&damaged)])?;
            of(&room, (&slug, &machine), &wishes, (&file, Cursor::new(bytes)), |_, found| {
                view::answer(found, room.parts(), &photos)
            })
        });
        let answer = answer.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?;
        Ok(shown(around(&uri, &headers), &bench, &record.name, &from, &sent, answer))
    }

    async fn paper(self, bench: Arc<Bench>, sent: view::Sent) -> Result<Response, Trouble> {
        let machine = bench.book().machine(&self.slug)?.newest.text;
        let (slug, name, unproven) = (self.slug, self.name, self.unproven);
        let of_machine = slug.clone();
        let made = tokio::task::spawn_blocking(move || {
            let bytes = unproven.prove().map_err(|damaged| vec![sheets::words::book_error(&damaged)])?;
            of(&bench, (&of_machine, &machine), &sent, (&name, Cursor::new(bytes)), |read, found| match found {
                view::Found::Kind { matched, effects, .. } => {
                    let options = sheets::sheet::SheetOptions::default();
                    let (kinds, ways) = bench.parts();
                    sheets::sheet::matched(&read.machine, kinds, matched, effects, ways, &options).ok()
                }
                view::Found::Set { .. } => None,
            })
        });
        let made = made.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, said::BROKE_OFF))?;
        Ok(match made {
            Ok(Some(pdf)) => {
                let disposition = format!("attachment; filename=\"{slug}-match.pdf\"");
                ([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)], pdf)
                    .into_response()
            }
            Ok(None) => StatusCode::NOT_FOUND.into_response(),
            Err(why) => not_kept(StatusCode::UNPROCESSABLE_ENTITY, why.join(" ")).into_response(),
        })
    }
}

/// A place and a hash.
type At = Path<(String, String)>;

/// A shelf that is kept with a job.
pub(super) async fn of_job(
    State(bench): Room,
    Path((number, hash)): At,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    Kept::of_job(&bench, number, &hash)?.look(bench, sent, uri, headers).await
}

/// A shelf that the book keeps for every job.
pub(super) async fn in_book(
    State(bench): Room,
    Path((slug, hash)): At,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    Kept::in_book(&bench, slug, &hash)?.look(bench, sent, uri, headers).await
}

/// The match sheet of a shelf that is kept with a job.
pub(super) async fn paper_of_job(
    State(bench): Room,
    Path((number, hash)): At,
    Query(sent): Query<view::Sent>,
) -> Result<Response, Trouble> {
    Kept::of_job(&bench, number, &hash)?.paper(bench, sent).await
}

/// The match sheet of a shelf that the book keeps.
pub(super) async fn paper_in_book(
    State(bench): Room,
    Path((slug, hash)): At,
    Query(sent): Query<view::Sent>,
) -> Result<Response, Trouble> {
    Kept::in_book(&bench, slug, &hash)?.paper(bench, sent).await
}

fn shown(
    around: sheet::Around<'_>,
    bench: &Bench,
    name: &str,
    from: &view::From<'_>,
    sent: &view::Sent,
    answer: Result<maud::Markup, Vec<String>>,
) -> Response {
    let status = if answer.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let page = view::page(name, from, sent, bench.parts(), Some(answer));
    (status, Html(sheet::page(around, said::TITLE, &page))).into_response()
}

/// Ranks a shelf for what is asked, and makes something of it.
///
/// # Errors
/// Sentences: what is wrong with the machine file, the needs or the shelf.
fn of<T>(
    bench: &Arc<Bench>,
    (slug, machine): (&str, &str),
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
    let (kinds, ways) = bench.parts();
    let quick = Quick::of(read);
    let need_of = |kind: usize| {
        let need = Need::of_machine(kinds, kind, &read.machine, quick.studies(read));
        need.over(kinds, &sent.need).map_err(|defects| told(said::NEED, &sent.need, defects))
    };
    let together = sent.kind.strip_prefix(view::SET).map(|set| ways.set(set).ok_or_else(|| vec![said::CHOOSE_KIND.to_owned()]));
    let together = together.transpose()?;
    let kind =
        if together.is_some() { None } else { Some(kinds.named(&sent.kind).ok_or_else(|| vec![said::CHOOSE_KIND.to_owned()])?) };
    let shelf: Shelf = match shelf::any(kinds, name, from) {
        Err(why) => return Err(vec![why.to_string()]),
        Ok(Err((whole, defects))) => return Err(told(name, &whole, defects)),
        Ok(Ok(shelf)) => shelf,
    };
    // Rest speeds need the surface, which takes seconds: it is worked out beside the page, as for the card, and is there when the page is asked again.
    let of_idle = |k: &usize| MOVES_IDLE.contains(&kinds.list[*k].id.as_str());
    let work = together
        .map_or_else(|| kind.iter().any(of_idle), |t| t.kinds.iter().any(of_idle))
        .then(|| bench.work(slug, read, machine));
    let coming = work.as_ref().is_some_and(|work| work.outcome().is_none());
    let model = work.as_ref().and_then(|work| work.found()?.model());
    let refit = Refit::new(kinds, &read.machine, read.curve.as_ref().map_err(|e| *e), model);
    if let Some(together) = together {
        let needs = together.kinds.iter().map(|k| need_of(*k)).collect::<Result<Vec<_>, _>>()?;
        let found = sets(kinds, together, &needs, &shelf, &refit, COMPUTED);
        return Ok(make(read, &view::Found::Set { sets: &found, coming }));
    }
    let need = need_of(kind.unwrap_or_default())?;
    let matched = rank(kinds, &need, &shelf);
    let effects = refit.best(&matched, COMPUTED);
    Ok(make(read, &view::Found::Kind { matched: &matched, effects: &effects, coming }))
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
