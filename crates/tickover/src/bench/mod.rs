//! The bench page: a web server for this computer, and with `--lan` for devices of the workshop's network that were let in.

mod alterations;
mod arriving;
mod aside;
mod asked;
mod assets;
mod attachments;
mod cards;
mod costs;
mod cut;
mod edit;
mod exchange;
mod fault;
mod fields;
pub mod findings;
mod guard;
mod hand_over;
mod hearing;
mod jobs;
mod known;
mod lighten;
mod listening;
pub mod pair;
mod papers;
mod parts;
mod readings;
mod recent;
mod recording;
mod shelves;
mod view;
mod works;

use crate::{
    desk::{Answer, Progress, Read},
    shelf::{BookShelf, now},
};
use axum::{
    Router,
    extract::{DefaultBodyLimit, Form, State},
    http::{HeaderMap, StatusCode, Uri, header},
    middleware,
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use jobbook::{Book, BookError, Kept};
use recent::Recent;
use serde::Deserialize;
use sheets::words::page as words;
use std::{
    future::Future,
    net::{SocketAddr, TcpListener},
    path::PathBuf,
    sync::{Arc, MutexGuard, OnceLock},
};
use view::sheet::{Around, Light};
use works::{Stoppable, Works};
use workshop::{
    machine::Defect,
    study::{
        fault::{Faults, base as fault_base},
        part::{Kinds, Ways, base as part_base, ways},
    },
};

pub(crate) use edit::free_slug;
pub use guard::home;

/// Everything that the page's answers come from.
pub struct Bench {
    shelf: BookShelf,
    works: Works<Progress, Answer>,
    reads: Recent<Result<Read, Vec<Defect>>>,
    /// Quick studies for fault finding, where not all of a machine is worked out yet.
    quicks: Recent<crate::faults::Quick>,
    /// Recordings of jobs that are heard for their faults, by content and machine file.
    heard: Works<hearing::Hearing, hearing::HeardOrNot>,
    pairing: pair::Pairing,
    waiting: exchange::Waiting,
    /// Recordings that were sent to the page and can be heard again.
    aside: aside::Aside,
    /// Addresses in the workshop's network; none when only this computer is served.
    lan: Vec<SocketAddr>,
    /// What a look through the whole book found wrong.
    damage: OnceLock<String>,
    /// What is known of faults, where the workshop has a file of its own.
    faults: OnceLock<Faults>,
    /// Kinds of part and adaptations, where it has a file of those.
    parts: OnceLock<(Kinds, Ways)>,
}

impl Bench {
    /// A page over a book, for this computer and for devices at these addresses of its network that are let in.
    pub fn new(book: Book, lan: Vec<SocketAddr>) -> Arc<Self> {
        Arc::new(Self {
            shelf: BookShelf::new(book),
            works: Works::default(),
            reads: Recent::default(),
            quicks: Recent::default(),
            heard: Works::default(),
            pairing: pair::Pairing::default(),
            waiting: exchange::Waiting::default(),
            aside: aside::Aside::default(),
            lan,
            damage: OnceLock::new(),
            faults: OnceLock::new(),
            parts: OnceLock::new(),
        })
    }

    /// Reads the whole book on a thread of its own, after an end that was not in order. What is wrong is said on standard error and on
    /// the first page; the book goes on being served, for what can be read of it is needed now.
    pub fn look_through(self: &Arc<Self>, path: PathBuf) {
        let bench = self.clone();
        std::thread::spawn(move || {
            if let Err(e) = Book::open(&path).and_then(|(book, _)| book.check()) {
                let words = sheets::words::book_error(&e);
                anstream::eprintln!("{words}");
                let _ = bench.damage.set(words);
            }
        });
    }

    /// Finds faults with the workshop's own file counted in, from the first time this is called.
    pub fn count_with(&self, faults: Faults) {
        let _ = self.faults.set(faults);
    }

    fn faults(&self) -> &Faults {
        self.faults.get().unwrap_or_else(|| fault_base())
    }

    /// Looks for parts with the workshop's own kinds and adaptations beside those of the program, from the first time this is called.
    pub fn look_with(&self, own: (Kinds, Ways)) {
        let _ = self.parts.set(own);
    }

    fn parts(&self) -> (&Kinds, &Ways) {
        self.parts.get().map_or_else(|| (part_base(), ways()), |(kinds, ways)| (kinds, ways))
    }

    /// A code for one more device; an older one is void.
    pub fn invite(&self) -> String {
        self.pairing.invite()
    }

    /// A machine file, read.
    fn read(&self, text: &str) -> Arc<Result<Read, Vec<Defect>>> {
        self.reads.get(text, Read::of)
    }

    fn book(&self) -> MutexGuard<'_, Book> {
        self.shelf.book()
    }

    /// Works on a connection of its own where the book is a file: nobody waits for the disk.
    fn apart<T>(&self, work: impl FnOnce(&mut Book) -> T) -> Result<T, BookError> {
        let path = self.book().path().map(std::path::Path::to_owned);
        match path {
            Some(path) => Book::open(&path).map(|(mut book, _)| work(&mut book)),
            None => Ok(work(&mut self.book())),
        }
    }
}

