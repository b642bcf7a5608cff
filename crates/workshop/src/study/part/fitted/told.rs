//! What is told of a machine with a part in it: which studies, which numbers, what would be wrong.

use crate::study::{
    Finding, NotStudied,
    electric::NotTold,
    spark::{Held, margin::Case},
};
use quantity::Unit;

/// A study that is run again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Room {
    /// Where the spark comes.
    Curve,
    /// Room below the knock limit.
    Knock,
    /// The margin of the spark.
    Spark,
    /// The pickup's signal.
    Signal,
    /// Charging.
    Charge,
    /// What inertia changes.
    Turning,
    /// Rest speeds at idle.
    Idle,
}

impl Room {
    /// All, in the order in which they are told.
    pub const ALL: [Room; 7] = [Room::Curve, Room::Knock, Room::Spark, Room::Signal, Room::Charge, Room::Turning, Room::Idle];
}

/// A number that is laid beside itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Advance at the kick [rad].
    AdvanceKick,
    /// At the idle seen [rad].
    AdvanceIdle,
    /// At 2000 rpm [rad].
    Advance2000,
    /// At the top speed [rad].
    AdvanceTop,
    /// Least room of the curve below the knock limit, wide open [rad].
    KnockRoom,
    /// Voltage available at the kick [V].
    AvailableKick,
    /// Voltage needed there [V].
    NeededKick,
    /// One over the other \[1\].
    MarginKick,
    /// The margin at the top speed \[1\].
    MarginTop,
    /// The least at any speed \[1\].
    MarginLeast,
    /// The least in the worst of the ways in which an ignition gets worse \[1\].
    MarginWorst,
    /// The pickup's pulse at the kick over what the module needs, the weakest pickup \[1\].
    SignalKick,
    /// Lowest speed at which all pickups fire [rad/s].
    FiresFrom,
    /// Current into the battery at idle, everything on [A].
    AmpsIdle,
    /// The same at half the top speed [A].
    AmpsCruise,
    /// Volts at the battery there [V].
    VoltsCruise,
    /// Speed from which charging covers all loads [rad/s].
    BreakEven,
    /// The winding at the top speed, with the loads that heat it most [K].
    Winding,
    /// All that turns with the crank [kg·m²].
    Inertia,
    /// Unevenness within the turn at idle \[1\].
    Unevenness,
    /// Time from a quarter to three quarters of the top speed, wide open [s].
    RevUp,
    /// Time back from a blip, ignition cut [s].
    RunDown,
    /// Work of the burn against a kick over half of the energy of what turns \[1\]: from 1 it may turn back.
    KickBack,
    /// Idle speed that one percent of air moves [rad/s].
    Stiffness,
    /// Speed at which it hangs [rad/s].
    HangsAt,
    /// Share of a push at the idle that is left after a cycle \[1\]: above 1 it grows.
    PushIdle,
    /// The same where it hangs \[1\].
    PushHang,
}

impl What {
    /// The unit in which people say it.
    pub fn unit(self) -> Unit {
        match self {
            What::AdvanceKick | What::AdvanceIdle | What::Advance2000 | What::AdvanceTop => Unit::DegreeBtdc,
            What::KnockRoom => Unit::Degree,
            What::AvailableKick | What::NeededKick => Unit::Kilovolt,
            What::MarginKick
            | What::MarginTop
            | What::MarginLeast
            | What::MarginWorst
            | What::SignalKick
            | What::Unevenness
            | What::KickBack
            | What::PushIdle
            | What::PushHang => Unit::One,
            What::FiresFrom | What::BreakEven | What::Stiffness | What::HangsAt => Unit::Rpm,
            What::AmpsIdle | What::AmpsCruise => Unit::Ampere,
            What::VoltsCruise => Unit::Volt,
            What::Winding => Unit::Celsius,
            What::Inertia => Unit::KilogramSquareMetre,
            What::RevUp | What::RunDown => Unit::Second,
        }
    }
}

/// A number of one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// It.
    At(Finding),
    /// There is none: never.
    Never,
    /// At every speed.
    Always,
}

impl Told {
    /// The number.
    pub fn at(self) -> Option<Finding> {
        match self {
            Told::At(found) => Some(found),
            _ => None,
        }
    }
}

/// Something that would be wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Concern {
    /// The spark's margin may fall below one, in a way in which an ignition gets worse, or as found.
    NoSpark {
        /// Crank speed [rad/s].
        at_rad_s: f64,
        /// Margin.
        margin: Finding,
        /// Which way.
        case: Option<Case>,
    },
    /// The pickup's pulse may not reach what the module needs at the kick.
    NoSignal {
        /// Margin.
        margin: Finding,
    },
    /// At no speed the loads are covered.
    NeverCovers,
    /// Volts at the battery may boil it dry.
    Boils {
        /// The highest [V].
        volts: Finding,
        /// More than this boils it [V].
        limit_v: f64,
    },
    /// The winding may get warmer than its insulation bears.
    TooWarm {
        /// Its temperature [K].
        reaches: Finding,
        /// What it bears [K].
        bears_k: f64,
    },
    /// The winding would burn.
    RunsAway,
    /// A kick may turn back.
    KicksBack,
    /// The engine hangs above its idle.
    Hangs {
        /// There [rad/s].
        at_rad_s: f64,
    },
    /// The engine has no rest at the idle seen.
    NoRest,
    /// A push at idle grows from cycle to cycle.
    Hunts,
    /// The curve goes beyond the knock limit.
    Knocks {
        /// Furthest there, wide open [rad/s].
        at_rad_s: f64,
        /// What is left below the limit, less than nothing [rad].
        room: Finding,
    },
}

impl Concern {
    /// It cannot be let pass; any other may be, as the ± leave it open or the machine bears it.
    pub fn fails(self) -> bool {
        match self {
            Concern::NoSpark { margin, case: None, .. } | Concern::NoSignal { margin } => margin.si + margin.plus_minus_si < 1.0,
            Concern::Boils { volts, limit_v } => volts.si - volts.plus_minus_si > limit_v,
            Concern::TooWarm { reaches, bears_k } => reaches.si - reaches.plus_minus_si > bears_k,
            Concern::Knocks { room, .. } => room.si + room.plus_minus_si < 0.0,
            Concern::NeverCovers | Concern::RunsAway | Concern::KicksBack => true,
            Concern::Hangs { .. } | Concern::NoRest | Concern::Hunts => true,
            Concern::NoSpark { .. } => false,
        }
    }

    /// Whether both are of one sort.
    pub(super) fn like(&self, other: &Concern) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
            && match (self, other) {
                (Concern::NoSpark { case: a, .. }, Concern::NoSpark { case: b, .. }) => a == b,
                _ => true,
            }
    }
}

/// Why a study was not run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Skipped {
    /// Something of the ignition is missing.
    Spark(Held),
    /// Charging is not told.
    Charge(NotTold),
    /// The engine is not studied.
    Engine(NotStudied),
    /// There is no surface, so idle is not judged.
    NoSurface,
}

/// What came of one study.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct State {
    pub values: Vec<(What, Told)>,
    pub concerns: Vec<Concern>,
}
