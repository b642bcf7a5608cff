//! The page of substitute parts: the form, the ranked list, the best side by side with what is needed, to scale and computed.

use super::card::{list, watch};
use crate::pictures;
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use sheets::{
    part as drawing,
    sheet::Fitted,
    words::{
        self, page as general,
        part::{self as text, fitted, page as said, paper},
        sheet::CAUTION,
    },
};
use std::collections::BTreeMap;
use workshop::study::part::{Asked, Kinds, Matched, Ranked, Room, Sets, Shelf, Skipped, Stand, Ways};

/// What stands before the name of a set among the kinds.
pub const SET: &str = "set:";
/// Width of a drawing in a wide window [mm], and in a narrow one, where its words are as large as running text.
const WIDTH: f64 = 150.0;
const NARROW: f64 = 92.0;
/// Parts in the table, and parts that are laid beside the need one by one (own choice).
const LISTED: usize = 20;
const SHOWN: usize = 3;

/// What is asked.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    /// A kind, or a set behind [`SET`].
    pub kind: String,
    /// Needs as TOML.
    pub need: String,
}

/// A shelf that the book keeps for every job.
pub struct KeptShelf {
    /// Its hash.
    pub hash: String,
    /// Its name.
    pub name: String,
    /// How much is on it.
    pub words: String,
    /// Since when.
    pub when: String,
}

/// Addresses of photos by the small letters of their names.
pub type Photos = BTreeMap<String, String>;

/// Where a shelf comes from.
pub enum From<'a> {
    /// Sent to the page of a machine.
    Sent {
        /// The machine.
        slug: &'a str,
        /// Shelves that the book has.
        kept: &'a [KeptShelf],
        /// Why the one that was sent is none of them.
        note: Option<&'a str>,
    },
    /// Kept with a job, or in the book for every job.
    Kept {
        /// The machine.
        slug: &'a str,
        /// Address of its page.
        at: &'a str,
        /// Number of the job that it belongs to.
        job: Option<&'a str>,
        /// Its name.
        name: &'a str,
    },
}

/// What was found.
pub enum Found<'f, 'a> {
    /// Parts of a kind.
    Kind {
        /// The ranking.
        matched: &'f Matched<'a>,
        /// The best in the machine.
        effects: &'f [Fitted],
        /// The engine's surface is still being worked out.
        coming: bool,
    },
    /// Sets.
    Set {
        /// They.
        sets: &'f Sets<'a>,
        /// The engine's surface is still being worked out.
        coming: bool,
    },
}

impl<'a> Found<'_, 'a> {
    /// The shelf that was looked through.
    pub fn shelf(&self) -> &'a Shelf {
        match self {
            Found::Kind { matched, .. } => matched.shelf,
            Found::Set { sets, .. } => sets.shelf,
        }
    }
}

/// The link to it from the card.
pub fn link(slug: &str) -> Markup {
    html! {
        section {
            h3 { (said::TITLE) }
            p.soft { (said::INTRO) }
            div.row { a.button.plain href={ "/machine/" (slug) "/parts" } { (said::OPEN) } }
        }
    }
}

