//! The program asked something in the folder of the examples.
#![allow(dead_code, reason = "not every test asks in every way")]

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

/// The answer as JSON.
pub fn json(arguments: &[&str]) -> serde_json::Value {
    let out = tickover(arguments);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("JSON")
}

/// All that it says, in one line.
pub fn said(arguments: &[&str]) -> String {
    let out = tickover(arguments);
    let all = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}
