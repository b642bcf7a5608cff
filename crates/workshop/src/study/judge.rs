//! One engine on one set of curves, judged at its idle.

use super::{
    idle::{CycleAtIdle, Fold, RestLinePoint, RestPicture, RestPoint, Verdict},
    model::{CyclePoint, EngineModel},
};
use crate::machine::Machine;
use physics::{
    law::Law,
    rest::{Hold, Rest, Running, TorqueMap},
};

/// A rest at less than this ratio [1] above the idle is the idle itself: rev counters and ears do not part them
/// (idle ±50 1/min; common practice, no source).
pub const APART: f64 = 1.10;
/// Most change of idle speed for 1 % of air that counts as firmly held, as a share of the speed per share of air \[1\].
///
/// An engine with *fixed* timing behind a choked throttle draws air ∝ opening, so torque ∝ opening / speed and, with friction that
/// does not change, speed ∝ opening: exactly 1. Friction that rises with speed makes it less. From 2 on the curve moves the idle
/// further than the air itself does, and that is called weak. The argument is arithmetic; where to draw the line is this project's choice.
pub const WEAK_FROM: f64 = 2.0;
/// A fold nearer to the present opening than this share [1] is a weak idle too: one turn of the weather or an eighth of a turn of the stop
/// reaches it. This project's choice, no source.
pub const FOLD_NEAR: f64 = 0.05;

/// What is asked of an engine: its torque, curves, friction.
pub struct Subject<'a> {
    /// Weighted torque maps of one cylinder.
    pub maps: Vec<(f64, &'a TorqueMap)>,
    /// One law per cylinder.
    pub laws: Vec<Law>,
    /// Friction factor \[1\].
    pub friction_factor: f64,
    /// Factor on the part of the friction that grows with speed \[1\].
    pub friction_slope: f64,
}

impl<'a> Subject<'a> {
    /// The engine as given, on these laws.
    pub fn nominal(machine: &Machine, model: &'a EngineModel, laws: Vec<Law>) -> Self {
        let friction_slope = friction_slope(machine);
        Self { maps: model.varied(&[]), laws, friction_factor: machine.engine.friction_factor.si, friction_slope }
    }

    /// Mean advance of the cylinders [rad].
    pub fn advance_rad(&self, speed_rad_s: f64) -> f64 {
        self.laws.iter().map(|l| l.advance(speed_rad_s).radians()).sum::<f64>() / self.laws.len().max(1) as f64
    }

    /// Asks `question` of the running engine.
    pub fn run<R>(&self, machine: &Machine, model: &EngineModel, question: impl FnOnce(&Running) -> R) -> R {
        let advance = |c: usize, n: f64| self.laws[c].advance(n).radians();
        let friction = |n: f64| model.cycle().corrected_friction_nm(n, self.friction_factor, self.friction_slope);
        question(&Running::new(&self.maps, self.laws.len(), &advance, &friction, machine.engine.inertia.si))
    }
}

/// The friction slope that the file states, or the correlation's own.
pub fn friction_slope(machine: &Machine) -> f64 {
    machine.engine.friction_slope.as_ref().map_or(1.0, |r| r.si)
}

/// An engine judged at one opening.
pub struct Judged {
    /// The opening, where one holds the idle.
    pub opening_m2: Option<f64>,
    /// The opening, or the nearest of the map.
    pub nearest_opening_m2: f64,
    /// Rest points, line and folds.
    pub picture: RestPicture,
    /// The rest point at the idle.
    pub idle: Option<RestPoint>,
    /// Verdict.
    pub verdict: Verdict,
    /// The engine still pulls at the fastest computed speed.
    pub pulls_at_top: bool,
}

impl Judged {
    /// With the stop set so that the engine idles at `idle_rad_s`.
    pub fn at_idle(subject: &Subject, machine: &Machine, model: &EngineModel, idle_rad_s: f64) -> Self {
        subject.run(machine, model, |running| {
            let (least, most) = model.torque().openings();
            let (opening, nearest) = match running.opening_for(idle_rad_s) {
                Hold::At { opening_m2, .. } => (Some(opening_m2), opening_m2),
                Hold::LessThanLeast => (None, least),
                Hold::MoreThanMost => (None, most),
            };
            let (picture, pulls_at_top) = picture(running, subject, nearest);
            let idle = opening.and_then(|_| nearest_point(&picture.points, idle_rad_s)).copied();
            let verdict = verdict(&picture, opening, idle, pulls_at_top, model.torque().speeds().1);
            Self { opening_m2: opening, nearest_opening_m2: nearest, picture, idle, verdict, pulls_at_top }
        })
    }
}

