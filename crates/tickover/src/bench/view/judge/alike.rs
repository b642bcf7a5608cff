//! What else hangs: the verdict on the causes, the next thing to try with its cautions, and the table.

use super::super::card::{cautions, list};
use maud::{Markup, html};
use sheets::words::alike as words;
use workshop::study::{NotStudied, alike::Alike};

/// The causes; nothing where no hang was noted.
pub fn causes(study: Result<&Alike, NotStudied>) -> Markup {
    let Ok(study) = study else { return html! {} };
    html! {
        h3 { (words::ALIKE) }
        p.verdict { (words::explains(study)) }
        (cautions(words::cautions_for_next(study)))
        @if let Some(next) = words::next(study) { p { strong { (next) } } }
        details {
            summary.button.plain { (words::TABLE) }
            (table(study))
            p.soft { (words::HOW_WEIGHED) }
            (list(&words::remarks(study)))
        }
    }
}

fn table(study: &Alike) -> Markup {
    let head = words::head(study);
    html! {
        div.scroll tabindex="0" role="region" aria-label=(words::TABLE) {
            table {
                thead { tr { @for h in &head { th.words scope="col" { (h) } } } }
                tbody {
                    @for row in words::rows(study) {
                        tr { @for (i, cell) in row.iter().enumerate() {
                            @if i == 0 { th.words scope="row" { (cell) } } @else { td.words { (cell) } }
                        } }
                    }
                }
            }
        }
    }
}
