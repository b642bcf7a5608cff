//! Asking line by line in a terminal.

use super::minutes;
use workshop::study::fault::{FaultStudy, Faults};

/// What is on offer at the prompt: a test, as an index, or a cause to put right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offer {
    /// A test.
    Test(usize),
    /// A cause.
    PutRight(usize),
    /// A cause, and the complaint is not tried before the bar is lifted.
    Untried(usize),
    /// To try the complaint, this cause having been put right.
    Try(usize),
    /// Neither.
    Nothing,
}

/// What the prompt of the terminal asks about, and the words that it takes.
pub fn prompt(faults: &Faults, offer: Offer) -> String {
    match offer {
        Offer::Test(t) => {
            format!("“{}”: yes, no, cannot tell; skip, back, tests, done; or the name of another test: ", faults.tests[t].name)
        }
        Offer::PutRight(c) => format!(
            "“{}”: right (put right, complaint stays), gone, skip, back, tests, done; or the name of a test: ",
            faults.causes[c].name
        ),
        Offer::Untried(c) => format!(
            "“{}”: right (put right, complaint not tried), skip, back, tests, done; or the name of a test: ",
            faults.causes[c].name
        ),
        Offer::Try(_) => "The complaint: stays, gone, back, tests, done; or the name of a test: ".to_owned(),
        Offer::Nothing => "back, tests, done; or the name of a test: ".to_owned(),
    }
}

/// Words that the prompt understands, each with its short form.
pub const PROMPT: [(&str, &str, Typed); 11] = [
    ("yes", "y", Typed::Yes),
    ("no", "n", Typed::No),
    ("cannot tell", "c", Typed::CannotTell),
    ("cannot-tell", "?", Typed::CannotTell),
    ("skip", "s", Typed::Skip),
    ("back", "b", Typed::Back),
    ("tests", "t", Typed::Tests),
    ("right", "r", Typed::Right),
    ("stays", "st", Typed::Stays),
    ("gone", "g", Typed::Gone),
    ("done", "d", Typed::Done),
];

/// What was typed at the prompt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typed {
    /// Positive.
    Yes,
    /// Passed.
    No,
    /// Cannot tell.
    CannotTell,
    /// Offer another.
    Skip,
    /// Take back.
    Back,
    /// List the tests.
    Tests,
    /// It was put right; where it could be tried, the complaint stays.
    Right,
    /// The complaint stays.
    Stays,
    /// It was put right and the complaint is gone.
    Gone,
    /// Enough for now.
    Done,
}

/// The end of a search that found it.
pub fn gone(faults: &Faults, cause: usize, study: &FaultStudy) -> String {
    format!(
        "Found: {}, after {} of tests. To have it count next time, add to your own file:\n[[job]]\ncomplaint = \"{}\"\ncause = \"{}\"",
        faults.causes[cause].name,
        minutes(study.spent_min),
        faults.complaints[study.complaint].id,
        faults.causes[cause].id
    )
}

/// At the prompt: nothing was understood, or it is nothing that can be said now; and what can be.
pub fn not_understood(faults: &Faults, offer: Offer, study: &FaultStudy) -> String {
    /// Causes whose names are given.
    const NAMED: usize = 5;
    let now = match offer {
        Offer::Test(t) => format!(" Of “{}” type yes, no or cannot tell; or skip.", faults.tests[t].name),
        Offer::PutRight(c) => {
            let name = &faults.causes[c].name;
            format!(" When “{name}” has been put right type right where the complaint stays, gone where it is gone; or skip.")
        }
        Offer::Untried(c) => {
            format!(" When “{}” has been put right type right, before the complaint is tried; or skip.", faults.causes[c].name)
        }
        Offer::Try(_) => " When the complaint was tried type stays or gone.".to_owned(),
        Offer::Nothing => String::new(),
    };
    let causes: Vec<&str> =
        study.causes.iter().filter(|c| !c.mended).take(NAMED).map(|c| faults.causes[c.cause].id.as_str()).collect();
    let causes =
        if causes.is_empty() { String::new() } else { format!(" Names of the likeliest causes: {}.", causes.join(", ")) };
    format!(
        "Not understood.{now} At any time: back, tests, done; the name of a test; TEST=yes, TEST=no or TEST=cannot-tell; CAUSE=put-right for a repair after which the complaint stays; and CAUSE=untried for one before the complaint is tried.{causes}"
    )
}
/// Before the first question about a job, and at the end.
pub fn not_in_job(number: &str) -> String {
    format!(
        "What is answered here is not written into job {number}. To keep answers, give them on the job’s page: /job/{number}/fault on the bench page."
    )
}

/// At the prompt: nothing to take back.
pub const NOTHING_BACK: &str = "There is nothing to take back.";
/// At the prompt: which complaint.
pub const WHICH: &str = "Name of the complaint: ";
/// At the prompt: nothing else to offer.
pub const NOTHING_ELSE: &str = "Nothing else is left to offer; skipped tests are offered again.";
