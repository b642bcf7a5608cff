//! Circuits of a machine as netlists for ngspice, one circuit to a file.

pub mod charge;
pub mod spark;
