//! Windings, charging, the balance of a ride, and wires.

pub mod alternator;
pub mod charge;
mod heat;
pub mod likeness;
pub mod ride;
pub mod windings;
pub mod wires;

pub use physics::charge::NotSettled;

/// Why something electrical is not told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotTold {
    /// A part of the file that is not there, by its path.
    Missing(&'static str),
    /// Neither inductance nor amps with all leads joined.
    NoInductance,
    /// Amps with all leads joined that are more than the resistance alone would let through.
    JoinedTooMuch,
    /// The circuit could not be solved.
    NotSolved(NotSettled),
    /// The loads take more than battery and alternator can give at any volts.
    Overloaded,
}

impl From<NotSettled> for NotTold {
    fn from(why: NotSettled) -> Self {
        NotTold::NotSolved(why)
    }
}
