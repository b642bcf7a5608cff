//! `fault`: from the complaint to the cause.

use super::{
    book::{existing, said},
    columns, say, study,
};
use crate::{
    cli::AskedFault,
    desk::Read,
    faults::{About, Quick, answer, case, finished, ignition, kept, of_fault, search_of, step, studies, test},
    input,
    progress::watched,
    recordings::{self, Recording},
    stop::Stop,
    wire,
};
use anyhow::anyhow;
use jobbook::{Book, Place, Reading};
use sheets::{
    report::{self, Detail},
    sheet::{self, SheetOptions},
    words::{
        self, fault as text,
        fault::prompt::{self, Offer},
    },
};
use std::{
    io::{self, BufRead, IsTerminal, Write},
    path::Path,
};
use workshop::{
    machine::most_like,
    study::fault::{Advice, Case, FaultStudy, Faults, Finished, Said, Step, Studies, base},
};

/// `tickover fault`. Only with the idle study does it need a surface, which is kept in the book.
///
/// # Errors
/// See [`Stop`].
pub fn fault(asked: &AskedFault) -> Result<(), Stop> {
    let read = study::read(&asked.input, asked.width)?;
    let own = asked.own.as_deref().map(of_own).transpose()?;
    let of_job = |number: &String| OfJob::of(number, asked.before.book.as_deref(), &read.machine.name);
    let job = asked.job.as_ref().map(of_job).transpose()?;
    let faults = own.as_ref().unwrap_or_else(|| base());
    let counted = job.as_ref().map(|job| faults.with_jobs(&job.finished, Some(&job.number)));
    let faults = counted.as_ref().unwrap_or(faults);
    let worked_out = asked.idle.then(|| study::worked_out(read.clone(), &asked.before)).transpose()?;
    let quick = worked_out.is_none().then(|| Quick::of(&read));
    let studies = quick.as_ref().map_or_else(|| studies(&read, worked_out.as_ref()), |quick| quick.studies(&read));
    let from_pipe = asked.input.file == Path::new("-");
    let at_terminal = io::stdin().is_terminal() && io::stdout().is_terminal() && !asked.json && asked.sheet.is_none();
    let asks = (asked.ask || at_terminal) && !from_pipe;
    let complaint = match asked.complaint.as_ref().or(job.as_ref().and_then(|job| job.complaint.as_ref())) {
        Some(complaint) => complaint.clone(),
        None if asked.sheet.is_some() || !asked.answer.is_empty() => return Err(anyhow!(text::NO_COMPLAINT).into()),
        None if asked.json => {
            let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
            answer.complaints = Some(wire::fault::choices(faults));
            return Ok(say(&answer.to_text())?);
        }
        None => {
            say(&report::complaints(faults, columns(asked.width), study::style()))?;
            match asks.then(|| ask_complaint(faults)).transpose()?.flatten() {
                Some(complaint) => complaint,
                None => return Ok(()),
            }
        }
    };
    let system = asked.ignition.as_deref().and_then(ignition);
    let kept = job.as_ref().map_or_else(Vec::new, |job| job.readings.iter().map(kept).collect());
    if let Some(after) = job.as_ref().and_then(|job| text::evidence::after_repair(job.after)) {
        anstream::eprintln!("{after}");
    }
    let heard = heard(asked, job.as_ref(), &read)?;
    let heard: Vec<&Recording> = heard.iter().collect();
    let about = About { machine: &read.machine, studies, kept: &kept, heard: &heard, ignition: system };
    let mut case = case(faults, about, &complaint).map_err(|why| anyhow!(why))?;
    for name in &asked.in_hand {
        case.in_hand.push(test(faults, name).map_err(|why| anyhow!(why))?);
    }
    let before = job.iter().filter(|job| job.complaint.as_ref() == Some(&complaint)).flat_map(|job| &job.answers);
    for answer in before {
        // What the log has took place; what no longer fits the machine's file is told, as the page does.
        let taken = step(faults, answer).and_then(|s| case.took_place(s).map_err(|why| text::refused(faults, &why)));
        if let Err(why) = taken {
            anstream::eprintln!("{why}");
        }
    }
    for answer in &asked.answer {
        let step = step(faults, answer).map_err(|why| anyhow!(why))?;
        case.step(step).map_err(|why| anyhow!(text::refused(faults, &why)))?;
    }
    if asks {
        let number = job.as_ref().map(|job| job.number.as_str());
        converse(asked, &read, studies, &mut case, number)?;
        return Ok(number.map_or(Ok(()), |number| say(&prompt::not_in_job(number)))?);
    }
    let found = case.study();
    let mut written = None;
    if let Some(to) = &asked.sheet {
        let pdf = sheet::fault(&read.machine, &case, &found, studies, &SheetOptions::default());
        let pdf = pdf.map_err(|e| anyhow!(words::no_pdf(&e)))?;
        written = study::write_pdf(&pdf, to.clone())?;
        if to == Path::new("-") {
            return Ok(());
        }
    }
    if asked.json {
        let mut answer = wire::Answer::about(&read.machine.name, &read.warnings);
        answer.fault = Some(wire::fault::fault(&read.machine, &case, &found, studies));
        say(&answer.to_text())?;
    } else {
        say(&report::fault(&read.machine, &case, &found, studies, whole(asked), columns(asked.width), study::style()))?;
        if let Some(path) = written {
            say(&path.display().to_string())?;
        }
    }
    Ok(())
}

