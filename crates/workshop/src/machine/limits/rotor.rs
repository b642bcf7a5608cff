//! The rotor in the hand: its section, its metal, its magnets, and where metal may come off.

use quantity::{Dimension as D, Unit as U};

use super::{BALANCE, BOND, FLUX, Field, Kind, MAGNET_GRADE, PULLER, Section, TAPER, TRIAL, other, reading};
use crate::machine::metal;

const SIZES: &str = "common practice: from a bare trigger disc to a large flywheel";
const PLACES: &str = "common practice: rotors are up to 150 mm long; negative where something stands out towards the engine";

pub(in super::super) const METAL: Field = other(
    "rotor.metal",
    "What the rotor is of; without it nothing is said of its strength",
    Kind::Choice(&metal::WORDS),
    "density, strength and stiffness come from it where they were not read",
);
pub(in super::super) const DENSITY: Field = reading(
    "rotor.density",
    "Density of its metal, where it was weighed",
    D::Density,
    (2500.0, 9000.0, U::KilogramPerCubicMetre),
    "from aluminium to copper alloys",
);
pub(in super::super) const PROOF_STRESS: Field = reading(
    "rotor.proof_stress",
    "0.2 % proof stress of its metal, from a certificate or a hardness test",
    D::Stress,
    (50.0, 2000.0, U::Megapascal),
    "from soft aluminium to hardened steel",
);
pub(in super::super) const TENSILE_STRENGTH: Field = reading(
    "rotor.tensile_strength",
    "Tensile strength of its metal, from a certificate or a hardness test",
    D::Stress,
    (80.0, 2500.0, U::Megapascal),
    "from soft aluminium to hardened steel",
);
pub(in super::super) const ROTOR_TOP_SPEED: Field = reading(
    "rotor.top_speed",
    "Greatest speed that its maker allows it; without it no cut is advised",
    D::Speed,
    (1500.0, 30000.0, U::Rpm),
    "common practice: from slow singles to small racing engines",
)
.exact();
pub(in super::super) const CORNER: Field = reading(
    "rotor.corner",
    "Radius in the corners, at the foot of boss and rim",
    D::Length,
    (0.1, 20.0, U::Millimetre),
    "common practice: from a tool's point to a generous fillet",
)
.or("1 ± 0.5 mm", "common practice: what an ordinary turning tool leaves");
pub(in super::super) const KEYWAY_DEPTH: Field = reading(
    "rotor.keyway_depth",
    "Depth of the keyway in the bore",
    D::Length,
    (0.2, 10.0, U::Millimetre),
    "common practice: 1 to 3 mm",
);
pub(in super::super) const KEYWAY_CORNER: Field = reading(
    "rotor.keyway_corner",
    "Radius in the corners of the keyway",
    D::Length,
    (0.02, 3.0, U::Millimetre),
    "common practice: 0.1 to 0.4 mm, from a new to a worn broach",
)
.or("0.2 ± 0.1 mm", "common practice: the corner that a broach leaves");

pub(in super::super) const PIECE_NAME: Field =
    other("rotor.piece.name", "Name of the piece", Kind::Text, "zones and papers refer to it").required();
pub(in super::super) const PART: Field = other(
    "rotor.piece.part",
    "How it bears: the boss round the bore, the web that carries the rim, the rim",
    Kind::Choice(&["boss", "web", "rim"]),
    "boss and web are stressed along the radius, a rim along the axis and round it",
)
.required();
pub(in super::super) const FROM: Field = reading(
    "rotor.piece.from",
    "End face nearer to the engine, from the engine-side face of the rotor",
    D::Length,
    (-50.0, 200.0, U::Millimetre),
    PLACES,
)
.required();
pub(in super::super) const TO: Field =
    reading("rotor.piece.to", "End face farther from the engine", D::Length, (-50.0, 200.0, U::Millimetre), PLACES).required();
