//! One machine as the mechanic measured it, and the file that says so.
//!
//! [`read`] turns the text of a machine file into a [`Machine`] or into all its [`Defect`]s. What may stand in the file is
//! declared once, in [`limits`].

mod balancing;
pub mod charging;
mod check;
mod defect;
mod edit;
mod held;
mod inconsistency;
pub mod limits;
pub mod metal;
mod place;
mod read;
pub mod rotor;
mod schema;
mod seen;
pub mod spark;
mod template;
mod walk;

pub use crate::document::{Flaw, MOST_BYTES, MOST_DEFECTS};
pub use balancing::{Balancing, CorrectBy, TrialRun};
pub use defect::{Defect, DefectKind, Inconsistency, Wanted};
pub use edit::{Change, edit, edit_all};
pub use held::{Bond, ContactAt, FluxRead, Held, Lubrication, NoLoadRead, Puller, PullsBy, Taper};
pub use physics::law::Trend;
pub use place::{Place, place};
pub use read::{decode, read};
pub use schema::schema;
pub use seen::{ChokeSeen, IdleSeen, Nudge, RunDown, ScrewTurned, Tried};
pub use template::template;
pub use walk::most_like;

use quantity::{DriveRatio, Reading};
use std::f64::consts::PI;

/// The demonstration machines: file name and text.
pub const EXAMPLES: [(&str, &str); 3] = [
    ("corran-360.toml", include_str!("../../../../examples/corran-360.toml")),
    ("pellow-125.toml", include_str!("../../../../examples/pellow-125.toml")),
    ("tarn-500.toml", include_str!("../../../../examples/tarn-500.toml")),
];

/// A whole machine file, read and judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// What the mechanic calls it.
    pub name: String,
    /// The engine.
    pub engine: Engine,
    /// The electronic trigger, where it has one.
    pub trigger: Option<Trigger>,
    /// Where the spark comes: the law of module or bob weights, where known. `None`: fitted from the strobe readings.
    pub law: Option<LawData>,
    /// Strobe readings.
    pub strobe: Vec<StrobeReading>,
    /// The lamp and rev counter behind the strobe readings.
    pub lamp: Lamp,
    /// What the engine does at idle.
    pub idle: Option<IdleSeen>,
    /// The rotor in the hand.
    pub rotor: Option<rotor::Rotor>,
    /// The ignition.
    pub ignition: spark::Ignition,
    /// Alternator, battery, loads, windings and wires.
    pub electric: charging::Electric,
}

/// Strokes per cycle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strokes {
    /// Two-stroke.
    Two,
    /// Four-stroke.
    Four,
}

/// The engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    /// Strokes.
    pub strokes: Strokes,
    /// Cylinders in the order the mechanic numbers them.
    pub cylinders: Vec<Cylinder>,
    /// Bore [m].
    pub bore: Reading,
    /// Stroke [m].
    pub stroke: Reading,
    /// Rod length between centres [m].
    pub rod: Reading,
    /// Gudgeon-pin offset [m], positive towards the major thrust side: the wall that the piston is pressed against on the
    /// power stroke, opposite to the side on which the crankpin goes down.
    pub pin_offset: Reading,
    /// Compression ratio [1].
    pub compression_ratio: Reading,
    /// Valves; four-strokes only.
    pub valves: Option<Valves>,
    /// Inlet side; four-strokes only.
    pub inlet: Option<Inlet>,
    /// Moment of inertia of all that turns with the crank [kg·m²].
    pub inertia: Reading,
    /// Mass of the trigger rotor [kg], for the balance grade.
    pub rotor_mass: Option<Reading>,
    /// Top speed of the engine [rad/s].
    pub top_speed: Reading,
    /// Kicking speed [rad/s].
    pub kicking_speed: Reading,
    /// Research octane number of the fuel [1].
    pub octane: Reading,
    /// Fuel/air equivalence ratio [1] (1 = chemically correct, above 1 = rich).
    pub mixture: Reading,
    /// Factor on the flame's speed [1]; 1 = the published correlation as it stands.
    pub burn_factor: Reading,
    /// Standard deviation of the flame's speed from burn to burn, as a share [1].
    pub burn_scatter: Reading,
    /// Factor on the friction correlation [1].
    pub friction_factor: Reading,
    /// Factor on the part of the friction that grows with speed [1]; `None` = 1, as published.
    pub friction_slope: Option<Reading>,
    /// Ambient pressure [Pa].
    pub ambient_pressure: Reading,
    /// Ambient temperature [K].
    pub ambient_temperature: Reading,
}

