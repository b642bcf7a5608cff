//! A part put into the machine: the machine as it would then be measured, and what the studies make of it.
//!
//! [`with_part`] makes the changed machine, [`Refit`] runs the studies on it and lays them beside those of the machine as it is. What a study needs of a part
//! and the part does not say is named; nothing is guessed in its place.

mod charging;
mod curve;
mod effect;
mod idle;
mod knock;
mod spark;
mod told;
mod turning;

pub use effect::{Change, Effect, Outcome, Refit};
pub use told::{Concern, Room, Skipped, Told, What};

use super::{
    kind::{Kind, Kinds, Measure},
    shelf::Part,
    value::Value,
};
use crate::machine::{
    LawData, Machine, PulseSeen,
    charging::{Choke, Keeps},
};
use crate::study::Finding;
use physics::charge;
use quantity::{Reading, Source, Unit};

/// Temperature at which a part's ohms are read, and its ± [°C] (own choice): a room.
const ROOM_C: f64 = 20.0;
const ROOM_PM_C: f64 = 5.0;
/// The speed for which volts without load are told [rpm], by definition of the attribute.
const VOLTS_AT_RPM: f64 = 1000.0;
/// The speed for which an advance is told [rpm], by definition of the attribute.
const ADVANCE_AT_RPM: f64 = 2000.0;

/// Why a part cannot be put into the machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lacks {
    /// The part was not measured in this, by the kind's and the attribute's place.
    Part {
        /// Kind.
        kind: usize,
        /// Attribute.
        attribute: usize,
    },
    /// The machine's file has nothing at this path.
    Machine(&'static str),
    /// Points of the module's curve do not rise in speed, or are fewer than two.
    Points,
    /// Nothing is computed for parts of this kind.
    NotComputed,
}

/// What was taken for granted on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// Its ohms were read at 20 ± 5 °C.
    Room,
    /// Warm as the old one gets in that place.
    WarmAsBefore,
    /// All pickups of the machine are of this type, each at the gap at which its volts were read.
    EveryPickup,
    /// The leading edge of the segment stands where the old one's stood.
    LeadingEdge,
    /// The module's curve as measured holds for every cylinder.
    CurveForAll,
    /// Three windings count as a star: between its leads a ring is the same.
    Star,
    /// The stator was measured in this rotor, or in the one that is put in with it.
    InItsRotor,
    /// A regulator's diodes drop as much as the old one's.
    DiodesAsBefore,
}

/// A machine with other parts in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The machine as it would be measured.
    pub machine: Machine,
    /// Angle of the new segment on the rotor [rad], where there is one.
    pub segment: Option<Finding>,
    /// The module has a curve of its own, so that strobe readings of the old one no longer count.
    pub own_curve: bool,
    /// What was taken for granted.
    pub taken: Vec<Taken>,
}

/// Puts a part into a machine.
///
/// # Errors
/// All that is [`Lacks`].
///
/// ```
/// use workshop::{machine, study::part::{Shelf, base, with_part}};
/// let (corran, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let shelf = Shelf::toml(base(), "[[part]]\nid = 'a'\nkind = 'regulator'\nmeasured = 'meter'\nset_point = '14.0 ± 0.1 V'\nregulates = 'series'").unwrap();
/// let fitted = with_part(base(), &corran, &shelf.parts()[0]).unwrap();
/// assert!(matches!(&fitted.machine.electric.charging.unwrap().keeps, machine::charging::Keeps::Series(v) if v.si == 14.0));
/// ```
pub fn with_part(kinds: &Kinds, machine: &Machine, part: &Part) -> Result<Fitted, Vec<Lacks>> {
    with_parts(kinds, machine, &[part])
}

/// Puts several parts into a machine, in any order.
///
/// # Errors
/// All that is [`Lacks`], of all of them.
pub fn with_parts(kinds: &Kinds, machine: &Machine, parts: &[&Part]) -> Result<Fitted, Vec<Lacks>> {
    let mut fitted = Fitted { machine: machine.clone(), segment: None, own_curve: false, taken: Vec::new() };
    let mut lacks = Vec::new();
    // A rotor first: a stator that comes with it was measured in it.
    let mut order: Vec<&&Part> = parts.iter().collect();
    order.sort_by_key(|p| kinds.list[p.kind].id != "rotor");
    for part in order {
        let kind = &kinds.list[part.kind];
        let mut has = Has { k: part.kind, kind, part, lacks: Vec::new() };
        let put = if kind.own {
            None
        } else {
            match kind.id.as_str() {
                "coil" => has.coil(&mut fitted),
                "pickup" => has.pickup(&mut fitted),
                "module" => has.module(&mut fitted),
                "stator" => has.stator(&mut fitted),
                "rotor" => has.rotor(&mut fitted),
                "regulator" => has.regulator(&mut fitted),
                "condenser" => has.condenser(&mut fitted),
                _ => None,
            }
        };
        if put.is_none() && has.lacks.is_empty() {
            has.lacks.push(Lacks::NotComputed);
        }
        lacks.append(&mut has.lacks);
    }
    lacks.dedup();
    if lacks.is_empty() { Ok(fitted) } else { Err(lacks) }
}

