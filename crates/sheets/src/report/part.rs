//! Substitute parts, for a terminal.

use super::{Printer, Style};
use crate::words::{part as text, sheet::CAUTION};
use workshop::{
    machine::Machine,
    study::part::{Asked, Kinds, Matched, Stand, Tier},
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
pub fn matched(machine: &Machine, found: &Matched<'_>, most: usize, width: usize, style: Style) -> String {
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
        let rows: Vec<Vec<String>> = found.ranked.iter().take(most.max(ROWS)).map(|r| text::row(found, r)).collect();
        p.table(&text::PARTS_HEAD, &rows);
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
        p.bullet(&text::known(&part.known));
        if let Some(price) = &part.price {
            p.bullet(&text::price(price, found.dear(ranked)));
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
    p.space();
    p.para(text::HOW);
    p.finish()
}
