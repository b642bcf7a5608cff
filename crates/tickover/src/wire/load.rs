//! What advance does, as JSON.

use super::{Number, Warning, deg, kpa, mm2, number, rpm, warning};
use serde::Serialize;
use workshop::study::{
    load::{self, LoadStudy},
    model::SparkPoint,
};

/// Torque against advance, best torque, knock limit and the kick.
#[derive(Debug, Serialize)]
pub struct Load {
    octane: Number,
    at_idle: Option<Sweep>,
    wide_open: Vec<Sweep>,
    kick: Kick,
    warnings: Vec<Warning>,
}

#[derive(Debug, Serialize)]
struct Sweep {
    speed_rpm: f64,
    opening_mm2: f64,
    best_advance: Bound,
    at_best: Point,
    knock_limit: Bound,
    now: Option<Now>,
    points: Vec<Point>,
}

/// Where something begins: at `deg`, or, where that is null, earlier (`above_deg`) or later (`below_deg`) than all that was tried;
/// all three are null where it cannot be told.
#[derive(Debug, Serialize)]
pub struct Bound {
    deg: Option<Number>,
    above_deg: Option<f64>,
    below_deg: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Point {
    advance_deg: f64,
    torque_nm: f64,
    peak_pressure_kpa: f64,
    peak_deg_after_tdc: f64,
}

#[derive(Debug, Serialize)]
struct Now {
    advance_deg: Number,
    torque_share_of_best: f64,
    peak_pressure_kpa: f64,
    peak_deg_after_tdc: f64,
    room_to_knock_deg: Option<Number>,
}

#[derive(Debug, Serialize)]
struct Kick {
    speed_rpm: Number,
    advance_deg: Option<Number>,
    limit: Bound,
    energy_j: Number,
    taken_now_j: Option<Number>,
}

impl Load {
    /// From the study.
    pub fn of(study: &LoadStudy) -> Self {
        Self {
            octane: number(study.octane, |octane| octane),
            at_idle: study.idle.as_ref().map(sweep),
            wide_open: study.wide_open.iter().map(sweep).collect(),
            kick: Kick {
                speed_rpm: number(study.kick.speed, rpm),
                advance_deg: study.kick.now.map(|now| number(now, deg)),
                limit: Bound::of(study.kick.limit),
                energy_j: number(study.kick.energy, |j| j),
                taken_now_j: study.kick.taken_now.map(|taken| number(taken, |j| j)),
            },
            warnings: warning::all(&study.warnings),
        }
    }
}

impl Bound {
    /// From the study.
    pub fn of(bound: load::Bound) -> Self {
        let (found, above_deg, below_deg) = match bound {
            load::Bound::At(at) => (Some(number(at, deg)), None, None),
            load::Bound::Above(at) => (None, Some(deg(at)), None),
            load::Bound::Below(at) => (None, None, Some(deg(at))),
            load::Bound::Unknown => (None, None, None),
        };
        Self { deg: found, above_deg, below_deg }
    }
}

fn sweep(s: &load::Sweep) -> Sweep {
    Sweep {
        speed_rpm: rpm(s.speed_rad_s),
        opening_mm2: mm2(s.opening_m2),
        best_advance: Bound::of(s.best),
        at_best: point(&s.at_best),
        knock_limit: Bound::of(s.knock),
        now: s.now.map(|now| Now {
            advance_deg: number(now.advance, deg),
            torque_share_of_best: now.torque_share,
            peak_pressure_kpa: kpa(now.peak_pa),
            peak_deg_after_tdc: deg(now.peak_at_rad),
            room_to_knock_deg: s.knock.room(now.advance).map(|room| number(room, deg)),
        }),
        points: s.points.iter().map(point).collect(),
    }
}

fn point(p: &SparkPoint) -> Point {
    Point {
        advance_deg: deg(p.advance_rad),
        torque_nm: p.torque_nm,
        peak_pressure_kpa: kpa(p.peak_pa),
        peak_deg_after_tdc: deg(p.peak_at_rad),
    }
}
