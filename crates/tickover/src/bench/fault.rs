//! Fault finding. A search on a machine alone stands in the address, so nothing is kept and any answer can be taken back; that of a job stands in the job's log.

use super::{
    Bench, Room, Trouble, around,
    asked::Asked,
    hearing::OfJob as Heard,
    jobs::{back, record, refused, stamp, who},
    pair,
    view::{fault as view, sheet},
};
use crate::{
    desk::Read,
    faults::{self, About},
    left::left_and_found,
    recordings::{self, Recording},
};
use axum::{
    Json,
    extract::{Form, Path, RawQuery, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Response},
};
use jobbook::{Did, Draft, JobId, JobRecord, Place, Present, Reading, SearchStep};
use serde::{Deserialize, Serialize};
use sheets::words::{
    fault::{self as said, refused as not_taken},
    page as words,
};
use std::{borrow::Cow, sync::Arc, time::Duration};
use workshop::study::fault::{Case, Faults, Step};

/// Most answers that an address may carry; a search takes a dozen.
const MOST: usize = 200;

/// What an address, or a job's log, says of a search.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Search {
    /// The complaint.
    pub complaint: String,
    /// What was done, in order.
    pub did: Vec<String>,
    /// Tests that are not to be offered now.
    pub skip: Vec<String>,
    /// The test that was chosen.
    pub test: String,
    /// Which ignition it is, where that was said.
    pub ignition: String,
    /// Tests whose known good part is in hand.
    pub in_hand: Vec<String>,
}

impl Search {
    pub(super) fn of(query: Option<&str>) -> Self {
        let pairs: Vec<(String, String)> = serde_urlencoded::from_str(query.unwrap_or("")).unwrap_or_default();
        let mut search = Self::default();
        for (name, value) in pairs.into_iter().take(MOST).filter(|(_, value)| !value.is_empty()) {
            match name.as_str() {
                "complaint" => search.complaint = value,
                "did" => search.did.push(value),
                "skip" => search.skip.push(value),
                "test" => search.test = value,
                "ignition" => search.ignition = value,
                "in-hand" => search.in_hand.push(value),
                _ => {}
            }
        }
        search
    }

    /// What was said beside the answers; a job's log does not have it either.
    pub fn beside(&self) -> impl Iterator<Item = (&str, &str)> {
        let ignition = (!self.ignition.is_empty()).then_some(("ignition", self.ignition.as_str()));
        ignition.into_iter().chain(self.in_hand.iter().map(|t| ("in-hand", t.as_str())))
    }

    /// An address with that, after what else it asks.
    pub fn at(&self, address: &str, asks: &[(&str, &str)]) -> String {
        let pairs: Vec<(&str, &str)> = asks.iter().copied().chain(self.beside()).collect();
        let query = serde_urlencoded::to_string(&pairs).unwrap_or_default();
        if query.is_empty() { address.to_owned() } else { format!("{address}?{query}") }
    }
}

/// Whose search it is.
struct Whose<'a> {
    bench: &'a Arc<Bench>,
    slug: &'a str,
    /// Text of the machine's file.
    text: &'a str,
    /// The job.
    job: Option<OfJob<'a>>,
}

/// What a job has for its search.
struct OfJob<'a> {
    id: JobId,
    number: &'a str,
    readings: Vec<&'a Reading>,
    /// Readings that are from after a repair.
    after: usize,
    /// Its recordings.
    heard: &'a [Heard],
}

