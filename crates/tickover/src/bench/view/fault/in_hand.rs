//! What only the mechanic can say beside the answers: known good parts that are in hand, and which ignition it is where the file leaves it open.

use super::Found;
use crate::{bench::fault::Search, desk::Read, faults::ignition};
use maud::{Markup, html};
use sheets::words::fault::page as said;
use workshop::study::fault::{Bike, SYSTEMS, System};

/// Both, where there is something to say.
pub(super) fn in_hand(read: &Read, search: &Search, found: &Found, did: &[String]) -> Markup {
    let faults = found.case.faults;
    let now = ignition(&search.ignition);
    let may = Bike::of(&read.machine).systems;
    let open: Vec<System> = may.iter().copied().chain(now.filter(|s| !may.contains(s))).collect();
    let with_part = found.study.tests.iter().map(|t| &faults.tests[t.test]).filter(|t| t.needs_spare);
    let with_part: Vec<_> = with_part.collect();
    let elsewhere = search.in_hand.iter().filter(|name| !with_part.iter().any(|t| t.id == **name));
    if open.len() < 2 && with_part.is_empty() {
        return html! {};
    }
    html! {
        details {
            summary.button.plain { (if open.len() > 1 { said::IN_HAND } else { said::PARTS_IN_HAND }) }
            form method="get" action=(found.action) {
                @if found.of_job.is_none() {
                    input type="hidden" name="complaint" value=(search.complaint);
                    @for each in did { input type="hidden" name="did" value=(each); }
                }
                @for each in &search.skip { input type="hidden" name="skip" value=(each); }
                @for each in elsewhere { input type="hidden" name="in-hand" value=(each); }
                @if open.len() > 1 {
                    div.field {
                        label for="fault-ignition" { (said::WHICH_IGNITION) }
                        select id="fault-ignition" name="ignition" {
                            option value="" { (said::IGNITION_NOT_SAID) }
                            @for (word, system) in SYSTEMS.iter().zip(System::ALL).filter(|(_, s)| open.contains(s)) {
                                option value=(word) selected[now == Some(system)] { (said::ignition(system)) }
                            }
                        }
                    }
                }
                @if !with_part.is_empty() { p { (said::PART_IN_HAND) } }
                @for test in &with_part {
                    div.field.tick {
                        input id={ "fault-in-hand-" (test.id) } type="checkbox" name="in-hand" value=(test.id) checked[search.in_hand.contains(&test.id)];
                        label for={ "fault-in-hand-" (test.id) } { (test.name) }
                    }
                }
                div.row { button.plain { (said::COUNT_IN) } }
            }
        }
    }
}
