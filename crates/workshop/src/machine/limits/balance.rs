//! Balancing: runs, magnets weighed one by one, how it is put right.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

/// Least and greatest angle on the rotor [°]: one turn either way, by definition.
const ROUND: (f64, f64, U) = (-360.0, 360.0, U::Degree);
const ROUND_WHY: &str = "one turn either way";

pub(in super::super) const TRIAL_MASS: Field = reading(
    "rotor.trial.mass",
    "Trial weight; none in the run as found",
    D::Mass,
    (0.01, 200.0, U::Gram),
    "common practice: enough to change the reading by a third",
);
pub(in super::super) const TRIAL_RADIUS: Field =
    reading("rotor.trial.radius", "Its distance from the axis", D::Length, (5.0, 200.0, U::Millimetre), "on the rotor");
pub(in super::super) const TRIAL_AT: Field =
    reading("rotor.trial.at", "Its place, counted in the turning direction from the mark", D::Angle, ROUND, ROUND_WHY);
pub(in super::super) const AMPLITUDE: Field = reading(
    "rotor.trial.amplitude",
    "What the instrument shows, always in the same unit",
    D::Number,
    (0.0, 1e9, U::One),
    "never below nothing",
)
.required();
pub(in super::super) const PHASE: Field = reading(
    "rotor.trial.phase",
    "Place on the rotor that stands at a fixed pointer when the vibration peaks, counted in the turning direction from the mark",
    D::Angle,
    ROUND,
    ROUND_WHY,
);

pub(in super::super) static TRIAL: Section = Section {
    path: "rotor.trial",
    label: "Balancing runs, the first without a weight",
    many: true,
    required: false,
    fields: &[AMPLITUDE, PHASE, TRIAL_MASS, TRIAL_RADIUS, TRIAL_AT],
    sections: &[],
    variants: &[],
};

pub(in super::super) const WEIGHED_MASS: Field = reading(
    "rotor.balance.magnet.mass",
    "Mass of this magnet with what holds it",
    D::Mass,
    (0.2, 1000.0, U::Gram),
    "common practice: 5 to 60 g",
)
.required();
pub(in super::super) const WEIGHED_RADIUS: Field = reading(
    "rotor.balance.magnet.radius",
    "Distance of its middle from the axis",
    D::Length,
    (5.0, 200.0, U::Millimetre),
    "on the rotor",
)
.required();
pub(in super::super) const WEIGHED_AT: Field =
    reading("rotor.balance.magnet.at", "Its place, counted in the turning direction from the mark", D::Angle, ROUND, ROUND_WHY)
        .required();

pub(in super::super) static WEIGHED: Section = Section {
    path: "rotor.balance.magnet",
    label: "Magnets weighed one by one",
    many: true,
    required: false,
    fields: &[WEIGHED_MASS, WEIGHED_RADIUS, WEIGHED_AT],
    sections: &[],
    variants: &[],
};

pub(in super::super) const EDGE_MASS: Field = reading(
    "rotor.balance.edges.mass",
    "Mass stuck on so that the rotor lies still on knife edges however it is turned; 0 where it does so by itself",
    D::Mass,
    (0.0, 200.0, U::Gram),
    "common practice: putty, weighed afterwards",
)
.required();
pub(in super::super) const EDGE_RADIUS: Field = reading(
    "rotor.balance.edges.radius",
    "Distance of its middle from the axis",
    D::Length,
    (5.0, 200.0, U::Millimetre),
    "on the rotor",
)
.required();
pub(in super::super) const EDGE_AT: Field =
    reading("rotor.balance.edges.at", "Its place, counted in the turning direction from the mark", D::Angle, ROUND, ROUND_WHY)
        .required();

pub(in super::super) static ON_EDGES: Section = Section {
    path: "rotor.balance.edges",
    label: "Masses that level the rotor on knife edges, all on at once",
    many: true,
    required: false,
    fields: &[EDGE_MASS, EDGE_RADIUS, EDGE_AT],
    sections: &[],
    variants: &[],
};

