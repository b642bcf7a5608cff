//! What is asked before a sheet to cut by is given out.

use maud::{Markup, html};
use sheets::words::{page as words, rotor as text};
use workshop::study::rotor::sides::Check;

/// The question; after a wrong answer with what was wrong. The form asks for the sheet at this place again.
pub fn page(name: &str, check: &Check, wrong: bool) -> Markup {
    html! {
        div.title { h1 { (name) } }
        @if wrong { div.caution role="alert" { p { (text::balance::answered(false)) } } }
        form.question method="get" {
            fieldset {
                legend { (text::balance::question(check.question)) }
                @for (end, label) in words::ENDS {
                    label { input type="radio" name="leads" value=(end) required; " " (label) }
                }
            }
            button { (words::SHEET) }
        }
        p.soft { (words::WHY_ASKED) }
    }
}
