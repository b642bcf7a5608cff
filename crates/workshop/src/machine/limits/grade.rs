//! The magnets' grade: its own curve, and where on it they work.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Section, reading};

pub(in super::super) const REMANENCE: Field = reading(
    "rotor.grade.remanence",
    "Remanence at 20 °C, by the grade's data sheet",
    D::FluxDensity,
    (0.1, 1.6, U::Tesla),
    "from bonded ferrite to the strongest rare earth",
)
.required();
pub(in super::super) const COERCIVITY: Field = reading(
    "rotor.grade.coercivity",
    "Intrinsic coercivity at 20 °C, by the grade's data sheet",
    D::MagneticField,
    (100.0, 4000.0, U::KiloamperePerMetre),
    "from weak ferrite to rare earth for hot places; alnico, below it, has no level curve and is not told",
)
.required();
pub(in super::super) const PERMEANCE: Field = reading(
    "rotor.grade.permeance",
    "Permeance coefficient of the magnets' place: about length along the poles over twice the air gap",
    D::Number,
    (0.1, 100.0, U::One),
    "from a bare plate to a narrow gap",
)
.or("5 ± 3", "common practice, no source: magnets of some millimetres before a gap of half a millimetre, leakage in it");
pub(in super::super) const AGAINST: Field = reading(
    "rotor.grade.against",
    "Greatest field of the coils against the magnets",
    D::MagneticField,
    (0.0, 2000.0, U::KiloamperePerMetre),
    "none with nothing drawn; a short circuit makes the most",
)
.or("30 ± 20 kA/m", "common practice, no source: a stator drawn on in full");
pub(in super::super) const KNEE: Field = reading(
    "rotor.grade.knee",
    "Field at which its curve bends, as a share of the coercivity",
    D::Number,
    (10.0, 99.0, U::Percent),
    "common practice: from a round to a square curve",
)
.or("85 ± 10 %", "common practice, no source: sintered ferrite and rare earth");
pub(in super::super) const COLDEST: Field = reading(
    "rotor.grade.coldest",
    "Coldest that the rotor gets while current is drawn",
    D::Temperature,
    (-50.0, 30.0, U::Celsius),
    "from a hard winter to a warm garage",
)
.or("-15 ± 10 °C", "common practice, no source: a winter start");

pub(in super::super) static MAGNET_GRADE: Section = Section {
    path: "rotor.grade",
    label: "Grade of the magnets, to tell what heat or cold takes from them for good",
    many: false,
    required: false,
    fields: &[REMANENCE, COERCIVITY, PERMEANCE, AGAINST, KNEE, COLDEST],
    sections: &[],
    variants: &[],
};