impl Engine {
    /// What one cylinder displaces [m³].
    pub fn swept_m3(&self) -> f64 {
        0.25 * PI * self.bore.si * self.bore.si * self.stroke.si
    }
}

/// One cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// What the mechanic calls it ("left", "1").
    pub name: String,
    /// Crank angle of its firing top dead centre in the engine's cycle [rad].
    pub fires_at: Reading,
}

/// Valve timing and sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Valves {
    /// Inlet opens, before top dead centre [rad].
    pub inlet_opens: Reading,
    /// Inlet closes, after bottom dead centre [rad].
    pub inlet_closes: Reading,
    /// Exhaust opens, before bottom dead centre [rad].
    pub exhaust_opens: Reading,
    /// Exhaust closes, after top dead centre [rad].
    pub exhaust_closes: Reading,
    /// Inlet valve seat diameter [m] (inner).
    pub inlet_diameter: Reading,
    /// Exhaust valve seat diameter [m] (inner).
    pub exhaust_diameter: Reading,
    /// Greatest inlet lift [m].
    pub inlet_lift: Reading,
    /// Greatest exhaust lift [m].
    pub exhaust_lift: Reading,
    /// Valves of each kind per cylinder.
    pub inlet_count: u8,
    /// As above.
    pub exhaust_count: u8,
}

/// How the cylinders breathe in.
#[derive(Clone, Debug, PartialEq)]
pub struct Inlet {
    /// Own throttle and runner per cylinder, or one plenum for all.
    pub arrangement: Arrangement,
    /// Volume between throttle and valve [m³]: of each runner, or of the whole plenum.
    pub volume: Reading,
    /// Bore of the carburettor or throttle [m], which bounds the opening.
    pub throttle_bore: Reading,
}

/// See [`Inlet`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrangement {
    /// Every cylinder has its own throttle and runner.
    Own,
    /// All cylinders draw from one plenum behind one throttle.
    Shared,
}

/// Turning direction of the rotor *as seen from* [`Trigger::seen_from`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turns {
    /// Clockwise.
    Clockwise,
    /// Anticlockwise.
    Anticlockwise,
}

/// The side from which the mechanic looks at the rotor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeenFrom {
    /// From the outside of the machine, rotor in front, engine behind it.
    CoverSide,
    /// From the engine, as the rotor's back lies when it is off and turned over.
    EngineSide,
}

/// The trigger rotor and its pickups.
#[derive(Clone, Debug, PartialEq)]
pub struct Trigger {
    /// Rotor turns per crank turn.
    pub drive: DriveRatio,
    /// Turning direction.
    pub turns: Turns,
    /// Side from which `turns` and the drawing are seen.
    pub seen_from: SeenFrom,
    /// Diameter of the rim that carries the segment [m].
    pub rim_diameter: Reading,
    /// Segment length along the rim [m], or straight across with a caliper.
    pub segment: SegmentLength,
    /// Advance at which the leading edge passes the pickup, crank angle [rad].
    pub lead: Reading,
    /// Axial width of the segment [m]; with height and density it gives the mass that a cut removes.
    pub segment_width: Option<Reading>,
    /// Height of the segment above the rim [m].
    pub segment_height: Option<Reading>,
    /// Pickups.
    pub pickups: Vec<Pickup>,
}

/// How the segment was measured.
#[derive(Clone, Debug, PartialEq)]
pub enum SegmentLength {
    /// Along the rim, with a tape [m].
    Arc(Reading),
    /// Straight across, with a caliper [m].
    Chord(Reading),
}

