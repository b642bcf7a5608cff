//! A recording, heard while it arrives, of which nothing is kept; and one that is kept with a job, heard again.

use super::{
    Room, Trouble, around,
    arriving::{Arriving, not_kept, place},
    asked::Asked,
    attachments, cards, fields,
    view::{recording as view, sheet},
};
use crate::{
    desk::Answer,
    exchange::recording::{
        Columns,
        hear::{self, Closeup, NoAnswer, SoFar, Wanted},
    },
};
use axum::{
    body::Body,
    extract::{Multipart, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Response},
};
use quantity::{Dimension, Reading};
use sheets::{
    chart::{pace_chart, recorded_chart},
    words::{page as words, recording as text},
};
use std::{
    convert::Infallible,
    io::{self, Read},
    time::{Duration, Instant},
};
use tokio::sync::mpsc;
use workshop::study::recording::{Given, over::laid_over, pace::Pace};

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
    let page = view::page(&record.name, &view::From::Sent { slug: &asked.slug }, &view::Sent::default(), None);
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

/// Hears it. What is said of it must come before the file, as the form has it.
pub(super) async fn hear(asked: Asked, mut form: Multipart) -> Result<Response, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let arriving = Arriving::begin(too_large)?;
    let mut sent = view::Sent::default();
    let mut answer: Option<Result<view::Answer, String>> = None;
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        match field.name().unwrap_or_default() {
            "what" => sent.what = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "trigger" => sent.trigger = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "mark" => sent.mark = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "from" => sent.from = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "lasts" => sent.lasts = arriving.text(&mut field, MOST_TEXT_BYTES).await?,
            "file" if answer.is_none() => {
                let (to, from) = mpsc::channel(WAITING);
                let (bench, record_text, wishes) = (asked.bench.clone(), record.newest.text.clone(), sent.clone());
                let work = tokio::task::spawn_blocking(move || {
                    let read = bench.read(&record_text);
                    listen(Pieces { from, piece: axum::body::Bytes::new() }, None, &read, &wishes, &mut |_, _| true)
                });
                while let Some(piece) = arriving.next(field.chunk()).await? {
                    // Where it is refused already, the rest is read to its end and thrown away.
                    let _ = to.send(piece).await;
                }
                drop(to);
                answer = Some(work.await.map_err(|_| not_kept(StatusCode::INTERNAL_SERVER_ERROR, text::page::BROKE_OFF))?);
            }
            _ => {}
        }
    }
    let answer = answer.unwrap_or_else(|| Err(words::NO_FILE.to_owned()));
    let status = if answer.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let offers = answer.as_ref().ok().and_then(|a| a.pace()).map(|pace| offers(&record.newest.text, pace)).unwrap_or_default();
    let work = cards::answer_for(&asked.bench, &asked.slug, &record.newest.text).ok();
    let run = beside(&answer, work.as_ref().and_then(|work| work.found()));
    let shown = view::Shown { answer: &answer, run, offers: &offers, revision: record.newest.number };
    let answer = view::answer(&view::From::Sent { slug: &asked.slug }, &sent, &shown);
    let page = view::page(&record.name, &view::From::Sent { slug: &asked.slug }, &sent, Some(answer));
    Ok((status, Html(sheet::page(asked.around(), text::page::HEAR, &page))).into_response())
}

/// What is kept with a job, heard again. The answer grows on the page while it is heard: what was found so far is sent as it is found, and the style
/// sheet shows the last of it.
pub(super) async fn heard(
    State(bench): Room,
    Path((number, hash)): Path<(String, String)>,
    Query(sent): Query<view::Sent>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let (job, name, unproven) = attachments::of_job(&bench, &number, &hash)?;
    let record = bench.book().machine(&job.machine)?;
    let from = view::From::Kept { slug: &job.machine, job: &number, hash: &hash, name: &name };
    let title = text::page::HEAR;
    if sent.what.is_empty() {
        return Ok(
            Html(sheet::page(around(&uri, &headers), title, &view::page(&record.name, &from, &sent, None))).into_response()
        );
    }
    let place = place().ok_or_else(|| Trouble {
        status: StatusCode::SERVICE_UNAVAILABLE,
        title: text::page::HEAR,
        words: text::page::OTHERS_FIRST.to_owned(),
    })?;
    let grows = view::page(&record.name, &from, &sent, Some(view::grows()));
    let page = sheet::page(around(&uri, &headers), title, &grows);
    let (before, after) = page.split_once(view::GROWS).unwrap_or((&page, ""));
    let (to, mut parts) = mpsc::channel::<String>(WAITING);
    let after = after.to_owned();
    // The first part waits in the channel; nobody has left yet.
    let _ = to.try_send(before.to_owned());
    tokio::task::spawn_blocking(move || {
        let _place = place;
        let read = bench.read(&record.newest.text);
        let from = view::From::Kept { slug: &job.machine, job: &number, hash: &hash, name: &name };
        let mut growing = Growing::new(&read, &to);
        let answer = match unproven.prove() {
            Ok(bytes) => {
                let length = bytes.len() as u64;
                listen(io::Cursor::new(bytes), Some(length), &read, &sent, &mut |so_far, share| growing.shows(&so_far, share))
            }
            Err(damaged) => Err(sheets::words::book_error(&damaged)),
        };
        let offers =
            answer.as_ref().ok().and_then(|a| a.pace()).map(|pace| offers(&record.newest.text, pace)).unwrap_or_default();
        let work = cards::answer_for(&bench, &job.machine, &record.newest.text).ok();
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

/// Time between two looks at what was found so far [s], and how many times as long as it took to find it (own choices): it must not slow the hearing down.
const LOOKS_S: f64 = 0.7;
const REST: u32 = 4;

/// Sends what was found so far, now and then.
struct Growing<'a> {
    read: &'a ReadFile,
    to: &'a mpsc::Sender<String>,
    next: Instant,
    count: usize,
}

impl<'a> Growing<'a> {
    fn new(read: &'a ReadFile, to: &'a mpsc::Sender<String>) -> Self {
        Self { read, to, next: Instant::now() + Duration::from_secs_f64(LOOKS_S), count: 0 }
    }

    /// `false` once nobody looks any more.
    fn shows(&mut self, so_far: &SoFar, share: Option<f64>) -> bool {
        let begun = Instant::now();
        if begun < self.next {
            return !self.to.is_closed();
        }
        let Ok(read) = self.read else { return true };
        let chart = match so_far {
            SoFar::Ignition(listener) => {
                (*listener).clone().finish().ok().map(|found| recorded_chart(&found, read.curve.as_ref().ok()))
            }
            SoFar::Pickups => None,
            SoFar::Exhaust(listener) => (*listener).clone().finish().ok().map(|found| pace_chart(&found.pace)),
        };
        self.count += 1;
        let took = begun.elapsed();
        self.next = Instant::now() + (REST * took).max(Duration::from_secs_f64(LOOKS_S));
        self.to.blocking_send(view::part(share, chart.as_ref(), self.count)).is_ok()
    }
}

/// The run beside what was heard.
fn beside<'a>(heard: &Result<view::Answer, String>, found: Option<&'a Answer>) -> Option<view::OverRun<'a>> {
    match (heard, found) {
        (Ok(heard), found) if heard.pace().is_some() => match found {
            Some(found) => heard.pace().and_then(|pace| over_run(found, pace)),
            None => Some(view::OverRun::NotYet),
        },
        (Ok(_), _) => None,
        (Err(_), _) => None,
    }
}

