//! What the readings on the throttle stop say, what they leave open, and what to read next.

use super::{
    caution::{Caution, cautions_for_run, cautions_for_test},
    chance_short, parameter,
};
use crate::words::{degrees, degrees_pm, mm2_pm, number, percent, pm, rpm, rpm_pm, seconds_pm};
use workshop::study::{
    Finding,
    calibrate::{Calibration, Candidate, Compared, Narrowed, NextReading, Seen, Tied, Unknown},
    idle::{Chance, Parameter},
};

/// Heading of the part.
pub const CALIBRATION: &str = "What the readings on the stop say";
/// Heads of the table of readings.
pub const READINGS: [&str; 4] = ["Reading", "Seen", "Computed", "Off by"];
/// Heads of the table of values fitted.
pub const FITTED: [&str; 4] = ["Of the engine", "As in the file", "With the readings", "± left"];
/// Name of the opening in it.
pub const OPENING: &str = "opening at the stop, each throttle";
/// Heads of the table of next readings.
pub const NEXT: [&str; 4] = ["Next reading", "Should say", "Doubt less by", "Work"];
/// How it was done, below the tables.
pub const HOW_FITTED: &str = "Each value in the file counts as one reading with its ±. \"Off by\" is in the reading's own ±, what goes with it included: within 1 is what one expects. The minutes are common practice, no source.";

/// Next readings that are told, the best first.
pub const NEXT_SHOWN: usize = 3;
/// From this share of the doubt on a reading is worth naming.
const WORTH: f64 = 0.02;
/// Share of its ± from which an unknown counts as not narrowed.
const HARDLY: f64 = 0.9;
/// Name of an unknown.
pub fn unknown(unknown: Unknown) -> &'static str {
    match unknown {
        Unknown::IdleSpeed => "idle speed",
        Unknown::RevCounter => "shown by the rev counter over true",
        Unknown::Given(p) => parameter(p),
        Unknown::FrictionSlope => "rise of friction with speed",
        Unknown::OpeningPerTurn => "opening for a turn of the screw",
        Unknown::Inertia => "inertia",
        Unknown::Curve(_) => "curve",
    }
}

/// More of it, less of it.
fn more_less(unknown: Unknown) -> [&'static str; 2] {
    match unknown {
        Unknown::IdleSpeed => ["a faster idle", "a slower idle"],
        Unknown::RevCounter => ["a rev counter that shows more", "a rev counter that shows less"],
        Unknown::Given(Parameter::BurnFactor) => ["a quicker flame", "a slower flame"],
        Unknown::Given(Parameter::FrictionFactor) => ["more friction", "less friction"],
        Unknown::Given(Parameter::RunnerVolume) => ["a larger inlet volume", "a smaller inlet volume"],
        Unknown::Given(Parameter::Overlap) => ["more valve overlap", "less valve overlap"],
        Unknown::FrictionSlope => ["friction that rises more with speed", "friction that rises less with speed"],
        Unknown::OpeningPerTurn => ["more opening for a turn", "less opening for a turn"],
        Unknown::Inertia => ["more inertia", "less inertia"],
        Unknown::Curve(_) => ["an earlier curve", "a later curve"],
    }
}

/// A value of an unknown in its usual unit.
fn value(unknown: Unknown, f: Finding) -> String {
    match unknown {
        Unknown::IdleSpeed => rpm_pm(f),
        Unknown::Given(Parameter::RunnerVolume) => format!("{}\u{a0}cm³", pm(f.si * 1e6, f.plus_minus_si * 1e6, 1)),
        Unknown::Given(Parameter::Overlap) => degrees_pm(f),
        Unknown::OpeningPerTurn => mm2_pm(f),
        Unknown::Inertia => format!("{}\u{a0}kg·cm²", pm(f.si * 1e4, f.plus_minus_si * 1e4, 1)),
        Unknown::RevCounter => pm(f.si, f.plus_minus_si, 3),
        Unknown::Given(_) | Unknown::FrictionSlope | Unknown::Curve(_) => pm(f.si, f.plus_minus_si, 2),
    }
}

