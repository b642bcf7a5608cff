//! The fold of a job with what was found: as it was kept with the job, and as the readings are now.

use super::Job;
use crate::{
    bench::view::{
        card::list,
        judge::{both, run, said},
    },
    desk::{Answer, Progress},
    faults::kept,
    pictures,
};
use jobbook::Reading;
use maud::{Markup, html};
use quantity::Unit;
use sheets::words::page as words;
use workshop::{
    job::{
        named,
        steps::{Fold, StudyState},
    },
    study::spark::beside::{Beside, Kept, beside},
};

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

    /// Readings of the job beside the machine's file.
    fn beside(&self, answer: &Answer) -> Vec<String> {
        let readings: Vec<&Reading> = self.present.readings().map(|(_, r)| r).collect();
        let kept: Vec<Kept> = readings.iter().map(|r| kept(r)).collect();
        let sentence = |b: &Beside| {
            let r = readings[b.kept];
            let unit = Unit::named(&r.unit).or_else(|| named(&r.what)?.dimension.units().first().copied())?;
            let name = if r.place.is_empty() { r.words.clone() } else { format!("{}, {}", r.words, r.place) };
            Some(sheets::words::spark::beside(&name, &r.typed, b, unit))
        };
        beside(&answer.read.machine, &kept).iter().filter_map(sentence).collect()
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
                @let beside = self.beside(answer);
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
