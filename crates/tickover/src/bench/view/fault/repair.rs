//! Repairs on the page: the one that is advised, and any other.

use super::{Found, answering};
use crate::{bench::fault::Search, faults::written};
use maud::{Markup, html};
use sheets::words::{fault as text, fault::page as said};
use workshop::study::fault::Advice;

/// What came of the repair that is advised, or to try it.
pub(super) fn advised(search: &Search, found: &Found, did: &[String]) -> Markup {
    let (faults, study) = (found.case.faults, found.study);
    let (cause, asks, stays, gone) = match &study.next {
        Advice::PutRight { cause, .. } if study.proves_first => (*cause, text::NOT_TRIED, said::PUT_RIGHT_UNTRIED, None),
        Advice::PutRight { cause, .. } => {
            (*cause, if study.barred { text::GONE_WHEN_GOOD } else { text::GONE }, said::STAYS, Some(said::GONE_BUTTON))
        }
        Advice::Try { cause } => (*cause, text::GONE, said::STILL_THERE, Some(said::IS_GONE)),
        Advice::Test(_) | Advice::LookWider { .. } => return html! {},
    };
    answering(
        search,
        found,
        did,
        "repair",
        &html! {
            p { (asks) }
            div.row {
                button name="did" value=(written(faults, study.repair(cause))) { (stays) }
                @if let Some(gone) = gone.filter(|_| found.of_job.is_some()) {
                    button name="did" value={ (faults.causes[cause].id) "=found" } { (gone) }
                }
            }
        },
    )
}

/// Anything else that was put right, whatever was advised.
pub(super) fn other(search: &Search, found: &Found, did: &[String]) -> Markup {
    let (faults, study) = (found.case.faults, found.study);
    let open: Vec<usize> = study.causes.iter().filter(|c| !c.mended).map(|c| c.cause).collect();
    let form = answering(
        search,
        found,
        did,
        "other-repair",
        &html! {
            div.field {
                label for="fault-repair" { (said::PUT_RIGHT_WHAT) }
                select id="fault-repair" name="did" {
                    @for cause in &open { option value=(written(faults, study.repair(*cause))) { (faults.causes[*cause].name) } }
                }
            }
            div.row { button.plain { (if study.proves_first { said::PUT_RIGHT_UNTRIED } else { said::STAYS }) } }
        },
    );
    html! {
        @if !open.is_empty() {
            details {
                summary.button.plain { (said::PUT_RIGHT_WHAT) }
                (form)
            }
        }
    }
}
