//! Engine, cylinders, valves, inlet.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Kind, Section, other, reading};

const SIZES: &str = "common practice: from mopeds to large singles";

pub(in super::super) const STROKES: Field =
    other("engine.strokes", "Strokes per cycle", Kind::Count { least: 2, most: 4 }, "two-stroke or four-stroke").required();
pub(in super::super) const BORE: Field =
    reading("engine.bore", "Bore", D::Length, (20.0, 150.0, U::Millimetre), SIZES).required();
pub(in super::super) const STROKE: Field =
    reading("engine.stroke", "Stroke", D::Length, (20.0, 150.0, U::Millimetre), SIZES).required();
pub(in super::super) const ROD: Field = reading(
    "engine.rod",
    "Rod length between centres; twice the stroke stands in for it",
    D::Length,
    (40.0, 400.0, U::Millimetre),
    SIZES,
);
pub(in super::super) const PIN_OFFSET: Field = reading(
    "engine.pin_offset",
    "Gudgeon-pin offset, positive towards the major thrust side",
    D::Length,
    (-5.0, 5.0, U::Millimetre),
    "common practice: pistons are offset by 0 to 2 mm",
)
.or("0 mm", "most old engines have none");
pub(in super::super) const COMPRESSION: Field = reading(
    "engine.compression_ratio",
    "Compression ratio",
    D::Number,
    (4.0, 16.0, U::One),
    "common practice: side valves from 4, racing engines up to 16",
)
.required();
pub(in super::super) const INERTIA: Field = reading(
    "engine.inertia",
    "Moment of inertia of all that turns with the crank",
    D::Inertia,
    (1e-4, 1.0, U::KilogramSquareMetre),
    "common practice: from a moped's crank to a large flywheel",
)
.or("0.010 ± 0.006 kg·m²", "common practice: crank and rotor of a machine of 125 to 500 cm³");
pub(in super::super) const ROTOR_MASS: Field = reading(
    "engine.rotor_mass",
    "Mass of the trigger rotor",
    D::Mass,
    (20.0, 15000.0, U::Gram),
    "common practice: from a bare trigger disc to a flywheel",
);
pub(in super::super) const TOP_SPEED: Field = reading(
    "engine.top_speed",
    "Top speed of the engine",
    D::Speed,
    (1500.0, 20000.0, U::Rpm),
    "common practice: from slow singles to small racing engines",
)
.required()
.exact();
pub(in super::super) const KICKING: Field = reading(
    "engine.kicking_speed",
    "Kicking speed",
    D::Speed,
    (50.0, 1500.0, U::Rpm),
    "common practice: 300 to 700 rpm by foot, less on a weak starter",
)
.or("450 ± 150 rpm", "common practice: 300 to 700 rpm by foot");
pub(in super::super) const OCTANE: Field = reading(
    "engine.octane",
    "Research octane number of the fuel",
    D::Number,
    (60.0, 120.0, U::One),
    "the scale of the knock correlation",
)
.or("95 ± 1", "the usual pump fuel (EN 228)");
pub(in super::super) const MIXTURE: Field = reading(
    "engine.mixture",
    "Fuel/air ratio against the chemically correct one",
    D::Number,
    (0.6, 1.6, U::One),
    "outside it a mixture hardly burns",
)
.or("1.1 ± 0.1", "common practice: idle circuits are set a little rich");
pub(in super::super) const BURN: Field = reading(
    "engine.burn_factor",
    "Factor on the flame's speed",
    D::Number,
    (0.3, 3.0, U::One),
    "a correction, not another model",
)
.or("1 ± 0.3", "the published correlation as it stands");
pub(in super::super) const BURN_SCATTER: Field = reading(
    "engine.burn_scatter",
    "Standard deviation of the flame's speed from burn to burn",
    D::Number,
    (0.0, 30.0, U::Percent),
    "beyond it an engine misfires more than it runs",
)
.or(
    "5 ± 3 %",
    "work then varies by some 10 % at an idle with much overlap, the bound of a smooth one (Heywood 1988, 9.4, from memory)",
);
pub(in super::super) const FRICTION_FACTOR: Field = reading(
    "engine.friction_factor",
    "Factor on the friction correlation",
    D::Number,
    (0.3, 3.0, U::One),
    "a correction, not another model",
)
.or("1 ± 0.3", "the published correlation as it stands");
pub(in super::super) const FRICTION_SLOPE: Field = reading(
    "engine.friction_slope",
    "Factor on the part of the friction that grows with speed",
    D::Number,
    (0.2, 4.0, U::One),
    "a correction, not another model; 1 without it",
);
pub(in super::super) const PRESSURE: Field = reading(
    "engine.ambient_pressure",
    "Air pressure in the workshop",
    D::Pressure,
    (0.5, 1.1, U::Bar),
    "from a pass at 5500 m to the highest weather at sea level",
)
.or("1.013 ± 0.03 bar", "standard atmosphere at sea level (ISO 2533) and its weather");
pub(in super::super) const TEMPERATURE: Field = reading(
    "engine.ambient_temperature",
    "Air temperature in the workshop",
    D::Temperature,
    (-30.0, 60.0, U::Celsius),
    "where people work",
)
.or("20 ± 10 °C", "a workshop");

pub(in super::super) const CYLINDER_NAME: Field =
    other("engine.cylinder.name", "Name of the cylinder", Kind::Text, "readings and pickups refer to it").required();
