//! Trigger rotor and pickups, lamp, strobe readings, idle.

use quantity::{Dimension as D, Unit as U};

use super::{
    Field, Kind, Need, Range, Section,
    idle::{IDLE_COUNTER, NUDGE, RUN_DOWN, SCREW, SCREW_LIFT},
    other, reading,
};

pub(in super::super) const DRIVE: Field = other(
    "trigger.drive",
    "Shaft that carries the trigger rotor",
    Kind::Choice(&["crank", "cam"]),
    "a degree on the camshaft is two of the crank",
)
.required();
pub(in super::super) const TURNS: Field = other(
    "trigger.turns",
    "Turning direction of the rotor, seen from the side stated",
    Kind::Choice(&["clockwise", "anticlockwise"]),
    "it decides which end of the segment leads",
)
.required();
pub(in super::super) const SEEN_FROM: Field = other(
    "trigger.seen_from",
    "Side from which the rotor is looked at",
    Kind::Choice(&["cover side", "engine side"]),
    "turned over on the bench, a rotor seems to turn the other way",
)
.required();
pub(in super::super) const RIM: Field = reading(
    "trigger.rim_diameter",
    "Diameter over the rim that carries the segment",
    D::Length,
    (20.0, 300.0, U::Millimetre),
    "common practice: from a camshaft disc to a large flywheel",
)
.required();
pub(in super::super) const SEGMENT_ARC: Field = reading(
    "trigger.segment_arc",
    "Length of the segment along the rim, with a tape",
    D::Length,
    (1.0, 500.0, U::Millimetre),
    "common practice: from a pin to half a flywheel",
);
pub(in super::super) const SEGMENT_CHORD: Field = reading(
    "trigger.segment_chord",
    "Length of the segment straight across, with a caliper",
    D::Length,
    (1.0, 300.0, U::Millimetre),
    "common practice: from a pin to half a flywheel",
);
pub(in super::super) const LEAD: Field = reading(
    "trigger.lead",
    "Advance at which the leading edge passes the pickup",
    D::BeforeTop,
    (-10.0, 120.0, U::DegreeBtdc),
    "common practice: full advance is 15° to 45°, and some modules add a delay",
)
.required();
pub(in super::super) const SEGMENT_WIDTH: Field = reading(
    "trigger.segment_width",
    "Width of the segment along the shaft",
    D::Length,
    (1.0, 80.0, U::Millimetre),
    "common practice",
);
pub(in super::super) const SEGMENT_HEIGHT: Field = reading(
    "trigger.segment_height",
    "Height of the segment above the rim",
    D::Length,
    (0.2, 20.0, U::Millimetre),
    "common practice",
);

pub(in super::super) const FIRES: Field = other(
    "trigger.pickup.fires",
    "Cylinders that it fires, by name or number",
    Kind::Cylinders,
    "an error of its place is an error of their timing",
)
.required();
pub(in super::super) const PLACE_ERROR: Field = reading(
    "trigger.pickup.place_error",
    "Error of its place as advance of its cylinders, positive = earlier",
    D::Angle,
    (-20.0, 20.0, U::Degree),
    "common practice: a plate's slots allow no more",
)
.or("0 ± 1°", "common practice: cylinders are set alike to 1°");
pub(in super::super) const GAP: Field =
    reading("trigger.pickup.gap", "Air gap", D::Length, (0.05, 5.0, U::Millimetre), "common practice: 0.3 to 1.0 mm")
        .or("0.6 ± 0.2 mm", "common practice: mostly 0.5 to 0.8 mm");
pub(in super::super) const POLARITY: Field = other(
    "trigger.pickup.polarity",
    "Connection of its leads",
    Kind::Choice(&["right", "reversed", "unknown"]),
    "reversed, the spark comes at the other edge",
)
.or("unknown", "it cannot be told from the rotor");

pub(in super::super) const VOLTS: Field = reading(
    "trigger.pickup.pulse.volts",
    "Peak of the pulse",
    D::Voltage,
    (0.05, 300.0, U::Volt),
    "common practice: 1 to 7 V at the kick",
)
.required();
pub(in super::super) const PULSE_SPEED: Field = reading(
    "trigger.pickup.pulse.speed",
    "Crank speed at which it was measured",
    D::Speed,
    (50.0, 15000.0, U::Rpm),
    "from kick to top speed",
)
.required();
pub(in super::super) const THRESHOLD: Field = reading(
    "trigger.pickup.pulse.threshold",
    "Voltage at which the module fires",
    D::Voltage,
    (0.05, 50.0, U::Volt),
    "common practice: modules need 0.5 to 2 V",
)
.required();

pub(in super::super) static PULSE: Section = Section {
    path: "trigger.pickup.pulse",
    label: "A pulse measured with a peak-hold adaptor",
    many: false,
    required: false,
    fields: &[VOLTS, PULSE_SPEED, THRESHOLD],
    sections: &[],
    variants: &[],
};
pub(in super::super) static PICKUP: Section = Section {
    path: "trigger.pickup",
    label: "Pickups",
    many: true,
    required: true,
    fields: &[FIRES, PLACE_ERROR, GAP, POLARITY],
    sections: &[&PULSE],
    variants: &[],
};
pub(in super::super) static TRIGGER: Section = Section {
    path: "trigger",
    label: "Trigger rotor",
    many: false,
    required: false,
    fields: &[DRIVE, TURNS, SEEN_FROM, RIM, SEGMENT_ARC, SEGMENT_CHORD, LEAD, SEGMENT_WIDTH, SEGMENT_HEIGHT],
    sections: &[&PICKUP],
    variants: &[],
};

