//! The spark, for a terminal.

use super::{CHART_ROWS, Printer, Style};
use crate::chart::{margin_chart, signal_chart};
use crate::words::spark as text;
use workshop::machine::Machine;
use workshop::study::spark::SparkStudy;

/// Verdict, cautions, margins, energy, coils, signal.
pub fn spark(machine: &Machine, study: &SparkStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    p.strong(&text::verdict_line(study));
    p.para(&text::what(study));
    p.cautions(text::cautions());
    p.heading(text::MARGIN);
    for said in text::worse(study).into_iter().chain(study.battery.as_ref().map(text::battery)) {
        p.bullet(&said);
    }
    if let Some(said) = study.output.as_ref().map(text::output) {
        p.bullet(&said);
    }
    if let Some(said) = study.margin.points.first().map(text::gas) {
        p.bullet(&said);
    }
    p.space();
    p.table(&text::SPEEDS_HEAD, &study.margin.points.iter().map(|at| text::speed_row(study, at)).collect::<Vec<_>>());
    p.table(&text::CASES_HEAD, &study.margin.cases.iter().map(|c| text::case_row(study, c)).collect::<Vec<_>>());
    p.chart(&margin_chart(study), CHART_ROWS);
    p.para(text::HOW_COMPUTED);
    p.heading(text::ENERGY);
    if let Some(said) = text::energy_line(study) {
        p.bullet(&said);
    }
    p.table(&text::ENERGY_HEAD, &study.energy.iter().map(text::energy_row).collect::<Vec<_>>());
    p.para(text::HOW_BURNT);
    p.heading(text::COILS);
    for said in study.coils.iter().flat_map(|j| text::coils::judged(study, j)) {
        p.bullet(&said);
    }
    p.space();
    p.table(&text::coils::COILS_HEAD, &study.coils.iter().map(|j| text::coils::row(study, j)).collect::<Vec<_>>());
    p.heading(text::SIGNAL);
    match &study.signal {
        Ok(signals) => {
            for said in signals.iter().flat_map(|s| text::signal(machine, s)) {
                p.bullet(&said);
            }
            p.space();
            if let Some(chart) = signal_chart(machine, study) {
                p.chart(&chart, CHART_ROWS);
            }
            p.para(text::HOW_SIGNALLED);
        }
        Err(why) => p.para(&text::held(*why)),
    }
    p.finish()
}
