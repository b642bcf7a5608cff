//! Parse, call, show.

use clap::Parser;
use std::process::ExitCode;
use tickover::{cli::Cli, commands};

fn main() -> ExitCode {
    match commands::run(Cli::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(stop) => {
            let said = stop.to_string();
            if !said.is_empty() {
                anstream::eprintln!("tickover: {said}");
            }
            stop.exit_code()
        }
    }
}
