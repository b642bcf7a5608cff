//! The fold of a job with its readings, files and notes.

use super::{super::super::assets::address, Job, area, by, field_as};
use jobbook::{Body, Entry, Reading, Stage, Standing};
use maud::{Markup, html};
use sheets::words::page as words;
use workshop::job::{QUANTITIES, steps::Fold};

/// What was typed into the form for a reading and not kept, or what was kept just before.
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
    /// The instrument with whose unit and ± the value was completed.
    pub filled: String,
    /// Field and sentence.
    pub wrong: Vec<(&'static str, String)>,
    /// What this device kept just now.
    pub kept: Option<Entry>,
}

/// Stages by their names in forms.
pub(super) const STAGES: [(&str, Stage); 3] =
    [("as_found", Stage::AsFound), ("during", Stage::During), ("as_left", Stage::AsLeft)];

impl Job<'_> {
    pub(super) fn measure(&self) -> Markup {
        let readings: Vec<(&Standing, &Reading)> = self.present.readings().collect();
        let notes: Vec<_> = self.present.notes().collect();
        self.fold(
            Fold::Measure,
            true,
            &words::noted(readings.len(), notes.len()),
            &html! {
                h3 { (words::TAKE_A_READING) }
                (self.kept(|body| matches!(body, Body::Reading(_))))
                (self.reading())
                (table(&readings))
                p { a href={ "/take-in?job=" (self.record.number) } { (sheets::words::exchange::TAKE_READINGS_IN) } }
                (self.files())
                @if !notes.is_empty() {
                    h3 { (words::NOTES) }
                    ul.said { @for (standing, note) in &notes { li { p.lines { (note.words) } span.soft { (by(&standing.entry)) } } } }
                }
                h3 { (words::NOTE) }
                (self.later("note", &html! {
                    (area("words", "words", words::WORDS, "", true))
                    (field_as("note-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
                script type="module" src=(address("/measure.js")) {}
            },
        )
    }

    /// What was kept just now, and a button to undo it.
    pub(super) fn kept(&self, is: impl Fn(&Body) -> bool) -> Markup {
        let Some(entry) = self.typed.kept.as_ref().filter(|e| is(&e.body)) else { return html! {} };
        let stands = !self.log.iter().any(|e| e.replaces == Some(entry.id));
        html! {
            div.row.kept {
                p role="status" { (words::KEPT_NOW) " " (words::entry(&entry.body)) @if !stands { ". " (words::STANDS_NO_LONGER) } }
                @if stands { (self.undo(entry.id, "measure")) }
            }
        }
    }

    /// Readings as they were written, the newest first; this writer's before those of others.
    fn last(&self) -> impl Iterator<Item = &Reading> {
        let mine = |e: &&Entry| e.who == self.who;
        let reading = |e: &'_ Entry| matches!(e.body, Body::Reading(_));
        let newest = || self.log.iter().rev().filter(move |e| reading(e));
        newest().filter(mine).chain(newest().filter(move |e| !mine(e))).filter_map(|e| match &e.body {
            Body::Reading(r) => Some(r),
            _ => None,
        })
    }

    /// The stage that was chosen last.
    pub(super) fn stage(&self) -> Stage {
        let of = |e: &Entry| match &e.body {
            Body::Reading(r) => Some(r.stage),
            Body::Attachment(a) => Some(a.stage),
            _ => None,
        };
        let newest = || self.log.iter().rev();
        let mine = newest().filter(|e| e.who == self.who).find_map(of);
        mine.or_else(|| newest().find_map(of)).unwrap_or(Stage::AsFound)
    }

    fn reading(&self) -> Markup {
        let t = self.typed;
        // Ready for the next one: as the last one was taken, but for what changes every time.
        let last = self.last().next().filter(|_| t.what.is_empty());
        let what = last.map_or(t.what.as_str(), |r| &r.what);
        let place = last.map_or(t.place.as_str(), |r| &r.place);
        let instrument = last.map_or(t.instrument.as_str(), |r| &r.instrument);
        let condition = last.map_or_else(|| t.condition.clone(), key);
        let chosen = QUANTITIES.iter().find(|q| q.key == what).unwrap_or(&QUANTITIES[0]);
        let input = |name: &'static str, label: &str, value: &str, list: Option<&str>, inside: &Markup| {
            let error = t.wrong.iter().find(|(field, _)| *field == name).map(|(_, words)| words.as_str());
            let error_id = format!("{name}-error");
            let is_value = name == "value";
            html! {
                div.field.wrong[error.is_some()].of-value[is_value] {
                    label for=(name) { (label) }
                    input id=(name) name=(name) value=(value) list=[list] autocomplete="off" spellcheck="false" required[is_value]
                        placeholder=[is_value.then_some(chosen.example)]
                        aria-invalid=[error.map(|_| "true")] aria-describedby=[error.map(|_| &error_id)];
                    @if let Some(words) = error { span.error id=(error_id) { (words) } }
                    (inside)
                }
            }
        };
        let none = html! {};
        let remembered = serde_json::to_string(self.instruments).unwrap_or_default();
        let mut names: Vec<&str> = self.instruments.iter().map(|i| i.name.as_str()).collect();
        names.dedup();
        html! {
            form.reading method="post" action={ "/job/" (self.record.number) "/reading" } data-later data-then="value"
                data-instruments=(remembered) data-last=(self.habits()) {
                input type="hidden" name="token" value={ (self.token) "-reading" };
                input type="hidden" name="offered" value=(t.filled);
                @if !t.filled.is_empty() { p.missing role="status" { (words::filled_in(&t.filled)) } }
                (stages("stage", t.stage.unwrap_or_else(|| self.stage())))
                div.fields {
                    div.field {
                        label for="what" { (words::WHAT) }
                        select #what name="what" {
                            @for q in QUANTITIES {
                                @let units: Vec<&str> = q.dimension.units().iter().map(|u| u.symbol()).collect();
                                option value=(q.key) selected[q.key == what] data-units=(units.join("|")) data-example=(q.example) {
                                    (q.label) ", " (words::such_as(q.example))
                                }
                            }
                        }
                    }
                    (input("value", words::VALUE, &t.value, None, &pad()))
                    (input("instrument", words::INSTRUMENT, instrument, Some("instruments"), &none))
                    (input("place", words::PLACE, place, None, &none))
                    div.field {
                        label for="condition" { (words::CONDITION) }
                        select #condition name="condition" {
                            @for (key, label) in words::CONDITIONS { option value=(key) selected[key == condition] { (label) } }
                        }
                    }
                    (input("temperature", words::TEMPERATURE, &t.temperature, None, &none))
                    (input("speed", words::SPEED, &t.speed, None, &none))
                    (field_as("reading-who", "who", words::WHO, self.who, ""))
                }
                datalist #instruments { @for name in names { option value=(name) {} } }
                div.keep { button { (words::KEEP_READING) } }
            }
        }
    }

    /// Where and how each instrument of this job was used, the newest first, for the script.
    fn habits(&self) -> String {
        let mut habits: Vec<[&str; 4]> = Vec::new();
        let keys: Vec<(&Reading, String)> = self.last().map(|r| (r, key(r))).collect();
        for (r, condition) in keys.iter().filter(|(r, _)| !r.instrument.is_empty()) {
            if !habits.iter().any(|h| (h[0], h[1]) == (&r.instrument, &r.what)) {
                habits.push([&r.instrument, &r.what, &r.place, condition]);
            }
        }
        serde_json::to_string(&habits).unwrap_or_default()
    }
}

/// A condition by its name in the form; empty for the mechanic's own words.
fn key(r: &Reading) -> String {
    let name = r.condition.as_ref().and_then(|c| serde_json::to_value(c).ok());
    name.and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// The three stages to choose from.
pub(super) fn stages(id: &str, chosen: Stage) -> Markup {
    html! {
        fieldset.choice {
            legend { (words::WHEN_IN_THE_JOB) }
            @for (key, stage) in STAGES {
                label for={ (id) "-" (key) } {
                    input id={ (id) "-" (key) } type="radio" name="stage" value=(key) checked[stage == chosen];
                    (words::stage(stage))
                }
            }
        }
    }
}

/// What the script fills: the reading as it will be kept, and a pad with the units that fit. Without the script there is none.
fn pad() -> Markup {
    let key = |key: &str| html! { button.plain type="button" data-key=(key) { (key) } };
    let named =
        |name: &str, label: &str, sign: &str| html! { button.plain type="button" data-key=(name) aria-label=(label) { (sign) } };
    html! {
        div.filled #filled hidden {
            p role="status" aria-label=(words::WHAT_IS_KEPT) {
                (words::WILL_BE_KEPT) " " strong {} " " span.soft { (words::AS_LAST_TIME) " " span {} }
            }
            button.plain type="button" { (words::AS_TYPED) }
        }
        div.pad #pad hidden role="group" aria-label=(words::PAD) {
            (key("7")) (key("8")) (key("9")) (named("delete", words::PAD_DELETE, "⌫"))
            (key("4")) (key("5")) (key("6")) (named("±", words::PAD_PLUS_MINUS, "±"))
            (key("1")) (key("2")) (key("3")) (named(" ", words::PAD_SPACE, words::PAD_SPACE_KEY))
            (key("0")) (named("decimal", words::PAD_DECIMAL, "."))
        }
        button.plain #pad-switch type="button" hidden aria-controls="pad" data-show=(words::PAD_SHOW) data-hide=(words::PAD_HIDE) {}
        output.unseen for="value" aria-live="polite" {}
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
    html! {
        @if !rows.is_empty() {
            div.scroll.readings tabindex="0" role="region" aria-label=(words::READINGS) {
                table {
                    thead { tr { th scope="col" { (words::WHAT) } @for (_, stage) in STAGES { th scope="col" { (words::stage(stage)) } } } }
                    tbody {
                        @for (what, place, label) in rows {
                            tr {
                                th scope="row" { (label) @if !place.is_empty() { ", " (place) } }
                                @for (_, stage) in STAGES {
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
