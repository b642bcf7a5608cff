//! Fault finding on the page: the complaint, the next test, answers, bars of causes.

mod in_hand;
mod of_job;
mod repair;

use super::{
    super::fault::Search,
    card::{list, watch},
    judge::pictured,
};
use crate::{desk::Read, faults::written, pictures::WIRING_MM};
use in_hand::in_hand;
use jobbook::{Did, SearchStep, Standing};
use maud::{Markup, html};
use of_job::{ended, kept};
use sheets::{
    beside::beside,
    words::{fault as text, fault::page as said, sheet::CAUTION},
};
use workshop::study::fault::{Advice, Case, FaultStudy, Faults, Said, Standing as Stands, Step, Studies, Test, expected};

/// Causes that always stand, and the share from which more do.
const ALWAYS_SHOWN: usize = 8;
const SHARE_SHOWN: f64 = 0.01;

/// What is not of the case itself.
pub struct Around<'a> {
    /// Where readings come from.
    pub studies: Studies<'a>,
    /// Answers that were not taken, and why.
    pub not_taken: &'a [String],
    /// Recordings that are being heard, and how far that is.
    pub hearing: &'a [(&'a str, f64)],
}

/// A search as it stands.
pub struct Found<'a> {
    /// The case.
    pub case: &'a Case<'a>,
    /// What follows.
    pub study: &'a FaultStudy,
    /// What is not of the case itself.
    pub around: &'a Around<'a>,
    /// The job in whose log it is kept.
    pub of_job: Option<&'a OfJob<'a>>,
    /// Where it stands.
    pub action: String,
}

/// A search that is kept in the log of a job.
pub struct OfJob<'a> {
    /// Where answers go.
    pub to: &'a To<'a>,
    /// Its steps that stand.
    pub steps: &'a [(&'a Standing, &'a SearchStep)],
}

impl OfJob<'_> {
    /// The step with which it ended.
    fn end(&self) -> Option<&SearchStep> {
        self.steps.iter().rev().map(|(_, s)| *s).find(|s| s.did == Did::Found)
    }
}

/// Where answers go.
pub enum To<'a> {
    /// Into the address: nothing is kept.
    Machine(&'a str),
    /// Into the log of a job.
    Job {
        /// Its number.
        number: &'a str,
        /// Who wrote last on this device.
        who: &'a str,
        /// Mark of the forms on this page.
        token: &'a str,
    },
}

impl To<'_> {
    /// Its address.
    pub fn address(&self) -> String {
        match self {
            To::Machine(slug) => format!("/machine/{slug}/fault"),
            To::Job { number, .. } => format!("/job/{number}/fault"),
        }
    }

    fn method(&self) -> &'static str {
        if matches!(self, To::Job { .. }) { "post" } else { "get" }
    }

    /// What every form that writes carries; `of` tells forms of one page apart.
    fn marks(&self, of: &str) -> Markup {
        match self {
            To::Machine(_) => html! {},
            To::Job { who, token, .. } => html! {
                input type="hidden" name="who" value=(who);
                input type="hidden" name="token" value={ (token) "-" (of) };
            },
        }
    }
}

/// A page of its own, as it is without the script.
pub fn page(name: &str, to: &To, inside: &Markup) -> Markup {
    let (address, words) = match to {
        To::Machine(slug) => (format!("/machine/{slug}"), said::BACK_TO_CARD),
        To::Job { number, .. } => (format!("/job/{number}"), said::BACK_TO_JOB),
    };
    html! {
        div.title {
            h1 { (name) ": " (text::FAULT) }
            p { a href=(address) { (words) } }
        }
        // As in the card, what stands here comes below a heading of the second order.
        div.plain-part {
            h2 { (said::FIND) }
            (inside)
        }
    }
}

/// The choice of a complaint in the owner's words; also in the fold of a card.
pub fn choice(faults: &Faults, to: &To, wished: &Search, wrong: Option<&str>) -> Markup {
    html! {
        section.fault #fault data-fault {
            h3 { (said::FIND) }
            @if let Some(wrong) = wrong { p.error { (wrong) } }
            form method=(to.method()) action=(to.address()) {
                (to.marks("begin"))
                @if to.method() == "post" { (beside_kept(wished)) } @else { (beside_asked(wished)) }
                div.fields {
                    div.field {
                        label for="fault-complaint" { (said::OWNER_SAYS) }
                        select id="fault-complaint" name="complaint" required {
                            option value="" { (said::CHOOSE) }
                            @for c in &faults.complaints { option value=(c.id) { (text::owner_says(c)) " " (c.name) } }
                        }
                    }
                }
                div.row { button { (said::BEGIN) } }
            }
        }
    }
}

/// Hidden fields that carry a search on. A job's log has it already.
fn carried(search: &Search, found: &Found, did: &[String], skip: bool) -> Markup {
    html! {
        @if found.of_job.is_none() {
            input type="hidden" name="complaint" value=(search.complaint);
            @for each in did { input type="hidden" name="did" value=(each); }
        }
        (beside_asked(search))
        @if skip { @for each in &search.skip { input type="hidden" name="skip" value=(each); } }
    }
}

