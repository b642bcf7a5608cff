//! Judge: what was found, and the picture under each finding.

mod alike;
mod calibration;
mod electric;

use super::card::{Card, State, cautions, fold, list, watch};
use crate::{desk::Answer, pictures};
use maud::{Markup, PreEscaped, html};
use sheets::{
    beside::Beside,
    chart::Chart,
    words::{self as say, page as words},
};
use workshop::study::{curve::CurveStudy, idle::IdleStudy, load::LoadStudy, warning::Warning};

mod doubt;
mod held;
pub mod rotor;
pub mod run;
pub mod spark;

pub use doubt::doubt;

/// The fold.
pub fn fold_of(card: &Card) -> Markup {
    let Ok(read) = card.read else {
        return fold(2, true, words::AFTER_DEFECTS, &html! {});
    };
    let state = match &card.state {
        State::Running(_) => words::UNDER_WAY,
        State::Stopped => words::WAS_STOPPED,
        State::Broken => words::FAILED,
        State::Found(_) | State::Nothing => "",
    };
    let load = match &card.state {
        State::Found(answer) => answer.load().ok(),
        _ => None,
    };
    fold(
        2,
        true,
        state,
        &html! {
            div.pictures {
                section {
                    h3 { (words::CURVE) }
                    @match &read.curve {
                        Ok(curve) => {
                            @if !curve.next.is_empty() { (cautions(say::cautions_for_run())) }
                            (list(&curve_findings(curve)))
                            (watch(&warnings(&curve.warnings)))
                            @if let Some(chart) = pictures::curve(read, load, None) { (both(&chart, "judge")) }
                        }
                        Err(why) => { p { (say::not_studied(*why)) } }
                    }
                }
                section {
                    h3 { (words::IDLE) }
                    @match &card.state {
                        State::Found(answer) => { (idle(answer)) }
                        state => { (work(&card.record.slug, state)) }
                    }
                }
            }
            @if let Some(load) = load { (advance(load)) }
            @if let State::Found(answer) = &card.state {
                (rotor::rotor(answer))
                (spark::spark(answer))
                (electric::electric(answer))
            }
            @if !read.warnings.is_empty() {
                details {
                    summary.button.plain { (words::stand_ins(read.warnings.len())) }
                    (list(&warnings(&read.warnings)))
                }
            }
        },
    )
}

/// What advance does.
fn advance(load: &LoadStudy) -> Markup {
    let sweeps = load.told().map(|sweep| say::sweep(sweep, load));
    html! {
        div.pictures {
            section {
                h3 { (say::load::LOAD) }
                (list(&sweeps.chain([say::kick(&load.kick)]).collect::<Vec<_>>()))
                (watch(&warnings(&load.warnings)))
                p.soft { (say::load::HOW_COMPUTED) }
            }
            section { (both(&pictures::torque(load), "judge")) }
        }
    }
}

fn idle(answer: &Answer) -> Markup {
    match answer.idle() {
        Ok(idle) => html! {
            (list(&idle_findings(idle)))
            (watch(&warnings(&idle.warnings)))
            (alike::causes(answer.alike()))
            @if let Some(chart) = pictures::rest(answer, None) { (both(&chart, "judge")) }
            (doubt(&idle.doubt, say::chance::DOUBT))
            (run::run(answer, "judge"))
            @if let Some(c) = &idle.calibration { (calibration::calibration(c, idle.chance)) }
        },
        Err(why) => html! { p { (say::not_studied(why)) } },
    }
}

/// Everything that is said of a machine's curve and idle, the verdict first.
pub fn said(answer: &Answer) -> Vec<String> {
    let mut all = vec![answer.verdict()];
    if let Ok(curve) = &answer.read.curve {
        all.extend(curve_findings(curve));
        all.extend(warnings(&curve.warnings));
    }
    if let Ok(idle) = answer.idle() {
        all.extend(idle_findings(idle));
        all.extend(say::run::run(idle));
        all.extend(warnings(&idle.warnings));
    }
    all.extend(answer.alike().ok().map(say::alike::explains));
    all.extend(answer.trim().ok().map(say::advice));
    all.extend(rotor::said(answer));
    all.extend(electric::said(answer));
    all
}

fn curve_findings(curve: &CurveStudy) -> Vec<String> {
    let mut all = vec![say::curve_line(curve)];
    if let (None, Some(best)) = (curve.agreement, curve.support.first()) {
        all.push(say::support(best));
    }
    all.extend(curve.next.iter().map(say::next_reading));
    all.extend(say::misfit(curve).map(str::to_owned));
    all
}

fn idle_findings(idle: &IdleStudy) -> Vec<String> {
    let points = idle.rest.points.iter().map(say::rest_point);
    points.chain(idle.depends.iter().map(say::depends)).collect()
}

/// Warnings as sentences.
pub fn warnings(all: &[Warning]) -> Vec<String> {
    all.iter().map(say::warning).collect()
}

/// The long work: how far it is and how to stop it, or how to take it up again.
fn work(slug: &str, state: &State) -> Markup {
    match state {
        State::Running(progress) => html! {
            div.progress {
                label for="progress" { (words::WORKING) }
                progress #progress max="1" value=(progress.share()) {}
                form method="post" action={ "/machine/" (slug) "/stop" } { button.plain { (words::STOP) } }
                noscript { p { a href={ "/machine/" (slug) "#judge" } { (words::LOOK_AGAIN) } } }
            }
        },
        State::Stopped | State::Broken => html! {
            p { @if matches!(state, State::Broken) { (words::BROKEN) } @else { (words::STOPPED) } }
            form method="post" action={ "/machine/" (slug) "/go-on" } { button.plain { (words::WORK_IT_OUT) } }
        },
        State::Found(_) | State::Nothing => html! {},
    }
}

/// A chart for narrow and for wide places; the style sheet shows one of them.
pub fn both(chart: &Chart, place: &str) -> Markup {
    html! {
        div.chart id={ (place) "-" (chart.id) } {
            div.seen {
                div.narrow { (PreEscaped(pictures::on_page(chart, place, true))) }
                div.wide { (PreEscaped(pictures::on_page(chart, place, false))) }
                // Only the script can read values off; without it the place for that stays hidden.
                div.reader hidden role="slider" tabindex="0" aria-label=(words::read_off(&chart.title)) aria-valuenow="0" { span.at {} }
            }
            p.readout hidden { (words::READ_OFF) }
        }
    }
}

/// The picture beside the test on offer.
pub(super) fn pictured(picture: Option<&Beside>) -> Markup {
    html! {
        @match picture {
            Some(Beside::Chart(chart)) => (both(chart, "fault")),
            Some(Beside::Drawing(scene)) => {
                div.scroll.wide[scene.width >= crate::pictures::WIRING_MM] tabindex="0" role="region" aria-label=(sheets::words::fault::page::WHERE) {
                    (PreEscaped(crate::pictures::scene_on_page(scene)))
                }
            }
            None => {}
        }
    }
}