impl Stoppable for Progress {
    fn stop(&self) {
        Progress::stop(self);
    }
}

/// Takes the demonstration machines into an empty book.
///
/// # Errors
/// [`BookError`].
pub fn add_demos(book: &mut Book) -> Result<(), BookError> {
    if !book.machines()?.is_empty() {
        return Ok(());
    }
    for (file, text) in workshop::machine::EXAMPLES {
        let slug = file.trim_end_matches(".toml");
        let read = workshop::machine::read(text);
        let name = read.as_ref().map_or(slug, |(machine, _)| machine.name.as_str());
        book.add(slug, &Kept { name, text, note: words::DEMO, at: now() })?;
    }
    Ok(())
}

/// Serves the page until `stop` comes true.
///
/// # Errors
/// When the socket breaks.
pub async fn serve(
    listener: TcpListener,
    bench: Arc<Bench>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> anyhow::Result<()> {
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let service = router(bench).into_make_service_with_connect_info::<guard::Ends>();
    axum::serve(listener, service).with_graceful_shutdown(stop).await?;
    Ok(())
}

/// Where files are taken in, which may be larger than what else is posted.
const TAKE_IN: &str = "/take-in";

fn router(bench: Arc<Bench>) -> Router {
    assets::paths()
        .fold(Router::new(), |router, path| router.route(path, get(assets::asset)))
        .route("/", get(cards::list))
        .route("/machine/{slug}", get(cards::card))
        .route("/machine/{slug}/progress", get(cards::progress))
        .route("/machine/{slug}/stop", post(cards::stop))
        .route("/machine/{slug}/go-on", post(cards::go_on))
        .route("/machine/{slug}/readings", post(edit::readings))
        .route("/machine/{slug}/restore", post(edit::restore))
        .route("/machine/{slug}/text", get(edit::text_page).post(edit::text))
        .route("/new", get(edit::new_page).post(edit::add))
        .route("/machine/{slug}/cut", get(cut::cut))
        .route("/machine/{slug}/lighten", get(lighten::lighten))
        .route(
            "/machine/{slug}/recording",
            get(recording::page).post(recording::send).layer(DefaultBodyLimit::max(recording::MOST_UPLOAD_BYTES)),
        )
        .route("/machine/{slug}/parts", get(parts::page).post(parts::look).layer(DefaultBodyLimit::max(parts::MOST_UPLOAD_BYTES)))
        .route("/machine/{slug}/parts/{hash}", get(parts::in_book))
        .route("/machine/{slug}/parts/{hash}/match.pdf", get(parts::paper_in_book))
        .route("/machine/{slug}/parts/{hash}/out", post(shelves::out))
        .route("/parts/file/{hash}", get(shelves::file))
        .route("/job/{number}/shelf/{hash}", get(parts::of_job))
        .route("/job/{number}/shelf/{hash}/match.pdf", get(parts::paper_of_job))
        .route("/machine/{slug}/fault", get(fault::page))
        .route("/machine/{slug}/fault.pdf", get(fault::paper))
        .route("/machine/{slug}/sheet.pdf", get(hand_over::sheet))
        .route("/machine/{slug}/rotor.pdf", get(hand_over::rotor_sheet))
        .route("/machine/{slug}/spark.pdf", get(hand_over::spark_sheet))
        .route("/machine/{slug}/windings.pdf", get(hand_over::windings_sheet))
        .route("/machine/{slug}/charge.pdf", get(hand_over::charge_sheet))
        .route("/machine/{slug}/wires.pdf", get(hand_over::wires_sheet))
        .route("/machine/{slug}/study.json", get(hand_over::json))
        .route("/machine/{slug}/machine.toml", get(hand_over::file_text))
        .route("/backup", post(backup))
        .route("/find", get(jobs::find))
        .route("/machine/{slug}/jobs", get(jobs::history).post(jobs::open))
        .route("/machine/{slug}/whose", post(jobs::custody))
        .route("/job/{number}", get(jobs::job))
        .route("/job/{number}/headline", post(jobs::headline))
        .route("/job/{number}/reading", post(readings::reading))
        .route("/job/{number}/attachment", post(attachments::keep).layer(DefaultBodyLimit::max(attachments::MOST_UPLOAD_BYTES)))
        .route("/job/{number}/file/{hash}", get(attachments::file))
        .route("/machine/{slug}/heard/{hash}", get(recording::heard_aside))
        .route("/machine/{slug}/heard/{hash}/sheet.pdf", get(recording::paper_aside))
        .route("/job/{number}/heard/{hash}", get(recording::heard_kept))
        .route("/job/{number}/heard/{hash}/sheet.pdf", get(recording::paper_kept))
        .route("/job/{number}/note", post(jobs::note))
        .route("/job/{number}/reminder", post(jobs::reminder))
        .route("/job/{number}/done", post(jobs::done))
        .route("/job/{number}/undo", post(jobs::undo))
        .route("/job/{number}/alteration", post(alterations::plan))
        .route("/job/{number}/consent", post(alterations::consent))
        .route("/job/{number}/step", post(alterations::step))
        .route("/job/{number}/findings", post(findings::keep))
        .route("/job/{number}/part", post(costs::part))
        .route("/job/{number}/time", post(costs::time))
        .route("/job/{number}/fault", get(fault::of_job).post(fault::keep))
        .route("/job/{number}/fault/hearing", get(fault::hearing))
        .route("/job/{number}/fault.pdf", get(fault::paper_of_job))
        .route("/job/{number}/paper/{file}", get(papers::paper))
        .route("/job/{number}/readings.csv", get(exchange::readings_of_job))
        .route("/job/{number}/readings.json", get(papers::readings))
        .route("/job/{number}/write-up", get(exchange::write_up_page).post(exchange::write_up))
        .route("/job/{number}/write-up/picture/{entry}", get(exchange::write_up_picture))
        .route("/machine/{slug}/readings.csv", get(exchange::readings_of_machine))
        .route("/readings.csv", get(exchange::all_readings))
        .route("/export", post(exchange::export))
        .route(
            TAKE_IN,
            get(exchange::take_in_page).post(exchange::take_in).layer(DefaultBodyLimit::max(exchange::MOST_UPLOAD_BYTES)),
        )
        .route("/take-in/{hash}/keep", post(exchange::keep))
        .route("/take-in/{hash}/picture/{picture}", get(exchange::waiting_picture))
        .route("/devices", get(pair::devices))
        .route("/devices/invite", post(pair::invite))
        .route("/devices/{id}/forget", post(pair::forget))
        .route("/pair", get(pair::page).post(pair::pair))
        .route("/light", post(light))
        .fallback(nothing_here)
        .layer(DefaultBodyLimit::max(guard::MOST_BODY_BYTES))
        .layer(middleware::from_fn_with_state(bench.clone(), guard::guard))
        .with_state(bench)
}

/// Something that went wrong, as a page.
#[derive(Debug)]
struct Trouble {
    status: StatusCode,
    title: &'static str,
    words: String,
}

impl From<BookError> for Trouble {
    fn from(e: BookError) -> Self {
        let (status, title) = match &e {
            BookError::UnknownMachine { .. }
            | BookError::UnknownRevision { .. }
            | BookError::UnknownJob { .. }
            | BookError::UnknownEntry { .. }
            | BookError::UnknownBlob { .. } => (StatusCode::NOT_FOUND, words::NOT_IN_BOOK),
            BookError::EditedMeanwhile { .. } | BookError::Replaced { .. } | BookError::TokenReused { .. } => {
                (StatusCode::CONFLICT, words::EDITED_MEANWHILE)
            }
            BookError::Unfit { .. } | BookError::OtherKind { .. } | BookError::OneHeadline => {
                (StatusCode::UNPROCESSABLE_ENTITY, words::NOT_KEPT)
            }
            _ => (StatusCode::INTERNAL_SERVER_ERROR, words::BOOK_TROUBLE),
        };
        Trouble { status, title, words: sheets::words::book_error(&e) }
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let around = Around { path: "/", light: Light::Device };
        (self.status, Html(view::sheet::notice(around, self.title, &self.words))).into_response()
    }
}

/// A backup beside the book, made on a second connection, so that others go on meanwhile.
async fn backup(State(bench): Room, uri: Uri, headers: HeaderMap) -> Result<Response, Trouble> {
    let path = bench.book().path().map(std::path::Path::to_owned).ok_or(BookError::NoFile)?;
    let (target, tally) = tokio::task::spawn_blocking(move || {
        let (book, _) = Book::open(&path)?;
        book.back_up_beside(&sheets::words::at(now()).replace([':', ' '], "-"))
    })
    .await
    .map_err(|_| BookError::Busy)??;
    let words = sheets::words::backed_up(&target, &tally);
    Ok(Html(view::sheet::notice(around(&uri, &headers), words::BACKED_UP, &words)).into_response())
}

async fn nothing_here() -> Response {
    let words = words::NOTHING_HERE;
    Trouble { status: StatusCode::NOT_FOUND, title: words, words: String::new() }.into_response()
}

#[derive(Deserialize)]
struct LightForm {
    light: String,
    back: String,
}

async fn light(Form(form): Form<LightForm>) -> Response {
    let light = Light::named(&form.light);
    // A year; the name of a light is nothing to keep secret from scripts.
    let cookie = format!("{}={}; Path=/; Max-Age=31536000; SameSite=Strict", Light::COOKIE, light.name());
    ([(header::SET_COOKIE, cookie)], Redirect::to(&inner_path(&form.back))).into_response()
}

/// A path on this page, whatever was sent: never an address elsewhere.
fn inner_path(back: &str) -> String {
    let plain = back.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'-' | b'.' | b'?' | b'=' | b'&'));
    if plain && back.starts_with('/') && !back.starts_with("//") { back.to_owned() } else { "/".to_owned() }
}

fn around<'a>(uri: &'a Uri, headers: &HeaderMap) -> Around<'a> {
    Around { path: uri.path_and_query().map_or("/", |p| p.as_str()), light: Light::of(headers) }
}

/// What stands behind every answer that needs the book.
type Room = State<Arc<Bench>>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn never_leads_elsewhere() {
        assert_eq!(inner_path("/machine/tarn-500?cut=2.0"), "/machine/tarn-500?cut=2.0");
        for bad in ["//evil.example", "http://evil.example", "/\\evil.example", "", "/a\r\nSet-Cookie: x", "javascript:x"] {
            assert_eq!(inner_path(bad), "/", "{bad:?}");
        }
    }
}
