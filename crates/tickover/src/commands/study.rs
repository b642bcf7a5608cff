//! `curve`, `idle`, `trim`, `study` and `sheet`: read, ask, show.

use super::{columns, file, say};
use crate::{
    cli::{Asked, Before, Input},
    desk::{self, Answer, Read},
    input, pictures, place,
    progress::shown,
    shelf::{BookShelf, NoShelf},
    stop::Stop,
    wire,
};
use anyhow::{Context, anyhow};
use jobbook::{Book, Opened};
use sheets::{chart::Style, report, words};
use std::{
    fs,
    io::{self, IsTerminal, Write},
    path::{Path, PathBuf},
    sync::Arc,
};
use workshop::machine::Machine;
use workshop::study::{
    NotStudied,
    load::LoadStudy,
    model::EngineModel,
    rotor::sides::{self, End},
    trim::Advice,
};

/// `tickover curve`.
///
/// # Errors
/// See [`Stop`].
pub fn curve(asked: &Asked) -> Result<(), Stop> {
    let read = read(&asked.input, asked.width)?;
    let load = read.wide_open();
    save(asked, || Ok(curve_pictures(&read, load.as_ref().ok())))?;
    if asked.json {
        let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
        answer.curve = Some(read.curve_on_wire());
        answer.load = Some(wire::Part::of(load.as_ref().map_err(|e| *e), wire::Load::of));
        say(&answer.to_text())?;
    } else if let Ok(curve) = &read.curve {
        say(&report::curve(&read.machine, curve, load.as_ref().ok(), columns(asked.width), style()))?;
    }
    covered(read.curve.as_ref().err().copied(), asked.json)
}

/// `tickover idle`.
///
/// # Errors
/// See [`Stop`].
pub fn idle(asked: &Asked) -> Result<(), Stop> {
    let answer = answer(asked)?;
    save(asked, || Ok(pictures::rest(&answer, None).map(|c| ("idle", pictures::as_file(&c))).into_iter().collect()))?;
    let idle = answer.idle();
    if asked.json {
        let mut wire = answer.wire();
        (wire.curve, wire.load, wire.trim) = (None, None, None);
        say(&wire.to_text())?;
    } else if let Ok(idle) = idle {
        say(&report::idle(&answer.read.machine, idle, columns(asked.width), style()))?;
        say_causes(&answer, asked)?;
    }
    covered(idle.err(), asked.json)
}

/// What explains the hang, where one was noted.
fn say_causes(answer: &Answer, asked: &Asked) -> io::Result<()> {
    answer.alike().map_or(Ok(()), |causes| say(&report::alike(causes, columns(asked.width), style())))
}

/// `tickover trim`.
///
/// # Errors
/// See [`Stop`].
pub fn trim(asked: &Asked) -> Result<(), Stop> {
    let answer = answer(asked)?;
    save(asked, || Ok(trim_pictures(&answer)))?;
    let trim = answer.trim();
    if asked.json {
        let mut wire = answer.wire();
        (wire.curve, wire.idle, wire.load) = (None, None, None);
        say(&wire.to_text())?;
    } else if let Ok(trim) = trim {
        if matches!(trim.advice, Advice::RuleOutFirst { .. }) {
            say_causes(&answer, asked)?;
        }
        say(&report::trim(&answer.read.machine, trim, columns(asked.width), style()))?;
    }
    covered(trim.err(), asked.json)
}

/// `tickover study`: all of them. It is covered where at least the curve is.
///
/// # Errors
/// See [`Stop`].
pub fn study(asked: &Asked) -> Result<(), Stop> {
    let answer = answer(asked)?;
    save(asked, || {
        let mut all = curve_pictures(&answer.read, answer.load().ok());
        all.extend(pictures::rest(&answer, None).map(|c| ("idle", pictures::as_file(&c))));
        all.extend(trim_pictures(&answer));
        Ok(all)
    })?;
    if asked.json {
        say(&answer.wire().to_text())?;
    } else if let Ok(study) = &answer.study {
        say(&report::study(&answer.read.machine, study, columns(asked.width), style()))?;
    }
    covered(answer.study.as_ref().err().copied(), asked.json)
}

