//! What else was seen on the throttle stop, row by row: the plate nudged, the stop screw turned, the engine run down.

use quantity::{Dimension as D, Unit as U};

use super::{Field, Section, reading};

const IDLING: &str = "from barely turning to a hang";

pub(in super::super) const NUDGE_TURNED: Field = reading(
    "idle.nudge.turned",
    "Plate turned, as advance on the crank, positive = earlier",
    D::Angle,
    (-20.0, 20.0, U::Degree),
    "common practice: a plate's slots allow no more",
)
.required();
pub(in super::super) const NUDGE_SPEED: Field =
    reading("idle.nudge.speed", "Speed to which it settles there", D::Speed, (300.0, 10000.0, U::Rpm), IDLING).required();

pub(in super::super) static NUDGE: Section = Section {
    path: "idle.nudge",
    label: "Nudge test: the plate turned, the stop left alone",
    many: true,
    required: false,
    fields: &[NUDGE_TURNED, NUDGE_SPEED],
    sections: &[],
    variants: &[],
};

pub(in super::super) const SCREW_TURNS: Field = reading(
    "idle.screw.turns",
    "Turns of the stop screw from where it stood, positive = more air",
    D::Number,
    (-5.0, 5.0, U::One),
    "common practice: a stop screw has a handful of turns",
)
.required();
pub(in super::super) const SCREW_SPEED: Field =
    reading("idle.screw.speed", "Speed to which it settles there", D::Speed, (300.0, 10000.0, U::Rpm), IDLING).required();

pub(in super::super) static SCREW: Section = Section {
    path: "idle.screw",
    label: "Stop screw turned, the plate left alone",
    many: true,
    required: false,
    fields: &[SCREW_TURNS, SCREW_SPEED],
    sections: &[],
    variants: &[],
};

const RUN_DOWN_SPEEDS: &str = "from a hang to the last turns";

pub(in super::super) const RUN_DOWN_FROM: Field =
    reading("idle.run_down.from", "Speed at which the clock starts", D::Speed, (300.0, 10000.0, U::Rpm), RUN_DOWN_SPEEDS)
        .required();
pub(in super::super) const RUN_DOWN_TO: Field =
    reading("idle.run_down.to", "Speed at which it stops", D::Speed, (200.0, 9000.0, U::Rpm), RUN_DOWN_SPEEDS).required();
pub(in super::super) const RUN_DOWN_TAKES: Field = reading(
    "idle.run_down.takes",
    "Time between the two, ignition cut, throttle on its stop, clutch pulled",
    D::Time,
    (0.05, 60.0, U::Second),
    "common practice: a second or two; a heavy flywheel takes longer",
)
.required();

pub(in super::super) static RUN_DOWN: Section = Section {
    path: "idle.run_down",
    label: "Run-down with the ignition cut",
    many: true,
    required: false,
    fields: &[RUN_DOWN_FROM, RUN_DOWN_TO, RUN_DOWN_TAKES],
    sections: &[],
    variants: &[],
};

pub(in super::super) const IDLE_COUNTER: Field = reading(
    "idle.rev_counter",
    "± of the rev counter that all these speeds have alike, beside the ± of each",
    D::Number,
    (0.0, 20.0, U::Percent),
    "common practice: mechanical 3 % to 5 %, clip-on 1 %",
)
.exact();

/// A slide's lift opens a bore by so much per turn of its screw; with it the screw's readings say more.
pub(in super::super) const SCREW_LIFT: Field = reading(
    "idle.screw_lift",
    "Rise of the slide for one turn of the stop screw",
    D::Length,
    (0.02, 3.0, U::Millimetre),
    "common practice: a screw's pitch is 0.5 to 1 mm, and it meets the slide at a slant",
);
