//! Whether the engine idles steadily on its curve, and where else it can rest.

use super::{
    Finding, NotStudied,
    calibrate::Calibration,
    cases::{self, Engines, Sampling},
    curve::CurveStudy,
    judge::{self, Judged, Subject},
    model::EngineModel,
    run::{self, RunStudy},
    sensitivity::{self, Sensitivity},
    unknowns::Unknowns,
    warning::Warning,
};
use crate::machine::Machine;
use physics::surface::Progress;

/// What was found about the idle, as found or after a change of the curve.
#[derive(Clone, Debug)]
pub struct IdleStudy {
    /// The throttle's effective flow area per throttle at the idle seen [m²], deduced from the idle speed.
    pub opening_m2: Option<f64>,
    /// The curve's rest-speed line at the opening.
    pub rest: RestPicture,
    /// The verdict.
    pub verdict: Verdict,
    /// Share of the sampled cases (readings and parameters varied within their ±) that hang, with its 95 % interval.
    pub chance: Chance,
    /// Which input the doubt comes from.
    pub doubt: Sensitivity,
    /// What the working cycle does at the idle.
    pub cycle: CycleAtIdle,
    /// How the verdict depends on what the mechanic must supply.
    pub depends: Vec<Dependence>,
    /// The engine run in time; `None` where it cannot be run.
    pub run: Option<RunStudy>,
    /// What the readings on the stop say about flame, friction and opening; [`super::study`] puts it in. `None` where the idle is not
    /// reproduced.
    pub calibration: Option<Calibration>,
    /// What must be said beside it.
    pub warnings: Vec<Warning>,
}

/// All rest points of one curve at one opening, and the line of rest speed against opening.
#[derive(Clone, Debug)]
pub struct RestPicture {
    /// Rest points at the opening, slowest first.
    pub points: Vec<RestPoint>,
    /// Rest line: for each crank speed [rad/s] the opening [m²] at which it is a rest speed, and whether it is stable.
    pub line: Vec<RestLinePoint>,
    /// Range of openings with two stable speeds, and the speeds at its ends.
    pub folds: Vec<Fold>,
}

/// One rest point.
#[derive(Clone, Copy, Debug)]
pub struct RestPoint {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Does it come back after a push?
    pub stable: bool,
    /// Change of mean torque with speed [N·m·s]; negative = restoring.
    pub torque_slope: f64,
    /// Time in which a small push dies to 1/e [s]; negative = grows.
    pub time_constant_s: f64,
    /// Change of the rest speed for 1 % more opening [rad/s].
    pub stiffness_rad_s_per_percent: f64,
    /// Advance there [rad] of each cylinder's mean.
    pub advance_rad: f64,
}

/// One point of the rest line.
#[derive(Clone, Copy, Debug)]
pub struct RestLinePoint {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Opening [m²] per throttle.
    pub opening_m2: f64,
    /// Stable there?
    pub stable: bool,
}

/// A fold of the rest line: an opening at which two rest points meet.
#[derive(Clone, Copy, Debug)]
pub struct Fold {
    /// Opening [m²].
    pub opening_m2: f64,
    /// Speed [rad/s].
    pub speed_rad_s: f64,
}

/// Hang or no hang.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// A second stable rest speed stands above the idle at the same opening: the curve explains a hang there.
    Hangs {
        /// Speed of the hang [rad/s].
        at_rad_s: f64,
    },
    /// One rest speed, but a weak one: small changes of air move it a long way, or it wanders between rests too near to tell apart.
    Weak,
    /// One rest speed, firmly held.
    Steady,
    /// The model finds no rest at the idle seen.
    NoRest,
}

/// A share of sampled cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// Cases that hang.
    pub hanging: usize,
    /// Cases sampled.
    pub of: usize,
    /// 95 % Wilson interval of the share.
    pub low: f64,
    /// See `low`.
    pub high: f64,
}

