//! What was read to balance the rotor, and how it is put right.

use quantity::Reading;

use super::{
    SeenFrom,
    defect::Inconsistency,
    limits::*,
    walk::{Node, Walk},
};
use physics::balance::Grade;

/// A balancing run.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialRun {
    /// What the instrument shows, in its own unit.
    pub amplitude: Reading,
    /// Place on the rotor that stands at a fixed pointer at the peak, in the turning direction from the mark [rad].
    pub phase: Option<Reading>,
    /// Trial weight [kg], its radius [m], its place in the turning direction [rad]; `None` in a run without.
    pub weight: Option<[Reading; 3]>,
}

/// How an unbalance is put right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CorrectBy {
    /// Holes along the shaft.
    DrillAlong,
    /// Holes inward from the rim.
    DrillInward,
    /// A mass on the light side.
    Add,
}

/// What was read and chosen for balancing.
#[derive(Clone, Debug, PartialEq)]
pub struct Balancing {
    /// Grade to keep.
    pub grade: Grade,
    /// Whole swing of a gauge [m].
    pub run_out: Option<Reading>,
    /// Where the surface stands out most, in the turning direction [rad].
    pub run_out_at: Option<Reading>,
    /// Mass of the arbor [kg].
    pub arbor_mass: Reading,
    /// Arm of rolling friction [m].
    pub rolling_arm: Reading,
    /// How it is put right.
    pub correct_by: CorrectBy,
    /// Which face is drilled along the shaft.
    pub face: Option<SeenFrom>,
    /// At which radius [m].
    pub radius: Option<Reading>,
    /// Drill [m].
    pub drill: Reading,
    /// Deepest hole [m].
    pub deepest: Option<Reading>,
    /// Density of the metal [kg/m³].
    pub density: Reading,
    /// Place of the middle of the trigger segment, in the turning direction from the mark [rad].
    pub segment_at: Option<Reading>,
    /// Magnets weighed: mass [kg], radius [m], place in the turning direction [rad].
    pub magnets: Vec<[Reading; 3]>,
    /// Masses that together level it on knife edges: mass [kg], radius [m], place in the turning direction [rad].
    pub edges: Vec<[Reading; 3]>,
}

pub(super) fn read_trial(row: &Node<'_>, walk: &mut Walk<'_>) -> TrialRun {
    let weight = [&TRIAL_MASS, &TRIAL_RADIUS, &TRIAL_AT].map(|field| row.optional_reading(walk, field));
    let weight = match weight {
        [Some(mass), Some(radius), Some(at)] => Some([mass, radius, at]),
        [None, None, None] => None,
        _ => {
            let path = row.path.clone();
            walk.inconsistent(&path, Inconsistency::TrialIncomplete);
            None
        }
    };
    TrialRun { amplitude: row.reading(walk, &AMPLITUDE), phase: row.optional_reading(walk, &PHASE), weight }
}

pub(super) fn read(node: &Node<'_>, walk: &mut Walk<'_>) -> Balancing {
    node.refuse_unknown_in(walk, &BALANCE);
    Balancing {
        grade: node.pick(walk, &GRADE, Grade::ALL),
        run_out: node.optional_reading(walk, &RUN_OUT),
        run_out_at: node.optional_reading(walk, &RUN_OUT_AT),
        arbor_mass: node.reading(walk, &ARBOR_MASS),
        rolling_arm: node.reading(walk, &ROLLING_ARM),
        correct_by: node.pick(walk, &CORRECT_BY, [CorrectBy::DrillAlong, CorrectBy::DrillInward, CorrectBy::Add]),
        face: node.choice(walk, &DRILL_FACE).map(|k| [SeenFrom::CoverSide, SeenFrom::EngineSide][k.min(1)]),
        radius: node.optional_reading(walk, &CORRECT_RADIUS),
        drill: node.reading(walk, &DRILL),
        deepest: node.optional_reading(walk, &DEEPEST_HOLE),
        density: node.reading(walk, &RIM_DENSITY),
        segment_at: node.optional_reading(walk, &SEGMENT_AT),
        magnets: node.rows(walk, &WEIGHED, |row, walk| {
            [row.reading(walk, &WEIGHED_MASS), row.reading(walk, &WEIGHED_RADIUS), row.reading(walk, &WEIGHED_AT)]
        }),
        edges: node.rows(walk, &ON_EDGES, |row, walk| {
            [row.reading(walk, &EDGE_MASS), row.reading(walk, &EDGE_RADIUS), row.reading(walk, &EDGE_AT)]
        }),
    }
}