/// The form, and the answer below it.
pub fn page(name: &str, from: &From, sent: &Sent, known: Known<'_>, answer: Option<Result<Markup, Vec<String>>>) -> Markup {
    let (From::Sent { slug, .. } | From::Kept { slug, .. }) = from;
    html! {
        div.title {
            h1 { (name) ": " (said::TITLE) }
            @match from {
                From::Sent { .. } => p { (said::INTRO) },
                From::Kept { name, .. } => p { strong { (name) } },
            }
            p {
                @match from {
                    From::Kept { job: Some(job), .. } => { a href={ "/job/" (job) "#attachments" } { (words::exchange::BACK_TO_JOB) } " · " },
                    From::Kept { .. } => { a href={ "/machine/" (slug) "/parts" } { (said::ALL_SHELVES) } " · " },
                    From::Sent { .. } => {}
                }
                a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) }
            }
        }
        div.plain-part.parts-page {
            @match from {
                From::Sent { kept, note, .. } => {
                    @if let Some(note) = note { p.watch { (note) } }
                    (shelves(slug, kept))
                    h2 { (said::ANOTHER) }
                    p.soft { (said::KEPT_BY_ITSELF) }
                    form method="post" enctype="multipart/form-data" action={ "/machine/" (slug) "/parts" } {
                        (fields(sent, known, html! {
                            (photo_field("photos"))
                            // Last: what is asked must arrive before it does.
                            div.field { label for="file" { (said::FILE) } input id="file" type="file" name="file" accept=".csv,.tsv,.toml,.zip,text/csv" required; }
                        }))
                    }
                    details.more {
                        summary.button.plain { (said::MORE_PHOTOS) }
                        form method="post" enctype="multipart/form-data" action={ "/machine/" (slug) "/parts" } {
                            (photo_field("more-photos"))
                            button.plain { (said::KEEP_PHOTOS) }
                        }
                    }
                },
                From::Kept { at, .. } => form method="get" action=(at) { (fields(sent, known, html! {})) },
            }
            @match answer {
                None => {},
                Some(Err(why)) => div.caution role="alert" { @for each in &why { p { (each) } } },
                Some(Ok(found)) => {
                    (found)
                    @if let From::Kept { at, .. } = from {
                        @if !sent.kind.starts_with(SET) {
                            div.row { a.button.plain href={ (at) "/match.pdf?" (query(sent)) } { (said::SHEET) } }
                        }
                    }
                },
            }
        }
    }
}

/// Kinds of part and adaptations, with the workshop's own.
pub type Known<'a> = (&'a Kinds, &'a Ways);

/// The shelves that the book has.
fn shelves(slug: &str, kept: &[KeptShelf]) -> Markup {
    html! {
        @if !kept.is_empty() {
            h2 { (said::IN_BOOK) }
            ul.jobs {
                @for shelf in kept {
                    li {
                        a href={ "/machine/" (slug) "/parts/" (shelf.hash) } { (shelf.name) }
                        p.soft { (shelf.words) ", " (shelf.when) " · " a href={ "/parts/file/" (shelf.hash) } download { (said::AS_IT_CAME) } }
                        form method="post" action={ "/machine/" (slug) "/parts/" (shelf.hash) "/out" } { button.plain { (said::take_out(&shelf.name)) } }
                    }
                }
            }
        }
    }
}

fn photo_field(id: &str) -> Markup {
    html! {
        div.field { label for=(id) { (said::PHOTOS) } input id=(id) type="file" name="photo" accept="image/jpeg,image/png,image/webp" multiple; }
    }
}

/// What is asked, as the end of an address.
pub fn query(sent: &Sent) -> String {
    serde_urlencoded::to_string([("kind", &sent.kind), ("need", &sent.need)]).unwrap_or_default()
}

fn fields(sent: &Sent, (kinds, ways): Known<'_>, file: Markup) -> Markup {
    html! {
        div.fields {
            div.field {
                label for="kind" { (said::KIND) }
                select id="kind" name="kind" required {
                    option value="" { (said::CHOOSE) }
                    @for kind in &kinds.list { option value=(kind.id) selected[kind.id == sent.kind] { (kind.name) } }
                    @for set in &ways.sets {
                        @let value = format!("{SET}{}", set.id);
                        option value=(value) selected[value == sent.kind] { (said::set(&set.name)) }
                    }
                }
            }
            div.field { label for="need" { (said::NEED_FIELD) } textarea id="need" name="need" rows="6" spellcheck="false" { (sent.need) } }
            (file)
        }
        p.soft { (said::NEED_HOW) }
        div.keep { button { (said::LOOK) } }
    }
}

