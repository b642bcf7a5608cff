//! `recording`: what a recording tells.

use super::{columns, file, say, study};
use crate::{
    cli::{AskedRecording, Input, Side},
    desk::Read,
    exchange::recording::{
        Columns, Note,
        hear::{self, NoAnswer, Wanted},
    },
    input::{self, Growing},
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
    io::{self, BufWriter, Write},
    path::{Path, PathBuf},
};
use workshop::{
    machine::Machine,
    study::recording::{
        Details, Given, Recorded,
        change::{self, Change},
        pickups::Pickups,
        sound::Sound,
    },
};

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
    if asked.exhaust {
        let (source, length) = open(&asked.file)?;
        return match hear::exhaust(source, length, &wanted, &read.machine, &mut |_, _| true) {
            Ok((found, notes)) => sound_found(asked, &read, &found, &said_all(notes)),
            Err(why) => refused(asked, &read, &name, why),
        };
    }
    if asked.pickups {
        let (source, length) = open(&asked.file)?;
        return match hear::pickups(source, length, &wanted, &read.machine, None, &mut |_, _| true) {
            Ok((found, notes)) => pickups_found(asked, &read, &found, &said_all(notes)),
            Err(why) => refused(asked, &read, &name, why),
        };
    }
    let before = match &asked.before {
        None => None,
        Some(path) => {
            let (source, length) = open(path)?;
            match hear::ignition(source, length, &wanted, &read.machine, &given, Wanted::default(), &mut |_, _| true) {
                Ok((found, _)) => Some(found),
                Err(why) => return refused(asked, &read, &path.display().to_string(), why),
            }
        }
    };
    let (source, length) = open(&asked.file)?;
    let mut table = asked.csv.as_deref().map(Table::begin).transpose()?;
    let heard = {
        let mut row = |details: &Details, places: &[Vec<usize>]| match &mut table {
            Some(table) => table.take(&read.machine, details, places),
            None => Ok(()),
        };
        let each: Option<hear::Each> = if asked.csv.is_some() { Some(&mut row) } else { None };
        let beside = Wanted { closeup: None, each };
        hear::ignition(source, length, &wanted, &read.machine, &given, beside, &mut |_, _| true)
    };
    match heard {
        Ok((found, notes)) => {
            if let Some(table) = table
                && table.end()?
            {
                return Ok(());
            }
            let change = before.as_ref().map(|b| change::change(b, &found));
            let before = before.as_ref().zip(change.as_ref());
            ignition_found(asked, &read, &found, before, &said_all(notes))
        }
        Err(why) => refused(asked, &read, &name, why),
    }
}

fn said_all(notes: Vec<Note>) -> Vec<String> {
    notes.into_iter().map(|n| n.said()).collect()
}

/// A file, or what is piped in for `-`, and its length where that is known.
fn open(path: &Path) -> Result<(Box<dyn io::Read>, Option<u64>), Stop> {
    if path == Path::new("-") {
        return Ok((Box::new(io::stdin()), None));
    }
    let name = path.display().to_string();
    let file = File::open(path).with_context(|| words::cannot_read(&name))?;
    let about = file.metadata().with_context(|| words::cannot_read(&name))?;
    if about.is_dir() {
        return Err(anyhow!(words::is_folder(&name)).into());
    }
    Ok((Box::new(file), about.is_file().then_some(about.len())))
}

fn ignition_found(
    asked: &AskedRecording,
    read: &Read,
    found: &Recorded,
    before: Option<(&Recorded, &Change)>,
    notes: &[String],
) -> Result<(), Stop> {
    let by_file = read.curve.as_ref().ok();
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf = sheet::recording(&read.machine, found, before, by_file, &SheetOptions::default())
            .map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if written.is_none() {
            return Ok(());
        }
    }
    if asked.json {
        return Ok(say(&RecordingAnswer::ignition(read, found, before.map(|b| b.1), notes).to_text())?);
    }
    say(&report::recording(&read.machine, found, before, by_file, notes, columns(asked.width), study::style()))?;
    said(written)
}

