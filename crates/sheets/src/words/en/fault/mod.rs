//! Fault finding: complaints, causes, tests, and what to do next. Names and steps of causes and tests stand in the fault data.

pub(in crate::words::en) mod defect;
pub mod evidence;
pub mod page;
pub mod paper;
pub mod prompt;
mod refused;
mod remarks;

pub use defect::defect;
pub use refused::{bad_answer, no_such, refused};
pub use remarks::{cut, remarks};

use crate::{
    probes::probes,
    words::{electric::probes_at, number, percent},
};
use workshop::machine::Machine;
use workshop::study::fault::{
    Advice, Case, CauseFound, Complaint, Expected, FaultStudy, Faults, Leader, Next, Said, Standing, State, Step, Test,
    TestFound, Why,
};

/// Heading.
pub const FAULT: &str = "Fault finding";
/// Heading.
pub const COMPLAINTS: &str = "What does the owner say?";
/// Heading.
pub const CAUSES: &str = "Causes: now, and before anything was done or read";
/// Heading.
pub const NEXT: &str = "Next";
/// Heading.
pub const OTHER_TESTS: &str = "Other tests, quickest way first";
/// Heading.
pub const NOT_NOW: &str = "Not now";
/// Heading.
pub const DONE: &str = "Done so far";
/// Heading.
pub const READ: &str = "What the readings say";
/// Heads of the table of causes.
pub const CAUSES_HEAD: [&str; 3] = ["now", "before", "cause"];
/// Something that is not listed.
pub const SOMETHING_ELSE: &str = "Something that is not listed";
/// What holds for every number of this part.
pub const HOW: &str = "Weights, chances and minutes are common practice, no source: rounded opinions, good to about a factor of two. Two causes at once are allowed for; no cause is ever ruled out. Minutes to a repaired machine count tests, repairs, and what is still unknown then.";
/// The question after a repair.
pub const GONE: &str = "Try the complaint again. Is it gone?";
/// The same where the engine must not turn before the cause is shown and made good.
pub const GONE_WHEN_GOOD: &str = "When the cause is shown and made good: is the complaint gone?";
/// What is asked after a repair while a bar stands.
pub const NOT_TRIED: &str = "Was it put right? The complaint is not tried before the bar is lifted.";
/// An answer.
pub const YES: &str = "yes";
/// An answer.
pub const NO: &str = "no";
/// An answer.
pub const CANNOT_TELL: &str = "cannot tell";
/// How it is done.
pub const HOW_TO: &str = "How";
/// Tools.
pub const WITH: &str = "With";
/// What a sound machine shows.
pub const SOUND: &str = "Sound";
/// What counts as positive.
pub const POSITIVE: &str = "Positive (yes)";
/// Where a meter's probes stand.
pub const PROBES: &str = "Probes";
/// On this machine.
pub const HERE: &str = "On this machine";
/// Asks.
pub const ASK: &str = "Ask the owner";

/// A name in the quotes of what was said.
pub fn owner_says(complaint: &Complaint) -> String {
    // The mechanic's own findings are nobody's words.
    if complaint.owner_says.starts_with("Mechanic") { complaint.name.clone() } else { format!("“{}”", complaint.owner_says) }
}

/// A complaint in a line: name for the command line, the owner's words, the mechanic's.
pub fn complaint_row(complaint: &Complaint) -> Vec<String> {
    vec![complaint.id.clone(), owner_says(complaint), complaint.name.clone()]
}

/// `12 min`.
pub fn minutes(min: f64) -> String {
    format!("{}\u{a0}min", number(min, 0))
}

/// What the engine does in a test.
pub fn state(test: &Test) -> &'static str {
    match test.state {
        State::Stopped => "engine stopped",
        State::Kicking => "kicked",
        State::Running if test.must_run => "engine running",
        State::Running => "engine kicked or running",
        State::HotStopped => "engine hot, stopped",
        State::Road => "on the road",
    }
}

/// Some names, joined.
fn names<'f>(list: impl IntoIterator<Item = &'f str>) -> String {
    list.into_iter().map(|n| format!("“{n}”")).collect::<Vec<_>>().join(", ")
}

fn test_names(faults: &Faults, tests: &[usize]) -> String {
    names(tests.iter().map(|t| faults.tests[*t].name.as_str()))
}

fn cause_names(faults: &Faults, causes: &[usize]) -> String {
    names(causes.iter().map(|c| faults.causes[*c].name.as_str()))
}

fn leader(faults: &Faults, (cause, chance): Leader) -> String {
    let name = cause.map_or_else(|| SOMETHING_ELSE.to_lowercase(), |c| format!("“{}”", faults.causes[c].name));
    format!("{name} ({})", percent(chance))
}

