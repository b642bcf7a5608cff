//! Labels and short sentences of the jobs.

use crate::words::{celsius, job::time, on, rpm};

/// Name of the place for what waits on the device.
pub const LATER: &str = "Waiting on this device";
/// Over it.
pub const KEPT_HERE: &str = "Tickover does not answer now. This is kept on this device and sent when it does:";
/// Over what was refused when it arrived.
pub const REFUSED_LATER: &str =
    "This was kept on this device and could not be taken into the book. Enter it again, then drop it here:";
/// Button.
pub const DROP: &str = "Drop";
/// Heading.
pub const PLAN_WORK: &str = "Plan work on the machine";
/// Label.
pub const HOW_MUCH: &str = "How much, if it is a length";
/// Example.
pub const LENGTH_EXAMPLE: &str = "5.5 ± 0.2 mm";
/// Label.
pub const CANNOT_BE_UNDONE: &str = "It cannot be undone";
/// The risk of work that cannot be undone, as the owner is told it.
pub const RISK: &str =
    "This cannot be put back. If it does not help, or goes too far, another part is needed, and it may no longer be made.";
/// Label.
pub const LEAVE_BY: &str = "Leave given by";
/// Label.
pub const LEAVE_HOW: &str = "How it was given";
/// Example.
pub const LEAVE_EXAMPLE: &str = "signed on the job sheet";
/// Button.
pub const NOTE_LEAVE: &str = "Note the owner’s leave";
/// Button.
pub const GIVE_UP: &str = "Not to be done";
/// A consent without a name or a way.
pub const CONSENT_OF_WHOM: &str = "Say who gave leave, and how: signed, by telephone, by letter.";
/// Work that cannot be undone and has no consent.
pub const CONSENT_FIRST: &str = "This cannot be undone. Note the owner’s leave first.";
/// Heading.
pub const PAPERS: &str = "To print";
/// Button.
pub const LABEL: &str = "Label";
/// Button.
pub const BACK_UP: &str = "Back the book up";
/// Title.
pub const BACKED_UP: &str = "Backed up";
/// Button and title.
pub const FIND: &str = "Find";
/// Label.
pub const FIND_WHAT: &str = "Machine, owner, plate, complaint, part or job number";
/// Heading.
pub const DUE: &str = "Due now";
/// Heading.
pub const OPEN_JOBS: &str = "On the bench";
/// Heading.
pub const WAITING_JOBS: &str = "Waiting";
/// Heading.
pub const MACHINES: &str = "Machines";
/// Heading.
pub const JOBS: &str = "Jobs";
/// An empty list.
pub const NONE_FOUND: &str = "None.";
/// Link.
pub const TO_THE_MACHINE: &str = "Readings, curve, idle and cut";
/// Link.
pub const HISTORY: &str = "All jobs of this machine";
/// Heading.
pub const NEW_JOB: &str = "A new job";
/// Label.
pub const COMPLAINT_WORDS: &str = "The complaint, in the owner’s own words";
/// Label.
pub const ODOMETER: &str = "Odometer";
/// Label.
pub const MAY_CUT: &str = "What the owner allows to be changed for good";
/// Label.
pub const WHO: &str = "Written by";
/// Button.
pub const OPEN_JOB: &str = "Open the job";
/// Heading.
pub const WHOSE: &str = "Whose it is";
/// Label.
pub const OWNER: &str = "Owner";
/// Label.
pub const CONTACT: &str = "How to reach the owner";
/// Label.
pub const PLATE: &str = "Number plate";
/// Label.
pub const FRAME: &str = "Frame number";
/// Button.
pub const KEEP: &str = "Keep";
/// Label.
pub const HOW_IT_STANDS: &str = "How it stands";
/// Heading.
pub const READINGS: &str = "Readings";
/// Heading.
pub const NOTES: &str = "Notes";
/// Heading.
pub const NOTE: &str = "A note";
/// Label.
pub const WORDS: &str = "In words";
/// Heading.
pub const TAKE_A_READING: &str = "A reading";
/// Label.
pub const WHEN_IN_THE_JOB: &str = "When in the job";
/// Label and head of a column.
pub const WHAT: &str = "What is measured";
/// Label.
pub const VALUE: &str = "Value with ± and unit";
/// Label.
pub const PLACE: &str = "Where: cylinder, winding, side";
/// Label.
pub const INSTRUMENT: &str = "Measured with";
/// Label.
pub const TEMPERATURE: &str = "Its temperature, such as 20 °C";
/// Label.
pub const SPEED: &str = "Engine speed, such as 3000 rpm";
/// Label.
pub const CONDITION: &str = "In what condition";
/// Button.
pub const KEEP_READING: &str = "Keep this reading";
/// Heading.
pub const REMINDERS: &str = "To look at later";
/// Label.
pub const REMIND_OF: &str = "What to look at";
/// Label.
pub const FROM_WHEN: &str = "From when on";
/// Button.
pub const DONE: &str = "Done";
/// Heading.
pub const LOG: &str = "All that was written";
/// An entry that another one took the place of.
pub const REPLACED: &str = "no longer stands";
/// Button.
pub const UNDO: &str = "Undo";
/// A job without a complaint.
pub const NO_COMPLAINT: &str = "A job begins with the owner’s complaint. Write down what was said, in the owner’s words.";
/// A note or reminder without words.
pub const NO_WORDS: &str = "Nothing was written.";
/// An entry that is not there.
pub const NO_SUCH_ENTRY: &str = "There is no such entry in this job.";
/// What is usually looked at later (common practice, no source).
pub const USUAL_REMINDERS: [&str; 4] =
    ["magnet glue", "rotor nut torque after the first heat", "pickup gap", "strobe check, both cylinders"];
