//! Readings of a job, each with the instrument that it was taken with.

use super::{
    Room, Trouble, around,
    jobs::{after, entry_id, first_sent, record, refused, show, stamp},
    view::{job as view, sheet},
};
use axum::{
    extract::{Form, Path, State},
    http::{HeaderMap, Uri},
    response::Response,
};
use jobbook::{Condition, Draft, Instrument, Origin, Reading, Stage, Stamp, UnixSeconds};
use quantity::Dimension;
use serde::Deserialize;
use sheets::words::page as words;
use workshop::job::{Quantity, Shown, named};

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
    /// The instrument whose unit and ± were shown to the writer, filled in where they had not been typed.
    #[serde(default)]
    offered: String,
    /// When it was typed, by the device's clock, in seconds since 1970; a page without its script does not say.
    taken_at: Option<i64>,
    replaces: Option<String>,
    who: String,
    token: String,
}

impl Taken {
    /// The form again, with what was typed.
    fn typed(self) -> view::Typed {
        view::Typed {
            stage: Some(self.stage),
            what: self.what,
            place: self.place,
            value: self.value,
            instrument: self.instrument,
            temperature: self.temperature,
            speed: self.speed,
            condition: self.condition,
            ..view::Typed::default()
        }
    }
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
    let path = format!("/job/{number}");
    let again = |typed: &view::Typed, who: &str| {
        show(&bench, &number, sheet::Around { path: &path, ..around(&uri, &headers) }, who, typed)
    };
    let instrument = form.instrument.trim().to_owned();
    // Nothing is added that the writer has not seen.
    if !instrument.is_empty() && form.offered.trim() != instrument {
        let (known, sent) = {
            let book = bench.book();
            (known(&book.instruments()?, &instrument, quantity), book.sent(&form.token)?.is_some())
        };
        if let Some(whole) = known.and_then(|shown| shown.complete(&form.value, quantity.dimension)).filter(|_| !sent) {
            let who = form.who.clone();
            return again(&view::Typed { value: whole, filled: instrument, ..form.typed() }, &who);
        }
    }
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
        let who = form.who.clone();
        return again(&view::Typed { wrong, ..form.typed() }, &who);
    };
    let mut book = bench.book();
    let stamp = Stamp { at: first_sent(&book, &form.token)?, ..stamp(&form.who) };
    let taken_at = form.taken_at.map_or(stamp.at, UnixSeconds);
    if !(UnixSeconds(0)..=sheets::words::LAST_SECOND).contains(&taken_at) {
        return Err(refused(words::no_such_day(&taken_at.0.to_string())));
    }
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
    let shown = Shown::of(&form.value).unwrap_or_default();
    let instrument = Instrument {
        name: instrument,
        unit: if shown.unit.is_empty() { reading.unit.clone() } else { shown.unit },
        plus_minus: shown.plus_minus,
        what: quantity.key.to_owned(),
    };
    let draft = Draft { replaces: entry_id(form.replaces.as_deref())?, ..Draft::new(reading).token(&form.token) };
    book.take(job.id, stamp, draft, Some(instrument).filter(|i| !i.name.is_empty()))?;
    Ok(after(&number, &form.token, "value", &form.who))
}

/// What the book remembers of an instrument for a quantity; if it was never used for that one, what it showed for others
/// that are measured in the same units, unless those differ.
pub(super) fn known(instruments: &[Instrument], name: &str, quantity: &Quantity) -> Option<Shown> {
    let of = |i: &Instrument| Shown { unit: i.unit.clone(), plus_minus: i.plus_minus.clone() };
    let mut own = instruments.iter().filter(|i| i.name == name);
    if let Some(same) = own.clone().find(|i| i.what == quantity.key) {
        return Some(of(same));
    }
    let fits = |i: &&Instrument| quantity.dimension.units().iter().any(|unit| unit.symbol() == i.unit);
    let first = of(own.find(fits)?);
    own.filter(fits).all(|i| of(i) == first).then_some(first)
}

/// A condition by its name in the form; anything else is the mechanic's own word.
fn condition(name: &str) -> Option<Condition> {
    let name = name.trim();
    let known = || serde_json::from_value(name.into()).unwrap_or_else(|_| Condition::Other(name.to_owned()));
    (!name.is_empty()).then(known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instrument_is_remembered_for_each_quantity_and_never_guessed() {
        let kept = |what: &str, unit: &str, plus_minus: &str| Instrument {
            name: "meter".to_owned(),
            unit: unit.to_owned(),
            plus_minus: plus_minus.to_owned(),
            what: what.to_owned(),
        };
        let shown = |unit: &str, plus_minus: &str| Some(Shown { unit: unit.to_owned(), plus_minus: plus_minus.to_owned() });
        let of = |what: &str, kept: &[Instrument]| known(kept, "meter", named(what).unwrap());
        let (rest, peak) = (kept("battery.rest", "V", "0.1"), kept("pickup.peak", "V", "0.2"));
        let both = [rest.clone(), peak, kept("coil.primary", "Ω", "1 %")];
        assert_eq!(of("pickup.peak", &both), shown("V", "0.2"));
        assert_eq!(of("coil.secondary", &both), shown("Ω", "1 %"), "another coil");
        assert_eq!(of("charging.volts", &both), None, "two that differ");
        assert_eq!(of("charging.volts", &[rest]), shown("V", "0.1"));
        assert_eq!(of("plug.gap", &both), None);
        assert_eq!(known(&both, "feeler", named("plug.gap").unwrap()), None);
    }
}
