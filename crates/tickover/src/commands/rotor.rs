//! `rotor`: the rotor in the hand.

use super::{columns, say, study};
use crate::{cli::AskedRotor, pictures, stop::Stop, wire};
use anyhow::anyhow;
use sheets::{
    report,
    sheet::{self, SheetOptions},
    words,
};
use std::path::Path;
use workshop::{
    machine::Machine,
    study::{
        rotor::{self, held},
        trim,
    },
};

/// `tickover rotor`. It needs no surface, so nothing is kept in the book.
///
/// # Errors
/// See [`Stop`].
pub fn rotor(with: &AskedRotor) -> Result<(), Stop> {
    let asked = &with.asked;
    let read = study::read(&asked.input, asked.width)?;
    let trimmed = with.trimmed.map(|mm| cut_of(&read.machine, mm)).transpose()?;
    let found = rotor::study(&read.machine, read.curve.as_ref().map_err(|e| *e));
    if (with.sheet.is_some() || with.leads.is_some()) && found.is_ok() {
        study::knows_which_end_leads(&read.machine, with.leads.map(Into::into))?;
    }
    // What holds it is told by itself: a part of the file that is not there leaves the rest as it is.
    let holds = held::study(&read.machine, found.as_ref().ok(), trimmed).ok();
    if let (Some(_), Some(path)) = (trimmed.filter(|cut| *cut > 0.0), cut_needs(holds.as_ref())) {
        return Err(anyhow!(words::rotor::balance::cut_not_counted(path)).into());
    }
    // The plan of holes is to drill by: not before the end that leads is named.
    let answered = study::knows_which_end_leads(&read.machine, with.leads.map(Into::into)).is_ok();
    study::save(asked, || Ok(pictures::rotor_all(&read.machine, found.as_ref().ok(), holds.as_ref(), answered)))?;
    if asked.svg.is_some() && !answered && holds.as_ref().is_some_and(pictures::has_holes) {
        anstream::eprintln!("{}", words::rotor::balance::HOLES_HELD_BACK);
    }
    let mut written = None;
    if let (Some(to), Ok(found)) = (&with.sheet, &found) {
        let pdf = sheet::rotor(&read.machine, found, holds.as_ref(), &SheetOptions::default())
            .map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if to == Path::new("-") {
            return Ok(());
        }
    }
    if asked.json {
        let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
        answer.rotor = Some(wire::rotor(&read.machine, &found, holds.as_ref()));
        say(&answer.to_text())?;
    } else if let Ok(found) = &found {
        say(&report::rotor(&read.machine, found, columns(asked.width), study::style()))?;
        if let Some(holds) = &holds {
            say(&report::held(holds, columns(asked.width), study::style()))?;
        }
        if let Some(path) = written {
            say(&path.display().to_string())?;
        }
    }
    found.map(|_| ()).map_err(|why| study::not_covered(words::rotor::held(why), asked.json))
}

/// What the file lacks to count a cut in the balance.
fn cut_needs(holds: Option<&held::HeldStudy>) -> Option<&'static str> {
    match holds.map(|h| &h.balance) {
        Some(Ok(found)) => found.cut_needs,
        _ => Some("rotor.balance"),
    }
}

/// A cut of the segment's trailing end [m], as far as there is a segment to cut.
fn cut_of(machine: &Machine, mm: f64) -> Result<f64, Stop> {
    let segment = trim::drawing(machine).map_err(|why| anyhow!(words::not_studied(why)))?;
    let cut_m = mm * 1e-3;
    if (0.0..=segment.segment_arc_m).contains(&cut_m) {
        Ok(cut_m)
    } else {
        Err(anyhow!(words::rotor::no_such_trim(mm, segment.segment_arc_m)).into())
    }
}
