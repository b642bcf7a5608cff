//! One complaint of one machine, and what has been done about it so far.

use super::{
    bike::{Bike, weights},
    data::{Complaint, Faults, Test, When},
    evidence::Evidence,
    infer::{Belief, Set, chance},
    own::counted_chance,
    plan::Costs,
};

/// What is kept of p − p₀ by a test that does not reproduce the condition under which the complaint shows \[1\] (common practice, no source).
pub const OUT_OF_CONDITION: f64 = 0.35;
/// Time to fetch a known good part that is not in hand [min] (common practice, no source).
pub const FETCH_MIN: f64 = 30.0;
/// Time to look for something that is not listed [min] (common practice, no source).
pub const LOOK_WIDER_MIN: f64 = 180.0;

/// How a test came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// Positive.
    Yes,
    /// Negative: it passed.
    No,
    /// Nobody could tell. It counts for nothing but its minutes, and is not offered again.
    CannotTell,
}

/// One thing that was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// A test, as an index, and how it came out.
    Tested(usize, Said),
    /// A cause, as an index, was put right, and the complaint stays.
    PutRight(usize),
}

/// Why something cannot be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// This machine cannot have this complaint.
    ComplaintOfAnother,
    /// The test cannot be done on this machine.
    NotThisMachine(usize),
    /// The test says nothing about this complaint.
    NotThisComplaint(usize),
    /// The test needs an engine that runs.
    NeedsRunning(usize),
    /// The test is barred until one of these has passed; none = for good.
    Barred {
        /// The test.
        test: usize,
        /// What lifts the bar.
        until: Vec<usize>,
    },
    /// The complaint has no such cause on this machine.
    NoSuchCause(usize),
    /// It has been put right already.
    PutRightBefore(usize),
    /// Metal is not cut while causes stand that can be undone.
    Metal {
        /// The cause whose cure cuts.
        cause: usize,
        /// What stands.
        stand: Vec<usize>,
    },
}

/// A complaint and what has been done.
#[derive(Clone, Debug)]
pub struct Case<'f> {
    /// What is known of faults.
    pub faults: &'f Faults,
    /// The machine.
    pub bike: Bike,
    /// The complaint, as an index.
    pub complaint: usize,
    /// Its causes on this machine, as indices.
    pub causes: Vec<usize>,
    /// Tests whose part is in hand, as indices.
    pub in_hand: Vec<usize>,
    /// What readings of the job say by themselves.
    pub evidence: Evidence,
    steps: Vec<Step>,
    setups: Vec<&'f str>,
}

impl<'f> Case<'f> {
    /// A complaint with nothing done yet.
    ///
    /// # Errors
    /// [`Refused::ComplaintOfAnother`].
    pub fn new(faults: &'f Faults, bike: Bike, complaint: usize, evidence: Evidence) -> Result<Self, Refused> {
        let it = &faults.complaints[complaint];
        if !bike.can_show(it) {
            return Err(Refused::ComplaintOfAnother);
        }
        let causes = bike.causes(faults, it).iter().map(|w| w.cause).collect();
        let mut setups: Vec<&str> = Vec::new();
        for test in &faults.tests {
            if !setups.contains(&test.setup.as_str()) {
                setups.push(&test.setup);
            }
        }
        Ok(Self { faults, bike, complaint, causes, in_hand: Vec::new(), evidence, steps: Vec::new(), setups })
    }

