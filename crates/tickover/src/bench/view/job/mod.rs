//! The card of one job.

mod alter;
mod attachments;
mod costs;
mod hand_over;
mod judge;
mod measure;

pub use judge::Study;
pub use measure::Typed;

use super::{card, fault};
use crate::{bench::fault::Search, faults::search_of};
use jobbook::{Did, Entry, EntryId, Instrument, JobRecord, JobState, Kind, Present};
use maud::{Markup, html};
use sheets::{
    chart::Chart,
    job::Money,
    words::{fault::page as words_of_fault, page as words},
};
use std::collections::HashSet;
use workshop::{
    job::steps::{Fold, Known, Step},
    study::fault::Faults,
};

pub(super) fn field(name: &str, label: &str, value: &str, example: &str) -> Markup {
    field_as(name, name, label, value, example)
}

pub(super) fn field_as(id: &str, name: &str, label: &str, value: &str, example: &str) -> Markup {
    html! { div.field { label for=(id) { (label) } input id=(id) name=(name) value=(value) placeholder=(example) autocomplete="off"; } }
}

pub(super) fn area(id: &str, name: &str, label: &str, value: &str, required: bool) -> Markup {
    html! { div.field { label for=(id) { (label) } textarea id=(id) name=(name) rows="3" required[required] { (value) } } }
}

/// The card of a job.
pub struct Job<'a> {
    pub record: &'a JobRecord,
    pub log: &'a [Entry],
    /// What the log comes to.
    pub present: &'a Present,
    pub instruments: &'a [Instrument],
    /// Who wrote last on this device.
    pub who: &'a str,
    /// Mark of the forms on this page.
    pub token: &'a str,
    pub typed: &'a Typed,
    /// What is known, from which follows what is missing.
    pub known: &'a Known,
    /// Hash of the readings that the study is of, so that no others are kept than were shown.
    pub inputs: &'a str,
    /// The study of the machine as its readings are now, as far as it is.
    pub study: Study<'a>,
    /// Where the spark comes by the machine's readings as it came in, and as they are now, if they were changed.
    pub curves: Option<(Chart, Chart)>,
    /// What is known of faults.
    pub faults: &'a Faults,
    /// Currency that was used last in this job.
    pub currency: Option<&'a str>,
}

impl Job<'_> {
    /// The whole card.
    pub fn render(&self) -> Markup {
        let record = self.record;
        html! {
            div.title {
                h1 { (record.number) " " (record.machine_name) }
                p.verdict { (record.headline.complaint) }
                p.soft { (words::state(record.headline.state)) ", " (words::opened(record.opened_at)) }
                @if record.headline.write_up.is_some() { p { strong { (sheets::words::exchange::FROM_ANOTHER_WORKSHOP) } } }
                p { a href={ "/machine/" (record.machine) } { (words::TO_THE_MACHINE) } " · "
                    a href={ "/machine/" (record.machine) "/jobs" } { (words::HISTORY) } }
            }
            nav.jump aria-label=(words::FOLDS) { @for (id, name) in card::FOLDS { a href={ "#" (id) } { (name) } } }
            // What is typed in the other folds stays when the judgement comes in.
            div data-machine=(record.machine) data-follows="judge" {
                (self.complaint())
                (self.measure())
                (self.judge())
                (self.alter())
                (self.hand_over())
                (self.written())
            }
        }
    }

    /// A fold with its state, the next step, and what comes after it.
    fn fold(&self, which: Fold, open: bool, state: &str, inside: &Markup) -> Markup {
        let wanting = self.known.wanting(which);
        card::fold(
            Fold::ALL.iter().position(|f| *f == which).unwrap_or(0),
            open,
            state,
            &html! {
                @match wanting.split_first() {
                    Some((next, later)) => { div.next {
                        p { strong { (words::NEXT) " " } (words::step(next)) @if let Some(to) = self.place_of(next) { " " a href=(to) { (words::GO_THERE) } } }
                        @for step in later { p.soft { (words::THEN) " " (words::step(step)) } }
                    } }
                    None => { p.soft { (words::NOTHING_WANTED) } }
                }
                (inside)
            },
        )
    }

    /// Where a step is done, if not in the fold that it stands in.
    fn place_of(&self, step: &Step) -> Option<String> {
        let machine = &self.record.machine;
        match step {
            Step::NoteWhose => Some(format!("/machine/{machine}/jobs#whose")),
            Step::PutFileRight { .. } | Step::Sharpen { .. } => Some(format!("/machine/{machine}#measure")),
            Step::WorkItOut => Some(format!("/machine/{machine}#judge")),
            Step::EndWork { .. } => Some("#alter".to_owned()),
            Step::MeasureAsLeft { .. } => Some("#measure".to_owned()),
            _ => None,
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

    /// Undoes an entry, and comes back to a fold.
    fn undo(&self, entry: EntryId, then: &str) -> Markup {
        self.post(
            "undo",
            &html! {
                input type="hidden" name="entry" value=(entry.0);
                input type="hidden" name="who" value=(self.who);
                input type="hidden" name="then" value=(then);
                button.plain { (words::UNDO) }
            },
        )
    }

    fn complaint(&self) -> Markup {
        let headline = &self.record.headline;
        let now = self.present.standing.iter().find(|s| s.entry.body.kind() == Some(Kind::Headline));
        let spend = headline.spend.as_ref().map(|p| Money::from(p).to_string()).unwrap_or_default();
        self.fold(
            Fold::Complaint,
            false,
            words::state(headline.state),
            &html! {
                (self.fault())
                (self.post("headline", &html! {
                    @if let Some(now) = now { input type="hidden" name="replaces" value=(now.entry.id.0); }
                    (area("complaint-words", "complaint", words::COMPLAINT_WORDS, &headline.complaint, true))
                    (field("odometer", words::ODOMETER, &headline.odometer, ""))
                    (field("may_cut", words::MAY_CUT, &headline.may_cut, ""))
                    (field("spend", words::MAY_SPEND, &spend, words::PRICE_EXAMPLE))
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

    /// The search for the fault: where it stands, or how it begins.
    fn fault(&self) -> Markup {
        let Some((complaint, steps)) = search_of(self.present.search_steps(), |(_, s)| s) else {
            let to = fault::To::Job { number: &self.record.number, who: self.who, token: self.token };
            return fault::choice(self.faults, &to, &Search::default(), None);
        };
        let name = self.faults.complaint(&complaint).map_or(&complaint, |at| &self.faults.complaints[at].name);
        let end = steps.iter().map(|(_, s)| *s).rfind(|s| s.did == Did::Found);
        html! {
            section.fault {
                h3 { (sheets::words::fault::FAULT) ": " (name) }
                p { @match end { Some(end) => (end.words), None => (words_of_fault::so_far(steps.iter().filter(|(_, s)| s.did != Did::Begun).count())) } }
                div.row {
                    a.button.plain href={ "/job/" (self.record.number) "/fault" } { (words_of_fault::GO_ON) }
                    a.button.plain href={ "/job/" (self.record.number) "/fault.pdf" } { (words_of_fault::PRINT) }
                }
            }
        }
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
                                    (self.undo(entry.id, "log"))
                                }
                            } }
                        }
                    }
                }
            }
        }
    }
}

pub(in crate::bench) fn by(entry: &Entry) -> String {
    if entry.who.is_empty() { sheets::words::at(entry.at) } else { format!("{}, {}", entry.who, sheets::words::at(entry.at)) }
}
