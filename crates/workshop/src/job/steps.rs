//! What a job still wants, fold by fold of its card, in the order of the work.
//!
//! ```
//! use workshop::job::steps::{Fold, Known, Step};
//! let just_opened = Known::default();
//! assert_eq!(just_opened.wanting(Fold::Measure), [Step::MeasureAsFound]);
//! // What is gone is gone: a job that was handed over wants nothing.
//! assert_eq!(Known { handed_over: true, ..just_opened }.wanting(Fold::Measure), []);
//! ```

use crate::study::idle::Parameter;

/// A fold of a job's card, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// What the owner says.
    Complaint,
    /// What is measured.
    Measure,
    /// What it means.
    Judge,
    /// What is changed.
    Alter,
    /// What the owner gets back.
    HandOver,
}

impl Fold {
    /// All of them.
    pub const ALL: [Fold; 5] = [Fold::Complaint, Fold::Measure, Fold::Judge, Fold::Alter, Fold::HandOver];
}

/// What is known of a job. Nothing known is the state in which it is opened.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// The machine has left.
    pub handed_over: bool,
    /// Somebody is noted whose machine it is.
    pub whose: bool,
    /// The odometer was read.
    pub odometer: bool,
    /// What the owner allows to be changed for good is noted.
    pub may_cut: bool,
    /// Readings as found [1].
    pub as_found: usize,
    /// What was measured as found and not yet as left, with its place.
    pub not_as_left: Vec<String>,
    /// Defects of the machine's file [1].
    pub defects: usize,
    /// How far the study of the machine is.
    pub study: StudyState,
    /// What the study advises, once it is there.
    pub advised: Option<Advised>,
    /// What the verdict turns on, where it turns on something that the mechanic can find out.
    pub turns_on: Option<Parameter>,
    /// Work that is planned and neither done nor given up.
    pub planned: Vec<Planned>,
    /// Pieces of work that were done [1].
    pub done: usize,
    /// Pieces of work in all, also what was given up [1].
    pub noted_work: usize,
    /// What is to be looked at later [1].
    pub reminders: usize,
}

/// How far the study of the job's machine is, and whether its findings are kept with the job.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StudyState {
    /// It cannot begin, or nothing is known of it.
    #[default]
    Unknown,
    /// It is being worked out.
    Running,
    /// It was stopped, or broke.
    Stopped,
    /// It is there, and nothing of it is kept with the job.
    Found,
    /// Findings are kept that come from earlier readings.
    KeptEarlier,
    /// These findings are kept.
    Kept,
}

/// What the study advises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advised {
    /// Nothing is to be changed, or no cut serves.
    Nothing,
    /// Something that can be undone.
    Reversible,
    /// A cut.
    Cut,
}

/// A piece of work that is planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// What, in the mechanic's words.
    pub words: String,
    /// It cannot be undone, and the owner has not given leave.
    pub wants_leave: bool,
}

/// Something that a job wants.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// Note whose machine it is.
    NoteWhose,
    /// Read the odometer.
    ReadOdometer,
    /// Ask what may be changed for good.
    AskWhatMayBeCut,
    /// Take a first reading before anything is touched.
    MeasureAsFound,
    /// Put the machine's file right.
    PutFileRight {
        /// Defects [1].
        defects: usize,
    },
    /// Measure again what was measured as found.
    MeasureAsLeft {
        /// What, with its place.
        what: String,
    },
    /// Wait for the study.
    WaitForStudy,
    /// Have the study worked out.
    WorkItOut,
    /// Keep the findings with the job.
    KeepFindings {
        /// Others are kept, from earlier readings.
        again: bool,
    },
    /// Find out what the verdict turns on.
    Sharpen {
        /// What.
        on: Parameter,
    },
    /// Plan what can be undone.
    PlanReversible,
    /// Plan the cut that is advised.
    PlanCut,
    /// Ask the owner's leave.
    AskLeave {
        /// For what.
        work: String,
    },
    /// Do what is planned.
    DoWork {
        /// What.
        work: String,
    },
    /// End what is planned: do it or give it up.
    EndWork {
        /// Pieces of work [1].
        pieces: usize,
    },
    /// Note when to look again.
    NoteReminder,
    /// Print the owner's page and hand the machine over.
    HandOver,
}

impl Known {
    /// What a fold wants, the next step first; empty where it has all that it needs (the order is common practice, no source).
    pub fn wanting(&self, fold: Fold) -> Vec<Step> {
        if self.handed_over {
            return Vec::new();
        }
        match fold {
            Fold::Complaint => self.complaint(),
            Fold::Measure => self.measure(),
            Fold::Judge => self.judge(),
            Fold::Alter => self.alter(),
            Fold::HandOver => self.hand_over(),
        }
    }

