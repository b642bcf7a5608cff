//! The pickups on their plate: which fires which cylinder, where it stands, how it senses the edge.

use super::super::{NotStudied, warning::Warning};
use crate::machine::{Machine, Pickup as PickupData, Polarity, SegmentLength, Trigger};
use physics::law::Pickup;
use physics::rim::Rim;
use quantity::{DriveRatio, Source};

/// Width of the pole along the rim [m], no source. Nothing in the machine file gives it; zero stands for a sharp pole. A wide pole
/// adds half of its width to the way ahead at every speed, which a lead found by strobe includes anyway.
const SHARP_POLE_M: f64 = 0.0;

/// What fires one group of cylinders.
#[derive(Clone, Debug)]
pub(super) struct Sensor {
    /// Place [rad], positive = earlier, and its standard uncertainty.
    pub place: (f64, f64),
    /// Nobody measured the place.
    pub place_unknown: bool,
    /// Its pulse, where measured here or on another pickup of the plate.
    pub pickup: Option<Pickup>,
    /// Leads reversed.
    pub reversed: bool,
}

/// All sensors, and which one each cylinder hangs on.
#[derive(Clone, Debug)]
pub(super) struct Plate {
    /// At least one.
    pub sensors: Vec<Sensor>,
    /// For each cylinder an index into `sensors`.
    pub of_cylinder: Vec<usize>,
    /// The segment's own measures.
    pub segment: Option<SegmentMeasured>,
}

/// The segment as measured: value and standard uncertainty.
#[derive(Clone, Copy, Debug)]
pub(super) struct SegmentMeasured {
    /// Lead [rad].
    pub lead: (f64, f64),
    /// Length as measured [m].
    pub length: (f64, f64),
    /// Was the length measured straight across?
    pub is_chord: bool,
    /// Rim diameter [m].
    pub diameter: (f64, f64),
    /// Drive.
    pub drive: DriveRatio,
}

impl SegmentMeasured {
    fn of(trigger: &Trigger) -> Self {
        let pair = |r: &quantity::Reading| (r.si, r.standard_uncertainty_si());
        let (length, is_chord) = match &trigger.segment {
            SegmentLength::Arc(arc) => (pair(arc), false),
            SegmentLength::Chord(chord) => (pair(chord), true),
        };
        Self { lead: pair(&trigger.lead), length, is_chord, diameter: pair(&trigger.rim_diameter), drive: trigger.drive }
    }

    /// Arc in crank angle [rad] for a length and a rim diameter [m].
    pub fn arc_rad(&self, length_m: f64, diameter_m: f64) -> Option<f64> {
        let rim = Rim::new(diameter_m, self.drive)?;
        let arc_m = if self.is_chord { rim.arc_of_chord(length_m)? } else { length_m };
        Some(rim.crank_of_arc(arc_m).radians())
    }

    /// Arc and its standard uncertainty [rad].
    pub fn arc(&self) -> Option<(f64, f64)> {
        let value = self.arc_rad(self.length.0, self.diameter.0)?;
        let change = |length: f64, diameter: f64| self.arc_rad(length, diameter).map_or(0.0, |a| a - value);
        let by_length = change(self.length.0 - self.length.1, self.diameter.0);
        let by_rim = change(self.length.0, self.diameter.0 + self.diameter.1);
        Some((value, by_length.hypot(by_rim)))
    }
}

impl Plate {
    /// From the machine file, with what must be said about it.
    pub fn of(machine: &Machine, warnings: &mut Vec<Warning>) -> Result<Self, NotStudied> {
        let cylinders = machine.engine.cylinders.len();
        if cylinders == 0 {
            return Err(NotStudied::NoCurve);
        }
        let unknown = || Sensor { place: (0.0, 0.0), place_unknown: true, pickup: None, reversed: false };
        let Some(trigger) = &machine.trigger else {
            // Points: every cylinder may have its own.
            return Ok(Self { sensors: vec![unknown(); cylinders], of_cylinder: (0..cylinders).collect(), segment: None });
        };
        let rim = Rim::new(trigger.rim_diameter.si, trigger.drive).ok_or(NotStudied::Impossible)?;
        let pulse = trigger.pickups.iter().find_map(|p| pulse(p, rim));
        let mut sensors: Vec<Sensor> = trigger.pickups.iter().map(|p| sensor(p, rim, pulse)).collect();
        let segment = SegmentMeasured::of(trigger);
        let arc = segment.arc().ok_or(NotStudied::Impossible)?;
        for (i, data) in trigger.pickups.iter().enumerate() {
            match data.polarity {
                Polarity::Right => {}
                Polarity::Reversed => warnings.push(Warning::PickupReversed { pickup: i, late_rad: arc.0 }),
                Polarity::Unknown => warnings.push(Warning::PolarityUnknown { pickup: i }),
            }
            if let Some(p) = sensors[i].pickup
                && p.lowest_firing_speed() > machine.engine.kicking_speed.si
            {
                warnings.push(Warning::WeakPulse { pickup: i, fires_from_rad_s: p.lowest_firing_speed() });
            }
        }
        let mut of_cylinder = Vec::with_capacity(cylinders);
        for cylinder in 0..cylinders {
            let fired_by = trigger.pickups.iter().position(|p| p.fires.contains(&cylinder));
            of_cylinder.push(fired_by.unwrap_or_else(|| {
                warnings.push(Warning::NoPickupFires { cylinder });
                sensors.push(unknown());
                sensors.len() - 1
            }));
        }
        Ok(Self { sensors, of_cylinder, segment: Some(segment) })
    }

    /// Sensor of a reading; `None` where it may be any.
    pub fn sensor_of(&self, cylinder: Option<usize>) -> Option<usize> {
        match cylinder {
            Some(c) => self.of_cylinder.get(c).copied(),
            None => (self.sensors.len() == 1).then_some(0),
        }
    }

    /// Is a pickup connected the wrong way round?
    pub fn any_reversed(&self) -> bool {
        self.sensors.iter().any(|s| s.reversed)
    }
}

fn sensor(data: &PickupData, rim: Rim, shared: Option<Pickup>) -> Sensor {
    let place = &data.place_error;
    Sensor {
        place: (place.si, place.standard_uncertainty_si()),
        place_unknown: place.plus_minus_si <= 0.0 && !matches!(place.source, Source::Measured { .. } | Source::Maker),
        // Pickups of one plate are alike but for their gaps.
        pickup: pulse(data, rim).or_else(|| shared.and_then(|p| p.with_gap(data.gap.si).ok())),
        reversed: data.polarity == Polarity::Reversed,
    }
}

fn pulse(data: &PickupData, rim: Rim) -> Option<Pickup> {
    let seen = data.pulse.as_ref()?;
    Pickup::from_pulse(rim, data.gap.si, SHARP_POLE_M, seen.volts.si, seen.speed.si, seen.threshold.si).ok()
}