pub(in super::super) const LAMP_WITH: Field =
    other("lamp.with", "The lamp", Kind::Text, "source of every advance in the strobe readings that names none");
pub(in super::super) const COUNTER: Field =
    other("lamp.counter", "The rev counter", Kind::Text, "source of every speed in the strobe readings that names none");
pub(in super::super) const DELAY: Field = reading(
    "lamp.delay",
    "Time from spark to flash",
    D::Time,
    (0.0, 1000.0, U::Microsecond),
    "common practice: some lamps lag by tens of microseconds",
)
.or("0 ± 50 µs", "common practice: 50 µs reads 1.8° late at 6000 rpm");
pub(in super::super) const MARK: Field = reading(
    "lamp.mark",
    "± of mark and eye, for readings without their own",
    D::Angle,
    (0.1, 10.0, U::Degree),
    "common practice: a scribed line is 0.1° to 0.2° wide",
)
.or("1.5°", "common practice: a strobe reading is honest to 1° to 2°")
.exact();
pub(in super::super) const REV_COUNTER: Field = reading(
    "lamp.rev_counter",
    "± of the rev counter, for readings without their own",
    D::Number,
    (0.0, 20.0, U::Percent),
    "common practice: 1 % to 5 %",
)
.or("3 %", "common practice: mechanical 3 % to 5 %, clip-on 1 %")
.exact();

pub(in super::super) static LAMP: Section = Section {
    path: "lamp",
    label: "Lamp and rev counter behind the strobe readings",
    many: false,
    required: false,
    fields: &[LAMP_WITH, COUNTER, DELAY, MARK, REV_COUNTER],
    sections: &[],
    variants: &[],
};

pub(in super::super) const STROBE_CYLINDER: Field =
    other("strobe.cylinder", "Cylinder, by name or number", Kind::Cylinder, "cylinders may differ");
pub(in super::super) const STROBE_SPEED: Field =
    reading("strobe.speed", "Crank speed", D::Speed, (50.0, 20000.0, U::Rpm), "from kick to top speed").required().exact();
pub(in super::super) const STROBE_ADVANCE: Field = Field {
    path: "strobe.advance",
    label: "Advance",
    kind: Kind::Reading {
        dimension: D::Advance,
        range: Range { unit: U::DegreeBtdc, least: -40.0, most: 90.0 },
        travel: Some(Range { unit: U::MillimetreBtdc, least: 0.0, most: 40.0 }),
    },
    need: Need::Required,
    why: "common practice: 0° to 45°, further out only by a fault",
    doubtful: false,
};
pub(in super::super) const TREND: Field = other(
    "strobe.trend",
    "Was the speed held, rising or falling",
    Kind::Choice(&["held", "rising", "falling"]),
    "worn bob weights advance later than they come back",
)
.or("held", "the usual way to read a mark");

pub(in super::super) static STROBE: Section = Section {
    path: "strobe",
    label: "Strobe readings",
    many: true,
    required: false,
    fields: &[STROBE_CYLINDER, STROBE_SPEED, STROBE_ADVANCE, TREND],
    sections: &[],
    variants: &[],
};

pub(in super::super) const IDLE_SPEED: Field =
    reading("idle.speed", "Idle speed", D::Speed, (300.0, 4000.0, U::Rpm), "common practice: 900 to 1500 rpm").required();
pub(in super::super) const HANGS_AT: Field =
    reading("idle.hangs_at", "Speed at which it hangs", D::Speed, (500.0, 10000.0, U::Rpm), "above the idle, below top speed");
pub(in super::super) const CLUTCH: Field = other(
    "idle.clutch_pulls_down",
    "Does the clutch pull it down, and does it stay there",
    Kind::Flag,
    "it tells a second rest speed from a stuck throttle",
);
pub(in super::super) const SNAP: Field = other(
    "idle.snap",
    "Throttle snapped shut or slide knocked down while it hangs",
    Kind::Choice(&["no change", "comes down"]),
    "it tells a sticking slide or cable from all else",
);
pub(in super::super) const CHOKE: Field = other(
    "idle.choke",
    "A little choke, or a hand over the inlet, while it hangs",
    Kind::Choice(&["no change", "comes down", "dies"]),
    "it tells a weak mixture from all else",
);
pub(in super::super) const MIST: Field = other(
    "idle.mist",
    "Joints behind the throttle misted with water, or smoked",
    Kind::Choice(&["no change", "speed changes"]),
    "it tells an air leak from all else",
);
pub(in super::super) const FALLING_EARLIER: Field = reading(
    "idle.falling_earlier",
    "Spark earlier with falling than with rising speed, read at one speed half-way up the advance",
    D::Angle,
    (-20.0, 40.0, U::Degree),
    "common practice: within 2° in good order, more than 4° where weights stick",
);

pub(in super::super) static IDLE: Section = Section {
    path: "idle",
    label: "What the engine does at idle, on one throttle stop",
    many: false,
    required: false,
    fields: &[IDLE_SPEED, HANGS_AT, CLUTCH, SNAP, CHOKE, MIST, FALLING_EARLIER, IDLE_COUNTER, SCREW_LIFT],
    sections: &[&NUDGE, &SCREW, &RUN_DOWN],
    variants: &[],
};
