//! What a recording tells, for a terminal.

use super::{CHART_ROWS, Printer, Style};
use crate::chart::{change_chart, pace_chart, recorded_chart};
use crate::words::{self, recording as text};
use workshop::machine::Machine;
use workshop::study::{
    curve::CurveStudy,
    recording::{Recorded, change::Change, pace::Pace, pickups::Pickups, sound::Sound},
};

/// Trigger and spark: verdict first, what has changed since a recording before, then sparks, curve, pulses, course of the speed.
pub fn recording(
    machine: &Machine,
    found: &Recorded,
    before: Option<(&Recorded, &Change)>,
    by_file: Option<&CurveStudy>,
    notes: &[String],
    width: usize,
    style: Style,
) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.strong(&text::verdict(&found.edges));
    if let Some((_, change)) = before {
        p.heading(text::CHANGE);
        text::change(machine, change).iter().for_each(|l| p.bullet(l));
        if !change.moved.is_empty() {
            p.table(&text::CHANGE_HEAD, &change.moved.iter().map(|m| text::moved(machine, m)).collect::<Vec<_>>());
        }
    }
    p.heading(text::RECORDING);
    p.para(&text::what(found));
    notes.iter().for_each(|n| p.bullet(n));
    found.cautions.iter().for_each(|c| p.bullet(&text::caution(c)));
    p.heading(text::FIRINGS);
    for place in &found.places {
        text::place(machine, place).iter().for_each(|l| p.bullet(l));
    }
    p.bullet(&text::stray(found));
    p.heading(text::CURVE);
    match &found.curve {
        Ok(curve) => {
            p.para(&words::curve_line(curve));
            if let Some(cylinder) = found.rows.first().and_then(|r| curve.cylinders.get(r.cylinder)) {
                p.para(words::kind(cylinder.kind));
                let row = |q: &workshop::study::curve::Parameter| {
                    vec![words::parameter_name(q.name), words::parameter_value(q.name, q.value)]
                };
                p.table(&["", ""], &cylinder.parameters.iter().map(row).collect::<Vec<_>>());
            }
        }
        Err(_) => p.para(text::NO_LAW),
    }
    p.table(&text::ROWS_HEAD, &found.rows.iter().map(|r| text::row(machine, r)).collect::<Vec<_>>());
    match before {
        Some((before, _)) => p.chart(&change_chart(found, before, by_file), CHART_ROWS),
        None => p.chart(&recorded_chart(found, by_file), CHART_ROWS),
    }
    p.heading(text::ROTOR);
    let compared = text::compared(&found.edges);
    if !compared.is_empty() {
        p.table(&text::COMPARED_HEAD, &compared);
    }
    if let Some(said) = text::which_edge(&found.edges) {
        p.bullet(&said);
    }
    if let Some(pulses) = &found.pulses {
        p.heading(text::PULSES);
        text::pulses(pulses).iter().for_each(|l| p.bullet(l));
    }
    ran(&mut p, &found.pace);
    p.finish()
}

/// Both pickups side by side.
pub fn pickups(machine: &Machine, found: &Pickups, notes: &[String], width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.strong(&text::pickups_verdict(found));
    p.para(&text::pickups_what(found));
    notes.iter().for_each(|n| p.bullet(n));
    found.cautions.iter().for_each(|c| p.bullet(&text::caution(c)));
    p.table(&text::PICKUPS_HEAD, &text::pickups_rows(machine, found));
    text::pickups_lines(found).iter().for_each(|l| p.bullet(l));
    p.finish()
}

/// The sound of the exhaust.
pub fn sound(machine: &Machine, found: &Sound, notes: &[String], width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.para(&text::sound(found));
    notes.iter().for_each(|n| p.bullet(n));
    ran(&mut p, &found.pace);
    p.finish()
}

fn ran(p: &mut Printer, pace: &Pace) {
    p.heading(text::RAN);
    text::ran(pace).iter().for_each(|l| p.bullet(l));
    p.chart(&pace_chart(pace), CHART_ROWS);
    let lines = text::lines(pace);
    if !lines.is_empty() {
        p.heading(text::TO_PASTE);
        p.para(text::PASTE);
        lines.iter().for_each(|l| p.para(l));
    }
}
