//! What a workshop adds to the base and has counted itself. The base is never written over: counts stand beside its numbers.

use super::{
    data::{Faults, Hit, Tally, Weight},
    defect::{Defect, DefectKind, What},
    range::{CHANCE, JOBS, WEIGHT},
    read::{add, document, resolve, shown},
    walk::{Item, Walk},
};

/// As how many finished jobs the base counts for each complaint \[1\] (own choice). A share of 15 % that 40 jobs gave would be good to a factor of two
/// either way in 19 cases of 20, and that is what the base's numbers are said to be good to.
pub const BASE_JOBS: f64 = 40.0;
/// As how many tests on a known cause the base counts for each chance \[1\] (own choice): at 80 % that is ± 18 %.
pub const BASE_TESTS: f64 = 20.0;
/// The name that stands for none of the causes that are listed.
pub const OTHER: &str = "other";

/// What a file of one's own came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counted {
    /// Finished jobs.
    pub jobs: u32,
    /// Tests on a known cause.
    pub tests: u32,
    /// Causes, complaints, tests, weights and chances that were added.
    pub added: u32,
}

/// A job of the book that stands in a file of one's own by its number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Its number.
    pub number: String,
    /// Its complaint, as an index.
    pub complaint: usize,
    /// Its cause, as an index; `None` = something that is not listed.
    pub cause: Option<usize>,
}

/// A finished job whose cause was found, as the job book has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finished {
    /// Its number.
    pub number: String,
    /// The complaint, by name.
    pub complaint: String,
    /// The cause, by name, or [`OTHER`].
    pub cause: String,
    /// Tests by name, and whether each came out positive.
    pub tests: Vec<(String, bool)>,
}

/// What finished jobs of the book came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FromBook {
    /// Jobs that count.
    pub jobs: u32,
    /// Tests in them that count.
    pub tests: u32,
    /// Jobs that do not, for nothing here has the name of their complaint, or the complaint does not list their cause.
    pub left_out: u32,
    /// Jobs that stand in the workshop's own file by their number and count there.
    pub in_own: u32,
    /// Numbers that stand in that file and that no finished job has.
    pub unknown: Vec<String>,
}

/// The data with finished jobs counted in, beside the base and the workshop's own file. Each job counts once; of its tests each counts once; the job whose own search
/// it is counts nowhere.
pub(super) fn with_jobs(base: &Faults, jobs: &[Finished], of: Option<&str>) -> Faults {
    let mut faults = base.clone();
    for named in &base.named {
        if Some(named.number.as_str()) == of {
            let complaint = &mut faults.complaints[named.complaint];
            let counted = match named.cause {
                None => Some(&mut complaint.other_jobs),
                Some(cause) => complaint.causes.iter_mut().find(|w| w.cause == cause).map(|w| &mut w.jobs),
            };
            if let Some(counted) = counted {
                *counted = counted.saturating_sub(1);
                faults.own.jobs = faults.own.jobs.saturating_sub(1);
            }
        } else if !jobs.iter().any(|job| job.number == named.number) {
            faults.book.unknown.push(named.number.clone());
        }
    }
    for job in jobs {
        if base.named.iter().any(|named| named.number == job.number) {
            faults.book.in_own += 1;
            continue;
        }
        let found = faults.complaint(&job.complaint);
        let cause = faults.cause(&job.cause);
        let counted = found.and_then(|at| {
            let complaint = &mut faults.complaints[at];
            match cause {
                None if job.cause == OTHER => Some(&mut complaint.other_jobs),
                None => None,
                Some(cause) => complaint.causes.iter_mut().find(|w| w.cause == cause).map(|w| &mut w.jobs),
            }
        });
        let Some(counted) = counted else {
            faults.book.left_out += 1;
            continue;
        };
        *counted = counted.saturating_add(1);
        faults.book.jobs += 1;
        for (name, positive) in &job.tests {
            let Some(at) = faults.test(name) else { continue };
            // Done when the complaint does not show it says little of how often it shows the cause.
            let when = found.map(|c| faults.complaints[c].when);
            let test = &mut faults.tests[at];
            if test.sees.as_ref().is_some_and(|sees| when.is_some_and(|when| !sees.contains(&when))) {
                continue;
            }
            let to = match test.hits.iter_mut().find(|h| Some(h.cause) == cause) {
                Some(hit) => &mut hit.seen,
                None => &mut test.none_seen,
            };
            let to = if *positive { &mut to.positive } else { &mut to.negative };
            *to = to.saturating_add(1);
            faults.book.tests += 1;
        }
    }
    faults
}

