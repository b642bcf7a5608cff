//! Studies as text for a terminal: sentences first, then figures, then a small chart.

mod alike;
mod calibration;
mod electric;
mod fault;
mod held;
mod part;
mod print;
mod recording;
mod rotor;
mod spark;

use crate::chart::{CurveExtras, chance_chart, curve_chart, rest_chart, run_chart, torque_chart};
use crate::words::{self, label, report as text, sheet as sheet_text};
use print::Printer;
use workshop::machine::Machine;
use workshop::study::{
    Study,
    curve::{self, CurveStudy},
    idle::IdleStudy,
    load::LoadStudy,
    sensitivity::Sensitivity,
    trim::{CutOutcome, TrimStudy},
};

pub use crate::chart::Style;
pub use alike::alike;
pub use electric::{charge, windings, wires};
pub use fault::{Detail, complaints, fault, fault_test};
pub use held::held;
pub use part::{kinds, matched, sets};
pub use print::wrap;
pub use recording::{pickups, recording, sound};
pub use rotor::rotor;
pub use spark::spark;

/// Least and most columns that are made use of.
pub const WIDTHS: (usize, usize) = (40, 120);

/// Laws explained by less than this share of the weight are left out after the second.
const SHARE_SHOWN: f64 = 0.01;

/// Rows of a chart.
const CHART_ROWS: usize = 14;

/// Everything found about a machine. At most `width` columns wide (never less than 40).
pub fn study(machine: &Machine, study: &Study, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    // What matters most comes first.
    match &study.idle {
        Ok(idle) => p.strong(&words::verdict(idle)),
        Err(why) => p.strong(words::not_studied(*why)),
    }
    match &study.trim {
        Ok(trim) => p.strong(&words::advice(trim)),
        Err(why) if study.idle.as_ref().err() != Some(why) => p.strong(words::not_studied(*why)),
        Err(_) => {}
    }
    let load = study.load.as_ref();
    curve_part(&mut p, machine, &study.curve, load.ok());
    if let Ok(load) = load {
        load_part(&mut p, load);
    }
    if let Ok(idle) = &study.idle {
        idle_part(&mut p, idle, false);
    }
    if let Ok(alike) = &study.alike {
        alike::part(&mut p, alike);
    }
    if let Ok(trim) = &study.trim {
        trim_part(&mut p, machine, trim, Some(study), false);
    }
    p.finish()
}

/// The curve study, and what advance does where that was computed.
pub fn curve(machine: &Machine, study: &CurveStudy, load: Option<&LoadStudy>, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    curve_part(&mut p, machine, study, load);
    if let Some(load) = load {
        load_part(&mut p, load);
    }
    p.finish()
}

/// The idle study.
pub fn idle(machine: &Machine, study: &IdleStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    idle_part(&mut p, study, true);
    p.finish()
}

/// The trim plan.
pub fn trim(machine: &Machine, study: &TrimStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    trim_part(&mut p, machine, study, None, true);
    p.finish()
}

fn curve_part(p: &mut Printer, machine: &Machine, study: &CurveStudy, load: Option<&LoadStudy>) {
    p.heading(text::CURVE);
    p.para(&words::curve_line(study));
    let together = crate::chart::alike(&study.cylinders);
    let shown = if together { study.cylinders.len().min(1) } else { study.cylinders.len() };
    for (n, cylinder) in study.cylinders.iter().take(shown).enumerate() {
        if cylinder.parameters.is_empty() {
            continue;
        }
        let name = machine.engine.cylinders.get(n).filter(|_| !together).map_or("", |c| c.name.as_str());
        let rows: Vec<Vec<String>> = cylinder
            .parameters
            .iter()
            .map(|q| vec![words::parameter_name(q.name), words::parameter_value(q.name, q.value)])
            .collect();
        p.para(&text::fitted(name, words::kind(cylinder.kind)));
        p.table(&[], &rows);
    }
    // A law that was given is set against the readings itself; how others would fit is beside the point.
    if study.agreement.is_none() && !study.support.is_empty() {
        for s in study.support.iter().enumerate().filter(|(n, s)| *n < 2 || s.share >= SHARE_SHOWN).map(|(_, s)| s) {
            p.bullet(&words::support(s));
        }
        if !study.next.is_empty() {
            p.cautions(words::cautions_for_run());
        }
        for next in &study.next {
            p.bullet(&words::next_reading(next));
        }
        p.space();
    }
    if let Some(misfit) = words::misfit(study) {
        p.para(misfit);
    }
    for n in 0..shown {
        let rows = advance_rows(machine, study, n);
        if let (false, Some(c)) = (together, machine.engine.cylinders.get(n)) {
            p.para(&text::of_cylinder(&c.name));
        }
        if !rows.is_empty() {
            p.table(&[label::SPEED, label::ADVANCE, text::ON_RIM, text::ON_PISTON], &rows);
        }
    }
    let seen = machine.idle.as_ref();
    let extras = CurveExtras {
        after: &[],
        load,
        idle_rad_s: seen.map(|i| i.speed.si),
        hang_rad_s: seen.and_then(|i| i.hangs_at.as_ref()).map(|h| h.si),
    };
    if study.cylinders.iter().any(|c| c.band.len() > 1) {
        p.chart(&curve_chart(machine, study, extras), CHART_ROWS);
    }
    p.warnings(&study.warnings);
}

