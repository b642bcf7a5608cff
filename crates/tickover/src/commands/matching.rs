//! `match`: substitute parts.

use super::{columns, exchange::open, say, study};
use crate::{
    cli::AskedMatch,
    exchange::{shelf, shelf_file},
    faults::Quick,
    input,
    stop::Stop,
    wire,
};
use anyhow::{Context, anyhow};
use sheets::{
    report::{self, wrap},
    sheet::{self, SheetOptions},
    words::{self, part as text},
};
use std::{
    fs::File,
    io::{BufRead, BufReader, Cursor},
    path::Path,
};
use workshop::{
    machine::most_like,
    study::part::{Defect, Kinds, Need, Refit, Shelf, Ways, base, own, rank, sets, ways},
};

/// Parts that are put into the machine and computed again (own choice).
const COMPUTED: usize = 20;

/// `tickover match`. Only with `--idle` does it need a surface, which is kept in the book.
///
/// # Errors
/// See [`Stop`].
pub fn matching(asked: &AskedMatch) -> Result<(), Stop> {
    let width = columns(asked.width);
    let read = study::read(&asked.input, asked.width)?;
    let own = asked.kinds.as_deref().map(|path| of_own(path, width)).transpose()?;
    let (kinds, ways) = own.as_ref().map_or_else(|| (base(), ways()), |(kinds, ways)| (kinds, ways));
    if asked.kind.is_none() && asked.set.is_none() {
        return Ok(say(&report::kinds(kinds, width, study::style()))?);
    }
    let quick = Quick::of(&read);
    let need_text = asked.need.as_deref().map(input::read).transpose()?;
    let need_of = |kind: usize| {
        let need = Need::of_machine(kinds, kind, &read.machine, quick.studies(&read));
        match &need_text {
            None => Ok(need),
            Some(file) => need.over(kinds, &file.text).map_err(|defects| stop(&file.name, &file.text, &defects, width)),
        }
    };
    let model = if asked.idle { study::surface(&read, &asked.before)? } else { None };
    let refit = Refit::new(kinds, &read.machine, read.curve.as_ref().map_err(|e| *e), model.as_ref());
    let most = usize::from(asked.most);
    let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
    if let Some(name) = &asked.set {
        let names = || ways.sets.iter().map(|s| s.id.as_str());
        let together = ways.set(name).ok_or_else(|| anyhow!(text::no_such_set(name, most_like(name, names()), names())))?;
        let needs = together.kinds.iter().map(|k| need_of(*k)).collect::<Result<Vec<_>, _>>()?;
        let shelf = shelf_of(kinds, asked, width)?;
        let found = sets(kinds, together, &needs, &shelf, &refit, COMPUTED);
        if asked.json {
            answer.sets = Some(wire::part::sets(kinds, &found, most));
            return Ok(say(&answer.to_text())?);
        }
        return Ok(say(&report::sets(&read.machine, kinds, &found, most, width, study::style()))?);
    }
    let name = asked.kind.as_deref().unwrap_or_default();
    let names = || kinds.list.iter().map(|k| k.id.as_str());
    let kind = kinds.named(name).ok_or_else(|| anyhow!(text::no_such_kind(name, most_like(name, names()), names())))?;
    let need = need_of(kind)?;
    let shelf = shelf_of(kinds, asked, width)?;
    let found = rank(kinds, &need, &shelf);
    let effects = refit.best(&found, COMPUTED);
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf = sheet::matched(&read.machine, kinds, &found, &effects, ways, &SheetOptions::default());
        written = study::write_pdf(&pdf.map_err(|e| anyhow!(words::no_pdf(&e)))?, to.clone())?;
        if to == Path::new("-") {
            return Ok(());
        }
    }
    if asked.json {
        answer.matched = Some(wire::part::matched(kinds, (&found, &effects, ways), most));
        say(&answer.to_text())?;
    } else {
        say(&report::matched(&read.machine, kinds, (&found, &effects, ways), most, width, study::style()))?;
        if let Some(path) = written {
            say(&path.display().to_string())?;
        }
    }
    Ok(())
}

/// Kinds and adaptations with the workshop's own file beside those of the program; its defects are printed.
pub(super) fn of_own(path: &Path, width: usize) -> Result<(Kinds, Ways), Stop> {
    let file = input::read(path)?;
    own(base(), ways(), &file.text).map_err(|defects| stop(&file.name, &file.text, &defects, width))
}

/// A shelf, as TOML where the name ends so, otherwise as CSV: a file, or what the book keeps. Empty where none is named.
fn shelf_of(kinds: &Kinds, asked: &AskedMatch, width: usize) -> Result<Shelf, Stop> {
    let (name, from): (String, Box<dyn BufRead>) = match (&asked.shelf, &asked.kept) {
        (Some(path), _) => {
            let name = path.display().to_string();
            let file = File::open(path).with_context(|| words::cannot_read(&name))?;
            (name, Box::new(BufReader::new(file)))
        }
        (None, Some(name)) => {
            let (name, bytes) = shelf_file::kept(&open(asked.before.book.as_deref())?, name)?;
            (name, Box::new(Cursor::new(bytes)))
        }
        (None, None) => return Ok(Shelf::default()),
    };
    let read = shelf::any(kinds, &name, from).with_context(|| words::cannot_read(&name))?;
    read.map_err(|(text, defects)| stop(&name, &text, &defects, width))
}

fn stop(name: &str, file: &str, defects: &[Defect], width: usize) -> Stop {
    for defect in defects {
        for line in wrap(&text::defect(defect, name, file), width, "    ") {
            anstream::eprintln!("{line}");
        }
    }
    anstream::eprintln!("{}", text::refused(name, defects));
    Stop::Defects
}
