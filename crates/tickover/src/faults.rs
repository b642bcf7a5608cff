//! One call from a machine and what was answered to where a case stands, the same for page and command line.

use crate::{
    desk::{Answer, Read},
    recordings::Recording,
};
use jobbook::{Condition, Did, FinishedSearch, JobId, Present, Reading, SearchStep, Stage};
use sheets::words::fault as words;
use workshop::{
    machine::{Machine, most_like},
    study::{
        Finding,
        electric::{charge, charge::ChargeStudy, windings, windings::WindingsStudy},
        fault::{Bike, Case, Evidence, Faults, Finished, SYSTEMS, Said, Step, Studies, System, own::OTHER},
        rotor::held::{self, HeldStudy},
        spark::{self, SparkStudy, beside::Kept},
    },
};

/// The quick studies that fault finding takes readings from.
pub struct Quick {
    spark: Option<SparkStudy>,
    windings: Option<WindingsStudy>,
    charge: Option<ChargeStudy>,
    holds: Option<HeldStudy>,
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
            holds: held::study(machine, None, None).ok(),
        }
    }

    /// They with the curve.
    pub fn studies<'a>(&'a self, read: &'a Read) -> Studies<'a> {
        Studies {
            curve: read.curve.as_ref().ok(),
            idle: None,
            alike: None,
            spark: self.spark.as_ref(),
            windings: self.windings.as_ref(),
            charge: self.charge.as_ref(),
            holds: self.holds.as_ref(),
        }
    }
}

/// All studies of a machine where they were worked out, the idle's among them; else the curve alone.
pub fn studies<'a>(read: &'a Read, answer: Option<&'a Answer>) -> Studies<'a> {
    let Some(answer) = answer else { return Studies { curve: read.curve.as_ref().ok(), ..Studies::default() } };
    Studies {
        curve: answer.read.curve.as_ref().ok(),
        idle: answer.idle().ok(),
        alike: answer.alike().ok(),
        spark: answer.spark.as_ref().and_then(|s| s.as_ref().ok()),
        windings: answer.electric.windings.as_ref(),
        charge: answer.electric.charge.as_ref().ok(),
        holds: answer.holds.as_ref(),
    }
}

/// What a case is of.
#[derive(Clone, Copy)]
pub struct About<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// Its studies.
    pub studies: Studies<'a>,
    /// Readings that its job keeps, in the order in which they were taken.
    pub kept: &'a [Kept<'a>],
    /// Recordings that were heard, in the order in which they were kept.
    pub heard: &'a [&'a Recording],
    /// Which ignition it is, where the mechanic says it.
    pub ignition: Option<System>,
}

/// A case of a machine with nothing answered yet.
///
/// # Errors
/// A sentence.
pub fn case<'f>(faults: &'f Faults, about: About, complaint: &str) -> Result<Case<'f>, String> {
    let About { machine, studies, kept, heard, ignition } = about;
    let names = || faults.complaints.iter().map(|c| c.id.as_str());
    let at = faults.complaint(complaint).ok_or_else(|| words::no_such(complaint, most_like(complaint, names())))?;
    let mut bike = Bike::of(machine);
    if let Some(system) = ignition {
        bike.systems = vec![system];
    }
    let heard: Vec<_> = heard.iter().map(|r| r.heard()).collect();
    // A reading was taken on purpose: it stands over what a recording says of the same test.
    let evidence = Evidence::of(faults, machine, studies).with_heard(faults, machine, studies, &heard);
    let evidence = evidence.with_kept(faults, machine, studies, kept);
    let evidence = evidence.bearing_on(faults, &faults.complaints[at]);
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
        "put-right" | "untried" => {
            let names = || faults.causes.iter().map(|c| c.id.as_str());
            let cause = faults.cause(name).ok_or_else(|| words::no_such(name, most_like(name, names())))?;
            return Ok(if answer == "untried" { Step::Untried(cause) } else { Step::PutRight(cause) });
        }
        _ => return Err(words::bad_answer(text)),
    };
    Ok(Step::Tested(test(faults, name)?, said))
}

/// An ignition by its word.
pub fn ignition(word: &str) -> Option<System> {
    SYSTEMS.iter().position(|s| *s == word).map(|k| System::ALL[k])
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
        Step::Untried(c) => format!("{}=untried", faults.causes[c].id),
        Step::PutRight(c) => format!("{}=put-right", faults.causes[c].id),
    }
}

/// A reading of the book as studies take it.
pub fn kept(r: &Reading) -> Kept<'_> {
    Kept {
        what: &r.what,
        place: &r.place,
        read: Finding { si: r.value_si, plus_minus_si: r.plus_minus_si },
        temperature_k: r.temperature_k,
        crank_rad_s: r.crank_rad_s,
        loaded: r.condition == Some(Condition::Loaded),
    }
}

