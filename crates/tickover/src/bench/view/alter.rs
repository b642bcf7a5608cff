//! Alter: what can be undone first, then the cut with its handle, cautions before the step.

use super::{
    card::{Card, State, cautions, fold, list, watch},
    judge::{both, doubt, warnings},
    lighten::lighten,
    parts,
};
use crate::{desk::Answer, pictures, wire};
use maud::{Markup, PreEscaped, html};
use quantity::CrankAngle;
use sheets::words::{self as say, page as words};
use workshop::study::trim::{CutOutcome, TrimStudy};

/// The fold.
pub fn fold_of(card: &Card) -> Markup {
    let State::Found(answer) = &card.state else {
        let state = if card.read.is_ok() { words::AFTER_JUDGE } else { words::AFTER_DEFECTS };
        return fold(3, false, state, &parts::link(&card.record.slug));
    };
    let trim = match answer.trim() {
        Ok(trim) => plan(card, answer, trim),
        Err(why) => html! { p { (say::not_studied(why)) } },
    };
    fold(3, true, "", &html! { (trim) (lighten(answer)) (parts::link(&card.record.slug)) })
}

fn plan(card: &Card, answer: &Answer, trim: &TrimStudy) -> Markup {
    let most_m = answer.most_cut_m();
    let asked = card.cut_mm.map_or_else(|| answer.advised_cut_m(), |mm| mm * 1e-3).clamp(0.0, most_m);
    let outcome = answer.cut(asked);
    html! {
        p.verdict { (say::advice(trim)) }
        @if !trim.reversible.is_empty() {
            h3 { (words::CAN_BE_UNDONE) }
            (list(&trim.reversible.iter().map(say::reversible).collect::<Vec<_>>()))
        }
        div.caution {
            h3 { (words::BEFORE_YOU_CUT) }
            p { (say::cannot_undo()) }
            (cautions(say::cautions_for_cut()))
        }
        (watch(&warnings(&trim.warnings)))
        h3 { (words::THE_CUT) }
        div.alter {
            div {
                div.dial data-most=(wire::mm(most_m)) {
                    div.drawing { (PreEscaped(pictures::scene_on_page(&pictures::rotor(&trim.drawing, asked)))) }
                    div.grip hidden role="slider" tabindex="0" aria-label=(words::CUT_HANDLE) aria-valuemin="0"
                        aria-valuemax=(format!("{:.1}", wire::mm(most_m))) aria-valuenow=(format!("{:.1}", wire::mm(asked)))
                        aria-valuetext=(outcome.as_ref().map(spoken).unwrap_or_default()) {}
                }
                form.cut-form method="get" action={ "/machine/" (card.record.slug) "#alter" } {
                    div {
                        label for="cut-mm" { (words::CUT_FIELD) }
                        input #cut-mm name="cut" inputmode="decimal" autocomplete="off" value=(format!("{:.1}", wire::mm(asked)));
                    }
                    noscript { button.plain { (words::SHOW) } }
                    p.soft { (words::HOW_TO_DRAG) }
                }
            }
            div {
                p.verdict #cut-verdict aria-live="polite" { (outcome.as_ref().map(verdict).unwrap_or_default()) }
                div #cut-facts { @if let Some(o) = &outcome { (facts(o)) } }
                @if let Some(chart) = pictures::curve(&answer.read, answer.load().ok(), outcome.as_ref().map(angle)) { (both(&chart, "cut")) }
                @if let Some(chart) = pictures::rest(answer, outcome.as_ref()) { (both(&chart, "cut")) }
                details {
                    summary.button.plain { (say::chance::TITLE) }
                    (both(&pictures::chance(trim, asked), "cut"))
                    p.soft { (say::chance::over_cuts(trim.tried.0, trim.tried.1)) }
                }
                @if let Some(found) = &trim.doubt { (doubt(found, say::chance::DOUBT_AFTER)) }
            }
        }
        h3 { (words::TABLE_OF_CUTS) }
        (table(answer, trim))
    }
}

/// Crank angle of a cut.
pub fn angle(outcome: &CutOutcome) -> CrankAngle {
    CrankAngle::from_radians(outcome.cut_crank_rad)
}

/// The verdict on one cut.
pub fn verdict(outcome: &CutOutcome) -> String {
    words::with_cut(outcome.cut_m, &say::short_verdict(outcome.verdict))
}

/// What a screen reader says while the handle moves.
pub fn spoken(outcome: &CutOutcome) -> String {
    format!("{}. {}", say::mm(outcome.cut_m), verdict(outcome))
}

/// What one cut does, besides the verdict.
pub fn facts(outcome: &CutOutcome) -> Markup {
    let mut all = vec![
        words::least_advance(&say::degrees_pm(outcome.least_advance), &say::degrees(outcome.cut_crank_rad)),
        say::stiffness(outcome.stiffness_rad_s_per_percent),
        say::kick_back(&outcome.kick_back),
        words::segment_left(&say::mm(outcome.segment_left_m)),
    ];
    all.extend(outcome.chance.map(say::chance));
    all.extend(outcome.unbalance.as_ref().map(say::unbalance));
    list(&all)
}

fn table(answer: &Answer, trim: &TrimStudy) -> Markup {
    let advised = answer.window().map(|w| w.advised.si);
    // The row nearest to the advised cut is the advised one.
    let nearest = advised.and_then(|a| {
        let off = |i: &usize| (trim.cuts[*i].cut_m - a).abs();
        (0..trim.cuts.len()).min_by(|i, j| off(i).total_cmp(&off(j)))
    });
    html! {
        div.scroll tabindex="0" role="region" aria-label=(words::TABLE_OF_CUTS) {
            table {
                thead { tr {
                    th scope="col" { (words::CUT) } th scope="col" { (words::CRANK) } th scope="col" { (words::LEAST_ADVANCE) }
                    th.words scope="col" { (words::IDLE_SET_AGAIN) }
                    th scope="col" { (words::CHANCE) } th scope="col" { (words::MOVED_BY_AIR) }
                    th scope="col" { (words::SEGMENT_LEFT) } th.words scope="col" { (words::KICK_BACK) }
                } }
                tbody {
                    @for (i, cut) in trim.cuts.iter().enumerate() {
                        tr.advised[Some(i) == nearest] {
                            td { (say::mm(cut.cut_m)) }
                            td { (say::degrees(cut.cut_crank_rad)) }
                            td { (say::degrees_pm(cut.least_advance)) }
                            td.words { (say::short_verdict(cut.verdict)) }
                            td { @if let Some(c) = cut.chance { (say::chance_short(c)) } @else { "–" } }
                            td { (say::rpm_to_one(cut.stiffness_rad_s_per_percent)) }
                            td { (say::mm(cut.segment_left_m)) }
                            td.words { (words::passes(cut.kick_back.passes)) }
                        }
                    }
                }
            }
        }
    }
}