/// What the book has of a job's search.
struct OfJob {
    number: String,
    complaint: Option<String>,
    answers: Vec<String>,
    readings: Vec<Reading>,
    /// Readings that are from after a repair.
    after: usize,
    /// Name and content of recordings.
    recordings: Vec<(String, Vec<u8>)>,
    finished: Vec<Finished>,
}

impl OfJob {
    /// A job of another machine than the one of the file is refused.
    fn of(number: &str, path: Option<&Path>, machine: &str) -> Result<Self, Stop> {
        let (book, _) = Book::open(&existing(path)?).map_err(said)?;
        let job = book.job_by_number(number).map_err(said)?;
        if job.machine_name != machine {
            // It may have had another name before.
            let older = book.revisions(&job.machine).map_err(said)?;
            if !older.iter().any(|r| workshop::machine::read(&r.text).is_ok_and(|(older, _)| older.name == machine)) {
                return Err(anyhow!(text::job_of_another(&job.number, &job.machine_name, machine)).into());
            }
        }
        let present = book.present(Place::Job(job.id)).map_err(said)?;
        let search = search_of(present.search_steps(), |(_, s)| s);
        let (readings, after) = of_fault(&present);
        let mut recordings = Vec::new();
        for (name, hash) in recordings::of_fault(present.attachments().map(|(_, a)| a)) {
            recordings.push((name, book.unproven_blob(&hash).and_then(jobbook::Unproven::prove).map_err(said)?));
        }
        Ok(Self {
            recordings,
            number: job.number,
            complaint: search.as_ref().map(|(complaint, _)| complaint.clone()),
            answers: search.iter().flat_map(|(_, steps)| steps).filter_map(|(_, s)| answer(s)).collect(),
            readings: readings.into_iter().cloned().collect(),
            after,
            finished: finished(&book.finished_searches().map_err(said)?, Some(job.id)),
        })
    }
}

/// Recordings of the job and those that were named. What of the job is none that can be heard is told; one that was named must be.
fn heard(asked: &AskedFault, job: Option<&OfJob>, read: &Read) -> Result<Vec<Recording>, Stop> {
    let mut all = Vec::new();
    for (name, bytes) in job.iter().flat_map(|job| &job.recordings) {
        let open = || Ok(io::Cursor::new(bytes));
        match watched_hearing(read, name, open, Some(bytes.len() as u64)) {
            Ok(recording) => all.push(recording),
            Err(why) => anstream::eprintln!("{}", text::evidence::not_counted(name, &why)),
        }
    }
    for path in &asked.recording {
        let (name, length) = (path.display().to_string(), std::fs::metadata(path).ok().map(|m| m.len()));
        let recording = watched_hearing(read, &name, || std::fs::File::open(path), length);
        all.push(recording.map_err(|why| anyhow!(text::evidence::not_counted(&name, &why)))?);
    }
    Ok(all)
}

/// Hears a recording with a bar on standard error.
fn watched_hearing<R: io::Read>(
    read: &Read,
    name: &str,
    open: impl Fn() -> io::Result<R>,
    length: Option<u64>,
) -> Result<Recording, String> {
    watched(text::evidence::hearing(name), |told| {
        Recording::of(&read.machine, open, length, &mut |_, share| {
            told(share);
            true
        })
    })
}

/// The base with the workshop's own file.
pub(super) fn of_own(path: &Path) -> Result<Faults, Stop> {
    let file = input::read(path)?;
    base().with_own(&file.text).map_err(|defects| {
        for defect in &defects {
            anstream::eprintln!("{}", text::defect(defect, &file.name, &file.text));
        }
        anstream::eprintln!("{}", text::own_refused(&file.name, defects.len()));
        Stop::Defects
    })
}

fn whole(asked: &AskedFault) -> Detail {
    if asked.all { Detail::AllTests } else { Detail::Whole }
}

/// A line that was typed; `None` at the end of what is typed.
fn line(prompt: &str) -> io::Result<Option<String>> {
    let mut out = anstream::stdout();
    write!(out, "{prompt}")?;
    out.flush()?;
    let mut typed = String::new();
    let read = io::stdin().lock().read_line(&mut typed)?;
    Ok((read > 0).then(|| typed.trim().to_owned()))
}

fn ask_complaint(faults: &Faults) -> io::Result<Option<String>> {
    while let Some(typed) = line(prompt::WHICH)? {
        if faults.complaint(&typed).is_some() {
            return Ok(Some(typed));
        }
        let names = faults.complaints.iter().map(|c| c.id.as_str());
        say(&text::no_such(&typed, most_like(&typed, names)))?;
    }
    Ok(None)
}