impl Whose<'_> {
    /// What is known of faults, the finished jobs of the book among it.
    fn faults(&self) -> Result<Cow<'_, Faults>, Trouble> {
        let searches = self.bench.book().finished_searches()?;
        let finished = faults::finished(&searches, self.job.as_ref().map(|job| job.id));
        let base = self.bench.faults();
        let number = self.job.as_ref().map(|job| job.number);
        Ok(if finished.is_empty() && base.named.is_empty() {
            Cow::Borrowed(base)
        } else {
            Cow::Owned(base.with_jobs(&finished, number))
        })
    }

    /// What is made of a search; what cannot be taken of it comes back as sentences.
    fn with<T>(
        &self,
        faults: &Faults,
        search: &Search,
        make: impl FnOnce(&Read, Case, &view::Around) -> T,
    ) -> Result<Result<T, String>, Trouble> {
        let read = self.bench.read(self.text);
        let read = match &*read {
            Ok(read) => read,
            Err(defects) => {
                let words = words::defects_first(defects.len());
                return Err(Trouble { status: StatusCode::CONFLICT, title: words::NOT_YET, words });
            }
        };
        let work = self.bench.works.look(self.slug, self.text);
        let found = work.as_ref().and_then(|w| w.found());
        // The quick ones are worked out, once, where all of them were not yet.
        let quick = found.is_none().then(|| self.bench.quicks.get(self.text, |_| faults::Quick::of(read)));
        let studies = quick.as_ref().map_or_else(|| faults::studies(read, found), |quick| quick.studies(read));
        let kept = self.job.as_ref().map_or_else(Vec::new, |job| job.readings.iter().map(|r| faults::kept(r)).collect());
        let recordings = self.job.as_ref().map_or(&[][..], |job| job.heard);
        let heard: Vec<&Recording> = recordings.iter().filter_map(|r| r.outcome()?.ok()).collect();
        let ignition = faults::ignition(&search.ignition);
        let about = About { machine: &read.machine, studies, kept: &kept, heard: &heard, ignition };
        let mut case = match faults::case(faults, about, &search.complaint) {
            Ok(case) => case,
            Err(why) => return Ok(Err(why)),
        };
        let not_heard = |r: &Heard| r.outcome()?.err().map(|why| said::evidence::not_counted(&r.name, why));
        let mut left_out: Vec<String> = recordings.iter().filter_map(not_heard).collect();
        left_out.extend(self.job.as_ref().and_then(|job| said::evidence::after_repair(job.after)));
        if ignition.is_none() && !search.ignition.is_empty() {
            left_out.push(said::page::no_ignition(&search.ignition));
        }
        for name in &search.in_hand {
            match faults::test(faults, name) {
                Ok(test) => case.in_hand.push(test),
                Err(why) => left_out.push(why),
            }
        }
        // What a job's log has took place, and so did what stands in an address before the last answer.
        let before = if self.job.is_some() { search.did.len() } else { search.did.len().saturating_sub(1) };
        for (k, did) in search.did.iter().enumerate() {
            let mut take = |step| if k < before { case.took_place(step) } else { case.step(step) };
            let taken = faults::step(faults, did).and_then(|step| take(step).map_err(|why| not_taken(faults, &why)));
            left_out.extend(taken.err());
        }
        let hearing: Vec<(&str, f64)> = recordings.iter().filter_map(|r| Some((r.name.as_str(), r.share()?))).collect();
        Ok(Ok(make(read, case, &view::Around { studies, not_taken: &left_out, hearing: &hearing })))
    }

    fn page(&self, search: &Search, of_job: Option<&view::OfJob>) -> Result<Result<maud::Markup, String>, Trouble> {
        let faults = self.faults()?;
        self.with(&faults, search, |read, case, around| {
            let study = case.study();
            let action = of_job.map_or_else(|| format!("/machine/{}/fault", self.slug), |job| job.to.address());
            view::search(self.slug, read, search, &view::Found { case: &case, study: &study, around, of_job, action })
        })
    }

    fn paper(&self, search: &Search, name: &str) -> Result<Response, Trouble> {
        let faults = self.faults()?;
        let made = self.with(&faults, search, |read, case, around| {
            let options = sheets::sheet::SheetOptions::default();
            sheets::sheet::fault(&read.machine, &case, &case.study(), around.studies, &options)
        })?;
        Ok(match made {
            Ok(Ok(pdf)) => {
                let disposition = format!("attachment; filename=\"{name}-fault.pdf\"");
                ([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)], pdf)
                    .into_response()
            }
            Ok(Err(_)) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            Err(_) => StatusCode::NOT_FOUND.into_response(),
        })
    }
}

