//! Files that one can read at a sitting, with nothing left for later.

use crate::tree::{files, none_of};

/// Lines past which a file must say why it is one, and past which nothing excuses it [lines]. This project's habit.
const LONG: usize = 400;
const TOO_LONG: usize = 600;

/// Long files, and why each is one.
const WHY_LONG: &[(&str, &str)] =
    &[("crates/quantity/src/unit.rs", "one list of units: spelling, symbol and factor of each are read side by side")];

#[test]
fn files_are_short_or_say_why_not() {
    let mut offenders = Vec::new();
    let sources = files(&[".rs", ".py", ".js", ".css", "check"]);
    for source in &sources {
        let lines = source.text.lines().count();
        let excused = WHY_LONG.iter().any(|(path, why)| *path == source.path && !why.is_empty());
        if lines > TOO_LONG || (lines > LONG && !excused) {
            offenders.push(format!("{}: {lines} lines", source.path));
        }
        if lines <= LONG && excused {
            offenders.push(format!("{}: no longer long, needs no excuse", source.path));
        }
    }
    for (path, _) in WHY_LONG.iter().filter(|(path, _)| sources.iter().all(|s| s.path != *path)) {
        offenders.push(format!("{path}: excused, but not there"));
    }
    none_of(offenders, "files are too long");
}

#[test]
fn nothing_is_left_for_later() {
    // In two parts each, so that this file does not find itself.
    let later =
        [["TO", "DO"], ["FIX", "ME"], ["XX", "X:"], ["to", "do!("], ["unimple", "mented!("], ["db", "g!("]].map(|w| w.concat());
    let mut offenders = Vec::new();
    for source in files(&[".rs", ".py", ".js", ".css", ".md", ".toml", "check"]) {
        for (i, line) in source.text.lines().enumerate() {
            if let Some(word) = later.iter().find(|word| line.contains(*word)) {
                offenders.push(format!("{}:{}: {word}", source.path, i + 1));
            }
        }
    }
    none_of(offenders, "places are left for later");
}