pub(in super::super) const OUTSIDE: Field =
    reading("rotor.piece.outside", "Outside diameter, at the engine-side end", D::Length, (5.0, 400.0, U::Millimetre), SIZES)
        .required();
pub(in super::super) const INSIDE: Field = reading(
    "rotor.piece.inside",
    "Inside diameter, at the engine-side end; nought where it is solid",
    D::Length,
    (0.0, 400.0, U::Millimetre),
    SIZES,
)
.required();
pub(in super::super) const OUTSIDE_AT_TO: Field = reading(
    "rotor.piece.outside_at_to",
    "Outside diameter at the other end, where it tapers",
    D::Length,
    (0.0, 400.0, U::Millimetre),
    SIZES,
);
pub(in super::super) const INSIDE_AT_TO: Field = reading(
    "rotor.piece.inside_at_to",
    "Inside diameter at the other end, where it tapers",
    D::Length,
    (0.0, 400.0, U::Millimetre),
    SIZES,
);
pub(in super::super) const PIECE_METAL: Field = other(
    "rotor.piece.metal",
    "What this piece is of, where it is another metal",
    Kind::Choice(&metal::WORDS),
    "a boss may be riveted into a rim of another metal",
);

pub(in super::super) static PIECE: Section = Section {
    path: "rotor.piece",
    label: "Turned pieces that make up the rotor's section",
    many: true,
    required: false,
    fields: &[PIECE_NAME, PART, FROM, TO, OUTSIDE, INSIDE, OUTSIDE_AT_TO, INSIDE_AT_TO, PIECE_METAL],
    sections: &[],
    variants: &[],
};

pub(in super::super) const PURPOSE: Field = other(
    "rotor.hole.purpose",
    "What the holes are for",
    Kind::Choice(&["puller", "bolt", "lightening", "other"]),
    "threads for a puller are not drilled out",
)
.required();
pub(in super::super) const HOLES: Field =
    other("rotor.hole.count", "How many, evenly spread", Kind::Count { least: 1, most: 60 }, "no rotor has more in a row")
        .required();
pub(in super::super) const ON_CIRCLE: Field =
    reading("rotor.hole.on_circle", "Diameter of the circle on which they lie", D::Length, (5.0, 400.0, U::Millimetre), SIZES)
        .required();
pub(in super::super) const HOLE_DIAMETER: Field =
    reading("rotor.hole.diameter", "Diameter of each", D::Length, (0.5, 100.0, U::Millimetre), SIZES).required();
pub(in super::super) const HOLE_FROM: Field = reading(
    "rotor.hole.from",
    "Where they begin, from the engine-side face of the rotor",
    D::Length,
    (-50.0, 200.0, U::Millimetre),
    PLACES,
)
.required();
pub(in super::super) const HOLE_TO: Field =
    reading("rotor.hole.to", "Where they end", D::Length, (-50.0, 200.0, U::Millimetre), PLACES).required();

pub(in super::super) const HOLE_AT: Field = reading(
    "rotor.hole.at",
    "Place of the hole, or of the first of them, counted in the turning direction from the rotor's mark",
    D::Angle,
    (-360.0, 360.0, U::Degree),
    "one turn either way; a hole by itself throws the rotor out",
);

pub(in super::super) static HOLE: Section = Section {
    path: "rotor.hole",
    label: "Round holes along the axis",
    many: true,
    required: false,
    fields: &[PURPOSE, HOLES, ON_CIRCLE, HOLE_DIAMETER, HOLE_FROM, HOLE_TO, HOLE_AT],
    sections: &[],
    variants: &[],
};

pub(in super::super) const MATERIAL: Field = other(
    "rotor.magnet.material",
    "What the magnets are of",
    Kind::Choice(&["ferrite", "rare earth", "alnico"]),
    "density and flux come from it where they were not read",
)
.required();
pub(in super::super) const SITS: Field = other(
    "rotor.magnet.sits",
    "Where they sit",
    Kind::Choice(&["inside the rim", "outside the hub"]),
    "speed presses the one to its seat and pulls the other off",
)
.required();
pub(in super::super) const MAGNETS: Field =
    other("rotor.magnet.count", "How many alike", Kind::Count { least: 1, most: 48 }, "no rotor has more").required();