/// The answer.
pub fn answer(found: &Found<'_, '_>, known: Known<'_>, photos: &Photos) -> Markup {
    match found {
        Found::Kind { matched, effects, coming } => kind(matched, effects, known, photos, *coming),
        Found::Set { sets, coming } => set(sets, known.0, *coming),
    }
}

fn caution_of(kind: &str) -> Markup {
    html! { @if let Some(caution) = text::caution(kind) { div.caution { p { strong { (CAUTION) ": " } (caution) } } } }
}

/// A table; in a narrow window each row is a block, its cells under their own heads.
fn table(label: &str, head: &[&str], rows: Vec<Vec<String>>) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(label) {
            table.blocks role="table" {
                thead role="rowgroup" { tr role="row" { @for h in head { th.words scope="col" role="columnheader" { (h) } } } }
                tbody role="rowgroup" { @for row in rows { tr role="row" { @for (n, cell) in row.iter().enumerate() {
                    @if n == 0 {
                        th.words scope="row" role="rowheader" { (cell) }
                    } @else {
                        @let head = head.get(n).filter(|h| !h.is_empty() && !cell.is_empty());
                        td.words role="cell" data-head=[head] { (cell) }
                    }
                } } } }
            }
        }
    }
}

fn kind(matched: &Matched<'_>, effects: &[Fitted], known: Known<'_>, photos: &Photos, coming: bool) -> Markup {
    let effect = |part: usize| effects.iter().find(|(r, _)| r.part == part).map(|(_, e)| e);
    let asked = (0..matched.asked.len()).filter(|a| !matches!(matched.asked[*a], Asked::NotKnown | Asked::Free));
    let needs: Vec<Vec<String>> = asked
        .map(|a| {
            let mut row = text::need_row(matched, a);
            row.push(text::tier(matched.kind.attributes[a].tier).to_owned());
            row
        })
        .collect();
    let lacks: Vec<String> = matched.need_lacks().iter().map(|a| text::lack(&matched.kind.attributes[*a])).collect();
    let rows: Vec<Vec<String>> = matched
        .ranked
        .iter()
        .take(LISTED)
        .map(|r| {
            let mut row = text::row(matched, r);
            row.push(effect(r.part).map_or("", fitted::outcome).to_owned());
            row
        })
        .collect();
    let shopping = matched.shopping(known.1);
    html! {
        section #parts {
            h2 { (matched.kind.name) }
            (caution_of(&matched.kind.id))
            p.verdict { (text::summary(matched)) }
            @let advice = text::advice(matched);
            @if !advice.is_empty() { p { (advice) } }
            @if !rows.is_empty() { h3 { (text::PARTS) } (table(text::PARTS, &[&text::PARTS_HEAD[..], &[fitted::COMPUTED_HEAD]].concat(), rows)) }
            h3 { (text::NEEDS) }
            (table(text::NEEDS, &paper::NEEDS_HEAD, needs))
            @if !lacks.is_empty() { h3 { (text::LACKS) } (list(&lacks)) }
            @for ranked in matched.ranked.iter().take(SHOWN) { (one(matched, ranked, effect(ranked.part).map(|e| (e, coming)), known, photos)) }
            @if !shopping.is_empty() {
                h3 { (fitted::SHOPPING) }
                (table(fitted::SHOPPING, &paper::SHOPPING_HEAD, shopping.iter().map(|b| fitted::buy_row(matched, b)).collect()))
            }
            @if !matched.fair.is_empty() { h3 { (text::PRICES) } (list(&matched.fair.iter().map(text::fair).collect::<Vec<_>>())) }
            p.soft { (text::HOW) }
            p.soft { (fitted::HOW) " " (fitted::ways_source(known.1)) }
        }
    }
}

