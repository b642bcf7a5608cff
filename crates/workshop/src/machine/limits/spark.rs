//! The ignition: what kind it is, its supply, its store and what fills it, its breaker.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

pub(in super::super) const SPARK_KIND: Field = other(
    "spark.kind",
    "Kind of ignition",
    Kind::Choice(&["capacitor from a source coil", "capacitor from the battery", "points", "transistor"]),
    "it decides what fills the coil, and how fast the spark rises",
)
.required();
pub(in super::super) const EVERY: Field = other(
    "spark.every",
    "How often each coil fires",
    Kind::Choice(&["turn", "cycle"]),
    "a trigger on the crank of a four-stroke fires every turn, every second time to no purpose",
)
.required();
pub(in super::super) const SERVES: Field = other(
    "spark.serves",
    "Coils that one store, or one breaker with its coil, serves in turn",
    Kind::Choice(&["one cylinder", "all cylinders"]),
    "what serves all has less time to fill between two sparks",
)
.or("one cylinder", "common practice: a coil and its store for each cylinder");

pub(in super::super) static SPARK: Section = Section {
    path: "spark",
    label: "Ignition; what it is made of stands in the parts below",
    many: false,
    required: false,
    fields: &[SPARK_KIND, EVERY, SERVES],
    sections: &[],
    variants: &[],
};

/// Battery volts that any system has [V] (common practice, no source).
const BATTERY_VOLTS: (f64, f64, U) = (3.0, 30.0, U::Volt);
const BATTERY_WHY: &str = "common practice: 6, 12 or 24 V systems";

pub(in super::super) const SUPPLY_RUNNING: Field =
    reading("supply.running", "Volts at the ignition, engine running", D::Voltage, BATTERY_VOLTS, BATTERY_WHY).required();
pub(in super::super) const SUPPLY_KICKING: Field =
    reading("supply.kicking", "Volts at the ignition while it is kicked or cranked", D::Voltage, BATTERY_VOLTS, BATTERY_WHY)
        .required();
pub(in super::super) const SUPPLY_WEAK: Field =
    reading("supply.weak", "Volts at the ignition of a weak battery, to be judged by", D::Voltage, BATTERY_VOLTS, BATTERY_WHY);

pub(in super::super) static SUPPLY: Section = Section {
    path: "supply",
    label: "Battery at the ignition's own terminals",
    many: false,
    required: false,
    fields: &[SUPPLY_RUNNING, SUPPLY_KICKING, SUPPLY_WEAK],
    sections: &[],
    variants: &[],
};

pub(in super::super) const STORE_CAPACITANCE: Field =
    reading("store.capacitance", "Capacitance", D::Capacitance, (0.05, 20.0, U::Microfarad), "common practice: 0.47 to 2.2 µF")
        .required();
pub(in super::super) const STORE_LEAK: Field = reading(
    "store.leak",
    "Resistance that drains it, bleeder and voltage divider included",
    D::Resistance,
    (1.0, 1_000_000.0, U::Kiloohm),
    "from a leaky store to a good film capacitor",
)
.or("1000 ± 500 kΩ", "common practice, no source");
pub(in super::super) const STORE_CLAMP: Field = reading(
    "store.clamp",
    "Volts at which the module holds it, where it does",
    D::Voltage,
    (50.0, 1000.0, U::Volt),
    "common practice: 200 to 400 V",
);
pub(in super::super) const SWITCH_DROP: Field =
    reading("store.switch_drop", "Drop of the thyristor", D::Voltage, (0.0, 5.0, U::Volt), "common practice: 1 to 2 V")
        .or("1.3 ± 0.4 V", "common practice, no source");
