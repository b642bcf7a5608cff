//! What is found: causes, tests, what to do next and why.

use super::{
    case::{Case, Repairs},
    data::Test,
    infer::{Belief, Set, marginals},
    oddity::Oddity,
    plan::{Worth, minutes, order, worth},
    step::{Refused, Said, Step},
};

/// Chance from which a cause that can be undone stands in the way of cutting metal \[1\] (own choice).
pub const STANDS: f64 = 0.05;
/// A reading answers its test by itself when it is as sure as this either way \[1\] (own choice).
const SURE: f64 = 0.9;

/// A cause.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseFound {
    /// Which, as an index.
    pub cause: usize,
    /// Chance before anything was done or read, alone or with another \[1\].
    pub before: f64,
    /// Chance now \[1\].
    pub chance: f64,
    /// It was put right, and the complaint stays.
    pub mended: bool,
    /// Finished jobs of the workshop that are counted in it.
    pub jobs: u32,
}

/// How a test stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    /// It can be done.
    Open,
    /// It was done.
    Done(Said),
    /// A reading of the job answers it: chance of positive \[1\].
    Read(f64),
    /// It is barred until one of these has passed; none = for good.
    Barred(Vec<usize>),
    /// These come first; who did them elsewhere may say how it came out all the same.
    After(Vec<usize>),
}

/// A test.
#[derive(Clone, Debug, PartialEq)]
pub struct TestFound {
    /// Which, as an index.
    pub test: usize,
    /// How it stands.
    pub standing: Standing,
    /// Time that it takes now [min].
    pub minutes: f64,
    /// What it is worth, where it can be done.
    pub worth: Option<Worth>,
}

/// Why a test is next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// What is barred stays so until it has passed.
    LiftsTheBar,
    /// It shortens what lies ahead by more than it takes.
    Shortens,
}

/// The cause that leads after an answer, and its chance then; `None` = nothing that is listed.
pub type Leader = (Option<usize>, f64);

/// A test to do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Which.
    pub test: usize,
    /// Why.
    pub why: Why,
    /// What it is worth.
    pub worth: Worth,
    /// What leads if it comes out positive.
    pub if_yes: Leader,
    /// What leads if it passes.
    pub if_no: Leader,
    /// Its set-up stands already.
    pub set_up: bool,
    /// A part has to be fetched for it.
    pub fetch: bool,
    /// The complaint has to be brought on again for it.
    pub repeats: bool,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub enum Advice {
    /// A test.
    Test(Box<Next>),
    /// Put a cause right and try the complaint: no test is worth its minutes.
    PutRight {
        /// The cause.
        cause: usize,
        /// Its chance \[1\].
        chance: f64,
        /// What it takes [min].
        minutes: f64,
    },
    /// What was put right has not been tried, and nothing bars it any more: try the complaint.
    Try {
        /// The cause that was put right last.
        cause: usize,
    },
    /// Look for something that is not listed.
    LookWider {
        /// Chance of that \[1\].
        chance: f64,
    },
}

/// Metal is not cut: a cause whose cure cuts is likely, and others that can be undone stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Metal {
    /// The likeliest cause whose cure cuts.
    pub cause: usize,
    /// What stands, likeliest first; none = nothing that can be undone is left.
    pub stand: Vec<usize>,
}

/// Two causes at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Two {
    /// The likeliest two.
    pub causes: (usize, usize),
    /// Chance that it is these \[1\].
    pub chance: f64,
    /// Chance that it is any two \[1\].
    pub any: f64,
}