/// A weight with what was counted: the mean of a Dirichlet distribution whose counts are the base's share of [`BASE_JOBS`] and the jobs, times their
/// sum.
pub fn counted_weight(weight: f64, jobs: u32) -> f64 {
    BASE_JOBS * weight / 100.0 + f64::from(jobs)
}

/// A chance with what was counted: the mean of a Beta distribution whose counts are the base's and the workshop's, within [`CHANCE`].
pub fn counted_chance(chance: f64, seen: Tally) -> f64 {
    let n = f64::from(seen.positive) + f64::from(seen.negative);
    ((BASE_TESTS * chance + f64::from(seen.positive)) / (BASE_TESTS + n)).clamp(CHANCE.least, CHANCE.most)
}

/// Reads a file of one's own over the base.
pub(super) fn read(base: &Faults, text: &str) -> Result<Faults, Vec<Defect>> {
    document(text, |root, walk| {
        root.refuse_unknown(walk, &["meta", "cause", "symptom", "test", "weight", "hit", "job", "seen"]);
        if root.has("meta")
            && let Some(meta) = root.table(walk, "meta")
        {
            meta.refuse_unknown(walk, &["schema", "workshop"]);
        }
        let mut faults = base.clone();
        let lists = [root.tables(walk, "cause"), root.tables(walk, "symptom"), root.tables(walk, "test")];
        let old = faults.causes.len();
        faults.own.added += lists.iter().map(|l| l.len() as u32).sum::<u32>();
        add(&mut faults, &lists, walk, true);
        let names = Names::of(&faults);
        root.tables(walk, "weight").iter().for_each(|row| weight(&mut faults, &names, row, walk));
        root.tables(walk, "hit").iter().for_each(|row| hit(&mut faults, &names, row, walk));
        root.tables(walk, "job").iter().for_each(|row| job(&mut faults, &names, row, walk));
        root.tables(walk, "seen").iter().for_each(|row| seen(&mut faults, &names, row, walk));
        shown(&faults, old, &lists[0], walk);
        faults
    })
}

struct Names {
    causes: Vec<String>,
    complaints: Vec<String>,
    tests: Vec<String>,
}

impl Names {
    fn of(faults: &Faults) -> Self {
        Self {
            causes: faults.causes.iter().map(|c| c.id.clone()).collect(),
            complaints: faults.complaints.iter().map(|c| c.id.clone()).collect(),
            tests: faults.tests.iter().map(|t| t.id.clone()).collect(),
        }
    }

    fn complaint(&self, row: &Item<'_>, walk: &mut Walk) -> Option<usize> {
        let name = row.text(walk, "complaint");
        resolve(walk, What::Complaint, &name, &self.complaints)
    }

    fn cause(&self, row: &Item<'_>, walk: &mut Walk) -> Option<usize> {
        let name = row.text(walk, "cause");
        resolve(walk, What::Cause, &name, &self.causes)
    }

    fn test(&self, row: &Item<'_>, walk: &mut Walk) -> Option<usize> {
        let name = row.text(walk, "test");
        resolve(walk, What::Test, &name, &self.tests)
    }
}

/// A further cause of a complaint.
fn weight(faults: &mut Faults, names: &Names, row: &Item<'_>, walk: &mut Walk) {
    row.refuse_unknown(walk, &["complaint", "cause", "w"]);
    let w = row.number(walk, "w", &WEIGHT);
    let (Some(complaint), Some(cause)) = (names.complaint(row, walk), names.cause(row, walk)) else { return };
    let list = &mut faults.complaints[complaint].causes;
    if list.iter().any(|w| w.cause == cause) {
        let kind = DefectKind::InBase { what: What::Cause, name: names.causes[cause].clone() };
        walk.defect(row.path_of("cause"), row.span_of("cause"), kind);
        return;
    }
    list.push(Weight { cause, weight: w, only: Vec::new(), jobs: 0 });
    faults.own.added += 1;
}

