//! One call from a machine and what was answered to where a case stands, the same for page and command line.

use crate::desk::{Answer, Read};
use sheets::words::fault as words;
use workshop::{
    machine::{Machine, most_like},
    study::{
        electric::{charge, charge::ChargeStudy, windings, windings::WindingsStudy},
        fault::{Bike, Case, Evidence, Faults, Said, Step, Studies, System},
        spark::{self, SparkStudy},
    },
};

/// The quick studies that fault finding takes readings from.
pub struct Quick {
    spark: Option<SparkStudy>,
    windings: Option<WindingsStudy>,
    charge: Option<ChargeStudy>,
}

impl Quick {
    /// Works them out; a fraction of a second.
    pub fn of(read: &Read) -> Self {
        let machine = &read.machine;
        let curve = read.curve.as_ref().map_err(|e| *e);
        Self {
            spark: machine.ignition.said().then(|| spark::study(machine, curve).ok()).flatten(),
            windings: windings::study(machine),
            charge: charge::study(machine).ok(),
        }
    }

    /// They with the curve.
    pub fn studies<'a>(&'a self, read: &'a Read) -> Studies<'a> {
        Studies {
            curve: read.curve.as_ref().ok(),
            idle: None,
            spark: self.spark.as_ref(),
            windings: self.windings.as_ref(),
            charge: self.charge.as_ref(),
        }
    }
}

/// All studies of a machine where they were worked out, the idle's among them; else the curve alone.
pub fn studies<'a>(read: &'a Read, answer: Option<&'a Answer>) -> Studies<'a> {
    let Some(answer) = answer else { return Studies { curve: read.curve.as_ref().ok(), ..Studies::default() } };
    Studies {
        curve: answer.read.curve.as_ref().ok(),
        idle: answer.idle().ok(),
        spark: answer.spark.as_ref().and_then(|s| s.as_ref().ok()),
        windings: answer.electric.windings.as_ref(),
        charge: answer.electric.charge.as_ref().ok(),
    }
}

/// A case of a machine with nothing answered yet.
///
/// # Errors
/// A sentence.
pub fn case<'f>(
    faults: &'f Faults,
    machine: &Machine,
    studies: Studies,
    complaint: &str,
    ignition: Option<System>,
) -> Result<Case<'f>, String> {
    let names = || faults.complaints.iter().map(|c| c.id.as_str());
    let at = faults.complaint(complaint).ok_or_else(|| words::no_such(complaint, most_like(complaint, names())))?;
    let mut bike = Bike::of(machine);
    if let Some(system) = ignition {
        bike.systems = vec![system];
    }
    let evidence = Evidence::of(faults, machine, studies).bearing_on(faults, &faults.complaints[at]);
    Case::new(faults, bike, at, evidence).map_err(|why| words::refused(faults, &why))
}

/// Reads an answer such as `strobe-idle=no` or `air-leak=put-right`.
///
/// # Errors
/// A sentence.
pub fn step(faults: &Faults, text: &str) -> Result<Step, String> {
    let (name, answer) = text.split_once('=').ok_or_else(|| words::bad_answer(text))?;
    let (name, answer) = (name.trim(), answer.trim());
    let said = match answer {
        "yes" => Said::Yes,
        "no" => Said::No,
        "cannot-tell" => Said::CannotTell,
        "put-right" => {
            let names = || faults.causes.iter().map(|c| c.id.as_str());
            let cause = faults.cause(name).ok_or_else(|| words::no_such(name, most_like(name, names())))?;
            return Ok(Step::PutRight(cause));
        }
        _ => return Err(words::bad_answer(text)),
    };
    Ok(Step::Tested(test(faults, name)?, said))
}

/// A test by name.
///
/// # Errors
/// A sentence.
pub fn test(faults: &Faults, name: &str) -> Result<usize, String> {
    let names = || faults.tests.iter().map(|t| t.id.as_str());
    faults.test(name).ok_or_else(|| words::no_such(name, most_like(name, names())))
}

/// The text that [`step`] reads.
pub fn written(faults: &Faults, step: Step) -> String {
    match step {
        Step::Tested(t, said) => {
            let answer = match said {
                Said::Yes => "yes",
                Said::No => "no",
                Said::CannotTell => "cannot-tell",
            };
            format!("{}={answer}", faults.tests[t].id)
        }
        Step::PutRight(c) => format!("{}=put-right", faults.causes[c].id),
    }
}
