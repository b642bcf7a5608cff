//! A recording on the page: sent and put aside, or kept with a job, and heard from there.

use super::{
    Bench, Room, Trouble, around,
    arriving::{Arriving, not_kept, place},
    aside::{PutAside, Source},
    asked::Asked,
    attachments, cards,
    listening::{Growing, beside, listen, offers},
    view::{recording as view, sheet},
};
use crate::recordings::may_be;
use axum::{
    body::Body,
    extract::{Multipart, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Redirect, Response},
};
use jobbook::Place;
use sheets::{
    sheet::SheetOptions,
    words::{page as words, recording as text},
};
use std::{
    convert::Infallible,
    io::{self, Read},
    sync::Arc,
};
use tokio::sync::mpsc;

/// Largest recording [bytes]: more than an hour in stereo at 96 kHz. It is never held whole.
pub const MOST_UPLOAD_BYTES: usize = 2 * 1024 * 1024 * 1024 - 1;
/// Longest text beside the file [bytes].
const MOST_TEXT_BYTES: usize = 200;
/// Pieces of a file that wait to be heard.
const WAITING: usize = 16;

/// An address under which recordings arrive.
pub fn is_upload(path: &str) -> bool {
    path.strip_prefix("/machine/").and_then(|rest| rest.strip_suffix("/recording")).is_some_and(|slug| !slug.contains('/'))
}

fn too_large() -> Trouble {
    not_kept(StatusCode::PAYLOAD_TOO_LARGE, words::file_too_large())
}

/// The form.
pub(super) async fn page(asked: Asked) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let choices = choices(&asked.bench, &asked.slug, &record.newest.text, "")?;
    let page = view::page(&record.name, &view::From::Sent { slug: asked.slug.clone() }, &view::Sent::default(), &choices, None);
    Ok(Html(sheet::page(asked.around(), text::page::HEAR, &page)).into_response())
}

/// A file that arrives piece by piece, as a reader.
pub(super) struct Pieces {
    pub from: mpsc::Receiver<axum::body::Bytes>,
    pub piece: axum::body::Bytes,
}

impl Read for Pieces {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        while self.piece.is_empty() {
            match self.from.blocking_recv() {
                Some(piece) => self.piece = piece,
                None => return Ok(0),
            }
        }
        let n = to.len().min(self.piece.len());
        to[..n].copy_from_slice(&self.piece.split_to(n));
        Ok(n)
    }
}

/// Puts it aside, and goes to where it is heard. What is said of it stands before the file, as the form has it.
pub(super) async fn send(asked: Asked, mut form: Multipart) -> Result<Response, Trouble> {
    asked.bench.book().machine(&asked.slug)?;
    let arriving = Arriving::begin(too_large)?;
    let (mut sent, mut came) = (view::Sent::default(), None);
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "file" && came.is_none() {
            let (to, from) = mpsc::channel(WAITING);
            let (slug, called) = (asked.slug.clone(), attachments::file_name(field.file_name().unwrap_or_default()));
            let work = tokio::task::spawn_blocking(move || {
                PutAside::write(slug, called, Pieces { from, piece: axum::body::Bytes::new() })
            });
            while let Some(piece) = arriving.next(field.chunk()).await? {
                // Where there is no room for it, the rest is read to its end and thrown away.
                let _ = to.send(piece).await;
            }
            drop(to);
            let put = work.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, text::page::BROKE_OFF))?;
            came = Some(put.map_err(|e| not_kept(StatusCode::INSUFFICIENT_STORAGE, text::page::no_room(&e)))?);
        } else if let Some(place) = sent.place(&name) {
            *place = arriving.text(&mut field, MOST_TEXT_BYTES).await?;
        }
    }
    let one = came.ok_or_else(|| not_kept(StatusCode::BAD_REQUEST, words::NO_FILE))?;
    let from = view::From::Aside { slug: one.slug.clone(), hash: one.hash.to_string(), name: one.name.clone() };
    asked.bench.aside.hold(one);
    Ok(Redirect::to(&from.heard(&sent)).into_response())
}

