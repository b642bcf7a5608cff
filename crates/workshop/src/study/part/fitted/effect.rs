//! Before and after: what the studies make of the machine as it is and with other parts in it.

use super::{
    super::{
        kind::Kinds,
        rank::{Matched, Ranked, Verdict},
        shelf::Part,
    },
    Fitted, Lacks, Taken, charging, curve, idle, spark, turning, with_parts,
};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        electric::NotTold,
        model::EngineModel,
        spark::{Held, margin::Case},
    },
};
use quantity::Unit;
use rayon::prelude::*;
use std::sync::OnceLock;

/// A study that is run again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Room {
    /// Where the spark comes.
    Curve,
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
    pub const ALL: [Room; 6] = [Room::Curve, Room::Spark, Room::Signal, Room::Charge, Room::Turning, Room::Idle];
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
}

impl What {
    /// The unit in which people say it.
    pub fn unit(self) -> Unit {
        match self {
            What::AdvanceKick | What::AdvanceIdle | What::Advance2000 | What::AdvanceTop => Unit::DegreeBtdc,
            What::AvailableKick | What::NeededKick => Unit::Kilovolt,
            What::MarginKick
            | What::MarginTop
            | What::MarginLeast
            | What::MarginWorst
            | What::SignalKick
            | What::Unevenness
            | What::KickBack => Unit::One,
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
}

impl Concern {
    /// It cannot be let pass; any other may be, as the ± leave it open or the machine bears it.
    pub fn fails(self) -> bool {
        match self {
            Concern::NoSpark { margin, case: None, .. } | Concern::NoSignal { margin } => margin.si + margin.plus_minus_si < 1.0,
            Concern::Boils { volts, limit_v } => volts.si - volts.plus_minus_si > limit_v,
            Concern::TooWarm { reaches, bears_k } => reaches.si - reaches.plus_minus_si > bears_k,
            Concern::NeverCovers | Concern::RunsAway | Concern::KicksBack | Concern::Hangs { .. } | Concern::NoRest => true,
            Concern::NoSpark { .. } => false,
        }
    }

    /// Whether both are of one sort.
    fn like(&self, other: &Concern) -> bool {
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

/// One number, before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Which.
    pub what: What,
    /// As the machine is; `None` where it is not told.
    pub before: Option<Told>,
    /// With the parts in it.
    pub after: Told,
}

/// What the parts would do in the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// What changes, in the order of [`Room::ALL`].
    pub changes: Vec<Change>,
    /// What would be wrong, and is not now.
    pub concerns: Vec<Concern>,
    /// What is wrong now and would stay.
    pub stays: Vec<Concern>,
    /// What is wrong now and would no longer be.
    pub mended: Vec<Concern>,
    /// What was taken for granted.
    pub taken: Vec<Taken>,
    /// Studies that ought to be run again and could not be.
    pub skipped: Vec<(Room, Skipped)>,
}

/// What that comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Nothing speaks against it.
    Works,
    /// What is open or wrong now stays so; nothing is added.
    AsNow,
    /// The ± leave it open, or a study that it touches could not be run.
    Open,
    /// It would not work.
    Fails,
}

impl Effect {
    /// What it comes to.
    pub fn outcome(&self) -> Outcome {
        match (&self.concerns[..], &self.stays[..]) {
            (new, _) if new.iter().any(|c| c.fails()) => Outcome::Fails,
            (new, _) if !new.is_empty() || !self.skipped.is_empty() => Outcome::Open,
            (_, []) => Outcome::Works,
            _ => Outcome::AsNow,
        }
    }
}

type Found = Result<State, Skipped>;

/// The machine as it is, with its studies at hand, and parts put into it.
pub struct Refit<'a> {
    kinds: &'a Kinds,
    machine: &'a Machine,
    curve: Result<&'a CurveStudy, NotStudied>,
    model: Option<&'a EngineModel>,
    before: [OnceLock<Found>; Room::ALL.len()],
}

impl<'a> Refit<'a> {
    /// Of a machine. `model` is the engine's surface, where there is one; without it rest speeds are not told.
    pub fn new(
        kinds: &'a Kinds,
        machine: &'a Machine,
        curve: Result<&'a CurveStudy, NotStudied>,
        model: Option<&'a EngineModel>,
    ) -> Self {
        Self { kinds, machine, curve, model, before: std::array::from_fn(|_| OnceLock::new()) }
    }

