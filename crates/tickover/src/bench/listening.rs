//! A recording heard for the page: what was found so far, the answer, and the readings that the machine file could take.

use super::{aside::Source, fields, view::recording as view};
use crate::{
    desk::Answer,
    exchange::recording::{
        Columns, Note,
        hear::{self, Closeup, NoAnswer, SoFar, Wanted},
    },
};
use quantity::{Dimension, Reading};
use sheets::{
    chart::{pace_chart, recorded_chart},
    words::{page as words, recording as text},
};
use std::time::{Duration, Instant};
use tokio::sync::mpsc;
use workshop::study::recording::{Given, change::change, over::laid_over, pace::Pace};

/// Time between two looks at what was found so far [s], and how many times as long as it took to find it (own choices): it must not slow the hearing down.
const LOOKS_S: f64 = 0.7;
const REST: u32 = 4;

/// Sends what was found so far, now and then.
pub(super) struct Growing<'a> {
    read: &'a ReadFile,
    to: &'a mpsc::Sender<String>,
    next: Instant,
    count: usize,
}

impl<'a> Growing<'a> {
    pub fn new(read: &'a ReadFile, to: &'a mpsc::Sender<String>) -> Self {
        Self { read, to, next: Instant::now() + Duration::from_secs_f64(LOOKS_S), count: 0 }
    }

    /// `false` once nobody looks any more.
    pub fn shows(&mut self, so_far: &SoFar, share: Option<f64>) -> bool {
        let begun = Instant::now();
        if begun < self.next {
            return !self.to.is_closed();
        }
        let Ok(read) = self.read else { return true };
        let chart = match so_far {
            SoFar::Ignition(listener) => {
                (*listener).clone().finish().ok().map(|found| recorded_chart(&found, read.curve.as_ref().ok()))
            }
            SoFar::Nothing => None,
            SoFar::Exhaust(listener) => (*listener).clone().finish().ok().map(|found| pace_chart(&found.pace)),
        };
        self.count += 1;
        let took = begun.elapsed();
        self.next = Instant::now() + (REST * took).max(Duration::from_secs_f64(LOOKS_S));
        self.to.blocking_send(view::part(share, chart.as_ref(), self.count)).is_ok()
    }
}

/// The run beside what was heard.
pub(super) fn beside<'a>(heard: &Result<view::Answer, String>, found: Option<&'a Answer>) -> Option<view::OverRun<'a>> {
    let pace = heard.as_ref().ok()?.pace()?;
    found.map_or(Some(view::OverRun::NotYet), |found| over_run(found, pace))
}

/// The recording over the machine's run; `None` where it has none.
fn over_run<'a>(answer: &'a Answer, pace: &Pace) -> Option<view::OverRun<'a>> {
    let run = answer.idle().ok()?.run.as_ref()?;
    Some(laid_over(run, pace).map_or(view::OverRun::NoBlip, |over| view::OverRun::Laid { answer, over }))
}

/// A machine file, read.
pub(super) type ReadFile = Result<crate::desk::Read, Vec<workshop::machine::Defect>>;

/// Hears it, and the one before it if there is one.
///
/// # Errors
/// A sentence or two.
pub(super) fn listen(
    this: Source,
    before: Option<Source>,
    read: &ReadFile,
    sent: &view::Sent,
    watch: hear::Watch,
) -> Result<view::Answer, String> {
    let read = read.as_ref().map_err(|_| words::NOT_KEPT.to_owned())?;
    let said = |why: NoAnswer| why.said();
    let notes = |notes: Vec<Note>| notes.into_iter().map(Note::said).collect();
    let (machine, columns) = (Box::new(read.machine.clone()), Columns::default());
    let number = |text: &str, default: f64| {
        text.trim().replace(',', ".").parse().ok().filter(|s: &f64| s.is_finite() && *s >= 0.0).unwrap_or(default)
    };
    let mut closeup = Closeup::new(number(&sent.from, 1.0), number(&sent.lasts, Closeup::LASTS_S.0));
    if sent.what == "exhaust" {
        let (found, told) =
            this.hear(|from, length| hear::exhaust(from, Some(length), &columns, &machine, watch).map_err(said))?;
        return Ok(view::Answer::Exhaust { found: Box::new(found), notes: notes(told), machine });
    }
    if sent.what == "pickups" {
        let (found, told) = this.hear(|from, length| {
            hear::pickups(from, Some(length), &columns, &machine, Some(&mut closeup), watch).map_err(said)
        })?;
        return Ok(view::Answer::Pickups { found: Box::new(found), closeup, notes: notes(told), machine });
    }
    let given = given(sent)?;
    let ignition = |source: Source, wanted: Wanted, watch: hear::Watch| {
        source.hear(|from, length| hear::ignition(from, Some(length), &columns, &machine, &given, wanted, watch).map_err(said))
    };
    // Of two recordings each is half of the work.
    let two = before.is_some();
    let before = match before {
        None => None,
        Some(source) => {
            let heard = ignition(source, Wanted::default(), &mut |_, share| watch(SoFar::Nothing, share.map(|s| 0.5 * s)));
            Some(heard.map_err(|why| text::page::before_refused(&why))?.0)
        }
    };
    let wanted = Wanted { closeup: Some(&mut closeup), each: None };
    let (found, told) =
        ignition(this, wanted, &mut |so_far, share| watch(so_far, share.map(|s| if two { 0.5 + 0.5 * s } else { s })))?;
    let before = before.map(|before| {
        let by = change(&before, &found);
        Box::new((before, by))
    });
    let by_file = read.curve.as_ref().ok().cloned().map(Box::new);
    Ok(view::Answer::Ignition { found: Box::new(found), before, by_file, closeup, notes: notes(told), machine })
}

/// What was said of two channels.
fn given(sent: &view::Sent) -> Result<Given, String> {
    let mark_rad = match sent.what.as_str() {
        "mark" => {
            let at = Reading::parse(&sent.mark, Dimension::BeforeTop).map_err(|e| sheets::words::reading_error(&e))?;
            Some(at.si)
        }
        _ => None,
    };
    let trigger = match sent.trigger.as_str() {
        "left" => Some(0),
        "right" => Some(1),
        _ => None,
    };
    // Counted from one, as in the machine file.
    let pickup = sent.pickup.trim().parse::<usize>().map_or(0, |n| n.saturating_sub(1));
    Ok(Given { trigger, mark_rad, pickup, ..Given::default() })
}

/// Readings that the form of the machine file has a place for: path there, text.
pub(super) fn offers(file: &str, pace: &Pace) -> Vec<(String, String, String)> {
    let parts = fields::parts(file);
    // The free row of a list takes a run-down.
    let row = parts.iter().find(|p| p.row && !p.there && p.path.starts_with("idle.run_down")).map(|p| p.path.clone());
    let place = |path: &str| match path.strip_prefix("idle.run_down.") {
        Some(key) => row.as_ref().map(|row| format!("{row}.{key}")),
        None => Some(path.to_owned()),
    };
    let entry = |path: &str| parts.iter().flat_map(|p| &p.fields).find(|e| e.path == path);
    text::readings(pace)
        .into_iter()
        .filter_map(|(path, value)| {
            let path = place(path)?;
            let label = entry(&path)?.field.label.to_owned();
            Some((path, label, value))
        })
        .collect()
}
