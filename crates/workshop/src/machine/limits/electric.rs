//! Battery, loads, a ride, windings that were measured, and wires.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

pub(in super::super) const BATTERY_VOLTS: Field =
    other("battery.volts", "Its nominal volts", Kind::Choice(&["6 V", "12 V"]), "three cells or six").required();
pub(in super::super) const CAPACITY: Field = reading(
    "battery.capacity",
    "Its capacity as rated",
    D::Charge,
    (0.5, 100.0, U::AmpereHour),
    "common practice: 2 to 30 A·h on a motorcycle",
)
.required();
pub(in super::super) const RATED_OVER: Field = reading(
    "battery.rated_over",
    "Time for which it is rated",
    D::Time,
    (1.0, 100.0, U::Hour),
    "10 h on most motorcycle batteries, 20 h on others",
)
.exact()
.or("10 h", "common practice: motorcycle batteries are rated for ten hours");
pub(in super::super) const CAPACITY_LEFT: Field = reading(
    "battery.capacity_left",
    "Share of it that age has left",
    D::Number,
    (5.0, 120.0, U::Percent),
    "from a ruin to one better than rated",
)
.or("80 ± 20 %", "common practice: a battery of a few years");
pub(in super::super) const PEUKERT: Field = reading(
    "battery.peukert",
    "Peukert's exponent: how much faster large currents empty it",
    D::Number,
    (1.0, 1.6, U::One),
    "from 1.05 of a new sealed one to 1.4 of an old flooded one",
)
.or("1.2 ± 0.1", "common practice: a flooded or sealed battery in order");
pub(in super::super) const BATTERY_OHMS: Field = reading(
    "battery.resistance",
    "Its resistance, by the drop of its volts under a known load",
    D::Resistance,
    (1.0, 2000.0, U::Milliohm),
    "common practice: 10 mΩ of a large one to 100 mΩ of a small one",
)
.or("40 ± 20 mΩ", "common practice: a small motorcycle battery in order");
pub(in super::super) const BATTERY_AT: Field = reading(
    "battery.temperature",
    "Its temperature on the road",
    D::Temperature,
    (-30.0, 60.0, U::Celsius),
    "from a winter morning to beside the engine",
)
.or("15 ± 10 °C", "common practice: a mild day");
pub(in super::super) const REST_VOLTS: Field = reading(
    "battery.rest_volts",
    "Its volts after a night's rest, nothing switched on",
    D::Voltage,
    (3.0, 14.0, U::Volt),
    "from empty at 6 V to full at 12 V",
);
pub(in super::super) const CHARGE: Field = reading(
    "battery.charge",
    "State of charge at the start, where it was not read from rest volts",
    D::Number,
    (0.0, 100.0, U::Percent),
    "from empty to full",
)
.or("85 ± 15 %", "common practice: after a night in the garage");
pub(in super::super) const TAKES: Field = reading(
    "battery.takes",
    "Share of its capacity that it takes in an hour at the regulator's volts, until it is nearly full",
    D::Number,
    (2.0, 200.0, U::Percent),
    "common practice: a tenth of a tired flooded one to more than all of a new sealed one",
)
.or("40 ± 20 %", "common practice: a flooded battery in order");

pub(in super::super) static BATTERY: Section = Section {
    path: "battery",
    label: "The battery",
    many: false,
    required: false,
    fields: &[BATTERY_VOLTS, CAPACITY, RATED_OVER, CAPACITY_LEFT, PEUKERT, BATTERY_OHMS, BATTERY_AT, REST_VOLTS, CHARGE, TAKES],
    sections: &[],
    variants: &[],
};

