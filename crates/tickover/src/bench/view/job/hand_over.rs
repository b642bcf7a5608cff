//! The fold of a job with its papers and what is to be looked at later.

use super::{Job, Study, field_as};
use crate::bench::view::judge::both;
use jobbook::Stage;
use maud::{Markup, html};
use sheets::words::{exchange as text, page as words};
use workshop::job::steps::Fold;

/// When work is usually looked at again [days] (common practice, no source); the mechanic may choose another day.
const LOOK_AGAIN_DAYS: i64 = 90;

impl Job<'_> {
    pub(super) fn hand_over(&self) -> Markup {
        let reminders: Vec<_> = self.present.reminders().collect();
        self.fold(
            Fold::HandOver,
            false,
            "",
            &html! {
                h3 { (words::PAPERS) }
                div.row {
                    @for paper in sheets::job::Paper::ALL {
                        a.button.plain href={ "/job/" (self.record.number) "/paper/" (paper.key()) ".pdf" } { (paper.name()) }
                    }
                    @if matches!(self.study, Study::Found(_)) {
                        a.button.plain href={ "/machine/" (self.record.machine) "/sheet.pdf" } { (words::CUT_PLAN) }
                    }
                    a.button.plain href={ "/job/" (self.record.number) "/paper/label.pdf" } { (words::LABEL) }
                }
                @if let Some((before, after)) = &self.curves {
                    h3 { (words::BEFORE_AND_AFTER) }
                    div.pictures {
                        section { h4 { (words::stage(Stage::AsFound)) } (both(before, "before")) }
                        section { h4 { (words::stage(Stage::AsLeft)) } (both(after, "after")) }
                    }
                }
                h3 { (text::FILES) }
                div.row {
                    a.button.plain href={ "/job/" (self.record.number) "/write-up" } { (text::TO_WRITE_UP) }
                    a.button.plain href={ "/job/" (self.record.number) "/readings.csv" } { (text::READINGS_CSV) }
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
                        label for="look-at" { (words::REMIND_OF) }
                        input #look-at name="what" required list="usual" autocomplete="off";
                        datalist #usual { @for each in words::USUAL_REMINDERS { option value=(each) {} } }
                    }
                    div.field { label for="due" { (words::FROM_WHEN) } input #due name="due" type="date" required value=(sheets::words::on(crate::bench::jobs::in_days(LOOK_AGAIN_DAYS))); }
                    (field_as("reminder-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
            },
        )
    }
}
