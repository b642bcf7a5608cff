//! The sheet of a recording: verdict, curve before and as recorded, table, how it ran.

use super::{SheetOptions, head};
use crate::chart::{Size, change_chart, pace_chart, recorded_chart};
use crate::flow::{self, Flow, Sign};
use crate::scene::pdf;
use crate::words::{self, recording as text};
use workshop::machine::Machine;
use workshop::study::{
    curve::CurveStudy,
    recording::{Recorded, change::Change, pace::Pace, pickups::Pickups, sound::Sound},
};

/// Room for a chart [mm].
const SIZE: Size = Size { width: flow::WIDTH, height: 88.0 };

/// Trigger and spark, as a PDF; with what has changed since a recording before, where there is one. The same findings and options give the same bytes.
///
/// # Errors
/// As [`pdf::document`].
pub fn recording(
    machine: &Machine,
    found: &Recorded,
    before: Option<(&Recorded, &Change)>,
    by_file: Option<&CurveStudy>,
    options: &SheetOptions,
) -> Result<Vec<u8>, pdf::PdfError> {
    let mut flow = Flow::new(text::TITLE);
    head(&mut flow, machine, text::TITLE, options);
    flow.heading(text::ROTOR);
    flow.body(&text::verdict(&found.edges));
    let compared = text::compared(&found.edges);
    if !compared.is_empty() {
        flow.rows(&text::COMPARED_HEAD, compared.into_iter(), &[1.0; 4]);
    }
    if let Some(said) = text::which_edge(&found.edges) {
        flow.item(Sign::Bullet, &said);
    }
    if let Some((_, change)) = before {
        flow.heading(text::CHANGE);
        text::change(machine, change).iter().for_each(|l| flow.item(Sign::Bullet, l));
        if !change.moved.is_empty() {
            let rows = change.moved.iter().map(|m| text::moved(machine, m));
            flow.rows(&text::CHANGE_HEAD, rows, &[0.8, 0.9, 0.7, 1.1, 1.1, 1.6]);
        }
    }
    flow.heading(text::RECORDING);
    flow.body(&text::what(found));
    found.cautions.iter().for_each(|c| flow.item(Sign::Bullet, &text::caution(c)));
    flow.heading(text::FIRINGS);
    for place in &found.places {
        text::place(machine, place).iter().for_each(|l| flow.item(Sign::Bullet, l));
    }
    flow.item(Sign::Bullet, &text::stray(found));
    flow.heading(text::CURVE);
    match &found.curve {
        Ok(curve) => flow.body(&words::curve_line(curve)),
        Err(_) => flow.body(text::NO_LAW),
    }
    flow.picture(match before {
        Some((before, _)) => change_chart(found, before, by_file).scene(SIZE),
        None => recorded_chart(found, by_file).scene(SIZE),
    });
    flow.rows(&text::ROWS_HEAD, found.rows.iter().map(|r| text::row(machine, r)), &[1.0, 1.0, 1.0, 0.8, 1.2]);
    if let Some(pulses) = &found.pulses {
        flow.heading(text::PULSES);
        text::pulses(pulses).iter().for_each(|l| flow.item(Sign::Bullet, l));
    }
    ran(&mut flow, &found.pace);
    end(flow, machine, text::TITLE)
}

/// Both pickups side by side, as a PDF.
///
/// # Errors
/// As [`pdf::document`].
pub fn pickups(machine: &Machine, found: &Pickups, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    let mut flow = Flow::new(text::PICKUPS_TITLE);
    head(&mut flow, machine, text::PICKUPS_TITLE, options);
    flow.body(&text::pickups_verdict(found));
    flow.body(&text::pickups_what(found));
    found.cautions.iter().for_each(|c| flow.item(Sign::Bullet, &text::caution(c)));
    flow.rows(&text::PICKUPS_HEAD, text::pickups_rows(machine, found).into_iter(), &[1.0; 3]);
    text::pickups_lines(found).iter().for_each(|l| flow.item(Sign::Bullet, l));
    end(flow, machine, text::PICKUPS_TITLE)
}

/// The sound of the exhaust, as a PDF.
///
/// # Errors
/// As [`pdf::document`].
pub fn sound(machine: &Machine, found: &Sound, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    let mut flow = Flow::new(text::SOUND_TITLE);
    head(&mut flow, machine, text::SOUND_TITLE, options);
    flow.body(&text::sound(found));
    ran(&mut flow, &found.pace);
    end(flow, machine, text::SOUND_TITLE)
}

fn end(flow: Flow, machine: &Machine, title: &str) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&super::signed(flow, machine, Vec::new()), &format!("{} — {title}", machine.name))
}

fn ran(flow: &mut Flow, pace: &Pace) {
    flow.heading(text::RAN);
    text::ran(pace).iter().for_each(|l| flow.item(Sign::Bullet, l));
    flow.picture(pace_chart(pace).scene(SIZE));
}