/// One pickup.
#[derive(Clone, Debug, PartialEq)]
pub struct Pickup {
    /// Index into [`Engine::cylinders`] of every cylinder that it fires.
    pub fires: Vec<usize>,
    /// Error of its place, as advance of its cylinders, crank angle [rad]: positive = earlier.
    pub place_error: Reading,
    /// Air gap [m].
    pub gap: Reading,
    /// Which way its leads are connected.
    pub polarity: Polarity,
    /// Peak volts of a pulse at a known speed and gap, where measured.
    pub pulse: Option<PulseSeen>,
}

/// Lead connection of a pickup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// As the module wants it: the leading edge gives the pulse that it takes as leading.
    Right,
    /// Reversed: the edges change places.
    Reversed,
    /// Not known.
    Unknown,
}

/// A measured pickup pulse.
#[derive(Clone, Debug, PartialEq)]
pub struct PulseSeen {
    /// Peak voltage [V].
    pub volts: Reading,
    /// Crank speed at which it was measured [rad/s].
    pub speed: Reading,
    /// Voltage at which the module fires [V].
    pub threshold: Reading,
}

/// The law of module or weights as the mechanic knows it.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "there is one in a machine")]
pub enum LawData {
    /// Analogue two-edge module: delay grows from nothing at `full` to the whole segment at `start`.
    Ramp {
        /// Speed below which the spark stays at the trailing edge [rad/s].
        start: Reading,
        /// Speed from which the spark stays at the leading edge [rad/s].
        full: Reading,
    },
    /// Trailing edge below `start`, leading edge above `full`, straight between.
    TwoEdge {
        /// As in `Ramp`.
        start: Reading,
        /// As in `Ramp`.
        full: Reading,
    },
    /// Points of speed [rad/s] and advance [rad].
    Table(Vec<(Reading, Reading)>),
    /// The same at all speeds [rad].
    Fixed(Reading),
    /// Bob weights.
    BobWeights(BobWeightData),
}

/// A bob-weight mechanism, per weight, all weights alike. Geometry at the weight's pivot.
#[derive(Clone, Debug, PartialEq)]
pub struct BobWeightData {
    /// Turns of the mechanism per crank turn.
    pub drive: DriveRatio,
    /// Advance with the weights closed, crank [rad].
    pub static_advance: Reading,
    /// Greatest advance that the stops allow over the static one, crank [rad].
    pub range: Reading,
    /// Number of weights.
    pub count: u8,
    /// Mass of one weight [kg].
    pub mass: Reading,
    /// Distance shaft axis to weight pivot [m].
    pub pivot_radius: Reading,
    /// Distance pivot to the weight's centre of mass [m].
    pub arm: Reading,
    /// Angle at the pivot between the line to the shaft and the line to the centre of mass, weights closed [rad].
    pub rest_angle: Reading,
    /// Advance of the cam per radian of weight swing, in mechanism angle [1].
    pub cam_per_swing: Reading,
    /// Distance pivot to spring attachment [m].
    pub spring_arm: Reading,
    /// First spring: rate [N/m].
    pub first_rate: Reading,
    /// First spring: force with the weights closed [N].
    pub first_preload: Reading,
    /// Second spring: rate [N/m], where there is one.
    pub second_rate: Option<Reading>,
    /// Slack of the second spring at its attachment before it pulls [m].
    pub second_gap: Option<Reading>,
    /// Friction moment at the pivot [N·m], the half-width of the rising/falling loop.
    pub friction: Reading,
}

/// One strobe reading.
#[derive(Clone, Debug, PartialEq)]
pub struct StrobeReading {
    /// Index into [`Engine::cylinders`]; `None` where it was not noted.
    pub cylinder: Option<usize>,
    /// Crank speed [rad/s].
    pub speed: Reading,
    /// Advance [rad], or piston travel before top dead centre [m] where the unit says so.
    pub advance: Reading,
    /// Was the speed rising, falling or held.
    pub trend: Trend,
}

/// Known errors of the lamp and the rev counter.
#[derive(Clone, Debug, PartialEq)]
pub struct Lamp {
    /// Time from spark to flash [s]; it makes the reading late by delay × speed.
    pub delay: Reading,
    /// ± of the mark and the eye [rad], for readings without a ± of their own.
    pub mark: Reading,
    /// ± of the rev counter as a share of the reading [1].
    pub rev_counter: Reading,
}