/// The plate turned by an angle.
pub(super) fn turned(rad: f64) -> String {
    format!("{} of crank {}", degrees(rad.abs()), if rad < 0.0 { "later" } else { "earlier" })
}

fn turns(n: f64) -> String {
    format!("{} turn {}", number(n.abs(), 2), if n < 0.0 { "out (less air)" } else { "in (more air)" })
}

fn seen(what: Seen) -> String {
    match what {
        Seen::Idle => "idle".to_owned(),
        Seen::Hang => "hang".to_owned(),
        Seen::Nudge { turned_rad } => format!("plate {}", turned(turned_rad)),
        Seen::Screw { turns: n } => format!("screw {}", turns(n)),
        Seen::RunDown { from_rad_s, to_rad_s } => format!("run-down from {} to {}", rpm(from_rad_s), rpm(to_rad_s)),
    }
}

/// A reading as a row of [`READINGS`].
pub fn compared(c: &Compared) -> [String; 4] {
    let time = matches!(c.what, Seen::RunDown { .. });
    let shown = |f: Finding| if time { seconds_pm(f) } else { rpm_pm(f) };
    let alone = |si: f64| shown(Finding { si, plus_minus_si: 0.0 });
    let none = || "no firm rest near".to_owned();
    [seen(c.what), shown(c.seen), c.computed.map_or_else(none, alone), format!("{}\u{a0}±", number(c.off, 1))]
}

/// An unknown as a row of [`FITTED`].
pub fn narrowed(n: &Narrowed) -> [String; 4] {
    [unknown(n.unknown).to_owned(), value(n.unknown, n.before), value(n.unknown, n.after), percent(n.left)]
}

/// The opening as a row of [`FITTED`].
pub fn opening(c: &Calibration) -> [String; 4] {
    let (before, after) = c.opening;
    [OPENING.to_owned(), mm2_pm(before), mm2_pm(after), percent(after.plus_minus_si / before.plus_minus_si)]
}

/// How well readings and engine go together, and what the readings make of the chance from the file alone.
pub fn agreement(c: &Calibration, alone: Chance) -> Vec<String> {
    let mut all = Vec::new();
    if c.freedom == 0 {
        all.push("Beside the idle speed nothing was read on the stop, so the engine is as the file has it.".to_owned());
    } else {
        let degrees = if c.freedom == 1 { "degree" } else { "degrees" };
        let figures = format!("chi square {} with {} {degrees} of freedom", number(c.chi_square, 1), c.freedom);
        if c.holds() {
            all.push(format!("One engine explains the readings within their ± ({figures})."));
            if let Some(seen) = c.given_seen {
                all.push(format!(
                    "From the file alone {} of the cases hang, given what was read on the stop {}. The verdict and the cuts rest on the file alone: a hang that was seen must not prove itself.",
                    chance_short(alone),
                    chance_short(seen)
                ));
            }
        } else {
            all.push(format!("The readings do not go together with this engine ({figures}): a ± is too small, a reading is wrong, or something happens that the model does not know. Nothing rests on the values below, and nothing is to be cut before that is put right."));
        }
    }
    if c.hang_is_firm == Some(false) {
        all.push("The fitted engine has no firm rest at the hang seen.".to_owned());
    }
    if c.left_out > 0 {
        all.push("Run-downs were left out: torque without fire is not known for this engine, or the ± of two speeds reach over each other.".to_owned());
    }
    all
}

/// What the readings leave open.
pub fn open(c: &Calibration) -> Vec<String> {
    let mut all: Vec<String> = c.tied.iter().map(tied).collect();
    let hardly: Vec<&str> = c.unknowns.iter().filter(|n| n.left > HARDLY).map(|n| unknown(n.unknown)).collect();
    if c.freedom > 0 && !hardly.is_empty() {
        all.push(format!("The readings say next to nothing of: {}.", hardly.join(", ")));
    }
    all
}

