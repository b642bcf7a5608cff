//! The list, the cards, and the progress of what is worked out for them.

use super::{
    Bench, Room, Trouble, around,
    asked::Asked,
    fields::{self, Part},
    jobs,
    view::{
        card::{Card, State as CardState},
        jobs as job_lists,
        list::{self, Line},
        measure::{Typed, Wrong},
        sheet,
    },
    works::{Outcome, Work},
};
use crate::desk::{self, Answer, Progress, Read};
use axum::{
    Json,
    extract::{Query, State},
    http::{HeaderMap, StatusCode, Uri},
    response::{Html, IntoResponse, Redirect, Response},
};
use jobbook::{JobState, MachineRecord};
use serde::{Deserialize, Serialize};
use sheets::words::page as words;
use std::sync::Arc;

impl Bench {
    /// The studies of a text: as they stand, or begun now.
    pub(super) fn work(self: &Arc<Self>, slug: &str, read: &Read, text: &str) -> Arc<Work<Progress, Answer>> {
        let (bench, read) = (self.clone(), read.clone());
        self.works.want(slug, text, move |progress| desk::answer(read, progress, &bench.shelf))
    }
}

/// Machines on one page of the list. A book with no more has all their verdicts worked out; of a longer one only those whose cards are opened.
const LISTED: u32 = 20;

#[derive(Deserialize)]
pub(super) struct ListQuery {
    #[serde(default)]
    from: u32,
}

/// The first page.
pub(super) async fn list(
    State(bench): Room,
    Query(query): Query<ListQuery>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let (records, more, waiting) = {
        let book = bench.book();
        let lines = book.machine_lines(query.from, LISTED + 1)?;
        let shown = lines.iter().take(LISTED as usize);
        let records: Vec<MachineRecord> = shown.map(|l| book.machine(&l.slug)).collect::<Result<_, _>>()?;
        (records, lines.len() > LISTED as usize, jobs::waiting(&book)?)
    };
    let few = query.from == 0 && !more;
    let lines: Vec<Line> = records.iter().map(|m| line(&bench, m, few)).collect();
    let pages = list::Pages {
        before: (query.from > 0).then(|| query.from.saturating_sub(LISTED)),
        after: more.then(|| query.from.saturating_add(LISTED)),
    };
    let page = list::render(&lines, &pages, &job_lists::waiting(&waiting), bench.damage.get().map(String::as_str));
    Ok(Html(sheet::page(around(&uri, &headers), words::BOOK, &page)).into_response())
}

fn line(bench: &Arc<Bench>, record: &MachineRecord, begin: bool) -> Line {
    let line = |verdict: String, waiting| Line { slug: record.slug.clone(), name: record.name.clone(), verdict, waiting };
    let text = &record.newest.text;
    let read = bench.read(text);
    let work = match &*read {
        Err(defects) => return line(words::defects_first(defects.len()), false),
        Ok(read) if begin => Some(bench.work(&record.slug, read, text)),
        Ok(_) => bench.works.look(&record.slug, text),
    };
    let Some(work) = work else { return line(words::NOT_WORKED_OUT.to_owned(), false) };
    match work.outcome() {
        None => line(words::WORKING.to_owned(), true),
        Some(Outcome::Found(answer)) => line(answer.verdict(), false),
        Some(Outcome::Stopped) => line(words::STOPPED.to_owned(), false),
        Some(Outcome::Broken) => line(words::BROKEN.to_owned(), false),
    }
}

#[derive(Deserialize)]
pub(super) struct CardQuery {
    cut: Option<String>,
}

/// A card.
pub(super) async fn card(asked: Asked, Query(query): Query<CardQuery>) -> Result<Response, Trouble> {
    let cut_mm = query.cut.and_then(|text| text.replace(',', ".").parse::<f64>().ok()).filter(|mm| mm.is_finite());
    let shown = Shown { cut_mm, ..Shown::default() };
    render(&asked.bench, &asked.slug, asked.around(), &shown).map(|html| Html(html).into_response())
}

