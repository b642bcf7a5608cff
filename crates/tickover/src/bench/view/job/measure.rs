//! The fold of a job with its readings and notes.

use super::{Job, area, by, field_as};
use jobbook::{Present, Reading, Stage, Standing};
use maud::{Markup, html};
use sheets::words::page as words;
use workshop::job::{QUANTITIES, steps::Fold};

/// What was typed into the form for a reading and refused.
#[derive(Default)]
pub struct Typed {
    pub stage: Option<Stage>,
    pub what: String,
    pub place: String,
    pub value: String,
    pub instrument: String,
    pub temperature: String,
    pub speed: String,
    pub condition: String,
    /// Field and sentence.
    pub wrong: Vec<(&'static str, String)>,
}

impl Job<'_> {
    pub(super) fn measure(&self, present: &Present) -> Markup {
        let readings: Vec<(&Standing, &Reading)> = present.readings().collect();
        let notes: Vec<_> = present.notes().collect();
        self.fold(
            Fold::Measure,
            true,
            &words::noted(readings.len(), notes.len()),
            &html! {
                (table(&readings))
                p { a href={ "/take-in?job=" (self.record.number) } { (sheets::words::exchange::TAKE_READINGS_IN) } }
                @if !notes.is_empty() {
                    h3 { (words::NOTES) }
                    ul.said { @for (standing, note) in &notes { li { p.lines { (note.words) } span.soft { (by(&standing.entry)) } } } }
                }
                h3 { (words::TAKE_A_READING) }
                (self.reading())
                h3 { (words::NOTE) }
                (self.later("note", &html! {
                    (area("words", "words", words::WORDS, "", true))
                    (field_as("note-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
            },
        )
    }

    fn reading(&self) -> Markup {
        let t = self.typed;
        let wrong = |name: &str| t.wrong.iter().find(|(field, _)| *field == name).map(|(_, words)| words.as_str());
        let input = |name: &'static str, label: &str, value: &str, list: Option<&str>| {
            let error = wrong(name);
            let error_id = format!("{name}-error");
            html! {
                div.field.wrong[error.is_some()] {
                    label for=(name) { (label) }
                    input id=(name) name=(name) value=(value) list=[list] autocomplete="off" spellcheck="false" required[name == "value"]
                        aria-invalid=[error.map(|_| "true")] aria-describedby=[error.map(|_| &error_id)];
                    @if let Some(words) = error { span.error id=(error_id) { (words) } }
                }
            }
        };
        self.later("reading", &html! {
            div.fields {
                div.field {
                    label for="stage" { (words::WHEN_IN_THE_JOB) }
                    select #stage name="stage" {
                        @for (key, stage) in [("as_found", Stage::AsFound), ("during", Stage::During), ("as_left", Stage::AsLeft)] {
                            option value=(key) selected[t.stage == Some(stage)] { (words::stage(stage)) }
                        }
                    }
                }
                div.field {
                    label for="what" { (words::WHAT) }
                    select #what name="what" {
                        @for q in QUANTITIES { option value=(q.key) selected[q.key == t.what] { (q.label) ", " (words::such_as(q.example)) } }
                    }
                }
                (input("value", words::VALUE, &t.value, None))
                (input("place", words::PLACE, &t.place, None))
                (input("instrument", words::INSTRUMENT, &t.instrument, Some("instruments")))
                (input("temperature", words::TEMPERATURE, &t.temperature, None))
                (input("speed", words::SPEED, &t.speed, None))
                div.field {
                    label for="condition" { (words::CONDITION) }
                    select #condition name="condition" {
                        @for (key, label) in words::CONDITIONS { option value=(key) selected[key == t.condition] { (label) } }
                    }
                }
                (field_as("reading-who", "who", words::WHO, self.who, ""))
            }
            datalist #instruments { @for i in self.instruments { option value=(i.name) { (i.unit) " " (i.plus_minus) } } }
            button { (words::KEEP_READING) }
        })
    }
}

/// Readings by quantity and place, as found beside as left.
fn table(readings: &[(&Standing, &Reading)]) -> Markup {
    let mut rows: Vec<(&str, &str, &str)> = Vec::new();
    for (_, r) in readings {
        let row = (r.what.as_str(), r.place.as_str(), r.words.as_str());
        if !rows.iter().any(|(what, place, _)| (*what, *place) == (row.0, row.1)) {
            rows.push(row);
        }
    }
    let stages = [Stage::AsFound, Stage::During, Stage::AsLeft];
    html! {
        @if !rows.is_empty() {
            div.scroll.readings tabindex="0" role="region" aria-label=(words::READINGS) {
                table {
                    thead { tr { th scope="col" { (words::WHAT) } @for stage in stages { th scope="col" { (words::stage(stage)) } } } }
                    tbody {
                        @for (what, place, label) in rows {
                            tr {
                                th scope="row" { (label) @if !place.is_empty() { ", " (place) } }
                                @for stage in stages {
                                    td {
                                        @for (_, r) in readings.iter().filter(|(_, r)| r.what == what && r.place == place && r.stage == stage) {
                                            div { (r.typed) @let beside = words::beside(r); @if !beside.is_empty() { div.soft { (beside) } } }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
