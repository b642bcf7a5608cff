//! What a machine's own file and studies say of a part in its place.

use quantity::{Reading, Source, Unit};

use super::{
    kind::{Attribute, Measure},
    need::Wanted,
    value::word,
};
use crate::{
    machine::{
        Machine, SeenFrom, SegmentLength, Turns,
        charging::{Keeps, WindingKind},
        rotor::Sits,
        spark::Kind,
    },
    study::{Finding, fault::Studies},
};
use physics::{charge, rim::Rim};

/// Speeds whose ratio is below this count as the same for a pulse that was measured near the kick \[1\] (own choice).
const NEAR_KICK: f64 = 1.25;
/// A thousand and two thousand turns a minute [rad/s], by definition.
const THOUSAND_RPM: f64 = 1000.0 * std::f64::consts::TAU / 60.0;

/// What is wanted, and the path in the machine's file or the study that says so.
type Said = Option<(Wanted, &'static str)>;

/// What the machine says of an attribute; `None` where it says nothing.
pub(super) fn from_machine(machine: &Machine, studies: Studies<'_>, kind: &str, attribute: &Attribute) -> Said {
    let of = Of { machine, studies, attribute };
    match kind {
        "pickup" => of.pickup(),
        "module" => of.module(),
        "coil" => of.coil(),
        "stator" => of.stator(),
        "rotor" => of.rotor(),
        "regulator" => of.regulator(),
        "cap" => of.cap(),
        "condenser" => of.number(machine.ignition.breaker.as_ref().map(|b| &b.condenser), "breaker.condenser", "capacitance"),
        "bearing" => of.number(Some(&machine.engine.top_speed), "engine.top_speed", "speed"),
        _ => None,
    }
}

struct Of<'a> {
    machine: &'a Machine,
    studies: Studies<'a>,
    attribute: &'a Attribute,
}

