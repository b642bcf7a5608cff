//! Hand over: what to print, what to save, and what stood in the file before.

use super::card::{Card, State, fold};
use jobbook::Revision;
use maud::{Markup, html};
use sheets::words::{electric as text, page as words};

/// The fold.
pub fn fold_of(card: &Card) -> Markup {
    let base = format!("/machine/{}", card.record.slug);
    let ready = matches!(card.state, State::Found(_));
    let has_rotor = matches!(card.state, State::Found(answer) if answer.rotor.is_ok());
    let has_spark = matches!(card.state, State::Found(answer) if matches!(answer.spark, Some(Ok(_))));
    let state = if ready { "" } else { words::AFTER_JUDGE };
    fold(
        4,
        ready,
        state,
        &html! {
            div.row {
                @if ready {
                    a.button href={ (base) "/sheet.pdf" } { (words::SHEET) }
                    @if has_rotor { a.button href={ (base) "/rotor.pdf" } { (words::ROTOR_SHEET) } }
                    @if has_spark { a.button href={ (base) "/spark.pdf" } { (words::SPARK_SHEET) } }
                    @if let State::Found(answer) = &card.state {
                        @if answer.electric.charge.is_ok() { a.button href={ (base) "/charge.pdf" } { (text::CHARGE_SHEET) } }
                        @if answer.electric.windings.is_some() { a.button href={ (base) "/windings.pdf" } { (text::WINDINGS_SHEET) } }
                        @if answer.electric.wires.is_some() { a.button href={ (base) "/wires.pdf" } { (text::WIRES_BUTTON) } }
                    }
                    a.button.plain href={ (base) "/study.json" } { (words::JSON) }
                }
                a.button.plain href={ (base) "/machine.toml" } { (words::FILE) }
            }
            @if ready { p.soft { (words::PRINT_TRUE) } }
            h3 { (words::REVISIONS) }
            ul.said {
                @for revision in card.revisions { (line(card, revision, &base)) }
            }
        },
    )
}

fn line(card: &Card, revision: &Revision, base: &str) -> Markup {
    let newest = revision.number == card.record.newest.number;
    html! {
        li {
            div.row {
                span { (revision.number) ": " (revision.note) ", " (sheets::words::at(revision.at)) }
                @if newest {
                    span.soft { (words::PRESENT_ONE) }
                } @else {
                    form method="post" action={ (base) "/restore" } {
                        input type="hidden" name="began_at" value=(card.record.newest.number);
                        input type="hidden" name="number" value=(revision.number);
                        button.plain { (words::TAKE_BACK) }
                    }
                }
            }
        }
    }
}
