//! What the rotor weighs and how hard it is to turn, against the scales and the swing.

use super::parts::Parts;
use crate::study::doubt::{finding, input};
use crate::{
    machine::{
        Machine,
        rotor::{Hung, RunDown, Swing},
    },
    study::{Check, Finding},
};
use physics::rotor::swing::{by_run_down, on_a_knife_edge, on_three_wires};

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
    /// Against the swing [kg·m²]; its read value is no number where a knife edge stands farther off than the time allows.
    pub swung: Option<Check>,
    /// All that turns with the crank by its run-downs, against what the file says of it [kg·m²].
    pub ran_down: Option<Check>,
}

/// Works it out.
pub(super) fn study(machine: &Machine, parts: &Parts) -> Section {
    let mass = parts.readings.finding(|x| parts.with(x).bulk().mass_kg);
    let inertia = parts.readings.finding(|x| parts.with(x).bulk().inertia_kg_m2);
    let centre = parts.readings.finding(|x| parts.with(x).bulk().centre_m());
    let work = parts.nominal();
    let weighed = machine.engine.rotor_mass.as_ref();
    let weighed = weighed.map(|m| Check { read: Finding::of(m), computed: mass });
    let rotor = machine.rotor.as_ref();
    let swing = rotor.and_then(|r| r.swing.as_ref());
    // What hangs there is what the scales say, where they said it.
    let swung = swing.map(|s| Check { read: swung(s, weighed.map_or(mass, |w| w.read)), computed: inertia });
    let all = &machine.engine.inertia;
    let ran_down = rotor.and_then(|r| r.run_down.as_ref()).map(|r| Check { read: ran_down(r), computed: Finding::of(all) });
    let own = |b: physics::rotor::solid::Bulk| [b.mass_kg, b.inertia_kg_m2];
    Section {
        mass,
        centre,
        inertia,
        pieces: work.members.iter().map(|(m, _)| own(m.piece.bulk())).collect(),
        magnets: work.magnets.iter().map(|m| own(m.bulk())).collect(),
        weighed,
        swung,
        ran_down,
    }
}

/// The rotor's own inertia [kg·m²]: by its swing where it was swung, otherwise by its section; `None` where neither tells it.
pub fn inertia(machine: &Machine) -> Option<Finding> {
    let rotor = machine.rotor.as_ref()?;
    let parts = if rotor.pieces.is_empty() { None } else { Parts::of(rotor) };
    let mass = machine.engine.rotor_mass.as_ref().map(Finding::of);
    let mass = mass.or_else(|| parts.as_ref().map(|p| p.readings.finding(|x| p.with(x).bulk().mass_kg)));
    let by_swing = rotor.swing.as_ref().zip(mass).map(|(swing, mass)| swung(swing, mass)).filter(|f| f.si.is_finite());
    by_swing.or_else(|| parts.map(|p| p.readings.finding(|x| p.with(x).bulk().inertia_kg_m2)))
}

/// Inertia from the swing; its ± by moving each reading by its own.
fn swung(swing: &Swing, mass: Finding) -> Finding {
    let by = [(mass.si, mass.plus_minus_si), input(&swing.radius), input(&swing.period)];
    match &swing.hung {
        Hung::Wires { length, plate } => {
            let (plate_mass, plate_period) =
                plate.as_ref().map_or(((0.0, 0.0), (0.0, 0.0)), |p| (input(&p.mass), input(&p.period)));
            let inputs = [by[0], by[1], by[2], input(length), plate_mass, plate_period];
            finding(|x| on_three_wires(x[0] + x[4], x[1], x[3], x[2]) - on_three_wires(x[4], x[1], x[3], x[5]), &inputs)
        }
        Hung::KnifeEdge => finding(|x| on_a_knife_edge(x[0], x[1], x[2]).unwrap_or(f64::NAN), &by),
    }
}

/// Inertia of all that turns, from the two run-downs.
fn ran_down(read: &RunDown) -> Finding {
    let inputs = [input(&read.disc), input(&read.without), input(&read.with_disc)];
    finding(|x| by_run_down(x[0], x[1], x[2]).unwrap_or(f64::NAN), &inputs)
}
