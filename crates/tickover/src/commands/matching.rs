//! `match`: substitute parts.

use super::{columns, say, study};
use crate::{cli::AskedMatch, exchange::shelf, faults::Quick, input, stop::Stop, wire};
use anyhow::{Context, anyhow};
use sheets::{
    report::{self, wrap},
    words::{self, part as text},
};
use std::{fs::File, io::Read, path::Path};
use workshop::{
    machine::most_like,
    study::part::{At, Defect, DefectKind, Kinds, Need, Shelf, base, rank},
};

/// `tickover match`. It needs no surface, so nothing is kept in the book.
///
/// # Errors
/// See [`Stop`].
pub fn matching(asked: &AskedMatch) -> Result<(), Stop> {
    let width = columns(asked.width);
    let read = study::read(&asked.input, asked.width)?;
    let own = asked.kinds.as_deref().map(|path| told(path, width, |t| base().with_own(t))).transpose()?;
    let kinds = own.as_ref().unwrap_or_else(|| base());
    let Some(name) = &asked.kind else {
        return Ok(say(&report::kinds(kinds, width, study::style()))?);
    };
    let names = || kinds.list.iter().map(|k| k.id.as_str());
    let kind = kinds.named(name).ok_or_else(|| anyhow!(text::no_such_kind(name, most_like(name, names()), names())))?;
    let quick = Quick::of(&read);
    let mut need = Need::of_machine(kinds, kind, &read.machine, quick.studies(&read));
    if let Some(path) = &asked.need {
        need = told(path, width, |t| need.over(kinds, t))?;
    }
    let shelf = asked.shelf.as_deref().map(|path| shelf_of(kinds, path, width)).transpose()?.unwrap_or_default();
    let found = rank(kinds, &need, &shelf);
    let most = usize::from(asked.most);
    if asked.json {
        let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
        answer.matched = Some(wire::part::matched(kinds, &found, most));
        return Ok(say(&answer.to_text())?);
    }
    Ok(say(&report::matched(&read.machine, &found, most, width, study::style()))?)
}

/// Reads a TOML file by `of`; its defects are printed.
fn told<T>(path: &Path, width: usize, of: impl FnOnce(&str) -> Result<T, Vec<Defect>>) -> Result<T, Stop> {
    let file = input::read(path)?;
    of(&file.text).map_err(|defects| stop(&file.name, &file.text, &defects, width))
}

/// A shelf, as CSV where the name ends so, otherwise as TOML.
fn shelf_of(kinds: &Kinds, path: &Path, width: usize) -> Result<Shelf, Stop> {
    let csv = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv") || e.eq_ignore_ascii_case("tsv"));
    if !csv {
        return told(path, width, |text| Shelf::toml(kinds, text));
    }
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    let file = File::open(path).with_context(|| words::cannot_read(&name))?;
    file.take(shelf::MOST_BYTES + 1).read_to_end(&mut bytes).with_context(|| words::cannot_read(&name))?;
    let read = if bytes.len() as u64 > shelf::MOST_BYTES {
        let kind = DefectKind::TooLarge { most: shelf::MOST_BYTES };
        Err(vec![Defect { kind, path: String::new(), at: At::Whole }])
    } else {
        shelf::read(kinds, &bytes)
    };
    read.map_err(|defects| stop(&name, "", &defects, width))
}

fn stop(name: &str, file: &str, defects: &[Defect], width: usize) -> Stop {
    for defect in defects {
        for line in wrap(&text::defect(defect, name, file), width, "    ") {
            anstream::eprintln!("{line}");
        }
    }
    anstream::eprintln!("{}", text::refused(name, defects.len()));
    Stop::Defects
}
