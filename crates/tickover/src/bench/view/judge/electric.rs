//! Windings, charging with the ride, and wires.

use super::{
    super::card::{cautions, list, watch},
    both,
    rotor::table,
};
use crate::{desk::Answer, pictures};
use maud::{Markup, PreEscaped, html};
use sheets::{
    chart::{charge_chart, ride_chart},
    words::{Caution, electric as text, rpm},
};
use workshop::study::electric::{NotTold, charge::ChargeStudy, windings::WindingsStudy, wires::WiresStudy};

/// What is found of each of the three; nothing where the file says nothing of it.
pub fn electric(answer: &Answer) -> Markup {
    let found = &answer.electric;
    html! {
        @match &found.charge {
            Ok(study) => { (charge(answer, study)) }
            Err(NotTold::Missing("charging")) => {}
            Err(why) => { h3 { (text::CHARGING) } p { (text::not_told(*why)) } }
        }
        @if let Some(study) = &found.windings { (windings(study)) }
        @if let Some(study) = &found.wires { (wires(answer, study)) }
    }
}

/// What is said of them.
pub fn said(answer: &Answer) -> Vec<String> {
    let (found, machine) = (&answer.electric, &answer.read.machine);
    let mut all = Vec::new();
    if let Ok(study) = &found.charge {
        all.extend(text::charging(study));
        all.extend(text::charge_warnings(study));
        all.extend(study.likeness.iter().flat_map(text::likeness));
    }
    all.extend(found.ride.iter().flat_map(|ride| text::ride(machine, ride)));
    if let Some(study) = &found.windings {
        all.push(text::windings_verdict(study));
        all.extend(study.windings.iter().flat_map(text::winding));
    }
    if let Some(study) = &found.wires {
        all.push(text::wires_verdict(study));
        all.extend(machine.electric.wires.iter().zip(&study.wires).flat_map(|(w, f)| text::wire(w, f)));
    }
    all
}

fn charge(answer: &Answer, study: &ChargeStudy) -> Markup {
    let machine = &answer.read.machine;
    let rows = study.points.iter().map(text::charge_row);
    html! {
        div.pictures {
            section {
                h3 { (text::CHARGING) }
                (list(&text::kind_of(machine).into_iter().chain(text::charging(study)).collect::<Vec<_>>()))
                (watch(&text::charge_warnings(study)))
                @if let Some(found) = &study.likeness {
                    h4 { (text::LOOKS_LIKE) }
                    (list(&text::likeness(found)))
                }
                (more(text::CHARGE_TITLE, &html! {
                    (table(text::CHARGE_TITLE, &text::CHARGE_HEAD, rows))
                    p.soft { (text::HOW_CHARGED) }
                }))
                @if study.seen.iter().any(|s| !s.1.is_empty()) {
                    (more(text::AS_MEASURED, &html! {
                        @for (n, (speed, readings)) in study.seen.iter().enumerate() {
                            p { (rpm(*speed)) }
                            (table(&format!("{} {}, {}", text::AS_MEASURED, n + 1, rpm(*speed)), &text::COMPARED_HEAD, readings.iter().map(text::compared_row)))
                        }
                    }))
                }
                (more(text::SIGNATURES, &html! {
                    @if let Some(first) = study.signatures.first() { p { (text::signatures_at(first.crank_rad_s)) } }
                    (table(text::SIGNATURES, &text::SIGNATURES_HEAD, study.signatures.iter().map(text::signature_row)))
                    p.soft { (text::HOW_SIGNATURES) }
                }))
                (steps(&text::charge_steps()))
            }
            section { (both(&charge_chart(study), "judge")) }
        }
        @match &answer.electric.ride {
            Ok(ride) => {
                div.pictures {
                    section {
                        h3 { (text::RIDE) }
                        (list(&text::ride(machine, ride)))
                        (more(text::RIDE, &table(text::RIDE, &text::PARTS_HEAD, ride.parts.iter().zip(&ride.battery_a).map(|(p, a)| text::part_row(p, *a)))))
                    }
                    section { (both(&ride_chart(ride), "judge")) }
                }
            }
            Err(why) => { h3 { (text::RIDE) } p { (text::not_told(*why)) } }
        }
    }
}

fn windings(study: &WindingsStudy) -> Markup {
    html! {
        section {
            h3 { (text::WINDINGS) }
            p { strong { (text::windings_verdict(study)) } }
            (table(text::WINDINGS, &text::WINDINGS_HEAD, study.windings.iter().map(text::winding_row)))
            (list(&study.windings.iter().flat_map(text::winding).collect::<Vec<_>>()))
            p.soft { (text::NOT_SHOWN) }
            (steps(&text::winding_steps()))
        }
    }
}

fn wires(answer: &Answer, study: &WiresStudy) -> Markup {
    let fitted = &answer.read.machine.electric.wires;
    let rows = fitted.iter().zip(&study.wires).map(|(w, f)| text::wire_row(w, f));
    let said = fitted.iter().zip(&study.wires).flat_map(|(w, f)| text::wire(w, f)).chain(text::without_earth(study));
    html! {
        section {
            h3 { (text::WIRES_TITLE) }
            p { strong { (text::wires_verdict(study)) } }
            (list(&said.collect::<Vec<_>>()))
            @for scene in pictures::wiring(&answer.read.machine) {
                div.scroll tabindex="0" role="region" aria-label=(text::WIRES_SHEET) { (PreEscaped(pictures::scene_on_page(&scene))) }
            }
            (more(text::WIRES_TITLE, &html! {
                (table(text::WIRES_TITLE, &text::WIRES_HEAD, rows))
                p.soft { (text::HOW_WIRES) }
            }))
            (steps(&text::wire_steps()))
        }
    }
}

fn more(name: &str, inside: &Markup) -> Markup {
    html! { details { summary.button.plain { (name) } (inside) } }
}

/// Steps with numbers; a caution stands before its step.
fn steps(all: &[(Option<Caution>, &'static str)]) -> Markup {
    more(
        text::WINDING_STEPS,
        &html! {
            ol.said {
                @for (caution, step) in all {
                    li { @if let Some(caution) = caution { (cautions(&[*caution])) } (step) }
                }
            }
        },
    )
}