/// A recording that is to be heard, and where the answer stands.
struct Found {
    from: view::From,
    source: Source,
}

/// One that was put aside.
fn put_aside(bench: &Bench, slug: &str, hash: &str) -> Result<Found, Trouble> {
    bench.book().machine(slug)?;
    let one = bench.aside.of(slug).into_iter().find(|o| o.hash.as_str() == hash);
    let one = one.ok_or_else(|| Trouble {
        status: StatusCode::NOT_FOUND,
        title: text::page::HEAR,
        words: text::page::NO_LONGER_ASIDE.to_owned(),
    })?;
    let from = view::From::Aside { slug: slug.to_owned(), hash: hash.to_owned(), name: one.name.clone() };
    Ok(Found { from, source: Source::Aside(one) })
}

/// One that is kept with a job.
fn kept(bench: &Bench, number: &str, hash: &str) -> Result<Found, Trouble> {
    let (job, name, unproven) = attachments::of_job(bench, number, hash)?;
    let from = view::From::Kept { slug: job.machine, job: number.to_owned(), hash: hash.to_owned(), name };
    Ok(Found { from, source: Source::Kept(unproven) })
}

/// Hears one that was sent.
pub(super) async fn heard_aside(
    State(bench): Room,
    Path((slug, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let found = put_aside(&bench, &slug, &hash)?;
    heard(&bench, found, sent, around(&uri, &headers))
}

/// Hears one that is kept with a job.
pub(super) async fn heard_kept(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let found = kept(&bench, &number, &hash)?;
    heard(&bench, found, sent, around(&uri, &headers))
}

/// The sheet of one that was sent.
pub(super) async fn paper_aside(
    State(bench): Room,
    Path((slug, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
) -> Result<Response, Trouble> {
    let found = put_aside(&bench, &slug, &hash)?;
    paper(&bench, found, sent).await
}

/// The sheet of one that is kept with a job.
pub(super) async fn paper_kept(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
) -> Result<Response, Trouble> {
    let found = kept(&bench, &number, &hash)?;
    paper(&bench, found, sent).await
}

/// What the form lets choose: recordings of the machine that were put aside or are kept with its jobs, but for this one, and its pickups.
fn choices(bench: &Bench, slug: &str, file: &str, hash: &str) -> Result<view::Choices, Trouble> {
    let mut before: Vec<(String, String)> =
        bench.aside.of(slug).into_iter().map(|o| (o.hash.to_string(), text::page::put_aside(&o.name))).collect();
    let book = bench.book();
    for job in book.jobs_of(slug)? {
        let present = book.present(Place::Job(job.id))?;
        let recordings = present.attachments().filter(|(_, a)| may_be(a));
        before.extend(recordings.map(|(_, a)| (a.hash.to_string(), text::page::of_job(&a.file, &job.number))));
    }
    drop(book);
    before.retain(|b| b.0 != hash);
    let read = bench.read(file);
    let pickups = read.as_ref().as_ref().ok().and_then(|r| r.machine.trigger.as_ref()).map_or(0, |t| t.pickups.len());
    Ok(view::Choices { before, pickups })
}

/// The recording before, where one was chosen.
fn before(bench: &Bench, slug: &str, sent: &view::Sent) -> Result<Option<Source>, Trouble> {
    if sent.before.is_empty() || !sent.is_ignition() {
        return Ok(None);
    }
    if let Ok(found) = put_aside(bench, slug, &sent.before) {
        return Ok(Some(found.source));
    }
    let jobs = bench.book().jobs_of(slug)?;
    let found = jobs.iter().find_map(|job| kept(bench, &job.number, &sent.before).ok());
    let found = found.ok_or_else(|| Trouble {
        status: StatusCode::NOT_FOUND,
        title: text::page::HEAR,
        words: text::page::NO_LONGER_ASIDE.to_owned(),
    })?;
    Ok(Some(found.source))
}

fn busy() -> Trouble {
    Trouble { status: StatusCode::SERVICE_UNAVAILABLE, title: text::page::HEAR, words: text::page::OTHERS_FIRST.to_owned() }
}

/// The answer grows on the page while it is heard: what was found so far is sent as it is found, and the style sheet shows the last of it.
fn heard(bench: &Arc<Bench>, found: Found, sent: view::Sent, around: sheet::Around) -> Result<Response, Trouble> {
    let Found { from, source } = found;
    let record = bench.book().machine(from.slug())?;
    let choices = choices(bench, from.slug(), &record.newest.text, from.hash())?;
    let title = text::page::HEAR;
    if sent.what.is_empty() {
        let page = view::page(&record.name, &from, &sent, &choices, None);
        return Ok(Html(sheet::page(around, title, &page)).into_response());
    }
    let before_it = before(bench, from.slug(), &sent)?;
    let place = place().ok_or_else(busy)?;
    let grows = view::page(&record.name, &from, &sent, &choices, Some(view::grows()));
    let page = sheet::page(around, title, &grows);
    let (before, after) = page.split_once(view::GROWS).unwrap_or((&page, ""));
    let (to, mut parts) = mpsc::channel::<String>(WAITING);
    let after = after.to_owned();
    // The first part waits in the channel; nobody has left yet.
    let _ = to.try_send(before.to_owned());
    let bench = bench.clone();
    tokio::task::spawn_blocking(move || {
        let _place = place;
        let read = bench.read(&record.newest.text);
        let mut growing = Growing::new(&read, &to);
        let answer = listen(source, before_it, &read, &sent, &mut |so_far, share| growing.shows(&so_far, share));
        let offers =
            answer.as_ref().ok().and_then(|a| a.pace()).map(|pace| offers(&record.newest.text, pace)).unwrap_or_default();
        let work = cards::answer_for(&bench, from.slug(), &record.newest.text).ok();
        let run = beside(&answer, work.as_ref().and_then(|work| work.found()));
        let shown = view::Shown { answer: &answer, run, offers: &offers, revision: record.newest.number };
        let last = view::last(&view::answer(&from, &sent, &shown));
        // Whoever has left misses nothing.
        let _ = to.blocking_send(last).and_then(|()| to.blocking_send(after));
    });
    let stream = futures_util::stream::poll_fn(move |context| parts.poll_recv(context).map(|p| p.map(Ok::<_, Infallible>)));
    let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
    Ok((kind, Body::from_stream(stream)).into_response())
}

/// The sheet, heard for it.
async fn paper(bench: &Arc<Bench>, found: Found, sent: view::Sent) -> Result<Response, Trouble> {
    let record = bench.book().machine(found.from.slug())?;
    let before_it = before(bench, found.from.slug(), &sent)?;
    let place = place().ok_or_else(busy)?;
    let bench = bench.clone();
    let made = tokio::task::spawn_blocking(move || {
        let _place = place;
        let read = bench.read(&record.newest.text);
        let answer = listen(found.source, before_it, &read, &sent, &mut |_, _| true)?;
        let options = SheetOptions::default();
        let pdf = match &answer {
            view::Answer::Ignition { found, before, by_file, machine, .. } => {
                let before = before.as_deref().map(|(recorded, change)| (recorded, change));
                sheets::sheet::recording(machine, found, before, by_file.as_deref(), &options)
            }
            view::Answer::Pickups { found, machine, .. } => sheets::sheet::pickups(machine, found, &options),
            view::Answer::Exhaust { found, machine, .. } => sheets::sheet::sound(machine, found, &options),
        };
        pdf.map_err(|e| sheets::words::no_pdf(&e))
    });
    let made = made.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, sheets::words::COMPUTATION_BROKE))?;
    let pdf = made.map_err(|words| Trouble { status: StatusCode::UNPROCESSABLE_ENTITY, title: text::page::HEAR, words })?;
    let disposition = format!("attachment; filename=\"{}-recording.pdf\"", found.from.slug());
    Ok(([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)], pdf).into_response())
}