/// Rest points at an opening with the stop left where it is.
pub fn at_opening(subject: &Subject, machine: &Machine, model: &EngineModel, opening_m2: f64) -> RestPicture {
    subject.run(machine, model, |running| picture(running, subject, opening_m2).0)
}

fn picture(running: &Running, subject: &Subject, opening_m2: f64) -> (RestPicture, bool) {
    let line = running.line();
    let folds = running.folds(&line).iter().map(|f| Fold { opening_m2: f.opening_m2, speed_rad_s: f.speed_rad_s }).collect();
    let rests = running.rests(opening_m2);
    let point = |r: &Rest| RestPoint {
        speed_rad_s: r.speed_rad_s,
        stable: r.stable,
        torque_slope: r.torque_slope,
        time_constant_s: r.time_constant_s,
        stiffness_rad_s_per_percent: r.stiffness_rad_s_per_percent,
        advance_rad: subject.advance_rad(r.speed_rad_s),
    };
    let line = line
        .iter()
        .filter_map(|p| match p.hold {
            Hold::At { opening_m2, .. } => Some(RestLinePoint { speed_rad_s: p.speed_rad_s, opening_m2, stable: p.stable }),
            _ => None,
        })
        .collect();
    (RestPicture { points: rests.points.iter().map(point).collect(), line, folds }, rests.pulls_at_top)
}

/// The rest point nearest to a speed, by ratio.
pub fn nearest_point(points: &[RestPoint], speed_rad_s: f64) -> Option<&RestPoint> {
    let off = |p: &&RestPoint| (p.speed_rad_s / speed_rad_s).ln().abs();
    points.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

fn verdict(picture: &RestPicture, opening: Option<f64>, idle: Option<RestPoint>, pulls_at_top: bool, top: f64) -> Verdict {
    let (Some(opening), Some(idle)) = (opening, idle) else { return Verdict::NoRest };
    if pulls_at_top {
        return Verdict::Hangs { at_rad_s: top };
    }
    let stable = || picture.points.iter().filter(|p| p.stable);
    if let Some(hang) = stable().rfind(|p| p.speed_rad_s > idle.speed_rad_s * APART) {
        return Verdict::Hangs { at_rad_s: hang.speed_rad_s };
    }
    if !idle.stable {
        // It leaves the speed seen, but where a stable rest is near by nobody would tell: the idle wanders.
        let near = stable().any(|p| (p.speed_rad_s / idle.speed_rad_s).ln().abs() <= APART.ln());
        return if near { Verdict::Weak } else { Verdict::NoRest };
    }
    let share = idle.stiffness_rad_s_per_percent / (0.01 * idle.speed_rad_s);
    let fold_near = picture.folds.iter().any(|f| (f.opening_m2 / opening).ln().abs() < FOLD_NEAR);
    if share > WEAK_FROM || fold_near { Verdict::Weak } else { Verdict::Steady }
}

/// By how much the last of the advances tried may differ from the end of the map [rad] (own choice): rounding.
const ROUNDING_RAD: f64 = 1e-9;

/// The working cycle at the idle, `point` being what it does there.
pub fn cycle_at(subject: &Subject, model: &EngineModel, speed_rad_s: f64, opening_m2: f64, point: CyclePoint) -> CycleAtIdle {
    let advance = subject.advance_rad(speed_rad_s);
    let (best, most) = model.torque().best_advance(speed_rad_s, opening_m2);
    CycleAtIdle {
        residual_fraction: point.residual,
        half_burned_rad: point.half_burned_rad,
        best_advance_rad: best,
        best_is_beyond: best >= model.torque().advances().1 - ROUNDING_RAD,
        torque_share: model.torque().torque(speed_rad_s, opening_m2, advance) / most,
        peak_pressure_pa: point.peak_pa,
        runner_pressure_pa: point.runner_pa,
    }
}
