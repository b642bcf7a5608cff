//! `new` and `check`: the machine file itself.

use super::{columns, say};
use crate::{
    cli::Input,
    input::{self, Text},
    stop::Stop,
};
use anyhow::{Context, bail};
use sheets::{report::wrap, words};
use std::{
    fs::File,
    io::{ErrorKind, Write},
    path::Path,
};
use workshop::{
    machine::{self, Defect, Machine},
    study::warning::Warning,
};

/// Writes the commented template.
///
/// # Errors
/// A file that exists, or cannot be written.
pub fn new(file: Option<&Path>) -> Result<(), Stop> {
    let text = machine::template();
    match file {
        None => Ok(say(&text)?),
        Some(path) if path == Path::new("-") => Ok(say(&text)?),
        Some(path) => Ok(write_new(path, &text)?),
    }
}

fn write_new(path: &Path, text: &str) -> anyhow::Result<()> {
    match File::create_new(path) {
        Err(e) if e.kind() == ErrorKind::AlreadyExists => bail!(words::exists(path)),
        made => made.and_then(|mut file| file.write_all(text.as_bytes())).with_context(|| words::cannot_write(path)),
    }
}

/// Judges a machine file.
///
/// # Errors
/// [`Stop::Defects`] after they were printed.
pub fn check(asked: &Input, width: Option<u16>) -> Result<(), Stop> {
    let file = input::read(&asked.file)?;
    let width = columns(width);
    match machine::read(&file.text) {
        Ok((machine, warnings)) => {
            say(&sound(&file, &machine, &warnings, width))?;
            Ok(())
        }
        Err(defects) => {
            say(&defects_text(&file, &defects, width))?;
            Err(Stop::Defects)
        }
    }
}

/// Reads a machine file for a study; defects are printed beside the answer's place.
///
/// # Errors
/// [`Stop::Defects`] after they were printed.
pub fn machine_of(asked: &Input, width: usize) -> Result<(Machine, Vec<Warning>), Stop> {
    let file = input::read(&asked.file)?;
    machine::read(&file.text).map_err(|defects| {
        anstream::eprint!("{}", defects_text(&file, &defects, width));
        Stop::Defects
    })
}

fn sound(file: &Text, machine: &Machine, warnings: &[Warning], width: usize) -> String {
    let mut out = format!("{}: {}\n", file.name, words::file_is_sound(&machine.name));
    for warning in warnings {
        for line in wrap(&format!("- {}", words::warning(warning)), width, "  ") {
            out.push_str(&line);
            out.push('\n');
        }
    }
    out
}

/// Every defect with its place and the line in question, then how many there are.
fn defects_text(file: &Text, defects: &[Defect], width: usize) -> String {
    let mut out = String::new();
    for defect in defects {
        for line in words::defect(defect, &file.name, &file.text).lines().flat_map(|line| wrap(line, width, "    ")) {
            out.push_str(&line);
            out.push('\n');
        }
    }
    out.push_str(&words::defect_count(defects.len()));
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_existing_file_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.toml");
        std::fs::write(&path, "mine").unwrap();
        assert!(matches!(new(Some(&path)), Err(Stop::Unexpected(_))));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    }
}
