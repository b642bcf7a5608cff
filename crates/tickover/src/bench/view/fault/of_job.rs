//! What only the search of a job has: what it was in the end, and the steps that its log keeps.

use super::{Found, OfJob, To, beside_kept};
use crate::bench::{fault::Search, view::job::by};
use maud::{Markup, html};
use sheets::words::{fault as text, fault::page as said};
use workshop::study::fault::own::OTHER;

/// What it was in the end, whatever was advised; only a job keeps that.
pub(super) fn ended(search: &Search, found: &Found) -> Markup {
    let Some(job) = found.of_job else { return html! {} };
    let faults = found.case.faults;
    html! {
        details {
            summary.button.plain { (said::FOUND_WHAT) }
            form method="post" action=(job.to.address()) {
                input type="hidden" name="complaint" value=(search.complaint);
                (job.to.marks("found"))
                (beside_kept(search))
                div.field {
                    label for="fault-found" { (said::FOUND_WHAT) }
                    select id="fault-found" name="found" {
                        @for c in &found.study.causes { option value=(faults.causes[c.cause].id) { (faults.causes[c.cause].name) } }
                        option value=(OTHER) { (text::SOMETHING_ELSE) }
                    }
                }
                div.row { button.plain { (said::KEEP_FOUND) } }
            }
        }
    }
}

/// The steps that a job's log has, each with who and when and a way back.
pub(super) fn kept(search: &Search, job: &OfJob) -> Markup {
    let To::Job { number, who, .. } = job.to else { return html! {} };
    html! {
        h4 { (text::DONE) }
        ol.said {
            @for (standing, step) in job.steps {
                li {
                    div.row {
                        span { (step.words) " " span.soft { (by(&standing.entry)) } }
                        form method="post" action={ "/job/" (number) "/undo" } {
                            input type="hidden" name="entry" value=(standing.entry.id.0);
                            input type="hidden" name="who" value=(who);
                            input type="hidden" name="then" value="fault";
                            (beside_kept(search))
                            button.plain { (said::TAKE_BACK) }
                        }
                    }
                }
            }
        }
    }
}