/// What to do next, in a line.
pub fn advice(case: &Case, study: &FaultStudy) -> String {
    let faults = case.faults;
    match &study.next {
        Advice::Test(next) => {
            let first = if next.why == Why::LiftsTheBar { "First" } else { "Next" };
            format!("{first}: {}, {}.", faults.tests[next.test].name, minutes(next.worth.minutes))
        }
        Advice::PutRight { cause, chance, minutes: min } => format!(
            "Put right: {} ({}, {}). {}",
            faults.causes[*cause].name,
            percent(*chance),
            minutes(*min),
            if study.proves_first {
                format!("Do not try the complaint yet: first {} must pass.", test_names(faults, &case.it().bar_until))
            } else if study.barred {
                "The engine does not turn again before the cause is shown and made good.".to_owned()
            } else {
                "Then try the complaint again.".to_owned()
            }
        ),
        Advice::Try { cause } => {
            format!("Try the complaint: {} has been put right.", names([faults.causes[*cause].name.as_str()]))
        }
        Advice::LookWider { chance } => {
            format!("Look for something that is not listed ({}), or repeat the tests that you trust least.", percent(*chance))
        }
    }
}

/// Why, in a sentence or two.
pub fn reason(case: &Case, study: &FaultStudy) -> String {
    let faults = case.faults;
    match &study.next {
        Advice::Test(next) => test_reason(case, study, next),
        Advice::PutRight { cause, .. } => {
            let cause = &faults.causes[*cause];
            let no_test = if study.barred { "No test that may be done now" } else { "No further test" };
            format!("{no_test} is worth its minutes. {} {}", cause.shows, cause.put_right)
        }
        Advice::Try { .. } => {
            format!("{} has passed, so that it may be tried.", test_names(faults, &case.it().bar_until))
        }
        Advice::LookWider { .. } => "No test and no listed repair is worth its minutes now.".to_owned(),
    }
}

fn test_reason(case: &Case, study: &FaultStudy, next: &Next) -> String {
    let faults = case.faults;
    let branch = if next.if_yes.0 == next.if_no.0 {
        format!(
            "yes ({}) brings {}, no {} for the same.",
            percent(next.worth.positive),
            leader(faults, next.if_yes),
            percent(next.if_no.1)
        )
    } else {
        format!(
            "yes ({}) points to {}, no to {}.",
            percent(next.worth.positive),
            leader(faults, next.if_yes),
            leader(faults, next.if_no)
        )
    };
    let why = match next.why {
        Why::LiftsTheBar => "Nothing that turns the engine is done before this has passed".to_owned(),
        Why::Shortens => format!(
            "Best use of the next {}: {} to a repaired machine are expected with it, {} without",
            minutes(next.worth.minutes),
            minutes(next.worth.to_repaired),
            minutes(study.ahead.0)
        ),
    };
    let mut also = Vec::new();
    if next.set_up {
        also.push("its set-up stands");
    }
    if next.repeats {
        also.push("the complaint has to be brought on again");
    }
    if next.fetch {
        also.push("a known good part has to be fetched");
    }
    let also = if also.is_empty() { String::new() } else { format!(" Counted in: {}.", also.join(", ")) };
    format!("{why}; {branch}{also}")
}

/// A cause: chance now, chance before, name with what is to be said of it.
pub fn cause_row(case: &Case, found: &CauseFound) -> Vec<String> {
    let cause = &case.faults.causes[found.cause];
    let mut notes = Vec::new();
    if found.mended {
        notes.push("put right".to_owned());
    }
    if cause.irreversible {
        notes.push("cure cuts metal".to_owned());
    }
    if found.jobs > 0 {
        notes.push(format!("{} of your own jobs counted in", found.jobs));
    }
    if cause.own {
        notes.push("your own".to_owned());
    }
    let notes = if notes.is_empty() { String::new() } else { format!(" ({})", notes.join("; ")) };
    vec![percent(found.chance), percent(found.before), format!("{}{notes}", cause.name)]
}

/// The same for what is not listed.
pub fn other_row(study: &FaultStudy) -> Vec<String> {
    vec![percent(study.other.1), percent(study.other.0), SOMETHING_ELSE.to_owned()]
}

/// A row of causes in a line of a terminal: a bar of the chance now, both chances, the name. Spaces that keep it straight do not break.
pub fn cause_line(row: &[String], chance: f64, (full, empty): (char, char)) -> String {
    /// Signs of a whole bar.
    const WHOLE: usize = 10;
    let n = (chance.clamp(0.0, 1.0) * WHOLE as f64).round() as usize;
    let bar = full.to_string().repeat(n) + &empty.to_string().repeat(WHOLE - n);
    let wide = |text: &str| "\u{a0}".repeat(6usize.saturating_sub(text.chars().count())) + text;
    format!("{bar}\u{a0}{} ({}) {}", wide(&row[0]), wide(&row[1]), row[2])
}

/// What to stop before anything else, and what is barred.
pub fn stop_first(case: &Case, study: &FaultStudy) -> Option<String> {
    let it = case.it();
    let barred = study.barred.then(|| {
        if it.bar_until.is_empty() {
            "Barred for good until it is repaired and the cause shown: tests with the engine turning or hot.".to_owned()
        } else {
            format!(
                "Barred until it has passed: tests with the engine kicked or running. What lifts it: {}.",
                test_names(case.faults, &it.bar_until)
            )
        }
    });
    match (&it.stop_first, barred) {
        (Some(stop), Some(barred)) => Some(format!("{stop} {barred}")),
        (stop, barred) => stop.clone().or(barred),
    }
}

