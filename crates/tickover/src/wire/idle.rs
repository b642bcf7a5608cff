//! The idle study as JSON.

use super::{Run, Sensitivity, Warning, calibration::Calibration, deg, kpa, mm2, rpm, warning};
use serde::Serialize;
use workshop::study::idle::{self, CycleAtIdle, IdleStudy, Parameter, RestPicture};

/// Whether the engine idles, and where else it can rest.
#[derive(Debug, Serialize)]
pub struct Idle {
    opening_mm2: Option<f64>,
    verdict: Verdict,
    chance_of_hang: Chance,
    doubt: Sensitivity,
    rest: Rest,
    cycle: Cycle,
    depends: Vec<Dependence>,
    run: Option<Run>,
    calibration: Option<Calibration>,
    warnings: Vec<Warning>,
}

#[derive(Debug, Serialize)]
pub(super) struct Verdict {
    code: &'static str,
    hangs_at_rpm: Option<f64>,
}

/// Share of sampled cases that hang, with its 95 % interval.
#[derive(Debug, Serialize)]
pub struct Chance {
    hanging: usize,
    of: usize,
    low_share: f64,
    high_share: f64,
}

/// Rest points and the rest line.
#[derive(Debug, Serialize)]
pub struct Rest {
    points: Vec<Point>,
    folds: Vec<Fold>,
    line: Vec<LinePoint>,
}

#[derive(Debug, Serialize)]
struct Point {
    speed_rpm: f64,
    stable: bool,
    advance_deg: f64,
    torque_slope_nms: f64,
    time_constant_s: f64,
    rpm_per_percent_air: f64,
}

#[derive(Debug, Serialize)]
struct Fold {
    opening_mm2: f64,
    speed_rpm: f64,
}

#[derive(Debug, Serialize)]
struct LinePoint {
    speed_rpm: f64,
    opening_mm2: f64,
    stable: bool,
}

#[derive(Debug, Serialize)]
pub(super) struct Cycle {
    residual_share: f64,
    half_burned_deg_after_tdc: f64,
    best_advance_deg: f64,
    best_advance_is_earlier: bool,
    torque_share_of_best: f64,
    peak_pressure_kpa: f64,
    runner_pressure_kpa: f64,
}

#[derive(Debug, Serialize)]
struct Dependence {
    on: &'static str,
    low: Case,
    as_given: Case,
    high: Case,
}

/// `value` in SI, as the machine file's schema names the field.
#[derive(Debug, Serialize)]
struct Case {
    value_si: f64,
    verdict: &'static str,
}

impl Idle {
    /// From the study.
    pub fn of(study: &IdleStudy) -> Self {
        Self {
            opening_mm2: study.opening_m2.map(mm2),
            verdict: verdict(study.verdict),
            chance_of_hang: Chance::of(study.chance),
            doubt: Sensitivity::of(&study.doubt),
            rest: Rest::of(&study.rest),
            cycle: cycle(study.cycle),
            depends: study
                .depends
                .iter()
                .map(|d| {
                    let case = |(value_si, v)| Case { value_si, verdict: verdict_code(v) };
                    Dependence {
                        on: match d.on {
                            Parameter::BurnFactor => "burn_factor",
                            Parameter::FrictionFactor => "friction_factor",
                            Parameter::RunnerVolume => "runner_volume",
                            Parameter::Overlap => "overlap",
                        },
                        low: case(d.low),
                        as_given: case(d.as_given),
                        high: case(d.high),
                    }
                })
                .collect(),
            run: study.run.as_ref().map(Run::of),
            calibration: study.calibration.as_ref().map(|c| Calibration::of(c, study.chance)),
            warnings: warning::all(&study.warnings),
        }
    }
}

impl Chance {
    /// From the study.
    pub fn of(c: idle::Chance) -> Self {
        Self { hanging: c.hanging, of: c.of, low_share: c.low, high_share: c.high }
    }
}

impl Rest {
    /// From the study.
    pub fn of(rest: &RestPicture) -> Self {
        Self {
            points: rest
                .points
                .iter()
                .map(|p| Point {
                    speed_rpm: rpm(p.speed_rad_s),
                    stable: p.stable,
                    advance_deg: deg(p.advance_rad),
                    torque_slope_nms: p.torque_slope,
                    time_constant_s: p.time_constant_s,
                    rpm_per_percent_air: rpm(p.stiffness_rad_s_per_percent),
                })
                .collect(),
            folds: rest.folds.iter().map(|f| Fold { opening_mm2: mm2(f.opening_m2), speed_rpm: rpm(f.speed_rad_s) }).collect(),
            line: rest
                .line
                .iter()
                .map(|p| LinePoint { speed_rpm: rpm(p.speed_rad_s), opening_mm2: mm2(p.opening_m2), stable: p.stable })
                .collect(),
        }
    }
}

pub(super) fn cycle(c: CycleAtIdle) -> Cycle {
    Cycle {
        residual_share: c.residual_fraction,
        half_burned_deg_after_tdc: deg(c.half_burned_rad),
        best_advance_deg: deg(c.best_advance_rad),
        best_advance_is_earlier: c.best_is_beyond,
        torque_share_of_best: c.torque_share,
        peak_pressure_kpa: kpa(c.peak_pressure_pa),
        runner_pressure_kpa: kpa(c.runner_pressure_pa),
    }
}

pub(super) fn verdict(v: idle::Verdict) -> Verdict {
    let hangs_at_rpm = match v {
        idle::Verdict::Hangs { at_rad_s } => Some(rpm(at_rad_s)),
        _ => None,
    };
    Verdict { code: verdict_code(v), hangs_at_rpm }
}

/// The code of a verdict; the page's style sheet uses the same.
pub fn verdict_code(v: idle::Verdict) -> &'static str {
    match v {
        idle::Verdict::Hangs { .. } => "hangs",
        idle::Verdict::Weak => "weak",
        idle::Verdict::Steady => "steady",
        idle::Verdict::NoRest => "no_rest",
    }
}
