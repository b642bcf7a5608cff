//! The rotor's seat on its shaft, its nut, and the puller.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

/// Least and greatest diameter of a thread [mm] (common practice, no source).
const THREADS: (f64, f64, U) = (3.0, 60.0, U::Millimetre);
/// Least and greatest pitch [mm]: ISO 261 (from memory).
const PITCHES: (f64, f64, U) = (0.35, 6.0, U::Millimetre);
const THREADS_WHY: &str = "common practice: from a small screw to a large boss";
const PITCHES_WHY: &str = "from the finest pitch of a small thread to a coarse one";

pub(in super::super) const TAPER_LARGE: Field = reading(
    "rotor.taper.large_diameter",
    "Diameter of the shaft's taper at its large end",
    D::Length,
    (6.0, 80.0, U::Millimetre),
    "common practice: 12 to 30 mm",
)
.required();
pub(in super::super) const TAPER_LENGTH: Field = reading(
    "rotor.taper.length",
    "Length of the seat along the shaft",
    D::Length,
    (4.0, 100.0, U::Millimetre),
    "common practice: 10 to 35 mm",
)
.required();
pub(in super::super) const TAPER_RATIO: Field = reading(
    "rotor.taper.ratio",
    "Taper of the shaft: change of diameter over length, 0.2 for 1 in 5",
    D::Number,
    (0.02, 0.6, U::One),
    "from 1 in 50 to 1 in 2",
)
.required();
pub(in super::super) const HUB_RATIO: Field = reading(
    "rotor.taper.hub_ratio",
    "Taper of the rotor's bore, where it was measured and differs",
    D::Number,
    (0.02, 0.6, U::One),
    "from 1 in 50 to 1 in 2",
);
pub(in super::super) const HUB_OUTSIDE: Field = reading(
    "rotor.taper.hub_diameter",
    "Diameter over the boss outside the seat",
    D::Length,
    (8.0, 200.0, U::Millimetre),
    "wider than its bore",
)
.required();
pub(in super::super) const CONTACT: Field = reading(
    "rotor.taper.contact",
    "Share of the seat that blue shows to touch",
    D::Number,
    (1.0, 100.0, U::Percent),
    "common practice: 70 to 80 % is wanted",
)
.or("70 ± 15 %", "common practice, no source: not blued");
pub(in super::super) const CONTACT_AT: Field = other(
    "rotor.taper.contact_at",
    "Where the blue shows it",
    Kind::Choice(&["all over", "large end", "small end"]),
    "contact at the large end alone still carries; at the small end the rotor rocks",
)
.or("all over", "not blued");
pub(in super::super) const SEAT_FRICTION: Field = reading(
    "rotor.taper.friction",
    "Friction of the two tapers, dry and clean",
    D::Number,
    (0.02, 0.6, U::One),
    "from oiled to rough",
)
.or("0.12 ± 0.03", "common practice, no source: dry steel, wiped clean");
pub(in super::super) const NUT_THREAD: Field =
    reading("rotor.taper.thread", "Nominal diameter of the nut's thread", D::Length, THREADS, THREADS_WHY).required().exact();
pub(in super::super) const NUT_PITCH: Field =
    reading("rotor.taper.pitch", "Pitch of that thread", D::Length, PITCHES, PITCHES_WHY).required().exact();
pub(in super::super) const NUT_FACE: Field = reading(
    "rotor.taper.nut_face",
    "Outside diameter of the nut's or washer's face that rubs",
    D::Length,
    (5.0, 100.0, U::Millimetre),
    "common practice: about the width across flats",
)
.required();
pub(in super::super) const NUT_CLASS: Field = other(
    "rotor.taper.class",
    "Property class of the shaft's thread, or the nearest",
    Kind::Choice(&["4.6", "4.8", "5.8", "8.8", "9.8", "10.9", "12.9"]),
    "a crank's steel is most like 8.8 (common practice, no source)",
)
.or("8.8", "common practice, no source: heat-treated steel");
pub(in super::super) const NUT_TORQUE: Field = reading(
    "rotor.taper.nut_torque",
    "Torque of the nut, by the maker's manual",
    D::Torque,
    (1.0, 500.0, U::NewtonMetre),
    "common practice: 30 to 120 N·m",
)
.required();
pub(in super::super) const LUBRICATION: Field = other(
    "rotor.taper.lubrication",
    "Thread and face of the nut",
    Kind::Choice(&["dry", "oiled", "greased"]),
    "the same torque clamps half as hard again when oiled",
)
.or("oiled", "common practice, no source: a drop of oil on the thread");
pub(in super::super) const PEAK_TORQUE: Field = reading(
    "rotor.taper.peak_torque",
    "Greatest torque that the seat must carry, from firing or kick-back; what the gas asks for counts where that is more",
    D::Torque,
    (0.5, 2000.0, U::NewtonMetre),
    "inertia of the rotor times the crank's greatest angular acceleration",
);
pub(in super::super) const KEY_WIDTH: Field =
    reading("rotor.taper.key_width", "Width of the key", D::Length, (1.0, 20.0, U::Millimetre), "common practice: 3 to 5 mm");
