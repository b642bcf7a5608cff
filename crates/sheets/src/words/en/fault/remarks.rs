//! What stands beside the causes: two at once, metal, what was done out of order, whose jobs are counted.

use super::{cause_names, page::IN_HAND};
use crate::words::percent;
use workshop::study::fault::{Case, FaultStudy, Faults, Metal, Oddity, Two, own::FromBook};

/// What stands beside the causes.
pub fn remarks(case: &Case, study: &FaultStudy) -> Vec<String> {
    let faults = case.faults;
    let mut said: Vec<String> = Vec::new();
    said.extend(study.two.map(|two| two_at_once(faults, two)));
    said.extend(study.metal.as_ref().map(|metal| cut(faults, metal)));
    said.extend(study.oddities.iter().map(|o| oddity(faults, *o)));
    if !study.dropped.is_empty() {
        said.push(format!("This machine cannot have: {}.", cause_names(faults, &study.dropped)));
    }
    if case.bike.systems.len() > 1 {
        said.push(format!(
            "The file does not say which ignition it is, so causes and tests of several kinds stand. Say it on the page under “{IN_HAND}”, at the command line with --ignition, or for good as kind under [spark] in the machine’s file."
        ));
    }
    let own = &faults.own;
    if own.jobs + own.tests + own.added > 0 {
        let added = if own.added == 0 {
            String::new()
        } else {
            format!(" Added to the list by it: {}.", many(own.added, "entry", "entries"))
        };
        said.push(format!("From your own file: {} counted in.{added}", jobs_and_tests(own.jobs, own.tests)));
    }
    if faults.book.jobs + faults.book.left_out + faults.book.in_own > 0 {
        said.push(from_book(&faults.book));
    }
    if own.jobs + own.tests + faults.book.jobs + faults.book.tests > 0 {
        said.push(BESIDE.to_owned());
    }
    if !faults.book.unknown.is_empty() {
        said.push(format!(
            "Your own file names jobs that are no finished jobs of this book: {}. They count as they stand there; a number that is written wrong counts its job twice.",
            faults.book.unknown.join(", ")
        ));
    }
    said
}

/// How much the workshop's own counts move.
const BESIDE: &str = "The list that comes with this program weighs as much as 40 finished jobs for each complaint, and 20 tries of each test. A few of your own move the chances only a little, many move them much.";

/// A number of things.
fn many(n: u32, one: &str, more: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

fn jobs_and_tests(jobs: u32, tests: u32) -> String {
    format!("{} and {}", many(jobs, "finished job", "finished jobs"), many(tests, "test", "tests"))
}

/// What finished jobs of the book have in it.
fn from_book(book: &FromBook) -> String {
    let left_out = match book.left_out {
        0 => String::new(),
        1 => " 1 more names a complaint or cause that is not listed here and does not count.".to_owned(),
        n => format!(" {n} more name complaints or causes that are not listed here and do not count."),
    };
    let in_own = match book.in_own {
        0 => String::new(),
        1 => " 1 more stands in your own file by its number and counts there.".to_owned(),
        n => format!(" {n} more stand in your own file by their numbers and count there."),
    };
    format!("From the job book: {} counted in.{left_out}{in_own}", jobs_and_tests(book.jobs, book.tests))
}

fn two_at_once(faults: &Faults, two: Two) -> String {
    format!(
        "Two faults at once fit better than one ({}): likeliest {} ({}). After a repair try the complaint again.",
        percent(two.any),
        cause_names(faults, &[two.causes.0, two.causes.1]),
        percent(two.chance)
    )
}

/// The rule on metal.
pub fn cut(faults: &Faults, metal: &Metal) -> String {
    let name = &faults.causes[metal.cause].name;
    if metal.stand.is_empty() {
        format!(
            "“{name}”: its cure takes metal off, which does not go back on. Nothing that can be undone is likely any more; still try the ways that can be undone first, and plan the cut with “tickover trim”."
        )
    } else {
        format!("“{name}”: no metal is cut while these stand: {}.", cause_names(faults, &metal.stand))
    }
}

fn oddity(faults: &Faults, oddity: Oddity) -> String {
    match oddity {
        Oddity::OutOfOrder(t, first) => {
            format!("“{}” was done before “{}”, which usually comes first.", faults.tests[t].name, faults.tests[first].name)
        }
        Oddity::WouldBeBarred(t) => {
            format!("“{}” counts, but would be barred now: what lifted the bar was taken back.", faults.tests[t].name)
        }
    }
}
