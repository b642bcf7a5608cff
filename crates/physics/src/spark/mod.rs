//! The spark: what an ignition can give, and what the gap of its plug asks for.
//!
//! `coil` has the coil and what hangs on it, `network` the equations of coil, store and gap in each of their states, `pulse` runs them in
//! time by the exact steps of `ladder`. `source` fills the store of a capacitor ignition, `dwell` the coil of an inductive one.
//! `breakdown` is the gap's side, `signal` the pickup's.

pub mod breakdown;
pub mod coil;
pub mod dwell;
mod ladder;
mod network;
mod pulse;
pub mod signal;
pub mod source;

pub use network::{Breaker, Circuit, Discharge, Feed, Switch};
pub use pulse::{Books, Burned, Moment, Pulse, Spark, burned, follow, open_pulse, spark};
