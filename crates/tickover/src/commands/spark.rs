//! `spark`: voltage, energy, coil and signal.

use super::{columns, say, study};
use crate::{
    cli::{AskedNetlist, AskedSpark},
    exchange::netlist,
    pictures,
    stop::Stop,
    wire,
};
use anyhow::anyhow;
use sheets::{
    report,
    sheet::{self, SheetOptions},
    words,
};
use std::path::Path;
use workshop::{
    machine::Machine,
    study::spark::{self, Held, Model, margin::is_kick},
};

/// `tickover spark`. It needs no surface, so nothing is kept in the book.
///
/// # Errors
/// See [`Stop`].
pub fn spark(with: &AskedSpark) -> Result<(), Stop> {
    let asked = &with.asked;
    let read = study::read(&asked.input, asked.width)?;
    let found = spark::study(&read.machine, read.curve.as_ref().map_err(|e| *e));
    study::save(asked, || {
        let Ok(found) = &found else { return Ok(Vec::new()) };
        let signal = sheets::chart::signal_chart(&read.machine, found).map(|c| ("signal", pictures::as_file(&c)));
        let margin = ("spark", pictures::as_file(&sheets::chart::margin_chart(found)));
        Ok(std::iter::once(margin).chain(signal).collect())
    })?;
    let mut written = None;
    if let (Some(to), Ok(found)) = (&with.sheet, &found) {
        let pdf = sheet::spark(&read.machine, found, &SheetOptions::default()).map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if to == Path::new("-") {
            return Ok(());
        }
    }
    if asked.json {
        let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
        answer.spark = Some(wire::spark(&found));
        say(&answer.to_text())?;
    } else if let Ok(found) = &found {
        say(&report::spark(&read.machine, found, columns(asked.width), study::style()))?;
        if let Some(path) = written {
            say(&path.display().to_string())?;
        }
    }
    found.map(|_| ()).map_err(|why| study::not_covered(&words::spark::held(why), asked.json))
}

/// One spark as a netlist: at the kick, or at the speed asked for.
pub(super) fn of_spark(machine: &Machine, asked: &AskedNetlist) -> Result<String, Held> {
    let model = Model::of(machine)?;
    let kick = machine.engine.kicking_speed.si;
    let speed = asked.speed.map_or(kick, |rpm| f64::from(rpm) * std::f64::consts::TAU / 60.0);
    let supply = model.supply(is_kick(machine, speed));
    let circuit = model.circuit(model.filled(speed, supply), supply);
    Ok(netlist::spark::netlist(&words::spark::netlist_of(&machine.name, speed), &circuit))
}