fn tied(t: &Tied) -> String {
    let [more, _] = more_less(t.one);
    let other = more_less(t.other)[usize::from(t.correlation < 0.0)];
    format!("Not told apart: {more} with {other} gives the same readings.")
}

/// The nudge test, in the imperative.
pub(super) fn nudge(turned_rad: f64) -> String {
    format!(
        "engine stopped, turn the plate {} and tighten it; leave the throttle stop alone, run it, read the speed, stop it, and turn the plate back",
        turned(turned_rad)
    )
}

/// What to do for a reading, in the imperative.
fn to_do(candidate: Candidate) -> String {
    match candidate {
        Candidate::Read(Seen::Nudge { turned_rad }) => nudge(turned_rad),
        Candidate::Read(Seen::Screw { turns: n }) => format!("turn the stop screw {}, read the speed, turn it back", turns(n)),
        Candidate::Read(Seen::RunDown { from_rad_s, to_rad_s }) => {
            format!(
                "clutch pulled, in neutral, cut the ignition by its switch and record the run-down from {} to {}",
                rpm(from_rad_s),
                rpm(to_rad_s)
            )
        }
        Candidate::Read(Seen::Idle) => "read the idle speed again from a recording".to_owned(),
        Candidate::Read(Seen::Hang) => "let it hang and read the speed".to_owned(),
        Candidate::Measure(p) => format!("measure the {}", parameter(p)),
    }
}

fn expected(next: &NextReading) -> String {
    let f = next.expected;
    match next.candidate {
        Candidate::Read(Seen::RunDown { .. }) => seconds_pm(f),
        Candidate::Measure(p) => value(Unknown::Given(p), f),
        Candidate::Read(_) => rpm_pm(f),
    }
}

/// Why it helps, in a few words.
fn why(candidate: Candidate) -> &'static str {
    match candidate {
        Candidate::Read(Seen::Nudge { .. }) => "how far the speed follows the plate tells the flame from the friction",
        Candidate::Read(Seen::Screw { .. }) => "how far the speed follows the air tells how firmly the idle is held",
        Candidate::Read(Seen::RunDown { .. }) => "it weighs the friction without the flame",
        Candidate::Read(Seen::Idle) => "the opening at the stop is worked out from it",
        Candidate::Read(Seen::Hang) => "the engine must balance there as well, on the same stop",
        Candidate::Measure(_) => "how much burned gas comes back depends on it",
    }
}

/// The cautions before the readings that are shown, whichever of them is taken.
pub fn cautions_for_next(c: &Calibration) -> &'static [Caution] {
    let running = |next: &NextReading| matches!(next.candidate, Candidate::Read(_));
    match &c.next[..c.next.len().min(NEXT_SHOWN)] {
        [] => &[],
        shown if shown.iter().any(running) => cautions_for_run(),
        _ => cautions_for_test(),
    }
}

fn best(c: &Calibration) -> Option<&NextReading> {
    c.next.first().filter(|n| n.less_doubt >= WORTH)
}

/// The best next reading in one line, or that none helps.
pub fn next_best(c: &Calibration) -> String {
    match best(c) {
        Some(next) => format!(
            "Next best reading: {}. It should say {}, takes about {} min, and is expected to take away {} of the doubt about the hang: {}.",
            to_do(next.candidate),
            expected(next),
            number(next.minutes, 0),
            percent(next.less_doubt),
            why(next.candidate)
        ),
        None => "None of the usual readings on the stop would change much about the doubt that is left.".to_owned(),
    }
}

/// A reading that could be taken as a row of [`NEXT`].
pub fn next(n: &NextReading) -> [String; 4] {
    [to_do(n.candidate), expected(n), percent(n.less_doubt), format!("{}\u{a0}min", number(n.minutes, 0))]
}

/// The same in one line.
pub fn next_line(n: &NextReading) -> String {
    let [what, says, less, work] = next(n);
    format!("{what}: should say {says}, doubt less by {less}, {work}.")
}
