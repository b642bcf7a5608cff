//! What the curve study finds.

use super::super::{Finding, warning::Warning};
use super::doubt::Doubt;
use quantity::CrankAngle;

/// Which kind of law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LawKind {
    /// Analogue two-edge module.
    Ramp,
    /// Edge to edge, straight between.
    TwoEdge,
    /// Points, monotone cubic between.
    Table,
    /// Fixed.
    Fixed,
    /// Bob weights.
    BobWeights,
}

/// What was found about the curve.
#[derive(Clone, Debug)]
pub struct CurveStudy {
    /// One per cylinder, in the machine's order.
    pub cylinders: Vec<CylinderCurve>,
    /// How well each kind of law explains all readings together, best first; empty without readings.
    pub support: Vec<LawSupport>,
    /// Readings that would part the laws still open, the most telling first.
    pub next: Vec<NextReading>,
    /// How the law in the file and the readings agree; `None` unless there are both.
    pub agreement: Option<Agreement>,
    /// What must be said beside it.
    pub warnings: Vec<Warning>,
}

/// A law that was given, set against the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// Root of the mean square of (reading − given curve)/(their standard uncertainty), wild readings left out; about 1
    /// when the readings bear the law out.
    pub misfit: f64,
    /// Greatest difference between the curve fitted to the readings and the given one, fitted less given [rad], at the
    /// readings' speeds; `None` with too few readings for a fit.
    pub greatest_rad: Option<f64>,
    /// Crank speed of it [rad/s].
    pub at_rad_s: Option<f64>,
}

/// One cylinder's curve.
#[derive(Clone, Debug)]
pub struct CylinderCurve {
    /// The law that it runs on, place error and pickup effects included.
    pub law: physics::law::Law,
    /// Which kind of law.
    pub kind: LawKind,
    /// Fitted parameters with their ±, empty where the law was given and not fitted.
    pub parameters: Vec<Parameter>,
    /// Its readings, corrected for the lamp.
    pub readings: Vec<CurveReading>,
    /// The curve with its band, from kicking speed to top speed.
    pub band: Vec<BandPoint>,
    /// How uncertain the law is, for bands and random draws.
    pub doubt: Doubt,
}

/// A fitted parameter.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// Which.
    pub name: ParameterName,
    /// Value and ± in SI.
    pub value: Finding,
}

/// Names of fitted parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ParameterName {
    /// Advance of the leading edge [rad].
    Lead,
    /// Segment arc [rad, crank].
    Arc,
    /// Speed up to which the advance is least [rad/s].
    StartSpeed,
    /// Speed from which the advance is greatest [rad/s].
    FullSpeed,
    /// Fixed advance [rad].
    Advance,
    /// Greatest advance of bob weights [rad].
    GreatestAdvance,
    /// Range of bob weights between their stops [rad].
    Range,
    /// By how much the spark of sticking weights comes earlier with falling than with rising speed, half-way [rad].
    Hysteresis,
    /// Advance at a point of a table [rad].
    TableAdvance {
        /// Crank speed of the point [rad/s].
        at_rad_s: f64,
    },
    /// How much earlier this cylinder's pickup stands than its known place [rad].
    Place,
}

/// A strobe reading set against the curve.
#[derive(Clone, Copy, Debug)]
pub struct CurveReading {
    /// Index into the machine's strobe readings.
    pub index: usize,
    /// Crank speed [rad/s].
    pub speed: Finding,
    /// Advance corrected for the lamp's delay, ± with all reading errors.
    pub advance: Finding,
    /// Reading less curve [rad].
    pub residual_rad: f64,
    /// Weight that the robust fit left it, 0 to 1.
    pub weight: f64,
}

/// One point of the band.
#[derive(Clone, Copy, Debug)]
pub struct BandPoint {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Advance and ± [rad].
    pub advance: Finding,
}

/// How well a kind of law explains the readings.
#[derive(Clone, Copy, Debug)]
pub struct LawSupport {
    /// Which.
    pub kind: LawKind,
    /// Root of the weighted mean square residual [1]; about 1 when the stated ± are honest.
    pub misfit: f64,
    /// Akaike weight corrected for small samples, 0 to 1, summing to 1 over the laws tried.
    pub share: f64,
}

/// A reading that would tell something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NextReading {
    /// Two kinds of law lie far apart here.
    Parts {
        /// The best supported kind and its rival.
        kinds: (LawKind, LawKind),
        /// Crank speed [rad/s].
        speed_rad_s: f64,
        /// Advance of the first less that of the second [rad], ± with that of the reading itself.
        apart: Finding,
    },
    /// Once with rising and once with falling speed: friction of bob weights shows itself.
    BothWays {
        /// Crank speed [rad/s].
        speed_rad_s: f64,
    },
}

/// One line of the table: the same advance three ways.
#[derive(Clone, Copy, Debug)]
pub struct TableRow {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Advance [rad].
    pub advance: Finding,
    /// The same as an arc on the trigger rim [m], where there is a rim.
    pub rim_m: Option<f64>,
    /// The same as piston travel before top dead centre [m].
    pub piston_m: f64,
    /// The bare crank angle.
    pub angle: CrankAngle,
}
