//! The command line and the bench page: parse, call, show.
//!
//! A library beside the binary only so that tests can ask the page without a process.

pub mod cli;
pub mod input;
pub mod place;
pub mod stop;
pub mod wire;