/// What a card shows besides what is kept.
#[derive(Default)]
pub(super) struct Shown {
    pub typed: Typed,
    pub wrong: Wrong,
    pub cut_mm: Option<f64>,
}

pub(super) fn render(bench: &Arc<Bench>, slug: &str, around: sheet::Around, shown: &Shown) -> Result<String, Trouble> {
    let (record, revisions, mut jobs) = {
        let book = bench.book();
        (book.machine(slug)?, book.revisions(slug)?, book.jobs_of(slug)?)
    };
    jobs.retain(|j| j.headline.state != JobState::HandedOver);
    let text = &record.newest.text;
    let parts: Vec<Part> = fields::parts(text);
    let read = bench.read(text);
    let work = (*read).as_ref().ok().map(|read| bench.work(slug, read, text));
    let state = match &work {
        None => CardState::Nothing,
        Some(work) => match work.outcome() {
            None => CardState::Running(&work.progress),
            Some(Outcome::Found(answer)) => CardState::Found(answer),
            Some(Outcome::Stopped) => CardState::Stopped,
            Some(Outcome::Broken) => CardState::Broken,
        },
    };
    let card = Card {
        record: &record,
        revisions: &revisions,
        read: (*read).as_ref().map_err(Vec::as_slice),
        parts: &parts,
        state,
        typed: &shown.typed,
        wrong: &shown.wrong,
        cut_mm: shown.cut_mm,
        faults: bench.faults(),
        jobs: &jobs,
    };
    Ok(sheet::page(around, &record.name, &card.render()))
}

#[derive(Serialize)]
pub(super) struct ProgressNow {
    state: &'static str,
    share: f64,
}

/// How far the work on a card is.
pub(super) async fn progress(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let text = bench.book().machine(&slug)?.newest.text;
    let now = match &*bench.read(&text) {
        Err(_) => ProgressNow { state: "nothing", share: 0.0 },
        Ok(read) => {
            let work = bench.work(&slug, read, &text);
            match work.outcome() {
                None => ProgressNow { state: "running", share: work.progress.share() },
                Some(_) => ProgressNow { state: "ended", share: 1.0 },
            }
        }
    };
    Ok(Json(now).into_response())
}

/// Stops the work on a card.
pub(super) async fn stop(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    let text = bench.book().machine(&slug)?.newest.text;
    if let Ok(read) = &*bench.read(&text) {
        bench.work(&slug, read, &text).progress.stop();
    }
    Ok(back_to(&slug, "judge"))
}

/// Takes the work on a card up again.
pub(super) async fn go_on(Asked { bench, slug, .. }: Asked) -> Result<Response, Trouble> {
    bench.book().machine(&slug)?;
    bench.works.forget_unfinished(&slug);
    Ok(back_to(&slug, "judge"))
}

/// To a fold of a card.
pub(super) fn back_to(slug: &str, fold: &str) -> Response {
    Redirect::to(&format!("/machine/{slug}#{fold}")).into_response()
}

/// The answer for a card, or why there is none yet.
pub(super) fn answer_of(bench: &Arc<Bench>, slug: &str) -> Result<Arc<Work<Progress, Answer>>, Trouble> {
    let text = bench.book().machine(slug)?.newest.text;
    answer_for(bench, slug, &text)
}

/// The answer for this text of a machine's file, or why there is none yet.
pub(super) fn answer_for(bench: &Arc<Bench>, slug: &str, text: &str) -> Result<Arc<Work<Progress, Answer>>, Trouble> {
    let not_yet = |words: String| Trouble { status: StatusCode::CONFLICT, title: words::NOT_YET, words };
    let read = bench.read(text);
    let read = (*read).as_ref().map_err(|defects| not_yet(words::defects_first(defects.len())))?;
    let work = bench.work(slug, read, text);
    match work.outcome() {
        None => Err(not_yet(words::WORKING.to_owned())),
        Some(Outcome::Stopped) => Err(not_yet(words::STOPPED.to_owned())),
        Some(Outcome::Broken) => Err(not_yet(words::BROKEN.to_owned())),
        Some(Outcome::Found(_)) => Ok(work),
    }
}