fn pickups_found(asked: &AskedRecording, read: &Read, found: &Pickups, notes: &[String]) -> Result<(), Stop> {
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf = sheet::pickups(&read.machine, found, &SheetOptions::default()).map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if written.is_none() {
            return Ok(());
        }
    }
    if asked.json {
        return Ok(say(&RecordingAnswer::pickups(read, found, notes).to_text())?);
    }
    say(&report::pickups(&read.machine, found, notes, columns(asked.width), study::style()))?;
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
fn refused(asked: &AskedRecording, read: &Read, name: &str, why: NoAnswer) -> Result<(), Stop> {
    if let NoAnswer::NotWritten(error) = why {
        return Err(error.into());
    }
    if let NoAnswer::Fault(_) | NoAnswer::Mono = why {
        return Err(anyhow!("{name}: {}", why.said()).into());
    }
    if asked.json {
        say(&RecordingAnswer::refused(read, &why).to_text())?;
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

/// Every firing, missing and stray spark as CSV, written as they are found.
struct Table {
    out: Out,
    begun: bool,
    /// Rows that wait, for something earlier may come yet.
    rows: Vec<(f64, String)>,
    newest_s: f64,
}

enum Out {
    Pipe(BufWriter<io::Stdout>),
    File(Box<Growing>),
}

impl Out {
    fn writer(&mut self) -> &mut dyn Write {
        match self {
            Out::Pipe(pipe) => pipe,
            Out::File(file) => file.as_mut(),
        }
    }
}

impl Table {
    /// A firing is known to be missing once the next has come, up to twenty turns later: so long at 120 rpm and one in every second turn [s].
    const WAITS_S: f64 = 20.0;

    /// Into a file, or the pipe.
    fn begin(to: &Path) -> Result<Self, Stop> {
        let out =
            if to == Path::new("-") { Out::Pipe(BufWriter::new(io::stdout())) } else { Out::File(Box::new(Growing::begin(to)?)) };
        Ok(Self { out, begun: false, rows: Vec::new(), newest_s: 0.0 })
    }

    fn take(&mut self, machine: &Machine, details: &Details, places: &[Vec<usize>]) -> io::Result<()> {
        let name = |place: usize| {
            let cylinders = places.get(place).map(Vec::as_slice).unwrap_or_default();
            words::recording::names(machine, cylinders).replace('"', "'")
        };
        for f in &details.firings {
            let (at, speed, advance) = (f.at_s, wire::rpm(f.speed_rad_s), f.advance_rad.to_degrees());
            self.newest_s = at;
            self.rows.push((at, format!("{at:.7},fires,\"{}\",{speed:.3},{advance:.3},{}", name(f.place), f.repeats)));
        }
        for (place, at) in &details.missing {
            self.rows.push((*at, format!("{at:.7},missing,\"{}\",,,", name(*place))));
        }
        for (at, _) in &details.stray {
            self.rows.push((*at, format!("{at:.7},stray,,,,")));
        }
        self.write(self.newest_s - Self::WAITS_S)
    }

    /// Rows before this moment.
    fn write(&mut self, until_s: f64) -> io::Result<()> {
        self.rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        let n = self.rows.partition_point(|r| r.0 < until_s);
        if n > 0 && !self.begun {
            writeln!(self.out.writer(), "time_s,event,cylinder,speed_rpm,advance_deg,repeats")?;
            self.begun = true;
        }
        for (_, row) in self.rows.drain(..n) {
            writeln!(self.out.writer(), "{row}")?;
        }
        Ok(())
    }

    /// The rest; whether it went into the pipe, in which nothing else is said.
    fn end(mut self) -> Result<bool, Stop> {
        self.write(f64::INFINITY)?;
        match self.out {
            Out::Pipe(mut pipe) => {
                pipe.flush()?;
                Ok(true)
            }
            Out::File(file) => {
                file.end()?;
                Ok(false)
            }
        }
    }
}

/// Speed against time as CSV.
fn course(found: &Sound) -> String {
    let mut text = "time_s,speed_rpm,trusted\n".to_owned();
    for p in &found.pace.course {
        text.push_str(&format!("{:.3},{:.1},{}\n", p.at_s, wire::rpm(p.speed_rad_s), u8::from(p.trusted)));
    }
    text
}