pub(in super::super) const MAGNET_FROM: Field = reading(
    "rotor.magnet.from",
    "End nearer to the engine, from the engine-side face of the rotor",
    D::Length,
    (-50.0, 200.0, U::Millimetre),
    PLACES,
)
.required();
pub(in super::super) const MAGNET_TO: Field =
    reading("rotor.magnet.to", "End farther from the engine", D::Length, (-50.0, 200.0, U::Millimetre), PLACES).required();
pub(in super::super) const MAGNET_OUTSIDE: Field =
    reading("rotor.magnet.outside", "Diameter over their outside", D::Length, (5.0, 400.0, U::Millimetre), SIZES).required();
pub(in super::super) const MAGNET_INSIDE: Field =
    reading("rotor.magnet.inside", "Diameter inside them", D::Length, (5.0, 400.0, U::Millimetre), SIZES).required();
pub(in super::super) const ARC: Field =
    reading("rotor.magnet.arc", "Arc that each covers, degrees of the rotor", D::Angle, (1.0, 360.0, U::Degree), "one turn")
        .required();
pub(in super::super) const MAGNET_MASS: Field = reading(
    "rotor.magnet.mass",
    "Mass of each, where one was weighed",
    D::Mass,
    (0.2, 1000.0, U::Gram),
    "common practice: 5 to 60 g",
);

pub(in super::super) static MAGNET: Section = Section {
    path: "rotor.magnet",
    label: "Magnets alike, as arcs",
    many: true,
    required: false,
    fields: &[MATERIAL, SITS, MAGNETS, MAGNET_FROM, MAGNET_TO, MAGNET_OUTSIDE, MAGNET_INSIDE, ARC, MAGNET_MASS],
    sections: &[],
    variants: &[],
};

pub(in super::super) const ZONE_PIECE: Field =
    other("rotor.zone.piece", "Name of the piece that is cut", Kind::Text, "a zone lies on one piece").required();
pub(in super::super) const FACE: Field = other(
    "rotor.zone.face",
    "Which face",
    Kind::Choice(&["cover side", "engine side", "outside", "inside"]),
    "the two end faces, the outside and the inside of the piece",
)
.required();
pub(in super::super) const LEAST: Field = reading(
    "rotor.zone.least",
    "Where the cut begins on an end face: its lesser diameter; without it the whole face",
    D::Length,
    (0.0, 400.0, U::Millimetre),
    SIZES,
)
.exact();
pub(in super::super) const GREATEST: Field = reading(
    "rotor.zone.greatest",
    "Where it ends on an end face: its greater diameter; without it the whole face",
    D::Length,
    (0.0, 400.0, U::Millimetre),
    SIZES,
)
.exact();
pub(in super::super) const DEEPEST: Field = reading(
    "rotor.zone.deepest",
    "Deepest cut that is thought of",
    D::Length,
    (0.05, 50.0, U::Millimetre),
    "common practice: a lathe's last cut takes a tenth",
)
.required()
.exact();
pub(in super::super) const LEAVE: Field = reading(
    "rotor.zone.leave",
    "Share of the wall that must be left",
    D::Number,
    (50.0, 100.0, U::Percent),
    "more than half is not lightening",
)
.or("80 %", "common practice: 75 to 80 % of a web, no source")
.exact();

pub(in super::super) static ZONE: Section = Section {
    path: "rotor.zone",
    label: "Faces from which metal may come off",
    many: true,
    required: false,
    fields: &[ZONE_PIECE, FACE, LEAST, GREATEST, DEEPEST, LEAVE],
    sections: &[],
    variants: &[],
};