/// The working cycle at the idle seen.
#[derive(Clone, Copy, Debug)]
pub struct CycleAtIdle {
    /// Share of the charge that is burned gas of the cycle before [1, mass].
    pub residual_fraction: f64,
    /// Crank angle after top dead centre at which half is burned [rad]; NaN where less than half burns.
    pub half_burned_rad: f64,
    /// Advance for best torque there [rad].
    pub best_advance_rad: f64,
    /// Torque still rises at that advance, the earliest that the surface has: the best comes earlier, and the share is at most `torque_share`.
    pub best_is_beyond: bool,
    /// Torque at the curve's advance as a share of that at the best advance [1].
    pub torque_share: f64,
    /// Peak pressure [Pa].
    pub peak_pressure_pa: f64,
    /// Mean pressure in the runner [Pa].
    pub runner_pressure_pa: f64,
}

/// How the answer changes when one supplied parameter moves over its ±.
#[derive(Clone, Copy, Debug)]
pub struct Dependence {
    /// Which.
    pub on: Parameter,
    /// Parameter at its low end and the verdict there.
    pub low: (f64, Verdict),
    /// Parameter as given and the verdict there.
    pub as_given: (f64, Verdict),
    /// Parameter at its high end and the verdict there.
    pub high: (f64, Verdict),
}

impl Dependence {
    /// Whether the verdict is another one at either end.
    pub fn turns_the_verdict(&self) -> bool {
        let kind = std::mem::discriminant::<Verdict>;
        kind(&self.low.1) != kind(&self.as_given.1) || kind(&self.high.1) != kind(&self.as_given.1)
    }
}

/// Parameters that the mechanic must supply and seldom knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parameter {
    /// Flame-speed factor.
    BurnFactor,
    /// Friction factor.
    FrictionFactor,
    /// Runner volume.
    RunnerVolume,
    /// Valve overlap.
    Overlap,
}

/// A computed number used in several places: a speed and its ±.
pub type Speed = Finding;

/// Unlike this ratio, a rest found and a hang seen are not the same \[1\]: the published correlations behind the torque are good to
/// 10–20 % each, and a hang speed moves about as much. This project's choice, no source.
pub(super) const SAME_HANG: f64 = 1.25;

/// Judges the idle as found.
///
/// The throttle's opening is not measured but deduced: the one at which the engine rests at the idle speed seen. Where no opening of
/// the computed range does that, the verdict is [`Verdict::NoRest`], and rest points and cycle are those of the nearest opening.
///
/// # Errors
/// [`NotStudied::NoIdleSeen`], [`NotStudied::NoCurve`].
pub fn study(machine: &Machine, curve: &CurveStudy, model: &EngineModel) -> Result<IdleStudy, NotStudied> {
    let engines = Engines::new(machine, curve, model, Unknowns::stated(machine, model));
    sampled(machine, curve, model, Sampling { engines: &engines, watch: &Progress::default() })
}

