//! The bond of the magnets, and what volts say of their flux.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

pub(in super::super) const POINT_TEMPERATURE: Field = reading(
    "rotor.bond.point.temperature",
    "Temperature of the point",
    D::Temperature,
    (-60.0, 300.0, U::Celsius),
    "from a data sheet; no rotor is colder or hotter",
)
.required()
.exact();
pub(in super::super) const POINT_STRENGTH: Field = reading(
    "rotor.bond.point.strength",
    "Lap shear strength there, from the adhesive's data sheet or a test piece",
    D::Stress,
    (0.01, 100.0, U::Megapascal),
    "epoxies reach 35 MPa in shear at room temperature (Carvill, Mechanical Engineer's Data Handbook, 6.16)",
)
.required();

pub(in super::super) static STRENGTH_POINT: Section = Section {
    path: "rotor.bond.point",
    label: "Strength of the adhesive against temperature",
    many: true,
    required: true,
    fields: &[POINT_TEMPERATURE, POINT_STRENGTH],
    sections: &[],
    variants: &[],
};

pub(in super::super) const LAYER: Field = reading(
    "rotor.bond.thickness",
    "Thickness of the bond",
    D::Length,
    (0.01, 2.0, U::Millimetre),
    "common practice: 0.05 to 0.25 mm",
)
.or("0.15 ± 0.10 mm", "common practice, no source: what spacers and a fitted magnet leave");
pub(in super::super) const SHEAR_MODULUS: Field = reading(
    "rotor.bond.shear_modulus",
    "Shear modulus of the adhesive when set",
    D::Stress,
    (1.0, 3000.0, U::Megapascal),
    "from soft toughened to stiff filled epoxies",
)
.or("700 ± 400 MPa", "common practice, no source: toughened epoxies at room temperature");
pub(in super::super) const SET_AT: Field = reading(
    "rotor.bond.set_at",
    "Temperature at which it set, where nothing is strained",
    D::Temperature,
    (0.0, 200.0, U::Celsius),
    "from a cold bench to an oven",
)
.or("40 ± 20 °C", "common practice, no source: set on the bench, cured warm");
pub(in super::super) const ROTOR_HOT: Field = reading(
    "rotor.bond.rotor_temperature",
    "Greatest temperature of the rotor in use",
    D::Temperature,
    (20.0, 250.0, U::Celsius),
    "common practice: 80 to 140 °C beside the engine",
)
.required();
pub(in super::super) const ROTOR_COLD: Field = reading(
    "rotor.bond.coldest",
    "Coldest that the rotor gets in use",
    D::Temperature,
    (-60.0, 40.0, U::Celsius),
    "common practice: a frosty morning",
)
.or("-10 ± 10 °C", "common practice, no source: a frosty morning");
pub(in super::super) const AGE_FACTOR: Field = reading(
    "rotor.bond.age_factor",
    "Share of the strength that age, oil and heat have left",
    D::Number,
    (0.05, 1.0, U::One),
    "nothing is left of some, and none gets stronger",
)
.or("0.7 ± 0.2", "common practice, no source: nobody knows it of an old bond");
pub(in super::super) const QUALITY_FACTOR: Field = reading(
    "rotor.bond.quality_factor",
    "Share of a test piece's strength that this joint reaches: cover, voids, how clean it was",
    D::Number,
    (0.05, 1.0, U::One),
    "a workshop joint is no better than a test piece",
)
.or("0.7 ± 0.2", "common practice, no source: abraded, degreased twice, full cover as far as one can see");
pub(in super::super) const BOND_AREA: Field = reading(
    "rotor.bond.area",
    "Bonded area of each magnet, where it is less than its back",
    D::Area,
    (5.0, 20000.0, U::SquareMillimetre),
    "from a pin to a large arc",
);
pub(in super::super) const SLEEVE: Field = reading(
    "rotor.bond.sleeve",
    "Force with which a sleeve or clip holds each magnet in",
    D::Force,
    (0.0, 50000.0, U::Newton),
    "nought without one",
)
.or("0 N", "no sleeve was noted")
.exact();
pub(in super::super) const BACKING: Field = reading(
    "rotor.bond.backing",
    "Thickness of the metal behind the magnets",
    D::Length,
    (0.5, 50.0, U::Millimetre),
    "common practice: from a pressed cup to a solid hub",
)
.or("5 ± 2 mm", "common practice, no source: a cast or turned rim");
pub(in super::super) const SHOCK: Field = reading(
    "rotor.bond.shock",
    "Shock along the shaft, in multiples of gravity",
    D::Number,
    (0.0, 1000.0, U::One),
    "common practice: from a smooth twin to a rough single on rough roads",
)
.or("50 ± 30", "common practice, no source");
pub(in super::super) const UNEVENNESS: Field = reading(
    "rotor.bond.unevenness",
    "Unevenness of the turning at top speed: fastest less slowest within a turn, over the mean",
    D::Number,
    (0.0, 1.0, U::One),
    "from a multi to a light single",
)
.or("0.02 ± 0.01", "common practice, no source: at top speed it is small");
pub(in super::super) const POLE_FORCE: Field = reading(
    "rotor.bond.pole_force",
    "Greatest force of the coils' poles on one magnet along the rim",
    D::Force,
    (0.0, 2000.0, U::Newton),
    "common practice: the torque at which the rotor snaps from pole to pole, over radius and magnets",
)
.or("20 ± 10 N", "common practice, no source");

