//! What holds the rotor and its magnets, and what balances it.

use super::super::card::{cautions, list};
use crate::desk::Answer;
use maud::{Markup, html};
use sheets::words::{
    Caution,
    rotor::{balance as sides, cautions as rotor_cautions, cautions_for_drilling, holds as text, steps},
};
use workshop::study::rotor::{held::HeldStudy, magnets::NotFound};

/// Balance, bonds, flux, seat and pull; what is not told says which reading is missing.
pub fn holds(answer: &Answer) -> Markup {
    let Some(found) = &answer.holds else { return html! {} };
    html! {
        details {
            summary.button.plain { (sheets::words::page::WHAT_HOLDS) }
            h4 { (sides::BALANCE) }
            @if found.balance.as_ref().is_ok_and(|b| b.correction.is_ok()) {
                (cautions(rotor_cautions()))
                (cautions(cautions_for_drilling()))
            }
            (told(&found.balance, sides::balance))
            h4 { (text::BONDS) }
            (bonds(found))
            h4 { (text::FLUX) }
            (list(&text::flux(found)))
            h4 { (text::TAPER) }
            (told(&found.taper, text::taper))
            h4 { (text::PULLING) }
            (list(&sheets::words::rotor::fitting::fitting(found)))
            (told(&found.pull, text::pull))
            @if let Ok(pull) = &found.pull { (in_order(pull.steps.iter().map(|s| steps::pull(*s)))) }
            @if let Some(views) = found.sides {
                h4 { (sides::SIDES) }
                (list(&views.into_iter().map(sides::side).collect::<Vec<_>>()))
            }
        }
    }
}

fn told<T>(found: &Result<T, NotFound>, words: impl Fn(&T) -> Vec<String>) -> Markup {
    match found {
        Ok(found) => list(&words(found)),
        Err(why) => html! { p { (text::not_found(*why)) } },
    }
}

fn bonds(found: &HeldStudy) -> Markup {
    html! {
        @for ring in &found.rings {
            @if let Ok(bond) = &ring.bond { p { strong { (text::look(bond)) } } }
            (told(&ring.bond, text::bond))
            (list(&[text::lost_by(ring.lost_by).to_owned()]))
            @if let Some(Ok(all)) = &ring.glue {
                h4 { (text::GLUING) }
                (in_order(all.iter().map(|s| steps::glue(*s))))
            }
        }
    }
}

/// Steps with numbers; a caution stands before its step.
fn in_order(steps: impl Iterator<Item = (Option<Caution>, String)>) -> Markup {
    html! {
        ol.said {
            @for (caution, step) in steps {
                li { @if let Some(caution) = caution { (cautions(&[caution])) } (step) }
            }
        }
    }
}