/// `tickover sheet`.
///
/// # Errors
/// See [`Stop`].
pub fn sheet(from: &Input, to: Option<&Path>, leads: Option<End>, before: &Before) -> Result<(), Stop> {
    let read = read(from, None)?;
    knows_which_end_leads(&read.machine, leads)?;
    let answer = worked_out(read, before)?;
    let Some(pdf) = desk::sheet(&answer) else {
        return covered(answer.study.as_ref().err().copied(), false);
    };
    let pdf = pdf.map_err(|e| anyhow!(words::no_pdf(&e)))?;
    let own =
        || PathBuf::from(from.file.file_stem().filter(|stem| *stem != "-").unwrap_or("tickover".as_ref())).with_extension("pdf");
    if let Some(path) = write_pdf(&pdf, to.map_or_else(own, Path::to_owned))? {
        say(&path.display().to_string())?;
    }
    Ok(())
}

/// Nothing to cut by is written before the end of the segment that leads was named rightly.
pub(super) fn knows_which_end_leads(machine: &Machine, leads: Option<End>) -> Result<(), Stop> {
    let Some(check) = sides::before_a_cut(machine) else { return Ok(()) };
    match leads {
        None => Err(anyhow!(words::which_end_leads(check.question)).into()),
        Some(end) if !check.is_right(end) => Err(anyhow!(words::rotor::balance::answered(false)).into()),
        Some(_) => Ok(()),
    }
}

/// Writes a PDF to a file, whose path comes back, or to the pipe.
pub(super) fn write_pdf(pdf: &[u8], to: PathBuf) -> Result<Option<PathBuf>, Stop> {
    if to == Path::new("-") {
        let mut out = io::stdout().lock();
        if out.is_terminal() {
            return Err(anyhow!(words::PDF_TO_TERMINAL).into());
        }
        out.write_all(pdf)?;
        out.flush()?;
        return Ok(None);
    }
    input::write_whole(&to, pdf)?;
    Ok(Some(to))
}

pub(super) fn read(from: &Input, width: Option<u16>) -> Result<Read, Stop> {
    let (machine, warnings) = file::machine_of(from, columns(width))?;
    Ok(Read::from_machine(machine, warnings))
}

fn answer(asked: &Asked) -> Result<Answer, Stop> {
    worked_out(read(&asked.input, asked.width)?, &asked.before)
}

pub(super) fn worked_out(read: Read, before: &Before) -> Result<Answer, Stop> {
    let (shelf, path) = shelf(before);
    let theirs = shelf.clone();
    let answer = shown(words::WORKING, move |progress| match theirs {
        Some(shelf) => desk::answer(read, progress, &*shelf),
        None => desk::answer(read, progress, &NoShelf),
    })?;
    if let Some(why) = shelf.as_ref().and_then(|shelf| shelf.trouble()) {
        anstream::eprintln!("{}", words::not_kept(&path, &words::book_error(why)));
    }
    Ok(answer)
}

/// The engine's surfaces alone; `None` where it has none.
pub(super) fn surface(read: &Read, before: &Before) -> Result<Option<EngineModel>, Stop> {
    let (shelf, _) = shelf(before);
    let machine = read.machine.clone();
    shown(words::WORKING, move |progress| {
        let model = match shelf {
            Some(shelf) => desk::model(&machine, progress, &*shelf),
            None => desk::model(&machine, progress, &NoShelf),
        };
        match model {
            Err(NotStudied::Stopped) => None,
            model => Some(model.ok()),
        }
    })
}