pub(in super::super) static BOND: Section = Section {
    path: "rotor.bond",
    label: "The bond of the magnets",
    many: false,
    required: false,
    fields: &[
        ROTOR_HOT,
        ROTOR_COLD,
        LAYER,
        SHEAR_MODULUS,
        SET_AT,
        AGE_FACTOR,
        QUALITY_FACTOR,
        BOND_AREA,
        SLEEVE,
        BACKING,
        SHOCK,
        UNEVENNESS,
        POLE_FORCE,
    ],
    sections: &[&STRENGTH_POINT],
    variants: &[],
};

pub(in super::super) const VOLTS_NOW: Field = reading(
    "rotor.flux.volts",
    "No-load volts of the alternator now, of the same kind as recorded",
    D::Voltage,
    (0.01, 2000.0, U::Volt),
    "from a pickup at a kick to a source coil",
)
.required();
pub(in super::super) const SPEED_NOW: Field =
    reading("rotor.flux.speed", "Speed at which they were read", D::Speed, (50.0, 30000.0, U::Rpm), "from a kick up").required();
pub(in super::super) const MAGNETS_NOW: Field = reading(
    "rotor.flux.temperature",
    "Temperature of the magnets then",
    D::Temperature,
    (-30.0, 200.0, U::Celsius),
    "from a cold shed to hot running",
)
.or("20 ± 10 °C", "common practice, no source: read before it was warm");
pub(in super::super) const VOLTS_RECORDED: Field = reading(
    "rotor.flux.recorded_volts",
    "No-load volts as recorded, by the maker or before",
    D::Voltage,
    (0.01, 2000.0, U::Volt),
    "as above",
)
.required();
pub(in super::super) const SPEED_RECORDED: Field =
    reading("rotor.flux.recorded_speed", "Speed of the record", D::Speed, (50.0, 30000.0, U::Rpm), "from a kick up").required();
pub(in super::super) const MAGNETS_RECORDED: Field = reading(
    "rotor.flux.recorded_temperature",
    "Temperature of the magnets of the record",
    D::Temperature,
    (-30.0, 200.0, U::Celsius),
    "as above",
)
.or("20 ± 10 °C", "common practice, no source");

pub(in super::super) const COILS: Field = other(
    "rotor.flux.coils",
    "Coils in series between the two wires that were read: one phase, or one winding",
    Kind::Count { least: 1, most: 48 },
    "no stator has more",
);
pub(in super::super) const TEETH: Field = other(
    "rotor.flux.teeth",
    "Teeth that the stator's whole ring has room for",
    Kind::Count { least: 2, most: 48 },
    "no stator has more",
);

pub(in super::super) static FLUX: Section = Section {
    path: "rotor.flux",
    label: "No-load volts now and as recorded, to tell what flux is left",
    many: false,
    required: false,
    fields: &[VOLTS_NOW, SPEED_NOW, MAGNETS_NOW, VOLTS_RECORDED, SPEED_RECORDED, MAGNETS_RECORDED, COILS, TEETH],
    sections: &[],
    variants: &[],
};
