//! The card of a machine: five folds in the order of the work.

use super::{
    super::fields::Part,
    alter, hand_over, judge,
    measure::{self, Form, Typed, Wrong},
};
use crate::{
    bench::fault::Search,
    desk::{Answer, Progress, Read},
};
use jobbook::{JobRecord, MachineRecord, Revision};
use maud::{Markup, html};
use sheets::words::{Caution, page as words};
use workshop::{machine::Defect, study::fault::Faults};

/// How far the long work is.
pub enum State<'a> {
    /// Under way.
    Running(&'a Progress),
    /// Done.
    Found(&'a Answer),
    /// Stopped by the mechanic.
    Stopped,
    /// Broken.
    Broken,
    /// Nothing can be worked out: the file has defects.
    Nothing,
}

/// What a card shows.
pub struct Card<'a> {
    /// The machine in the book.
    pub record: &'a MachineRecord,
    /// Every revision, newest first.
    pub revisions: &'a [Revision],
    /// The file, read.
    pub read: Result<&'a Read, &'a [Defect]>,
    /// The readings as fields.
    pub parts: &'a [Part],
    /// The studies.
    pub state: State<'a>,
    /// What was typed and refused.
    pub typed: &'a Typed,
    /// What is wrong with it.
    pub wrong: &'a Wrong,
    /// The cut asked for without the script [mm].
    pub cut_mm: Option<f64>,
    /// What is known of faults.
    pub faults: &'a Faults,
    /// Jobs of it that are not handed over.
    pub jobs: &'a [JobRecord],
}

/// The folds: id, name.
pub const FOLDS: [(&str, &str); 5] = [
    ("complaint", words::COMPLAINT),
    ("measure", words::MEASURE),
    ("judge", words::JUDGE),
    ("alter", words::ALTER),
    ("hand-over", words::HAND_OVER),
];

impl Card<'_> {
    /// The whole card.
    pub fn render(&self) -> Markup {
        let slug = &self.record.slug;
        html! {
            div data-machine=(slug) data-follows="verdict judge alter hand-over" {
                div.title {
                    h1 { (self.record.name) }
                    (self.verdict())
                    p { a href={ "/machine/" (slug) "/jobs" } { (words::HISTORY) } }
                }
                nav.jump aria-label=(words::FOLDS) {
                    @for (id, name) in FOLDS { a href={ "#" (id) } { (name) } }
                }
                (self.complaint())
                (self.measure())
                (judge::fold_of(self))
                (alter::fold_of(self))
                (hand_over::fold_of(self))
                (measure::origins())
            }
        }
    }

    fn verdict(&self) -> Markup {
        let words = match (&self.state, self.read) {
            (_, Err(defects)) => words::defects_first(defects.len()),
            (State::Found(answer), _) => answer.verdict(),
            (State::Running(_), _) => words::WORKING.to_owned(),
            (State::Stopped, _) => words::STOPPED.to_owned(),
            (State::Broken | State::Nothing, _) => words::BROKEN.to_owned(),
        };
        html! { p.verdict #verdict { (words) } }
    }

    fn form<'f>(&'f self, fold: &'f str, cylinders: &'f [String]) -> Form<'f> {
        Form {
            slug: &self.record.slug,
            revision: self.record.newest.number,
            fold,
            typed: self.typed,
            wrong: self.wrong,
            cylinders,
        }
    }

    /// Is something in these parts refused?
    fn refused(&self, complaint: bool) -> bool {
        self.wrong.keys().any(|path| is_complaint(path) == complaint)
    }

    fn complaint(&self) -> Markup {
        let parts = || self.parts.iter().filter(|p| is_complaint(&p.path));
        let (rows, alone): (Vec<_>, Vec<_>) = parts().partition(|p| p.row);
        let empty = alone.iter().flat_map(|p| &p.fields).filter(|f| f.written.is_empty()).count();
        fold(
            0,
            true,
            &words::missing(empty),
            &html! {
                @if let Ok(read) = self.read { (list(&sheets::words::complaint(&read.machine))) }
                @if self.read.is_ok() { (super::fault::choice(self.faults, &super::fault::To::Machine(&self.record.slug), &Search::default(), None)) }
                @for job in self.jobs { p { a href={ "/job/" (job.number) "/fault" } { (sheets::words::fault::page::in_job(&job.number)) } } }
                (self.form("complaint", &[]).with(alone, Some((words::MORE_SEEN, rows))))
            },
        )
    }

    fn measure(&self) -> Markup {
        let parts = || self.parts.iter().filter(|p| !is_complaint(&p.path));
        let noted = parts().flat_map(|p| &p.fields).filter(|f| !f.written.is_empty()).count();
        let stand_in = self.read.map_or(0, |read| read.defaults());
        let whole = self.wrong.get("").map_or(&[][..], Vec::as_slice);
        let open = self.read.is_err() || self.refused(false);
        let cylinders = measure::cylinders(self.parts);
        fold(
            1,
            open,
            &words::readings_state(noted, stand_in),
            &html! {
                @if !whole.is_empty() { div.caution { h3 { (words::NOT_KEPT) } @for each in whole { p { (each) } } } }
                p.soft { (words::HOW_TO_WRITE) }
                div.row {
                    a.button.plain href="#further-strobe" { (words::TO_FURTHER) }
                    a.button.plain href={ "/machine/" (self.record.slug) "/text" } { (words::EDIT_FILE) }
                    @if self.read.is_ok() {
                        a.button.plain href={ "/machine/" (self.record.slug) "/recording" } { (sheets::words::recording::page::HEAR) }
                    }
                }
                (self.form("measure", &cylinders).with(parts(), None))
            },
        )
    }
}

fn is_complaint(path: &str) -> bool {
    path == "idle" || path.starts_with("idle.")
}

/// A fold: which, whether it stands open, its state in a few words, what is inside.
pub fn fold(which: usize, open: bool, state: &str, inside: &Markup) -> Markup {
    let (id, name) = FOLDS[which];
    html! {
        details.fold id=(id) open[open] {
            summary {
                span.count aria-hidden="true" { (which + 1) }
                h2 { (name) }
                span.state { (state) }
            }
            div.inside { (inside) }
        }
    }
}

/// Sentences, one each.
pub fn list(sentences: &[String]) -> Markup {
    html! { @if !sentences.is_empty() { ul.said { @for s in sentences { li { (s) } } } } }
}

/// What can happen in a step, and what protects, to stand before it.
pub fn cautions(all: &[Caution]) -> Markup {
    html! { @if !all.is_empty() { ul.said { @for c in all { li.watch { strong { (c.danger) } " " (c.protects) } } } } }
}

/// Sentences that ask for care.
pub fn watch(sentences: &[String]) -> Markup {
    html! { @if !sentences.is_empty() { ul.said { @for s in sentences { li.watch { (s) } } } } }
}