/// Everything found.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultStudy {
    /// The complaint.
    pub complaint: usize,
    /// Its causes on this machine, likeliest first.
    pub causes: Vec<CauseFound>,
    /// Causes of the complaint that this machine cannot have.
    pub dropped: Vec<usize>,
    /// Chance of something that is not listed, before and now \[1\].
    pub other: (f64, f64),
    /// The likeliest two at once, where two fit better than one.
    pub two: Option<Two>,
    /// Where a cure that cuts is likely.
    pub metal: Option<Metal>,
    /// Tests, quickest way first, then what cannot be done.
    pub tests: Vec<TestFound>,
    /// What to do.
    pub next: Advice,
    /// Expected minutes to a repaired machine with no further test, and by the advice [min].
    pub ahead: (f64, f64),
    /// What was done.
    pub steps: Vec<Step>,
    /// Time of that [min].
    pub spent_min: f64,
    /// A bar stands.
    pub barred: bool,
    /// It stands until a test has passed, so that what is put right is not tried before.
    pub proves_first: bool,
    /// What was done otherwise than is usual.
    pub oddities: Vec<Oddity>,
}

impl FaultStudy {
    /// How it is kept that a cause was put right: while the bar stands it is not tried.
    pub fn repair(&self, cause: usize) -> Step {
        if self.proves_first { Step::Untried(cause) } else { Step::PutRight(cause) }
    }
}

