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
use workshop::study::part::{Asked, Matched, Ranked, Sets, Stand, base, ways};

/// What stands before the name of a set among the kinds.
pub const SET: &str = "set:";
/// Width of a drawing [mm], as on the other pages.
const WIDTH: f64 = 150.0;
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

/// Where a shelf comes from.
pub enum From<'a> {
    /// Sent to the page of a machine.
    Sent {
        /// The machine.
        slug: &'a str,
    },
    /// Kept with a job.
    Kept {
        /// The machine.
        slug: &'a str,
        /// Number of the job.
        job: &'a str,
        /// The file's hash.
        hash: &'a str,
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
    },
    /// Sets.
    Set(&'f Sets<'a>),
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
pub fn page(name: &str, from: &From, sent: &Sent, answer: Option<Result<Markup, Vec<String>>>) -> Markup {
    html! {
        div.title {
            h1 { (name) ": " (said::TITLE) }
            @match from {
                From::Sent { slug } => { p { (said::INTRO) " " (said::NOT_KEPT) } p { a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) } } },
                From::Kept { job, name, slug, .. } => {
                    p { strong { (name) } }
                    p { a href={ "/job/" (job) "#attachments" } { (words::exchange::BACK_TO_JOB) } " · " a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) } }
                },
            }
        }
        div.plain-part {
            @match from {
                From::Sent { slug } => form method="post" enctype="multipart/form-data" action={ "/machine/" (slug) "/parts" } {
                    (fields(sent, html! {
                        // Last: what is asked must arrive before it does.
                        div.field { label for="file" { (said::FILE) } input id="file" type="file" name="file" accept=".csv,.tsv,.toml,text/csv" required; }
                    }))
                },
                From::Kept { job, hash, .. } => form method="get" action={ "/job/" (job) "/shelf/" (hash) } { (fields(sent, html! {})) },
            }
            @match answer {
                None => {},
                Some(Err(why)) => div.caution role="alert" { @for each in &why { p { (each) } } },
                Some(Ok(found)) => {
                    (found)
                    @if let From::Kept { job, hash, .. } = from {
                        @if !sent.kind.starts_with(SET) {
                            div.row { a.button.plain href={ "/job/" (job) "/shelf/" (hash) "/match.pdf?" (query(sent)) } { (said::SHEET) } }
                        }
                    }
                },
            }
        }
    }
}

fn query(sent: &Sent) -> String {
    serde_urlencoded::to_string([("kind", &sent.kind), ("need", &sent.need)]).unwrap_or_default()
}

fn fields(sent: &Sent, file: Markup) -> Markup {
    html! {
        div.fields {
            div.field {
                label for="kind" { (said::KIND) }
                select id="kind" name="kind" required {
                    option value="" { (said::CHOOSE) }
                    @for kind in &base().list { option value=(kind.id) selected[kind.id == sent.kind] { (kind.name) } }
                    @for set in &ways().sets {
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
pub fn answer(found: &Found<'_, '_>) -> Markup {
    match found {
        Found::Kind { matched, effects } => kind(matched, effects),
        Found::Set(found) => set(found),
    }
}

fn caution_of(kind: &str) -> Markup {
    html! { @if let Some(caution) = text::caution(kind) { div.caution { p { strong { (CAUTION) ": " } (caution) } } } }
}

fn table(label: &str, head: &[&str], rows: Vec<Vec<String>>) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(label) {
            table {
                thead { tr { @for h in head { th.words scope="col" { (h) } } } }
                tbody { @for row in rows { tr { @for (n, cell) in row.iter().enumerate() {
                    @if n == 0 { th.words scope="row" { (cell) } } @else { td.words { (cell) } }
                } } } }
            }
        }
    }
}

fn kind(matched: &Matched<'_>, effects: &[Fitted]) -> Markup {
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
    let shopping = matched.shopping(ways());
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
            @for ranked in matched.ranked.iter().take(SHOWN) { (one(matched, ranked, effect(ranked.part))) }
            @if !shopping.is_empty() {
                h3 { (fitted::SHOPPING) }
                (table(fitted::SHOPPING, &paper::SHOPPING_HEAD, shopping.iter().map(|b| fitted::buy_row(matched, b)).collect()))
            }
            @if !matched.fair.is_empty() { h3 { (text::PRICES) } (list(&matched.fair.iter().map(text::fair).collect::<Vec<_>>())) }
            p.soft { (text::HOW) }
            p.soft { (fitted::HOW) " " (fitted::ways_source(ways())) }
        }
    }
}

/// One part beside the need.
fn one(matched: &Matched<'_>, ranked: &Ranked, effect: Option<&fitted::Computed>) -> Markup {
    let part = matched.part(ranked);
    let lines = matched.lines(ranked);
    let beside = lines.iter().filter(|l| l.stand != Stand::NotAsked).map(|l| text::beside_row(matched, ranked, l)).collect();
    html! {
        h3 { (text::title(part)) ": " (text::verdict(ranked.verdict)) }
        @for a in matched.misfits(ranked) { p.watch { (matched.kind.attributes[a].name) ": " (matched.kind.attributes[a].if_not) } }
        (table(&text::title(part), &paper::BESIDE_HEAD, beside))
        @if let Some((scene, _)) = drawing::beside(matched, ranked, WIDTH) { div.drawing { (PreEscaped(pictures::scene_on_page(&scene))) } }
        @if let Some(offer) = matched.offer(ways(), ranked) {
            @for (danger, how) in fitted::adaptations(&offer) {
                div.caution { p { strong { (CAUTION) ": " } (danger) } }
                p { (how) }
            }
            p.verdict { (fitted::offer(matched, &offer)) }
        }
        @if let Some(next) = matched.next(ranked) { p { (text::next_step(matched, &next)) } }
        @if let Some(effect) = effect { (computed(effect)) }
        p.soft { (text::origin(part)) @if let Some(price) = &part.price { ". " (text::price(price, matched.dear(ranked))) } }
    }
}

fn computed(effect: &fitted::Computed) -> Markup {
    html! {
        h4 { (fitted::COMPUTED) ": " (fitted::outcome(effect)) }
        @match effect {
            Err(why) => p { (fitted::lacks(base(), why)) },
            Ok(e) => {
                (watch(&e.concerns.iter().map(fitted::concern).collect::<Vec<_>>()))
                (list(&e.stays.iter().map(fitted::stays).chain(e.mended.iter().map(fitted::mended)).collect::<Vec<_>>()))
                (table(fitted::COMPUTED, &fitted::CHANGES_HEAD, e.changes.iter().map(fitted::row).collect()))
                (list(&e.skipped.iter().map(|(room, why)| fitted::skipped(*room, *why)).collect::<Vec<_>>()))
                p.soft { @for t in &e.taken { (fitted::taken(*t)) " " } }
            }
        }
    }
}

fn set(found: &Sets<'_>) -> Markup {
    html! {
        section #parts {
            h2 { (fitted::SETS) }
            @for kind in &found.together.kinds { (caution_of(&base().list[*kind].id)) }
            p.verdict { (fitted::sets_summary(found)) }
            @if found.found.is_empty() { p { (fitted::NO_SETS) } }
            @for set in found.found.iter().take(SHOWN) {
                h3 { (fitted::set_title(base(), found, set)) }
                p { (fitted::set_chance(set)) }
                (list(&fitted::mends(base(), found, set)))
                @if let Some(effect) = &set.effect { (computed(effect)) }
            }
            p.soft { (text::HOW) }
            p.soft { (fitted::HOW) }
        }
    }
}
