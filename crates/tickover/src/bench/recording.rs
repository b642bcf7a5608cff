//! A recording, heard while it arrives; nothing of it is kept.

use super::{
    Trouble,
    arriving::{Arriving, not_kept},
    asked::Asked,
    cards, fields,
    view::{recording as view, sheet},
};
use crate::{
    desk::Answer,
    exchange::recording::{
        Columns,
        hear::{self, Closeup, NoAnswer},
    },
};
use axum::{
    extract::Multipart,
    http::StatusCode,
    response::{Html, IntoResponse, Response},
};
use quantity::{Dimension, Reading};
use sheets::words::{page as words, recording as text};
use std::io::{self, Read};
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
    let page = view::page(&record.name, &asked.slug, &view::Sent::default(), None);
    Ok(Html(sheet::page(asked.around(), text::page::HEAR, &page)).into_response())
}

/// A file that arrives piece by piece, as a reader.
struct Pieces {
    from: mpsc::Receiver<axum::body::Bytes>,
    piece: axum::body::Bytes,
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
            "file" if answer.is_none() => {
                let (to, from) = mpsc::channel(WAITING);
                let (bench, record_text, wishes) = (asked.bench.clone(), record.newest.text.clone(), sent.clone());
                let work = tokio::task::spawn_blocking(move || {
                    let read = bench.read(&record_text);
                    listen(Pieces { from, piece: axum::body::Bytes::new() }, &read, &wishes)
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
    let offers = answer.as_ref().map(|a| offers(&record.newest.text, a.pace())).unwrap_or_default();
    let work = cards::answer_for(&asked.bench, &asked.slug, &record.newest.text).ok();
    let run = match (&answer, &work) {
        (Ok(heard), Some(work)) => work.found().and_then(|found| over_run(found, heard.pace())),
        (Ok(_), None) => Some(view::OverRun::NotYet),
        (Err(_), _) => None,
    };
    let shown = view::Shown { answer: &answer, run, offers: &offers, revision: record.newest.number };
    let page = view::page(&record.name, &asked.slug, &sent, Some(&shown));
    Ok((status, Html(sheet::page(asked.around(), text::page::HEAR, &page))).into_response())
}

/// The recording over the machine's run; `None` where it has none.
fn over_run<'a>(answer: &'a Answer, pace: &Pace) -> Option<view::OverRun<'a>> {
    let run = answer.idle().ok()?.run.as_ref()?;
    Some(laid_over(run, pace).map_or(view::OverRun::NoBlip, |over| view::OverRun::Laid { answer, over }))
}

type ReadFile = Result<crate::desk::Read, Vec<workshop::machine::Defect>>;

fn listen(source: Pieces, read: &ReadFile, sent: &view::Sent) -> Result<view::Answer, String> {
    let read = read.as_ref().map_err(|_| words::NOT_KEPT.to_owned())?;
    let go_on = |_| true;
    let said = |why: NoAnswer| why.said();
    if sent.what == "exhaust" {
        let (found, notes) = hear::exhaust(source, None, &Columns::default(), &read.machine, &go_on).map_err(said)?;
        return Ok(view::Answer::Exhaust { found: Box::new(found), notes: notes.into_iter().map(|n| n.said()).collect() });
    }
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
    let given = Given { trigger, mark_rad, ..Given::default() };
    let from_s = sent.from.trim().replace(',', ".").parse().ok().filter(|s: &f64| s.is_finite() && *s >= 0.0).unwrap_or(1.0);
    let mut closeup = Closeup { from_s, ..Closeup::default() };
    let (found, notes) =
        hear::ignition(source, None, &Columns::default(), &read.machine, &given, Some(&mut closeup), &go_on).map_err(said)?;
    let by_file = read.curve.as_ref().ok().cloned();
    Ok(view::Answer::Ignition {
        found: Box::new(found),
        by_file,
        closeup,
        notes: notes.into_iter().map(|n| n.said()).collect(),
        machine: Box::new(read.machine.clone()),
    })
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
