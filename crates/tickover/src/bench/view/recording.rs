//! The page of a recording.

use super::{
    card::{cautions, list, watch},
    judge::{both, run},
};
use crate::{desk, exchange::recording::hear::Closeup};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use sheets::{
    chart::{Axis, Chart, Mark, Marker, Series, pace_chart, recorded_chart},
    words::{self, page as general, recording as text, recording::page as said},
};
use workshop::{
    machine::Machine,
    study::{
        curve::CurveStudy,
        recording::{Recorded, over::Over, pace::Pace, pickups::Pickups, sound::Sound},
    },
};

/// What was said of a recording.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    /// `pickup`, `mark`, `pickups` or `exhaust`.
    pub what: String,
    /// `left`, `right` or nothing.
    pub trigger: String,
    /// Angle of the mark.
    pub mark: String,
    /// Second from which the pulses are shown.
    pub from: String,
    /// How long that is [s].
    pub lasts: String,
}

/// Where a recording comes from.
pub enum From<'a> {
    /// Sent to the page of a machine.
    Sent {
        /// The machine.
        slug: &'a str,
    },
    /// Kept with a job.
    Kept {
        /// The machine.
        slug: &'a str,
        /// Number of the job.
        job: &'a str,
        /// The file's hash.
        hash: &'a str,
        /// Its name.
        name: &'a str,
    },
}

impl From<'_> {
    fn slug(&self) -> &str {
        match self {
            From::Sent { slug } | From::Kept { slug, .. } => slug,
        }
    }
}

/// What was found.
pub enum Answer {
    /// Trigger and spark.
    Ignition {
        /// The findings.
        found: Box<Recorded>,
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

/// The form, and the answer below it.
pub fn page(name: &str, from: &From, sent: &Sent, answer: Option<Markup>) -> Markup {
    let slug = from.slug();
    html! {
        div.title {
            h1 { (name) ": " (said::HEAR) }
            @match from {
                From::Sent { .. } => { p { (said::INTRO) } p { a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) } } },
                From::Kept { job, name, .. } => { p { strong { (name) } } p { a href={ "/job/" (job) "#attachments" } { (words::exchange::BACK_TO_JOB) } } },
            }
        }
        div.plain-part {
        (cautions(said::cautions()))
        @match from {
            From::Sent { .. } => form method="post" enctype="multipart/form-data" action={ "/machine/" (slug) "/recording" } {
                (fields(sent, html! {
                    // Last: what is said of it must arrive before it does.
                    div.field { label for="file" { (said::FILE) } input id="file" type="file" name="file" accept=".wav,.csv,audio/wav" required; }
                }))
            },
            From::Kept { job, hash, .. } => form method="get" action={ "/job/" (job) "/heard/" (hash) } {
                (fields(sent, html! {}))
            },
        }
        @if let Some(answer) = answer { (answer) }
        }
    }
}

/// What is said of a recording, and the button.
fn fields(sent: &Sent, file: Markup) -> Markup {
    let choices = |field: &str, now: &str, all: &[(&str, &str)]| {
        html! {
            select id=(field) name=(field) {
                @for (value, label) in all { option value=(value) selected[*value == now] { (label) } }
            }
        }
    };
    let lasts = Closeup::LASTS_S.0.to_string();
    html! {
            div.fields {
                div.field { label for="what" { (said::WHAT) }
                    (choices("what", &sent.what, &[("pickup", said::PICKUP), ("mark", said::MARK), ("pickups", said::PICKUPS), ("exhaust", said::EXHAUST)])) }
                div.field { label for="trigger" { (said::TRIGGER) }
                    (choices("trigger", &sent.trigger, &[("", said::FOUND_OUT), ("left", said::LEFT), ("right", said::RIGHT)])) }
                div.field { label for="mark" { (said::MARK_AT) }
                    input id="mark" name="mark" value=(if sent.mark.is_empty() { "0°" } else { &sent.mark }); }
                div.field { label for="from" { (said::CLOSER) }
                    input id="from" name="from" inputmode="decimal" value=(if sent.from.is_empty() { "1" } else { &sent.from }); }
                div.field { label for="lasts" { (said::LASTS) }
                    input id="lasts" name="lasts" inputmode="decimal" value=(if sent.lasts.is_empty() { &lasts } else { &sent.lasts }); }
                (file)
            }
            div.keep { button { (said::READ_IT) } }
    }
}

/// The answer, or why there is none.
pub fn answer(from: &From, sent: &Sent, shown: &Shown) -> Markup {
    html! {
        @match shown.answer {
            Err(why) => div.caution role="alert" { p { (why) } },
            Ok(answer) => { (found(answer, from, sent)) (over_run(shown.run.as_ref())) (take_over(from.slug(), shown)) }
        }
    }
}

