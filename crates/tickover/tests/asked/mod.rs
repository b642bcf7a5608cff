//! The program asked something in the folder of the examples.

use std::process::{Command, Output};

pub fn tickover(arguments: &[&str]) -> Output {
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(arguments)
        .current_dir(examples)
        .env("NO_COLOR", "1")
        .output()
        .expect("it runs")
}
