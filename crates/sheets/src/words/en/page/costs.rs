//! Parts, time and cost of a job, and the findings that are kept with it.

use crate::{job::Money, words::on};

/// Heading.
pub const PARTS_AND_TIME: &str = "Parts and time";
/// Label.
pub const PART: &str = "Part";
/// Label.
pub const HOW_MANY: &str = "How many, or how much";
/// Label.
pub const PRICE_OF_ONE: &str = "Price of one";
/// Label.
pub const SOURCE: &str = "Where it came from";
/// Head of a column.
pub const QUANTITY: &str = "Quantity";
/// Opens the form.
pub const ADD_PART: &str = "Add a part";
/// Opens the form.
pub const ADD_TIME: &str = "Add time spent";
/// Button.
pub const KEEP_PART: &str = "Keep this part";
/// Label.
pub const TIME: &str = "Time spent";
/// Example.
pub const TIME_EXAMPLE: &str = "such as 1:30, 90 min or 1,5 h";
/// Label.
pub const ON_WHAT: &str = "On what";
/// Label.
pub const PRICE_OF_HOUR: &str = "Price of an hour";
/// Button.
pub const KEEP_TIME: &str = "Keep this time";
/// Example.
pub const PRICE_EXAMPLE: &str = "such as 12.50 EUR";
/// Label.
pub const MAY_SPEND: &str = "What the owner allows to be spent";
/// Head of a column.
pub const COST: &str = "Cost";
/// Row.
pub const IN_ALL: &str = "In all";
/// Where no price is noted.
pub const NO_PRICE: &str = "no price";
/// A quantity that is none.
pub const NO_QUANTITY: &str = "Enter a quantity greater than zero.";
/// A part without a name.
pub const NAMELESS_PART: &str = "Say what the part is.";

/// A time that cannot be read.
pub fn no_such_time(text: &str) -> String {
    format!("“{text}” is no time. Write it as 1:30, 90 min or 1,5 h, at most a week.")
}

/// How many, or how much.
pub fn quantity(n: f64) -> String {
    n.to_string()
}

/// A limit that was passed.
pub fn over_limit(cost: &Money, limit: &Money) -> String {
    format!("{cost} is more than the {limit} that the owner allows. Ask before going on.")
}

/// Button.
pub const CUT_PLAN: &str = "Cut plan with the rim template";
/// Heading.
pub const BEFORE_AND_AFTER: &str = "Before and after";
/// Heading.
pub const KEPT_FINDINGS: &str = "Kept with this job";
/// Heading.
pub const AS_IT_IS: &str = "As the readings are now";
/// Button.
pub const KEEP_FINDINGS: &str = "Keep these findings with the job";
/// Beside it.
pub const WHY_KEEP: &str = "They are kept with the readings that gave them, as they are shown here.";
/// The readings were changed after the page was shown.
pub const FINDINGS_OF_OTHERS: &str =
    "The machine’s readings were changed since this page was shown. Look at the findings as they are now, then keep them.";
/// State of the fold.
pub const KEPT: &str = "findings kept";
/// Link.
pub const TO_THE_CUT: &str = "Drag the cut on the machine’s card";
/// Button.
pub const PLAN_THE_CUT: &str = "Plan the advised cut";
/// What is planned with it.
pub const TRIM_THE_SEGMENT: &str = "Trim the trailing end of the segment";
/// Machine without a study.
pub const NO_STUDY: &str = "The machine’s readings have to be put right before anything can be judged.";

/// Where a kept finding comes from.
pub fn kept_from(revision: u32, at: jobbook::UnixSeconds) -> String {
    format!("{}, from the machine’s readings as kept in revision {revision}", on(at))
}