impl Of<'_> {
    fn is(&self, id: &str) -> bool {
        self.attribute.id == id
    }

    /// A reading of the file, if this is the attribute.
    fn number(&self, reading: Option<&Reading>, path: &'static str, id: &str) -> Said {
        let reading = reading.filter(|_| self.is(id))?;
        Some((Wanted::Number { reading: reading.clone(), usual: false }, path))
    }

    fn computed(&self, finding: Option<Finding>, unit: Unit, path: &'static str) -> Said {
        let Finding { si, plus_minus_si } = finding?;
        let reading = Reading { si, plus_minus_si, unit, source: Source::NotStated };
        Some((Wanted::Number { reading, usual: false }, path))
    }

    fn count(&self, n: usize, path: &'static str) -> Said {
        self.computed((n > 0).then_some(Finding { si: n as f64, plus_minus_si: 0.0 }), Unit::One, path)
    }

    fn words(&self, wanted: &[&str], path: &'static str) -> Said {
        let Measure::Words(words) = &self.attribute.measure else { return None };
        let places: Vec<usize> = wanted.iter().filter_map(|w| word(words, w).ok()).collect();
        (!places.is_empty()).then_some((Wanted::Words(places), path))
    }

    fn ignition(&self) -> Option<Kind> {
        self.machine.ignition.spark.as_ref().map(|s| s.kind)
    }

    fn pickup(&self) -> Said {
        let pickups = self.machine.trigger.as_ref().map_or(&[][..], |t| &t.pickups);
        match self.attribute.id.as_str() {
            // The module's threshold: what any pickup has to reach.
            "kick_volts" => {
                let read = pickups.iter().filter_map(|p| p.pulse.as_ref()).map(|p| Finding::of(&p.threshold));
                self.computed(spanning(read), Unit::Volt, "trigger.pickup.pulse.threshold")
            }
            "least_gap" => {
                let least = pickups.iter().map(|p| &p.gap).min_by(|a, b| a.si.total_cmp(&b.si));
                self.number(least, "trigger.pickup.gap", "least_gap")
            }
            "resistance" => {
                let read = self.studies.windings?.windings.iter().filter(|w| w.kind == WindingKind::Pickup).map(|w| w.at_20);
                self.computed(spanning(read), Unit::Ohm, "winding")
            }
            _ => None,
        }
    }

    fn module(&self) -> Said {
        let pickups = self.machine.trigger.as_ref().map_or(&[][..], |t| &t.pickups);
        match self.attribute.id.as_str() {
            "feed" => match self.ignition()? {
                Kind::CapacitorFromSource => self.words(&["source coil"], "spark.kind"),
                _ => self.words(&["battery"], "spark.kind"),
            },
            "works" => self.words(&[if self.ignition()?.discharges() { "capacitor" } else { "inductive" }], "spark.kind"),
            "channels" => self.count(pickups.len(), "trigger.pickup"),
            "rev_ceiling" => self.number(Some(&self.machine.engine.top_speed), "engine.top_speed", "rev_ceiling"),
            "trigger_volts" => {
                let kick = self.machine.engine.kicking_speed.si;
                let near = |speed: f64| speed < NEAR_KICK * kick && kick < NEAR_KICK * speed;
                let pulses = pickups.iter().filter_map(|p| p.pulse.as_ref()).filter(|p| near(p.speed.si));
                self.computed(spanning(pulses.map(|p| Finding::of(&p.volts))), Unit::Volt, "trigger.pickup.pulse.volts")
            }
            "advance_2000" => self.computed(self.advance(Some(2.0 * THOUSAND_RPM)), Unit::DegreeBtdc, "curve"),
            "advance_full" => self.computed(self.advance(None), Unit::DegreeBtdc, "curve"),
            _ => None,
        }
    }

    /// Advance over all cylinders at a speed, or the most that the curve has.
    fn advance(&self, at_rad_s: Option<f64>) -> Option<Finding> {
        spanning(self.studies.curve?.cylinders.iter().filter_map(|c| match at_rad_s {
            None => c.band.iter().map(|p| p.advance).max_by(|a, b| a.si.total_cmp(&b.si)),
            Some(speed) => c.band.windows(2).find_map(|pair| {
                let (a, b) = (&pair[0], &pair[1]);
                let t = (speed - a.speed_rad_s) / (b.speed_rad_s - a.speed_rad_s);
                (0.0..=1.0).contains(&t).then(|| Finding {
                    si: a.advance.si + t * (b.advance.si - a.advance.si),
                    plus_minus_si: a.advance.plus_minus_si.max(b.advance.plus_minus_si),
                })
            }),
        }))
    }

    fn coil(&self) -> Said {
        let ignition = &self.machine.ignition;
        let coil = ignition.coil.as_ref();
        match self.attribute.id.as_str() {
            "system" => self.words(&[if self.ignition()?.discharges() { "capacitor" } else { "battery" }], "spark.kind"),
            "system_volts" => self.battery_volts(&["any"]),
            "primary_resistance" => {
                self.number(coil.map(|c| &c.primary_resistance), "coil.primary_resistance", "primary_resistance")
            }
            "secondary_resistance" => {
                self.number(coil.map(|c| &c.secondary_resistance), "coil.secondary_resistance", "secondary_resistance")
            }
            "primary_inductance" => {
                self.number(coil.map(|c| &c.primary_inductance), "coil.primary_inductance", "primary_inductance")
            }
            "turns_ratio" => self.number(coil.map(|c| &c.turns), "coil.turns_ratio", "turns_ratio"),
            "coupling" => self.number(coil.map(|c| &c.coupling), "coil.coupling", "coupling"),
            "winding_capacitance" => self.number(coil.map(|c| &c.winding), "coil.winding_capacitance", "winding_capacitance"),
            // What the gap asks for at the kick.
            "kilovolts" => {
                let needed = self.studies.spark.and_then(|s| s.margin.points.first()).map(|p| p.needed.volts);
                self.computed(needed, Unit::Kilovolt, "spark")
            }
            "standing_current" => {
                self.number(ignition.breaker.as_ref().map(|b| &b.greatest), "breaker.greatest_current", "standing_current")
            }
            _ => None,
        }
    }

    fn battery_volts(&self, also: &[&str]) -> Said {
        let volts = match self.machine.electric.battery.as_ref()?.cells {
            3 => "6 V",
            6 => "12 V",
            _ => return None,
        };
        self.words(&[&[volts], also].concat(), "battery.volts")
    }

    fn phases(&self) -> Said {
        let three = matches!(self.machine.electric.charging.as_ref()?.kind, charge::Kind::Star | charge::Kind::Delta);
        self.words(&[if three { "three" } else { "one" }], "charging.kind")
    }

    fn stator(&self) -> Said {
        let charging = self.machine.electric.charging.as_ref();
        match self.attribute.id.as_str() {
            "phases" => self.phases(),
            "winding" => {
                let earthed = charging?.kind == charge::Kind::HalfWave;
                self.words(&[if earthed { "earthed" } else { "floating" }], "charging.kind")
            }
            "source_coil" => match self.ignition()? {
                Kind::CapacitorFromSource => self.words(&["yes"], "spark.kind"),
                _ => self.words(&["yes", "no"], "spark.kind"),
            },
            "poles" => self.count(2 * usize::from(charging?.pole_pairs), "charging.pole_pairs"),
            "volts_at_1000" => self.volts_at_1000(),
            "winding_resistance" => self.number(charging.map(|c| &c.resistance), "charging.resistance", "winding_resistance"),
            _ => None,
        }
    }

    fn volts_at_1000(&self) -> Said {
        let charging = self.machine.electric.charging.as_ref()?;
        let (volts, speed) = (&charging.no_load_volts, &charging.no_load_speed);
        let si = volts.si * THOUSAND_RPM / speed.si;
        let share = (volts.plus_minus_si / volts.si).hypot(speed.plus_minus_si / speed.si);
        self.computed(Some(Finding { si, plus_minus_si: si * share }), Unit::Volt, "charging.no_load_volts")
    }

    fn rotor(&self) -> Said {
        let machine = self.machine;
        let rotor = machine.rotor.as_ref();
        match self.attribute.id.as_str() {
            "taper_ratio" => self.number(rotor?.held.taper.as_ref().map(|t| &t.ratio), "rotor.taper.ratio", "taper_ratio"),
            "taper_diameter" => {
                let large = rotor?.held.taper.as_ref().map(|t| &t.large_diameter);
                self.number(large, "rotor.taper.large_diameter", "taper_diameter")
            }
            "turns" => {
                let trigger = machine.trigger.as_ref()?;
                let clockwise = (trigger.turns == Turns::Clockwise) == (trigger.seen_from == SeenFrom::CoverSide);
                self.words(&[if clockwise { "clockwise" } else { "anticlockwise" }, "either"], "trigger.turns")
            }
            "magnets" => match rotor?.magnets.first()?.sits {
                Sits::InsideRim => self.words(&["outside the stator"], "rotor.magnet.sits"),
                _ => None,
            },
            "poles" => self.count(2 * usize::from(machine.electric.charging.as_ref()?.pole_pairs), "charging.pole_pairs"),
            // A rotor that turns at half the speed of the crank is judged by its own.
            "top_speed" => {
                let turns = machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn());
                let top = Finding::of(&machine.engine.top_speed);
                let own = Finding { si: top.si * turns, plus_minus_si: top.plus_minus_si * turns };
                self.computed(Some(own), Unit::Rpm, "engine.top_speed")
            }
            "inside_diameter" => {
                let inside = rotor?.magnets.iter().filter(|m| m.sits == Sits::InsideRim).map(|m| &m.inside);
                self.number(inside.min_by(|a, b| a.si.total_cmp(&b.si)), "rotor.magnet.inside", "inside_diameter")
            }
            "segment_arc" => self.computed(self.segment(), Unit::Degree, "trigger.segment"),
            "inertia" => {
                let swung = rotor?.swing.is_some();
                let path = if swung { "rotor.swing" } else { "rotor.piece" };
                self.computed(crate::study::rotor::inertia(machine), Unit::KilogramSquareCentimetre, path)
            }
            "volts_at_1000" => self.volts_at_1000(),
            "taper_length" => self.number(rotor?.held.taper.as_ref().map(|t| &t.length), "rotor.taper.length", "taper_length"),
            _ => None,
        }
    }

    /// Angle of the segment on the rotor.
    fn segment(&self) -> Option<Finding> {
        let trigger = self.machine.trigger.as_ref()?;
        let angle = |length_m: f64, diameter_m: f64, chord: bool| {
            let rim = Rim::new(diameter_m, trigger.drive)?;
            let arc_m = if chord { rim.arc_of_chord(length_m)? } else { length_m };
            Some(rim.rotor_of_arc(arc_m).radians())
        };
        let (length, chord) = match &trigger.segment {
            SegmentLength::Arc(length) => (length, false),
            SegmentLength::Chord(length) => (length, true),
        };
        let rim = &trigger.rim_diameter;
        let si = angle(length.si, rim.si, chord)?;
        let by_length = angle(length.si + length.plus_minus_si, rim.si, chord)? - si;
        let by_rim = angle(length.si, rim.si + rim.plus_minus_si, chord)? - si;
        Some(Finding { si, plus_minus_si: by_length.hypot(by_rim) })
    }

    fn regulator(&self) -> Said {
        match self.attribute.id.as_str() {
            "phases" => self.phases(),
            "gives" => self.machine.electric.charging.as_ref().and_then(|_| self.words(&["direct current"], "charging")),
            "regulates" => match self.machine.electric.charging.as_ref()?.keeps {
                Keeps::Shunt(_) => self.words(&["shunt"], "charging.regulator"),
                Keeps::Series(_) => self.words(&["series"], "charging.regulator"),
                Keeps::Nothing => None,
            },
            "system_volts" => self.battery_volts(&[]),
            "amps" => {
                let most = self.studies.charge?.points.iter().map(|p| p.gives).max_by(|a, b| a.si.total_cmp(&b.si));
                self.computed(most, Unit::Ampere, "charge")
            }
            _ => None,
        }
    }

    fn cap(&self) -> Said {
        if !self.is("suppressor") {
            return None;
        }
        match self.ignition()? {
            Kind::Points => self.words(&["no", "yes"], "spark.kind"),
            _ => self.words(&["yes"], "spark.kind"),
        }
    }
}

/// The middle of several, with a ± that takes in them all.
fn spanning(all: impl Iterator<Item = Finding>) -> Option<Finding> {
    let (mut low, mut high, mut widest) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
    for f in all {
        (low, high, widest) = (low.min(f.si), high.max(f.si), widest.max(f.plus_minus_si));
    }
    (low <= high).then_some(Finding { si: 0.5 * (low + high), plus_minus_si: 0.5 * (high - low) + widest })
}
