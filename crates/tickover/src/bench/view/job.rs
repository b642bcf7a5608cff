//! The card of one job.

use super::card::fold;
use jobbook::{Entry, EntryId, Instrument, JobRecord, JobState, Kind, Present, Reading, Stage, Standing};
use maud::{Markup, html};
use sheets::words::page as words;
use std::collections::HashSet;
use workshop::job::QUANTITIES;

pub(super) fn field(name: &str, label: &str, value: &str, example: &str) -> Markup {
    field_as(name, name, label, value, example)
}

pub(super) fn field_as(id: &str, name: &str, label: &str, value: &str, example: &str) -> Markup {
    html! { div.field { label for=(id) { (label) } input id=(id) name=(name) value=(value) placeholder=(example) autocomplete="off"; } }
}

pub(super) fn area(id: &str, name: &str, label: &str, value: &str, required: bool) -> Markup {
    html! { div.field { label for=(id) { (label) } textarea id=(id) name=(name) rows="3" required[required] { (value) } } }
}

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

/// The card of a job.
pub struct Job<'a> {
    pub record: &'a JobRecord,
    pub log: &'a [Entry],
    pub instruments: &'a [Instrument],
    /// Who wrote last on this device.
    pub who: &'a str,
    /// Mark of the forms on this page.
    pub token: &'a str,
    pub typed: &'a Typed,
}

impl Job<'_> {
    /// The whole card.
    pub fn render(&self) -> Markup {
        let present = Present::of(self.log.iter().cloned());
        let record = self.record;
        html! {
            div.title {
                h1 { (record.number) " " (record.machine_name) }
                p.verdict { (record.headline.complaint) }
                p.soft { (words::state(record.headline.state)) ", " (words::opened(record.opened_at)) }
                p { a href={ "/machine/" (record.machine) } { (words::TO_THE_MACHINE) } " · "
                    a href={ "/machine/" (record.machine) "/jobs" } { (words::HISTORY) } }
            }
            (self.complaint(&present))
            (self.measure(&present))
            (self.alter(&present))
            (self.hand_over(&present))
            (self.written())
        }
    }

    pub(super) fn post(&self, to: &str, inside: &Markup) -> Markup {
        html! { form method="post" action={ "/job/" (self.record.number) "/" (to) } { (inside) } }
    }

    /// A form whose content waits on the device while the server does not answer.
    pub(super) fn later(&self, to: &str, inside: &Markup) -> Markup {
        html! {
            form method="post" action={ "/job/" (self.record.number) "/" (to) } data-later {
                input type="hidden" name="token" value={ (self.token) "-" (to) };
                (inside)
            }
        }
    }

    fn complaint(&self, present: &Present) -> Markup {
        let headline = &self.record.headline;
        let now = present.standing.iter().find(|s| s.entry.body.kind() == Some(Kind::Headline));
        fold(
            0,
            false,
            "",
            &html! {
                (self.post("headline", &html! {
                    @if let Some(now) = now { input type="hidden" name="replaces" value=(now.entry.id.0); }
                    (area("complaint", "complaint", words::COMPLAINT_WORDS, &headline.complaint, true))
                    (field("odometer", words::ODOMETER, &headline.odometer, ""))
                    (field("may_cut", words::MAY_CUT, &headline.may_cut, ""))
                    div.field {
                        label for="state" { (words::HOW_IT_STANDS) }
                        select #state name="state" {
                            @for state in JobState::ALL { option value=(state.name()) selected[state == headline.state] { (words::state(state)) } }
                        }
                    }
                    (field_as("headline-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
            },
        )
    }

    fn measure(&self, present: &Present) -> Markup {
        let readings: Vec<(&Standing, &Reading)> = present.readings().collect();
        let notes: Vec<_> = present.notes().collect();
        fold(
            1,
            true,
            &words::noted(readings.len(), notes.len()),
            &html! {
                (table(&readings))
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

    fn hand_over(&self, present: &Present) -> Markup {
        let reminders: Vec<_> = present.reminders().collect();
        fold(
            4,
            false,
            "",
            &html! {
                h3 { (words::PAPERS) }
                div.row {
                    @for paper in sheets::job::Paper::ALL {
                        a.button.plain href={ "/job/" (self.record.number) "/paper/" (paper.key()) ".pdf" } { (paper.name()) }
                    }
                    a.button.plain href={ "/job/" (self.record.number) "/paper/label.pdf" } { (words::LABEL) }
                }
                h3 { (words::REMINDERS) }
                ul.said {
                    @for (standing, reminder) in &reminders {
                        li { div.row {
                            span { (sheets::words::on(reminder.due)) ": " (reminder.what) }
                            @match reminder.done {
                                Some(done) => { span.soft { (words::done_on(done)) } }
                                None => { (self.post("done", &html! {
                                    input type="hidden" name="entry" value=(standing.entry.id.0);
                                    input type="hidden" name="who" value=(self.who);
                                    button.plain { (words::DONE) }
                                })) }
                            }
                        } }
                    }
                }
                (self.later("reminder", &html! {
                    div.field {
                        label for="later" { (words::REMIND_OF) }
                        input #later name="what" required list="usual" autocomplete="off";
                        datalist #usual { @for each in words::USUAL_REMINDERS { option value=(each) {} } }
                    }
                    div.field { label for="due" { (words::FROM_WHEN) } input #due name="due" type="date" required value=(sheets::words::on(super::super::jobs::in_days(90))); }
                    (field_as("reminder-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
            },
        )
    }

    /// All that was ever written, newest first.
    fn written(&self) -> Markup {
        let replaced: HashSet<EntryId> = self.log.iter().filter_map(|e| e.replaces).collect();
        html! {
            details.fold #log {
                summary { h2 { (words::LOG) } span.state { (words::entries(self.log.len())) } }
                div.inside {
                    ul.said {
                        @for entry in self.log.iter().rev() {
                            li { div.row {
                                span { (words::entry(&entry.body)) " " span.soft { (by(entry)) } }
                                @if replaced.contains(&entry.id) {
                                    span.soft { (words::REPLACED) }
                                } @else if entry.replaces.is_some() || entry.body.kind() != Some(Kind::Headline) {
                                    (self.post("undo", &html! {
                                        input type="hidden" name="entry" value=(entry.id.0);
                                        input type="hidden" name="who" value=(self.who);
                                        button.plain { (words::UNDO) }
                                    }))
                                }
                            } }
                        }
                    }
                }
            }
        }
    }
}

fn by(entry: &Entry) -> String {
    if entry.who.is_empty() { sheets::words::at(entry.at) } else { format!("{}, {}", entry.who, sheets::words::at(entry.at)) }
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