/// What was said beside the answers, for forms that ask.
fn beside_asked(search: &Search) -> Markup {
    html! { @for (name, value) in search.beside() { input type="hidden" name=(name) value=(value); } }
}

/// The same in one, for forms that write.
fn beside_kept(search: &Search) -> Markup {
    let said = search.at("", &[]);
    html! { @if !said.is_empty() { input type="hidden" name="said" value=(said.trim_start_matches('?')); } }
}

/// A form whose buttons answer.
fn answering(search: &Search, found: &Found, did: &[String], of: &str, inside: &Markup) -> Markup {
    match found.of_job {
        None => html! { form method="get" action=(found.action) { (carried(search, found, did, false)) (inside) } },
        Some(job) => html! {
            form method="post" action=(job.to.address()) {
                input type="hidden" name="complaint" value=(search.complaint);
                (job.to.marks(of))
                (beside_kept(search))
                (inside)
            }
        },
    }
}

/// The test on offer: the one that was chosen, the one that is advised, or the best that was not skipped.
fn offered(search: &Search, found: &Found) -> Option<usize> {
    let skipped = |t: usize| search.skip.contains(&found.case.faults.tests[t].id);
    if let Some(t) = found.case.faults.test(&search.test).filter(|t| found.case.allowed(*t).is_ok()) {
        return Some(t);
    }
    match &found.study.next {
        Advice::Test(next) if !skipped(next.test) => Some(next.test),
        Advice::Test(_) => found.study.tests.iter().find(|t| t.worth.is_some() && !skipped(t.test)).map(|t| t.test),
        Advice::PutRight { .. } | Advice::Try { .. } | Advice::LookWider { .. } => None,
    }
}

/// A search under way.
pub fn search(slug: &str, read: &Read, search: &Search, found: &Found) -> Markup {
    let (case, study) = (found.case, found.study);
    let did: Vec<String> = study.steps.iter().map(|s| written(case.faults, *s)).collect();
    let test = offered(search, found);
    let advised = matches!((&study.next, test), (Advice::Test(n), Some(t)) if n.test == t);
    let end = found.of_job.and_then(OfJob::end);
    let paper = match found.of_job {
        Some(_) => search.at(&format!("{}.pdf", found.action), &[]),
        None => {
            let did = did.iter().map(|d| ("did", d.as_str()));
            let asks: Vec<_> = std::iter::once(("complaint", search.complaint.as_str())).chain(did).collect();
            search.at(&format!("/machine/{slug}/fault.pdf"), &asks)
        }
    };
    let another: &[(&str, &str)] = if found.of_job.is_some() { &[("complaint", "another")] } else { &[] };
    let another = search.at(&found.action, another);
    let picture = test
        .filter(|_| end.is_none())
        .and_then(|t| beside(&case.faults.tests[t], &read.machine, found.around.studies, WIRING_MM));
    html! {
        section.fault #fault data-fault {
            h3 { (text::owner_says(case.it())) }
            @if let Some(stop) = text::stop_first(case, study) { div.caution { p { strong { (CAUTION) ": " } (stop) } } }
            (watch(found.around.not_taken))
            (hearing(search, found))
            @if let Some(end) = end {
                p.verdict { (said::WAS_FOUND) ": " (end.words.trim_start_matches("found: ")) }
            } @else {
                @if study.steps.is_empty() { p.soft { (text::ASK) ": " (case.it().ask.join(" ")) } }
                p.verdict { (text::advice(case, study)) }
                p { (text::reason(case, study)) }
            }
            p.soft { (text::spent(study)) }
            div.pictures {
                section {
                    @if end.is_none() {
                        @if let Some(t) = test {
                            @if !advised { h4 { (case.faults.tests[t].name) } }
                            @if let Some(first) = text::usually_after(study, case.faults, t) { (list(&[first])) }
                            (card(read, &case.faults.tests[t], found.around.studies))
                            (answering(search, found, &did, "answer", &html! {
                                p { (said::HOW_CAME_OUT) }
                                div.row {
                                    @for (how, words) in [(Said::Yes, said::YES), (Said::No, said::NO), (Said::CannotTell, said::CANNOT_TELL)] {
                                        button name="did" value=(written(case.faults, Step::Tested(t, how))) { (words) }
                                    }
                                }
                            }))
                            form method="get" action=(found.action) {
                                (carried(search, found, &did, true))
                                div.row { button.plain name="skip" value=(case.faults.tests[t].id) { (said::SKIP) } }
                            }
                        }
                        (pictured(picture.as_ref()))
                        (repair::advised(search, found, &did))
                        (others(search, found, &did))
                        (in_hand(read, search, found, &did))
                        (repair::other(search, found, &did))
                        (ended(search, found))
                    }
                    @match found.of_job { Some(job) => (kept(search, job)), None => (done(search, found, &did)) }
                    div.row {
                        a.button.plain href=(paper) { (said::PRINT) }
                        a.button.plain href=(another) data-stays { @if end.is_some() { (said::AGAIN_OR_ANOTHER) } @else { (said::ANOTHER) } }
                    }
                }
                section {
                    (bars(found))
                    (list(&text::remarks(case, study)))
                    @let read_said = text::evidence::all(case);
                    @if !read_said.is_empty() { h4 { (text::READ) } (list(&read_said)) }
                    p.soft { (text::HOW) }
                }
            }
        }
    }
}

