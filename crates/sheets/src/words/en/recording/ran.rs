//! How the engine ran.

use crate::words::{count, number, percent, pm, rpm, rpm_of, rpm_pm, seconds_pm};
use workshop::study::{
    Finding,
    recording::{
        pace::{Pace, Steady},
        sound::Sound,
    },
};

/// Heading.
pub const RAN: &str = "How it ran";
/// Heading.
pub const TO_PASTE: &str = "For the machine file";
/// Title of the sheet.
pub const SOUND_TITLE: &str = "Engine speed from the exhaust";
/// Name of the chart.
pub const PACE: &str = "Speed against time";
/// Description of the chart.
pub const PACE_DESCRIPTION: &str = "Crank speed over the recording; what is not trusted is drawn as points.";
/// Axis.
pub const TIME: &str = "Time";
/// Unit.
pub const SECONDS: &str = "s";
/// Series.
pub const TRUSTED: &str = "speed";
/// Series.
pub const DOUBTFUL: &str = "not trusted";

/// How sure the sound is.
pub fn sound(s: &Sound) -> String {
    let doubtful = match s.doubtful_s.len() {
        0 => "All of it is trusted.".to_owned(),
        1 => format!("{} of it is trusted; the rest, one stretch, is marked.", percent(s.pace.trusted)),
        n => format!("{} of it is trusted; the rest, {} stretches, is marked.", percent(s.pace.trusted), count(n)),
    };
    format!(
        "{} s at {} samples a second. {doubtful} Where it is, the sound goes with the speed by {} of 1, and by {} better than with half, twice or any other speed.",
        number(s.seconds, 1),
        number(s.rate_hz, 0),
        number(s.fit, 2),
        number(s.lead, 2)
    )
}

fn one(s: &Steady) -> String {
    let hunts = match s.hunts {
        Some((hz, swing)) => format!(", hunting {} times a second by {} either way", number(hz, 1), percent(swing)),
        None => String::new(),
    };
    format!("scatter {} (standard deviation){hunts}", percent(s.scatter))
}

/// Idle, blips, hangs, run-down, a sentence each.
pub fn ran(p: &Pace) -> Vec<String> {
    let mut all = Vec::new();
    match &p.idle {
        Some(idle) => all.push(format!("Slowest steady speed: {}; {}.", rpm_pm(idle.speed), one(idle))),
        None => all.push("Nowhere is the speed steady for a second.".to_owned()),
    }
    for b in &p.blips {
        let settles = match (b.settles_s, b.to.and_then(|i| p.steady.get(i))) {
            (Some(s), Some(to)) => format!("; {} s later it has settled at {}", number(s, 1), rpm(to.speed.si)),
            _ => String::new(),
        };
        all.push(format!("Blip to {} at {} s{settles}.", rpm(b.peak_rad_s), number(b.at_s, 1)));
    }
    for h in &p.hangs {
        let Some(s) = p.steady.get(h.steady) else { continue };
        let down = match (h.comes_down_s, h.stays_down_s) {
            (Some(t), Some(stays)) => format!(
                " Then it comes down to the idle within {} s, without a blip before, and stays there for the {} s that follow.",
                number(t, 1),
                number(stays, 1)
            ),
            _ => String::new(),
        };
        all.push(format!("It hangs at {} for {} s.{down}", rpm_pm(s.speed), number(h.lasts_s, 1)));
    }
    if let Some(r) = &p.run_down {
        all.push(format!("Without sparks it runs down from {} to {} in {}.", rpm(r.from.si), rpm(r.to.si), seconds_pm(r.takes)));
    }
    all
}

fn reading(f: Finding) -> String {
    format!("{} rpm", pm(rpm_of(f.si), f.plus_minus_si * 60.0 / std::f64::consts::TAU, 0)).replace('\u{a0}', " ")
}

/// Path in the machine file and text of each reading for the idle's calibration; run-downs stand last, as a row of three.
pub fn readings(p: &Pace) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    if let Some(idle) = &p.idle {
        all.push(("idle.speed", reading(idle.speed)));
    }
    // The longest hang.
    let longest = p.hangs.iter().max_by(|a, b| a.lasts_s.total_cmp(&b.lasts_s)).and_then(|h| p.steady.get(h.steady));
    if let Some(s) = longest {
        all.push(("idle.hangs_at", reading(s.speed)));
    }
    if let Some(r) = &p.run_down {
        all.push(("idle.run_down.from", reading(r.from)));
        all.push(("idle.run_down.to", reading(r.to)));
        all.push(("idle.run_down.takes", seconds_pm(r.takes).replace('\u{a0}', " ")));
    }
    all
}

/// The same as lines of a machine file.
pub fn lines(p: &Pace) -> Vec<String> {
    let mut table = "";
    let mut all = Vec::new();
    for (path, text) in readings(p) {
        let (home, key) = path.rsplit_once('.').unwrap_or(("", path));
        if home != table {
            table = home;
            all.push(if home == "idle" { "[idle]".to_owned() } else { format!("[[{home}]]") });
        }
        all.push(format!("{key} = {{ value = \"{text}\", with = \"recording\" }}"));
    }
    all
}

/// Before the lines.
pub const PASTE: &str =
    "These readings serve the idle's calibration. Look them over, and put them into the machine file where you agree:";