pub(in super::super) const SWING_ON: Field = other(
    "rotor.swing.on",
    "What it hangs on: two or three wires, level; or a knife edge in its bore or in its rim, upright",
    Kind::Choice(&["wires", "knife edge"]),
    "each has its own equation",
)
.or("wires", "the surer of the two");
pub(in super::super) const SWING_RADIUS: Field = reading(
    "rotor.swing.radius",
    "From the axis to each wire, or to the knife edge",
    D::Length,
    (5.0, 500.0, U::Millimetre),
    "common practice: about the rotor's own radius",
)
.required();
pub(in super::super) const SWING_LENGTH: Field = reading(
    "rotor.swing.length",
    "Length of each wire",
    D::Length,
    (100.0, 5000.0, U::Millimetre),
    "common practice: from a bench to a ceiling; not for a knife edge",
);
pub(in super::super) const SWING_PERIOD: Field = reading(
    "rotor.swing.period",
    "Time of one whole swing to and fro, from twenty or more",
    D::Time,
    (0.1, 60.0, U::Second),
    "common practice: half a second to a few seconds",
)
.required();
pub(in super::super) const PLATE_MASS: Field = reading(
    "rotor.swing.plate_mass",
    "Mass of the plate that the rotor lies on, where it does not hang by itself",
    D::Mass,
    (1.0, 10000.0, U::Gram),
    "common practice: less than the rotor",
);
pub(in super::super) const PLATE_PERIOD: Field = reading(
    "rotor.swing.plate_period",
    "Time of one whole swing of the plate alone",
    D::Time,
    (0.1, 60.0, U::Second),
    "common practice: half a second to a few seconds",
);

pub(in super::super) static SWING: Section = Section {
    path: "rotor.swing",
    label: "A swing, as a check on the inertia",
    many: false,
    required: false,
    fields: &[SWING_ON, SWING_RADIUS, SWING_LENGTH, SWING_PERIOD, PLATE_MASS, PLATE_PERIOD],
    sections: &[],
    variants: &[],
};

/// Least and greatest time of a run-down [s] (common practice, no source): from a moped's crank to a car's.
const RUN_DOWNS: (f64, f64, U) = (0.1, 120.0, U::Second);
const RUN_DOWNS_WHY: &str = "common practice: half a second to ten";

pub(in super::super) const DISC: Field = reading(
    "rotor.run_down.disc",
    "Moment of inertia of the disc that is bolted on for the second run-down, from its weight and diameter",
    D::Inertia,
    (1e-5, 1.0, U::KilogramSquareMetre),
    "common practice: a fifth to all of what is to be found",
)
.required();
pub(in super::super) const WITHOUT_DISC: Field = reading(
    "rotor.run_down.without",
    "Time between the two speeds without the disc, ignition cut",
    D::Time,
    RUN_DOWNS,
    RUN_DOWNS_WHY,
)
.required();
pub(in super::super) const WITH_DISC: Field =
    reading("rotor.run_down.with_disc", "Time between the same two speeds with it", D::Time, RUN_DOWNS, RUN_DOWNS_WHY).required();

pub(in super::super) static DISC_RUNS: Section = Section {
    path: "rotor.run_down",
    label: "Run-downs without and with a disc of known inertia, for the inertia of all that turns with the crank",
    many: false,
    required: false,
    fields: &[DISC, WITHOUT_DISC, WITH_DISC],
    sections: &[],
    variants: &[],
};

pub(in super::super) static ROTOR: Section = Section {
    path: "rotor",
    label: "The rotor in the hand: section, metal, magnets",
    many: false,
    required: false,
    fields: &[METAL, DENSITY, PROOF_STRESS, TENSILE_STRENGTH, ROTOR_TOP_SPEED, CORNER, KEYWAY_DEPTH, KEYWAY_CORNER],
    sections: &[
        &PIECE,
        &HOLE,
        &MAGNET,
        &ZONE,
        &SWING,
        &DISC_RUNS,
        &BOND,
        &FLUX,
        &MAGNET_GRADE,
        &TAPER,
        &PULLER,
        &BALANCE,
        &TRIAL,
    ],
    variants: &[],
};