    /// What parts would do.
    ///
    /// # Errors
    /// All that is [`Lacks`] of them or of the machine.
    ///
    /// ```
    /// use workshop::{machine, study::{curve, part::{Outcome, Refit, Shelf, What, base}}};
    /// let (corran, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
    /// let curve = curve::study(&corran).unwrap();
    /// let shelf = Shelf::toml(base(), "[[part]]\nid = 'a'\nkind = 'pickup'\nmeasured = 'peak-hold adaptor'\nkick_volts = '0.2 ± 0.1 V'").unwrap();
    /// let effect = Refit::new(base(), &corran, Ok(&curve), None).effect(&[&shelf.parts[0]]).unwrap();
    /// assert_eq!((effect.changes[0].what, effect.outcome()), (What::SignalKick, Outcome::Fails));
    /// ```
    pub fn effect(&self, parts: &[&Part]) -> Result<Effect, Vec<Lacks>> {
        let Fitted { machine, segment, own_curve, taken } = with_parts(self.kinds, self.machine, parts)?;
        let curve_moves = own_curve || segment.is_some();
        let moved = curve_moves.then(|| curve::moved(&machine, self.curve, segment.filter(|_| !own_curve)));
        let curve = match &moved {
            Some(found) => found.as_ref().map_err(|e| *e),
            None => self.curve,
        };
        let changed = |room: &Room| match room {
            Room::Curve => curve_moves,
            Room::Spark => machine.ignition.said() && (machine.ignition != self.machine.ignition || curve_moves),
            Room::Signal => machine.trigger != self.machine.trigger,
            Room::Charge => machine.electric != self.machine.electric,
            Room::Turning => machine.engine.inertia != self.machine.engine.inertia || curve_moves,
            Room::Idle => curve_moves && self.machine.idle.is_some(),
        };
        let mut effect = Effect {
            changes: Vec::new(),
            concerns: Vec::new(),
            stays: Vec::new(),
            mended: Vec::new(),
            taken,
            skipped: Vec::new(),
        };
        for room in Room::ALL.into_iter().filter(changed) {
            let before = self.before[room as usize].get_or_init(|| self.study(room, self.machine, self.curve));
            match self.study(room, &machine, curve) {
                Err(why) => effect.skipped.push((room, why)),
                Ok(after) => {
                    let known: &[(What, Told)] = before.as_ref().map_or(&[], |b| &b.values);
                    let was = |what: What| known.iter().find(|(w, _)| *w == what).map(|(_, told)| *told);
                    let changes =
                        after.values.iter().map(|(what, told)| Change { what: *what, before: was(*what), after: *told });
                    effect.changes.extend(changes);
                    let now: &[Concern] = before.as_ref().map_or(&[], |b| &b.concerns);
                    effect.mended.extend(now.iter().filter(|c| !after.concerns.iter().any(|a| a.like(c))));
                    // What only the ± leave open now, and surely fails with the part, is the part's.
                    let was = |c: &Concern| now.iter().any(|n| n.like(c) && (n.fails() || !c.fails()));
                    let (stays, new): (Vec<Concern>, Vec<Concern>) = after.concerns.into_iter().partition(was);
                    effect.stays.extend(stays);
                    effect.concerns.extend(new);
                }
            }
        }
        effect.taken.dedup();
        Ok(effect)
    }

    fn study(&self, room: Room, machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Found {
        match room {
            Room::Curve => curve::state(machine, curve),
            Room::Spark => spark::margins(machine, curve),
            Room::Signal => spark::signal(machine, curve),
            Room::Charge => charging::state(machine),
            Room::Turning => turning::state(machine, curve),
            Room::Idle => idle::state(machine, curve, self.model),
        }
    }

    /// The best `most` of a match that are not ruled out, each in the machine; the same order.
    pub fn best(&self, matched: &Matched<'_>, most: usize) -> Vec<(Ranked, Result<Effect, Vec<Lacks>>)> {
        let chosen: Vec<&Ranked> = matched.ranked.iter().filter(|r| r.verdict != Verdict::Blocked).take(most).collect();
        chosen.into_par_iter().map(|ranked| (*ranked, self.effect(&[matched.part(ranked)]))).collect()
    }
}
