//! What a cut of the trigger segment takes off, and what that does to the balance.

use super::{balance::Placed, judged_speed};
use crate::study::doubt::{Input, finding, input};
use crate::{
    machine::{Balancing, Machine, SegmentLength},
    study::{Finding, trim::TOLERANCE_M},
};
use physics::{
    balance::{Grade, permissible_unbalance, unbalance_of_cut},
    rim::Rim,
};

/// Density of the segment where the file has none, with its ± [kg/m³]: steel, 7850 (EN 1991-1-1:2002, table A.4: 77 to 78.5 kN/m³).
const STEEL: Input = (7850.0, 50.0);

/// Unbalance of the metal that a cut [m along the rim] takes off the trailing end [kg·m]. `None` without width and height of the segment.
pub fn taken_off(machine: &Machine, cut_m: f64) -> Option<Finding> {
    let trigger = machine.trigger.as_ref()?;
    let density = balancing(machine).map_or(STEEL, |b| input(&b.density));
    let inputs = [
        input(&trigger.rim_diameter),
        (cut_m, if cut_m > 0.0 { TOLERANCE_M } else { 0.0 }),
        input(trigger.segment_height.as_ref()?),
        input(trigger.segment_width.as_ref()?),
        density,
    ];
    Some(finding(|x| unbalance_of_cut(x[0], x[1], x[2], x[3], x[4]), &inputs))
}

/// The same, with the place of its middle on the rotor from the mark [rad]. `None` too without the segment's place in the file.
///
/// Places count in the turning direction, so the trailing end lies half the segment before its middle.
pub fn placed(machine: &Machine, cut_m: f64) -> Option<Placed> {
    let size = taken_off(machine, cut_m)?;
    let at = balancing(machine)?.segment_at.as_ref()?;
    let trigger = machine.trigger.as_ref()?;
    let (SegmentLength::Arc(length) | SegmentLength::Chord(length)) = &trigger.segment;
    let arc_m = |diameter_m: f64, length_m: f64| match &trigger.segment {
        SegmentLength::Arc(_) => Some(length_m),
        SegmentLength::Chord(_) => Rim::new(diameter_m, trigger.drive)?.arc_of_chord(length_m),
    };
    let inputs = [input(at), input(&trigger.rim_diameter), input(length), (cut_m, TOLERANCE_M)];
    let place = finding(|x| arc_m(x[1], x[2]).map_or(f64::NAN, |arc| x[0] - (arc - x[3]) / x[1]), &inputs);
    place.si.is_finite().then_some(Placed { size, place })
}

/// What the file lacks so that [`placed`] can tell where a cut is from.
pub fn needs(machine: &Machine) -> &'static str {
    let Some(trigger) = &machine.trigger else { return "trigger" };
    match (&trigger.segment_width, &trigger.segment_height, balancing(machine).and_then(|b| b.segment_at.as_ref())) {
        (None, ..) => "trigger.segment_width",
        (_, None, _) => "trigger.segment_height",
        (.., None) => "rotor.balance.segment_at",
        _ => "trigger.segment_chord",
    }
}

/// Unbalance that the grade permits at the speed the rotor is judged at [kg·m]; G 6.3, which flywheels are kept to, where the file names none.
/// `None` without the rotor's mass.
pub fn permitted(machine: &Machine) -> Option<f64> {
    let grade = balancing(machine).map_or(Grade::G6_3, |b| b.grade);
    Some(permissible_unbalance(grade, machine.engine.rotor_mass.as_ref()?.si, judged_speed(machine).si))
}

fn balancing(machine: &Machine) -> Option<&Balancing> {
    machine.rotor.as_ref()?.held.balance.as_ref()
}
