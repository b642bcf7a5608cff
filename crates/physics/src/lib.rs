//! The computations of an ignition, an engine cycle and an idle: SI inside, no files, no clock, no words for people.

pub mod balance;
pub mod best_torque;
pub mod crank;
pub mod cycle;
pub mod fit;
pub mod flame;
pub mod friction;
pub mod gas;
pub mod heat;
pub mod interp;
pub mod interval;
pub mod kickback;
pub mod knock;
pub mod lanes;
pub mod law;
pub mod orifice;
pub mod parabola;
pub mod rest;
pub mod return_map;
pub mod rim;
pub mod root;
pub mod rotor;
pub mod run;
pub mod run_down;
pub mod surface;
pub mod valve;
