//! A permanent-magnet alternator, its rectifier and its regulator, against a battery and its loads.
//!
//! [`Circuit`] says what is wired to what, [`steady`] solves one speed in time, exactly between switchings of diodes; [`closed`] has the few cases with a
//! formula. [`regulate`] holds the volts, and [`warm`] the winding's heat.

mod circuit;
pub mod closed;
mod period;
mod reduced;
mod regulated;
mod small;
mod steady;
mod warm;

pub use circuit::{Bus, Circuit, Kind, Node, NotACircuit, Terminal, Valve, Winding};
pub use period::{Sample, Totals};
pub use regulated::{Regulated, Regulator, Taken, regulate};
pub use steady::{NotSettled, Settled, steady};
pub use warm::{TooHot, Warm, warm};
