//! One complaint of one machine, and what has been done about it so far.

use super::{
    bike::{Bike, weights},
    data::{Complaint, Faults, Test, When},
    evidence::{Evidence, Signature, TestReading},
    infer::{Belief, FLAWED, Set, chance},
    own::counted_chance,
    plan::Costs,
    step::{Refused, Said, Step},
};

/// What is kept of p − p₀ by a test that does not reproduce the condition under which the complaint shows \[1\] (common practice, no source).
pub const OUT_OF_CONDITION: f64 = 0.35;
/// Time to fetch a known good part that is not in hand [min] (common practice, no source).
pub const FETCH_MIN: f64 = 30.0;
/// Time to look for something that is not listed [min] (common practice, no source).
pub const LOOK_WIDER_MIN: f64 = 180.0;

/// Place behind the last step of a kind; the first where there is none.
fn behind(steps: &[Step], kind: impl Fn(&Step) -> bool) -> usize {
    steps.iter().rposition(kind).map_or(0, |at| at + 1)
}

/// What was put right, as places in [`Case::causes`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Repairs {
    /// All of it.
    pub mended: Vec<usize>,
    /// That after which the complaint was tried, and stayed.
    pub tried: Vec<usize>,
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
            Step::Tested(t, _) => self.allowed(t)?,
            Step::Untried(cause) | Step::PutRight(cause) => {
                let stand = self.stands();
                let untried = self.untried().contains(&cause);
                if self.faults.causes[cause].irreversible && !untried && !stand.is_empty() {
                    return Err(Refused::Metal { cause, stand });
                }
            }
        }
        self.took_place(step)
    }

    /// Takes a step that was taken before: what was done stays done, though by now a bar stands or a cause that can be undone has come up. A test that would be barred is told as
    /// an [`Oddity`](super::Oddity).
    ///
    /// # Errors
    /// [`Refused`] where machine, complaint or cause are not those of the case.
    pub fn took_place(&mut self, step: Step) -> Result<(), Refused> {
        match step {
            Step::Tested(t, _) => {
                self.possible(t)?;
                let since = behind(&self.steps, |s| s.repair().is_some());
                let same = |s: &Step| matches!(s, Step::Tested(before, _) if *before == t);
                if let Some(at) = self.steps[since..].iter().position(same) {
                    self.steps.remove(since + at);
                }
            }
            Step::Untried(cause) | Step::PutRight(cause) => {
                if !self.causes.contains(&cause) {
                    return Err(Refused::NoSuchCause(cause));
                }
                if self.steps.contains(&Step::PutRight(cause)) || self.steps.contains(&step) {
                    return Err(Refused::PutRightBefore(cause));
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
        self.possible(t)?;
        if self.barred(&self.faults.tests[t]) {
            return Err(Refused::Barred { test: t, until: self.it().bar_until.clone() });
        }
        Ok(())
    }

    /// Whether a test can be done on this machine and says anything about the complaint.
    fn possible(&self, t: usize) -> Result<(), Refused> {
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

    /// Whether the complaint bars tests, and the bar stands.
    pub fn bar_stands(&self) -> bool {
        !self.it().bar_states.is_empty() && !self.bar_lifted()
    }

    /// A test that lifts the bar has passed, when it was last done.
    pub fn bar_lifted(&self) -> bool {
        self.lifted_by(&self.steps)
    }

    /// The same after these steps. A repair of what the test shows undoes what it proved.
    pub(super) fn lifted_by(&self, steps: &[Step]) -> bool {
        self.it().bar_until.iter().any(|&t| {
            let shown = |cause: usize| self.faults.tests[t].hits.iter().any(|h| h.cause == cause);
            let last = steps.iter().rev().find(|s| match s {
                Step::Tested(which, _) => *which == t,
                s => s.repair().is_some_and(shown) && !self.tried_again(**s, steps),
            });
            matches!(last, Some(Step::Tested(_, Said::No)))
        })
    }

    /// A repair that was kept before it was tried, and that stays now that it was.
    fn tried_again(&self, step: Step, steps: &[Step]) -> bool {
        matches!(step, Step::PutRight(cause) if steps.contains(&Step::Untried(cause)))
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
        let mended_since = self.steps[at..].iter().any(|s| s.repair().is_some());
        let said = self.last_of(t)?;
        let lifts = self.it().bar_until.contains(&t);
        // What lifts a bar is open until it could be told.
        let again = mended_since && (said == Said::Yes || lifts) || lifts && said == Said::CannotTell;
        (!again).then_some(said)
    }

    /// What was put right.
    pub fn repairs(&self) -> Repairs {
        self.repairs_by(self.steps.len())
    }

    /// The same by the time that so many steps had been taken.
    fn repairs_by(&self, steps: usize) -> Repairs {
        let of = |steps: &[Step]| {
            let mut all: Vec<usize> = Vec::new();
            for cause in steps.iter().filter_map(|s| self.local(s.repair()?)) {
                if !all.contains(&cause) {
                    all.push(cause);
                }
            }
            all
        };
        let steps = &self.steps[..steps];
        let tried = behind(steps, |s| matches!(s, Step::PutRight(_)));
        Repairs { mended: of(steps), tried: of(&steps[..tried]) }
    }

    /// Causes that were put right, and the complaint was not tried since.
    pub fn untried(&self) -> Vec<usize> {
        let since = behind(&self.steps, |s| matches!(s, Step::PutRight(_)));
        self.steps[since..].iter().filter_map(|s| s.repair()).collect()
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
        let spare = if self.to_fetch(t, steps) { FETCH_MIN } else { 0.0 };
        let own = if self.set_up(t, steps) { test.again } else { test.minutes };
        own + if test.repeats { self.repeat_min() } else { 0.0 } + spare
    }

    /// Its set-up stands when so many steps have been taken: a repair, and the trial after it, take everything down.
    pub fn set_up(&self, t: usize, steps: usize) -> bool {
        let before = &self.steps[..steps.min(self.steps.len())];
        let since = behind(before, |s| s.repair().is_some());
        let setup = &self.faults.tests[t].setup;
        before[since..].iter().any(|s| matches!(s, Step::Tested(before, _) if self.faults.tests[*before].setup == *setup))
    }

    /// A part has to be fetched for it when so many steps have been taken.
    pub fn to_fetch(&self, t: usize, steps: usize) -> bool {
        let before = &self.steps[..steps.min(self.steps.len())];
        let fetched = before.iter().any(|s| matches!(s, Step::Tested(before, _) if *before == t));
        self.faults.tests[t].needs_spare && !self.in_hand.contains(&t) && !fetched
    }

    /// What a step took, with so many taken before it [min].
    pub fn took_min(&self, step: Step, before: usize) -> f64 {
        match step {
            Step::Tested(t, _) => self.minutes(t, before),
            Step::Untried(cause) => self.faults.causes[cause].mend_minutes,
            Step::PutRight(cause) if self.steps[..before].contains(&Step::Untried(cause)) => self.repeat_min(),
            Step::PutRight(cause) => self.faults.causes[cause].mend_minutes + self.repeat_min(),
        }
    }

    /// Time spent so far [min].
    pub fn spent(&self) -> f64 {
        self.steps.iter().enumerate().map(|(k, step)| self.took_min(*step, k)).sum()
    }

    /// Which set-up a test uses.
    pub fn setup(&self, test: &Test) -> usize {
        self.setups.iter().position(|s| *s == test.setup).unwrap_or(0)
    }

    /// Chance of a positive test for each set after repairs: the condition rule and the workshop's counts are in it.
    ///
    /// What stayed when the complaint was tried is there still, for the repair did not take; what was not tried since is made good, but for [`FLAWED`].
    pub fn chances(&self, test: &Test, sets: &[Set], repairs: &Repairs) -> Vec<f64> {
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
        let of = |set: &Set| {
            let there = chance(none, &alone, set.without(&repairs.mended));
            let good = set.is_within(&repairs.mended) && !set.is_within(&repairs.tried);
            if good { FLAWED * there + (1.0 - FLAWED) * none } else { there }
        };
        sets.iter().map(of).collect()
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
        for reading in self.evidence.tests.iter().filter(|r| self.counts(r)) {
            let test = &self.faults.tests[reading.test];
            let chances = self.chances(test, belief.sets(), &Repairs::default());
            belief.answer(self.setup(test), &chances, reading.positive);
        }
        for signature in self.signatures() {
            let likelihoods = signature.likelihoods(belief.sets(), &self.causes);
            belief.weigh_by(&likelihoods);
        }
        for (k, step) in self.steps.iter().enumerate() {
            match step {
                Step::Tested(_, Said::CannotTell) => {}
                Step::Tested(t, said) => {
                    let test = &self.faults.tests[*t];
                    let chances = self.chances(test, belief.sets(), &self.repairs_by(k));
                    belief.answer(self.setup(test), &chances, if *said == Said::Yes { 1.0 } else { 0.0 });
                }
                Step::Untried(_) => {}
                Step::PutRight(_) => belief.stays_after(&self.repairs_by(k + 1).mended, &self.repairs_by(k).tried),
            }
        }
        belief
    }

    /// A test was answered by hand before anything was put right: that stands over what its reading says.
    fn by_hand(&self, t: usize) -> bool {
        let mut before = self.steps.iter().take_while(|s| s.repair().is_none());
        before.any(|s| matches!(s, Step::Tested(which, said) if *which == t && *said != Said::CannotTell))
    }

    /// Signatures that count: one of a test that was answered by hand has been seen already, with the same lamp or meter.
    pub fn signatures(&self) -> impl Iterator<Item = &Signature> {
        let seen = |s: &Signature| self.evidence.tests.iter().any(|r| r.within == Some(s.of) && self.by_hand(r.test));
        self.evidence.signatures.iter().filter(move |s| !seen(s))
    }

    /// Whether a reading counts by itself: it bears on the case, no answer stands over it, and no signature that counts has it in it.
    pub fn counts(&self, reading: &TestReading) -> bool {
        let test = &self.faults.tests[reading.test];
        let within = || self.signatures().any(|s| Some(s.of) == reading.within);
        self.bike.bears(test) && self.answers(test) && !self.by_hand(reading.test) && !within()
    }
}
