//! The rotor in the hand, at rest on the bench: what it weighs, how hard it is to turn, what its spin does to its metal, and what holds it and its magnets.

pub mod bond;
pub mod cup;
pub mod disc;
pub mod drill;
mod fits;
pub mod flux;
pub mod meridian;
pub mod notch;
pub mod puller;
pub mod shear_lag;
pub mod solid;
pub mod swing;
pub mod taper;
pub mod thread;
pub mod trial_runs;
pub mod unbalance;
pub mod unevenness;