/// A test that can be done, in a line: name, minutes, minutes to repaired, name for the command line.
pub fn test_line(case: &Case, found: &TestFound) -> String {
    let test = &case.faults.tests[found.test];
    let to = found.worth.map_or_else(String::new, |w| format!(", {} to a repaired machine", number(w.to_repaired, 0)));
    format!("{} ({}): {}{to}", test.name, test.id, minutes(found.minutes))
}

/// Why a test cannot be done, or is not offered, now.
pub fn standing(faults: &Faults, found: &TestFound) -> Option<String> {
    let name = &faults.tests[found.test].name;
    match &found.standing {
        Standing::Open | Standing::Done(_) => None,
        Standing::Read(p) => Some(format!("{name}: answered by a reading ({} positive).", percent(*p))),
        Standing::Barred(until) if until.is_empty() => Some(format!("{name}: barred until the engine is repaired.")),
        Standing::Barred(until) => Some(format!("{name}: barred until {} has passed.", test_names(faults, until))),
        Standing::After(first) => Some(format!("{name}: after {}.", test_names(faults, first))),
    }
}

/// What usually comes before a test that was chosen out of order, to be said before it is done.
pub fn usually_after(study: &FaultStudy, faults: &Faults, t: usize) -> Option<String> {
    match &study.tests.iter().find(|found| found.test == t)?.standing {
        Standing::After(first) if faults.tests[t].needs_spare => {
            Some(format!("Usually only when {} passed: what is bad beside it can kill the good part.", have(faults, first)))
        }
        Standing::After(first) => Some(format!("Usually after {}.", test_names(faults, first))),
        _ => None,
    }
}

fn have(faults: &Faults, tests: &[usize]) -> String {
    format!("{} {}", test_names(faults, tests), if tests.len() == 1 { "has" } else { "have" })
}

/// How a test came out.
pub fn said(said: Said) -> &'static str {
    match said {
        Said::Yes => "positive",
        Said::No => "passed",
        Said::CannotTell => CANNOT_TELL,
    }
}

/// One step that was taken, with what follows from it.
pub fn step(faults: &Faults, step: Step) -> String {
    match step {
        Step::Tested(t, how) => {
            let test = &faults.tests[t];
            let follows = match how {
                Said::Yes => &test.if_positive,
                Said::No => &test.if_negative,
                Said::CannotTell => "Counts for nothing.",
            };
            format!("{}: {}. {follows}", test.name, said(how))
        }
        Step::Untried(c) => format!("Put right: {}. The complaint was not tried yet.", faults.causes[c].name),
        Step::PutRight(c) => format!("Put right: {}. The complaint stays.", faults.causes[c].name),
    }
}

/// A step that begins a search, for the log.
pub fn begun(complaint: &Complaint) -> String {
    format!("begun, {}", owner_says(complaint))
}

/// A step as the log has it, short.
pub fn logged(faults: &Faults, step: Step) -> String {
    match step {
        Step::Tested(t, how) => format!("{}: {}", faults.tests[t].name, said(how)),
        Step::Untried(c) => format!("{} put right, the complaint not tried yet", faults.causes[c].name),
        Step::PutRight(c) => format!("{} put right, the complaint stays", faults.causes[c].name),
    }
}

/// The end of a search, for the log; `None` = something that is not listed.
pub fn found(faults: &Faults, cause: Option<usize>) -> String {
    format!("found: {}", cause.map_or(SOMETHING_ELSE, |c| &faults.causes[c].name))
}

/// The time so far.
pub fn spent(study: &FaultStudy) -> String {
    format!("So far {}. Expected from here to a repaired machine: {}.", minutes(study.spent_min), minutes(study.ahead.1))
}

/// What is done in a test and what should be read, as name and text.
pub fn test_card(test: &Test, here: Option<&Expected>, machine: &Machine) -> Vec<(&'static str, String)> {
    let cylinders: Vec<String> = machine.engine.cylinders.iter().map(|c| c.name.clone()).collect();
    let probes = probes(machine, &test.id);
    let mut all: Vec<(&'static str, String)> =
        vec![(WITH, format!("{} ({})", test.tool, state(test))), (HOW_TO, test.how.clone()), (SOUND, test.expect.clone())];
    if !probes.is_empty() {
        all.insert(2, (PROBES, probes_at(&probes)));
    }
    all.extend(here.map(|e| (HERE, evidence::expected(e, &cylinders))));
    all.push((POSITIVE, test.positive.clone()));
    all
}

/// Answers or a sheet were asked for, and nothing says of what.
pub const NO_COMPLAINT: &str = "Say the complaint with --complaint, or a job with --job whose search has begun.";

/// A job was named, and the file is of another machine.
pub fn job_of_another(number: &str, of_job: &str, of_file: &str) -> String {
    format!(
        "Job {number} is of the machine “{of_job}”, and the file is of “{of_file}”. Give the file of “{of_job}”, or a job of “{of_file}”."
    )
}

/// Number of defects of a file of one's own.
pub fn own_refused(file: &str, count: usize) -> String {
    format!("{file}: {count} defects; nothing of it was used.")
}