/// The same, with the cases drawn from given engines, watched.
///
/// # Errors
/// [`NotStudied::Stopped`] too.
pub fn sampled(machine: &Machine, curve: &CurveStudy, model: &EngineModel, sampling: Sampling) -> Result<IdleStudy, NotStudied> {
    let seen = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?;
    if curve.cylinders.is_empty() {
        return Err(NotStudied::NoCurve);
    }
    let idle = seen.speed.si;
    let laws: Vec<_> = curve.cylinders.iter().map(|c| c.law.clone()).collect();
    let subject = Subject::nominal(machine, model, laws);
    let judged = Judged::at_idle(&subject, machine, model, idle);
    let (chance, left_out) = sampling.engines.share(&cases::as_found, cases::POINTS, sampling.watch)?;
    let in_time = judged.opening_m2.and_then(|opening| run::study(&subject, machine, model, &judged.picture, (idle, opening)));
    let mut warnings = Vec::new();
    if judged.opening_m2.is_none() {
        warnings.push(Warning::IdleNotReproduced);
    }
    if let Some(hang) = &seen.hangs_at {
        let above = judged.picture.points.iter().filter(|p| p.stable && p.speed_rad_s > idle * judge::APART);
        let nearest = judge::nearest_point(&above.copied().collect::<Vec<_>>(), hang.si).map(|p| p.speed_rad_s);
        if nearest.is_none_or(|n| (n / hang.si).ln().abs() > SAME_HANG.ln()) {
            warnings.push(Warning::HangNotReproduced { seen_rad_s: hang.si, nearest_rad_s: nearest });
        }
    }
    if judged.pulls_at_top {
        warnings.push(Warning::RestBeyondRange { from_rad_s: model.torque().speeds().1 });
    }
    if left_out > 0.0 {
        warnings.push(Warning::CasesLeftOut { share: left_out });
    }
    if model.unsettled() > 0.0 {
        warnings.push(Warning::CyclesUnsettled { share: model.unsettled() });
    }
    Ok(IdleStudy {
        opening_m2: judged.opening_m2,
        verdict: judged.verdict,
        chance,
        doubt: sensitivity::study(sampling.engines, &cases::as_found, sampling.watch)?,
        cycle: {
            let opening = judged.nearest_opening_m2;
            let point = model.cycle().at(idle, opening, subject.advance_rad(idle));
            judge::cycle_at(&subject, model, idle, opening, point)
        },
        calibration: None,
        depends: dependences(machine, model, &subject, idle, judged.verdict),
        rest: judged.picture,
        run: in_time,
        warnings,
    })
}

/// The verdict at both ends of each parameter whose ± is not zero.
fn dependences(machine: &Machine, model: &EngineModel, subject: &Subject, idle: f64, as_given: Verdict) -> Vec<Dependence> {
    let verdict = |maps, friction_factor| {
        let other = Subject { maps, laws: subject.laws.clone(), friction_factor, friction_slope: subject.friction_slope };
        Judged::at_idle(&other, machine, model, idle).verdict
    };
    let row = |on: Parameter, low: Verdict, high: Verdict| {
        let Finding { si, plus_minus_si } = given(machine, on)?;
        Some(Dependence { on, low: (si - plus_minus_si, low), as_given: (si, as_given), high: (si + plus_minus_si, high) })
    };
    let parameters: Vec<Parameter> = model.parameters().collect();
    let mut rows: Vec<Dependence> = parameters
        .iter()
        .enumerate()
        .filter_map(|(i, on)| {
            let at = |u: f64| {
                let half_widths: Vec<f64> = (0..parameters.len()).map(|j| if i == j { u } else { 0.0 }).collect();
                verdict(model.varied(&half_widths), subject.friction_factor)
            };
            row(*on, at(-1.0), at(1.0))
        })
        .collect();
    let friction = &machine.engine.friction_factor;
    if friction.plus_minus_si > 0.0 {
        let at = |factor: f64| verdict(subject.maps.clone(), factor);
        rows.extend(row(
            Parameter::FrictionFactor,
            at(friction.si - friction.plus_minus_si),
            at(friction.si + friction.plus_minus_si),
        ));
    }
    rows
}

/// What the machine file says of a parameter, in SI. Overlap is the sum of two angles, so its ± adds up by squares
/// (JCGM 100:2008, 5.1.2).
pub fn given(machine: &Machine, parameter: Parameter) -> Option<Finding> {
    let of = Finding::of;
    match parameter {
        Parameter::BurnFactor => Some(of(&machine.engine.burn_factor)),
        Parameter::FrictionFactor => Some(of(&machine.engine.friction_factor)),
        Parameter::RunnerVolume => machine.engine.inlet.as_ref().map(|i| of(&i.volume)),
        Parameter::Overlap => machine.engine.valves.as_ref().map(|v| Finding {
            si: v.inlet_opens.si + v.exhaust_closes.si,
            plus_minus_si: v.inlet_opens.plus_minus_si.hypot(v.exhaust_closes.plus_minus_si),
        }),
    }
}