pub(in super::super) const FIRES_AT: Field = reading(
    "engine.cylinder.fires_at",
    "Crank angle of its firing top dead centre in the cycle",
    D::Angle,
    (0.0, 720.0, U::Degree),
    "one cycle of a four-stroke",
)
.required()
.exact();

pub(in super::super) static CYLINDER: Section = Section {
    path: "engine.cylinder",
    label: "Cylinders, in the order in which the mechanic counts them",
    many: true,
    required: true,
    fields: &[CYLINDER_NAME, FIRES_AT],
    sections: &[],
    variants: &[],
};

const CAMS: &str = "common practice: from the mildest to racing cams";
const VALVE_SIZES: &str = "common practice: from mopeds to large singles";

pub(in super::super) const INLET_OPENS: Field =
    reading("engine.valves.inlet_opens", "Inlet opens", D::BeforeTop, (-40.0, 100.0, U::DegreeBtdc), CAMS).required();
pub(in super::super) const INLET_CLOSES: Field =
    reading("engine.valves.inlet_closes", "Inlet closes", D::AfterBottom, (0.0, 110.0, U::DegreeAbdc), CAMS).required();
pub(in super::super) const EXHAUST_OPENS: Field =
    reading("engine.valves.exhaust_opens", "Exhaust opens", D::BeforeBottom, (0.0, 110.0, U::DegreeBbdc), CAMS).required();
pub(in super::super) const EXHAUST_CLOSES: Field =
    reading("engine.valves.exhaust_closes", "Exhaust closes", D::AfterTop, (-40.0, 100.0, U::DegreeAtdc), CAMS).required();
pub(in super::super) const INLET_DIAMETER: Field = reading(
    "engine.valves.inlet_diameter",
    "Inlet valve seat, inner diameter",
    D::Length,
    (8.0, 80.0, U::Millimetre),
    VALVE_SIZES,
)
.required();
pub(in super::super) const EXHAUST_DIAMETER: Field = reading(
    "engine.valves.exhaust_diameter",
    "Exhaust valve seat, inner diameter",
    D::Length,
    (8.0, 80.0, U::Millimetre),
    VALVE_SIZES,
)
.required();
pub(in super::super) const INLET_LIFT: Field =
    reading("engine.valves.inlet_lift", "Greatest inlet lift", D::Length, (1.0, 20.0, U::Millimetre), VALVE_SIZES).required();
pub(in super::super) const EXHAUST_LIFT: Field =
    reading("engine.valves.exhaust_lift", "Greatest exhaust lift", D::Length, (1.0, 20.0, U::Millimetre), VALVE_SIZES).required();
pub(in super::super) const INLET_COUNT: Field =
    other("engine.valves.inlet_count", "Inlet valves per cylinder", Kind::Count { least: 1, most: 3 }, "no head has more")
        .or("1", "most old engines have one");
pub(in super::super) const EXHAUST_COUNT: Field =
    other("engine.valves.exhaust_count", "Exhaust valves per cylinder", Kind::Count { least: 1, most: 3 }, "no head has more")
        .or("1", "most old engines have one");

pub(in super::super) static VALVES: Section = Section {
    path: "engine.valves",
    label: "Valve timing at the lift at which the cam is timed, and valve sizes; four-strokes only",
    many: false,
    required: false,
    fields: &[
        INLET_OPENS,
        INLET_CLOSES,
        EXHAUST_OPENS,
        EXHAUST_CLOSES,
        INLET_DIAMETER,
        EXHAUST_DIAMETER,
        INLET_LIFT,
        EXHAUST_LIFT,
        INLET_COUNT,
        EXHAUST_COUNT,
    ],
    sections: &[],
    variants: &[],
};

pub(in super::super) const ARRANGEMENT: Field = other(
    "engine.inlet.arrangement",
    "Own throttle and runner for every cylinder, or one plenum shared by all",
    Kind::Choice(&["own", "shared"]),
    "it decides how much burned gas comes back at idle",
)
.required();
pub(in super::super) const INLET_VOLUME: Field = reading(
    "engine.inlet.volume",
    "Volume between throttle and valve: of each runner, or of the whole plenum",
    D::Volume,
    (1.0, 10000.0, U::CubicCentimetre),
    "common practice: from a stub to an air box behind one throttle",
)
.required();
pub(in super::super) const THROTTLE_BORE: Field = reading(
    "engine.inlet.throttle_bore",
    "Bore of the carburettor at the throttle",
    D::Length,
    (8.0, 80.0, U::Millimetre),
    "common practice: from mopeds to large singles",
)
.required();

pub(in super::super) static INLET: Section = Section {
    path: "engine.inlet",
    label: "Inlet side; four-strokes only",
    many: false,
    required: false,
    fields: &[ARRANGEMENT, INLET_VOLUME, THROTTLE_BORE],
    sections: &[],
    variants: &[],
};

pub(in super::super) static ENGINE: Section = Section {
    path: "engine",
    label: "Engine",
    many: false,
    required: true,
    fields: &[
        STROKES,
        BORE,
        STROKE,
        ROD,
        PIN_OFFSET,
        COMPRESSION,
        INERTIA,
        ROTOR_MASS,
        TOP_SPEED,
        KICKING,
        OCTANE,
        MIXTURE,
        BURN,
        BURN_SCATTER,
        FRICTION_FACTOR,
        FRICTION_SLOPE,
        PRESSURE,
        TEMPERATURE,
    ],
    sections: &[&CYLINDER, &VALVES, &INLET],
    variants: &[],
};
