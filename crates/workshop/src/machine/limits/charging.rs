//! The alternator with its rectifier and regulator, and what was measured on it while it ran.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

const METERS: &str = "common practice: what a workshop's meters read on a motorcycle";
const TEMPERATURES: &str = "from a winter morning to a stator that is about to burn";

pub(in super::super) const CHARGING_KIND: Field = other(
    "charging.kind",
    "How its windings feed the rectifier",
    Kind::Choice(&["one phase, half wave", "one phase, full wave", "three phases, star", "three phases, delta"]),
    "one lead and the frame; two leads; three leads, joined inside in a star or a ring",
)
.required();
pub(in super::super) const POLE_PAIRS: Field = other(
    "charging.pole_pairs",
    "Pole pairs of its rotor: half of its magnets",
    Kind::Count { least: 1, most: 24 },
    "common practice: two to nine",
)
.required();
pub(in super::super) const CHARGING_TURNS: Field = reading(
    "charging.turns",
    "Turns of the alternator for one of the crank",
    D::Number,
    (0.25, 6.0, U::One),
    "half on a camshaft, one on the crank, up to three by belt or gear",
)
.exact()
.or("1", "most sit on the crank");
pub(in super::super) const NO_LOAD_VOLTS: Field = reading(
    "charging.no_load_volts",
    "Alternating volts between two of its leads, rectifier unplugged, as a meter reads them (effective)",
    D::Voltage,
    (0.5, 400.0, U::Volt),
    "common practice: 10 to 20 V for each 1000 rpm",
)
.required();
pub(in super::super) const NO_LOAD_SPEED: Field = reading(
    "charging.no_load_speed",
    "Crank speed at that reading",
    D::Speed,
    (200.0, 12000.0, U::Rpm),
    "from a kick to the red line",
)
.required();
pub(in super::super) const CHARGING_OHMS: Field = reading(
    "charging.resistance",
    "Resistance between two of its leads, the meter's leads taken off",
    D::Resistance,
    (0.01, 60.0, U::Ohm),
    "common practice: 0.1 to 1 Ω with three phases, 0.3 to 2 Ω with one, more at 6 V",
)
.required();
pub(in super::super) const CHARGING_OHMS_AT: Field = reading(
    "charging.resistance_at",
    "Temperature of the winding at that reading",
    D::Temperature,
    (-20.0, 200.0, U::Celsius),
    TEMPERATURES,
)
.or("20 ± 5 °C", "common practice: resistances are read cold");
pub(in super::super) const INDUCTANCE: Field = reading(
    "charging.inductance",
    "Inductance between two of its leads, where it was measured, in the engine with its rotor on",
    D::Inductance,
    (0.01, 200.0, U::Millihenry),
    "common practice: from a few hundredths of a millihenry at 12 V and three phases to tens at 6 V and one",
);
pub(in super::super) const JOINED_AMPS: Field = reading(
    "charging.joined_amps",
    "Alternating amps in one lead with all leads joined, in place of the inductance",
    D::Current,
    (0.1, 200.0, U::Ampere),
    "common practice: a little above the most that it charges",
);
pub(in super::super) const JOINED_SPEED: Field = reading(
    "charging.joined_speed",
    "Crank speed at that reading",
    D::Speed,
    (300.0, 12000.0, U::Rpm),
    "from idle to the red line",
);
pub(in super::super) const DIODE_VOLTS: Field = reading(
    "charging.diode_volts",
    "Volts over one conducting diode",
    D::Voltage,
    (0.1, 4.0, U::Volt),
    "silicon 0.6 to 1 V, selenium plates more",
)
.or("0.8 ± 0.15 V", "common practice: silicon at a few amps");
pub(in super::super) const REGULATOR: Field = other(
    "charging.regulator",
    "What keeps the volts down: nothing, a shunt that joins the windings, or a series one that opens them",
    Kind::Choice(&["none", "shunt", "series"]),
    "a shunt keeps the stator hot at all times, a series regulator does not",
)
.required();
pub(in super::super) const REGULATOR_VOLTS: Field = reading(
    "charging.regulator_volts",
    "Volts at the battery that it holds",
    D::Voltage,
    (5.0, 20.0, U::Volt),
    "common practice: 13.5 to 14.8 V, half of it at 6 V",
);
pub(in super::super) const WINDING_HOT: Field = reading(
    "charging.winding_temperature",
    "Temperature of the winding on the road, where it was measured",
    D::Temperature,
    (-20.0, 250.0, U::Celsius),
    TEMPERATURES,
)
.or("90 ± 30 °C", "common practice: beside the engine's oil, or in it");
pub(in super::super) const HEATS_BY: Field = reading(
    "charging.heats_by",
    "How much warmer the winding gets than what surrounds it for each watt in it",
    D::ThermalResistance,
    (0.05, 20.0, U::KelvinPerWatt),
    "common practice: 0.5 in oil to 3 in still air",
);
pub(in super::super) const AROUND: Field = reading(
    "charging.around",
    "Temperature of what surrounds the winding on the road",
    D::Temperature,
    (-20.0, 180.0, U::Celsius),
    TEMPERATURES,
)
.or("70 ± 20 °C", "common practice: under a cover beside a warm engine");

