//! Readings of a job, each with the instrument that it was taken with.

use super::{
    Room, Trouble, around,
    jobs::{back, entry_id, first_sent, record, refused, show, stamp},
    view::{job as view, sheet},
};
use axum::{
    extract::{Form, Path, State},
    http::{HeaderMap, Uri},
    response::Response,
};
use jobbook::{Condition, Draft, Instrument, Origin, Place, Reading, Stage, Stamp, UnixSeconds};
use quantity::Dimension;
use serde::Deserialize;
use sheets::words::page as words;
use workshop::job::named;

#[derive(Deserialize)]
pub(super) struct Taken {
    stage: Stage,
    what: String,
    #[serde(default)]
    place: String,
    value: String,
    #[serde(default)]
    instrument: String,
    #[serde(default)]
    temperature: String,
    #[serde(default)]
    speed: String,
    #[serde(default)]
    condition: String,
    /// When it was typed, by the device's clock, in seconds since 1970; a page without its script does not say.
    taken_at: Option<i64>,
    replaces: Option<String>,
    who: String,
    token: String,
}

/// Keeps a reading, and what its instrument shows for next time.
pub(super) async fn reading(
    State(bench): Room,
    Path(number): Path<String>,
    uri: Uri,
    headers: HeaderMap,
    Form(form): Form<Taken>,
) -> Result<Response, Trouble> {
    let job = record(&bench, &number)?;
    let quantity = named(&form.what).ok_or_else(|| refused(words::no_such_quantity(&form.what)))?;
    let mut wrong = Vec::new();
    let mut parse = |field: &'static str, text: &str, dimension| match quantity::Reading::parse(text, dimension) {
        Ok(reading) => Some(reading),
        Err(error) => {
            wrong.push((field, sheets::words::reading_error(&error)));
            None
        }
    };
    let value = parse("value", &form.value, quantity.dimension);
    let mut beside = |field, text: &str, dimension| if text.trim().is_empty() { None } else { parse(field, text, dimension) };
    let temperature = beside("temperature", &form.temperature, Dimension::Temperature);
    let speed = beside("speed", &form.speed, Dimension::Speed);
    let Some(value) = value.filter(|_| wrong.is_empty()) else {
        let path = format!("/job/{number}");
        let typed = view::Typed {
            stage: Some(form.stage),
            what: form.what,
            place: form.place,
            value: form.value,
            instrument: form.instrument,
            temperature: form.temperature,
            speed: form.speed,
            condition: form.condition,
            wrong,
        };
        return show(&bench, &number, sheet::Around { path: &path, ..around(&uri, &headers) }, &form.who, &typed);
    };
    let mut book = bench.book();
    let stamp = Stamp { at: first_sent(&book, &form.token)?, ..stamp(&form.who) };
    let taken_at = form.taken_at.map_or(stamp.at, UnixSeconds);
    if !(UnixSeconds(0)..=sheets::words::LAST_SECOND).contains(&taken_at) {
        return Err(refused(words::no_such_day(&taken_at.0.to_string())));
    }
    let instrument = form.instrument.trim().to_owned();
    let reading = Reading {
        stage: form.stage,
        what: quantity.key.to_owned(),
        words: quantity.label.to_owned(),
        place: form.place.trim().to_owned(),
        typed: form.value.trim().to_owned(),
        value_si: value.si,
        plus_minus_si: value.plus_minus_si,
        unit: value.unit.symbol().to_owned(),
        instrument: instrument.clone(),
        temperature_k: temperature.map(|t| t.si),
        crank_rad_s: speed.map(|s| s.si),
        condition: condition(&form.condition),
        origin: Origin::Measured,
        taken_at,
    };
    let draft = Draft { replaces: entry_id(form.replaces.as_deref())?, ..Draft::new(reading).token(form.token) };
    let kept = book.append(Place::Job(job.id), stamp, &[draft])?;
    if !instrument.is_empty() && !kept[0].again {
        let plus_minus = form.value.split_once('±').map_or(String::new(), |(_, after)| after.trim().to_owned());
        let known =
            Instrument { name: instrument, unit: value.unit.symbol().to_owned(), plus_minus, what: quantity.key.to_owned() };
        if !book.instruments()?.contains(&known) {
            book.append(Place::Workshop, stamp, &[Draft::new(known)])?;
        }
    }
    Ok(back(&format!("/job/{number}#measure"), &form.who))
}

/// A condition by its name in the form; anything else is the mechanic's own word.
fn condition(name: &str) -> Option<Condition> {
    let name = name.trim();
    let known = || serde_json::from_value(name.into()).unwrap_or_else(|_| Condition::Other(name.to_owned()));
    (!name.is_empty()).then(known)
}
