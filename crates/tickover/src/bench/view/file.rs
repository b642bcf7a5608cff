//! The machine file as text.

use maud::{Markup, html};
use sheets::words::page as words;

/// The text in a field, of a machine in the book (slug, revision) or of a new one; what is wrong above it.
pub fn page(title: &str, of: Option<(&str, u32)>, text: &str, wrong: &[String]) -> Markup {
    let action = of.map_or_else(|| "/new".to_owned(), |(slug, _)| format!("/machine/{slug}/text"));
    html! {
        div.title {
            h1 { (title) }
            p { (words::FILE_AS_TEXT) }
            @if let Some((slug, _)) = of { p { a href={ "/machine/" (slug) } { (words::BACK_TO_CARD) } } }
        }
        form.file method="post" action=(action) {
            @if !wrong.is_empty() {
                div.caution role="alert" { h3 { (words::NOT_KEPT) } @for each in wrong { p.error { (each) } } }
            }
            @if let Some((_, revision)) = of { input type="hidden" name="began_at" value=(revision); }
            label for="text" { (words::FILE) }
            // A line end first, because HTML drops one that stands there.
            textarea #text name="text" rows="32" spellcheck="false" autocapitalize="off" { "\n" (text) }
            div.row { button { (words::KEEP_FILE) } }
        }
    }
}
