//! Fault finding, as JSON.

use serde::Serialize;
use sheets::words::fault as words;
use workshop::{
    machine::Machine,
    study::fault::{
        Advice, Case, Complaint, FaultStudy, Faults, Leader, Metal, Next, Oddity, Of, Said, Standing, Step, Studies, TestFound,
        Two, Why, expected,
    },
};

mod here;

use here::{Here, here};

/// A complaint that can be chosen.
#[derive(Debug, Serialize)]
pub struct Choice {
    complaint: String,
    name: String,
    owner_says: String,
    ask: Vec<String>,
}

/// All complaints.
pub fn choices(faults: &Faults) -> Vec<Choice> {
    let of = |c: &Complaint| Choice {
        complaint: c.id.clone(),
        name: c.name.clone(),
        owner_says: c.owner_says.clone(),
        ask: c.ask.clone(),
    };
    faults.complaints.iter().map(of).collect()
}

/// Where a case stands.
#[derive(Debug, Serialize)]
pub struct Fault {
    complaint: String,
    numbers_source: String,
    stop_first: Option<String>,
    barred: bool,
    next: What,
    reason: String,
    minutes_so_far: f64,
    minutes_to_repaired: f64,
    minutes_to_repaired_without_test: f64,
    causes: Vec<Cause>,
    cannot_have: Vec<String>,
    something_else: Share,
    two: Option<TwoAtOnce>,
    metal: Option<NoCut>,
    tests: Vec<Test>,
    done: Vec<Done>,
    readings: Vec<Reading>,
    signatures: Vec<Signature>,
    oddities: Vec<Odd>,
    own: Own,
    job_book: FromBook,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
enum What {
    Test(Box<Advised>),
    PutRight { put_right: String, chance_share: f64, minutes: f64, before_trying: Vec<String> },
    Try { try_complaint: bool, put_right: String },
    LookWider { look_wider: bool, chance_share: f64 },
}

#[derive(Debug, Serialize)]
struct Advised {
    test: String,
    why: &'static str,
    minutes: f64,
    positive_share: f64,
    minutes_to_repaired: f64,
    if_positive: Leads,
    if_passed: Leads,
    set_up: bool,
    part_to_fetch: bool,
    brings_complaint_on: bool,
    danger: Option<String>,
    how: String,
    expect: String,
    positive: String,
    on_this_machine: Option<Here>,
}

#[derive(Debug, Serialize)]
struct Leads {
    /// `null`: something that is not listed.
    cause: Option<String>,
    chance_share: f64,
}

#[derive(Debug, Serialize)]
struct Cause {
    cause: String,
    name: String,
    chance_share: f64,
    before_share: f64,
    put_right: bool,
    cure_cuts_metal: bool,
    own_jobs: u32,
    own: bool,
}

#[derive(Debug, Serialize)]
struct Share {
    chance_share: f64,
    before_share: f64,
}

#[derive(Debug, Serialize)]
struct TwoAtOnce {
    causes: [String; 2],
    chance_share: f64,
    any_two_share: f64,
}

#[derive(Debug, Serialize)]
struct NoCut {
    cause: String,
    while_these_stand: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Test {
    test: String,
    name: String,
    stands: &'static str,
    first: Vec<String>,
    minutes: f64,
    positive_share: Option<f64>,
    minutes_to_repaired: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Done {
    what: String,
    answer: &'static str,
}

#[derive(Debug, Serialize)]
struct Reading {
    test: String,
    positive_share: f64,
    counted: bool,
}

#[derive(Debug, Serialize)]
struct Odd {
    test: String,
    kind: &'static str,
}

#[derive(Debug, Serialize)]
struct Own {
    jobs: u32,
    tests: u32,
    added: u32,
}

#[derive(Debug, Serialize)]
struct FromBook {
    jobs: u32,
    tests: u32,
    left_out: u32,
    in_own_file: u32,
    unknown_numbers: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Signature {
    of: &'static str,
    readings: usize,
    likelihoods: Vec<Likelihood>,
    anything_else: f64,
}

#[derive(Debug, Serialize)]
struct Likelihood {
    cause: String,
    likelihood: f64,
}

/// A case as JSON.
pub fn fault(machine: &Machine, case: &Case, study: &FaultStudy, studies: Studies) -> Fault {
    let faults = case.faults;
    let cause = |c: usize| faults.causes[c].id.clone();
    Fault {
        complaint: case.it().id.clone(),
        numbers_source: faults.numbers_source.clone(),
        stop_first: case.it().stop_first.clone(),
        barred: study.barred,
        next: what(machine, case, study, studies),
        reason: words::reason(case, study),
        minutes_so_far: study.spent_min,
        minutes_to_repaired: study.ahead.1,
        minutes_to_repaired_without_test: study.ahead.0,
        causes: study
            .causes
            .iter()
            .map(|c| Cause {
                cause: cause(c.cause),
                name: faults.causes[c.cause].name.clone(),
                chance_share: c.chance,
                before_share: c.before,
                put_right: c.mended,
                cure_cuts_metal: faults.causes[c.cause].irreversible,
                own_jobs: c.jobs,
                own: faults.causes[c.cause].own,
            })
            .collect(),
        cannot_have: study.dropped.iter().map(|c| cause(*c)).collect(),
        something_else: Share { chance_share: study.other.1, before_share: study.other.0 },
        two: study.two.map(|Two { causes: (a, b), chance, any }| TwoAtOnce {
            causes: [cause(a), cause(b)],
            chance_share: chance,
            any_two_share: any,
        }),
        metal: study.metal.as_ref().map(|Metal { cause: c, stand }| NoCut {
            cause: cause(*c),
            while_these_stand: stand.iter().map(|c| cause(*c)).collect(),
        }),
        tests: study.tests.iter().map(|t| test(faults, t)).collect(),
        done: study.steps.iter().map(|s| done(faults, *s)).collect(),
        readings: readings(case),
        oddities: study.oddities.iter().map(|o| odd(faults, *o)).collect(),
        signatures: case.signatures().map(|s| signature(case, s)).collect(),
        job_book: FromBook {
            jobs: faults.book.jobs,
            tests: faults.book.tests,
            left_out: faults.book.left_out,
            in_own_file: faults.book.in_own,
            unknown_numbers: faults.book.unknown.clone(),
        },
        own: Own { jobs: faults.own.jobs, tests: faults.own.tests, added: faults.own.added },
    }
}

fn what(machine: &Machine, case: &Case, study: &FaultStudy, studies: Studies) -> What {
    let faults = case.faults;
    match &study.next {
        Advice::PutRight { cause, chance, minutes } => {
            let first = if study.proves_first { &case.it().bar_until[..] } else { &[] };
            let before_trying = first.iter().map(|t| faults.tests[*t].id.clone()).collect();
            What::PutRight {
                put_right: faults.causes[*cause].id.clone(),
                chance_share: *chance,
                minutes: *minutes,
                before_trying,
            }
        }
        Advice::Try { cause } => What::Try { try_complaint: true, put_right: faults.causes[*cause].id.clone() },
        Advice::LookWider { chance } => What::LookWider { look_wider: true, chance_share: *chance },
        Advice::Test(next) => What::Test(Box::new(advised(machine, faults, next, studies))),
    }
}

fn advised(machine: &Machine, faults: &Faults, next: &Next, studies: Studies) -> Advised {
    let test = &faults.tests[next.test];
    let leads = |(cause, chance): Leader| Leads { cause: cause.map(|c| faults.causes[c].id.clone()), chance_share: chance };
    Advised {
        test: test.id.clone(),
        why: match next.why {
            Why::LiftsTheBar => "lifts_the_bar",
            Why::Shortens => "shortens",
        },
        minutes: next.worth.minutes,
        positive_share: next.worth.positive,
        minutes_to_repaired: next.worth.to_repaired,
        if_positive: leads(next.if_yes),
        if_passed: leads(next.if_no),
        set_up: next.set_up,
        part_to_fetch: next.fetch,
        brings_complaint_on: next.repeats,
        danger: test.danger.clone(),
        how: test.how.clone(),
        expect: test.expect.clone(),
        positive: test.positive.clone(),
        on_this_machine: expected(test, machine, studies).map(|e| here(&e)),
    }
}

fn test(faults: &Faults, found: &TestFound) -> Test {
    let names = |tests: &[usize]| tests.iter().map(|t| faults.tests[*t].id.clone()).collect();
    let (stands, first) = match &found.standing {
        Standing::Open => ("open", Vec::new()),
        Standing::Done(_) => ("done", Vec::new()),
        Standing::Read(_) => ("read", Vec::new()),
        Standing::Barred(until) => ("barred", names(until)),
        Standing::After(tests) => ("after", names(tests)),
    };
    let test = &faults.tests[found.test];
    Test {
        test: test.id.clone(),
        name: test.name.clone(),
        stands,
        first,
        minutes: found.minutes,
        positive_share: found.worth.map(|w| w.positive),
        minutes_to_repaired: found.worth.map(|w| w.to_repaired),
    }
}

fn done(faults: &Faults, step: Step) -> Done {
    match step {
        Step::Tested(t, said) => Done {
            what: faults.tests[t].id.clone(),
            answer: match said {
                Said::Yes => "yes",
                Said::No => "no",
                Said::CannotTell => "cannot-tell",
            },
        },
        Step::Untried(c) => Done { what: faults.causes[c].id.clone(), answer: "untried" },
        Step::PutRight(c) => Done { what: faults.causes[c].id.clone(), answer: "put-right" },
    }
}

fn readings(case: &Case) -> Vec<Reading> {
    let of = |r: &workshop::study::fault::TestReading| Reading {
        test: case.faults.tests[r.test].id.clone(),
        positive_share: r.positive,
        counted: case.counts(r),
    };
    words::evidence::bearing(case).map(of).collect()
}

fn signature(case: &Case, found: &workshop::study::fault::Signature) -> Signature {
    let mine = found.causes.iter().filter(|(c, _)| case.causes.contains(c));
    Signature {
        of: match found.of {
            Of::Charging => "charging",
            Of::Marks => "marks",
            Of::Flux => "flux",
            Of::Feed => "feed",
            Of::Earth => "earth",
            Of::Recorded => "recorded_sparks",
            Of::Segment => "recorded_segment",
            Of::Scatter => "recorded_scatter",
            Of::Missing => "recorded_missing",
            Of::Doubled => "recorded_doubled",
            Of::Pickups => "recorded_pickups",
            Of::Hang => "recorded_hang",
            Of::Alike => "hang",
            Of::Bonds => "magnet_bonds",
        },
        readings: found.readings,
        likelihoods: mine.map(|(c, l)| Likelihood { cause: case.faults.causes[*c].id.clone(), likelihood: *l }).collect(),
        anything_else: found.otherwise,
    }
}

fn odd(faults: &Faults, oddity: Oddity) -> Odd {
    match oddity {
        Oddity::OutOfOrder(t, _) => Odd { test: faults.tests[t].id.clone(), kind: "out_of_order" },
        Oddity::WouldBeBarred(t) => Odd { test: faults.tests[t].id.clone(), kind: "would_be_barred" },
    }
}
