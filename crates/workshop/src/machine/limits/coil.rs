//! The high-tension coil and what hangs on it.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

pub(in super::super) const PRIMARY_OHM: Field = reading(
    "coil.primary_resistance",
    "Primary resistance, leads taken off",
    D::Resistance,
    (0.02, 20.0, U::Ohm),
    "common practice: 0.1 to 1 Ω for capacitor discharge, 1 to 5 Ω on a battery",
)
.required();
pub(in super::super) const PRIMARY_HENRY: Field = reading(
    "coil.primary_inductance",
    "Primary inductance, secondary open",
    D::Inductance,
    (0.02, 100.0, U::Millihenry),
    "common practice: 0.2 to 2 mH for capacitor discharge, 4 to 12 mH on a battery",
)
.required();
pub(in super::super) const TURNS_RATIO: Field = reading(
    "coil.turns_ratio",
    "Turns of the secondary for each of the primary: a low alternating voltage on the one, read on the other",
    D::Number,
    (20.0, 400.0, U::One),
    "common practice: 50 to 120",
)
.required();
pub(in super::super) const COUPLING: Field = reading(
    "coil.coupling",
    "Coupling of the windings: the root of one less the primary inductance with the secondary short-circuited over that with it open",
    D::Number,
    (0.3, 0.999, U::One),
    "common practice: 0.90 to 0.98 on a core",
)
.or("0.95 ± 0.03", "common practice, no source");
pub(in super::super) const SECONDARY_OHM: Field = reading(
    "coil.secondary_resistance",
    "Secondary resistance, cap and lead taken off",
    D::Resistance,
    (0.2, 40.0, U::Kiloohm),
    "common practice: 3 to 9 kΩ for capacitor discharge, 6 to 20 kΩ on a battery",
)
.required();
pub(in super::super) const WINDING_FARAD: Field = reading(
    "coil.winding_capacitance",
    "Capacitance of the secondary winding",
    D::Capacitance,
    (1.0, 500.0, U::Picofarad),
    "common practice: 20 to 80 pF",
)
.or("50 ± 20 pF", "common practice, no source");
pub(in super::super) const READ_AT: Field = reading(
    "coil.read_at",
    "Temperature at which its resistances were read",
    D::Temperature,
    (-20.0, 60.0, U::Celsius),
    "a cold coil on the bench",
)
.or("20 ± 5 °C", "a cold coil on the bench");
pub(in super::super) const HOT: Field = reading(
    "coil.hot",
    "Temperature of the hot coil, to be judged by",
    D::Temperature,
    (20.0, 180.0, U::Celsius),
    "common practice: 60 to 110 °C under a tank",
)
.or("90 ± 20 °C", "common practice, no source");
pub(in super::super) const RISE_PER_WATT: Field = reading(
    "coil.rise_per_watt",
    "Rise of its temperature for each watt of heat",
    D::ThermalResistance,
    (0.3, 50.0, U::KelvinPerWatt),
    "common practice: a fist-sized body in moving air",
)
.or("4 ± 2 K/W", "common practice, no source");
pub(in super::super) const WARMEST: Field = reading(
    "coil.greatest_temperature",
    "Temperature that its insulation bears",
    D::Temperature,
    (60.0, 250.0, U::Celsius),
    "insulation of class E bears 120 °C, of class F 155 °C (IEC 60085)",
)
.or("120 °C", "class E of IEC 60085, the usual enamel of old coils (common practice, no source)")
.exact();

pub(in super::super) static COIL: Section = Section {
    path: "coil",
    label: "High-tension coil; all of a machine alike",
    many: false,
    required: false,
    fields: &[
        PRIMARY_OHM,
        PRIMARY_HENRY,
        TURNS_RATIO,
        COUPLING,
        SECONDARY_OHM,
        WINDING_FARAD,
        READ_AT,
        HOT,
        RISE_PER_WATT,
        WARMEST,
    ],
    sections: &[],
    variants: &[],
};

pub(in super::super) const PLUG_GAP: Field =
    reading("plug.gap", "Gap of the plug", D::Length, (0.1, 3.0, U::Millimetre), "common practice: 0.4 to 1.0 mm").required();
pub(in super::super) const WORN_GAP: Field = reading(
    "plug.worn_gap",
    "Gap of a worn plug, to be judged by; 0.2 mm more than the gap where it is left out",
    D::Length,
    (0.1, 4.0, U::Millimetre),
    "common practice: worn is 0.2 mm more than new",
);
pub(in super::super) const EDGES: Field = other(
    "plug.edges",
    "Edges of its electrodes",
    Kind::Choice(&["sharp", "rounded"]),
    "a spark leaves a sharp edge more easily",
)
.or("sharp", "a new plug, or one that was filed square");
pub(in super::super) const CAP_OHM: Field = reading(
    "plug.cap_resistance",
    "Resistance of lead, cap and plug together",
    D::Resistance,
    (0.0, 100.0, U::Kiloohm),
    "common practice: 0, 1, 5 or 10 kΩ and the lead's own",
)
.or("5 ± 1 kΩ", "common practice: a cap of 5 kΩ");
pub(in super::super) const LEAD_FARAD: Field = reading(
    "plug.lead_capacitance",
    "Capacitance of the lead",
    D::Capacitance,
    (0.0, 300.0, U::Picofarad),
    "about 1 pF for each centimetre near metal (common practice, no source)",
)
.or("25 ± 15 pF", "common practice, no source: a foot of lead");
pub(in super::super) const PLUG_FARAD: Field = reading(
    "plug.capacitance",
    "Capacitance of the plug",
    D::Capacitance,
    (1.0, 100.0, U::Picofarad),
    "common practice: 8 to 15 pF",
)
.or("10 ± 3 pF", "common practice, no source");
pub(in super::super) const FOULED_OHM: Field = reading(
    "plug.fouled_shunt",
    "Resistance across the insulator of a fouled plug, to be judged by",
    D::Resistance,
    (20.0, 10000.0, U::Kiloohm),
    "common practice: ignitions are compared with 1 MΩ and less across the plug",
)
.or("500 ± 200 kΩ", "common practice, no source");
pub(in super::super) const BURNING_VOLTS: Field = reading(
    "plug.burning_volts",
    "Volts across the burning spark",
    D::Voltage,
    (20.0, 5000.0, U::Volt),
    "an arc has some tens of volts, the glow of a weak spark some hundred, more where the gas is dense and moves",
)
.or(
    "500 ± 250 V",
    "a glow discharge, 300 to 500 V and more with the gap (Heywood, Internal Combustion Engine Fundamentals, 9.5, from memory)",
);

pub(in super::super) static PLUG: Section = Section {
    path: "plug",
    label: "Plug, cap and lead",
    many: false,
    required: false,
    fields: &[PLUG_GAP, WORN_GAP, EDGES, CAP_OHM, LEAD_FARAD, PLUG_FARAD, FOULED_OHM, BURNING_VOLTS],
    sections: &[],
    variants: &[],
};
