//! Fault finding on the page: the complaint, the next test, answers, bars of causes.

use super::{
    super::fault::Search,
    card::{list, watch},
    judge::both,
};
use crate::{desk::Read, faults::written, pictures};
use maud::{Markup, html};
use sheets::{
    chart::{Chart, charge_chart, signal_chart},
    words::{fault as text, fault::page as said, sheet::CAUTION},
};
use workshop::study::fault::{Advice, Case, FaultStudy, Faults, Said, Standing, Step, Studies, Test, expected};

/// Causes that always stand, and the share from which more do.
const ALWAYS_SHOWN: usize = 8;
const SHARE_SHOWN: f64 = 0.01;

/// A search as it stands.
pub struct Found<'a> {
    /// The case.
    pub case: &'a Case<'a>,
    /// What follows.
    pub study: &'a FaultStudy,
    /// Where readings come from.
    pub studies: Studies<'a>,
    /// Answers in the address that were not taken, and why.
    pub not_taken: &'a [String],
}

/// A page of its own, as it is without the script.
pub fn page(name: &str, slug: &str, inside: &Markup) -> Markup {
    html! {
        div.title {
            h1 { (name) ": " (text::FAULT) }
            p { a href={ "/machine/" (slug) } { (said::BACK_TO_CARD) } }
        }
        // As in the card, what stands here comes below a heading of the second order.
        div.plain-part {
            h2 { (said::FIND) }
            (inside)
        }
    }
}

/// The choice of a complaint in the owner's words; also in the fold of the card.
pub fn choice(faults: &Faults, slug: &str, wrong: Option<&str>) -> Markup {
    html! {
        section.fault #fault data-fault=(slug) {
            h3 { (said::FIND) }
            @if let Some(wrong) = wrong { p.error { (wrong) } }
            form method="get" action={ "/machine/" (slug) "/fault" } {
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

/// Hidden fields that carry a search on.
fn carried(search: &Search, did: &[String], skip: bool) -> Markup {
    html! {
        input type="hidden" name="complaint" value=(search.complaint);
        @for each in did { input type="hidden" name="did" value=(each); }
        @if skip { @for each in &search.skip { input type="hidden" name="skip" value=(each); } }
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
        Advice::PutRight { .. } | Advice::LookWider { .. } => None,
    }
}

/// A search under way.
pub fn search(slug: &str, read: &Read, search: &Search, found: &Found) -> Markup {
    let (case, study) = (found.case, found.study);
    let did: Vec<String> = study.steps.iter().map(|s| written(case.faults, *s)).collect();
    let action = format!("/machine/{slug}/fault");
    let test = offered(search, found);
    let advised = matches!((&study.next, test), (Advice::Test(n), Some(t)) if n.test == t);
    html! {
        section.fault #fault data-fault=(slug) {
            h3 { (text::owner_says(case.it())) }
            @if let Some(stop) = text::stop_first(case, study) { div.caution { p { strong { (CAUTION) ": " } (stop) } } }
            (watch(found.not_taken))
            @if study.steps.is_empty() { p.soft { (text::ASK) ": " (case.it().ask.join(" ")) } }
            p.verdict { (text::advice(case, study)) }
            p { (text::reason(case, study)) }
            p.soft { (text::spent(study)) }
            div.pictures {
                section {
                    @if let Some(t) = test {
                        @if !advised { h4 { (case.faults.tests[t].name) } }
                        (card(read, &case.faults.tests[t], found.studies))
                        form method="get" action=(action) {
                            (carried(search, &did, false))
                            p { (said::HOW_CAME_OUT) }
                            div.row {
                                @for (how, words) in [(Said::Yes, said::YES), (Said::No, said::NO), (Said::CannotTell, said::CANNOT_TELL)] {
                                    button name="did" value=(written(case.faults, Step::Tested(t, how))) { (words) }
                                }
                            }
                        }
                        form method="get" action=(action) {
                            (carried(search, &did, true))
                            div.row { button.plain name="skip" value=(case.faults.tests[t].id) { (said::SKIP) } }
                        }
                    }
                    @if let Advice::PutRight { cause, .. } = &study.next {
                        form method="get" action=(action) {
                            (carried(search, &did, false))
                            p { (text::GONE) }
                            div.row { button name="did" value=(written(case.faults, Step::PutRight(*cause))) { (said::STAYS) } }
                        }
                    }
                    (others(search, found, &did, &action))
                    (done(search, found, &did, &action))
                    div.row {
                        a.button.plain href={ "/machine/" (slug) "/fault.pdf?" (address(search, &did)) } { (said::PRINT) }
                        a.button.plain href={ (action) } data-stays { (said::ANOTHER) }
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
            @if let Some(chart) = test.and_then(|t| picture(read, &case.faults.tests[t], found.studies)) { (both(&chart, "fault")) }
        }
    }
}

/// The address of a search; names are plain, so only the sign between them needs writing otherwise.
fn address(search: &Search, did: &[String]) -> String {
    let pairs: Vec<(&str, &str)> =
        std::iter::once(("complaint", search.complaint.as_str())).chain(did.iter().map(|d| ("did", d.as_str()))).collect();
    serde_urlencoded::to_string(pairs).unwrap_or_default()
}

fn card(read: &Read, test: &Test, studies: Studies) -> Markup {
    let here = expected(test, &read.machine, studies);
    let names: Vec<String> = read.machine.engine.cylinders.iter().map(|c| c.name.clone()).collect();
    html! {
        @if let Some(danger) = &test.danger { ul.said { li.watch { strong { (CAUTION) ": " } (danger) } } }
        ul.said { @for (name, words) in text::test_card(test, here.as_ref(), &names) { li { strong { (name) ": " } (words) } } }
    }
}

/// What there is to look at beside a test.
fn picture(read: &Read, test: &Test, studies: Studies) -> Option<Chart> {
    match test.setup.as_str() {
        "strobe" => pictures::curve(read, None, None),
        "peak" => signal_chart(&read.machine, studies.spark?),
        "charge" | "alternator" => studies.charge.map(charge_chart),
        _ => None,
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

/// Every other test can be answered too, in any order.
fn others(search: &Search, found: &Found, did: &[String], action: &str) -> Markup {
    let faults = found.case.faults;
    let can = found.study.tests.iter().filter(|t| found.case.allowed(t.test).is_ok() && !matches!(t.standing, Standing::Done(_)));
    let held: Vec<String> = found.study.tests.iter().filter_map(|t| text::standing(faults, t)).collect();
    html! {
        details {
            summary.button.plain { (said::ANSWER_OTHER) }
            form method="get" action=(action) {
                (carried(search, did, false))
                div.field {
                    label for="fault-test" { (said::ANSWER_OTHER) }
                    select id="fault-test" name="test" {
                        @for t in can {
                            option value=(faults.tests[t.test].id) { (faults.tests[t.test].name) ", " (text::minutes(t.minutes)) }
                        }
                    }
                }
                div.row { button.plain { (said::SHOW) } }
            }
            (list(&held))
        }
    }
}

/// What was done, with a way back out of each last step.
fn done(search: &Search, found: &Found, did: &[String], action: &str) -> Markup {
    let faults = found.case.faults;
    html! {
        @if !did.is_empty() {
            h4 { (text::DONE) }
            ol.said { @for step in &found.study.steps { li { (text::step(faults, *step)) } } }
            form method="get" action=(action) {
                (carried(search, &did[..did.len() - 1], false))
                div.row { button.plain { (said::TAKE_BACK) } }
            }
        }
    }
}
