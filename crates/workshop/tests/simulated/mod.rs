//! Faults drawn from the data, and ways to look for them. Invented machines: it shows what the order of tests does, not that the numbers are right.

use workshop::study::fault::{
    Advice, Bike, CHANCE, Case, Evidence, Faults, LOOK_WIDER_MIN, Repairs, Said, Step, System, infer::MISLEADS, infer::Set,
};

/// Numbers from a seed (SplitMix64: Steele, Lea and Flood 2014).
#[derive(Clone)]
pub struct Seeded(pub u64);

impl Seeded {
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.share() * n as f64) as usize
    }
}

/// A factor between a half and two; as likely one way as the other.
fn factor(draw: &mut Seeded) -> f64 {
    (2.0 * draw.share() - 1.0).exp2()
}

/// The odds of a chance times a factor, within what a chance may be.
fn odds(p: f64, by: f64) -> f64 {
    let odds = by * p / (1.0 - p);
    (odds / (1.0 + odds)).clamp(CHANCE.least, CHANCE.most)
}

/// The same data with every weight, the odds of every chance and every time off by a factor of two at most either way.
pub fn disturbed(faults: &Faults, seed: u64) -> Faults {
    let mut draw = Seeded(seed);
    let mut other = faults.clone();
    for c in &mut other.complaints {
        c.other *= factor(&mut draw);
        c.causes.iter_mut().for_each(|w| w.weight *= factor(&mut draw));
    }
    for t in &mut other.tests {
        t.none = odds(t.none, factor(&mut draw));
        for h in &mut t.hits {
            h.chance = odds(h.chance, factor(&mut draw)).max(t.none);
        }
        let by = factor(&mut draw);
        (t.minutes, t.again) = (t.minutes * by, t.again * by);
    }
    other.causes.iter_mut().for_each(|c| c.mend_minutes *= factor(&mut draw));
    other
}

/// A machine that has come in.
pub struct Patient {
    pub bike: Bike,
    pub complaint: usize,
    /// What it has, as causes of the data.
    pub has: Vec<usize>,
    seed: u64,
}

/// Draws a machine, its complaint and what it has from data that are taken for true.
pub fn patient(truth: &Faults, seed: u64) -> Patient {
    let mut draw = Seeded(seed);
    loop {
        let bike = Bike {
            systems: vec![System::ALL[draw.below(5)]],
            strokes: if draw.below(3) == 0 { 2 } else { 4 },
            cylinders: 1 + draw.below(2) as u8,
            battery: None,
            regulator: None,
        };
        let complaint = draw.below(truth.complaints.len());
        let Ok(case) = Case::new(truth, bike.clone(), complaint, Evidence::default()) else { continue };
        if case.causes.len() < 2 {
            continue;
        }
        let prior = case.prior();
        let mut at = draw.share();
        let set = prior.sets().iter().zip(prior.shares()).find(|(_, p)| {
            at -= *p;
            at <= 0.0
        });
        let set = set.map_or(Set::default(), |(set, _)| *set);
        let has = set.causes().map(|i| case.causes[i]).collect();
        return Patient { bike, complaint, has, seed: draw.bits() };
    }
}

/// What a test shows on it with these causes put right: the same whoever asks.
fn shows(truth: &Case, patient: &Patient, t: usize, mended: &[usize]) -> bool {
    let test = &truth.faults.tests[t];
    let setup = truth.setup(test) as u64;
    let misled = Seeded(patient.seed ^ (setup << 32)).share();
    if misled < MISLEADS {
        return misled < 0.5 * MISLEADS;
    }
    let of = |list: &[usize]| list.iter().filter_map(|c| truth.local(*c)).collect::<Vec<usize>>();
    let mut has = of(&patient.has);
    has.sort_unstable();
    let set = Set(has.first().copied(), has.get(1).copied());
    // What is put right is made good.
    let repairs = Repairs { mended: of(mended), tried: Vec::new() };
    let p = truth.chances(test, &[set], &repairs)[0];
    let sound = (p - 0.5 * MISLEADS) / (1.0 - MISLEADS);
    Seeded(patient.seed ^ (t as u64) ^ ((mended.len() as u64) << 16)).share() < sound
}

