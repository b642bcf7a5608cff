//! Fault finding on the bench page.

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
/// Button.
pub const STAYS: &str = "Put right, the complaint stays";
/// Link.
pub const BACK_TO_CARD: &str = "Back to the card";
/// Link.
pub const PRINT: &str = "Print the fault sheet";
/// Link.
pub const ANOTHER: &str = "Another complaint";
/// Summary.
pub const ANSWER_OTHER: &str = "Answer another test";
/// Caption.
pub const CAUSES_NOW: &str = "Causes, likeliest first";
/// Label of a bar.
pub fn bar_label(name: &str, now: &str, before: &str) -> String {
    format!("{name}: {now}, before {before}")
}
/// Caption above the answers.
pub const HOW_CAME_OUT: &str = "How did it come out?";
/// Head of the column of bars.
pub const BAR: &str = "chance";
/// Button.
pub const SHOW: &str = "Show it";
