//! What was done otherwise than is usual.

use super::{case::Case, step::Step};

/// Something that was done otherwise than is usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Oddity {
    /// A test was done before another that comes first.
    OutOfOrder(usize, usize),
    /// A test was done that would be barred now.
    WouldBeBarred(usize),
}

impl Case<'_> {
    pub(super) fn oddities(&self) -> Vec<Oddity> {
        let mut all = Vec::new();
        for (k, step) in self.steps().iter().enumerate() {
            let Step::Tested(t, _) = *step else { continue };
            let test = &self.faults.tests[t];
            let earlier = |first: usize| self.steps()[..k].iter().any(|s| matches!(s, Step::Tested(b, _) if *b == first));
            all.extend(self.first(test).filter(|f| !earlier(*f) && !self.answered(*f)).map(|f| Oddity::OutOfOrder(t, f)));
            if self.it().bar_states.contains(&test.state) && !self.lifted_by(&self.steps()[..k]) {
                all.push(Oddity::WouldBeBarred(t));
            }
        }
        all
    }
}
