//! Fault finding: everything that was answered stands in the address, so nothing is kept and any answer can be taken back.

use super::{
    Trouble,
    asked::Asked,
    view::{fault as view, sheet},
};
use crate::{desk::Read, faults};
use axum::{
    extract::RawQuery,
    http::{StatusCode, header},
    response::{Html, IntoResponse, Response},
};
use sheets::words::{fault::refused, page as words};

/// Most answers that an address may carry; a search takes a dozen.
const MOST: usize = 200;

/// What an address says of a search.
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
}

impl Search {
    fn of(query: Option<&str>) -> Self {
        let pairs: Vec<(String, String)> = serde_urlencoded::from_str(query.unwrap_or("")).unwrap_or_default();
        let mut search = Self::default();
        for (name, value) in pairs.into_iter().take(MOST).filter(|(_, value)| !value.is_empty()) {
            match name.as_str() {
                "complaint" => search.complaint = value,
                "did" => search.did.push(value),
                "skip" => search.skip.push(value),
                "test" => search.test = value,
                _ => {}
            }
        }
        search
    }
}

/// What is made of a search on a machine; what cannot be taken of it comes back as sentences.
fn with<T>(asked: &Asked, search: &Search, make: impl FnOnce(&Read, &view::Found) -> T) -> Result<Result<T, String>, Trouble> {
    let record = asked.bench.book().machine(&asked.slug)?;
    let text = &record.newest.text;
    let read = asked.bench.read(text);
    let read = match &*read {
        Ok(read) => read,
        Err(defects) => {
            let words = words::defects_first(defects.len());
            return Err(Trouble { status: StatusCode::CONFLICT, title: words::NOT_YET, words });
        }
    };
    let work = asked.bench.works.look(&asked.slug, text);
    let studies = faults::studies(read, work.as_ref().and_then(|w| w.found()));
    let faults = asked.bench.faults();
    let mut case = match faults::case(faults, &read.machine, studies, &search.complaint, None) {
        Ok(case) => case,
        Err(why) => return Ok(Err(why)),
    };
    let mut not_taken = Vec::new();
    for did in &search.did {
        let taken = faults::step(faults, did).and_then(|step| case.step(step).map_err(|why| refused(faults, &why)));
        not_taken.extend(taken.err());
    }
    let study = case.study();
    Ok(Ok(make(read, &view::Found { case: &case, study: &study, studies, not_taken: &not_taken })))
}

/// The page of a search, or the choice of a complaint.
pub(super) async fn page(asked: Asked, RawQuery(query): RawQuery) -> Result<Response, Trouble> {
    let search = Search::of(query.as_deref());
    let name = asked.bench.book().machine(&asked.slug)?.name;
    let (status, inside) = if search.complaint.is_empty() {
        (StatusCode::OK, view::choice(asked.bench.faults(), &asked.slug, None))
    } else {
        match with(&asked, &search, |read, found| view::search(&asked.slug, read, &search, found))? {
            Ok(inside) => (StatusCode::OK, inside),
            Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, view::choice(asked.bench.faults(), &asked.slug, Some(&why))),
        }
    };
    let page = sheet::page(asked.around(), sheets::words::fault::FAULT, &view::page(&name, &asked.slug, &inside));
    Ok((status, Html(page)).into_response())
}

/// The fault sheet.
pub(super) async fn paper(asked: Asked, RawQuery(query): RawQuery) -> Result<Response, Trouble> {
    let search = Search::of(query.as_deref());
    let made = with(&asked, &search, |read, found| {
        let options = sheets::sheet::SheetOptions::default();
        sheets::sheet::fault(&read.machine, found.case, found.study, found.studies, &options)
    })?;
    Ok(match made {
        Ok(Ok(pdf)) => {
            let disposition = format!("attachment; filename=\"{}-fault.pdf\"", asked.slug);
            ([(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, disposition)], pdf)
                .into_response()
        }
        Ok(Err(_)) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
        Err(_) => StatusCode::NOT_FOUND.into_response(),
    })
}
