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
    machine::{self, Defect, Machine, place},
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
    let name = path.display();
    match File::create_new(path) {
        Err(e) if e.kind() == ErrorKind::AlreadyExists => bail!("{name} exists already and was left as it is"),
        made => made.and_then(|mut file| file.write_all(text.as_bytes())).with_context(|| format!("cannot write {name}")),
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
        for line in wrap(&format!("- {}", words::warning(warning, machine)), width, "  ") {
            out.push_str(&line);
            out.push('\n');
        }
    }
    out
}

/// Every defect: file, line and column, what, and what to do; the line itself under it.
fn defects_text(file: &Text, defects: &[Defect], width: usize) -> String {
    let mut out = String::new();
    for defect in defects {
        let at = place(&file.text, defect.span.start);
        let head = format!("{}:{}:{}: {}", file.name, at.line, at.column, words::defect(defect));
        for line in wrap(&head, width, "    ") {
            out.push_str(&line);
            out.push('\n');
        }
        if let Some(shown) = shown_line(&file.text, at.line, at.column, width) {
            out.push_str(&shown);
        }
    }
    out.push_str(&words::defect_count(defects.len()));
    out.push('\n');
    out
}

/// The line in question and a mark under the column.
fn shown_line(text: &str, line: usize, column: usize, width: usize) -> Option<String> {
    let whole = text.lines().nth(line - 1)?.trim_end();
    if whole.is_empty() {
        return None;
    }
    // Tabs and other control characters would move the mark.
    let clean: String = whole.trim_start_matches('\u{feff}').chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let room = width.saturating_sub(4).max(20);
    // A long line is shown round the column.
    let skip = column.saturating_sub(room * 2 / 3).min(column - 1);
    let part: String = clean.chars().skip(skip).take(room).collect();
    Some(format!("    {part}\n    {}^\n", " ".repeat(column - 1 - skip)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_stands_under_the_column() {
        assert_eq!(shown_line("a = 1\n\tb = µ2\n", 2, 6, 60).unwrap(), "     b = µ2\n         ^\n");
        assert_eq!(shown_line("a", 9, 1, 60), None);
        let long = format!("x = \"{}!\"", "y".repeat(300));
        let shown = shown_line(&long, 1, 306, 60).unwrap();
        let (line, mark) = shown.split_once('\n').unwrap();
        assert_eq!(line.chars().nth(mark.trim_end().chars().count() - 1), Some('!'));
    }

    #[test]
    fn an_existing_file_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.toml");
        std::fs::write(&path, "mine").unwrap();
        assert!(matches!(new(Some(&path)), Err(Stop::Unexpected(_))));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    }
}
