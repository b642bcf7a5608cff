//! Warnings as data. They reach the page and the paper.

use super::Finding;

/// A number of a bore that is a cone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoreNumber {
    /// Diameter at its large end.
    LargeEnd,
    /// Diameter at its small end.
    SmallEnd,
    /// Change of diameter over length.
    Ratio,
}

/// Something the mechanic must know about how an answer came about.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// A default stands in for a reading; `field` is its path in the machine file.
    DefaultUsed {
        /// Path in the machine file.
        field: &'static str,
    },
    /// A reading came without a ± and is taken as exact, so the doubt of every answer that rests on it is too small;
    /// `field` is its path in the machine file.
    TakenAsExact {
        /// Path in the machine file.
        field: &'static str,
    },
    /// The trailing edge passes late: the least advance [rad] that the segment allows lies well after top dead centre.
    LateTrailingEdge {
        /// Lead less arc [rad crank].
        least_advance_rad: f64,
    },
    /// A strobe reading does not belong to the rest and was given almost no weight.
    WildReading {
        /// Index into the machine's strobe readings.
        index: usize,
        /// How far from the curve [rad].
        off_rad: f64,
    },
    /// A strobe reading cannot be used: a speed or a piston travel that this engine cannot have, or a cylinder it has not.
    ReadingUnusable {
        /// Index into the machine's strobe readings.
        index: usize,
    },
    /// The law in the file and the readings disagree by more than their ± allow.
    LawAgainstReadings {
        /// Greatest disagreement, reading less curve [rad].
        by_rad: f64,
        /// Crank speed of it [rad/s].
        at_rad_s: f64,
    },
    /// No pickup in the file fires this cylinder; its timing is taken as the rotor's, without place or pulse.
    NoPickupFires {
        /// Index of the cylinder.
        cylinder: usize,
    },
    /// The readings scatter about the best law more widely than their ± allow; its own ± was widened to match.
    LawFitsPoorly {
        /// Root of the weighted mean square of residual/uncertainty [1].
        misfit: f64,
    },
    /// Two laws explain the readings about equally well.
    LawsAlike,
    /// The pickup is connected the wrong way round; the spark comes at the other edge.
    PickupReversed {
        /// Index of the pickup.
        pickup: usize,
        /// Error of the firing point [rad], positive = later.
        late_rad: f64,
    },
    /// Polarity of a pickup is not known.
    PolarityUnknown {
        /// Index of the pickup.
        pickup: usize,
    },
    /// The pulse reaches the module's threshold only above this speed, faster than the kick [rad/s].
    WeakPulse {
        /// Index of the pickup.
        pickup: usize,
        /// Lowest speed that fires [rad/s].
        fires_from_rad_s: f64,
    },
    /// Cylinders' curves differ by more than 2° somewhere (the usual limit; common practice, no source).
    CylindersDiffer {
        /// Greatest difference [rad].
        by_rad: f64,
    },
    /// No opening of the throttle in the computed range lets the engine idle at the speed seen.
    IdleNotReproduced,
    /// No engine could be fitted to what was read on the throttle stop.
    NotCalibrated,
    /// The hang speed seen is not among the rest speeds found.
    HangNotReproduced {
        /// The hang speed seen [rad/s].
        seen_rad_s: f64,
        /// The nearest rest speed found, if any [rad/s].
        nearest_rad_s: Option<f64>,
    },
    /// The engine still pulls at the fastest computed speed, so its highest rest lies beyond that [rad/s].
    RestBeyondRange {
        /// Fastest computed speed [rad/s].
        from_rad_s: f64,
    },
    /// In some of the sampled cases the engine cannot idle at the speed seen; they are left out of the chance.
    CasesLeftOut {
        /// Share of the sampled cases [1].
        share: f64,
    },
    /// Some cycles did not settle to a steady state; share of the grid's points [1].
    CyclesUnsettled {
        /// Share [1].
        share: f64,
    },
    /// Wide open, torque still rises at the earliest advance tried: the flame as given is too slow for that load, and neither best torque nor
    /// the knock limit can be told there.
    BestTorqueNotFound {
        /// Slowest crank speed at which it is so [rad/s].
        from_rad_s: f64,
        /// Earliest advance tried [rad].
        tried_rad: f64,
    },
    /// Wide open, the curve as found goes beyond the knock limit.
    BeyondKnockLimit {
        /// Crank speed at which it goes furthest [rad/s].
        at_rad_s: f64,
        /// By how much [rad].
        by_rad: f64,
        /// ± of that [rad].
        plus_minus_rad: f64,
    },
    /// The engine turns the rotor faster than its maker allows.
    RotorSlowerThanEngine {
        /// Greatest speed that the maker allows [rad/s].
        rotor_rad_s: f64,
        /// Its speed at the engine's top speed [rad/s].
        engine_rad_s: f64,
    },
    /// The bore of the boss in the section and the taper of the seat differ by more than both ±.
    BoreNotTheTaper {
        /// Which number.
        number: BoreNumber,
        /// By the taper: a diameter [m], or change of diameter over length \[1\].
        taper: Finding,
        /// By the section.
        section: Finding,
    },
    /// The answer lies outside the range in which a sub-model was published.
    OutsideValidity {
        /// Which sub-model.
        model: Submodel,
    },
}

/// Sub-models with a published range of validity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Submodel {
    /// Laminar flame speed.
    FlameSpeed,
    /// Dilution by residual gas.
    Dilution,
    /// Friction.
    Friction,
}