/// The page of a search, or the choice of a complaint.
pub(super) async fn page(asked: Asked, RawQuery(query): RawQuery) -> Result<Response, Trouble> {
    let search = Search::of(query.as_deref());
    let record = asked.bench.book().machine(&asked.slug)?;
    let whose = Whose { bench: &asked.bench, slug: &asked.slug, text: &record.newest.text, job: None };
    let choice = |wrong: Option<&str>| view::choice(asked.bench.faults(), &view::To::Machine(&asked.slug), &search, wrong);
    let (status, inside) = if search.complaint.is_empty() {
        (StatusCode::OK, choice(None))
    } else {
        match whose.page(&search, None)? {
            Ok(inside) => (StatusCode::OK, inside),
            Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, choice(Some(&why))),
        }
    };
    let inside = view::page(&record.name, &view::To::Machine(&asked.slug), &inside);
    Ok((status, Html(sheet::page(asked.around(), said::FAULT, &inside))).into_response())
}

/// The fault sheet.
pub(super) async fn paper(asked: Asked, RawQuery(query): RawQuery) -> Result<Response, Trouble> {
    let text = asked.bench.book().machine(&asked.slug)?.newest.text;
    let whose = Whose { bench: &asked.bench, slug: &asked.slug, text: &text, job: None };
    whose.paper(&Search::of(query.as_deref()), &asked.slug)
}

/// A job with its search.
struct JobSearch {
    record: JobRecord,
    text: String,
    present: Present,
    heard: Vec<Heard>,
}

impl JobSearch {
    /// Its recordings are being heard from now on, if they were not before; nobody waits for them.
    fn of(bench: &Arc<Bench>, number: &str) -> Result<Self, Trouble> {
        let (record, text, present) = {
            let book = bench.book();
            let record = book.job_by_number(number)?;
            let log = book.log(Place::Job(record.id))?;
            let text = left_and_found(&book, &record, &log)?.0.text;
            (record, text, Present::of(log))
        };
        let recordings = recordings::of_fault(present.attachments().map(|(_, a)| a));
        let heard = recordings.into_iter().map(|(name, hash)| Heard::of(bench, (number, &text), name, hash)).collect();
        Ok(Self { record, text, present, heard })
    }

    /// How far the one that is the least far is; `None` where all were heard.
    fn hearing(&self) -> Option<f64> {
        self.heard.iter().filter_map(Heard::share).reduce(f64::min)
    }

    fn whose<'a>(&'a self, bench: &'a Arc<Bench>) -> Whose<'a> {
        let (readings, after) = faults::of_fault(&self.present);
        let job = OfJob { id: self.record.id, number: &self.record.number, readings, after, heard: &self.heard };
        Whose { bench, slug: &self.record.machine, text: &self.text, job: Some(job) }
    }

    /// The search that was begun last, with what the address wishes to see of it.
    fn search(&self, query: Option<&str>) -> Option<Search> {
        let (complaint, steps) = faults::search_of(self.present.search_steps(), |(_, s)| s)?;
        let did = steps.iter().filter_map(|(_, s)| faults::answer(s)).collect();
        Some(Search { complaint, did, ..Search::of(query) })
    }
}

/// The search of a job, where it was left.
pub(super) async fn of_job(
    State(bench): Room,
    Path(number): Path<String>,
    RawQuery(query): RawQuery,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    let job = JobSearch::of(&bench, &number)?;
    let (who, token) = (who(&headers), pair::token());
    let to = view::To::Job { number: &number, who: &who, token: &token };
    let wished = Search::of(query.as_deref());
    let choice = |wrong: Option<&str>| view::choice(bench.faults(), &to, &wished, wrong);
    let search = job.search(query.as_deref()).filter(|_| wished.complaint != "another");
    let (status, inside) = match &search {
        None => (StatusCode::OK, choice(None)),
        Some(search) => {
            let steps = faults::newest(&search.complaint, job.present.search_steps(), |(_, s)| s);
            let of_job = view::OfJob { to: &to, steps: &steps };
            match job.whose(&bench).page(search, Some(&of_job))? {
                Ok(inside) => (StatusCode::OK, inside),
                Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, choice(Some(&why))),
            }
        }
    };
    let inside = view::page(&format!("{} {}", number, job.record.machine_name), &to, &inside);
    Ok((status, Html(sheet::page(around(&uri, &headers), said::FAULT, &inside))).into_response())
}

