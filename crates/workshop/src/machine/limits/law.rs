//! The law of module or weights.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Need, Range, Section, Variant, other, reading};

/// Speeds that a law may name [1/min] (own choice): below any kick up to above any racing engine.
const SPEEDS: (f64, f64, U) = (50.0, 20000.0, U::Rpm);

pub(in super::super) const LAW_KIND: Field = other(
    "law.kind",
    "Kind of law",
    Kind::Choice(&["ramp", "two-edge", "table", "fixed", "bob weights"]),
    "it decides what else must be known",
)
.required();
pub(in super::super) const START: Field =
    reading("law.start", "Speed up to which the spark stays at the trailing edge", D::Speed, SPEEDS, "from kick to top speed")
        .required();
pub(in super::super) const FULL: Field =
    reading("law.full", "Speed from which the spark stays at the leading edge", D::Speed, SPEEDS, "from kick to top speed")
        .required();

const ADVANCE_KIND: Kind = Kind::Reading {
    dimension: D::Advance,
    range: Range { unit: U::DegreeBtdc, least: -40.0, most: 90.0 },
    travel: Some(Range { unit: U::MillimetreBtdc, least: 0.0, most: 40.0 }),
};
const ADVANCES: &str = "common practice: 0° to 45°, further out only by a fault";

pub(in super::super) const POINT_SPEED: Field =
    reading("law.point.speed", "Crank speed", D::Speed, SPEEDS, "from kick to top speed").required();
pub(in super::super) const POINT_ADVANCE: Field =
    Field { need: Need::Required, ..other("law.point.advance", "Advance", ADVANCE_KIND, ADVANCES) };
pub(in super::super) const FIXED_ADVANCE: Field =
    Field { need: Need::Required, ..other("law.advance", "Advance at all speeds", ADVANCE_KIND, ADVANCES) };

pub(in super::super) static POINT: Section = Section {
    path: "law.point",
    label: "Points, speeds rising",
    many: true,
    required: true,
    fields: &[POINT_SPEED, POINT_ADVANCE],
    sections: &[],
    variants: &[],
};

const PLATE: &str = "common practice: what fits on a points plate";

pub(in super::super) const BOB_DRIVE: Field = other(
    "law.drive",
    "Shaft that carries the weights",
    Kind::Choice(&["crank", "cam"]),
    "a degree on the camshaft is two of the crank",
)
.required();
pub(in super::super) const STATIC_ADVANCE: Field = reading(
    "law.static_advance",
    "Advance with the weights closed",
    D::BeforeTop,
    (-20.0, 45.0, U::DegreeBtdc),
    "common practice: 0° to 12°",
)
.required();
pub(in super::super) const ADVANCE_RANGE: Field = reading(
    "law.range",
    "Greatest advance over the static one, crank",
    D::Angle,
    (0.5, 70.0, U::Degree),
    "common practice: 15° to 35°",
)
.required();
pub(in super::super) const WEIGHTS: Field =
    other("law.count", "Number of weights", Kind::Count { least: 1, most: 4 }, PLATE).or("2", "common practice: two");
pub(in super::super) const WEIGHT_MASS: Field =
    reading("law.mass", "Mass of one weight", D::Mass, (1.0, 500.0, U::Gram), PLATE).required();
pub(in super::super) const PIVOT_RADIUS: Field =
    reading("law.pivot_radius", "Shaft axis to pivot", D::Length, (2.0, 100.0, U::Millimetre), PLATE).required();
pub(in super::super) const ARM: Field =
    reading("law.arm", "Pivot to the weight's centre of mass", D::Length, (1.0, 100.0, U::Millimetre), PLATE).required();
pub(in super::super) const REST_ANGLE: Field = reading(
    "law.rest_angle",
    "Angle at the pivot between shaft and centre of mass, weights closed",
    D::Angle,
    (1.0, 179.0, U::Degree),
    "a weight on the line through the shaft has no arm to swing on",
)
.required();
pub(in super::super) const CAM_PER_SWING: Field = reading(
    "law.cam_per_swing",
    "Turn of the points cam per turn of the weight about its pivot",
    D::Number,
    (0.05, 5.0, U::One),
    PLATE,
)
.required();
pub(in super::super) const SPRING_ARM: Field =
    reading("law.spring_arm", "Pivot to spring", D::Length, (1.0, 100.0, U::Millimetre), PLATE).required();
pub(in super::super) const FIRST_RATE: Field =
    reading("law.first_rate", "First spring, rate", D::SpringRate, (0.01, 50.0, U::NewtonPerMillimetre), PLATE).required();
pub(in super::super) const FIRST_PRELOAD: Field =
    reading("law.first_preload", "First spring, pull with the weights closed", D::Force, (0.0, 200.0, U::Newton), PLATE)
        .required();
pub(in super::super) const SECOND_RATE: Field =
    reading("law.second_rate", "Second spring, rate", D::SpringRate, (0.01, 100.0, U::NewtonPerMillimetre), PLATE);
pub(in super::super) const SECOND_GAP: Field =
    reading("law.second_gap", "Second spring, slack before it pulls", D::Length, (0.0, 20.0, U::Millimetre), PLATE);
pub(in super::super) const BOB_FRICTION: Field =
    reading("law.friction", "Friction moment at the pivot", D::Torque, (0.0, 1000.0, U::NewtonMillimetre), PLATE)
        .or("0 N·mm", "no difference between rising and falling speed was noted");

pub(in super::super) static LAW: Section = Section {
    path: "law",
    label: "Law of the module or of the weights; without it the curve is fitted to the strobe readings",
    many: false,
    required: false,
    fields: &[LAW_KIND],
    sections: &[],
    variants: &[
        Variant {
            kind: "ramp",
            label: "Analogue two-edge module: the delay shrinks with one over the speed",
            fields: &[START, FULL],
            sections: &[],
        },
        Variant { kind: "two-edge", label: "From edge to edge, straight between", fields: &[START, FULL], sections: &[] },
        Variant { kind: "table", label: "Points, monotone cubic between", fields: &[], sections: &[&POINT] },
        Variant { kind: "fixed", label: "The same at all speeds", fields: &[FIXED_ADVANCE], sections: &[] },
        Variant {
            kind: "bob weights",
            label: "Weights against springs",
            fields: &[
                BOB_DRIVE,
                STATIC_ADVANCE,
                ADVANCE_RANGE,
                WEIGHTS,
                WEIGHT_MASS,
                PIVOT_RADIUS,
                ARM,
                REST_ANGLE,
                CAM_PER_SWING,
                SPRING_ARM,
                FIRST_RATE,
                FIRST_PRELOAD,
                SECOND_RATE,
                SECOND_GAP,
                BOB_FRICTION,
            ],
            sections: &[],
        },
    ],
};