pub(in super::super) const KEY_HEIGHT: Field = reading(
    "rotor.taper.key_height",
    "Height of the key",
    D::Length,
    (1.0, 20.0, U::Millimetre),
    "common practice: about its width",
);
pub(in super::super) const KEY_LENGTH: Field =
    reading("rotor.taper.key_length", "Length of the key", D::Length, (2.0, 60.0, U::Millimetre), "common practice: 8 to 20 mm");

pub(in super::super) static TAPER: Section = Section {
    path: "rotor.taper",
    label: "The seat on the shaft's taper, and its nut",
    many: false,
    required: false,
    fields: &[
        TAPER_LARGE,
        TAPER_LENGTH,
        TAPER_RATIO,
        HUB_RATIO,
        HUB_OUTSIDE,
        CONTACT,
        CONTACT_AT,
        SEAT_FRICTION,
        NUT_THREAD,
        NUT_PITCH,
        NUT_FACE,
        NUT_CLASS,
        NUT_TORQUE,
        LUBRICATION,
        PEAK_TORQUE,
        KEY_WIDTH,
        KEY_HEIGHT,
        KEY_LENGTH,
    ],
    sections: &[],
    variants: &[],
};

pub(in super::super) const PULLS_BY: Field =
    other("rotor.puller.by", "What the puller takes hold of", Kind::Choice(&["boss thread", "bolts"]), "never the rim")
        .required();
pub(in super::super) const PULL_THREAD: Field = reading(
    "rotor.puller.thread",
    "Nominal diameter of the thread in the rotor: of the boss, or of each bolt hole",
    D::Length,
    THREADS,
    THREADS_WHY,
)
.required()
.exact();
pub(in super::super) const PULL_PITCH: Field =
    reading("rotor.puller.pitch", "Pitch of that thread", D::Length, PITCHES, PITCHES_WHY).required().exact();
pub(in super::super) const ENGAGED: Field = reading(
    "rotor.puller.engaged",
    "Length of sound thread that the puller fills",
    D::Length,
    (1.0, 60.0, U::Millimetre),
    "common practice: once the diameter in steel",
)
.required();
pub(in super::super) const BOLTS: Field =
    other("rotor.puller.bolts", "Bolts of the plate", Kind::Count { least: 2, most: 12 }, "two tip over, three stand");
pub(in super::super) const BOLT_CIRCLE: Field = reading(
    "rotor.puller.circle",
    "Diameter of the circle on which they lie",
    D::Length,
    (10.0, 300.0, U::Millimetre),
    "common practice: round the boss",
);
pub(in super::super) const PULL_SCREW: Field =
    reading("rotor.puller.screw", "Nominal diameter of the puller's own screw", D::Length, THREADS, THREADS_WHY)
        .or("14 mm", "common practice, no source")
        .exact();
pub(in super::super) const PULL_SCREW_PITCH: Field =
    reading("rotor.puller.screw_pitch", "Pitch of that screw", D::Length, PITCHES, PITCHES_WHY)
        .or("1.5 mm", "common practice, no source")
        .exact();
pub(in super::super) const HUB_STRENGTH: Field = reading(
    "rotor.puller.hub_strength",
    "Tensile strength of the metal that the thread is cut in",
    D::Stress,
    (80.0, 2000.0, U::Megapascal),
    "from cast iron to heat-treated steel",
)
.or("350 ± 100 MPa", "common practice, no source: mild steel or a cast boss");

pub(in super::super) static PULLER: Section = Section {
    path: "rotor.puller",
    label: "The puller",
    many: false,
    required: false,
    fields: &[PULLS_BY, PULL_THREAD, PULL_PITCH, ENGAGED, BOLTS, BOLT_CIRCLE, PULL_SCREW, PULL_SCREW_PITCH, HUB_STRENGTH],
    sections: &[],
    variants: &[],
};
