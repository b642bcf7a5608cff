//! Files that go out of the book and come in, on the page: shown first, then written or kept.

use super::{
    Bench, Room, Trouble, around,
    arriving::Arriving,
    free_slug,
    jobs::{back, record, refused, stamp, who},
    view::{exchange as view, sheet},
};
use crate::{
    exchange::{
        everything,
        readings::{self, Of},
        write_up::{self, Gathered, NotWritten, Received, Wanted, picture},
    },
    shelf::now,
};
use axum::{
    extract::{Form, Multipart, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Response},
};
use jobbook::{Body, Book, BookError, ContentHash, EntryId, JobRecord};
use serde::Deserialize;
use sheets::words::{exchange as text, page as words};
use std::{
    collections::VecDeque,
    path::PathBuf,
    sync::{Arc, Mutex, PoisonError},
};

/// Most bytes of a file that is taken in, with what a form has around it.
pub(super) const MOST_UPLOAD_BYTES: usize = write_up::MOST_BYTES + (64 << 10);

/// Files that were shown and wait to be kept; the oldest go. Whoever comes too late chooses the file again.
#[derive(Default)]
pub(super) struct Waiting(Mutex<VecDeque<(ContentHash, Arc<Vec<u8>>)>>);

/// Files that wait at most: one for each of a few devices.
const MOST_WAITING: usize = 4;

impl Waiting {
    fn put(&self, bytes: Vec<u8>) -> ContentHash {
        let hash = ContentHash::of(&bytes);
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(there, _)| *there != hash);
        all.push_back((hash.clone(), Arc::new(bytes)));
        while all.len() > MOST_WAITING {
            all.pop_front();
        }
        hash
    }

    fn get(&self, hash: &str) -> Option<Arc<Vec<u8>>> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|(there, _)| there.as_str() == hash).map(|(_, bytes)| bytes.clone())
    }
}

/// Looks at the book on a connection of its own, so that others go on meanwhile.
async fn look<T: Send + 'static>(bench: &Arc<Bench>, work: impl FnOnce(&Book) -> T + Send + 'static) -> Result<T, Trouble> {
    let bench = bench.clone();
    let done = tokio::task::spawn_blocking(move || bench.apart(|book| work(book)));
    Ok(done.await.map_err(|_| BookError::Busy)??)
}

fn broken(e: &anyhow::Error) -> Trouble {
    Trouble { status: StatusCode::INTERNAL_SERVER_ERROR, title: words::BOOK_TROUBLE, words: format!("{e:#}") }
}

/// The whole book in open formats, beside the book.
pub(super) async fn export(State(bench): Room, uri: Uri, headers: HeaderMap) -> Result<Response, Trouble> {
    let at = now();
    let mut target = bench.book().path().ok_or(BookError::NoFile)?.as_os_str().to_owned();
    target.push(format!(".{}.zip", everything::stamp(at)));
    let target = PathBuf::from(target);
    let to = target.clone();
    let done = look(&bench, move |book| everything::export(book, &to, at)).await?.map_err(|e| broken(&e))?;
    let words = text::exported(&target, done.machines, done.jobs, done.readings, done.attachments);
    Ok(Html(sheet::notice(around(&uri, &headers), text::EXPORTED, &words)).into_response())
}

/// A file to save. The name is made of plain letters.
fn file(kind: &'static str, name: &str, body: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, disposition)], body).into_response()
}

async fn csv(bench: &Arc<Bench>, name: &str, of: Of) -> Result<Response, Trouble> {
    match look(bench, move |book| readings::csv(book, &of)).await? {
        Ok((bytes, _)) => Ok(file("text/csv; charset=utf-8", name, bytes)),
        Err(e) => Err(match e.downcast::<BookError>() {
            Ok(e) => e.into(),
            Err(e) => broken(&e),
        }),
    }
}

/// Readings of the whole book.
pub(super) async fn all_readings(State(bench): Room) -> Result<Response, Trouble> {
    csv(&bench, "readings.csv", Of::Book).await
}

/// Readings of a machine.
pub(super) async fn readings_of_machine(State(bench): Room, Path(slug): Path<String>) -> Result<Response, Trouble> {
    let slug = bench.book().machine(&slug)?.slug;
    csv(&bench, &format!("{slug}-readings.csv"), Of::Machine(slug)).await
}

/// Readings of a job.
pub(super) async fn readings_of_job(State(bench): Room, Path(number): Path<String>) -> Result<Response, Trouble> {
    let number = record(&bench, &number)?.number;
    csv(&bench, &format!("{number}-readings.csv"), Of::Job(number)).await
}

