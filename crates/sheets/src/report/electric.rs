//! Windings, charging and wires, for a terminal.

use super::{CHART_ROWS, Printer, Style};
use crate::chart::{charge_chart, ride_chart};
use crate::words::{Caution, electric as text};
use workshop::{
    machine::Machine,
    study::electric::{NotTold, charge::ChargeStudy, ride::RideStudy, windings::WindingsStudy, wires::WiresStudy},
};

/// Windings: verdict, table, what is to be said, steps with their cautions first.
pub fn windings(machine: &Machine, study: &WindingsStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.heading(text::WINDINGS);
    p.strong(&text::windings_verdict(study));
    p.table(&text::WINDINGS_HEAD, &study.windings.iter().map(text::winding_row).collect::<Vec<_>>());
    for said in study.windings.iter().flat_map(text::winding) {
        p.bullet(&said);
    }
    p.space();
    p.para(text::NOT_SHOWN);
    p.para(text::HOW_WINDINGS);
    steps(&mut p, text::WINDING_STEPS, &text::winding_steps());
    p.finish()
}

/// Charging and the ride.
pub fn charge(machine: &Machine, study: &ChargeStudy, ride: &Result<RideStudy, NotTold>, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.heading(text::CHARGING);
    let said = text::charging(study);
    if let Some((first, rest)) = said.split_first() {
        p.strong(first);
        if let Some(kind) = text::kind_of(machine) {
            p.bullet(&kind);
        }
        rest.iter().for_each(|s| p.bullet(s));
    }
    for w in text::charge_warnings(study) {
        p.bullet(&w);
    }
    p.chart(&charge_chart(study), CHART_ROWS);
    p.table(&text::CHARGE_HEAD, &study.points.iter().map(text::charge_row).collect::<Vec<_>>());
    p.para(text::HOW_CHARGED);
    if study.seen.iter().any(|s| !s.1.is_empty()) {
        p.heading(text::AS_MEASURED);
        for (speed, list) in &study.seen {
            p.para(&crate::words::rpm(*speed));
            p.table(&text::COMPARED_HEAD, &list.iter().map(text::compared_row).collect::<Vec<_>>());
        }
    }
    if let Some(found) = &study.likeness {
        p.heading(text::LOOKS_LIKE);
        text::likeness(found).iter().for_each(|s| p.bullet(s));
        p.space();
    }
    p.heading(text::SIGNATURES);
    if let Some(first) = study.signatures.first() {
        p.para(&text::signatures_at(first.crank_rad_s));
    }
    p.table(&text::SIGNATURES_HEAD, &study.signatures.iter().map(text::signature_row).collect::<Vec<_>>());
    p.para(text::HOW_SIGNATURES);
    p.heading(text::RIDE);
    match ride {
        Ok(found) => {
            text::ride(machine, found).iter().for_each(|s| p.bullet(s));
            let rows = found.parts.iter().zip(&found.battery_a).map(|(part, amps)| text::part_row(part, *amps));
            p.table(&text::PARTS_HEAD, &rows.collect::<Vec<_>>());
            p.chart(&ride_chart(found), CHART_ROWS);
        }
        Err(why) => p.para(&text::not_told(*why)),
    }
    steps(&mut p, text::WINDING_STEPS, &text::charge_steps());
    p.finish()
}

/// Wires: verdict, list, what is to be said, steps.
pub fn wires(machine: &Machine, study: &WiresStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.heading(text::WIRES_TITLE);
    p.strong(&text::wires_verdict(study));
    let wires = &machine.electric.wires;
    p.table(&text::WIRES_HEAD, &wires.iter().zip(&study.wires).map(|(w, f)| text::wire_row(w, f)).collect::<Vec<_>>());
    for said in wires.iter().zip(&study.wires).flat_map(|(w, f)| text::wire(w, f)).chain(text::without_earth(study)) {
        p.bullet(&said);
    }
    p.space();
    p.para(text::HOW_WIRES);
    steps(&mut p, text::WINDING_STEPS, &text::wire_steps());
    p.finish()
}

/// Steps; a caution stands before its step.
fn steps(p: &mut Printer, heading: &str, all: &[(Option<Caution>, &'static str)]) {
    p.heading(heading);
    for (caution, step) in all {
        if let Some(caution) = caution {
            p.cautions(&[*caution]);
        }
        p.bullet(step);
    }
    p.space();
}
