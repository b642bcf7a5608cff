//! The sheets of windings, charging and wires: what was found, cautions before the steps, boxes to fill in.

use super::{SheetOptions, text as standing};
use crate::chart::{Size, charge_chart, ride_chart};
use crate::flow::{self, Cell, Column, Flow, Sign};
use crate::scene::{Scene, pdf};
use crate::wiring;
use crate::words::{self, Caution, electric as text};
use workshop::{
    machine::Machine,
    study::electric::{NotTold, charge::ChargeStudy, ride::RideStudy, windings::WindingsStudy, wires::WiresStudy},
};

fn document(machine: &Machine, pages: Vec<Scene>, title: &str) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&pages, &format!("{} — {title}", machine.name))
}

/// The winding check as a PDF. The same machine, study and options give the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
pub fn windings(machine: &Machine, study: &WindingsStudy, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    document(machine, windings_pages(machine, study, options), text::WINDINGS_SHEET)
}

/// The pages of the winding check as drawings.
pub fn windings_pages(machine: &Machine, study: &WindingsStudy, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(text::WINDINGS_SHEET);
    super::head(&mut flow, machine, text::WINDINGS_SHEET, options);
    flow.heading(text::WINDINGS);
    flow.strong(&text::windings_verdict(study));
    let columns = columns(&text::WINDINGS_HEAD, &[1.4, 1.0, 1.2, 0.9], text::AS_MEASURED_AGAIN);
    let row = |w| text::winding_row(w).into_iter().map(Cell::body).chain([Cell::Blank(text::OHMS_BOX)]).collect();
    flow.grid(&columns, study.windings.iter().map(row).collect());
    for said in study.windings.iter().flat_map(text::winding) {
        flow.item(Sign::Bullet, &said);
    }
    flow.body(text::NOT_SHOWN);
    steps(&mut flow, &text::winding_steps());
    flow.soft(text::HOW_WINDINGS);
    flow.gap(1.0);
    super::signed(flow, machine, Vec::new())
}

/// The charging sheet as a PDF.
///
/// # Errors
/// As [`windings`].
pub fn charge(
    machine: &Machine,
    study: &ChargeStudy,
    ride: &Result<RideStudy, NotTold>,
    options: &SheetOptions,
) -> Result<Vec<u8>, pdf::PdfError> {
    document(machine, charge_pages(machine, study, ride, options), text::CHARGE_SHEET)
}

/// The pages of the charging sheet as drawings.
pub fn charge_pages(
    machine: &Machine,
    study: &ChargeStudy,
    ride: &Result<RideStudy, NotTold>,
    options: &SheetOptions,
) -> Vec<Scene> {
    let size = Size { width: flow::WIDTH, height: 78.0 };
    let mut flow = Flow::new(text::CHARGE_SHEET);
    super::head(&mut flow, machine, text::CHARGE_SHEET, options);
    flow.heading(text::CHARGING);
    let said = text::charging(study);
    if let Some((first, rest)) = said.split_first() {
        flow.strong(first);
        let kind = text::kind_of(machine);
        kind.iter().chain(rest).for_each(|s| flow.item(Sign::Bullet, s));
    }
    for w in text::charge_warnings(study) {
        flow.item(Sign::Bullet, &w);
    }
    flow.gap(2.0);
    flow.picture(charge_chart(study).scene(size));
    flow.soft(text::HOW_CHARGED);
    flow.gap(1.0);
    if study.seen.iter().any(|s| !s.1.is_empty()) {
        flow.heading(text::AS_MEASURED);
        for (speed, list) in &study.seen {
            flow.body(&words::rpm(*speed));
            flow.rows(&text::COMPARED_HEAD, list.iter().map(text::compared_row), &[1.4, 1.0, 1.0, 0.9]);
            flow.gap(1.0);
        }
    }
    if let Some(found) = &study.likeness {
        flow.heading(text::LOOKS_LIKE);
        text::likeness(found).iter().for_each(|s| flow.item(Sign::Bullet, s));
    }
    flow.heading(text::SIGNATURES);
    if let Some(first) = study.signatures.first() {
        flow.body(&text::signatures_at(first.crank_rad_s));
    }
    flow.rows(&text::SIGNATURES_HEAD, study.signatures.iter().map(text::signature_row), &[2.2, 0.8, 0.8, 0.8, 1.5]);
    flow.gap(1.0);
    flow.soft(text::HOW_SIGNATURES);
    flow.gap(1.0);
    flow.heading(text::RIDE);
    match ride {
        Ok(found) => {
            text::ride(machine, found).iter().for_each(|s| flow.item(Sign::Bullet, s));
            flow.gap(2.0);
            flow.picture(ride_chart(found).scene(size));
        }
        Err(why) => flow.body(&text::not_told(*why)),
    }
    steps(&mut flow, &text::charge_steps());
    flow.heading(text::AS_MEASURED_AGAIN);
    let blank = columns(&text::RUN_HEAD, &[0.7; 4], text::BETWEEN_LEADS);
    let boxes = [text::SPEED_BOX, text::AMPS_BOX, text::VOLTS_BOX, text::RIPPLE_BOX, text::LEADS_BOX];
    flow.grid(&blank, (0..3).map(|_| boxes.iter().map(|b| Cell::Blank(b)).collect()).collect());
    super::signed(flow, machine, Vec::new())
}

/// The wiring sheet as a PDF: the drawing, then the list.
///
/// # Errors
/// As [`windings`].
pub fn wires(machine: &Machine, study: &WiresStudy, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    document(machine, wires_pages(machine, study, options), text::WIRES_SHEET)
}

/// The pages of the wiring sheet as drawings.
pub fn wires_pages(machine: &Machine, study: &WiresStudy, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(text::WIRES_SHEET);
    super::head(&mut flow, machine, text::WIRES_SHEET, options);
    flow.gap(3.0);
    for drawing in wiring::draw(machine, flow::WIDTH) {
        flow.picture(drawing);
    }
    flow.soft(text::WIRING_SEEN);
    flow.gap(1.0);
    flow.heading(text::WIRES_TITLE);
    flow.strong(&text::wires_verdict(study));
    let wires = &machine.electric.wires;
    flow.rows(
        &text::WIRES_HEAD,
        wires.iter().zip(&study.wires).map(|(w, f)| text::wire_row(w, f)),
        &[2.0, 1.0, 0.8, 1.05, 1.2, 0.95],
    );
    flow.gap(1.0);
    for said in wires.iter().zip(&study.wires).flat_map(|(w, f)| text::wire(w, f)).chain(text::without_earth(study)) {
        flow.item(Sign::Bullet, &said);
    }
    flow.soft(text::HOW_WIRES);
    flow.gap(1.0);
    steps(&mut flow, &text::wire_steps());
    super::signed(flow, machine, Vec::new())
}

fn columns(heads: &[&'static str], shares: &[f64], last: &'static str) -> Vec<Column<'static>> {
    let named = heads.iter().zip(shares).map(|(head, share)| Column::new(head, *share));
    named.chain([Column::new(last, 1.2)]).collect()
}

/// Steps; a caution stands before its step.
fn steps(flow: &mut Flow, all: &[(Option<Caution>, &'static str)]) {
    flow.heading(text::WINDING_STEPS);
    for (n, (caution, step)) in all.iter().enumerate() {
        if let Some(c) = caution {
            flow.caution(standing::CAUTION, c.danger, c.protects);
        }
        flow.item(Sign::Step(n + 1), step);
    }
}
