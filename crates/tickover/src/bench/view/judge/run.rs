//! The run in time: what it came to, and the picture in a fold of its own, so that the card comes quickly.

use super::both;
use crate::{bench::view::card::list, desk::Answer, pictures};
use maud::{Markup, html};
use sheets::words as say;
use workshop::study::recording::over::Over;

/// Nothing where the engine cannot be run. `place` parts the picture from others of the page.
pub fn run(answer: &Answer, place: &str) -> Markup {
    let Ok(idle) = answer.idle() else { return html! {} };
    html! {
        @if idle.run.is_some() {
            h3 { (say::run::RUN) }
            (list(&say::run::run(idle)))
            (picture(answer, None, place))
        }
    }
}

/// The picture alone, with a recording over it: then it stands open.
pub fn picture(answer: &Answer, over: Option<&Over>, place: &str) -> Markup {
    html! {
        @if let Some(chart) = pictures::run(answer, over) {
            details open[over.is_some()] {
                summary.button.plain { (chart.title) }
                (both(&chart, place))
                // Shown by the script, unless the reader wants nothing to move.
                button.plain type="button" data-plays="" hidden { (say::run::PLAY) }
            }
        }
    }
}