fn load_part(p: &mut Printer, study: &LoadStudy) {
    p.heading(words::load::LOAD);
    for sweep in study.told() {
        p.bullet(&words::sweep(sweep, study));
    }
    p.bullet(&words::kick(&study.kick));
    p.para(words::load::HOW_COMPUTED);
    p.chart(&torque_chart(study), CHART_ROWS);
    p.warnings(&study.warnings);
}

/// The same advance as an angle, on the rim and on the piston, at round speeds.
fn advance_rows(machine: &Machine, study: &CurveStudy, cylinder: usize) -> Vec<Vec<String>> {
    let band = study.cylinders.get(cylinder).map_or(&[][..], |c| &c.band);
    let (Some(first), Some(last)) = (band.first(), band.last()) else { return Vec::new() };
    let ticks = crate::chart::ticks(0.0, words::rpm_of(last.speed_rad_s), 12);
    let round = ticks.at.iter().map(|rpm| rpm * std::f64::consts::TAU / 60.0);
    let speeds: Vec<f64> = round.filter(|&s| s >= first.speed_rad_s && s <= last.speed_rad_s).collect();
    let rows = curve::table(machine, study, cylinder, &speeds);
    rows.iter()
        .map(|r| {
            let rim = r.rim_m.map_or_else(|| words::number(f64::NAN, 1), words::mm);
            vec![words::rpm(r.speed_rad_s), words::degrees_pm(r.advance), rim, words::mm(r.piston_m)]
        })
        .collect()
}

fn idle_part(p: &mut Printer, study: &IdleStudy, with_verdict: bool) {
    p.heading(text::IDLE);
    if with_verdict {
        p.strong(&words::verdict(study));
    }
    for point in &study.rest.points {
        p.bullet(&words::rest_point(point));
    }
    let c = &study.cycle;
    p.table(
        &[],
        &[
            vec![text::RESIDUAL.to_owned(), words::percent(c.residual_fraction)],
            vec![text::HALF_BURNED.to_owned(), words::degrees(c.half_burned_rad)],
            vec![text::BEST_ADVANCE.to_owned(), words::best_at_idle(c)],
            vec![sheet_text::BEST_SHARE.to_owned(), words::share_of_best(c)],
            vec![text::PEAK_PRESSURE.to_owned(), text::bar(c.peak_pressure_pa)],
            vec![text::RUNNER_PRESSURE.to_owned(), text::bar(c.runner_pressure_pa)],
        ],
    );
    for d in &study.depends {
        p.bullet(&words::depends(d));
    }
    doubt(p, &study.doubt, words::chance::DOUBT);
    if study.rest.line.len() > 1 {
        p.chart(&rest_chart(&study.rest, None, study.opening_m2), CHART_ROWS);
    }
    if let Some(run) = &study.run {
        p.heading(words::run::RUN);
        for said in words::run::run(study) {
            p.bullet(&said);
        }
        p.chart(&run_chart(run, None), CHART_ROWS);
    }
    p.warnings(&study.warnings);
    if let Some(c) = &study.calibration {
        calibration::part(p, c, study.chance);
    }
}

