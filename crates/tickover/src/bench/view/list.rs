//! The first page: every machine in the book and what is known about it.

use maud::{Markup, html};
use sheets::words::{exchange as text, page as words};

/// A machine in the list.
pub struct Line {
    /// Its place in addresses.
    pub slug: String,
    /// Its name.
    pub name: String,
    /// The verdict in a sentence.
    pub verdict: String,
    /// Is it still being worked out?
    pub waiting: bool,
}

/// Where the list goes on.
pub struct Pages {
    /// First machine of the page before.
    pub before: Option<u32>,
    /// First machine of the page after.
    pub after: Option<u32>,
}

/// The list, under the jobs that wait; over both what is wrong with the book.
pub fn render(lines: &[Line], pages: &Pages, waiting: &Markup, damage: Option<&str>) -> Markup {
    html! {
        div.title { h1 { (words::BOOK) } p { (words::WHAT_CARDS_ARE) } }
        @if let Some(damage) = damage { div.caution role="alert" { h2 { (words::BOOK_TROUBLE) } p { (damage) } } }
        (waiting)
        ul.machines #machines data-waiting[lines.iter().any(|l| l.waiting)] {
            @for line in lines {
                li {
                    h2 { a href={ "/machine/" (line.slug) } { (line.name) } }
                    p aria-live="polite" { (line.verdict) }
                }
            }
        }
        div.title {
            nav.row aria-label=(words::PAGES) {
                @if let Some(from) = pages.before { a.button.plain href={ "/?from=" (from) } { (words::BEFORE) } }
                @if let Some(from) = pages.after { a.button.plain href={ "/?from=" (from) } { (words::AFTER) } }
            }
            div.row {
                a.button.plain href="/new" { (words::NEW_MACHINE) }
                form method="post" action="/backup" { button.plain { (words::BACK_UP) } }
                form method="post" action="/export" { button.plain { (text::EXPORT) } }
                a.button.plain href="/readings.csv" { (text::READINGS_CSV) }
                a.button.plain href="/take-in" { (text::TAKE_IN) }
            }
        }
    }
}
