//! The rotor in the hand, at rest on the bench: what it weighs, how hard it is to turn, what its spin does to its metal, and what holds it and its magnets.

pub mod cup;
pub mod disc;
mod fits;
pub mod meridian;
pub mod notch;
pub mod solid;
pub mod swing;
pub mod unevenness;
