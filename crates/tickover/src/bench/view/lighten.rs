//! Metal off the rotor: cautions, the plan, and every face with its slide.

use super::{
    card::{cautions, list},
    judge::rotor::table,
};
use crate::{desk::Answer, pictures, wire};
use maud::{Markup, PreEscaped, html};
use sheets::words::{page as words, rotor as text};
use workshop::{
    machine::rotor::Rotor,
    study::rotor::{CutFinding, Lighten},
};

/// The part of the fold; nothing for a machine without a rotor's section.
pub fn lighten(answer: &Answer) -> Markup {
    let (Some(rotor), Ok(found)) = (&answer.read.machine.rotor, &answer.rotor) else { return html! {} };
    html! {
        h3 { (text::LIGHTEN) }
        @match &found.lighten {
            Err(why) => { p { (text::held(*why)) } }
            Ok(plan) => {
                div.caution { (cautions(text::cautions())) }
                p.verdict { (text::advice(rotor, plan)) }
                (list(&zones(rotor, plan)))
                (slides(answer, rotor, plan))
                (list(&plan.steps.iter().map(|s| text::step(rotor, s)).collect::<Vec<_>>()))
                @if let Some(said) = text::turning(found) { p.soft { (said) } }
            }
        }
    }
}

fn zones(rotor: &Rotor, plan: &Lighten) -> Vec<String> {
    let line = |(k, zone)| text::zone_line(rotor, k, zone);
    let threads = plan.zones.iter().filter_map(|z| z.threads_left).map(text::threads_left);
    plan.zones.iter().enumerate().map(line).chain(threads).collect()
}

/// The advised cut of every zone that may be cut [m], the first of the plan last, since the last is told of.
fn advised(plan: &Lighten) -> Vec<(usize, f64)> {
    let may = |zone: &usize| plan.zones[*zone].forbidden.is_none();
    let step = |zone: usize| plan.steps.iter().position(|s| s.zone == zone);
    let mut all: Vec<usize> = (0..plan.zones.len()).filter(may).collect();
    all.sort_by_key(|zone| std::cmp::Reverse(step(*zone).unwrap_or(usize::MAX)));
    all.into_iter().map(|zone| (zone, step(zone).map_or(0.0, |s| plan.steps[s].depth.si))).collect()
}

fn slides(answer: &Answer, rotor: &Rotor, plan: &Lighten) -> Markup {
    let cuts = advised(plan);
    let outcome = answer.lightened(&cuts);
    html! {
        div.alter.lighten {
            div {
                div.cross-section #lighten-drawing { (PreEscaped(pictures::scene_on_page(&pictures::section_cut(rotor, &cuts)))) }
                @for (k, depth) in &cuts {
                    div {
                        label for={ "lighten-" (k) } { (words::depth_of(&text::zone_name(rotor, *k))) }
                        input type="range" id={ "lighten-" (k) } data-zone=(k) min="0" step="0.01"
                            max=(format!("{:.2}", wire::mm(rotor.zones[*k].deepest.si))) value=(format!("{:.2}", wire::mm(*depth)));
                    }
                }
            }
            div {
                p.verdict #lighten-verdict aria-live="polite" { (outcome.as_ref().map(verdict).unwrap_or_default()) }
                div #lighten-facts { @if let Some(o) = &outcome { (facts(o)) } }
            }
        }
        @for (k, zone) in plan.zones.iter().enumerate() {
            @if !zone.cuts.is_empty() {
                details {
                    summary.button.plain { (words::table_of_depths(&text::zone_name(rotor, k))) }
                    (table(&text::zone_name(rotor, k), &text::CUTS_HEAD, zone.cuts.iter().map(text::cut_row)))
                    (table(&text::zone_name(rotor, k), &text::ENGINE_HEAD, zone.cuts.iter().map(text::engine_row)))
                }
            }
        }
    }
}

/// Whether the cuts keep every limit.
pub fn verdict(outcome: &CutFinding) -> String {
    outcome.breaks.map_or_else(|| words::KEEPS_ALL_LIMITS.to_owned(), text::limit)
}

/// What the cuts do.
pub fn facts(outcome: &CutFinding) -> Markup {
    html! {
        (table(words::CUTS_NOW, &text::CUTS_HEAD, std::iter::once(text::cut_row(outcome))))
        (table(words::CUTS_NOW, &text::ENGINE_HEAD, std::iter::once(text::engine_row(outcome))))
    }
}