/// The recording over the machine's run; `None` where it has none.
fn over_run<'a>(answer: &'a Answer, pace: &Pace) -> Option<view::OverRun<'a>> {
    let run = answer.idle().ok()?.run.as_ref()?;
    Some(laid_over(run, pace).map_or(view::OverRun::NoBlip, |over| view::OverRun::Laid { answer, over }))
}

type ReadFile = Result<crate::desk::Read, Vec<workshop::machine::Defect>>;

fn listen(
    source: impl Read,
    length: Option<u64>,
    read: &ReadFile,
    sent: &view::Sent,
    watch: hear::Watch,
) -> Result<view::Answer, String> {
    let read = read.as_ref().map_err(|_| words::NOT_KEPT.to_owned())?;
    let said = |why: NoAnswer| why.said();
    if sent.what == "exhaust" {
        let (found, notes) = hear::exhaust(source, length, &Columns::default(), &read.machine, watch).map_err(said)?;
        return Ok(view::Answer::Exhaust { found: Box::new(found), notes: notes.into_iter().map(|n| n.said()).collect() });
    }
    if sent.what == "pickups" {
        let (found, notes) = hear::pickups(source, length, &Columns::default(), &read.machine, watch).map_err(said)?;
        return Ok(view::Answer::Pickups {
            found: Box::new(found),
            notes: notes.into_iter().map(|n| n.said()).collect(),
            machine: Box::new(read.machine.clone()),
        });
    }
    let given = given(sent)?;
    let number = |text: &str, default: f64| {
        text.trim().replace(',', ".").parse().ok().filter(|s: &f64| s.is_finite() && *s >= 0.0).unwrap_or(default)
    };
    let mut closeup = Closeup::new(number(&sent.from, 1.0), number(&sent.lasts, Closeup::LASTS_S.0));
    let (found, notes) = hear::ignition(
        source,
        length,
        &Columns::default(),
        &read.machine,
        &given,
        Wanted { closeup: Some(&mut closeup), each: None },
        watch,
    )
    .map_err(said)?;
    let by_file = read.curve.as_ref().ok().cloned().map(Box::new);
    Ok(view::Answer::Ignition {
        found: Box::new(found),
        by_file,
        closeup,
        notes: notes.into_iter().map(|n| n.said()).collect(),
        machine: Box::new(read.machine.clone()),
    })
}

/// What was said of two channels.
fn given(sent: &view::Sent) -> Result<Given, String> {
    let mark_rad = match sent.what.as_str() {
        "mark" => {
            let at = Reading::parse(&sent.mark, Dimension::BeforeTop).map_err(|e| sheets::words::reading_error(&e))?;
            Some(at.si)
        }
        _ => None,
    };
    let trigger = match sent.trigger.as_str() {
        "left" => Some(0),
        "right" => Some(1),
        _ => None,
    };
    Ok(Given { trigger, mark_rad, ..Given::default() })
}

/// Readings that the form of the machine file has a place for: path there, text.
fn offers(file: &str, pace: &Pace) -> Vec<(String, String, String)> {
    let parts = fields::parts(file);
    // The free row of a list takes a run-down.
    let row = parts.iter().find(|p| p.row && !p.there && p.path.starts_with("idle.run_down")).map(|p| p.path.clone());
    let place = |path: &str| match path.strip_prefix("idle.run_down.") {
        Some(key) => row.as_ref().map(|row| format!("{row}.{key}")),
        None => Some(path.to_owned()),
    };
    let entry = |path: &str| parts.iter().flat_map(|p| &p.fields).find(|e| e.path == path);
    text::readings(pace)
        .into_iter()
        .filter_map(|(path, value)| {
            let path = place(path)?;
            let label = entry(&path)?.field.label.to_owned();
            Some((path, label, value))
        })
        .collect()
}