/// How to look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// As the program advises.
    Advised,
    /// Most information for a minute, until a cause is four to one likely.
    Information,
    /// A printed chart: the commonest cause first, its best test; positive = put it right, passed = the next cause.
    Chart,
}

/// How it went.
#[derive(Clone, Copy, Debug)]
pub struct Outcome {
    /// All that it had was put right.
    pub found: bool,
    /// Minutes of tests, and of repairs that were none, before the last right repair.
    pub to_cause: f64,
    /// Minutes until it was repaired, or given up with a look for what is not listed.
    pub all: f64,
    /// Tests.
    pub tests: usize,
    /// It had nothing that is listed.
    pub unlisted: bool,
}

/// Most steps before a search is given up.
const MOST_STEPS: usize = 60;
/// Chance from which the way by information puts right.
const SURE: f64 = 0.8;

/// Looks for what a patient has with data that are thought to be right, while others are.
pub fn look(thought: &Faults, truth: &Faults, patient: &Patient, way: Way) -> Outcome {
    let case = |faults| Case::new(faults, patient.bike.clone(), patient.complaint, Evidence::default()).expect("drawn so");
    let (mut mine, theirs) =
        (case(thought), Case::new(truth, patient.bike.clone(), patient.complaint, Evidence::default()).expect("drawn so"));
    let mut tests = 0;
    // Time is what it takes in truth.
    let mut spent = 0.0;
    let mut mended: Vec<usize> = Vec::new();
    let mut clock = theirs.clone();
    let unlisted = patient.has.is_empty();
    for _ in 0..MOST_STEPS {
        let step = match way {
            Way::Advised => advised(&mine),
            Way::Information => informed(&mine),
            Way::Chart => charted(&mine),
        };
        match step {
            None => break,
            Some(Do::Test(t)) => {
                spent += clock.minutes(t, usize::MAX);
                tests += 1;
                let said = if shows(&theirs, patient, t, &mended) { Said::Yes } else { Said::No };
                mine.step(Step::Tested(t, said)).expect("offered");
                let _ = clock.took_place(Step::Tested(t, said));
            }
            Some(Do::PutRight(c)) => {
                let takes = truth.causes[c].mend_minutes + theirs.repeat_min();
                mended.push(c);
                if !unlisted && patient.has.iter().all(|h| mended.contains(h)) {
                    return Outcome { found: true, to_cause: spent, all: spent + takes, tests, unlisted };
                }
                spent += takes;
                mine.step(Step::PutRight(c)).expect("offered");
                // The clock counts set-ups alone, and what takes them down.
                let _ = clock.took_place(Step::PutRight(c));
            }
            Some(Do::PutRightUntried(c)) => {
                spent += truth.causes[c].mend_minutes;
                mended.push(c);
                mine.step(Step::Untried(c)).expect("offered");
                let _ = clock.took_place(Step::Untried(c));
            }
            Some(Do::Try(c)) => {
                spent += theirs.repeat_min();
                if !unlisted && patient.has.iter().all(|h| mended.contains(h)) {
                    return Outcome { found: true, to_cause: spent, all: spent, tests, unlisted };
                }
                mine.step(Step::PutRight(c)).expect("offered");
                let _ = clock.took_place(Step::PutRight(c));
            }
        }
    }
    Outcome { found: false, to_cause: spent, all: spent + LOOK_WIDER_MIN, tests, unlisted }
}

enum Do {
    Test(usize),
    PutRight(usize),
    /// While a bar stands.
    PutRightUntried(usize),
    Try(usize),
}

fn advised(case: &Case) -> Option<Do> {
    let study = case.study();
    match study.next {
        Advice::Test(next) => Some(Do::Test(next.test)),
        Advice::PutRight { cause, .. } if study.proves_first => Some(Do::PutRightUntried(cause)),
        Advice::PutRight { cause, .. } => Some(Do::PutRight(cause)),
        Advice::Try { cause } => Some(Do::Try(cause)),
        Advice::LookWider { .. } => None,
    }
}

fn entropy(shares: &[f64]) -> f64 {
    -shares.iter().filter(|p| **p > 0.0).map(|p| p * p.log2()).sum::<f64>()
}

