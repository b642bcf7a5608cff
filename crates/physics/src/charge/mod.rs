//! A permanent-magnet alternator, its rectifier and its regulator, against a battery and its loads.
//!
//! [`Circuit`] says what is wired to what, [`steady`] solves one speed in time, exactly between switchings of diodes. [`regulate`] holds the volts, and
//! [`warm`] the winding's heat.

mod circuit;
mod period;
mod reduced;
mod regulated;
mod small;
mod steady;
mod warm;

pub use circuit::{Bus, Circuit, Kind, Node, NotACircuit, Terminal, Valve, Winding};
pub use period::{Sample, Totals};
pub use regulated::{Fast, Regulated, Regulator, Taken, fast, regulate};
pub use steady::{NotSettled, Settled, steady};
pub use warm::{TooHot, Warm, warm};
