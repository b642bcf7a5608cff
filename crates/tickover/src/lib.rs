//! The command line and the bench page: parse, call, show.
//!
//! A library beside the binary only so that tests can ask the page without a process.

pub mod bench;
mod beside;
pub mod cli;
pub mod commands;
pub mod desk;
pub mod exchange;
pub mod faults;
pub mod input;
mod left;
pub mod pictures;
pub mod place;
mod progress;
pub mod recordings;
pub mod shelf;
pub mod stop;
pub mod wire;
