//! Why an answer is not taken.

use super::{cut, test_names};
use workshop::study::fault::{Faults, Metal, Refused};

/// Why something is not taken.
pub fn refused(faults: &Faults, refused: &Refused) -> String {
    match refused {
        Refused::ComplaintOfAnother => "This machine has too few cylinders for that complaint.".to_owned(),
        Refused::NotThisMachine(t) => format!("“{}” cannot be done on this machine.", faults.tests[*t].name),
        Refused::NotThisComplaint(t) => format!("“{}” says nothing about this complaint.", faults.tests[*t].name),
        Refused::NeedsRunning(t) => format!("“{}” needs an engine that runs.", faults.tests[*t].name),
        Refused::Barred { test, until } if until.is_empty() => {
            format!("“{}” is barred: the engine stays still until it is repaired and the cause shown.", faults.tests[*test].name)
        }
        Refused::Barred { test, until } => format!(
            "“{}” is barred until it is safe: first {} must have passed. Give that answer before this one.",
            faults.tests[*test].name,
            test_names(faults, until)
        ),
        Refused::NoSuchCause(c) => format!("“{}” is no cause of this complaint on this machine.", faults.causes[*c].name),
        Refused::PutRightBefore(c) => format!("“{}” has been put right already.", faults.causes[*c].name),
        Refused::Metal { cause, stand } => cut(faults, &Metal { cause: *cause, stand: stand.clone() }),
    }
}

/// A name that nothing has.
pub fn no_such(name: &str, did_you_mean: Option<&str>) -> String {
    let hint = did_you_mean.map_or_else(String::new, |m| format!(" Did you mean “{m}”?"));
    format!("Nothing is called “{name}”.{hint} “tickover fault MACHINE” lists the complaints, and with --complaint the tests.")
}

/// An answer that cannot be read.
pub fn bad_answer(found: &str) -> String {
    format!(
        "“{found}” is no answer. Write TEST=yes, TEST=no, TEST=cannot-tell, CAUSE=put-right where the complaint stays, or CAUSE=untried where it was not tried yet."
    )
}