/// Conditions: key and name.
pub const CONDITIONS: [(&str, &str); 6] = [
    ("", "not noted"),
    ("loaded", "loaded"),
    ("open", "disconnected"),
    ("kicking", "kicking"),
    ("running", "running"),
    ("still", "engine stopped"),
];

/// A stage of a job.
pub fn stage(stage: jobbook::Stage) -> &'static str {
    match stage {
        jobbook::Stage::AsFound => "as found",
        jobbook::Stage::During => "during the work",
        jobbook::Stage::AsLeft => "as left",
    }
}

/// How a job stands.
pub fn state(state: jobbook::JobState) -> &'static str {
    match state {
        jobbook::JobState::Open => "on the bench",
        jobbook::JobState::Waiting => "waiting",
        jobbook::JobState::HandedOver => "handed over",
    }
}

/// When a job was opened.
pub fn opened(at: jobbook::UnixSeconds) -> String {
    format!("opened {}", on(at))
}

/// When a reminder was done.
pub fn done_on(at: jobbook::UnixSeconds) -> String {
    format!("done {}", on(at))
}

/// How many jobs.
pub fn jobs(n: u32) -> String {
    match n {
        0 => "no jobs yet".to_owned(),
        1 => "one job".to_owned(),
        n => format!("{n} jobs"),
    }
}

/// How many entries.
pub fn entries(n: usize) -> String {
    if n == 1 { "one entry".to_owned() } else { format!("{n} entries") }
}

/// State of the measuring fold of a job.
pub fn noted(readings: usize, notes: usize) -> String {
    let readings = if readings == 1 { "one reading".to_owned() } else { format!("{readings} readings") };
    match notes {
        0 => readings,
        1 => format!("{readings}, one note"),
        n => format!("{readings}, {n} notes"),
    }
}

/// A list that was cut.
pub fn only_the_first(n: u32) -> String {
    format!("These are the last {n}. More words find fewer.")
}

/// An example.
pub fn such_as(example: &str) -> String {
    format!("such as {example}")
}

/// A quantity that is not on the list.
pub fn no_such_quantity(key: &str) -> String {
    format!("“{key}” is not on the list of what can be measured.")
}

/// A day that cannot be read.
pub fn no_such_day(text: &str) -> String {
    format!("“{text}” is no day. Write it as 2027-03-31.")
}