    /// The complaint.
    pub fn it(&self) -> &'f Complaint {
        &self.faults.complaints[self.complaint]
    }

    /// What was done, in order.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Takes one more step. A test answered again with nothing put right in between takes the place of the former answer.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn step(&mut self, step: Step) -> Result<(), Refused> {
        match step {
            Step::Tested(t, _) => {
                self.allowed(t)?;
                let since = self.steps.iter().rposition(|s| matches!(s, Step::PutRight(_))).map_or(0, |at| at + 1);
                let same = |s: &Step| matches!(s, Step::Tested(before, _) if *before == t);
                if let Some(at) = self.steps[since..].iter().position(same) {
                    self.steps[since + at] = step;
                    return Ok(());
                }
            }
            Step::PutRight(cause) => {
                if !self.causes.contains(&cause) {
                    return Err(Refused::NoSuchCause(cause));
                }
                if self.steps.contains(&step) {
                    return Err(Refused::PutRightBefore(cause));
                }
                let stand = self.stands();
                if self.faults.causes[cause].irreversible && !stand.is_empty() {
                    return Err(Refused::Metal { cause, stand });
                }
            }
        }
        self.steps.push(step);
        Ok(())
    }

    /// Takes back the last step.
    pub fn back(&mut self) -> Option<Step> {
        self.steps.pop()
    }

    /// Whether a test may be done now.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn allowed(&self, t: usize) -> Result<(), Refused> {
        let test = &self.faults.tests[t];
        if !self.bike.bears(test) {
            return Err(Refused::NotThisMachine(t));
        }
        if self.it().dead && test.must_run {
            return Err(Refused::NeedsRunning(t));
        }
        if !self.answers(test) {
            return Err(Refused::NotThisComplaint(t));
        }
        if self.barred(test) {
            return Err(Refused::Barred { test: t, until: self.it().bar_until.clone() });
        }
        Ok(())
    }

    /// Whether a test says anything about the complaint, and can be done while it shows.
    pub fn answers(&self, test: &Test) -> bool {
        let it = self.it();
        !(it.dead && test.must_run)
            && (test.kinds.is_empty() || test.kinds.contains(&it.kind))
            && (test.only_when.is_empty() || test.only_when.contains(&it.when))
    }

    /// Whether a test is barred now.
    pub fn barred(&self, test: &Test) -> bool {
        self.it().bar_states.contains(&test.state) && !self.bar_lifted()
    }

    /// A test that lifts the bar has passed, when it was last done.
    pub fn bar_lifted(&self) -> bool {
        self.it().bar_until.iter().any(|&t| self.last_of(t) == Some(Said::No))
    }

    /// How a test came out when it was last done.
    pub fn last_of(&self, t: usize) -> Option<Said> {
        self.steps.iter().rev().find_map(|s| match s {
            Step::Tested(which, said) if *which == t => Some(*said),
            _ => None,
        })
    }

    /// Whether a test still stands as done: a positive one may be done again when something has been put right since, and so may those that lift a bar.
    pub fn done(&self, t: usize) -> Option<Said> {
        let at = self.steps.iter().rposition(|s| matches!(s, Step::Tested(which, _) if *which == t))?;
        let mended_since = self.steps[at..].iter().any(|s| matches!(s, Step::PutRight(_)));
        let said = self.last_of(t)?;
        let again = mended_since && (said == Said::Yes || self.it().bar_until.contains(&t));
        (!again).then_some(said)
    }

    /// What was put right, as places in [`causes`](Self::causes).
    pub fn mended(&self) -> Vec<usize> {
        let of = |s: &Step| if let Step::PutRight(cause) = s { self.local(*cause) } else { None };
        self.steps.iter().filter_map(of).collect()
    }

    /// Place of a cause in [`causes`](Self::causes).
    pub fn local(&self, cause: usize) -> Option<usize> {
        self.causes.iter().position(|c| *c == cause)
    }

    /// Time to put each cause right.
    pub fn costs(&self) -> Costs {
        let mend = self.causes.iter().map(|&c| self.faults.causes[c].mend_minutes + self.repeat_min()).collect();
        Costs { mend, other: LOOK_WIDER_MIN }
    }

    /// Time to bring the complaint on again [min].
    pub fn repeat_min(&self) -> f64 {
        self.faults.repeat_minutes[When::ALL.iter().position(|w| *w == self.it().when).unwrap_or(0)]
    }

    /// Time that a test takes when so many steps have been taken [min].
    pub fn minutes(&self, t: usize, steps: usize) -> f64 {
        let test = &self.faults.tests[t];
        let stands = |s: &Step| matches!(s, Step::Tested(before, _) if self.faults.tests[*before].setup == test.setup);
        let set_up = self.steps[..steps.min(self.steps.len())].iter().any(stands);
        let spare = if test.needs_spare && !self.in_hand.contains(&t) && !self.fetched(t, steps) { FETCH_MIN } else { 0.0 };
        (if set_up { test.again } else { test.minutes }) + if test.repeats { self.repeat_min() } else { 0.0 } + spare
    }

    /// The part was fetched for this test before.
    fn fetched(&self, t: usize, steps: usize) -> bool {
        self.steps[..steps.min(self.steps.len())].iter().any(|s| matches!(s, Step::Tested(before, _) if *before == t))
    }

    /// Time spent so far [min].
    pub fn spent(&self) -> f64 {
        let one = |(k, step): (usize, &Step)| match step {
            Step::Tested(t, _) => self.minutes(*t, k),
            Step::PutRight(cause) => self.faults.causes[*cause].mend_minutes + self.repeat_min(),
        };
        self.steps.iter().enumerate().map(one).sum()
    }

    /// Which set-up a test uses.
    pub fn setup(&self, test: &Test) -> usize {
        self.setups.iter().position(|s| *s == test.setup).unwrap_or(0)
    }

    /// Chance of a positive test for each set, with these causes put right: the condition rule and the workshop's counts are in it.
    pub fn chances(&self, test: &Test, sets: &[Set], mended: &[usize]) -> Vec<f64> {
        let keep = match &test.sees {
            Some(sees) if !sees.contains(&self.it().when) => OUT_OF_CONDITION,
            _ => 1.0,
        };
        let none = counted_chance(test.none, test.none_seen);
        let alone = |cause: &usize| {
            let hit = test.hits.iter().find(|h| h.cause == *cause);
            hit.map_or(none, |h| none + keep * (counted_chance(h.chance, h.seen) - none))
        };
        let alone: Vec<f64> = self.causes.iter().map(alone).collect();
        sets.iter().map(|set| chance(none, &alone, set.without(mended))).collect()
    }

    /// What is believed before anything was done or read.
    pub fn prior(&self) -> Belief {
        let it = self.it();
        let list: Vec<_> = self.causes.iter().filter_map(|c| it.causes.iter().find(|w| w.cause == *c)).collect();
        let (weights, other) = weights(it, &list);
        Belief::new(&weights, other, self.setups.len())
    }

    /// What is believed now.
    pub fn belief(&self) -> Belief {
        let mut belief = self.prior();
        for reading in &self.evidence.tests {
            let test = &self.faults.tests[reading.test];
            // What the mechanic says of a test stands over what its reading says.
            let by_hand =
                self.steps.iter().any(|s| matches!(s, Step::Tested(t, said) if *t == reading.test && *said != Said::CannotTell));
            if self.evidence.counts(reading) && !by_hand && self.bike.bears(test) && self.answers(test) {
                let chances = self.chances(test, belief.sets(), &[]);
                belief.answer(self.setup(test), &chances, reading.positive);
            }
        }
        for signature in &self.evidence.signatures {
            let likelihoods = signature.likelihoods(belief.sets(), &self.causes);
            belief.weigh_by(&likelihoods);
        }
        let mut mended = Vec::new();
        for step in &self.steps {
            match step {
                Step::Tested(_, Said::CannotTell) => {}
                Step::Tested(t, said) => {
                    let test = &self.faults.tests[*t];
                    let chances = self.chances(test, belief.sets(), &mended);
                    belief.answer(self.setup(test), &chances, if *said == Said::Yes { 1.0 } else { 0.0 });
                }
                Step::PutRight(cause) => {
                    mended.extend(self.local(*cause));
                    belief.stays_after(&mended);
                }
            }
        }
        belief
    }
}
