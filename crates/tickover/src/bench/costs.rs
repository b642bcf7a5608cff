//! Parts and time of a job.

use super::{
    Room, Trouble,
    jobs::{back, record, refused, stamp},
    known,
};
use axum::{
    extract::{Form, Path, State},
    response::Response,
};
use jobbook::{Body, Book, Draft, JobRecord, Part, Place, Price, Work};
use quantity::{Dimension, Reading};
use serde::Deserialize;
use sheets::{job::Money, words::page as words};

/// Longest time in one entry [min]: a week.
const LONGEST_MIN: f64 = 7.0 * 24.0 * 60.0;
/// Seconds in a minute.
const MINUTE_S: f64 = 60.0;

#[derive(Deserialize)]
pub(super) struct Used {
    name: String,
    #[serde(default)]
    quantity: String,
    #[serde(default)]
    price: String,
    #[serde(default)]
    source: String,
    who: String,
    token: String,
}

/// Keeps a part that was used.
pub(super) async fn part(State(bench): Room, Path(number): Path<String>, Form(form): Form<Used>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    let name = form.name.trim().to_owned();
    if name.is_empty() {
        return Err(refused(words::NAMELESS_PART.to_owned()));
    }
    let quantity = Reading::parse(&form.quantity, Dimension::Number).map_err(|e| refused(sheets::words::reading_error(&e)))?.si;
    if quantity <= 0.0 {
        return Err(refused(words::NO_QUANTITY.to_owned()));
    }
    let price = price(&book, &job, &form.price)?;
    let part = Part { name, quantity, price, source: form.source.trim().to_owned(), on: None };
    keep(&mut book, &job, part, &form.who, form.token)
}

#[derive(Deserialize)]
pub(super) struct Spent {
    spent: String,
    #[serde(default)]
    words: String,
    #[serde(default)]
    hourly: String,
    who: String,
    token: String,
}

/// Keeps time that was spent.
pub(super) async fn time(State(bench): Room, Path(number): Path<String>, Form(form): Form<Spent>) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let mut book = bench.book();
    let minutes = minutes(&form.spent).ok_or_else(|| refused(words::no_such_time(&form.spent)))?;
    let hourly = price(&book, &job, &form.hourly)?;
    keep(&mut book, &job, Work { minutes, words: form.words.trim().to_owned(), hourly }, &form.who, form.token)
}

fn keep(book: &mut Book, job: &JobRecord, body: impl Into<Body>, who: &str, token: String) -> Result<Response, Trouble> {
    book.append(Place::Job(job.id), stamp(who), &[Draft::new(body).token(token)])?;
    Ok(back(&format!("/job/{}#alter", job.number), who))
}

/// A price as typed, in the job's usual currency where none is written; `None` where nothing is written.
pub(super) fn price(book: &Book, job: &JobRecord, text: &str) -> Result<Option<Price>, Trouble> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let log = book.log(Place::Job(job.id))?;
    let money = Money::parse(text, known::currency(&log)).map_err(|e| refused(words::money_error(&e)))?;
    Ok(Some(Price { minor: money.minor, currency: money.currency }))
}

/// Whole minutes of `1:30`, `90 min` or `1,5 h`.
fn minutes(text: &str) -> Option<u32> {
    let whole = match text.trim().split_once(':') {
        Some((hours, minutes)) => {
            let (hours, minutes): (u32, u32) = (hours.trim().parse().ok()?, minutes.trim().parse().ok()?);
            (minutes < 60).then(|| 60.0 * f64::from(hours) + f64::from(minutes))?
        }
        None => (Reading::parse(text, Dimension::Time).ok()?.si / MINUTE_S).round(),
    };
    (1.0..=LONGEST_MIN).contains(&whole).then_some(whole as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_written() {
        let read: Vec<_> = ["1:30", "90 min", "1,5 h", "0:05", "300 s"].iter().map(|t| minutes(t)).collect();
        assert_eq!(read, [Some(90), Some(90), Some(90), Some(5), Some(5)]);
        for text in ["", "90", "1:75", "-1:30", "0:00", "169 h", "nan h", "1:2:3"] {
            assert_eq!(minutes(text), None, "{text}");
        }
    }
}
