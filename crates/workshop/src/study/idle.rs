//! Whether the engine idles steadily on its curve, and where else it can rest.

use super::{Finding, warning::Warning};

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
    /// What the working cycle does at the idle.
    pub cycle: CycleAtIdle,
    /// How the verdict depends on what the mechanic must supply.
    pub depends: Vec<Dependence>,
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
    /// One rest speed, but a weak one: small changes of air move it a long way.
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