pub(in super::super) const SEEN_SPEED: Field =
    reading("charging.seen.speed", "Crank speed", D::Speed, (300.0, 15000.0, U::Rpm), "from idle past the red line").required();
pub(in super::super) const SEEN_LIGHTS: Field =
    other("charging.seen.lights", "Was everything switched on?", Kind::Flag, "with it off only what must stay on counts");
pub(in super::super) const SEEN_AMPS: Field = reading(
    "charging.seen.amps",
    "Amps into the battery; out of it counts negative",
    D::Current,
    (-100.0, 100.0, U::Ampere),
    METERS,
);
pub(in super::super) const SEEN_VOLTS: Field =
    reading("charging.seen.volts", "Volts at the battery", D::Voltage, (1.0, 40.0, U::Volt), METERS);
pub(in super::super) const SEEN_RIPPLE: Field = reading(
    "charging.seen.ripple",
    "Alternating volts at the battery, as a meter reads them through a capacitor",
    D::Voltage,
    (0.0, 20.0, U::Volt),
    METERS,
);
pub(in super::super) const SEEN_FIRST: Field = reading(
    "charging.seen.leads_12",
    "Alternating volts between leads 1 and 2, rectifier plugged in; of a single lead, against the frame",
    D::Voltage,
    (0.0, 400.0, U::Volt),
    METERS,
);
pub(in super::super) const SEEN_SECOND: Field =
    reading("charging.seen.leads_23", "The same between leads 2 and 3", D::Voltage, (0.0, 400.0, U::Volt), METERS);
pub(in super::super) const SEEN_THIRD: Field =
    reading("charging.seen.leads_31", "The same between leads 3 and 1", D::Voltage, (0.0, 400.0, U::Volt), METERS);
pub(in super::super) const SEEN_BARE: [Field; 3] = [
    reading(
        "charging.seen.unplugged_12",
        "Between leads 1 and 2, rectifier unplugged",
        D::Voltage,
        (0.0, 400.0, U::Volt),
        METERS,
    ),
    reading("charging.seen.unplugged_23", "The same between leads 2 and 3", D::Voltage, (0.0, 400.0, U::Volt), METERS),
    reading("charging.seen.unplugged_31", "The same between leads 3 and 1", D::Voltage, (0.0, 400.0, U::Volt), METERS),
];
pub(in super::super) static SEEN_BARE_12: Field = SEEN_BARE[0];
pub(in super::super) static SEEN_BARE_23: Field = SEEN_BARE[1];
pub(in super::super) static SEEN_BARE_31: Field = SEEN_BARE[2];

pub(in super::super) static SEEN: Section = Section {
    path: "charging.seen",
    label: "Measured while it ran",
    many: true,
    required: false,
    fields: &[
        SEEN_SPEED,
        SEEN_LIGHTS,
        SEEN_AMPS,
        SEEN_VOLTS,
        SEEN_RIPPLE,
        SEEN_FIRST,
        SEEN_SECOND,
        SEEN_THIRD,
        SEEN_BARE[0],
        SEEN_BARE[1],
        SEEN_BARE[2],
    ],
    sections: &[],
    variants: &[],
};

pub(in super::super) static CHARGING: Section = Section {
    path: "charging",
    label: "The alternator, its rectifier and its regulator",
    many: false,
    required: false,
    fields: &[
        CHARGING_KIND,
        POLE_PAIRS,
        CHARGING_TURNS,
        NO_LOAD_VOLTS,
        NO_LOAD_SPEED,
        CHARGING_OHMS,
        CHARGING_OHMS_AT,
        INDUCTANCE,
        JOINED_AMPS,
        JOINED_SPEED,
        DIODE_VOLTS,
        REGULATOR,
        REGULATOR_VOLTS,
        WINDING_HOT,
        HEATS_BY,
        AROUND,
    ],
    sections: &[&SEEN],
    variants: &[],
};