/// Recordings that are being heard; the script follows them, and without it one looks again.
fn hearing(search: &Search, found: &Found) -> Markup {
    let all = found.around.hearing;
    let least = all.iter().map(|(_, share)| *share).fold(1.0, f64::min);
    html! {
        @if !all.is_empty() {
            div data-hearing={ (found.action) "/hearing" } {
                ul.said { @for (name, _) in all { li.watch { (said::being_heard(name)) } } }
                div.row {
                    progress max="1" value=(format!("{least:.3}")) aria-label=(said::HEARING) {}
                    a.button.plain href=(search.at(&found.action, &[])) data-stays { (said::LOOK_AGAIN) }
                }
            }
        }
    }
}

fn card(read: &Read, test: &Test, studies: Studies) -> Markup {
    let here = expected(test, &read.machine, studies);
    html! {
        @if let Some(danger) = &test.danger { ul.said { li.watch { strong { (CAUTION) ": " } (danger) } } }
        ul.said { @for (name, words) in text::test_card(test, here.as_ref(), &read.machine) { li { strong { (name) ": " } (words) } } }
    }
}

fn bars(found: &Found) -> Markup {
    let (case, study) = (found.case, found.study);
    let shown = study.causes.iter().enumerate().filter(|(k, c)| *k < ALWAYS_SHOWN || c.chance >= SHARE_SHOWN || c.mended);
    let row = |row: Vec<String>, now: f64| {
        html! {
            tr {
                th scope="row" { (row[2]) }
                td { meter min="0" max="1" value=(format!("{now:.3}")) aria-label=(said::bar_label(&row[2], &row[0], &row[1])) {} }
                td { (row[0]) }
                td { (row[1]) }
            }
        }
    };
    html! {
        div.scroll tabindex="0" role="region" aria-label=(text::CAUSES) {
            table {
                caption { (said::CAUSES_NOW) }
                thead { tr { th scope="col" { (text::CAUSES_HEAD[2]) } th scope="col" { (said::BAR) } th scope="col" { (text::CAUSES_HEAD[0]) } th scope="col" { (text::CAUSES_HEAD[1]) } } }
                tbody {
                    @for (_, c) in shown { (row(text::cause_row(case, c), c.chance)) }
                    (row(text::other_row(study), study.other.1))
                }
            }
        }
    }
}

/// Every other test can be answered too, in any order, and one that was done anew.
fn others(search: &Search, found: &Found, did: &[String]) -> Markup {
    let faults = found.case.faults;
    let can = || found.study.tests.iter().filter(|t| found.case.allowed(t.test).is_ok());
    let open = can().filter(|t| !matches!(t.standing, Stands::Done(_)));
    let again = can().filter_map(|t| if let Stands::Done(how) = t.standing { Some((t.test, how)) } else { None });
    let held: Vec<String> = found.study.tests.iter().filter_map(|t| text::standing(faults, t)).collect();
    html! {
        details {
            summary.button.plain { (said::ANSWER_OTHER) }
            form method="get" action=(found.action) {
                (carried(search, found, did, false))
                div.field {
                    label for="fault-test" { (said::ANSWER_OTHER) }
                    select id="fault-test" name="test" {
                        @for t in open {
                            option value=(faults.tests[t.test].id) { (faults.tests[t.test].name) ", " (text::minutes(t.minutes)) }
                        }
                        @for (t, how) in again { option value=(faults.tests[t].id) { (said::done_as(&faults.tests[t].name, how)) } }
                    }
                }
                div.row { button.plain { (said::SHOW) } }
            }
            (list(&held))
        }
    }
}

/// What was done, with a way back out of each step by itself.
fn done(search: &Search, found: &Found, did: &[String]) -> Markup {
    let faults = found.case.faults;
    html! {
        @if !did.is_empty() {
            h4 { (text::DONE) }
            ol.said {
                @for (k, step) in found.study.steps.iter().enumerate() {
                    li {
                        div.row {
                            span { (text::step(faults, *step)) }
                            form method="get" action=(found.action) {
                                (carried(search, found, &[&did[..k], &did[k + 1..]].concat(), false))
                                button.plain { (said::TAKE_BACK) }
                            }
                        }
                    }
                }
            }
        }
    }
}