#[derive(Deserialize)]
pub(super) struct Answered {
    complaint: String,
    /// Empty to begin; an answer; or a cause and `=found`.
    #[serde(default)]
    did: String,
    /// The cause that was found, where it was chosen from a list.
    #[serde(default)]
    found: String,
    /// What the address says beside the answers.
    #[serde(default)]
    said: String,
    who: String,
    token: String,
}

/// Keeps a step of a search in the job's log.
pub(super) async fn keep(
    State(bench): Room,
    Path(number): Path<String>,
    Form(form): Form<Answered>,
) -> Result<Response, Trouble> {
    let job = JobSearch::of(&bench, &number)?;
    let whose = job.whose(&bench);
    let faults = whose.faults()?;
    let search = job.search(Some(&form.said)).filter(|s| s.complaint == form.complaint);
    let begun = search.is_some();
    let fresh = || Search { complaint: form.complaint.clone(), did: Vec::new(), ..Search::of(Some(&form.said)) };
    let search = search.unwrap_or_else(fresh);
    let found = if form.found.is_empty() { form.did.strip_suffix("=found").unwrap_or_default() } else { &form.found };
    let step = whose.with(&faults, &search, |_, mut case, _| -> Result<SearchStep, String> {
        if form.did.is_empty() && found.is_empty() {
            let words = said::begun(case.it());
            return Ok(SearchStep { complaint: form.complaint.clone(), did: Did::Begun, what: String::new(), words });
        }
        if !begun {
            return Err(said::page::NO_SEARCH.to_owned());
        }
        if !found.is_empty() {
            return faults::found_step(&case, found);
        }
        let step = faults::step(&faults, &form.did)?;
        // A cause that can be undone may come out of what is being heard.
        if let Step::PutRight(cause) = step
            && faults.causes[cause].irreversible
            && job.hearing().is_some()
        {
            return Err(said::page::NO_METAL_WHILE_HEARD.to_owned());
        }
        case.step(step).map_err(|why| not_taken(&faults, &why))?;
        Ok(faults::kept_step(&faults, &form.complaint, step))
    })?;
    let step = step.and_then(|step| step).map_err(refused)?;
    let id = record(&bench, &number)?.id;
    bench.book().append(Place::Job(id), stamp(&form.who), &[Draft::new(step).token(form.token)])?;
    Ok(back(&search.at(&format!("/job/{number}/fault"), &[]), &form.who))
}

/// How far the recordings of a job are heard.
#[derive(Serialize)]
struct HearingNow {
    state: &'static str,
    share: f64,
}

/// Whether recordings of a job are being heard, and how far that is.
pub(super) async fn hearing(State(bench): Room, Path(number): Path<String>) -> Result<Response, Trouble> {
    let now = JobSearch::of(&bench, &number)?.hearing();
    let state = if now.is_some() { "running" } else { "ended" };
    Ok(Json(HearingNow { state, share: now.unwrap_or(1.0) }).into_response())
}

/// Time between two looks at what is being heard, for paper [ms] (own choice).
const LOOKS_MS: u64 = 100;

/// The fault sheet of a job. Paper cannot be looked at again: it waits until the recordings were heard.
pub(super) async fn paper_of_job(
    State(bench): Room,
    Path(number): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Trouble> {
    let job = JobSearch::of(&bench, &number)?;
    while job.hearing().is_some() {
        tokio::time::sleep(Duration::from_millis(LOOKS_MS)).await;
    }
    match job.search(query.as_deref()) {
        Some(search) => job.whose(&bench).paper(&search, &number),
        None => Ok(StatusCode::NOT_FOUND.into_response()),
    }
}
