//! Fault finding on the bench page.

use super::said;
use workshop::study::fault::{Said, System};

/// Link and heading.
pub const FIND: &str = "Find the fault";
/// Label.
pub const OWNER_SAYS: &str = "The owner says";
/// Label.
pub const CHOOSE: &str = "Choose…";
/// Button.
pub const BEGIN: &str = "Begin";
/// Button.
pub const YES: &str = "Yes: positive";
/// Button.
pub const NO: &str = "No: passed";
/// Button.
pub const CANNOT_TELL: &str = "Cannot tell";
/// Button.
pub const SKIP: &str = "Offer another";
/// Button.
pub const TAKE_BACK: &str = "Take back";
/// Summary and label.
pub const PUT_RIGHT_WHAT: &str = "Something was put right";
/// Button.
pub const PUT_RIGHT_UNTRIED: &str = "Put right, not tried yet";
/// Button.
pub const STILL_THERE: &str = "Tried: the complaint stays";
/// Button.
pub const IS_GONE: &str = "Tried: the complaint is gone";
/// Button.
pub const STAYS: &str = "Put right, the complaint stays";
/// Link.
pub const BACK_TO_CARD: &str = "Back to the card";
/// Link.
pub const PRINT: &str = "Print the fault sheet";
/// Link.
pub const ANOTHER: &str = "Another complaint";
/// Link from a search that has ended.
pub const AGAIN_OR_ANOTHER: &str = "Begin again, or another complaint";
/// Summary.
pub const ANSWER_OTHER: &str = "Answer another test";
/// A test that was done, in the list of those that can be answered.
pub fn done_as(name: &str, how: Said) -> String {
    format!("{name}: done, {}", said(how))
}
/// Caption.
pub const CAUSES_NOW: &str = "Causes, likeliest first";
/// Label of a bar.
pub fn bar_label(name: &str, now: &str, before: &str) -> String {
    format!("{name}: {now}, before {before}")
}
/// Caption above the answers.
pub const HOW_CAME_OUT: &str = "How did it come out?";
/// Label of a drawing.
pub const WHERE: &str = "Where it is";
/// Heading of how a search ended.
pub const WAS_FOUND: &str = "Found";
/// Label.
pub const FOUND_WHAT: &str = "What it was in the end";
/// Button.
pub const GONE_BUTTON: &str = "Put right, the complaint is gone";
/// Button.
pub const KEEP_FOUND: &str = "Keep as found";
/// Link.
pub const BACK_TO_JOB: &str = "Back to the job";
/// Link.
pub const GO_ON: &str = "Go on with the search";
/// A recording that is not heard to its end.
pub fn being_heard(name: &str) -> String {
    format!("The recording “{name}” is being heard. What it says is not counted in yet; the search can go on meanwhile.")
}
/// Label of a bar.
pub const HEARING: &str = "Recordings heard";
/// Link.
pub const LOOK_AGAIN: &str = "Look again";
/// Why a cure that cuts metal is not kept.
pub const NO_METAL_WHILE_HEARD: &str =
    "Recordings of this job are being heard, and what they say may be put right without cutting. Look again when they have been.";
/// Link from a machine to the search of one of its jobs.
pub fn in_job(number: &str) -> String {
    format!("Search in job {number}, in whose log every answer is kept")
}
/// How far a search is.
pub fn so_far(steps: usize) -> String {
    if steps == 1 { "1 answer kept".to_owned() } else { format!("{steps} answers kept") }
}
/// A complaint that is not the one of the search.
pub const NO_SEARCH: &str = "No search has begun in this job.";
/// Head of the column of bars.
pub const BAR: &str = "chance";
/// Button.
pub const SHOW: &str = "Show it";
/// Summary.
pub const IN_HAND: &str = "In hand, and which ignition";
/// Summary, where the file says which ignition it is.
pub const PARTS_IN_HAND: &str = "Parts in hand";
/// Label.
pub const WHICH_IGNITION: &str = "Which ignition it is";
/// Choice.
pub const IGNITION_NOT_SAID: &str = "not known: several kinds stand";
/// Above the tests that need a known good part.
pub const PART_IN_HAND: &str = "A known good part is in hand, so that it need not be fetched, for:";
/// Button.
pub const COUNT_IN: &str = "Count it in";
/// An ignition, as far as faults tell kinds apart.
pub fn ignition(system: System) -> &'static str {
    match system {
        System::Points => "battery, coil and points",
        System::Magneto => "magneto, or flywheel magneto, with points",
        System::CdiSource => "capacitor discharge, filled by a source coil",
        System::CdiBattery => "capacitor discharge, filled from the battery",
        System::Transistor => "electronic with an inductive coil, fed from the battery",
    }
}
/// An ignition that nothing has the name of.
pub fn no_ignition(found: &str) -> String {
    format!("“{found}” is no ignition and does not count. Choose one under “{IN_HAND}”.")
}
