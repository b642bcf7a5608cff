//! The printed sheet to work from: findings, cautions before their step, pictures, the cutting list, the rim template.

mod alike;
mod electric;
mod fault;
mod holds;
mod part;
mod recording;
mod rotor;
mod spark;

pub use electric::{charge, charge_pages, windings, windings_pages, wires, wires_pages};
pub use fault::{fault, fault_pages};
pub use part::{Fitted, matched, matched_pages};
pub use recording::{pickups, recording, sound};
pub use rotor::{rotor, rotor_pages};
pub use spark::{spark, spark_pages};

use crate::chart::{CurveExtras, Size, chance_chart, curve_chart, rest_chart, torque_chart};
use crate::flow::{self, Flow, Sign};
use crate::font::Weight;
use crate::scene::{Ink, Scene, pdf};
use crate::words::{self, mm, sheet as text};
use crate::{rotor as drawing, template};
use physics::law::Law;
use quantity::CrankAngle;
use workshop::machine::Machine;
use workshop::study::{
    Study,
    trim::{Advice, CutOutcome, CutWindow, TrimStudy},
    warning::Warning,
};

/// What the sheet cannot know by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetOptions {
    /// Date to print, as the workshop writes it; a line to fill in otherwise. The sheet reads no clock.
    pub date: Option<String>,
    /// Thickness of the paper that the template is printed on [m].
    pub paper_m: f64,
}

impl Default for SheetOptions {
    fn default() -> Self {
        Self { date: None, paper_m: template::PAPER_THICKNESS_M }
    }
}

/// The sheet as a PDF. The same machine, study and options give the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
pub fn sheet(machine: &Machine, study: &Study, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&pages(machine, study, options), &format!("{} — {}", machine.name, text::TITLE))
}

/// The sheet's pages as drawings.
pub fn pages(machine: &Machine, study: &Study, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(text::TITLE);
    head(&mut flow, machine, text::TITLE, options);
    findings(&mut flow, study);
    sureness(&mut flow, study);
    pictures(&mut flow, machine, study);
    if let Ok(study) = &study.alike {
        alike::causes(&mut flow, study);
    }
    let mut template_pages = Vec::new();
    if let Ok(trim) = &study.trim {
        cut(&mut flow, trim);
        if advised(trim).is_some() {
            template_pages = template::pages(&trim.drawing, options.paper_m);
        }
    }
    record(&mut flow);
    flow.finish(&machine.name, template_pages)
}

fn head(flow: &mut Flow, machine: &Machine, title: &str, options: &SheetOptions) {
    flow.text(&machine.name, 7.4, Weight::Bold, Ink::Ink, 0.0);
    flow.gap(0.6);
    let date = options.date.clone().unwrap_or_else(|| format!("{} ____________________", text::NO_DATE));
    flow.text(&format!("{title}   ·   {date}"), flow::BODY, Weight::Regular, Ink::Soft, 0.0);
    flow.gap(1.0);
}

fn findings(flow: &mut Flow, study: &Study) {
    flow.heading(text::FINDINGS);
    flow.body(&words::curve_line(&study.curve));
    match &study.idle {
        Ok(idle) => {
            flow.text(&words::verdict(idle), flow::BODY, Weight::Bold, Ink::Ink, 0.0);
            flow.gap(1.4);
            for point in &idle.rest.points {
                flow.item(Sign::Bullet, &words::rest_point(point));
            }
        }
        Err(why) => flow.body(words::not_studied(*why)),
    }
    match &study.trim {
        Ok(trim) => {
            flow.gap(0.8);
            flow.text(&words::advice(trim), flow::BODY, Weight::Bold, Ink::Ink, 0.0);
        }
        // The idle's reason has been given above.
        Err(why) if study.idle.as_ref().err() != Some(why) => flow.body(words::not_studied(*why)),
        Err(_) => {}
    }
}

fn warnings(study: &Study) -> Vec<&Warning> {
    let mut all: Vec<&Warning> = study.curve.warnings.iter().collect();
    all.extend(study.idle.iter().flat_map(|s| &s.warnings));
    all.extend(study.load.iter().flat_map(|s| &s.warnings));
    all.extend(study.trim.iter().flat_map(|s| &s.warnings));
    let mut seen: Vec<&Warning> = Vec::new();
    for w in all {
        if !seen.contains(&w) {
            seen.push(w);
        }
    }
    seen
}

fn sureness(flow: &mut Flow, study: &Study) {
    let warnings = warnings(study);
    let depends = study.idle.as_ref().map_or(&[][..], |s| &s.depends);
    if warnings.is_empty() && depends.is_empty() {
        return;
    }
    flow.heading(text::BE_AWARE);
    for d in depends {
        flow.item(Sign::Bullet, &words::depends(d));
    }
    if let Some(said) = study.idle.as_ref().ok().and_then(|s| words::chance::doubt(&s.doubt)) {
        flow.item(Sign::Bullet, &said);
    }
    for w in warnings {
        flow.item(Sign::Bullet, &words::warning(w));
    }
}

/// The advised cut, where there is one.
pub(crate) fn advised(trim: &TrimStudy) -> Option<CutWindow> {
    // No cutting list while something else is to be ruled out first.
    let hold = matches!(trim.advice, Advice::RuleOutFirst { .. });
    trim.advice.window().filter(|_| !hold).copied()
}

/// The computed cut nearest to the advised one.
pub(crate) fn nearest<'a>(trim: &'a TrimStudy, w: &CutWindow) -> Option<&'a CutOutcome> {
    let off = |c: &&CutOutcome| (c.cut_m - w.advised.si).abs();
    trim.cuts.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// The laws of all cylinders after a cut; empty where one has no segment.