pub(in super::super) const SWITCH_OHM: Field = reading(
    "store.switch_resistance",
    "Resistance of thyristor, store and wiring in line with the coil",
    D::Resistance,
    (0.0, 20.0, U::Ohm),
    "common practice: a metre or two of wire and some joints",
)
.or("0.1 ± 0.05 Ω", "common practice, no source");
pub(in super::super) const SWITCH_DIODE: Field = other(
    "store.diode",
    "Diode for the current that swings back",
    Kind::Choice(&["across the store", "across the switch", "none"]),
    "across the store it makes one long discharge, across the switch it brings back what is left",
)
.or("across the store", "common practice, no source");
pub(in super::super) const OUTPUT_PEAK: Field = reading(
    "store.output_peak",
    "Peak volts of the module's output, read at the coil",
    D::Voltage,
    (5.0, 1000.0, U::Volt),
    "common practice: 120 to 200 V at the kick",
);
pub(in super::super) const OUTPUT_SPEED: Field = reading(
    "store.output_speed",
    "Crank speed at which that was read; the kicking speed where it is left out",
    D::Speed,
    (50.0, 15000.0, U::Rpm),
    "from kick to top speed",
);

pub(in super::super) static STORE: Section = Section {
    path: "store",
    label: "Store of a capacitor ignition, and its switch",
    many: false,
    required: false,
    fields: &[STORE_CAPACITANCE, STORE_LEAK, STORE_CLAMP, SWITCH_DROP, SWITCH_OHM, SWITCH_DIODE, OUTPUT_PEAK, OUTPUT_SPEED],
    sections: &[],
    variants: &[],
};

pub(in super::super) const SOURCE_PERIODS: Field = other(
    "source.periods",
    "Whole waves of its volts in one turn of the crank: half the number of poles that pass it",
    Kind::Count { least: 1, most: 24 },
    "common practice: 1 to 6",
)
.required();
pub(in super::super) const SOURCE_DIODE: Field = reading(
    "source.diode_drop",
    "Drop of the diodes into the store",
    D::Voltage,
    (0.0, 5.0, U::Volt),
    "common practice: 0.7 V each",
)
.or("1.0 ± 0.3 V", "common practice, no source");
pub(in super::super) const SOURCE_VOLTS: Field = reading(
    "source.winding.volts",
    "Peak volts with nothing connected",
    D::Voltage,
    (0.5, 2000.0, U::Volt),
    "common practice: 40 to 150 V at the kick",
)
.required();
pub(in super::super) const SOURCE_SPEED: Field = reading(
    "source.winding.speed",
    "Crank speed at which that was read",
    D::Speed,
    (50.0, 15000.0, U::Rpm),
    "from kick to top speed",
)
.required();
pub(in super::super) const SOURCE_OHM: Field = reading(
    "source.winding.resistance",
    "Resistance, cold",
    D::Resistance,
    (0.5, 2000.0, U::Ohm),
    "common practice: 100 to 500 Ω for low speed, 5 to 50 Ω for high speed",
)
.required();
pub(in super::super) const SOURCE_HENRY: Field = reading(
    "source.winding.inductance",
    "Inductance on its core",
    D::Inductance,
    (0.1, 5000.0, U::Millihenry),
    "common practice: some millihenry for high speed, some hundred for low speed",
)
.required();

pub(in super::super) static SOURCE_WINDING: Section = Section {
    path: "source.winding",
    label: "Its windings, each with a diode of its own: one, or one for low and one for high speed",
    many: true,
    required: true,
    fields: &[SOURCE_VOLTS, SOURCE_SPEED, SOURCE_OHM, SOURCE_HENRY],
    sections: &[],
    variants: &[],
};
pub(in super::super) static SOURCE: Section = Section {
    path: "source",
    label: "Source coil that fills the store",
    many: false,
    required: false,
    fields: &[SOURCE_PERIODS, SOURCE_DIODE],
    sections: &[&SOURCE_WINDING],
    variants: &[],
};