/// A further cause that a test shows.
fn hit(faults: &mut Faults, names: &Names, row: &Item<'_>, walk: &mut Walk) {
    row.refuse_unknown(walk, &["test", "cause", "p"]);
    let chance = row.number(walk, "p", &CHANCE);
    let (Some(test), Some(cause)) = (names.test(row, walk), names.cause(row, walk)) else { return };
    let test = &mut faults.tests[test];
    if test.hits.iter().any(|h| h.cause == cause) {
        let kind = DefectKind::InBase { what: What::Cause, name: names.causes[cause].clone() };
        walk.defect(row.path_of("cause"), row.span_of("cause"), kind);
    } else if chance <= test.none {
        walk.defect(row.path_of("p"), row.span_of("p"), DefectKind::TellsNothing { chance, none: test.none });
    } else {
        test.hits.push(Hit { cause, chance, seen: Tally::default() });
        faults.own.added += 1;
    }
}

/// Finished jobs.
fn job(faults: &mut Faults, names: &Names, row: &Item<'_>, walk: &mut Walk) {
    row.refuse_unknown(walk, &["complaint", "cause", "count", "number"]);
    let count = row.count_or(walk, "count", &JOBS, 1);
    let number = row.optional_text(walk, "number");
    if let Some(number) = &number {
        if count != 1 {
            walk.defect(row.path_of("count"), row.span_of("count"), DefectKind::NotOneJob { count });
        }
        if faults.named.iter().any(|n| n.number == number.text) {
            let kind = DefectKind::Twice { what: What::Job, name: number.text.clone() };
            walk.defect(row.path_of("number"), row.span_of("number"), kind);
        }
    }
    let complaint = names.complaint(row, walk);
    let cause = row.text(walk, "cause");
    if cause.text == OTHER {
        if let Some(complaint) = complaint {
            let jobs = &mut faults.complaints[complaint].other_jobs;
            *jobs = jobs.saturating_add(count);
            faults.own.jobs = faults.own.jobs.saturating_add(count);
            faults.named.extend(number.map(|n| Named { number: n.text, complaint, cause: None }));
        }
        return;
    }
    let found = resolve(walk, What::Cause, &cause, &names.causes);
    let (Some(complaint), Some(at)) = (complaint, found) else { return };
    let Some(weight) = faults.complaints[complaint].causes.iter_mut().find(|w| w.cause == at) else {
        let known = faults.complaints[complaint].causes.iter().map(|w| names.causes[w.cause].clone()).collect::<Vec<_>>();
        // A job with a cause that the complaint does not list needs a weight for it first.
        resolve(walk, What::Cause, &cause, &known);
        return;
    };
    weight.jobs = weight.jobs.saturating_add(count);
    faults.own.jobs = faults.own.jobs.saturating_add(count);
    faults.named.extend(number.map(|n| Named { number: n.text, complaint, cause: Some(at) }));
}

/// Tests on machines whose cause was found in the end.
fn seen(faults: &mut Faults, names: &Names, row: &Item<'_>, walk: &mut Walk) {
    row.refuse_unknown(walk, &["test", "cause", "positive", "negative"]);
    let tally = Tally { positive: row.count_or(walk, "positive", &JOBS, 0), negative: row.count_or(walk, "negative", &JOBS, 0) };
    let test = names.test(row, walk);
    let cause = row.text(walk, "cause");
    let cause = if cause.text == OTHER { None } else { Some(resolve(walk, What::Cause, &cause, &names.causes)) };
    let Some(test) = test.map(|t| &mut faults.tests[t]) else { return };
    let to = match cause {
        None => Some(&mut test.none_seen),
        Some(None) => return,
        // What a test does not list counts as none of its causes.
        Some(Some(cause)) => Some(match test.hits.iter_mut().find(|h| h.cause == cause) {
            Some(hit) => &mut hit.seen,
            None => &mut test.none_seen,
        }),
    };
    if let Some(to) = to {
        to.positive = to.positive.saturating_add(tally.positive);
        to.negative = to.negative.saturating_add(tally.negative);
        faults.own.tests = faults.own.tests.saturating_add(tally.positive).saturating_add(tally.negative);
    }
}