/// The advised thing, or the best test that was not skipped.
fn offer(found: &FaultStudy, skipped: &[usize]) -> Offer {
    match &found.next {
        Advice::Test(next) if !skipped.contains(&next.test) => Offer::Test(next.test),
        Advice::PutRight { cause, .. } if skipped.is_empty() && found.proves_first => Offer::Untried(*cause),
        Advice::PutRight { cause, .. } if skipped.is_empty() => Offer::PutRight(*cause),
        Advice::Try { cause } => Offer::Try(*cause),
        _ => {
            let rest = found.tests.iter().find(|t| t.worth.is_some() && !skipped.contains(&t.test));
            rest.map_or(Offer::Nothing, |t| Offer::Test(t.test))
        }
    }
}

/// Questions line by line until it is found or nobody answers.
fn converse(asked: &AskedFault, read: &Read, studies: Studies, case: &mut Case, mut job: Option<&str>) -> Result<(), Stop> {
    let (faults, machine) = (case.faults, &read.machine);
    let width = columns(asked.width);
    let mut skipped: Vec<usize> = Vec::new();
    let mut chosen: Option<usize> = None;
    let mut show = true;
    // All of it once; what an answer changes from then on.
    let mut detail = whole(asked);
    loop {
        let found = case.study();
        let offer = chosen.map_or_else(|| offer(&found, &skipped), Offer::Test);
        if show {
            say(&report::fault(machine, case, &found, studies, detail, width, study::style()))?;
            detail = if asked.all { Detail::AllTests } else { Detail::Next };
        }
        show = true;
        if let Some(number) = job.take() {
            say(&prompt::not_in_job(number))?;
        }
        if let Offer::Nothing = offer
            && !skipped.is_empty()
        {
            say(prompt::NOTHING_ELSE)?;
            skipped.clear();
            continue;
        }
        let advised = matches!((&found.next, offer), (Advice::Test(n), Offer::Test(t)) if n.test == t);
        if let Offer::Test(t) = offer
            && !advised
        {
            if let Some(first) = text::usually_after(&found, faults, t) {
                say(&first)?;
            }
            say(&report::fault_test(machine, &faults.tests[t], studies, width, study::style()))?;
        }
        let Some(typed) = line(&prompt::prompt(faults, offer))? else { return Ok(()) };
        let lower = typed.to_lowercase();
        let word = prompt::PROMPT.iter().find(|(long, short, _)| lower == *long || lower == *short).map(|p| p.2);
        let mut take = |step: Step, case: &mut Case| -> io::Result<()> {
            chosen = None;
            case.step(step).or_else(|why| say(&text::refused(faults, &why)))
        };
        match (word, offer) {
            (Some(prompt::Typed::Done), _) => return Ok(()),
            (Some(prompt::Typed::Back), _) => {
                chosen = None;
                if case.back().is_none() {
                    say(prompt::NOTHING_BACK)?;
                    show = false;
                }
            }
            (Some(prompt::Typed::Tests), _) => {
                say(&report::fault(machine, case, &found, studies, Detail::AllTests, width, study::style()))?;
                show = false;
            }
            (Some(prompt::Typed::Skip), Offer::Test(t)) => {
                skipped.push(t);
                chosen = None;
                show = false;
            }
            // A repair that is skipped gives way to tests: a number that no test has stands for it.
            (Some(prompt::Typed::Skip), _) => {
                skipped.push(usize::MAX);
                show = false;
            }
            (Some(prompt::Typed::Yes), Offer::Test(t)) => take(Step::Tested(t, Said::Yes), case)?,
            (Some(prompt::Typed::No), Offer::Test(t)) => take(Step::Tested(t, Said::No), case)?,
            (Some(prompt::Typed::CannotTell), Offer::Test(t)) => take(Step::Tested(t, Said::CannotTell), case)?,
            (Some(prompt::Typed::Right), Offer::Untried(c)) => take(Step::Untried(c), case)?,
            (Some(prompt::Typed::Right), Offer::PutRight(c)) | (Some(prompt::Typed::Stays), Offer::Try(c)) => {
                take(Step::PutRight(c), case)?;
            }
            (Some(prompt::Typed::Gone), Offer::PutRight(c) | Offer::Try(c)) => return Ok(say(&prompt::gone(faults, c, &found))?),
            _ if typed.contains('=') => match step(faults, &typed) {
                Ok(step) => take(step, case)?,
                Err(why) => say(&why)?,
            },
            _ => match faults.test(&typed) {
                Some(t) if case.allowed(t).is_ok() => (chosen, show) = (Some(t), false),
                Some(t) => {
                    show = false;
                    if let Err(why) = case.allowed(t) {
                        say(&text::refused(faults, &why))?;
                    }
                }
                None => {
                    show = false;
                    say(&prompt::not_understood(faults, offer, &found))?;
                }
            },
        }
    }
}