pub(in super::super) const CONVERTER_POWER: Field = reading(
    "converter.power",
    "Power into the store at the running volts",
    D::Power,
    (0.2, 200.0, U::Watt),
    "common practice: some watts: what it takes at speed, less its losses",
)
.required();
pub(in super::super) const CONVERTER_VOLTS: Field = reading(
    "converter.volts",
    "Volts up to which it fills the store, at the running volts",
    D::Voltage,
    (50.0, 1000.0, U::Volt),
    "common practice: 200 to 400 V",
)
.required();
pub(in super::super) const CONVERTER_HOLDS: Field = other(
    "converter.output",
    "What its output does as the battery sags",
    Kind::Choice(&["follows the battery", "is held"]),
    "plain converters give volts in proportion; some are regulated",
)
.or("follows the battery", "common practice: the plain kind");
pub(in super::super) const CONVERTER_STOPS: Field = reading(
    "converter.stops_below",
    "Volts of the battery below which it does not work",
    D::Voltage,
    (1.0, 24.0, U::Volt),
    "common practice: half of the system's volts",
)
.required();

pub(in super::super) static CONVERTER: Section = Section {
    path: "converter",
    label: "Converter that fills the store from the battery",
    many: false,
    required: false,
    fields: &[CONVERTER_POWER, CONVERTER_VOLTS, CONVERTER_HOLDS, CONVERTER_STOPS],
    sections: &[],
    variants: &[],
};

pub(in super::super) const DWELL: Field = reading(
    "breaker.dwell",
    "Crank angle for which the coil is switched on before each spark",
    D::Angle,
    (5.0, 700.0, U::Degree),
    "common practice: points are closed for a half to two thirds of their time",
);
pub(in super::super) const DWELL_TIME: Field = reading(
    "breaker.dwell_time",
    "Time for which it is switched on, where a module keeps that",
    D::Time,
    (0.5, 30.0, U::Millisecond),
    "common practice: 2 to 6 ms",
);
pub(in super::super) const BREAKER_SERIES: Field = reading(
    "breaker.series",
    "Resistance in line with the primary: ballast, switch, wiring",
    D::Resistance,
    (0.0, 20.0, U::Ohm),
    "common practice: wiring 0.1 to 0.5 Ω, ballast 1 to 2 Ω",
)
.or("0.2 ± 0.15 Ω", "common practice, no source: wiring, key and points");
pub(in super::super) const BREAKER_DROP: Field = reading(
    "breaker.drop",
    "Drop of the closed transistor",
    D::Voltage,
    (0.0, 4.0, U::Volt),
    "common practice: 1 to 2 V; none of points",
)
.or("0 V", "points have none");
pub(in super::super) const CONDENSER: Field = reading(
    "breaker.condenser",
    "Capacitance across points or transistor",
    D::Capacitance,
    (0.0005, 2.0, U::Microfarad),
    "common practice: 0.15 to 0.30 µF with points, some nanofarad with a transistor",
)
.or("0.22 ± 0.05 µF", "common practice: 0.15 to 0.30 µF with points");
pub(in super::super) const CURRENT_LIMIT: Field = reading(
    "breaker.current_limit",
    "Current at which the module holds the primary, where it does",
    D::Current,
    (0.5, 30.0, U::Ampere),
    "common practice: 5 to 9 A",
);
pub(in super::super) const BREAKER_CLAMP: Field = reading(
    "breaker.clamp",
    "Volts at which the transistor holds its own side, where it does",
    D::Voltage,
    (100.0, 1200.0, U::Volt),
    "common practice: 350 to 400 V",
);
pub(in super::super) const GREATEST_CURRENT: Field = reading(
    "breaker.greatest_current",
    "Current that points or module bear",
    D::Current,
    (0.5, 30.0, U::Ampere),
    "common practice: points 4 to 5 A",
)
.or("4.5 ± 0.5 A", "common practice: points burn above 4 to 5 A")
.exact();

pub(in super::super) static BREAKER: Section = Section {
    path: "breaker",
    label: "Points or transistor of an inductive ignition",
    many: false,
    required: false,
    fields: &[DWELL, DWELL_TIME, BREAKER_SERIES, BREAKER_DROP, CONDENSER, CURRENT_LIMIT, BREAKER_CLAMP, GREATEST_CURRENT],
    sections: &[],
    variants: &[],
};
