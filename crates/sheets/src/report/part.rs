//! Substitute parts, for a terminal.

use super::{Printer, Style};
use crate::sheet::Fitted;
use crate::words::{
    part::{self as text, fitted},
    sheet::CAUTION,
};
use workshop::{
    machine::Machine,
    study::part::{Asked, Kinds, Matched, Sets, Stand, Tier, Ways},
};

/// Rows of the table of parts beside those that are shown one by one.
const ROWS: usize = 20;

/// All kinds of part, with what is asked of each.
pub fn kinds(kinds: &Kinds, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.heading(text::KINDS);
    for kind in &kinds.list {
        p.bullet(&text::kind_row(kind));
    }
    p.space();
    p.para(text::HOW);
    p.finish()
}

/// A shelf beside a need: the best first, `most` of them one by one.
pub fn matched(
    machine: &Machine,
    kinds: &Kinds,
    (found, effects, ways): (&Matched<'_>, &[Fitted], &Ways),
    most: usize,
    width: usize,
    style: Style,
) -> String {
    let effect = |part: usize| effects.iter().find(|(r, _)| r.part == part).map(|(_, e)| e);
    let mut p = Printer::new(width, style);
    p.title(&format!("{}: {}", machine.name, found.kind.name));
    p.strong(&text::summary(found));
    if let Some(caution) = text::caution(&found.kind.id) {
        p.strong(&format!("{CAUTION}: {caution}"));
    }
    let advice = text::advice(found);
    if !advice.is_empty() {
        p.para(&advice);
    }
    p.heading(text::NEEDS);
    let lacks = found.need_lacks();
    for a in (0..found.asked.len()).filter(|a| !matches!(found.asked[*a], Asked::NotKnown | Asked::Free)) {
        let row = text::need_row(found, a);
        p.bullet(&format!("{}: {} ({}; {})", row[0], row[1], text::tier(found.kind.attributes[a].tier), row[2]));
    }
    if !lacks.is_empty() {
        p.heading(text::LACKS);
        for a in lacks {
            p.bullet(&text::lack(&found.kind.attributes[a]));
        }
    }
    if !found.ranked.is_empty() {
        p.heading(text::PARTS);
        let row = |r: &workshop::study::part::Ranked| {
            let mut row = text::row(found, r);
            row.push(effect(r.part).map_or("", fitted::outcome).to_owned());
            row
        };
        let rows: Vec<Vec<String>> = found.ranked.iter().take(most.max(ROWS)).map(row).collect();
        p.table(&[&text::PARTS_HEAD[..], &[fitted::COMPUTED_HEAD]].concat(), &rows);
    }
    for ranked in found.ranked.iter().take(most) {
        let part = found.part(ranked);
        p.heading(&format!("{}: {}", text::title(part), text::verdict(ranked.verdict)));
        // What rules it out comes first, then what is open, then what fits.
        let mut lines: Vec<(u8, String)> = Vec::new();
        for line in found.lines(ranked) {
            let blocks = found.kind.attributes[line.attribute].tier == Tier::Blocker;
            let place = match line.stand {
                Stand::Chance(c) if c <= workshop::study::part::OUT => u8::from(!blocks),
                Stand::Chance(c) if c < workshop::study::part::FITS => 2,
                Stand::Unknown { .. } => 3,
                _ => 4,
            };
            lines.extend(text::line(found, ranked, line.attribute, line.stand).map(|said| (place, said)));
        }
        lines.sort_by_key(|(place, _)| *place);
        lines.iter().for_each(|(_, said)| p.bullet(said));
        if let Some(next) = found.next(ranked) {
            p.bullet(&text::next_step(found, &next));
        }
        if let Some(offer) = found.offer(ways, ranked) {
            for (danger, how) in fitted::adaptations(&offer) {
                p.strong(&format!("{CAUTION}: {danger}"));
                p.bullet(&how);
            }
            p.bullet(&fitted::offer(found, &offer));
        }
        if let Some(effect) = effect(ranked.part) {
            p.strong(&format!("{}: {}", fitted::COMPUTED, fitted::outcome(effect)));
            fitted::lines(kinds, effect).iter().for_each(|said| p.bullet(said));
        }
        p.bullet(&text::origin(part));
        if let Some(price) = &part.price {
            p.bullet(&text::price(price, found.dear(ranked)));
        }
        if let Some(photos) = text::photos(part) {
            p.bullet(&photos);
        }
        if let Some(note) = part.note.as_ref().or(part.place.as_ref()) {
            p.bullet(note);
        }
    }
    if !found.fair.is_empty() {
        p.heading(text::PRICES);
        for fair in &found.fair {
            p.bullet(&text::fair(fair));
        }
    }
    let list = found.shopping(ways);
    if !list.is_empty() {
        p.heading(fitted::SHOPPING);
        list.iter().for_each(|b| p.bullet(&fitted::buy(found, b)));
    }
    p.space();
    p.para(text::HOW);
    if !effects.is_empty() {
        p.para(fitted::HOW);
    }
    p.para(&fitted::ways_source(ways));
    p.finish()
}

/// Parts that only work together: the best first, `most` of them one by one.
pub fn sets(machine: &Machine, kinds: &Kinds, found: &Sets<'_>, most: usize, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&format!("{}: {}", machine.name, fitted::SETS));
    p.strong(&fitted::sets_summary(found));
    let mut cautions: Vec<&str> = found.together.kinds.iter().filter_map(|k| text::caution(&kinds.list[*k].id)).collect();
    cautions.dedup();
    cautions.iter().for_each(|caution| p.strong(&format!("{CAUTION}: {caution}")));
    if found.found.is_empty() {
        p.para(fitted::NO_SETS);
    }
    for set in found.found.iter().take(most) {
        p.heading(&fitted::set_title(kinds, found, set));
        p.strong(&fitted::set_chance(set));
        fitted::mends(kinds, found, set).iter().for_each(|said| p.bullet(said));
        if let Some(effect) = &set.effect {
            p.strong(&format!("{}: {}", fitted::COMPUTED, fitted::outcome(effect)));
            fitted::lines(kinds, effect).iter().for_each(|said| p.bullet(said));
        }
    }
    p.space();
    p.para(text::HOW);
    p.para(fitted::HOW);
    p.finish()
}