impl Case<'_> {
    /// Everything about the case as it stands. The same case gives the same study.
    pub fn study(&self) -> FaultStudy {
        let belief = self.belief();
        let prior = self.prior();
        let repairs = self.repairs();
        let (mended, untried) = (&repairs.mended, !self.untried().is_empty());
        let (now, before) = (belief.of_causes(), prior.of_causes());
        let jobs = |cause: usize| self.it().causes.iter().find(|w| w.cause == cause).map_or(0, |w| w.jobs);
        let mut causes: Vec<CauseFound> = (0..self.causes.len())
            .map(|i| CauseFound {
                cause: self.causes[i],
                before: before[i],
                chance: now[i],
                mended: mended.contains(&i),
                jobs: jobs(self.causes[i]),
            })
            .collect();
        // What was put right comes last: its chance is that of a second fault beside it, or of a repair that did not take.
        causes.sort_by(|a, b| a.mended.cmp(&b.mended).then(b.chance.total_cmp(&a.chance)).then(a.cause.cmp(&b.cause)));
        let tests = self.tests(&belief, &repairs);
        let costs = self.costs();
        // What was put right and not tried yet may have been all of it.
        let cured = |set: &Set| untried && set.is_within(mended);
        let left: Vec<f64> =
            belief.sets().iter().zip(belief.shares()).map(|(set, p)| if cured(set) { 0.0 } else { *p }).collect();
        let without = minutes(belief.sets(), &left, &costs, mended);
        let next = self.advice(&belief, &repairs, &tests, without);
        let by_advice = match &next {
            Advice::Test(next) => next.worth.to_repaired,
            Advice::Try { .. } => self.repeat_min() + without,
            Advice::PutRight { .. } | Advice::LookWider { .. } => without,
        };
        let dropped = self.it().causes.iter().map(|w| w.cause).filter(|c| !self.causes.contains(c)).collect();
        FaultStudy {
            complaint: self.complaint,
            dropped,
            other: (prior.of_none(), belief.of_none()),
            two: self.two(&belief, mended),
            metal: self.metal(&causes),
            tests,
            next,
            ahead: (without, by_advice),
            steps: self.steps().to_vec(),
            spent_min: self.spent(),
            barred: self.bar_stands(),
            proves_first: self.bar_stands() && !self.it().bar_until.is_empty(),
            oddities: self.oddities(),
            causes,
        }
    }

    fn two(&self, belief: &Belief, mended: &[usize]) -> Option<Two> {
        let left: Vec<(Set, f64)> = belief.sets().iter().zip(belief.shares()).map(|(set, p)| (set.without(mended), *p)).collect();
        let open = |cause: usize| !mended.contains(&cause);
        let pairs = left.iter().filter_map(|(set, p)| Some(((set.0.filter(|c| open(*c))?, set.1?), *p)));
        let any: f64 = pairs.clone().map(|(_, p)| p).sum();
        let (pair, chance) = pairs.max_by(|a, b| a.1.total_cmp(&b.1))?;
        let one: f64 = left.iter().filter(|(s, _)| s.0.is_some() && s.1.is_none()).map(|(_, p)| p).sum();
        (any > one).then(|| Two { causes: (self.causes[pair.0], self.causes[pair.1]), chance, any })
    }

    fn metal(&self, causes: &[CauseFound]) -> Option<Metal> {
        let cuts = |c: &&CauseFound| self.faults.causes[c.cause].irreversible && c.chance >= STANDS && !c.mended;
        let cause = causes.iter().find(cuts)?.cause;
        Some(Metal { cause, stand: self.stands_of(causes) })
    }

    fn stands_of(&self, causes: &[CauseFound]) -> Vec<usize> {
        let stands = |c: &&CauseFound| !self.faults.causes[c.cause].irreversible && c.chance >= STANDS && !c.mended;
        causes.iter().filter(stands).map(|c| c.cause).collect()
    }

    /// Causes that can be undone and stand in the way of cutting metal.
    pub fn stands(&self) -> Vec<usize> {
        let chances = self.belief().of_causes();
        let mended = self.repairs().mended;
        let stands =
            |i: &usize| chances[*i] >= STANDS && !mended.contains(i) && !self.faults.causes[self.causes[*i]].irreversible;
        (0..self.causes.len()).filter(stands).map(|i| self.causes[i]).collect()
    }

    /// Tests that come before a test on this machine with this complaint.
    pub(super) fn first<'t>(&'t self, test: &'t Test) -> impl Iterator<Item = usize> + 't {
        let can = |t: &usize| self.bike.bears(&self.faults.tests[*t]) && self.answers(&self.faults.tests[*t]);
        test.after.iter().copied().filter(can)
    }

    /// How sure a reading of the job is that a test is positive.
    fn read_of(&self, t: usize) -> Option<f64> {
        self.evidence.tests.iter().find(|e| e.test == t).map(|e| e.positive)
    }

    /// A reading of the job answers the test by itself. A positive one is from before anything was put right.
    pub(super) fn answered(&self, t: usize) -> bool {
        let mended = self.steps().iter().any(|s| s.repair().is_some());
        self.read_of(t).is_some_and(|p| p >= SURE && !mended || p <= 1.0 - SURE)
    }

    fn standing(&self, t: usize) -> Standing {
        let test = &self.faults.tests[t];
        if let Some(said) = self.done(t) {
            return Standing::Done(said);
        }
        // A bar is lifted by hand alone.
        let lifts = self.bar_stands() && self.it().bar_until.contains(&t);
        if let Some(p) = self.read_of(t).filter(|_| self.answered(t) && !lifts) {
            return Standing::Read(p);
        }
        if self.barred(test) {
            return Standing::Barred(self.it().bar_until.clone());
        }
        // Neighbours that have not passed can kill a good part that is fitted to try it.
        let known = |f: usize| match self.last_of(f) {
            Some(Said::No) => true,
            Some(Said::Yes) => !test.needs_spare,
            _ => self.answered(f) && (!test.needs_spare || self.read_of(f).is_some_and(|p| p < 0.5)),
        };
        let before: Vec<usize> = self.first(test).filter(|f| !known(*f)).collect();
        if before.is_empty() { Standing::Open } else { Standing::After(before) }
    }

    fn tests(&self, belief: &Belief, repairs: &Repairs) -> Vec<TestFound> {
        let costs = self.costs();
        let of = |t: usize| {
            let test = &self.faults.tests[t];
            let standing = self.standing(t);
            let minutes = self.minutes(t, self.steps().len());
            let worth = matches!(standing, Standing::Open).then(|| {
                let chances = self.chances(test, belief.sets(), repairs);
                let branches = belief.branches(self.setup(test), &chances);
                worth(belief.sets(), &branches, minutes, &costs, &repairs.mended)
            });
            TestFound { test: t, standing, minutes, worth }
        };
        let can = |t: &usize| {
            !matches!(self.allowed(*t), Err(Refused::NotThisMachine(_) | Refused::NeedsRunning(_) | Refused::NotThisComplaint(_)))
        };
        let tells = |t: &usize| self.faults.tests[*t].hits.iter().any(|h| self.causes.contains(&h.cause));
        let kept = |t: &usize| can(t) && (tells(t) || self.it().bar_until.contains(t) || self.last_of(*t).is_some());
        let mut all: Vec<TestFound> = (0..self.faults.tests.len()).filter(kept).map(of).collect();
        let place = |t: &TestFound| t.worth.map_or(f64::INFINITY, |w| w.to_repaired);
        all.sort_by(|a, b| place(a).total_cmp(&place(b)).then(a.test.cmp(&b.test)));
        all
    }

    fn advice(&self, belief: &Belief, repairs: &Repairs, tests: &[TestFound], without: f64) -> Advice {
        let open = || tests.iter().filter_map(|t| Some((t.test, t.worth?)));
        let lifts = |t: usize| {
            self.it().bar_until.contains(&t) && (self.last_of(t) != Some(Said::CannotTell) || !self.untried().is_empty())
        };
        if self.bar_stands()
            && let Some((test, worth)) = open().find(|(t, _)| lifts(*t))
        {
            return self.next(belief, repairs, (test, worth), Why::LiftsTheBar);
        }
        if let Some(&cause) = self.untried().last()
            && !self.bar_stands()
        {
            return Advice::Try { cause };
        }
        if let Some((test, worth)) = open().next().filter(|(_, w)| w.to_repaired < without) {
            return self.next(belief, repairs, (test, worth), Why::Shortens);
        }
        self.put_right(belief, &repairs.mended)
    }

    /// What to put right first: nothing twice, and nothing that cuts metal while a cause stands that can be undone.
    fn put_right(&self, belief: &Belief, mended: &[usize]) -> Advice {
        let chances = belief.of_causes();
        let costs = self.costs();
        let stands = self.stands();
        let cuts = |i: usize| self.faults.causes[self.causes[i]].irreversible && !stands.is_empty();
        for step in order(belief.sets(), belief.shares(), &costs, mended) {
            match step {
                None => break,
                Some(i) if mended.contains(&i) || cuts(i) => {}
                Some(i) => return Advice::PutRight { cause: self.causes[i], chance: chances[i], minutes: costs.mend[i] },
            }
        }
        Advice::LookWider { chance: belief.of_none() }
    }

    fn next(&self, belief: &Belief, repairs: &Repairs, (t, worth): (usize, Worth), why: Why) -> Advice {
        let test = &self.faults.tests[t];
        let chances = self.chances(test, belief.sets(), repairs);
        let (_, [yes, no]) = belief.branches(self.setup(test), &chances);
        let left: Vec<Set> = belief.sets().iter().map(|set| set.without(&repairs.mended)).collect();
        let leader = |shares: &[f64]| self.leader(&left, shares);
        Advice::Test(Box::new(Next {
            test: t,
            why,
            worth,
            if_yes: leader(&yes),
            if_no: leader(&no),
            set_up: self.set_up(t, self.steps().len()),
            fetch: self.to_fetch(t, self.steps().len()),
            repeats: test.repeats && self.repeat_min() > 0.0,
        }))
    }

    fn leader(&self, sets: &[Set], shares: &[f64]) -> Leader {
        let chances = marginals(sets, shares, self.causes.len());
        let best = (0..chances.len()).max_by(|a, b| chances[*a].total_cmp(&chances[*b]).then(b.cmp(a)));
        match best {
            Some(i) if chances[i] > shares[0] => (Some(self.causes[i]), chances[i]),
            _ => (None, shares[0]),
        }
    }
}
