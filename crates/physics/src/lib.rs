//! The computations of an ignition, an engine cycle and an idle: SI inside, no files, no clock, no words for people.

pub mod crank;
pub mod interp;
pub mod law;
pub mod rim;
pub mod root;
pub mod rest;
pub mod surface;