/// One part beside the need.
fn one(
    matched: &Matched<'_>,
    ranked: &Ranked,
    effect: Option<(&fitted::Computed, bool)>,
    (kinds, ways): Known<'_>,
    photos: &Photos,
) -> Markup {
    let part = matched.part(ranked);
    let lines = matched.lines(ranked);
    let beside = lines.iter().filter(|l| l.stand != Stand::NotAsked).map(|l| text::beside_row(matched, ranked, l)).collect();
    html! {
        h3 { (text::title(part)) ": " (text::verdict(ranked.verdict)) }
        @for a in matched.misfits(ranked) { p.watch { (matched.kind.attributes[a].name) ": " (matched.kind.attributes[a].if_not) } }
        (table(&text::title(part), &paper::BESIDE_HEAD, beside))
        @if let (Some((narrow, _)), Some((wide, _))) = (drawing::beside(matched, ranked, NARROW), drawing::beside(matched, ranked, WIDTH)) {
            div.chart {
                div.narrow { (PreEscaped(pictures::scene_on_page(&narrow))) }
                div.wide { (PreEscaped(pictures::scene_on_page(&wide))) }
            }
        }
        @for name in &part.photos {
            @match photos.get(&name.to_lowercase()) {
                Some(at) => figure.file-of-job { a href=(at) { img src=(at) alt=(said::photo_of(&text::title(part))) loading="lazy" decoding="async"; } figcaption.soft { (name) } },
                None => p.soft { (said::photo_not_here(name)) },
            }
        }
        @if let Some(offer) = matched.offer(ways, ranked) {
            @for (danger, how) in fitted::adaptations(&offer) {
                div.caution { p { strong { (CAUTION) ": " } (danger) } }
                p { (how) }
            }
            p.verdict { (fitted::offer(matched, &offer)) }
        }
        @if let Some(next) = matched.next(ranked) { p { (text::next_step(matched, &next)) } }
        @if let Some((effect, coming)) = effect { (computed(effect, kinds, coming)) }
        p.soft { (text::origin(part)) @if let Some(price) = &part.price { ". " (text::price(price, matched.dear(ranked))) } }
    }
}

fn computed(effect: &fitted::Computed, kinds: &Kinds, coming: bool) -> Markup {
    let skipped = |(room, why): &(Room, Skipped)| match why {
        Skipped::NoSurface if coming => said::SURFACE_COMING.to_owned(),
        Skipped::NoSurface => said::NO_SURFACE.to_owned(),
        why => fitted::skipped(*room, *why),
    };
    html! {
        h4 { (fitted::COMPUTED) ": " (fitted::outcome(effect)) }
        @match effect {
            Err(why) => p { (fitted::lacks(kinds, why)) },
            Ok(e) => {
                (watch(&e.concerns.iter().map(fitted::concern).collect::<Vec<_>>()))
                (list(&e.stays.iter().map(fitted::stays).chain(e.mended.iter().map(fitted::mended)).collect::<Vec<_>>()))
                (table(fitted::COMPUTED, &fitted::CHANGES_HEAD, e.changes.iter().map(fitted::row).collect()))
                (list(&e.skipped.iter().map(skipped).collect::<Vec<_>>()))
                p.soft { @for t in &e.taken { (fitted::taken(*t)) " " } }
            }
        }
    }
}

fn set(found: &Sets<'_>, kinds: &Kinds, coming: bool) -> Markup {
    html! {
        section #parts {
            h2 { (fitted::SETS) }
            @for kind in &found.together.kinds { (caution_of(&kinds.list[*kind].id)) }
            p.verdict { (fitted::sets_summary(found)) }
            @if found.found.is_empty() { p { (fitted::NO_SETS) } }
            @for set in found.found.iter().take(SHOWN) {
                h3 { (fitted::set_title(kinds, found, set)) }
                p { (fitted::set_chance(set)) }
                (list(&fitted::mends(kinds, found, set)))
                @if let Some(effect) = &set.effect { (computed(effect, kinds, coming)) }
            }
            p.soft { (text::HOW) }
            p.soft { (fitted::HOW) }
        }
    }
}