/// What a part says of itself, and what it lacks.
struct Has<'a> {
    k: usize,
    kind: &'a Kind,
    part: &'a Part,
    lacks: Vec<Lacks>,
}

/// A reading made of a number.
fn reading(si: f64, plus_minus_si: f64, unit: Unit) -> Reading {
    Reading { si, plus_minus_si, unit, source: Source::NotStated }
}

impl Has<'_> {
    /// A number, where it was measured.
    fn maybe(&self, id: &str) -> Option<Reading> {
        match self.part.values.get(self.kind.named(id)?)?.as_ref()? {
            Value::Number { reading, .. } => Some(reading.clone()),
            Value::Word(_) => None,
        }
    }

    /// A number that is needed.
    fn number(&mut self, id: &str) -> Option<Reading> {
        let found = self.maybe(id);
        if found.is_none() {
            self.lack(id);
        }
        found
    }

    /// A word that is needed.
    fn word(&mut self, id: &str) -> Option<String> {
        let a = self.kind.named(id);
        let found = a.and_then(|a| match (&self.part.values[a], &self.kind.attributes[a].measure) {
            (Some(Value::Word(w)), Measure::Words(words)) => words.get(*w).cloned(),
            _ => None,
        });
        if found.is_none() {
            self.lack(id);
        }
        found
    }

    fn lack(&mut self, id: &str) {
        if let Some(attribute) = self.kind.named(id) {
            self.lacks.push(Lacks::Part { kind: self.k, attribute });
        }
    }

    fn of_machine(&mut self, path: &'static str) -> Option<()> {
        self.lacks.push(Lacks::Machine(path));
        None
    }

    fn coil(&mut self, fitted: &mut Fitted) -> Option<()> {
        let read = [
            "primary_resistance",
            "primary_inductance",
            "turns_ratio",
            "coupling",
            "secondary_resistance",
            "winding_capacitance",
        ]
        .map(|id| self.number(id));
        let Some(coil) = &mut fitted.machine.ignition.coil else { return self.of_machine("coil") };
        let [Some(ohm), Some(henry), Some(turns), Some(coupling), Some(secondary), Some(winding)] = read else { return None };
        coil.primary_resistance = ohm;
        coil.primary_inductance = henry;
        coil.turns = turns;
        coil.coupling = coupling;
        coil.secondary_resistance = secondary;
        coil.winding = winding;
        coil.read_at = reading(Unit::Celsius.to_si(ROOM_C), ROOM_PM_C, Unit::Celsius);
        fitted.taken.extend([Taken::Room, Taken::WarmAsBefore]);
        Some(())
    }

    fn condenser(&mut self, fitted: &mut Fitted) -> Option<()> {
        let farad = self.number("capacitance");
        let Some(breaker) = &mut fitted.machine.ignition.breaker else { return self.of_machine("breaker") };
        breaker.condenser = farad?;
        Some(())
    }

    fn pickup(&mut self, fitted: &mut Fitted) -> Option<()> {
        let volts = self.number("kick_volts");
        let kick = fitted.machine.engine.kicking_speed.clone();
        let Some(trigger) = &mut fitted.machine.trigger else { return self.of_machine("trigger") };
        let threshold = trigger.pickups.iter().find_map(|p| p.pulse.as_ref()).map(|p| p.threshold.clone());
        let Some(threshold) = threshold else { return self.of_machine("trigger.pickup.pulse") };
        let volts = volts?;
        for pickup in &mut trigger.pickups {
            pickup.pulse = Some(PulseSeen { volts: volts.clone(), speed: kick.clone(), threshold: threshold.clone() });
        }
        fitted.taken.push(Taken::EveryPickup);
        Some(())
    }

    fn module(&mut self, fitted: &mut Fitted) -> Option<()> {
        if let (Some(needs), Some(trigger)) = (self.maybe("trigger_volts"), &mut fitted.machine.trigger) {
            trigger.pickups.iter_mut().filter_map(|p| p.pulse.as_mut()).for_each(|p| p.threshold = needs.clone());
        }
        let read = ["start_speed", "advance_start", "full_speed", "advance_full"].map(|id| self.number(id));
        let [Some(start), Some(least), Some(full), Some(most)] = read else { return None };
        let at = reading(Unit::Rpm.to_si(ADVANCE_AT_RPM), 0.0, Unit::Rpm);
        let between = self.maybe("advance_2000").filter(|_| start.si < at.si && at.si < full.si).map(|advance| (at, advance));
        if start.si >= full.si {
            self.lacks.push(Lacks::Points);
            return None;
        }
        let points = [Some((start, least)), between, Some((full, most))];
        fitted.machine.law = Some(LawData::Table(points.into_iter().flatten().collect()));
        fitted.machine.strobe = Vec::new();
        fitted.own_curve = true;
        fitted.taken.push(Taken::CurveForAll);
        Some(())
    }

    fn stator(&mut self, fitted: &mut Fitted) -> Option<()> {
        let read = ["volts_at_1000", "winding_resistance", "winding_inductance", "poles"].map(|id| self.number(id));
        let (phases, winding) = (self.word("phases"), self.word("winding"));
        let Some(charging) = &mut fitted.machine.electric.charging else { return self.of_machine("charging") };
        let [Some(volts), Some(ohm), Some(henry), Some(poles)] = read else { return None };
        charging.kind = match (phases?.as_str(), winding?.as_str(), charging.kind) {
            ("three", _, kind @ (charge::Kind::Star | charge::Kind::Delta)) => kind,
            ("three", _, _) => {
                fitted.taken.push(Taken::Star);
                charge::Kind::Star
            }
            (_, "earthed", _) => charge::Kind::HalfWave,
            _ => charge::Kind::FullWave,
        };
        charging.pole_pairs = pairs(&poles)?;
        charging.no_load_volts = volts;
        charging.no_load_speed = reading(Unit::Rpm.to_si(VOLTS_AT_RPM), 0.0, Unit::Rpm);
        charging.resistance = ohm;
        charging.resistance_at = reading(Unit::Celsius.to_si(ROOM_C), ROOM_PM_C, Unit::Celsius);
        charging.choke = Some(Choke::Inductance(henry));
        charging.seen = Vec::new();
        fitted.taken.extend([Taken::InItsRotor, Taken::WarmAsBefore]);
        Some(())
    }

    fn regulator(&mut self, fitted: &mut Fitted) -> Option<()> {
        let (volts, how) = (self.number("set_point"), self.word("regulates"));
        let Some(charging) = &mut fitted.machine.electric.charging else { return self.of_machine("charging") };
        let volts = volts?;
        charging.keeps = if how?.as_str() == "shunt" { Keeps::Shunt(volts) } else { Keeps::Series(volts) };
        charging.seen = Vec::new();
        fitted.taken.push(Taken::DiodesAsBefore);
        Some(())
    }

    fn rotor(&mut self, fitted: &mut Fitted) -> Option<()> {
        let inertia = self.number("inertia");
        let Some(old) = crate::study::rotor::inertia(&fitted.machine) else { return self.of_machine("rotor") };
        let inertia = inertia?;
        let turns = fitted.machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn()).powi(2);
        let all = &mut fitted.machine.engine.inertia;
        all.si += (inertia.si - old.si) * turns;
        all.plus_minus_si = all.plus_minus_si.hypot(turns * inertia.plus_minus_si.hypot(old.plus_minus_si));
        if all.si <= 0.0 {
            return self.of_machine("engine.inertia");
        }
        // Its section was not measured; that of the old one is no longer true.
        fitted.machine.rotor = None;
        if let Some(arc) = self.maybe("segment_arc") {
            fitted.segment = Some(Finding::of(&arc));
            fitted.taken.push(Taken::LeadingEdge);
        }
        if let (Some(volts), Some(charging)) = (self.maybe("volts_at_1000"), &mut fitted.machine.electric.charging) {
            charging.no_load_volts = volts;
            charging.no_load_speed = reading(Unit::Rpm.to_si(VOLTS_AT_RPM), 0.0, Unit::Rpm);
            charging.seen = Vec::new();
            if let Some(found) = self.maybe("poles").as_ref().and_then(pairs) {
                charging.pole_pairs = found;
            }
        }
        Some(())
    }
}

/// Pole pairs of a count of poles.
fn pairs(poles: &Reading) -> Option<u8> {
    let pairs = (0.5 * poles.si).round();
    (1.0..=f64::from(u8::MAX)).contains(&pairs).then_some(pairs as u8)
}
