//! The page of a recording.

mod form;

pub use form::{Choices, From, Sent, page};

use super::{
    card::{list, watch},
    judge::{both, run},
};
use crate::{desk, exchange::recording::hear::Closeup};
use maud::{Markup, PreEscaped, html};
use sheets::{
    chart::{Axis, Chart, Mark, Marker, Series, change_chart, pace_chart, recorded_chart},
    words::{self, recording as text, recording::page as said},
};
use workshop::{
    machine::Machine,
    study::{
        curve::CurveStudy,
        recording::{Recorded, change::Change, over::Over, pace::Pace, pickups::Pickups, sound::Sound},
    },
};

/// What was found.
pub enum Answer {
    /// Trigger and spark.
    Ignition {
        /// The findings.
        found: Box<Recorded>,
        /// The recording before, and what has changed.
        before: Option<Box<(Recorded, Change)>>,
        /// The file's curve.
        by_file: Option<Box<CurveStudy>>,
        /// A stretch of it.
        closeup: Closeup,
        /// What is said of the file.
        notes: Vec<String>,
        /// The machine.
        machine: Box<Machine>,
    },
    /// Two pickups.
    Pickups {
        /// The findings.
        found: Box<Pickups>,
        /// A stretch of it.
        closeup: Closeup,
        /// What is said of the file.
        notes: Vec<String>,
        /// The machine.
        machine: Box<Machine>,
    },
    /// The exhaust.
    Exhaust {
        /// The findings.
        found: Box<Sound>,
        /// What is said of the file.
        notes: Vec<String>,
        /// The machine.
        machine: Box<Machine>,
    },
}

impl Answer {
    /// The course of the speed, where it was told.
    pub fn pace(&self) -> Option<&Pace> {
        match self {
            Answer::Ignition { found, .. } => Some(&found.pace),
            Answer::Exhaust { found, .. } => Some(&found.pace),
            Answer::Pickups { .. } => None,
        }
    }
}

/// A recording and the computed run.
pub enum OverRun<'a> {
    /// The run is not computed yet.
    NotYet,
    /// The recording has no blip to lay it by.
    NoBlip,
    /// One over the other.
    Laid {
        /// The machine's studies.
        answer: &'a desk::Answer,
        /// The recording on the run's clock.
        over: Over,
    },
}

/// An answer, and readings that the file could take: path, label, text.
pub struct Shown<'a> {
    /// What was found, or why nothing.
    pub answer: &'a Result<Answer, String>,
    /// The computed run beside it, where the machine has one.
    pub run: Option<OverRun<'a>>,
    /// See above.
    pub offers: &'a [(String, String, String)],
    /// Revision that they would go into.
    pub revision: u32,
}

/// Where a growing answer is put in.
pub const GROWS: &str = "<!-- grows -->";

/// The place of a growing answer.
pub fn grows() -> Markup {
    html! { div.grows aria-live="polite" { (PreEscaped(GROWS)) } }
}

/// What was found so far, the so-manieth time.
pub fn part(share: Option<f64>, chart: Option<&Chart>, count: usize) -> String {
    html! {
        section {
            p { (said::HEARING) " " @if let Some(share) = share { (words::percent(share)) " " progress value=(share) {} } @else { progress {} } }
            @if let Some(chart) = chart { (both(chart, &format!("part-{count}"))) }
        }
    }
    .into_string()
}

/// The whole answer, which takes the place of what was found so far.
pub fn last(answer: &Markup) -> String {
    html! { section { (answer) } }.into_string()
}

/// The answer, or why there is none.
pub fn answer(from: &From, sent: &Sent, shown: &Shown) -> Markup {
    html! {
        @match shown.answer {
            Err(why) => div.caution role="alert" { p { (why) } },
            Ok(answer) => {
                (found(answer, from, sent))
                div.row { a.button.plain href={ (from.address()) "/sheet.pdf?" (sent.query()) } { (said::SHEET) } }
                (over_run(shown.run.as_ref()))
                (take_over(from.slug(), shown))
            }
        }
    }
}