/// Nearer, farther, earlier, later: only what is kept can be looked at again without sending it again.
fn closer(from: &From, sent: &Sent, closeup: &Closeup) -> Markup {
    let From::Kept { job, hash, .. } = from else { return html! { p.soft { (said::KEEP_TO_LOOK_CLOSER) } } };
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
        let wishes = [
            ("what", sent.what.clone()),
            ("trigger", sent.trigger.clone()),
            ("mark", sent.mark.clone()),
            ("from", format!("{:.6}", from_s.max(0.0))),
            ("lasts", format!("{:.6}", lasts_s.clamp(least, most))),
        ];
        let query = serde_urlencoded::to_string(wishes).unwrap_or_default();
        format!("/job/{job}/heard/{hash}?{query}#waves")
    };
    html! { p { @for (name, from_s, lasts_s) in steps { a.button.plain href=(there(from_s, lasts_s)) { (name) } " " } } }
}

fn found(answer: &Answer, from: &From, sent: &Sent) -> Markup {
    match answer {
        Answer::Pickups { found, notes, machine } => html! {
            p { strong { (text::pickups_verdict(found)) } }
            p { (text::pickups_what(found)) }
            (watch(&[notes.clone(), found.cautions.iter().map(text::caution).collect()].concat()))
            div.scroll tabindex="0" role="region" aria-label=(text::PICKUPS_TITLE) { table {
                thead { tr { @for head in text::PICKUPS_HEAD { th scope="col" { (head) } } } }
                tbody { @for row in text::pickups_rows(machine, found) {
                    tr { @for (i, cell) in row.iter().enumerate() { @if i == 0 { th scope="row" { (cell) } } @else { td { (cell) } } } }
                } }
            } }
            (list(&text::pickups_lines(found)))
        },
        Answer::Exhaust { found, notes } => html! {
            p { (text::sound(found)) }
            (watch(notes))
            (ran(&found.pace))
        },
        Answer::Ignition { found, by_file, closeup, notes, machine } => html! {
            p { strong { (text::verdict(&found.edges)) } }
            p { (text::what(found)) }
            (watch(&[notes.clone(), found.cautions.iter().map(text::caution).collect()].concat()))
            h2 { (text::CURVE) }
            p { @if let Ok(curve) = &found.curve { (words::curve_line(curve)) } @else { (text::NO_LAW) } }
            (both(&recorded_chart(found, by_file.as_deref()), "recording"))
            h2 { (text::FIRINGS) }
            (list(&found.places.iter().flat_map(|p| text::place(machine, p)).chain([text::stray(found)]).collect::<Vec<_>>()))
            @if let Some(said) = text::which_edge(&found.edges) { p { (said) } }
            h2 #waves { (said::waves(closeup.lasts_s)) }
            (closer(from, sent, closeup))
            (both(&waves(found, closeup), "recording"))
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

fn waves(found: &Recorded, closeup: &Closeup) -> Chart {
    let wave = |channel: usize, up: f64, id: &str, name: &str, ink: u8| {
        let samples = &closeup.channels[channel];
        let most = samples.iter().fold(0.0f32, |m, x| m.max(x.abs())).max(f32::MIN_POSITIVE);
        let every = samples.len().div_ceil(POINTS).max(1);
        // The greatest of each stretch, so that no spark is lost between two points.
        let line = samples.chunks(every).enumerate().map(|(i, part)| {
            let x = part.iter().copied().fold(0.0f32, |m, x| if x.abs() > m.abs() { x } else { m });
            (closeup.from_s + (i * every) as f64 / found.rate_hz, up + 0.9 * f64::from(x / most))
        });
        Series { id: id.to_owned(), name: name.to_owned(), ink, line: line.collect(), ..Series::default() }
    };
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
    Chart {
        id: "waves".to_owned(),
        title: said::WAVES.to_owned(),
        description: said::WAVES_DESCRIPTION.to_owned(),
        x: Axis::new(text::TIME, text::SECONDS, closeup.from_s, closeup.from_s + closeup.lasts_s),
        y: Axis::new(said::HEIGHT, "", 0.0, 0.0),
        areas: Vec::new(),
        rules: Vec::new(),
        series: vec![
            wave(found.roles.trigger, 1.0, "trigger", said::TRIGGER_WAVE, 0),
            wave(1 - found.roles.trigger, -1.0, "spark", said::SPARK_WAVE, 2),
            signs(turns, 2.1, "turns", said::MARKS, 0),
            signs(firings, 0.0, "firings", said::FIRED, 2),
        ],
    }
}
