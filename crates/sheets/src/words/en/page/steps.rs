//! What a job still wants.

use crate::{job::MoneyError, words};
use workshop::job::steps::Step;

/// Before the next step.
pub const NEXT: &str = "Next:";
/// Before what comes after it.
pub const THEN: &str = "Then:";
/// A fold that wants nothing.
pub const NOTHING_WANTED: &str = "Nothing is missing here.";

/// A step.
pub fn step(step: &Step) -> String {
    match step {
        Step::NoteWhose => "note whose machine it is.".to_owned(),
        Step::ReadOdometer => "read the odometer.".to_owned(),
        Step::AskWhatMayBeCut => "ask the owner what may be changed for good.".to_owned(),
        Step::MeasureAsFound => "take the first reading before anything is touched; battery volts are quickest.".to_owned(),
        Step::PutFileRight { defects: 1 } => "put one reading right on the machine’s card.".to_owned(),
        Step::PutFileRight { defects } => format!("put {defects} readings right on the machine’s card."),
        Step::MeasureAsLeft { what } => format!("measure again, as left: {what}."),
        Step::WaitForStudy => "wait until the idle is worked out.".to_owned(),
        Step::WorkItOut => "have the idle worked out on the machine’s card.".to_owned(),
        Step::KeepFindings { again: false } => "keep these findings with the job.".to_owned(),
        Step::KeepFindings { again: true } => "keep the findings again: the readings have changed since.".to_owned(),
        Step::Sharpen { on } => {
            format!("find out the {}: the verdict turns on it.", words::parameter(*on))
        }
        Step::PlanReversible => "plan what can be undone; it comes before any cut.".to_owned(),
        Step::PlanCut => "plan the cut, or decide against it.".to_owned(),
        Step::AskLeave { work } => format!("ask the owner’s leave: {work}"),
        Step::DoWork { work } => format!("do it, or give it up: {work}"),
        Step::EndWork { pieces: 1 } => "do what is planned, or give it up.".to_owned(),
        Step::EndWork { pieces } => format!("do the {pieces} things that are planned, or give them up."),
        Step::NoteReminder => "note when to look at the work again.".to_owned(),
        Step::HandOver => "print the owner’s page, hand the machine over, and note that under Complaint.".to_owned(),
    }
}

/// Link beside a step, where it is done elsewhere.
pub const GO_THERE: &str = "Go there";

/// A price that cannot be read.
pub fn money_error(error: &MoneyError) -> String {
    match error {
        MoneyError::Number(error) => words::reading_error(error),
        MoneyError::NoCurrency => "Say the currency, as in 12.50 EUR. After that it is taken for the usual one.".to_owned(),
        MoneyError::UnknownCurrency { code } => {
            format!("“{code}” is no currency’s code. ISO 4217 has three letters for each, such as EUR, GBP or USD.")
        }
        MoneyError::TooFine { currency, decimals: 0 } => format!("{currency} has no decimals."),
        MoneyError::TooFine { currency, decimals } => format!("{currency} has {decimals} decimals at most."),
        MoneyError::Negative => "A price is not less than nothing.".to_owned(),
        MoneyError::NotPlain => "A price is a plain number and a currency, as in 12.50 EUR.".to_owned(),
    }
}