    fn complaint(&self) -> Vec<Step> {
        let wants =
            [(!self.whose, Step::NoteWhose), (!self.odometer, Step::ReadOdometer), (!self.may_cut, Step::AskWhatMayBeCut)];
        wants.into_iter().filter(|(wanted, _)| *wanted).map(|(_, step)| step).collect()
    }

    fn measure(&self) -> Vec<Step> {
        let mut steps = Vec::new();
        if self.as_found == 0 && self.done == 0 {
            steps.push(Step::MeasureAsFound);
        }
        if self.defects > 0 {
            steps.push(Step::PutFileRight { defects: self.defects });
        }
        steps.extend(self.as_left());
        steps
    }

    /// What was touched is measured again.
    fn as_left(&self) -> impl Iterator<Item = Step> {
        let touched = self.done > 0;
        self.not_as_left.iter().filter(move |_| touched).map(|what| Step::MeasureAsLeft { what: what.clone() })
    }

    fn judge(&self) -> Vec<Step> {
        let mut steps = match self.study {
            _ if self.defects > 0 => vec![Step::PutFileRight { defects: self.defects }],
            StudyState::Unknown | StudyState::Kept => Vec::new(),
            StudyState::Running => vec![Step::WaitForStudy],
            StudyState::Stopped => vec![Step::WorkItOut],
            StudyState::Found => vec![Step::KeepFindings { again: false }],
            StudyState::KeptEarlier => vec![Step::KeepFindings { again: true }],
        };
        steps.extend(self.turns_on.map(|on| Step::Sharpen { on }));
        steps
    }

    fn alter(&self) -> Vec<Step> {
        let mut steps: Vec<Step> = self
            .planned
            .iter()
            .map(|p| {
                let work = p.words.clone();
                if p.wants_leave { Step::AskLeave { work } } else { Step::DoWork { work } }
            })
            .collect();
        if self.noted_work == 0 {
            steps.extend(match self.advised {
                Some(Advised::Reversible) => Some(Step::PlanReversible),
                Some(Advised::Cut) => Some(Step::PlanCut),
                Some(Advised::Nothing) | None => None,
            });
        }
        steps
    }

    fn hand_over(&self) -> Vec<Step> {
        let mut steps = Vec::new();
        if !self.planned.is_empty() {
            steps.push(Step::EndWork { pieces: self.planned.len() });
        }
        steps.extend(self.as_left());
        if self.done > 0 && self.reminders == 0 {
            steps.push(Step::NoteReminder);
        }
        steps.push(Step::HandOver);
        steps
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leave_comes_before_the_work() {
        let planned = |wants_leave| vec![Planned { words: "Trim".to_owned(), wants_leave }];
        let known = |wants_leave| Known { planned: planned(wants_leave), noted_work: 1, ..Known::default() };
        assert_eq!(known(true).wanting(Fold::Alter), [Step::AskLeave { work: "Trim".to_owned() }]);
        assert_eq!(known(false).wanting(Fold::Alter), [Step::DoWork { work: "Trim".to_owned() }]);
        assert_eq!(known(true).wanting(Fold::HandOver)[0], Step::EndWork { pieces: 1 });
    }

    #[test]
    fn only_what_was_touched_is_measured_again() {
        let known = Known { as_found: 1, not_as_left: vec!["Idle speed".to_owned()], ..Known::default() };
        assert_eq!(known.wanting(Fold::Measure), []);
        let touched = Known { done: 1, noted_work: 1, ..known };
        let again = Step::MeasureAsLeft { what: "Idle speed".to_owned() };
        assert_eq!(touched.wanting(Fold::Measure), std::slice::from_ref(&again));
        assert_eq!(touched.wanting(Fold::HandOver), [again, Step::NoteReminder, Step::HandOver]);
    }

    #[test]
    fn advice_is_planned_once() {
        let known = Known { advised: Some(Advised::Cut), ..Known::default() };
        assert_eq!(known.wanting(Fold::Alter), [Step::PlanCut]);
        assert_eq!(Known { noted_work: 1, ..known }.wanting(Fold::Alter), [], "given up is decided too");
        assert_eq!(Known { advised: Some(Advised::Nothing), ..Known::default() }.wanting(Fold::Alter), []);
    }

    #[test]
    fn findings_from_earlier_readings_are_told_from_these() {
        let judged = |study| Known { study, ..Known::default() }.wanting(Fold::Judge);
        assert_eq!(judged(StudyState::Found), [Step::KeepFindings { again: false }]);
        assert_eq!(judged(StudyState::KeptEarlier), [Step::KeepFindings { again: true }]);
        assert_eq!(judged(StudyState::Kept), []);
        let broken = Known { defects: 2, study: StudyState::Kept, ..Known::default() };
        assert_eq!(broken.wanting(Fold::Judge), [Step::PutFileRight { defects: 2 }]);
    }
}
