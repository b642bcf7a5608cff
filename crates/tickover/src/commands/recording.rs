//! `recording`: what a recording tells.

use super::{columns, file, say, study};
use crate::{
    cli::{AskedRecording, Input, Side},
    desk::Read,
    exchange::recording::{
        Columns,
        hear::{self, NoAnswer},
    },
    input,
    stop::Stop,
    wire::{self, RecordingAnswer},
};
use anyhow::{Context, anyhow};
use quantity::{Dimension, Reading};
use sheets::{
    report,
    sheet::{self, SheetOptions},
    words,
};
use std::{
    fs::File,
    io::{self, Write},
    path::{Path, PathBuf},
};
use workshop::study::recording::{Given, Recorded, sound::Sound};

/// `tickover recording`.
///
/// # Errors
/// See [`Stop`].
pub fn recording(asked: &AskedRecording) -> Result<(), Stop> {
    let (machine, warnings) = file::machine_of(&Input { file: asked.machine.clone() }, columns(asked.width))?;
    let read = Read::from_machine(machine, warnings);
    let mark_rad = match &asked.mark {
        Some(text) => Some(angle(text)?),
        None => None,
    };
    let given = Given {
        trigger: asked.trigger.map(|t| usize::from(t == Side::Right)),
        mark_rad,
        pickup: usize::from(asked.pickup) - 1,
        volts: None,
    };
    let wanted = columns_of(asked)?;
    let name = asked.file.display().to_string();
    let (source, length): (Box<dyn io::Read>, Option<u64>) = if asked.file == Path::new("-") {
        (Box::new(io::stdin()), None)
    } else {
        let file = File::open(&asked.file).with_context(|| words::cannot_read(&name))?;
        let about = file.metadata().with_context(|| words::cannot_read(&name))?;
        if about.is_dir() {
            return Err(anyhow!(words::is_folder(&name)).into());
        }
        (Box::new(file), about.is_file().then_some(about.len()))
    };
    if asked.exhaust {
        match hear::exhaust(source, length, &wanted, &read.machine, &mut |_, _| true) {
            Ok((found, notes)) => {
                let notes: Vec<String> = notes.into_iter().map(|n| n.said()).collect();
                sound_found(asked, &read, &found, &notes)
            }
            Err(why) => refused(asked, &read, &name, &why),
        }
    } else {
        match hear::ignition(source, length, &wanted, &read.machine, &given, None, &mut |_, _| true) {
            Ok((found, notes)) => {
                let notes: Vec<String> = notes.into_iter().map(|n| n.said()).collect();
                ignition_found(asked, &read, &found, &notes)
            }
            Err(why) => refused(asked, &read, &name, &why),
        }
    }
}

fn ignition_found(asked: &AskedRecording, read: &Read, found: &Recorded, notes: &[String]) -> Result<(), Stop> {
    let by_file = read.curve.as_ref().ok();
    if let Some(to) = &asked.csv
        && put(to, firings(read, found).as_bytes())?
    {
        return Ok(());
    }
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf =
            sheet::recording(&read.machine, found, by_file, &SheetOptions::default()).map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if written.is_none() {
            return Ok(());
        }
    }
    if asked.json {
        return Ok(say(&RecordingAnswer::ignition(read, found, notes).to_text())?);
    }
    say(&report::recording(&read.machine, found, by_file, notes, columns(asked.width), study::style()))?;
    said(written)
}

fn sound_found(asked: &AskedRecording, read: &Read, found: &Sound, notes: &[String]) -> Result<(), Stop> {
    if let Some(to) = &asked.csv
        && put(to, course(found).as_bytes())?
    {
        return Ok(());
    }
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf = sheet::sound(&read.machine, found, &SheetOptions::default()).map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if written.is_none() {
            return Ok(());
        }
    }
    if asked.json {
        return Ok(say(&RecordingAnswer::exhaust(read, found, notes).to_text())?);
    }
    say(&report::sound(&read.machine, found, notes, columns(asked.width), study::style()))?;
    said(written)
}

fn said(written: Option<PathBuf>) -> Result<(), Stop> {
    if let Some(path) = written {
        say(&path.display().to_string())?;
    }
    Ok(())
}

/// A fault of the file is something unexpected; a recording that says nothing is not covered.
fn refused(asked: &AskedRecording, read: &Read, name: &str, why: &NoAnswer) -> Result<(), Stop> {
    if let NoAnswer::Fault(_) | NoAnswer::Mono = why {
        return Err(anyhow!("{name}: {}", why.said()).into());
    }
    if asked.json {
        say(&RecordingAnswer::refused(read, why).to_text())?;
    } else {
        for line in report::wrap(&why.said(), columns(None), "") {
            anstream::eprintln!("{line}");
        }
    }
    Err(Stop::NotCovered)
}

fn angle(text: &str) -> Result<f64, Stop> {
    let reading = Reading::parse(text, Dimension::BeforeTop).map_err(|e| anyhow!("--mark: {}", words::reading_error(&e)))?;
    Ok(reading.si)
}

fn columns_of(asked: &AskedRecording) -> Result<Columns, Stop> {
    let mut wanted = Columns { rate_hz: asked.rate, ..Columns::default() };
    match asked.columns[..] {
        [] => {}
        [time, first] => (wanted.time, wanted.channels) = (time, [first, first + 1]),
        [time, first, second] => (wanted.time, wanted.channels) = (time, [first, second]),
        _ => return Err(anyhow!(words::recording::NO_NUMBERS).into()),
    }
    let usable = wanted.channels.iter().all(|c| *c > 0) && (wanted.time > 0 || wanted.rate_hz.is_some_and(|r| r > 0.0));
    if usable { Ok(wanted) } else { Err(anyhow!(words::recording::NO_NUMBERS).into()) }
}

/// Writes a file, or the pipe alone: then nothing else is said.
fn put(to: &Path, bytes: &[u8]) -> Result<bool, Stop> {
    if to == Path::new("-") {
        let mut out = io::stdout().lock();
        out.write_all(bytes)?;
        out.flush()?;
        return Ok(true);
    }
    input::write_whole(to, bytes)?;
    Ok(false)
}

/// Every firing, missing and stray spark as CSV.
fn firings(read: &Read, found: &Recorded) -> String {
    let mut rows: Vec<(f64, String)> = Vec::new();
    let name = |place: usize| {
        let cylinders = found.places.get(place).map(|p| p.cylinders.as_slice()).unwrap_or_default();
        words::recording::names(&read.machine, cylinders).replace('"', "'")
    };
    for f in &found.paired.firings {
        rows.push((
            f.at_s,
            format!(
                "{:.7},fires,\"{}\",{:.3},{:.3},{}",
                f.at_s,
                name(f.place),
                wire::rpm(f.speed_rad_s),
                f.advance_rad.to_degrees(),
                f.repeats
            ),
        ));
    }
    for (place, at) in &found.paired.missing {
        rows.push((*at, format!("{at:.7},missing,\"{}\",,,", name(*place))));
    }
    for (at, _) in &found.paired.stray {
        rows.push((*at, format!("{at:.7},stray,,,,")));
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut text = "time_s,event,cylinder,speed_rpm,advance_deg,repeats\n".to_owned();
    for (_, row) in rows {
        text.push_str(&row);
        text.push('\n');
    }
    text
}

/// Speed against time as CSV.
fn course(found: &Sound) -> String {
    let mut text = "time_s,speed_rpm,trusted\n".to_owned();
    for p in &found.pace.course {
        text.push_str(&format!("{:.3},{:.1},{}\n", p.at_s, wire::rpm(p.speed_rad_s), u8::from(p.trusted)));
    }
    text
}
