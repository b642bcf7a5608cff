//! `tickover fault` at a terminal: where standard input is one it asks by itself.
#![cfg(target_os = "linux")]

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use std::{
    fs::{File, OpenOptions},
    io::{Read, Write},
    process::Command,
};

/// Types into a terminal in which the program runs, and gives all that came on it.
fn at_a_terminal(arguments: &[&str], typed: &str) -> String {
    let ours = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&ours).unwrap();
    unlockpt(&ours).unwrap();
    let name = ptsname(&ours, Vec::new()).unwrap().into_string().unwrap();
    let theirs = OpenOptions::new().read(true).write(true).open(&name).unwrap();
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    let mut child = Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(arguments)
        .current_dir(examples)
        .env("TERM", "xterm")
        .env("NO_COLOR", "1")
        .stdin(theirs.try_clone().unwrap())
        .stdout(theirs)
        .spawn()
        .unwrap();
    let mut ours = File::from(ours);
    // The terminal keeps what is typed ahead until it is asked for.
    ours.write_all(typed.as_bytes()).unwrap();
    let mut all = Vec::new();
    let mut piece = [0; 4096];
    // When the last of those who have the other end goes, reading ends, on Linux with an error.
    while let Ok(n @ 1..) = ours.read(&mut piece) {
        all.extend_from_slice(&piece[..n]);
    }
    assert!(child.wait().unwrap().success());
    String::from_utf8_lossy(&all).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn it_asks_which_complaint_and_then_test_by_test() {
    let text = at_a_terminal(&["fault", "tarn-500.toml", "--width", "100"], "no-spark\ny\nback\ndone\n");
    assert!(text.contains("What does the owner say?"), "{text}");
    assert!(text.contains("”: yes, no, cannot tell; skip, back, tests, done"), "it asks, and names what about: {text}");
    assert!(text.contains("Done so far"), "the answer counted: {text}");
    let after = text.rsplit_once("Done so far").unwrap().1;
    assert!(after.contains("yes, no, cannot tell"), "it was taken back and it asks again: {after}");
}

#[test]
fn it_answers_once_where_json_is_wanted() {
    let text = at_a_terminal(&["fault", "tarn-500.toml", "--complaint", "no-spark", "--json"], "");
    assert!(text.starts_with('{') && text.ends_with('}'), "{text}");
}