/// Nearer, farther, earlier, later.
fn closer(from: &From, sent: &Sent, closeup: &Closeup) -> Markup {
    let (at, lasts) = (closeup.from_s, closeup.lasts_s);
    let (_, least, most) = Closeup::LASTS_S;
    // Half a step to either side keeps the middle where it is.
    let steps = [
        (said::NEARER, at + 0.25 * lasts, 0.5 * lasts),
        (said::FARTHER, at - 0.5 * lasts, 2.0 * lasts),
        (said::EARLIER, at - 0.8 * lasts, lasts),
        (said::LATER, at + 0.8 * lasts, lasts),
    ];
    let there = |from_s: f64, lasts_s: f64| {
        let (from_s, lasts_s) = (format!("{:.6}", from_s.max(0.0)), format!("{:.6}", lasts_s.clamp(least, most)));
        format!("{}#waves", from.heard(&Sent { from: from_s, lasts: lasts_s, ..sent.clone() }))
    };
    html! { p { @for (name, from_s, lasts_s) in steps { a.button.plain href=(there(from_s, lasts_s)) { (name) } " " } } }
}

/// The picture of the pulses, with the ways along it.
fn looked_at(chart: &Chart, from: &From, sent: &Sent, closeup: &Closeup) -> Markup {
    html! { h2 #waves { (said::waves(closeup.lasts_s)) } (closer(from, sent, closeup)) (both(chart, "recording")) }
}

/// Rows under heads, each with a head of its own.
fn table(title: &str, heads: &[&str], rows: &[Vec<String>]) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(title) { table {
            thead { tr { @for head in heads { th scope="col" { (head) } } } }
            tbody { @for row in rows {
                tr { @for (i, cell) in row.iter().enumerate() { @if i == 0 { th scope="row" { (cell) } } @else { td { (cell) } } } }
            } }
        } }
    }
}

fn changed(machine: &Machine, change: &Change) -> Markup {
    html! {
        h2 { (text::CHANGE) }
        (list(&text::change(machine, change)))
        @if !change.moved.is_empty() {
            (table(text::CHANGE, &text::CHANGE_HEAD, &change.moved.iter().map(|m| text::moved(machine, m)).collect::<Vec<_>>()))
        }
    }
}

fn found(answer: &Answer, from: &From, sent: &Sent) -> Markup {
    match answer {
        Answer::Pickups { found, closeup, notes, machine } => html! {
            p { strong { (text::pickups_verdict(found)) } }
            p { (text::pickups_what(found)) }
            (watch(&[notes.clone(), found.cautions.iter().map(text::caution).collect()].concat()))
            (table(text::PICKUPS_TITLE, &text::PICKUPS_HEAD, &text::pickups_rows(machine, found)))
            (list(&text::pickups_lines(found)))
            (looked_at(&waves(found.rate_hz, closeup, [said::LEFT_WAVE, said::RIGHT_WAVE], 0, Vec::new()), from, sent, closeup))
        },
        Answer::Exhaust { found, notes, .. } => html! {
            p { (text::sound(found)) }
            (watch(notes))
            (ran(&found.pace))
        },
        Answer::Ignition { found, before, by_file, closeup, notes, machine } => html! {
            p { strong { (text::verdict(&found.edges)) } }
            p { (text::what(found)) }
            (watch(&[notes.clone(), found.cautions.iter().map(text::caution).collect()].concat()))
            @if let Some(before) = before { (changed(machine, &before.1)) }
            h2 { (text::CURVE) }
            p { @if let Ok(curve) = &found.curve { (words::curve_line(curve)) } @else { (text::NO_LAW) } }
            @match before {
                Some(before) => (both(&change_chart(found, &before.0, by_file.as_deref()), "recording")),
                None => (both(&recorded_chart(found, by_file.as_deref()), "recording")),
            }
            h2 { (text::FIRINGS) }
            (list(&found.places.iter().flat_map(|p| text::place(machine, p)).chain([text::stray(found)]).collect::<Vec<_>>()))
            @if let Some(said) = text::which_edge(&found.edges) { p { (said) } }
            (looked_at(&waves_of(found, closeup), from, sent, closeup))
            @if let Some(pulses) = &found.pulses { h2 { (text::PULSES) } (list(&text::pulses(pulses))) }
            (ran(&found.pace))
        },
    }
}