/// What a form for a write-up says.
fn wanted(pairs: &[(String, String)]) -> Wanted {
    let ids = |name: &str| pairs.iter().filter(|(n, _)| n == name).filter_map(|(_, v)| v.parse().ok().map(EntryId)).collect();
    let also = pairs.iter().filter(|(n, _)| n == "also").flat_map(|(_, v)| v.lines());
    Wanted {
        notes: ids("note"),
        pictures: ids("picture"),
        also: also.map(str::trim).filter(|w| !w.is_empty()).map(str::to_owned).collect(),
    }
}

async fn gathered(bench: &Arc<Bench>, number: String, wanted: &Wanted) -> Result<Gathered, Trouble> {
    let wanted = wanted.clone();
    look(bench, move |book| write_up::gather(book, &number, &wanted)).await?.map_err(not_written)
}

fn not_written(e: NotWritten) -> Trouble {
    match e {
        NotWritten::Book(e) => e.into(),
        other => {
            let words = other.words().join(" ");
            Trouble { status: StatusCode::UNPROCESSABLE_ENTITY, title: text::NO_WRITE_UP_OF_IT, words }
        }
    }
}

/// A write-up before it is written, with nothing ticked.
pub(super) async fn write_up_page(
    State(bench): Room,
    Path(number): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let wanted = Wanted::default();
    let gathered = gathered(&bench, number, &wanted).await?;
    let page = view::write_up(&gathered, &wanted, false);
    Ok(Html(sheet::page(around(&uri, &headers), text::WRITE_UP, &page)).into_response())
}

/// The write-up as it was shown: to be looked at again, or as a file.
pub(super) async fn write_up(
    State(bench): Room,
    Path(number): Path<String>,
    uri: Uri,
    headers: HeaderMap,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Trouble> {
    let wanted = wanted(&pairs);
    let one = |name: &str| pairs.iter().find(|(n, _)| n == name).map_or("", |(_, v)| v.as_str());
    let gathered = gathered(&bench, number, &wanted).await?;
    let write = one("do") == "write";
    if write && one("seen") == view::seen(&gathered) {
        let name = format!("write-up-{}.html", free_slug(&gathered.name(), |_| false));
        let page = tokio::task::spawn_blocking(move || gathered.file()).await.map_err(|_| BookError::Busy)?;
        return Ok(file("text/html; charset=utf-8", &name, page.map_err(not_written)?.into_bytes()));
    }
    // What was ticked or typed after the last look, or changed in the book since, is shown before it is written.
    let page = view::write_up(&gathered, &wanted, write);
    let status = if write { StatusCode::CONFLICT } else { StatusCode::OK };
    Ok((status, Html(sheet::page(around(&uri, &headers), text::WRITE_UP, &page))).into_response())
}

/// A picture of a job without what a camera wrote beside it.
pub(super) async fn write_up_picture(
    State(bench): Room,
    Path((number, entry)): Path<(String, i64)>,
) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let bare = look(&bench, move |book| {
        let entry = book.entry(EntryId(entry))?;
        match &entry.body {
            Body::Attachment(a) if entry.job == Some(job.id) => Ok(picture::bare(&book.blob(&a.hash)?)),
            _ => Err(BookError::UnknownEntry { entry: entry.id }),
        }
    });
    match bare.await?? {
        Ok((kind, bytes)) => Ok(([(header::CONTENT_TYPE, kind.media())], bytes).into_response()),
        Err(_) => Ok(StatusCode::UNPROCESSABLE_ENTITY.into_response()),
    }
}

#[derive(Deserialize)]
pub(super) struct For {
    #[serde(default)]
    job: String,
}

/// Where a file is chosen.
pub(super) async fn take_in_page(
    State(bench): Room,
    Query(asked): Query<For>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let job = if asked.job.is_empty() { None } else { Some(record(&bench, &asked.job)?) };
    Ok(Html(sheet::page(around(&uri, &headers), text::TAKE_IN, &view::choose(job.as_ref(), None))).into_response())
}

fn too_large() -> Trouble {
    let words = text::too_large(write_up::MOST_BYTES);
    Trouble { status: StatusCode::PAYLOAD_TOO_LARGE, title: words::NOT_KEPT, words }
}

/// Longest number of a job in a form [bytes]; `2026-0014` has nine.
const MOST_NUMBER_BYTES: usize = 64;