/// How far work is.
pub fn progress(progress: jobbook::Progress) -> &'static str {
    match progress {
        jobbook::Progress::Planned => "Planned",
        jobbook::Progress::Done => "Done",
        jobbook::Progress::GivenUp => "Not to be done",
    }
}

/// A consent that was given.
pub fn leave_given(consent: &jobbook::Consent) -> String {
    format!("Leave given by {}, {}, {}.", consent.by, consent.how, on(consent.given_at))
}

/// State of the fold with the alterations.
pub fn alterations(all: usize, waiting: usize) -> String {
    match (all, waiting) {
        (0, _) => String::new(),
        (_, 0) => format!("{all} noted"),
        (_, n) => format!("{all} noted, the owner’s leave is missing for {n}"),
    }
}

/// What stands beside a reading: instrument, temperature, speed, condition.
pub fn beside(r: &jobbook::Reading) -> String {
    let mut parts = Vec::new();
    if !r.instrument.is_empty() {
        parts.push(r.instrument.clone());
    }
    if let Some(k) = r.temperature_k {
        parts.push(celsius(k));
    }
    if let Some(w) = r.crank_rad_s {
        parts.push(rpm(w));
    }
    parts.extend(r.condition.as_ref().map(condition));
    parts.join(", ")
}

/// In what condition something was measured.
pub fn condition(condition: &jobbook::Condition) -> String {
    use jobbook::Condition;
    match condition {
        Condition::Loaded => "loaded",
        Condition::Open => "disconnected",
        Condition::Kicking => "kicking",
        Condition::Running => "running",
        Condition::Still => "engine stopped",
        Condition::Other(words) => words,
    }
    .to_owned()
}

/// What kind of entry it is.
pub fn kind(body: &jobbook::Body) -> &str {
    use jobbook::Body;
    match body {
        Body::Headline(_) => "job",
        Body::Reading(_) => "reading",
        Body::Note(_) => "note",
        Body::Reminder(_) => "reminder",
        Body::Alteration(_) => "work",
        Body::Consent(_) => "leave",
        Body::Part(_) => "part",
        Body::Work(_) => "time",
        Body::Finding(_) => "findings",
        Body::Attachment(_) => "file",
        Body::SearchStep(_) => "step of the search",
        Body::Withdrawn(_) => "taking back",
        other => other.kind_name(),
    }
}

/// An entry of the log in a line.
pub fn entry(body: &jobbook::Body) -> String {
    use jobbook::Body;
    match body {
        Body::Headline(h) => format!("Job, {}: {}", state(h.state), h.complaint),
        Body::Reading(r) => {
            let place = if r.place.is_empty() { String::new() } else { format!(", {}", r.place) };
            format!("Reading {}: {}{place}: {}", stage(r.stage), r.words, r.typed)
        }
        Body::Note(n) => format!("Note: {}", n.words),
        Body::Reminder(r) => match r.done {
            None => format!("To look at from {}: {}", on(r.due), r.what),
            Some(done) => format!("Looked at on {}: {}", on(done), r.what),
        },
        Body::Alteration(a) => format!("{}: {}", progress(a.progress), a.words),
        Body::Consent(c) => leave_given(c),
        Body::Attachment(a) => format!("File {}: {}", stage(a.stage), super::file_in_words(a)),
        Body::SearchStep(s) => format!("Search for the fault: {}", s.words),
        Body::Withdrawn(_) => "Taken back".to_owned(),
        Body::Finding(f) => match f.words.first() {
            Some(verdict) => format!("Findings kept: {verdict}"),
            None => "Findings kept".to_owned(),
        },
        Body::Part(p) => format!("Part: {} × {}", super::quantity(p.quantity), p.name),
        Body::Work(w) if w.words.is_empty() => format!("Time: {}", time(w.minutes.into())),
        Body::Work(w) => format!("Time: {}, {}", time(w.minutes.into()), w.words),
        other => format!("Entry “{}”", other.kind_name()),
    }
}
