//! The curve study as JSON.

use super::{Number, Warning, deg, number, rpm, warning};
use serde::Serialize;
use workshop::{
    machine::Machine,
    study::curve::{CurveStudy, CylinderCurve, LawKind, NextReading, ParameterName},
};

/// Where the spark comes.
#[derive(Debug, Serialize)]
pub struct Curve {
    cylinders: Vec<Cylinder>,
    support: Vec<Support>,
    next: Vec<Next>,
    agreement: Option<Agreement>,
    warnings: Vec<Warning>,
}

#[derive(Debug, Serialize)]
struct Cylinder {
    name: String,
    law: &'static str,
    parameters: Vec<Parameter>,
    readings: Vec<Reading>,
    band: Vec<Point>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "name", rename_all = "snake_case")]
enum Parameter {
    Lead { deg: Number },
    Arc { deg: Number },
    StartSpeed { rpm: Number },
    FullSpeed { rpm: Number },
    Advance { deg: Number },
    GreatestAdvance { deg: Number },
    Range { deg: Number },
    Hysteresis { deg: Number },
    TableAdvance { at_rpm: f64, deg: Number },
    Place { deg: Number },
}

#[derive(Debug, Serialize)]
struct Reading {
    reading: usize,
    speed_rpm: Number,
    advance_deg: Number,
    off_curve_deg: f64,
    weight: f64,
}

#[derive(Debug, Serialize)]
struct Point {
    speed_rpm: f64,
    advance_deg: Number,
}

#[derive(Debug, Serialize)]
struct Agreement {
    misfit: f64,
    fitted_less_given_deg: Option<f64>,
    at_rpm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Support {
    law: &'static str,
    misfit: f64,
    share: f64,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
enum Next {
    Parts { laws: [&'static str; 2], at_rpm: f64, apart_deg: Number },
    BothWays { at_rpm: f64 },
}

impl Curve {
    /// From the study of `machine`.
    pub fn of(machine: &Machine, study: &CurveStudy) -> Self {
        let named = machine.engine.cylinders.iter().map(|c| c.name.as_str());
        Self {
            cylinders: named.zip(&study.cylinders).map(|(name, c)| cylinder(name, c)).collect(),
            support: study.support.iter().map(|s| Support { law: law_code(s.kind), misfit: s.misfit, share: s.share }).collect(),
            next: study.next.iter().map(next).collect(),
            agreement: study.agreement.map(|a| Agreement {
                misfit: a.misfit,
                fitted_less_given_deg: a.greatest_rad.map(deg),
                at_rpm: a.at_rad_s.map(rpm),
            }),
            warnings: warning::all(&study.warnings),
        }
    }
}

fn next(next: &NextReading) -> Next {
    match *next {
        NextReading::Parts { kinds: (one, other), speed_rad_s, apart } => {
            Next::Parts { laws: [law_code(one), law_code(other)], at_rpm: rpm(speed_rad_s), apart_deg: number(apart, deg) }
        }
        NextReading::BothWays { speed_rad_s } => Next::BothWays { at_rpm: rpm(speed_rad_s) },
    }
}

fn cylinder(name: &str, c: &CylinderCurve) -> Cylinder {
    Cylinder {
        name: name.to_owned(),
        law: law_code(c.kind),
        parameters: c
            .parameters
            .iter()
            .map(|p| match p.name {
                ParameterName::Lead => Parameter::Lead { deg: number(p.value, deg) },
                ParameterName::Arc => Parameter::Arc { deg: number(p.value, deg) },
                ParameterName::StartSpeed => Parameter::StartSpeed { rpm: number(p.value, rpm) },
                ParameterName::FullSpeed => Parameter::FullSpeed { rpm: number(p.value, rpm) },
                ParameterName::Advance => Parameter::Advance { deg: number(p.value, deg) },
                ParameterName::GreatestAdvance => Parameter::GreatestAdvance { deg: number(p.value, deg) },
                ParameterName::Range => Parameter::Range { deg: number(p.value, deg) },
                ParameterName::Hysteresis => Parameter::Hysteresis { deg: number(p.value, deg) },
                ParameterName::TableAdvance { at_rad_s } => {
                    Parameter::TableAdvance { at_rpm: rpm(at_rad_s), deg: number(p.value, deg) }
                }
                ParameterName::Place => Parameter::Place { deg: number(p.value, deg) },
            })
            .collect(),
        readings: c
            .readings
            .iter()
            .map(|r| Reading {
                reading: r.index + 1,
                speed_rpm: number(r.speed, rpm),
                advance_deg: number(r.advance, deg),
                off_curve_deg: deg(r.residual_rad),
                weight: r.weight,
            })
            .collect(),
        band: c.band.iter().map(|p| Point { speed_rpm: rpm(p.speed_rad_s), advance_deg: number(p.advance, deg) }).collect(),
    }
}

fn law_code(kind: LawKind) -> &'static str {
    match kind {
        LawKind::Ramp => "ramp",
        LawKind::TwoEdge => "two_edge",
        LawKind::Table => "table",
        LawKind::Fixed => "fixed",
        LawKind::BobWeights => "bob_weights",
    }
}