/// The likeliest cause that may be put right now.
fn likeliest(case: &Case) -> Option<(usize, f64)> {
    let study = case.study();
    let can = |c: usize| case.clone().step(Step::PutRight(c)).is_ok();
    let first = study.causes.iter().find(|c| !c.mended && can(c.cause))?;
    (first.chance > study.other.1 || first.chance > 0.1).then_some((first.cause, first.chance))
}

fn informed(case: &Case) -> Option<Do> {
    /// Information below which a test is none [bit].
    const NOTHING: f64 = 0.01;
    let belief = case.belief();
    let leading = likeliest(case);
    if let Some((cause, _)) = leading.filter(|l| l.1 >= SURE) {
        return Some(Do::PutRight(cause));
    }
    let now = entropy(belief.shares());
    let study = case.study();
    let gain = |t: usize, minutes: f64| {
        let test = &case.faults.tests[t];
        let chances = case.chances(test, belief.sets(), &case.repairs());
        let (yes, [a, b]) = belief.branches(case.setup(test), &chances);
        let bits = now - yes * entropy(&a) - (1.0 - yes) * entropy(&b);
        (bits, bits / minutes)
    };
    let open = study.tests.iter().filter(|t| t.worth.is_some());
    let best =
        open.map(|t| (t.test, gain(t.test, t.minutes))).filter(|(_, g)| g.0 > NOTHING).max_by(|a, b| a.1.1.total_cmp(&b.1.1));
    best.map(|(t, _)| Do::Test(t)).or(leading.map(|(cause, _)| Do::PutRight(cause)))
}

fn charted(case: &Case) -> Option<Do> {
    let it = case.it();
    let mut causes: Vec<_> = it.causes.iter().filter(|w| case.causes.contains(&w.cause)).collect();
    causes.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    // What lifts a bar comes first on any chart.
    if !it.bar_states.is_empty()
        && !case.bar_lifted()
        && let Some(&t) = it.bar_until.iter().find(|t| case.done(**t).is_none() && case.allowed(**t).is_ok())
    {
        return Some(Do::Test(t));
    }
    for w in causes {
        if case.steps().contains(&Step::PutRight(w.cause)) {
            continue;
        }
        let faults = case.faults;
        let shows = |t: &usize| {
            let test = &faults.tests[*t];
            test.hits
                .iter()
                .find(|h| h.cause == w.cause)
                .map_or(0.0, |h| h.chance / test.none * (1.0 - test.none) / (1.0 - h.chance))
        };
        let can = |t: &usize| case.allowed(*t).is_ok() && shows(t) > 0.0;
        let best = (0..faults.tests.len()).filter(can).max_by(|a, b| shows(a).total_cmp(&shows(b)));
        match best.map(|t| (t, case.last_of(t))) {
            Some((t, None)) => return Some(Do::Test(t)),
            Some((_, Some(Said::Yes))) if case.clone().step(Step::PutRight(w.cause)).is_ok() => {
                return Some(Do::PutRight(w.cause));
            }
            _ => {}
        }
    }
    None
}

/// Quantile of numbers.
pub fn quantile(mut numbers: Vec<f64>, share: f64) -> f64 {
    numbers.sort_by(f64::total_cmp);
    let at = (share * (numbers.len() as f64 - 1.0)).round() as usize;
    numbers.get(at).copied().unwrap_or(f64::NAN)
}

/// How a way does over many patients.
#[derive(Clone, Copy, Debug)]
pub struct Sum {
    /// Of those that had something listed, the share whose cause was found.
    pub found: f64,
    /// Median and 90 % of the minutes to the cause, of those that were found.
    pub to_cause: (f64, f64),
    /// Mean minutes of all, to a repaired machine or to the look for what is not listed.
    pub mean: f64,
    /// Mean number of tests.
    pub tests: f64,
}

pub fn sum(outcomes: &[Outcome]) -> Sum {
    let listed: Vec<&Outcome> = outcomes.iter().filter(|o| !o.unlisted).collect();
    let found: Vec<f64> = listed.iter().filter(|o| o.found).map(|o| o.to_cause).collect();
    let n = outcomes.len() as f64;
    Sum {
        found: found.len() as f64 / listed.len() as f64,
        to_cause: (quantile(found.clone(), 0.5), quantile(found, 0.9)),
        mean: outcomes.iter().map(|o| o.all).sum::<f64>() / n,
        tests: outcomes.iter().map(|o| o.tests as f64).sum::<f64>() / n,
    }
}