pub(in super::super) const LOAD_NAME: Field = other("load.name", "What it is", Kind::Text, "the plan names it").required();
pub(in super::super) const LOAD_POWER: Field = reading(
    "load.power",
    "Its power at the battery's nominal volts, as marked on it",
    D::Power,
    (0.05, 500.0, U::Watt),
    "from an instrument lamp to a heated vest",
);
pub(in super::super) const LOAD_AMPS: Field = reading(
    "load.amps",
    "Its current, in place of the power",
    D::Current,
    (0.005, 50.0, U::Ampere),
    "from an instrument lamp to a heated vest",
);
pub(in super::super) const LOAD_KIND: Field = other(
    "load.kind",
    "How its current goes with the volts: a lamp or coil takes less at fewer volts, electronics take the same current",
    Kind::Choice(&["lamp", "electronics"]),
    "a filament is taken as a resistance; common practice",
)
.or("lamp", "most of what is fitted to an old machine");
pub(in super::super) const LOAD_ON: Field = reading(
    "load.on",
    "Share of the time for which it is on",
    D::Number,
    (0.0, 100.0, U::Percent),
    "from a horn to a headlamp by law",
)
.or("100 %", "most loads stay on");
pub(in super::super) const LOAD_OFF: Field = other(
    "load.off",
    "When it may be switched off if charge runs short: 1 first; without it, it must stay on",
    Kind::Count { least: 1, most: 20 },
    "the law on lamps, and the ignition, decide that and not this program",
);

pub(in super::super) static LOAD: Section = Section {
    path: "load",
    label: "A load",
    many: true,
    required: false,
    fields: &[LOAD_NAME, LOAD_POWER, LOAD_AMPS, LOAD_KIND, LOAD_ON, LOAD_OFF],
    sections: &[],
    variants: &[],
};

pub(in super::super) const RIDE_KIND: Field = other(
    "ride.kind",
    "Which ride: through town, through the country, or by its own parts",
    Kind::Choice(&["town", "country", "own"]),
    "shares of time at each speed of the first two are common practice, no source",
)
.or("town", "the harder one for a battery");
pub(in super::super) const RIDE_LASTS: Field =
    reading("ride.lasts", "How long it lasts", D::Time, (1.0, 1440.0, U::Minute), "from a start to a day")
        .exact()
        .or("1 h", "common practice: there and back");
pub(in super::super) const IGNITION_NEEDS: Field = reading(
    "ride.ignition_needs",
    "Fewest volts on which its battery-fed ignition still fires; without it the ignition needs no battery",
    D::Voltage,
    (2.0, 13.0, U::Volt),
    "common practice: 9 to 11 V of a 12 V module, 4.5 V of a 6 V coil",
);
pub(in super::super) const PART_SPEED: Field =
    reading("ride.part.speed", "Crank speed", D::Speed, (300.0, 15000.0, U::Rpm), "from idle to the red line").exact().required();
pub(in super::super) const PART_ROAD: Field = reading(
    "ride.part.road",
    "Speed on the road at it; nought at a stand",
    D::RoadSpeed,
    (0.0, 250.0, U::KilometrePerHour),
    "from a stand to a racetrack",
)
.exact()
.required();
pub(in super::super) const PART_SHARE: Field =
    reading("ride.part.share", "Share of the time", D::Number, (0.1, 100.0, U::Percent), "all parts together make the ride")
        .exact()
        .required();

pub(in super::super) static RIDE_PART: Section = Section {
    path: "ride.part",
    label: "A part of the ride",
    many: true,
    required: false,
    fields: &[PART_SPEED, PART_ROAD, PART_SHARE],
    sections: &[],
    variants: &[],
};

pub(in super::super) static RIDE: Section = Section {
    path: "ride",
    label: "The ride over which charge is balanced",
    many: false,
    required: false,
    fields: &[RIDE_KIND, RIDE_LASTS, IGNITION_NEEDS],
    sections: &[&RIDE_PART],
    variants: &[],
};

