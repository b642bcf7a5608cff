//! The four-stroke working cycle, crank-resolved, run until it repeats itself.
//!
//! One zone of gas per cylinder with a flame-driven burn, one control volume for the runner (or the shared plenum) behind the
//! throttle, and a well-mixed pocket in the exhaust port whose gas may flow back. No pressure waves.
//!
//! `engine` says what is computed and in which steps. `kernel` has the balance equations, of the `accounts`, with each `body` of gas, the
//! flame's part, `burn`, and what a cylinder keeps of its cycle in `memory`; `equalise` and `emptying` make the steps with open valves. `steady` repeats cycles, point after point of its `rows`, until `tell` says that they have
//! settled, `trace` follows one settled cycle in detail, and `free` lets the crank's speed follow from the torque.

mod accounts;
mod body;
mod burn;
mod emptying;
mod engine;
mod equalise;
mod free;
mod kernel;
mod memory;
mod point;
mod rows;
mod steady;
mod tell;
mod trace;

pub use engine::{Engine, LEAST_RUNNER, NotAnEngine, Prepared};
pub use free::{Account, Drive, Moment, Outside, STRETCH_RAD, Scatter, Start, turn};
pub use steady::{Operating, Settled, settle, settle_each, settle_eight, settle_walks, vectors};
pub use tell::SETTLED;
pub use trace::{Sample, Trace, first_firing, first_firings, trace, trace_each};