pub fn laws_after(study: &Study, cut_crank_rad: f64) -> Vec<Law> {
    let cut = CrankAngle::from_radians(cut_crank_rad);
    study.curve.cylinders.iter().map(|c| c.law.with_trailing_cut(cut)).collect::<Option<_>>().unwrap_or_default()
}

fn pictures(flow: &mut Flow, machine: &Machine, study: &Study) {
    let window = study.trim.as_ref().ok().and_then(advised);
    let after = window.map(|w| laws_after(study, w.advised_crank.si)).unwrap_or_default();
    let size = Size { width: flow::WIDTH, height: 84.0 };
    flow.gap(3.0);
    if study.curve.cylinders.iter().any(|c| !c.band.is_empty()) {
        let seen = machine.idle.as_ref();
        let extras = CurveExtras {
            after: &after,
            load: study.load.as_ref().ok(),
            idle_rad_s: seen.map(|i| i.speed.si),
            hang_rad_s: seen.and_then(|i| i.hangs_at.as_ref()).map(|h| h.si),
        };
        flow.picture(curve_chart(machine, &study.curve, extras).scene(size));
    }
    if let Ok(load) = &study.load {
        flow.heading(words::load::LOAD);
        for sweep in load.told() {
            flow.item(Sign::Bullet, &words::sweep(sweep, load));
        }
        flow.item(Sign::Bullet, &words::kick(&load.kick));
        flow.item(Sign::Bullet, words::load::HOW_COMPUTED);
        flow.gap(2.0);
        flow.picture(torque_chart(load).scene(size));
    }
    if let Ok(idle) = &study.idle {
        let outcome = study.trim.as_ref().ok().zip(window.as_ref()).and_then(|(t, w)| nearest(t, w));
        flow.gap(2.0);
        flow.picture(rest_chart(&idle.rest, outcome.map(|o| &o.same_idle), idle.opening_m2).scene(size));
    }
    if let Ok(trim) = &study.trim {
        flow.gap(2.0);
        flow.picture(chance_chart(trim, window.map(|w| w.advised.si)).scene(size));
        flow.item(Sign::Bullet, &words::chance::over_cuts(trim.tried.0, trim.tried.1));
    }
}

fn cut(flow: &mut Flow, trim: &TrimStudy) {
    if !trim.reversible.is_empty() {
        flow.heading(text::FIRST);
        for way in &trim.reversible {
            flow.item(Sign::Bullet, &words::reversible(way));
        }
    }
    let Some(window) = advised(trim) else { return };
    flow.heading(text::CUT);
    flow.body(words::cannot_undo());
    flow.picture(drawing::draw(&trim.drawing, flow::WIDTH * 0.86));
    changes(flow, trim, &window);
    for c in words::cautions_for_cut() {
        flow.caution(text::CAUTION, c.danger, c.protects);
    }
    flow.heading(text::STEPS);
    let rim_mm = trim.drawing.rim_diameter_m * 1e3;
    let degrees_per_mm = 360.0 / (std::f64::consts::PI * rim_mm);
    let crank = 1.0 / trim.drawing.turns_per_crank_turn;
    let steps = words::cutting_list(&window, trim.drawing.segment_arc_m, degrees_per_mm, crank);
    let run_from = steps.iter().position(|s| s.runs);
    for (n, step) in steps.iter().enumerate() {
        if Some(n) == run_from {
            for c in words::cautions_for_run() {
                flow.caution(text::CAUTION, c.danger, c.protects);
            }
        }
        flow.item(Sign::Step(n + 1), &step.text);
    }
}

fn changes(flow: &mut Flow, trim: &TrimStudy, window: &CutWindow) {
    let (Some(before), Some(after)) = (trim.cuts.first(), nearest(trim, window)) else { return };
    flow.heading(text::CHANGES);
    let row = |name: &str, value: &dyn Fn(&CutOutcome) -> String| vec![name.to_owned(), value(before), value(after)];
    let rows = vec![
        vec![String::new(), text::BEFORE.to_owned(), format!("{} ({})", text::AFTER, mm(after.cut_m))],
        row(text::LEAST_ADVANCE, &|c| words::degrees_pm(c.least_advance)),
        row(text::IDLE, &|c| words::short_verdict(c.verdict)),
        row(text::CHANCE, &|c| c.chance.map_or_else(|| text::NOT_COMPUTED.to_owned(), words::chance_short)),
        row(text::STIFFNESS, &|c| format!("{} rpm", words::number(words::rpm_of(c.stiffness_rad_s_per_percent), 0))),
        row(text::BEST_SHARE, &|c| words::share_of_best(&c.cycle)),
        row(text::SEGMENT, &|c| mm(c.segment_left_m)),
        row(text::KICK_BACK, &|c| if c.kick_back.passes { text::PASSED } else { text::FAILED }.to_owned()),
    ];
    flow.table(&rows, &[1.3, 1.0, 1.0]);
    flow.item(Sign::Bullet, &words::kick_back(&after.kick_back));
    if let Some(u) = &after.unbalance {
        flow.item(Sign::Bullet, &words::unbalance(u));
    }
    flow.gap(1.5);
}

fn record(flow: &mut Flow) {
    flow.heading(text::CONSENT);
    flow.body(text::CONSENT_TEXT);
    flow.blanks(&[text::SIGN_OWNER, text::SIGN_MECHANIC]);
    flow.blanks(&text::RECORD);
    flow.body(text::DEFER);
}

/// The end of a sheet, what it defers to and the mechanic's name, and its pages with `more` behind them.
fn signed(mut flow: Flow, machine: &Machine, more: Vec<Scene>) -> Vec<Scene> {
    flow.gap(3.0);
    flow.body(text::DEFER);
    flow.blanks(&[text::SIGN_MECHANIC]);
    flow.finish(&machine.name, more)
}