pub(in super::super) const GRADE: Field = other(
    "rotor.balance.grade",
    "Balance grade of ISO 21940-11 to keep",
    Kind::Choice(&["G 0.4", "G 1", "G 2.5", "G 6.3", "G 16", "G 40", "G 100"]),
    "flywheels are kept to G 6.3",
)
.or("G 6.3", "flywheels, by the standard's table");
pub(in super::super) const RUN_OUT: Field = reading(
    "rotor.balance.run_out",
    "Run-out of a surface that is round about the rotor's middle, whole swing of the gauge",
    D::Length,
    (0.0, 5.0, U::Millimetre),
    "common practice: under 0.10 mm",
);
pub(in super::super) const RUN_OUT_AT: Field = reading(
    "rotor.balance.run_out_at",
    "Where that surface stands out most, counted in the turning direction from the mark",
    D::Angle,
    ROUND,
    ROUND_WHY,
);
pub(in super::super) const ARBOR_MASS: Field = reading(
    "rotor.balance.arbor_mass",
    "Mass of the arbor on the knife edges",
    D::Mass,
    (1.0, 10000.0, U::Gram),
    "common practice: a few hundred grams",
)
.or("300 ± 200 g", "common practice, no source");
pub(in super::super) const ROLLING_ARM: Field = reading(
    "rotor.balance.rolling_arm",
    "Arm of rolling friction on the edges or rollers",
    D::Length,
    (0.0001, 1.0, U::Millimetre),
    "from ground hardened edges to soft rails",
)
.or("0.01 ± 0.005 mm", "common practice, no source: hardened and ground");
pub(in super::super) const CORRECT_BY: Field = other(
    "rotor.balance.correct_by",
    "How it is put right",
    Kind::Choice(&["drill along", "drill inward", "add"]),
    "metal comes off the heavy side or goes on the light one",
)
.or("drill along", "common practice: into the thick of the rim, along the shaft");
pub(in super::super) const DRILL_FACE: Field = other(
    "rotor.balance.face",
    "Face that is drilled along the shaft; nothing is drilled without it",
    Kind::Choice(&["cover side", "engine side"]),
    "the wrong face puts every hole in the wrong place",
);
pub(in super::super) const CORRECT_RADIUS: Field = reading(
    "rotor.balance.radius",
    "Distance from the axis at which it is put right",
    D::Length,
    (5.0, 200.0, U::Millimetre),
    "on the rotor, clear of the magnets",
);
pub(in super::super) const DRILL: Field =
    reading("rotor.balance.drill", "Diameter of the drill", D::Length, (1.0, 20.0, U::Millimetre), "common practice: 4 to 8 mm")
        .or("6 mm", "common practice, no source")
        .exact();
pub(in super::super) const DEEPEST_HOLE: Field = reading(
    "rotor.balance.deepest",
    "Deepest hole at full diameter that the metal there allows",
    D::Length,
    (0.2, 50.0, U::Millimetre),
    "magnets, webs and windings lie behind",
)
.exact();
pub(in super::super) const RIM_DENSITY: Field = reading(
    "rotor.balance.density",
    "Density of the metal that is drilled or cut",
    D::Density,
    (2500.0, 9000.0, U::KilogramPerCubicMetre),
    "from aluminium to copper alloys",
)
.or("7850 ± 50 kg/m³", "steel (common practice, no source)");

pub(in super::super) const SEGMENT_AT: Field = reading(
    "rotor.balance.segment_at",
    "Place of the middle of the trigger segment, counted in the turning direction from the mark",
    D::Angle,
    ROUND,
    "one turn either way; what is cut off the segment throws the rotor out from there",
);

pub(in super::super) static BALANCE: Section = Section {
    path: "rotor.balance",
    label: "Balance of the rotor",
    many: false,
    required: false,
    fields: &[
        GRADE,
        RUN_OUT,
        RUN_OUT_AT,
        ARBOR_MASS,
        ROLLING_ARM,
        CORRECT_BY,
        DRILL_FACE,
        CORRECT_RADIUS,
        DRILL,
        DEEPEST_HOLE,
        RIM_DENSITY,
        SEGMENT_AT,
    ],
    sections: &[&WEIGHED, &ON_EDGES],
    variants: &[],
};
