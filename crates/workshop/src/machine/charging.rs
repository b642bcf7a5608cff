//! Alternator, battery, loads, wires: what the file says of them.

use quantity::Reading;

pub use physics::charge::Kind;

/// What keeps the volts down.
#[derive(Clone, Debug, PartialEq)]
pub enum Keeps {
    /// Nothing.
    Nothing,
    /// A shunt that holds these volts [V].
    Shunt(Reading),
    /// A series regulator that holds these volts [V].
    Series(Reading),
}

/// What tells the inductance.
#[derive(Clone, Debug, PartialEq)]
pub enum Choke {
    /// Inductance between two leads [H].
    Inductance(Reading),
    /// Amps in a lead with all leads joined [A], and the crank's speed [rad/s].
    Joined(Reading, Reading),
}

/// Measured while it ran.
#[derive(Clone, Debug, PartialEq)]
pub struct ChargeSeen {
    /// Crank speed [rad/s].
    pub speed: Reading,
    /// Was everything on?
    pub lights: bool,
    /// Amps into the battery [A].
    pub amps: Option<Reading>,
    /// Volts at the battery [V].
    pub volts: Option<Reading>,
    /// Alternating volts there [V].
    pub ripple: Option<Reading>,
    /// Alternating volts between leads 1–2, 2–3, 3–1, plugged in [V].
    pub leads: [Option<Reading>; 3],
    /// The same with the rectifier unplugged [V].
    pub unplugged: [Option<Reading>; 3],
}

/// The alternator with rectifier and regulator.
#[derive(Clone, Debug, PartialEq)]
pub struct Charging {
    /// How the windings feed the rectifier.
    pub kind: Kind,
    /// Pole pairs.
    pub pole_pairs: u8,
    /// Its turns for one of the crank \[1\].
    pub turns: Reading,
    /// Effective volts between two leads without load [V].
    pub no_load_volts: Reading,
    /// Crank speed at which [rad/s].
    pub no_load_speed: Reading,
    /// Resistance between two leads [Ω].
    pub resistance: Reading,
    /// Temperature at which [K].
    pub resistance_at: Reading,
    /// What tells the inductance, where something does.
    pub choke: Option<Choke>,
    /// Volts over a diode [V].
    pub diode_volts: Reading,
    /// The regulator.
    pub keeps: Keeps,
    /// Temperature of the winding on the road [K].
    pub winding_temperature: Reading,
    /// Rise for each watt [K/W].
    pub heats_by: Option<Reading>,
    /// Temperature round it [K].
    pub around: Reading,
    /// What was measured.
    pub seen: Vec<ChargeSeen>,
}

/// The battery.
#[derive(Clone, Debug, PartialEq)]
pub struct Battery {
    /// Cells.
    pub cells: u8,
    /// Capacity as rated [C].
    pub capacity: Reading,
    /// For which time [s].
    pub rated_over: Reading,
    /// Share that is left \[1\].
    pub capacity_left: Reading,
    /// Peukert's exponent \[1\].
    pub peukert: Reading,
    /// Resistance [Ω].
    pub resistance: Reading,
    /// Temperature [K].
    pub temperature: Reading,
    /// Volts at rest [V], where they were read.
    pub rest_volts: Option<Reading>,
    /// Charge at the start \[1\], where they were not.
    pub charge: Reading,
    /// Share of the capacity that it takes in an hour \[1\].
    pub takes: Reading,
}

/// A load.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// Its name.
    pub name: String,
    /// Its current at the battery's nominal volts [A].
    pub amps: Reading,
    /// Whether its current goes with the volts.
    pub ohmic: bool,
    /// Share of the time \[1\].
    pub on: Reading,
    /// When it may go off; `None` = never.
    pub off: Option<u8>,
}

/// Which ride.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RideKind {
    /// Through town.
    Town,
    /// Through the country.
    Country,
    /// By its own parts.
    Own,
}

/// A part of a ride.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RidePart {
    /// Crank speed [rad/s].
    pub crank_rad_s: f64,
    /// On the road [m/s].
    pub road_m_s: f64,
    /// Share of the time \[1\].
    pub share: f64,
}

/// A ride.
#[derive(Clone, Debug, PartialEq)]
pub struct Ride {
    /// Which.
    pub kind: RideKind,
    /// How long [s].
    pub lasts: Reading,
    /// Fewest volts for a battery-fed ignition [V]; `None` = it needs no battery.
    pub ignition_needs: Option<Reading>,
    /// Its own parts.
    pub parts: Vec<RidePart>,
}

/// Which kind of winding was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WindingKind {
    /// A phase of three, or between two leads of three.
    StatorThree,
    /// Of one phase.
    StatorOne,
    /// A pickup.
    Pickup,
    /// The source coil for low speed.
    SourceLow,
    /// The one for high speed.
    SourceHigh,
    /// A single source coil.
    SourceSingle,
    /// Any other.
    Other,
}

/// A winding that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct WindingRead {
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: WindingKind,
    /// As shown [Ω].
    pub resistance: Reading,
    /// At which temperature [K].
    pub temperature: Reading,
    /// Of the meter's leads [Ω].
    pub leads: Option<Reading>,
    /// As recorded at 20 °C [Ω].
    pub record: Option<Reading>,
    /// Which are alike.
    pub twins: Option<String>,
    /// To the frame [Ω].
    pub insulation: Option<Reading>,
}

/// Where a wire ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WirePart {
    /// Alternator.
    Alternator,
    /// Regulator and rectifier.
    Regulator,
    /// Battery.
    Battery,
    /// Fuse.
    Fuse,
    /// Switch.
    Switch,
    /// Ignition module or points.
    Ignition,
    /// Ignition coil.
    Coil,
    /// A load.
    Load,
    /// Frame.
    Frame,
}

impl WirePart {
    /// All, in the order of the file's words.
    pub const ALL: [WirePart; 9] = [
        WirePart::Alternator,
        WirePart::Regulator,
        WirePart::Battery,
        WirePart::Fuse,
        WirePart::Switch,
        WirePart::Ignition,
        WirePart::Coil,
        WirePart::Load,
        WirePart::Frame,
    ];
}

/// A wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Where it begins, and its terminal there.
    pub from: (WirePart, String),
    /// Where it ends.
    pub to: (WirePart, String),
    /// Colour.
    pub colour: Option<String>,
    /// Section [m²].
    pub section: Reading,
    /// American gauge number, where it was given by that.
    pub gauge: Option<u8>,
    /// Length one way [m].
    pub length: Reading,
    /// Steady current [A].
    pub amps: Option<Reading>,
    /// The load that it feeds, as an index.
    pub load: Option<usize>,
    /// Its fuse [A].
    pub fuse: Option<Reading>,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Electric {
    /// Alternator, rectifier, regulator.
    pub charging: Option<Charging>,
    /// Battery.
    pub battery: Option<Battery>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Ride.
    pub ride: Option<Ride>,
    /// Windings that were measured.
    pub windings: Vec<WindingRead>,
    /// Wires.
    pub wires: Vec<Wire>,
}
