//! What the rotor weighs and how hard it is to turn, against the scales and the swing.

use super::parts::Parts;
use crate::{
    machine::{Machine, rotor::Swing},
    study::Finding,
};
use physics::rotor::swing::on_three_wires;

/// The section's mass, centre and inertia.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Mass [kg].
    pub mass: Finding,
    /// Centre of mass along the axis, from the engine-side face [m].
    pub centre: Finding,
    /// Moment of inertia about the axis [kg·m²].
    pub inertia: Finding,
    /// Mass [kg] and inertia [kg·m²] of each piece by itself, its holes not taken off.
    pub pieces: Vec<[f64; 2]>,
    /// The same of each ring of magnets.
    pub magnets: Vec<[f64; 2]>,
    /// Against the scales [kg].
    pub weighed: Option<Check>,
    /// Against the swing on three wires [kg·m²].
    pub swung: Option<Check>,
}

/// What was computed against what was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// Read.
    pub read: Finding,
    /// Computed.
    pub computed: Finding,
}

impl Check {
    /// They lie no further apart than their ± together allow.
    pub fn agrees(&self) -> bool {
        (self.read.si - self.computed.si).abs() <= self.read.plus_minus_si.hypot(self.computed.plus_minus_si)
    }
}

/// Works it out.
pub(super) fn study(machine: &Machine, parts: &Parts) -> Section {
    let mass = parts.readings.finding(|x| parts.with(x).bulk().mass_kg);
    let inertia = parts.readings.finding(|x| parts.with(x).bulk().inertia_kg_m2);
    let centre = parts.readings.finding(|x| parts.with(x).bulk().centre_m());
    let work = parts.nominal();
    let weighed = machine.engine.rotor_mass.as_ref();
    let weighed = weighed.map(|m| Check { read: Finding { si: m.si, plus_minus_si: m.plus_minus_si }, computed: mass });
    let swing = machine.rotor.as_ref().and_then(|r| r.swing.as_ref());
    // What hangs on the wires is what the scales say, where they said it.
    let swung = swing.map(|s| Check { read: swung(s, weighed.map_or(mass, |w| w.read)), computed: inertia });
    let own = |b: physics::rotor::solid::Bulk| [b.mass_kg, b.inertia_kg_m2];
    Section {
        mass,
        centre,
        inertia,
        pieces: work.members.iter().map(|(m, _)| own(m.piece.bulk())).collect(),
        magnets: work.magnets.iter().map(|m| own(m.bulk())).collect(),
        weighed,
        swung,
    }
}

/// Inertia from the swing; its ± by moving each reading by its own.
fn swung(swing: &Swing, mass: Finding) -> Finding {
    let plate = swing.plate.as_ref();
    let at = |reading: &quantity::Reading| (reading.si, reading.plus_minus_si);
    let readings = [
        (mass.si, mass.plus_minus_si),
        at(&swing.radius),
        at(&swing.length),
        at(&swing.period),
        plate.map_or((0.0, 0.0), |p| at(&p.mass)),
        plate.map_or((0.0, 0.0), |p| at(&p.period)),
    ];
    let inertia = |x: [f64; 6]| on_three_wires(x[0] + x[4], x[1], x[2], x[3]) - on_three_wires(x[4], x[1], x[2], x[5]);
    let values = readings.map(|r| r.0);
    let moved = |k: usize| {
        let end = |sign: f64| {
            let mut x = values;
            x[k] += sign * readings[k].1;
            inertia(x)
        };
        0.5 * (end(1.0) - end(-1.0))
    };
    let plus_minus_si = (0..6).map(|k| moved(k).powi(2)).sum::<f64>().sqrt();
    Finding { si: inertia(values), plus_minus_si }
}