fn trim_part(p: &mut Printer, machine: &Machine, study: &TrimStudy, whole: Option<&Study>, with_advice: bool) {
    p.heading(text::TRIM);
    if with_advice {
        p.strong(&words::advice(study));
    }
    if !study.reversible.is_empty() {
        p.para(text::FIRST);
        for way in &study.reversible {
            p.bullet(&words::reversible(way));
        }
    }
    let rows: Vec<Vec<String>> = told_cuts(study).into_iter().map(cut_row).collect();
    if !rows.is_empty() {
        p.table(
            &[
                text::CUT,
                sheet_text::LEAST_ADVANCE,
                sheet_text::IDLE,
                sheet_text::KICK_BACK,
                text::PER_CENT_AIR,
                sheet_text::CHANCE,
            ],
            &rows,
        );
    }
    if study.cuts.iter().filter(|c| c.chance.is_some_and(|c| c.of > 0)).count() > 1 {
        p.chart(&chance_chart(study, crate::sheet::advised(study).map(|w| w.advised.si)), CHART_ROWS);
        p.para(&words::chance::over_cuts(study.tried.0, study.tried.1));
    }
    if let Some(found) = &study.doubt {
        doubt(p, found, words::chance::DOUBT_AFTER);
    }
    if let Some(window) = crate::sheet::advised(study) {
        if let Some(outcome) = crate::sheet::nearest(study, &window) {
            p.para(&words::kick_back(&outcome.kick_back));
            if let Some(u) = &outcome.unbalance {
                p.para(&words::unbalance(u));
            }
        }
        p.para(words::cannot_undo());
        p.para(&text::which_end(study.drawing.turns, study.drawing.seen_from));
        if let Some(whole) = whole {
            let after = crate::sheet::laws_after(whole, window.advised_crank.si);
            if !after.is_empty() {
                let extras = CurveExtras { after: &after, ..CurveExtras::default() };
                p.chart(&curve_chart(machine, &whole.curve, extras), CHART_ROWS);
            }
        }
    }
    p.warnings(&study.warnings);
}

/// Which input the doubt comes from.
fn doubt(p: &mut Printer, found: &Sensitivity, heading: &str) {
    let Some(said) = words::chance::doubt(found) else { return };
    p.heading(heading);
    p.para(&said);
    let rows: Vec<Vec<String>> = words::chance::doubt_rows(found).into_iter().map(Vec::from).collect();
    p.table(&[words::chance::INPUT, words::chance::ALONE, words::chance::WITH_OTHERS], &rows);
    p.para(words::chance::HOW_SHARES);
}

/// Most evenly spread rows of the table of cuts.
const CUT_ROWS: usize = 16;

/// The cuts worth a row: evenly spread ones, and those where something changes or that the advice names.
fn told_cuts(study: &TrimStudy) -> Vec<&CutOutcome> {
    let step = study.cuts.len().div_ceil(CUT_ROWS).max(1);
    let advised = crate::sheet::advised(study).and_then(|window| crate::sheet::nearest(study, &window)).map(|c| c.cut_m);
    let kind = |k: usize| std::mem::discriminant(&study.cuts[k].verdict);
    (0..study.cuts.len())
        .filter(|&k| {
            let changes = (k > 0 && kind(k) != kind(k - 1)) || (k + 1 < study.cuts.len() && kind(k) != kind(k + 1));
            k % step == 0 || changes || Some(study.cuts[k].cut_m) == advised || k + 1 == study.cuts.len()
        })
        .map(|k| &study.cuts[k])
        .collect()
}

fn cut_row(c: &CutOutcome) -> Vec<String> {
    vec![
        words::mm(c.cut_m),
        words::degrees_pm(c.least_advance),
        words::short_verdict(c.verdict),
        if c.kick_back.passes { sheet_text::PASSED } else { sheet_text::FAILED }.to_owned(),
        format!("{}\u{a0}rpm", words::number(words::rpm_of(c.stiffness_rad_s_per_percent), 0)),
        c.chance.map_or_else(|| sheet_text::NOT_COMPUTED.to_owned(), words::chance_short),
    ]
}
