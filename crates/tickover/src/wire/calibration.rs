//! What the readings on the stop say, as JSON.

use super::{Number, deg, idle::Chance, mm2, number, rpm};
use serde::Serialize;
use workshop::study::{
    Finding,
    calibrate::{self, Candidate, Narrowed, Seen, Unknown},
    idle::{self, Parameter},
};

/// The fit and what to read next.
#[derive(Debug, Serialize)]
pub struct Calibration {
    chi_square: f64,
    degrees_of_freedom: usize,
    hang_is_firm: Option<bool>,
    run_downs_left_out: usize,
    chance_from_file: Chance,
    chance_given_seen: Option<Chance>,
    holds: bool,
    readings: Vec<Reading>,
    opening_mm2: BeforeAfter,
    unknowns: Vec<Fitted>,
    tied: Vec<Tied>,
    directions: Vec<Direction>,
    next: Vec<Next>,
}

/// `kind` says what; the fields that do not apply are null.
#[derive(Debug, Serialize)]
struct Reading {
    kind: &'static str,
    turned_deg: Option<f64>,
    turns: Option<f64>,
    from_rpm: Option<f64>,
    to_rpm: Option<f64>,
    seen_rpm: Option<Number>,
    computed_rpm: Option<f64>,
    seen_s: Option<Number>,
    computed_s: Option<f64>,
    /// In the reading's own ±.
    off: f64,
}

#[derive(Debug, Serialize)]
struct BeforeAfter {
    before: Number,
    after: Number,
}

/// Values in SI, as the machine file's schema names the field.
#[derive(Debug, Serialize)]
struct Fitted {
    unknown: &'static str,
    before_si: Number,
    after_si: Number,
    plus_minus_left_share: f64,
}

#[derive(Debug, Serialize)]
struct Tied {
    one: &'static str,
    other: &'static str,
    correlation: f64,
}

#[derive(Debug, Serialize)]
struct Direction {
    variance_left_share: f64,
    along: Vec<Along>,
}

#[derive(Debug, Serialize)]
struct Along {
    unknown: &'static str,
    part: f64,
}

#[derive(Debug, Serialize)]
struct Next {
    kind: &'static str,
    turned_deg: Option<f64>,
    turns: Option<f64>,
    expected_si: Number,
    minutes: f64,
    less_doubt_share: f64,
    explains_share: f64,
}

fn si(f: Finding) -> Number {
    number(f, |x| x)
}

fn unknown(unknown: Unknown) -> &'static str {
    match unknown {
        Unknown::IdleSpeed => "idle_speed",
        Unknown::RevCounter => "rev_counter",
        Unknown::Given(p) => parameter(p),
        Unknown::FrictionSlope => "friction_slope",
        Unknown::OpeningPerTurn => "opening_per_turn",
        Unknown::Inertia => "inertia",
        Unknown::Curve(_) => "curve",
    }
}

fn parameter(p: Parameter) -> &'static str {
    match p {
        Parameter::BurnFactor => "burn_factor",
        Parameter::FrictionFactor => "friction_factor",
        Parameter::RunnerVolume => "runner_volume",
        Parameter::Overlap => "overlap",
    }
}

impl Calibration {
    /// From the study, and the chance from the file alone.
    pub fn of(c: &calibrate::Calibration, alone: idle::Chance) -> Self {
        let fitted = |n: &Narrowed| Fitted {
            unknown: unknown(n.unknown),
            before_si: si(n.before),
            after_si: si(n.after),
            plus_minus_left_share: n.left,
        };
        Self {
            chi_square: c.chi_square,
            degrees_of_freedom: c.freedom,
            hang_is_firm: c.hang_is_firm,
            run_downs_left_out: c.left_out,
            chance_from_file: Chance::of(alone),
            chance_given_seen: c.given_seen.map(Chance::of),
            holds: c.holds(),
            readings: c.compared.iter().map(Reading::of).collect(),
            opening_mm2: BeforeAfter { before: number(c.opening.0, mm2), after: number(c.opening.1, mm2) },
            unknowns: c.unknowns.iter().map(fitted).collect(),
            tied: c
                .tied
                .iter()
                .map(|t| Tied { one: unknown(t.one), other: unknown(t.other), correlation: t.correlation })
                .collect(),
            directions: c
                .directions
                .iter()
                .map(|d| Direction {
                    variance_left_share: d.share,
                    along: d.along.iter().map(|(u, part)| Along { unknown: unknown(*u), part: *part }).collect(),
                })
                .collect(),
            next: c.next.iter().map(Next::of).collect(),
        }
    }
}

impl Reading {
    fn of(c: &calibrate::Compared) -> Self {
        let time = matches!(c.what, Seen::RunDown { .. });
        let mut reading = Self {
            kind: "idle",
            turned_deg: None,
            turns: None,
            from_rpm: None,
            to_rpm: None,
            seen_rpm: (!time).then(|| number(c.seen, rpm)),
            computed_rpm: c.computed.filter(|_| !time).map(rpm),
            seen_s: time.then(|| si(c.seen)),
            computed_s: c.computed.filter(|_| time),
            off: c.off,
        };
        match c.what {
            Seen::Idle => {}
            Seen::Hang => reading.kind = "hang",
            Seen::Nudge { turned_rad } => (reading.kind, reading.turned_deg) = ("nudge", Some(deg(turned_rad))),
            Seen::Screw { turns } => (reading.kind, reading.turns) = ("screw", Some(turns)),
            Seen::RunDown { from_rad_s, to_rad_s } => {
                (reading.kind, reading.from_rpm, reading.to_rpm) = ("run_down", Some(rpm(from_rad_s)), Some(rpm(to_rad_s)));
            }
        }
        reading
    }
}

impl Next {
    fn of(n: &calibrate::NextReading) -> Self {
        let (kind, turned_deg, turns) = match n.candidate {
            Candidate::Read(Seen::Nudge { turned_rad }) => ("nudge", Some(deg(turned_rad)), None),
            Candidate::Read(Seen::Screw { turns }) => ("screw", None, Some(turns)),
            Candidate::Read(Seen::RunDown { .. }) => ("run_down", None, None),
            Candidate::Read(Seen::Idle) => ("idle_speed", None, None),
            Candidate::Read(Seen::Hang) => ("hang_speed", None, None),
            Candidate::Measure(p) => (parameter(p), None, None),
        };
        Self {
            kind,
            turned_deg,
            turns,
            expected_si: si(n.expected),
            minutes: n.minutes,
            less_doubt_share: n.less_doubt,
            explains_share: n.explains,
        }
    }
}
