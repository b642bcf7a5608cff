//! A recording's answer, as JSON.

use super::{
    Curve, FORMAT, Head, Number, Part, Warning, deg, mm, number,
    recorded::{ChangeWire, PickupsWire},
    rpm, warning,
};
use crate::{desk::Read, exchange::recording::hear::NoAnswer};
use physics::{law::Trend, recording::Rhythm};
use serde::Serialize;
use sheets::words::recording as words;
use workshop::study::recording::{
    Compared, Fires, MarkFound, Recorded, Told, Which,
    change::Change,
    pace::{Pace, Steady},
    pickups::Pickups,
    sound::Sound,
};

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct RecordingAnswer {
    tickover: Head,
    machine: String,
    warnings: Vec<Warning>,
    notes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ignition: Option<Ignition>,
    #[serde(skip_serializing_if = "Option::is_none")]
    change: Option<ChangeWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pickups: Option<PickupsWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    exhaust: Option<Exhaust>,
    #[serde(skip_serializing_if = "Option::is_none")]
    refused: Option<String>,
}

#[derive(Debug, Serialize)]
struct Ignition {
    seconds_s: f64,
    rate_hz: f64,
    /// Counted from 1.
    trigger_channel: usize,
    told: &'static str,
    mark: Mark,
    turns: usize,
    places: Vec<Place>,
    firings: usize,
    missing: usize,
    stray: usize,
    outside_of_turns: usize,
    of_another_lead: usize,
    rows: Vec<Row>,
    curve: Part<Curve>,
    rotor: Rotor,
    pulses: Option<Pulses>,
    pace: PaceWire,
    cautions: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Mark {
    kind: &'static str,
    arc_deg: Option<Number>,
    leading_end_up: Option<bool>,
    before_top_deg: Number,
}

#[derive(Debug, Serialize)]
struct Place {
    cylinders: Vec<String>,
    rhythm: &'static str,
    fired: usize,
    due: usize,
    repeated: usize,
    several_by_design: bool,
    jitter_deg: f64,
    weaker_share: Option<f64>,
    rising_less_falling_deg: Option<Number>,
}

#[derive(Debug, Serialize)]
struct Row {
    cylinder: String,
    trend: &'static str,
    firings: usize,
    speed_rpm: Number,
    advance_deg: Number,
    scatter_deg: f64,
}

#[derive(Debug, Serialize)]
struct Rotor {
    verdict: &'static str,
    end: Option<&'static str>,
    off_mm: Option<Number>,
    segment: Option<ComparedWire>,
    leading: Option<ComparedWire>,
    trailing: Option<ComparedWire>,
}

#[derive(Debug, Serialize)]
struct ComparedWire {
    recorded_deg: Number,
    file_deg: Number,
    off_mm: Number,
    agrees: bool,
}

#[derive(Debug, Serialize)]
struct Pulses {
    leading_up: bool,
    leading_peak_per_1000_rpm: Option<Number>,
    trailing_peak_per_1000_rpm: Option<Number>,
    volts: bool,
    width_mm: Option<Number>,
    gap_at_least_mm: Option<Number>,
    gap_at_most_mm: Option<Number>,
}

#[derive(Debug, Serialize)]
struct Exhaust {
    seconds_s: f64,
    rate_hz: f64,
    trusted_share: f64,
    fit: f64,
    lead: f64,
    doubtful_s: Vec<(f64, f64)>,
    pace: PaceWire,
    /// Time [s], speed [rpm], trusted.
    course: Vec<(f64, f64, bool)>,
}

#[derive(Debug, Serialize)]
struct PaceWire {
    least_rpm: f64,
    greatest_rpm: f64,
    idle: Option<SteadyWire>,
    steady: Vec<SteadyWire>,
    blips: Vec<Blip>,
    hangs: Vec<Hang>,
    run_down: Option<RunDown>,
    /// Lines for the machine file.
    lines: Vec<String>,
}

#[derive(Debug, Serialize)]
struct SteadyWire {
    from_s: f64,
    to_s: f64,
    speed_rpm: Number,
    scatter_share: f64,
    hunts_hz: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Blip {
    at_s: f64,
    peak_rpm: f64,
    settles_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Hang {
    speed_rpm: Number,
    lasts_s: f64,
    comes_down_s: Option<f64>,
    stays_down_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct RunDown {
    from_rpm: Number,
    to_rpm: Number,
    takes_s: Number,
}

pub(super) fn same(x: f64) -> f64 {
    x
}

/// Of a peak per rad/s.
pub(super) fn per_1000_rpm(x: f64) -> f64 {
    x * 1000.0 * std::f64::consts::TAU / 60.0
}

pub(super) fn trend(t: Trend) -> &'static str {
    match t {
        Trend::Rising => "rising",
        Trend::Falling => "falling",
        Trend::Held => "held",
    }
}

fn steady(s: &Steady) -> SteadyWire {
    SteadyWire {
        from_s: s.span_s.0,
        to_s: s.span_s.1,
        speed_rpm: number(s.speed, rpm),
        scatter_share: s.scatter,
        hunts_hz: s.hunts.map(|h| h.0),
    }
}

fn pace(p: &Pace) -> PaceWire {
    let hang = |h: &workshop::study::recording::pace::Hang| {
        let s = p.steady.get(h.steady)?;
        Some(Hang {
            speed_rpm: number(s.speed, rpm),
            lasts_s: h.lasts_s,
            comes_down_s: h.comes_down_s,
            stays_down_s: h.stays_down_s,
        })
    };
    PaceWire {
        least_rpm: rpm(p.range_rad_s.0),
        greatest_rpm: rpm(p.range_rad_s.1),
        idle: p.idle.as_ref().map(steady),
        steady: p.steady.iter().map(steady).collect(),
        blips: p.blips.iter().map(|b| Blip { at_s: b.at_s, peak_rpm: rpm(b.peak_rad_s), settles_s: b.settles_s }).collect(),
        hangs: p.hangs.iter().filter_map(hang).collect(),
        run_down: p.run_down.map(|r| RunDown {
            from_rpm: number(r.from, rpm),
            to_rpm: number(r.to, rpm),
            takes_s: number(r.takes, same),
        }),
        lines: words::lines(p),
    }
}

impl RecordingAnswer {
    fn about(read: &Read, notes: &[String]) -> Self {
        Self {
            tickover: Head { format: FORMAT, version: env!("CARGO_PKG_VERSION") },
            machine: read.machine.name.clone(),
            warnings: warning::all(&read.warnings),
            notes: notes.to_vec(),
            ignition: None,
            change: None,
            pickups: None,
            exhaust: None,
            refused: None,
        }
    }

    /// Trigger and spark, with what has changed since a recording before.
    pub fn ignition(read: &Read, found: &Recorded, change: Option<&Change>, notes: &[String]) -> Self {
        let machine = &read.machine;
        let name = |c: &usize| machine.engine.cylinders.get(*c).map_or(String::new(), |c| c.name.clone());
        let (kind, arc, up) = match found.mark {
            MarkFound::Segment { arc, leading_up } => ("segment", Some(number(arc, deg)), Some(leading_up)),
            MarkFound::Mark { .. } => ("mark", None, None),
        };
        let compared = |c: &Compared| ComparedWire {
            recorded_deg: number(c.recorded, deg),
            file_deg: number(c.file, deg),
            off_mm: number(c.off, mm),
            agrees: c.agrees(),
        };
        let (verdict, end, off) = match found.edges.verdict {
            Fires::AsMeasured => ("as_measured", None, None),
            Fires::Off { which, by } => {
                let which = match which {
                    Which::Leading => "leading",
                    Which::Trailing => "trailing",
                    Which::Both => "both",
                    Which::OneOfBoth => "one_of_both",
                };
                ("off", Some(which), Some(number(by, mm)))
            }
            Fires::NotShown => ("not_shown", None, None),
            Fires::NoSegment => ("no_segment", None, None),
        };
        let places = found.places.iter().map(|p| Place {
            cylinders: p.cylinders.iter().map(name).collect(),
            rhythm: match p.rhythm {
                Rhythm::NotHeard => "not_heard",
                Rhythm::EveryTurn => "every_turn",
                Rhythm::EverySecond => "every_second_turn",
            },
            fired: p.fired,
            due: p.due,
            repeated: p.repeated,
            several_by_design: p.several_by_design,
            jitter_deg: deg(p.jitter_rad),
            weaker_share: p.weaker_share,
            rising_less_falling_deg: p.rising_less_falling.map(|f| number(f, deg)),
        });
        let rows = found.rows.iter().map(|r| Row {
            cylinder: name(&r.cylinder),
            trend: trend(r.trend),
            firings: r.count,
            speed_rpm: number(r.speed, rpm),
            advance_deg: number(r.advance, deg),
            scatter_deg: deg(r.scatter_rad),
        });
        let ignition = Ignition {
            seconds_s: found.seconds,
            rate_hz: found.rate_hz,
            trigger_channel: found.roles.trigger + 1,
            told: match found.roles.told {
                Told::Stated => "stated",
                Told::ByPairs => "by_pairs",
                Told::ByRinging => "by_ringing",
                Told::ByWidth => "by_width",
            },
            mark: Mark { kind, arc_deg: arc, leading_end_up: up, before_top_deg: number(found.mark_at, deg) },
            turns: found.turns,
            places: places.collect(),
            firings: found.paired.firings(),
            missing: found.paired.missing(),
            stray: found.paired.stray,
            outside_of_turns: found.paired.without_turn,
            of_another_lead: found.paired.elsewhere,
            rows: rows.collect(),
            curve: Part::of(found.curve.as_ref().map_err(|e| *e), |c| Curve::of(machine, c)),
            rotor: Rotor {
                verdict,
                end,
                off_mm: off,
                segment: found.edges.arc.as_ref().map(compared),
                leading: found.edges.leading.as_ref().map(compared),
                trailing: found.edges.trailing.as_ref().map(compared),
            },
            pulses: found.pulses.map(|p| Pulses {
                leading_up: p.first_up,
                leading_peak_per_1000_rpm: p.peak_per_speed.map(|p| number(p.0, per_1000_rpm)),
                trailing_peak_per_1000_rpm: p.peak_per_speed.map(|p| number(p.1, per_1000_rpm)),
                volts: p.volts,
                width_mm: p.width.map(|w| number(w, mm)),
                gap_at_least_mm: p.gap_at_least.map(|g| number(g, mm)),
                gap_at_most_mm: p.gap_at_most.map(|g| number(g, mm)),
            }),
            pace: pace(&found.pace),
            cautions: found.cautions.iter().map(words::caution).collect(),
        };
        let change = change.map(|c| ChangeWire::of(machine, c));
        Self { ignition: Some(ignition), change, ..Self::about(read, notes) }
    }

    /// Both pickups.
    pub fn pickups(read: &Read, found: &Pickups, notes: &[String]) -> Self {
        Self { pickups: Some(PickupsWire::of(&read.machine, found)), ..Self::about(read, notes) }
    }

    /// The sound of the exhaust.
    pub fn exhaust(read: &Read, found: &Sound, notes: &[String]) -> Self {
        let exhaust = Exhaust {
            seconds_s: found.seconds,
            rate_hz: found.rate_hz,
            trusted_share: found.pace.trusted,
            fit: found.fit,
            lead: found.lead,
            doubtful_s: found.doubtful_s.clone(),
            pace: pace(&found.pace),
            course: found.pace.course.iter().map(|p| (p.at_s, rpm(p.speed_rad_s), p.trusted)).collect(),
        };
        Self { exhaust: Some(exhaust), ..Self::about(read, notes) }
    }

    /// No answer.
    pub fn refused(read: &Read, why: &NoAnswer) -> Self {
        Self { refused: Some(why.said()), ..Self::about(read, &[]) }
    }

    /// The text to print.
    ///
    /// # Panics
    /// Never: these structs have only string keys.
    pub fn to_text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("string keys and plain values");
        text.push('\n');
        text
    }
}
