//! The first page: every machine in the book and what is known about it.

use maud::{Markup, html};

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

/// The list, under the jobs that wait.
pub fn render(lines: &[Line], waiting: &Markup) -> Markup {
    html! {
        div.title { h1 { "Job book" } p { "Each card goes from the complaint to the sheet to work from." } }
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
            div.row {
                a.button.plain href="/new" { (super::words::NEW_MACHINE) }
                form method="post" action="/backup" { button.plain { (super::words::BACK_UP) } }
            }
        }
    }
}