fn ran(pace: &Pace) -> Markup {
    html! { h2 { (text::RAN) } (list(&text::ran(pace))) (both(&pace_chart(pace), "recording")) }
}

fn over_run(run: Option<&OverRun>) -> Markup {
    let Some(run) = run else { return html! {} };
    html! {
        h2 { (words::run::OVER) }
        @match run {
            OverRun::NotYet => p { (words::run::NO_RUN_YET) },
            OverRun::NoBlip => p { (words::run::NO_BLIP) },
            OverRun::Laid { answer, over } => { (list(&words::run::beside(&over.beside))) (run::picture(answer, Some(over), "recording")) }
        }
    }
}

/// Each reading is taken over only when it is asked for.
fn take_over(slug: &str, shown: &Shown) -> Markup {
    html! {
        @if !shown.offers.is_empty() {
            h2 { (said::TAKE_OVER) }
            p.soft { (said::LOOK_FIRST) }
            @for (path, label, value) in shown.offers {
                form method="post" action={ "/machine/" (slug) "/readings" } {
                    input type="hidden" name="began_at" value=(shown.revision);
                    input type="hidden" name="fold" value="complaint";
                    input type="hidden" name={ "v." (path) } value=(value);
                    input type="hidden" name={ "o." (path) } value="recording";
                    p { (label) ": " strong { (value) } " " button.plain { (said::TAKE) } }
                }
            }
        }
    }
}

/// Points of a line in the picture of the pulses.
const POINTS: usize = 1500;

/// Trigger above, spark below, with what was found in them.
fn waves_of(found: &Recorded, closeup: &Closeup) -> Chart {
    let inside = |t: &f64| (closeup.from_s..closeup.from_s + closeup.lasts_s).contains(t);
    let signs = |times: Vec<f64>, y: f64, id: &str, name: &str, ink: u8| Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        marks: times.into_iter().map(|x| Mark { x, y, plus_minus_x: 0.0, plus_minus_y: 0.0, wild: false }).collect(),
        marker: Marker::of(ink),
        ..Series::default()
    };
    let turns = found.details.marks.iter().map(|m| m.at_s).filter(inside).collect();
    let firings = found.details.firings.iter().map(|f| f.at_s).filter(inside).collect();
    let signs = vec![signs(turns, 2.1, "turns", said::MARKS, 0), signs(firings, 0.0, "firings", said::FIRED, 2)];
    waves(found.rate_hz, closeup, [said::TRIGGER_WAVE, said::SPARK_WAVE], found.roles.trigger, signs)
}

/// Both channels, the channel `above` over the other, and signs above them.
fn waves(rate_hz: f64, closeup: &Closeup, names: [&str; 2], above: usize, signs: Vec<Series>) -> Chart {
    let wave = |channel: usize, up: f64, id: &str, name: &str, ink: u8| {
        let samples = &closeup.channels[channel];
        let most = samples.iter().fold(0.0f32, |m, x| m.max(x.abs())).max(f32::MIN_POSITIVE);
        let every = samples.len().div_ceil(POINTS).max(1);
        // The greatest of each stretch, so that no spark is lost between two points.
        let line = samples.chunks(every).enumerate().map(|(i, part)| {
            let x = part.iter().copied().fold(0.0f32, |m, x| if x.abs() > m.abs() { x } else { m });
            (closeup.from_s + (i * every) as f64 / rate_hz, up + 0.9 * f64::from(x / most))
        });
        Series { id: id.to_owned(), name: name.to_owned(), ink, line: line.collect(), ..Series::default() }
    };
    let lines = [wave(above, 1.0, "above", names[0], 0), wave(1 - above, -1.0, "below", names[1], 2)];
    Chart {
        id: "waves".to_owned(),
        title: said::WAVES.to_owned(),
        description: said::WAVES_DESCRIPTION.to_owned(),
        x: Axis::new(text::TIME, text::SECONDS, closeup.from_s, closeup.from_s + closeup.lasts_s),
        y: Axis::new(said::HEIGHT, "", 0.0, 0.0),
        areas: Vec::new(),
        rules: Vec::new(),
        series: lines.into_iter().chain(signs).collect(),
    }
}
