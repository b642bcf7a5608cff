//! The fold of a job with the work that changes the machine.

use super::{Job, Study, area, field_as};
use crate::{bench::alterations::leave, desk::Answer};
use jobbook::{Alteration, Progress, Standing};
use maud::{Markup, html};
use sheets::words::{self as say, page as words};
use workshop::{
    job::{TRIM, steps::Fold},
    study::trim::Advice,
};

impl Job<'_> {
    /// The plan, with the caution before what cannot be undone, and a form for more.
    pub(super) fn alter(&self) -> Markup {
        let all: Vec<(&Standing, &Alteration)> = self.present.alterations().collect();
        let wants = |(s, a): &&(&Standing, &Alteration)| {
            a.irreversible && a.progress == Progress::Planned && leave(self.log, self.present, s.entry.id).is_none()
        };
        let waiting = all.iter().filter(wants).count();
        self.fold(
            Fold::Alter,
            waiting > 0,
            &words::alterations(all.len(), waiting),
            &html! {
                @if let Study::Found(answer) = self.study && !all.iter().any(|(_, a)| a.work == TRIM) { (self.advised(answer)) }
                @for (standing, alteration) in &all { (self.alteration(standing, alteration)) }
                h3 { (words::PLAN_WORK) }
                (self.later("alteration", &html! {
                    (area("alteration-words", "words", words::WORDS, "", true))
                    (field_as("length", "length", words::HOW_MUCH, "", words::LENGTH_EXAMPLE))
                    div.field.tick {
                        input #irreversible type="checkbox" name="irreversible" value="yes";
                        label for="irreversible" { (words::CANNOT_BE_UNDONE) }
                    }
                    (field_as("alteration-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP) }
                }))
                (self.costs())
            },
        )
    }

    /// What the study advises, ready to be planned.
    fn advised(&self, answer: &Answer) -> Markup {
        let Ok(trim) = answer.trim() else { return html! {} };
        html! {
            p { (say::advice(trim)) }
            p { a href={ "/machine/" (self.record.machine) "#alter" } { (words::TO_THE_CUT) } }
            @if let Some(window) = answer.window() && !matches!(trim.advice, Advice::RuleOutFirst { .. }) {
                (self.later("alteration", &html! {
                    input type="hidden" name="words" value=(words::TRIM_THE_SEGMENT);
                    input type="hidden" name="length" value=(say::mm_pm(window.advised));
                    input type="hidden" name="irreversible" value="yes";
                    input type="hidden" name="work" value=(TRIM);
                    input type="hidden" name="who" value=(self.who);
                    button { (words::PLAN_THE_CUT) }
                }))
            }
        }
    }

    fn alteration(&self, standing: &Standing, alteration: &Alteration) -> Markup {
        let id = standing.entry.id;
        let open = alteration.progress == Progress::Planned;
        let leave = leave(self.log, self.present, id);
        let hidden = html! { input type="hidden" name="entry" value=(id.0); input type="hidden" name="who" value=(self.who); };
        html! {
            section.alteration {
                p.lines { strong { (words::progress(alteration.progress)) } ": " (alteration.words)
                    @if let Some(length) = alteration.length_m { ", " (say::mm(length)) } }
                @if alteration.irreversible && open {
                    @for c in say::cautions_for_cut() { div.caution { h3 { (c.danger) } p { (c.protects) } } }
                    p { (words::RISK) }
                }
                @match leave {
                    Some(consent) => { p.soft { (words::leave_given(consent)) } }
                    None if alteration.irreversible && open => { (self.later("consent", &html! {
                        input type="hidden" name="entry" value=(id.0);
                        (field_as(&format!("by-{}", id.0), "by", words::LEAVE_BY, "", ""))
                        (field_as(&format!("how-{}", id.0), "how", words::LEAVE_HOW, "", words::LEAVE_EXAMPLE))
                        input type="hidden" name="who" value=(self.who);
                        button { (words::NOTE_LEAVE) }
                    })) }
                    None => {}
                }
                @if open {
                    div.row {
                        @if !alteration.irreversible || leave.is_some() {
                            (self.post("step", &html! { (hidden) input type="hidden" name="progress" value="done"; button.plain { (words::DONE) } }))
                        }
                        (self.post("step", &html! { (hidden) input type="hidden" name="progress" value="given_up"; button.plain { (words::GIVE_UP) } }))
                    }
                }
            }
        }
    }
}