pub(in super::super) const WINDING_NAME: Field = other("winding.name", "What it is", Kind::Text, "the papers name it").required();
pub(in super::super) const WINDING_KIND: Field = other(
    "winding.kind",
    "Which kind of winding",
    Kind::Choice(&[
        "stator, three phases",
        "stator, one phase",
        "pickup",
        "source coil, low speed",
        "source coil, high speed",
        "source coil, single",
        "other",
    ]),
    "each kind has a range that is common practice, used where the workshop has no record",
)
.required();
pub(in super::super) const WINDING_OHMS: Field = reading(
    "winding.resistance",
    "Resistance as the meter shows it",
    D::Resistance,
    (0.0, 50000.0, U::Ohm),
    "from a stator to a secondary",
)
.required();
pub(in super::super) const WINDING_AT: Field = reading(
    "winding.temperature",
    "Temperature of the winding at that reading",
    D::Temperature,
    (-20.0, 200.0, U::Celsius),
    "from a winter morning to a hot stator",
)
.or("20 ± 5 °C", "common practice: resistances are read cold");
pub(in super::super) const WINDING_LEADS: Field = reading(
    "winding.leads",
    "What the meter shows with its leads held together",
    D::Resistance,
    (0.0, 5.0, U::Ohm),
    "common practice: 0.1 to 0.5 Ω",
);
pub(in super::super) const WINDING_RECORD: Field = reading(
    "winding.record",
    "What the workshop's record or the maker says, at 20 °C",
    D::Resistance,
    (0.01, 50000.0, U::Ohm),
    "from a stator to a secondary",
);
pub(in super::super) const WINDING_TWINS: Field = other(
    "winding.twins",
    "Windings with the same word here are alike and are compared",
    Kind::Text,
    "phases of a stator, pickups of a pair",
);
pub(in super::super) const INSULATION: Field = reading(
    "winding.insulation",
    "Resistance to the frame, by an insulation tester",
    D::Resistance,
    (0.0, 10000.0, U::Megaohm),
    "from a dead short to a tester's end",
)
.exact();

pub(in super::super) static WINDING: Section = Section {
    path: "winding",
    label: "A winding that was measured",
    many: true,
    required: false,
    fields: &[WINDING_NAME, WINDING_KIND, WINDING_OHMS, WINDING_AT, WINDING_LEADS, WINDING_RECORD, WINDING_TWINS, INSULATION],
    sections: &[],
    variants: &[],
};

/// Where a wire may end.
pub(in super::super) const PARTS: [&str; 9] =
    ["alternator", "regulator", "battery", "fuse", "switch", "ignition", "coil", "load", "frame"];

pub(in super::super) const WIRE_FROM: Field =
    other("wire.from", "The part at which it begins", Kind::Choice(&PARTS), "the drawing has a symbol for each").required();
pub(in super::super) const WIRE_FROM_AT: Field = other(
    "wire.from_at",
    "Its terminal there, as DIN 72552 numbers it: 15, 30, 31, 51, 59, B+, U …",
    Kind::Text,
    "the number is printed beside the terminal",
)
.required();
pub(in super::super) const WIRE_TO: Field =
    other("wire.to", "The part at which it ends", Kind::Choice(&PARTS), "the drawing has a symbol for each").required();
pub(in super::super) const WIRE_TO_AT: Field = other("wire.to_at", "Its terminal there", Kind::Text, "as above").required();
pub(in super::super) const WIRE_COLOUR: Field = other("wire.colour", "Its colour", Kind::Text, "to find it by");
pub(in super::super) const WIRE_SECTION: Field = reading(
    "wire.section",
    "Section of its copper",
    D::Area,
    (0.1, 50.0, U::SquareMillimetre),
    "from a sensor's lead to a starter cable",
)
.exact();
pub(in super::super) const WIRE_GAUGE: Field = other(
    "wire.gauge",
    "Its American gauge number, in place of the section",
    Kind::Count { least: 2, most: 30 },
    "AWG by ASTM B258",
);
pub(in super::super) const WIRE_LENGTH: Field =
    reading("wire.length", "Its length, one way", D::Distance, (0.02, 10.0, U::Metre), "from a jumper to a tail lamp and back")
        .exact()
        .required();
pub(in super::super) const WIRE_AMPS: Field =
    reading("wire.amps", "Steady current that it carries", D::Current, (0.0, 100.0, U::Ampere), "from a sensor to a heated grip");
pub(in super::super) const WIRE_LOAD: Field =
    other("wire.load", "The load that it feeds, in place of the current", Kind::Text, "a name from the list of loads");
pub(in super::super) const WIRE_FUSE: Field =
    reading("wire.fuse", "Fuse in front of it", D::Current, (0.5, 60.0, U::Ampere), "common practice: 5 to 30 A").exact();

pub(in super::super) static WIRE: Section = Section {
    path: "wire",
    label: "A wire",
    many: true,
    required: false,
    fields: &[
        WIRE_FROM,
        WIRE_FROM_AT,
        WIRE_TO,
        WIRE_TO_AT,
        WIRE_COLOUR,
        WIRE_SECTION,
        WIRE_GAUGE,
        WIRE_LENGTH,
        WIRE_AMPS,
        WIRE_LOAD,
        WIRE_FUSE,
    ],
    sections: &[],
    variants: &[],
};