/// Judges and shows what was chosen; nothing is kept yet.
pub(super) async fn take_in(State(bench): Room, uri: Uri, headers: HeaderMap, mut form: Multipart) -> Result<Response, Trouble> {
    let arriving = Arriving::begin(too_large)?;
    let (mut bytes, mut number) = (Vec::new(), String::new());
    while let Some(mut field) = arriving.next(form.next_field()).await? {
        match field.name() {
            Some("file") => bytes = arriving.bytes(&mut field, MOST_UPLOAD_BYTES).await?.ok_or_else(too_large)?,
            Some("job") => number = arriving.text(&mut field, MOST_NUMBER_BYTES).await?,
            _ => {}
        }
    }
    let job = if number.is_empty() { None } else { Some(record(&bench, &number)?) };
    let (status, page) =
        tokio::task::spawn_blocking(move || judged(&bench, bytes, job, &headers)).await.map_err(|_| BookError::Busy)??;
    let shown = sheet::page(sheet::Around { path: "/take-in", ..around(&uri, &page.1) }, text::TAKE_IN, &page.0);
    Ok((status, Html(shown)).into_response())
}

type Judged = (StatusCode, (maud::Markup, HeaderMap));

fn judged(bench: &Arc<Bench>, bytes: Vec<u8>, job: Option<JobRecord>, headers: &HeaderMap) -> Result<Judged, Trouble> {
    let who = who(headers);
    let refused = |said: Vec<String>, job: Option<&JobRecord>| {
        Ok((StatusCode::UNPROCESSABLE_ENTITY, (view::choose(job, Some(&said)), headers.clone())))
    };
    if bytes.is_empty() {
        return refused(vec![text::NO_FILE.to_owned()], job.as_ref());
    }
    if write_up::is_one(&bytes) {
        return match write_up::read(&bytes) {
            Err(faults) => refused(faults.iter().map(write_up::Fault::words).collect(), None),
            Ok(received) => {
                let before = bench.apart(|book| write_up::kept_before(book, &received))??;
                bench.waiting.put(bytes);
                Ok((StatusCode::OK, (view::received(&received, before.as_ref(), &who), headers.clone())))
            }
        };
    }
    let Some(job) = job else { return refused(vec![text::READINGS_FROM_JOB.to_owned()], None) };
    match readings::read(&bytes, now()) {
        Err(defects) => refused(defects.iter().map(readings::Defect::words).collect(), Some(&job)),
        Ok(incoming) => {
            let hash = bench.waiting.put(bytes);
            Ok((StatusCode::OK, (view::incoming(&incoming, &job, &hash, &who), headers.clone())))
        }
    }
}

#[derive(Deserialize)]
pub(super) struct Keep {
    #[serde(default)]
    job: String,
    who: String,
}

/// Keeps what was shown.
pub(super) async fn keep(State(bench): Room, Path(hash): Path<String>, Form(form): Form<Keep>) -> Result<Response, Trouble> {
    let bytes = bench.waiting.get(&hash).ok_or_else(|| refused(text::CHOOSE_AGAIN.to_owned()))?;
    let who = form.who.clone();
    let number = tokio::task::spawn_blocking(move || kept(&bench, &bytes, &form)).await.map_err(|_| BookError::Busy)??;
    Ok(back(&format!("/job/{number}"), &who))
}

fn kept(bench: &Arc<Bench>, bytes: &[u8], form: &Keep) -> Result<String, Trouble> {
    let told = |said: Vec<String>| refused(said.join(" "));
    if write_up::is_one(bytes) {
        let received = write_up::read(bytes).map_err(|f| told(f.iter().map(write_up::Fault::words).collect()))?;
        return Ok(bench.apart(|book| write_up::keep(book, &received, stamp(&form.who)))??.job.number);
    }
    let job = record(bench, &form.job)?;
    let incoming = readings::read(bytes, now()).map_err(|d| told(d.iter().map(readings::Defect::words).collect()))?;
    let mark = readings::mark(bytes, &job);
    if !bench.apart(|book| readings::keep(book, &job, &incoming, &mark, stamp(&form.who)))?? {
        return Err(Trouble { status: StatusCode::CONFLICT, ..refused(text::readings_kept_before(&job.number)) });
    }
    Ok(job.number)
}

/// A picture of a write-up that waits.
pub(super) async fn waiting_picture(State(bench): Room, Path((hash, picture)): Path<(String, String)>) -> Response {
    // The whole file is read for it: not on a thread that answers others.
    let found = tokio::task::spawn_blocking(move || {
        let mut read: Received = write_up::read(&bench.waiting.get(&hash)?).ok()?;
        let named = read.write_up.pictures.iter().find(|p| p.hash.as_str() == picture)?;
        let bytes = read.pictures.remove(&named.hash)?;
        Some((picture::Kind::of(&bytes)?, bytes))
    });
    match found.await.ok().flatten() {
        Some((kind, bytes)) => ([(header::CONTENT_TYPE, kind.media())], bytes).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
