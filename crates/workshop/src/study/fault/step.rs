//! What can be done in a search, and why something is not taken.

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
    /// A cause, as an index, was put right, and the complaint was not tried yet, for a bar stands.
    Untried(usize),
    /// A cause, as an index, was put right, and the complaint stays.
    PutRight(usize),
}

impl Step {
    /// The cause that was put right.
    pub fn repair(self) -> Option<usize> {
        match self {
            Step::Untried(cause) | Step::PutRight(cause) => Some(cause),
            Step::Tested(..) => None,
        }
    }
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
