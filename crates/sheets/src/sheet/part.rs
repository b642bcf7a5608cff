//! The match sheet: what the job needs, the best parts beside it, what they would do, adaptations after their cautions, the shopping list.

use super::{SheetOptions, text};
use crate::flow::{self, Cell, Column, Flow, Sign};
use crate::part as drawing;
use crate::scene::{Scene, pdf};
use crate::words::part::{self as found, fitted, paper};
use workshop::machine::Machine;
use workshop::study::part::{Asked, Effect, Kinds, Lacks, Matched, Ranked, Stand, Ways};

/// Parts that are laid beside the need one by one (own choice): what one carries to a stall.
const SHOWN: usize = 3;

/// A part of a match and what it would do in the machine.
pub type Fitted = (Ranked, Result<Effect, Vec<Lacks>>);

/// The match sheet as a PDF. The same match gives the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
///
/// # Example
/// ```
/// use sheets::sheet::{SheetOptions, matched};
/// use workshop::{machine, study::{fault::Studies, part::{Need, Shelf, base, rank, ways}}};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let need = Need::of_machine(base(), base().named("coil").unwrap(), &machine, Studies::default());
/// let shelf = Shelf::default();
/// let pdf = matched(&machine, base(), &rank(base(), &need, &shelf), &[], ways(), &SheetOptions::default()).unwrap();
/// assert!(pdf.starts_with(b"%PDF"));
/// ```
pub fn matched(
    machine: &Machine,
    kinds: &Kinds,
    matched: &Matched<'_>,
    effects: &[Fitted],
    ways: &Ways,
    options: &SheetOptions,
) -> Result<Vec<u8>, pdf::PdfError> {
    let title = format!("{} — {}", machine.name, paper::TITLE);
    pdf::document(&matched_pages(machine, kinds, matched, effects, ways, options), &title)
}

/// The pages of the match sheet as drawings.
pub fn matched_pages(
    machine: &Machine,
    kinds: &Kinds,
    matched: &Matched<'_>,
    effects: &[Fitted],
    ways: &Ways,
    options: &SheetOptions,
) -> Vec<Scene> {
    let mut flow = Flow::new(paper::TITLE);
    super::head(&mut flow, machine, paper::TITLE, options);
    flow.strong(&format!("{}. {}", matched.kind.name, found::summary(matched)));
    if let Some(danger) = found::caution(&matched.kind.id) {
        flow.caution(text::CAUTION, danger, paper::PROTECTS);
    }
    let advice = found::advice(matched);
    if !advice.is_empty() {
        flow.body(&advice);
    }
    flow.heading(found::NEEDS);
    let asked = (0..matched.asked.len()).filter(|a| !matches!(matched.asked[*a], Asked::NotKnown | Asked::Free));
    let needs = asked.map(|a| {
        let mut row = found::need_row(matched, a);
        row.push(found::tier(matched.kind.attributes[a].tier).to_owned());
        row
    });
    flow.rows(&paper::NEEDS_HEAD, needs, &[1.6, 1.3, 1.6, 0.8]);
    let lacks = matched.need_lacks();
    if !lacks.is_empty() {
        flow.heading(found::LACKS);
        lacks.iter().for_each(|a| flow.item(Sign::Bullet, &found::lack(&matched.kind.attributes[*a])));
    }
    for ranked in matched.ranked.iter().take(SHOWN) {
        let effect = effects.iter().find(|(r, _)| r.part == ranked.part).map(|(_, e)| e);
        one(&mut flow, kinds, matched, ranked, effect, ways);
    }
    shopping(&mut flow, matched, ways);
    if !matched.fair.is_empty() {
        flow.heading(found::PRICES);
        matched.fair.iter().for_each(|f| flow.item(Sign::Bullet, &found::fair(f)));
    }
    flow.soft(found::HOW);
    flow.soft(fitted::HOW);
    flow.soft(&fitted::ways_source(ways));
    super::signed(flow, machine, Vec::new())
}

/// One part beside the need.
fn one(
    flow: &mut Flow,
    kinds: &Kinds,
    matched: &Matched<'_>,
    ranked: &Ranked,
    effect: Option<&Result<Effect, Vec<Lacks>>>,
    ways: &Ways,
) {
    let part = matched.part(ranked);
    flow.heading(&format!("{}: {}", found::title(part), found::verdict(ranked.verdict)));
    let rows =
        matched.lines(ranked).into_iter().filter(|l| l.stand != Stand::NotAsked).map(|l| found::beside_row(matched, ranked, &l));
    flow.rows(&paper::BESIDE_HEAD, rows, &[1.6, 1.3, 1.5, 0.9]);
    if let Some((scene, _)) = drawing::beside(matched, ranked, flow::WIDTH) {
        flow.picture(scene);
    }
    if let Some(effect) = effect {
        flow.heading(fitted::COMPUTED);
        match effect {
            Err(why) => flow.body(&fitted::lacks(kinds, why)),
            Ok(e) => {
                e.concerns.iter().for_each(|c| flow.item(Sign::Bullet, &fitted::concern(c)));
                e.stays.iter().for_each(|c| flow.item(Sign::Bullet, &fitted::stays(c)));
                e.mended.iter().for_each(|c| flow.item(Sign::Bullet, &fitted::mended(c)));
                flow.rows(&fitted::CHANGES_HEAD, e.changes.iter().map(fitted::row), &[2.0, 1.0, 1.0]);
                e.skipped.iter().for_each(|(room, why)| flow.item(Sign::Bullet, &fitted::skipped(*room, *why)));
                e.taken.iter().for_each(|t| flow.item(Sign::Bullet, fitted::taken(*t)));
            }
        }
    }
    if let Some(offer) = matched.offer(ways, ranked) {
        flow.heading(paper::ADAPT);
        flow.body(&fitted::offer(matched, &offer));
        for (danger, how) in fitted::adaptations(&offer) {
            flow.caution(text::CAUTION, &danger, paper::ADAPT_PROTECTS);
            flow.item(Sign::Bullet, &how);
        }
    }
    flow.item(Sign::Bullet, &found::origin(part));
    if let Some(photos) = found::photos(part) {
        flow.item(Sign::Bullet, &photos);
    }
}

/// What to buy, and a line for each thing to measure on the first of them.
fn shopping(flow: &mut Flow, matched: &Matched<'_>, ways: &Ways) {
    flow.heading(fitted::SHOPPING);
    let list = matched.shopping(ways);
    if list.is_empty() {
        return flow.body(fitted::NOTHING_TO_BUY);
    }
    flow.rows(&paper::SHOPPING_HEAD, list.iter().map(|b| fitted::buy_row(matched, b)), &[1.2, 1.2, 0.8, 2.2]);
    let mut measure: Vec<usize> = list.iter().flat_map(|b| b.measure.iter().copied()).collect();
    measure.sort_unstable();
    measure.dedup();
    if measure.is_empty() {
        return;
    }
    flow.heading(paper::STALL);
    let columns: Vec<Column> = paper::STALL_HEAD.iter().zip([2.4, 1.3, 1.0]).map(|(h, s)| Column::new(h, s)).collect();
    let row = |a: usize| {
        let attribute = &matched.kind.attributes[a];
        let how = format!("{}: {}", attribute.name, attribute.how);
        vec![Cell::body(how), Cell::body(found::serves(&matched.asked[a], attribute, matched.need, a)), Cell::Blank(paper::FOUND)]
    };
    flow.grid(&columns, measure.into_iter().map(row).collect());
}
