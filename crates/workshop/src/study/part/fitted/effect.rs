//! Before and after: what the studies make of the machine as it is and with other parts in it.

use super::{
    super::{
        kind::Kinds,
        rank::{Matched, Ranked, Verdict},
        shelf::Part,
    },
    Fitted, Lacks, Taken, charging, curve, idle, knock, spark,
    told::{Concern, Room, Skipped, State, Told, What},
    turning, with_parts,
};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        electric::charge::greatest,
        engine,
        known::Known,
        load::{Bound, knock_limits},
        model::EngineModel,
        rotor::Turns,
        spark::{
            Held, gives,
            margin::{self, Gives},
            needed::Strokes,
        },
    },
};
use rayon::prelude::*;
use std::sync::{Arc, OnceLock};

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
/// Speeds [rad/s] with their knock limits.
type Limits = Result<Vec<(f64, Bound)>, NotStudied>;

/// The machine as it is, with its studies at hand, and parts put into it.
pub struct Refit<'a> {
    kinds: &'a Kinds,
    machine: &'a Machine,
    curve: Result<&'a CurveStudy, NotStudied>,
    model: Option<&'a EngineModel>,
    before: [Known<0, Found>; Room::ALL.len()],
    /// What its ignition gives.
    gives: Known<0, Arc<Result<Gives, Held>>>,
    /// Where its engine knocks, how it compresses, and how it turns: no part moves them.
    knocks: Known<0, Arc<Limits>>,
    strokes: OnceLock<Strokes<'a>>,
    turns: OnceLock<Result<Turns<'a>, NotStudied>>,
}

impl<'a> Refit<'a> {
    /// Of a machine. `model` is the engine's surface, where there is one; without it rest speeds are not told.
    pub fn new(
        kinds: &'a Kinds,
        machine: &'a Machine,
        curve: Result<&'a CurveStudy, NotStudied>,
        model: Option<&'a EngineModel>,
    ) -> Self {
        let before = std::array::from_fn(|_| Known::default());
        let (gives, knocks) = (Known::default(), Known::default());
        let (strokes, turns) = (OnceLock::new(), OnceLock::new());
        Self { kinds, machine, curve, model, before, gives, knocks, strokes, turns }
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
    /// let effect = Refit::new(base(), &corran, Ok(&curve), None).effect(&[&shelf.parts()[0]]).unwrap();
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
            Room::Curve | Room::Knock => curve_moves,
            Room::Spark => machine.ignition.said() && (machine.ignition != self.machine.ignition || curve_moves),
            Room::Signal => machine.trigger != self.machine.trigger,
            Room::Charge => machine.electric != self.machine.electric,
            Room::Turning => machine.engine.inertia != self.machine.engine.inertia || curve_moves,
            Room::Idle => (curve_moves || machine.engine.inertia != self.machine.engine.inertia) && self.machine.idle.is_some(),
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
            let before = self.before[room as usize].or([], || self.study(room, self.machine, self.curve));
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

    /// The most that the alternator gives with parts in the machine [A]; `None` where they lack something for it, or the machine does.
    pub fn gives(&self, parts: &[&Part]) -> Option<Finding> {
        let fitted = with_parts(self.kinds, self.machine, parts).ok()?;
        greatest(&fitted.machine).ok()
    }

    fn study(&self, room: Room, machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Found {
        match room {
            Room::Curve => curve::state(machine, curve),
            Room::Knock => knock::state(&self.knocks.or([], || Arc::new(self.knock_limits())), curve),
            Room::Spark => self.margins(machine, curve),
            Room::Signal => spark::signal(machine, curve),
            Room::Charge => charging::state(machine),
            Room::Turning => turning::state(machine, self.turns(), curve),
            Room::Idle => idle::state(machine, curve, self.model),
        }
    }

    fn knock_limits(&self) -> Result<Vec<(f64, Bound)>, NotStudied> {
        Ok(knock_limits(self.machine, &*engine::cycle(self.machine)?))
    }

    fn turns(&self) -> Result<&Turns<'a>, NotStudied> {
        self.turns.get_or_init(|| Turns::of(self.machine)).as_ref().map_err(|why| *why)
    }

    /// What the gap asks for moves with the curve and the plug alone, what the ignition gives with its parts alone.
    fn margins(&self, machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Found {
        let strokes = self.strokes.get_or_init(|| margin::strokes(self.machine));
        let needed = margin::needed(strokes, machine, curve.ok());
        if machine.ignition == self.machine.ignition {
            return spark::margins(&needed, &self.gives.or([], || Arc::new(gives(machine))));
        }
        spark::margins(&needed, &gives(machine))
    }

    /// The best `most` of a match that are not ruled out, each in the machine; the same order.
    pub fn best(&self, matched: &Matched<'_>, most: usize) -> Vec<(Ranked, Result<Effect, Vec<Lacks>>)> {
        let chosen: Vec<&Ranked> = matched.ranked.iter().filter(|r| r.verdict != Verdict::Blocked).take(most).collect();
        let put = |ranked: &Ranked| (*ranked, self.effect(&[matched.part(ranked)]));
        // The first alone: what the machine does as it is, is then known to all others.
        let Some((first, others)) = chosen.split_first() else { return Vec::new() };
        std::iter::once(put(first)).chain(others.par_iter().map(|ranked| put(ranked)).collect::<Vec<_>>()).collect()
    }
}
