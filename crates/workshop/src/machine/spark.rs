//! The ignition as the mechanic measured it.

use quantity::Reading;

/// Every part of the ignition that the file has; any may be missing, and what needs it is then left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ignition {
    /// What it is.
    pub spark: Option<Spark>,
    /// Battery at its terminals.
    pub supply: Option<Supply>,
    /// Store and switch of a capacitor ignition.
    pub store: Option<Store>,
    /// Source coil.
    pub source: Option<Source>,
    /// Converter.
    pub converter: Option<Converter>,
    /// Points or transistor.
    pub breaker: Option<Breaker>,
    /// High-tension coil.
    pub coil: Option<Coil>,
    /// Plug, cap and lead.
    pub plug: Option<Plug>,
}

impl Ignition {
    /// Whether the file says anything of it.
    pub fn said(&self) -> bool {
        self != &Self::default()
    }
}

/// Kind of ignition.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Capacitor discharge, filled by a source coil.
    CapacitorFromSource,
    /// Capacitor discharge, filled from the battery.
    CapacitorFromBattery,
    /// Coil and points.
    Points,
    /// Coil and transistor.
    Transistor,
}

impl Kind {
    /// Whether a capacitor is let go into the coil.
    pub fn discharges(self) -> bool {
        matches!(self, Kind::CapacitorFromSource | Kind::CapacitorFromBattery)
    }

    /// Whether it lives on the battery.
    pub fn on_battery(self) -> bool {
        self != Kind::CapacitorFromSource
    }
}

/// What the ignition is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spark {
    /// Kind.
    pub kind: Kind,
    /// Each coil fires at every turn of the crank; otherwise once in a cycle.
    pub every_turn: bool,
    /// One store or breaker serves all cylinders in turn.
    pub serves_all: bool,
}

/// Volts at the ignition's terminals [V].
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Engine running.
    pub running: Reading,
    /// While it is kicked.
    pub kicking: Reading,
    /// Of a weak battery.
    pub weak: Option<Reading>,
}

/// Diode for the current that swings back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Diode {
    /// Across the store.
    Store,
    /// Across the switch.
    Switch,
    /// None.
    None,
}

/// Store and switch.
#[derive(Clone, Debug, PartialEq)]
pub struct Store {
    /// Capacitance [F].
    pub capacitance: Reading,
    /// What drains it [Ω].
    pub leak: Reading,
    /// Volts at which it is held [V].
    pub clamp: Option<Reading>,
    /// Drop of the switch [V].
    pub drop: Reading,
    /// Resistance in line [Ω].
    pub series: Reading,
    /// Diode.
    pub diode: Diode,
    /// Peak of the output as read [V].
    pub output: Option<Reading>,
    /// Crank speed at which it was read [rad/s].
    pub output_speed: Option<Reading>,
}

/// Source coil.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Waves in a turn.
    pub periods: u8,
    /// Drop of a diode [V].
    pub diode: Reading,
    /// One or two windings.
    pub windings: Vec<SourceWinding>,
}

/// One winding of it.
#[derive(Clone, Debug, PartialEq)]
pub struct SourceWinding {
    /// Peak with nothing connected [V].
    pub volts: Reading,
    /// Crank speed at which that was read [rad/s].
    pub speed: Reading,
    /// Resistance [Ω].
    pub resistance: Reading,
    /// Inductance [H].
    pub inductance: Reading,
}

/// Converter.
#[derive(Clone, Debug, PartialEq)]
pub struct Converter {
    /// Power at the running volts [W].
    pub power: Reading,
    /// Output at the running volts [V].
    pub volts: Reading,
    /// Its output is held as the battery sags.
    pub held: bool,
    /// Battery volts below which it does not work [V].
    pub stops_below: Reading,
}

/// Points or transistor.
#[derive(Clone, Debug, PartialEq)]
pub struct Breaker {
    /// Crank angle of the dwell [rad].
    pub dwell: Option<Reading>,
    /// Its time [s].
    pub dwell_time: Option<Reading>,
    /// Resistance in line [Ω].
    pub series: Reading,
    /// Drop of the closed switch [V].
    pub drop: Reading,
    /// Condenser [F].
    pub condenser: Reading,
    /// Current at which the module holds [A].
    pub limit: Option<Reading>,
    /// Volts at which it holds [V].
    pub clamp: Option<Reading>,
    /// Current that it bears [A].
    pub greatest: Reading,
}

/// High-tension coil.
#[derive(Clone, Debug, PartialEq)]
pub struct Coil {
    /// Primary resistance [Ω].
    pub primary_resistance: Reading,
    /// Primary inductance [H].
    pub primary_inductance: Reading,
    /// Turns ratio \[1\].
    pub turns: Reading,
    /// Coupling \[1\].
    pub coupling: Reading,
    /// Secondary resistance [Ω].
    pub secondary_resistance: Reading,
    /// Capacitance of the secondary [F].
    pub winding: Reading,
    /// Temperature at which it was read [K].
    pub read_at: Reading,
    /// Temperature when hot [K].
    pub hot: Reading,
    /// Rise for each watt [K/W].
    pub rise_per_watt: Reading,
    /// Temperature that it bears [K].
    pub warmest: Reading,
}

/// Plug, cap and lead.
#[derive(Clone, Debug, PartialEq)]
pub struct Plug {
    /// Gap [m].
    pub gap: Reading,
    /// Worn gap [m].
    pub worn: Option<Reading>,
    /// Edges worn round.
    pub rounded: bool,
    /// Lead, cap and plug [Ω].
    pub cap: Reading,
    /// Lead [F].
    pub lead: Reading,
    /// Plug [F].
    pub capacitance: Reading,
    /// Shunt of a fouled plug [Ω].
    pub fouled: Reading,
    /// Volts across the burning spark [V].
    pub burning: Reading,
}
