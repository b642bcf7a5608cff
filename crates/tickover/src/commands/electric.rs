//! `windings`, `charge`, `wire` and `netlist`. None needs a surface, so nothing is kept in the book.

use super::{columns, say, study};
use crate::{
    cli::{AskedNetlist, AskedSheet},
    exchange::netlist,
    input, pictures,
    stop::Stop,
    wire,
};
use anyhow::anyhow;
use sheets::{
    report,
    scene::pdf::PdfError,
    sheet::{self, SheetOptions},
    words::{self, electric as text},
};
use std::path::Path;
use workshop::{
    machine::Machine,
    study::electric::{
        NotTold,
        alternator::{Alternator, On},
        charge, ride, windings, wires,
    },
};

/// `tickover windings`.
///
/// # Errors
/// See [`Stop`].
pub fn windings(with: &AskedSheet) -> Result<(), Stop> {
    show(with, |machine, answer, width| {
        let Some(found) = windings::study(machine) else {
            answer.windings = Some(wire::Part::Not { not_studied: "missing" });
            return Err(text::NO_WINDINGS.to_owned());
        };
        answer.windings = Some(wire::Part::Found(wire::Windings::of(&found)));
        Ok((
            report::windings(machine, &found, width, study::style()),
            sheet::windings(machine, &found, &SheetOptions::default()),
            Vec::new(),
        ))
    })
}

/// `tickover charge`.
///
/// # Errors
/// See [`Stop`].
pub fn charge(with: &AskedSheet) -> Result<(), Stop> {
    show(with, |machine, answer, width| {
        let found = charge::study(machine).map_err(|why| {
            answer.charge = Some(wire::Part::Not { not_studied: wire::electric::not_told(why) });
            text::not_told(why)
        })?;
        let ride = ride::study(machine);
        answer.charge = Some(wire::Part::Found(wire::Charge::of(machine, &found, &ride)));
        let mut drawn = vec![("charge".to_owned(), pictures::as_file(&sheets::chart::charge_chart(&found)))];
        drawn.extend(ride.as_ref().ok().map(|r| ("ride".to_owned(), pictures::as_file(&sheets::chart::ride_chart(r)))));
        let paper = sheet::charge(machine, &found, &ride, &SheetOptions::default());
        Ok((report::charge(machine, &found, &ride, width, study::style()), paper, drawn))
    })
}

/// `tickover wire`.
///
/// # Errors
/// See [`Stop`].
pub fn wire(with: &AskedSheet) -> Result<(), Stop> {
    show(with, |machine, answer, width| {
        let Some(found) = wires::study(machine) else {
            answer.wires = Some(wire::Part::Not { not_studied: "missing" });
            return Err(text::NO_WIRES.to_owned());
        };
        answer.wires = Some(wire::Part::Found(wire::Wires::of(machine, &found)));
        let scenes = pictures::wiring(machine);
        let name = |k: usize| if scenes.len() > 1 { format!("wiring-{}", k + 1) } else { "wiring".to_owned() };
        let drawn = scenes.iter().enumerate().map(|(k, scene)| (name(k), pictures::scene_as_file(scene))).collect();
        Ok((
            report::wires(machine, &found, width, study::style()),
            sheet::wires(machine, &found, &SheetOptions::default()),
            drawn,
        ))
    })
}

/// A report, a sheet, pictures with their names.
type Shown = (String, Result<Vec<u8>, PdfError>, Vec<(String, String)>);

/// Reads, asks, shows: a report, JSON, pictures, a sheet.
fn show(with: &AskedSheet, of: impl FnOnce(&Machine, &mut wire::Answer, usize) -> Result<Shown, String>) -> Result<(), Stop> {
    let asked = &with.asked;
    let read = study::read(&asked.input, asked.width)?;
    let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
    let found = of(&read.machine, &mut answer, columns(asked.width));
    let mut written = None;
    if let Ok((_, sheet, pictures)) = &found {
        study::save(asked, || Ok(pictures.clone()))?;
        if let Some(to) = &with.sheet {
            let pdf = sheet.as_ref().map_err(|e| anyhow!(words::no_pdf(e)))?;
            written = study::write_pdf(pdf, to.clone())?;
            if to == Path::new("-") {
                return Ok(());
            }
        }
    }
    if asked.json {
        say(&answer.to_text())?;
    } else if let Ok((report, ..)) = &found {
        say(report)?;
        if let Some(path) = written {
            say(&path.display().to_string())?;
        }
    }
    found.map(|_| ()).map_err(|why| study::not_covered(&why, asked.json))
}

/// `tickover netlist`.
///
/// # Errors
/// See [`Stop`].
pub fn netlist(asked: &AskedNetlist) -> Result<(), Stop> {
    let read = study::read(&asked.input, None)?;
    let made = if asked.spark {
        super::spark::of_spark(&read.machine, asked).map_err(words::spark::held)
    } else {
        of_charging(&read.machine, asked).map_err(text::not_told)
    };
    let text = made.map_err(|why| study::not_covered(&why, false))?;
    match &asked.output {
        Some(to) if to != Path::new("-") => {
            input::write_whole(to, text.as_bytes())?;
            Ok(say(&to.display().to_string())?)
        }
        _ => Ok(say(&text)?),
    }
}

fn of_charging(machine: &Machine, asked: &AskedNetlist) -> Result<String, NotTold> {
    let alternator = Alternator::of(machine)?;
    let x = alternator.middle();
    let rpm = asked.speed.map_or_else(|| (wire::rpm(machine.engine.top_speed.si) / 2.0).round(), f64::from);
    let circuit =
        asked.fault.map_or(workshop::study::electric::likeness::Fault::Sound, Into::into).put_into(alternator.circuit(&x));
    let title = words::electric::netlist_of(&machine.name, rpm);
    let omega = alternator.electrical(rpm * std::f64::consts::TAU / 60.0);
    // With the battery's volts risen as the charge study has them.
    let (taken, _) = alternator.charged(&x, &circuit, alternator.regulator(&x), On::All, omega)?;
    Ok(netlist::charge::netlist(&title, &circuit, &taken, alternator.regulator(&x), omega))
}
