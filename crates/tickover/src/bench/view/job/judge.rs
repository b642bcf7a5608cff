//! The fold of a job with what was found: as it was kept with the job, and as the readings are now.

use super::Job;
use crate::{
    bench::view::{
        card::list,
        judge::{both, run, said},
    },
    beside,
    desk::{Answer, Progress},
    pictures,
};
use maud::{Markup, html};
use sheets::words::page as words;
use workshop::job::steps::{Fold, StudyState};

/// The study of the job's machine.
#[derive(Clone, Copy)]
pub enum Study<'a> {
    /// The machine's file has defects.
    Defects,
    /// The machine is gone and nobody has asked for it.
    NotAsked,
    /// Being worked out.
    Running(&'a Progress),
    /// Stopped by the mechanic.
    Stopped,
    /// Broken: a defect of the program.
    Broken,
    /// There.
    Found(&'a Answer),
}

impl Job<'_> {
    pub(super) fn judge(&self) -> Markup {
        let kept: Vec<_> = self.present.findings().collect();
        let state = match self.study {
            _ if self.known.study == StudyState::Kept => words::KEPT,
            Study::Running(_) => words::UNDER_WAY,
            Study::Stopped => words::WAS_STOPPED,
            Study::Broken => words::FAILED,
            Study::Defects => words::AFTER_DEFECTS,
            Study::Found(_) | Study::NotAsked => "",
        };
        self.fold(
            Fold::Judge,
            false,
            state,
            &html! {
                @if !kept.is_empty() {
                    h3 { (words::KEPT_FINDINGS) }
                    @for (standing, finding) in kept.iter().rev() {
                        section.finding {
                            p.soft { (words::kept_from(finding.file_revision, standing.entry.at)) }
                            (list(&finding.words))
                        }
                    }
                }
                @if self.known.study != StudyState::Kept && !matches!(self.study, Study::NotAsked) { h3 { (words::AS_IT_IS) } }
                (self.now())
            },
        )
    }

    fn now(&self) -> Markup {
        match self.study {
            Study::NotAsked => html! {},
            Study::Defects => html! { p { (words::NO_STUDY) } },
            Study::Stopped => html! { p { (words::STOPPED) } },
            Study::Broken => html! { p { (words::BROKEN) } },
            Study::Running(progress) => html! {
                div.progress { label for="progress" { (words::WORKING) } progress #progress max="1" value=(progress.share()) {} }
                p { a href="#judge" { (words::LOOK_AGAIN) } }
            },
            Study::Found(answer) => html! {
                @if self.known.study != StudyState::Kept { (list(&said(answer))) }
                @let beside: Vec<String> = beside::of_job(&answer.read.machine, self.present).into_iter().map(|b| b.said).collect();
                @if !beside.is_empty() { h3 { (sheets::words::spark::BESIDE) } (list(&beside)) }
                div.pictures {
                    @if let Some(chart) = pictures::curve(&answer.read, answer.load().ok(), None) { section { (both(&chart, "judge")) } }
                    @if let Some(chart) = pictures::rest(answer, None) { section { (both(&chart, "judge")) } }
                    section { (run::picture(answer, None, "judge")) }
                }
                @if self.known.study != StudyState::Kept {
                    (self.later("findings", &html! {
                        input type="hidden" name="who" value=(self.who);
                        input type="hidden" name="inputs" value=(self.inputs);
                        button { (words::KEEP_FINDINGS) }
                        p.soft { (words::WHY_KEEP) }
                    }))
                }
            },
        }
    }
}