/// Readings of a job that tell of its fault, and how many do not since something was put right before they were taken. Those as left never do: they tell of the
/// machine as it was mended.
pub fn of_fault(present: &Present) -> (Vec<&Reading>, usize) {
    let search = search_of(present.search_steps(), |(_, s)| s);
    let put_right = |(_, s): &&(_, &SearchStep)| matches!(s.did, Did::Untried | Did::PutRight);
    let repair = search.iter().flat_map(|(_, steps)| steps.iter().find(put_right)).next().map(|(standing, _)| standing.first);
    let all = present.readings().filter(|(_, r)| r.stage != Stage::AsLeft);
    let (before, after): (Vec<_>, Vec<_>) = all.partition(|(standing, _)| repair.is_none_or(|repair| standing.first < repair));
    (before.into_iter().map(|(_, r)| r).collect(), after.len())
}

/// A step of the book as an answer that [`step`] reads; `None` for the beginning and the end of a search.
pub fn answer(step: &SearchStep) -> Option<String> {
    let said = match step.did {
        Did::Positive => "yes",
        Did::Passed => "no",
        Did::CannotTell => "cannot-tell",
        Did::Untried => "untried",
        Did::PutRight => "put-right",
        Did::Begun | Did::Found => return None,
    };
    Some(format!("{}={said}", step.what))
}

/// An answer as the book keeps it.
pub fn kept_step(faults: &Faults, complaint: &str, step: Step) -> SearchStep {
    let (did, what) = match step {
        Step::Tested(t, Said::Yes) => (Did::Positive, &faults.tests[t].id),
        Step::Tested(t, Said::No) => (Did::Passed, &faults.tests[t].id),
        Step::Tested(t, Said::CannotTell) => (Did::CannotTell, &faults.tests[t].id),
        Step::Untried(c) => (Did::Untried, &faults.causes[c].id),
        Step::PutRight(c) => (Did::PutRight, &faults.causes[c].id),
    };
    SearchStep { complaint: complaint.to_owned(), did, what: what.clone(), words: words::logged(faults, step) }
}

/// The search that a job is in: the complaint that was begun last, with its steps.
pub fn search_of<T>(steps: impl IntoIterator<Item = T>, of: impl Fn(&T) -> &SearchStep) -> Option<(String, Vec<T>)> {
    let all: Vec<T> = steps.into_iter().collect();
    let complaint = all.iter().map(&of).rfind(|s| s.did == Did::Begun)?.complaint.clone();
    let steps = newest(&complaint, all, of);
    Some((complaint, steps))
}

/// Steps of the newest search for one complaint. One that is begun again after its end starts afresh, and before its end it goes on.
pub fn newest<T>(complaint: &str, steps: impl IntoIterator<Item = T>, of: impl Fn(&T) -> &SearchStep) -> Vec<T> {
    let mut mine: Vec<T> = steps.into_iter().filter(|t| of(t).complaint == complaint).collect();
    let begun = mine.iter().rposition(|t| of(t).did == Did::Begun).unwrap_or(0);
    let afresh = mine[..begun].iter().rposition(|t| of(t).did == Did::Found).map_or(0, |end| end + 1);
    mine.split_off(afresh)
}

/// Finished jobs with what was found in them, each once; `but` does not count itself. What was found before a search began again does not count: it was
/// not the end of it.
pub fn finished(searches: &[FinishedSearch], but: Option<JobId>) -> Vec<Finished> {
    let one = |search: &FinishedSearch| {
        let of = |complaint: &str| newest(complaint, &search.steps, |s| s);
        let ends = |found: &&SearchStep| found.did == Did::Found && of(&found.complaint).iter().any(|s| std::ptr::eq(*s, *found));
        let found = search.steps.iter().rev().find(ends)?;
        let mut tests: Vec<(String, bool)> = Vec::new();
        for step in of(&found.complaint) {
            match step.did {
                // The last answer of a test counts.
                Did::Positive | Did::Passed => {
                    tests.retain(|(name, _)| *name != step.what);
                    tests.push((step.what.clone(), step.did == Did::Positive));
                }
                // From here on it is another machine: the fault is out of it.
                Did::Untried | Did::PutRight if step.what == found.what => break,
                // What was there beside it may be what tests showed so far.
                Did::Untried | Did::PutRight => tests.clear(),
                Did::Begun | Did::CannotTell | Did::Found => {}
            }
        }
        Some(Finished { number: search.number.clone(), complaint: found.complaint.clone(), cause: found.what.clone(), tests })
    };
    searches.iter().filter(|s| Some(s.job) != but).filter_map(one).collect()
}

/// The end of a search as the book keeps it, from the name of a cause or [`OTHER`].
///
/// # Errors
/// A sentence.
pub fn found_step(case: &Case, name: &str) -> Result<SearchStep, String> {
    let faults = case.faults;
    let cause = match name {
        OTHER => None,
        _ => {
            let names = || case.causes.iter().map(|c| faults.causes[*c].id.as_str());
            let cause = faults.cause(name).filter(|c| case.causes.contains(c));
            Some(cause.ok_or_else(|| words::no_such(name, most_like(name, names())))?)
        }
    };
    let complaint = case.it().id.clone();
    Ok(SearchStep { complaint, did: Did::Found, what: name.to_owned(), words: words::found(faults, cause) })
}