/// The job book as a shelf for computed engines, and its path. A book that cannot be used is left alone and told: the
/// answer only takes longer.
fn shelf(before: &Before) -> (Option<Arc<BookShelf>>, PathBuf) {
    if before.afresh {
        return (None, PathBuf::new());
    }
    let path = match before.book.clone().map_or_else(place::default_book, Ok) {
        Ok(path) => path,
        Err(why) => {
            anstream::eprintln!("{}", words::nowhere_to_keep(&format!("{why:#}")));
            return (None, PathBuf::new());
        }
    };
    match Book::open(&path) {
        Ok((book, opened)) => {
            if let Opened::BroughtForward { backup, .. } = &opened {
                anstream::eprintln!("{}", words::brought_forward(backup));
            }
            (Some(Arc::new(BookShelf::new(book))), path)
        }
        Err(why) => {
            anstream::eprintln!("{}", words::not_kept(&path, &words::book_error(&why)));
            (None, path)
        }
    }
}

fn curve_pictures(read: &Read, load: Option<&LoadStudy>) -> Vec<(&'static str, String)> {
    let curve = pictures::curve(read, load, None).map(|c| ("curve", pictures::as_file(&c)));
    let torque = load.map(|load| ("torque", pictures::as_file(&pictures::torque(load))));
    curve.into_iter().chain(torque).collect()
}

fn trim_pictures(answer: &Answer) -> Vec<(&'static str, String)> {
    let Ok(trim) = answer.trim() else { return Vec::new() };
    let advised = answer.advised_cut_m();
    let after = answer.cut(advised);
    let mut all = vec![("rotor", pictures::scene_as_file(&pictures::rotor(&trim.drawing, advised)))];
    let angle = after.as_ref().map(|a| quantity::CrankAngle::from_radians(a.cut_crank_rad));
    all.extend(pictures::curve(&answer.read, answer.load().ok(), angle).map(|c| ("curve-after", pictures::as_file(&c))));
    all.extend(pictures::rest(answer, after.as_ref()).map(|c| ("idle-after", pictures::as_file(&c))));
    all
}

/// Saves the pictures where they were asked for.
pub(super) fn save<N: AsRef<Path>>(
    asked: &Asked,
    pictures: impl FnOnce() -> anyhow::Result<Vec<(N, String)>>,
) -> anyhow::Result<()> {
    let Some(to) = &asked.svg else { return Ok(()) };
    let pictures = pictures()?;
    let one_file = to.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg"));
    if one_file && let [(_, picture)] = &pictures[..] {
        return input::write_whole(to, picture.as_bytes());
    }
    if one_file && !pictures.is_empty() {
        return Err(anyhow!(words::several_pictures(pictures.len())));
    }
    fs::create_dir_all(to).with_context(|| words::no_folder(to))?;
    for (name, picture) in pictures {
        input::write_whole(&to.join(name).with_extension("svg"), picture.as_bytes())?;
    }
    Ok(())
}

/// Says why a study does not cover the machine.
fn covered(why: Option<NotStudied>, quiet: bool) -> Result<(), Stop> {
    why.map_or(Ok(()), |why| Err(not_covered(words::not_studied(why), quiet)))
}

/// Says why, and stops.
pub(super) fn not_covered(why: &str, quiet: bool) -> Stop {
    if !quiet {
        for line in report::wrap(why, columns(None), "") {
            anstream::eprintln!("{line}");
        }
    }
    Stop::NotCovered
}

/// Colours and signs for where standard output goes.
pub(super) fn style() -> Style {
    // anstream takes colours out again where nobody wants them.
    Style { colour: true, unicode: sign_friendly() }
}

/// Does the terminal show more than ASCII? As the locale says (POSIX.1-2024, 8.2: `LC_ALL` over `LC_CTYPE` over `LANG`).
fn sign_friendly() -> bool {
    let said = ["LC_ALL", "LC_CTYPE", "LANG"].iter().filter_map(|name| std::env::var(name).ok()).find(|v| !v.is_empty());
    cfg!(any(target_os = "windows", target_os = "macos"))
        || said.is_some_and(|locale| {
            let locale = locale.to_ascii_lowercase();
            locale.contains("utf-8") || locale.contains("utf8")
        })
}
