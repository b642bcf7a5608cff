//! Adaptations that make a part fit, and parts that only work together: the data.

use std::sync::LazyLock;

use super::{
    defect::{At, Defect, DefectKind, Wrong},
    kind::{Kind, Kinds, Measure, base},
    price::sum,
    value::word,
};
use crate::study::fault::{Item, MINUTES, Placed, Walk, document};

/// The data, as they stand in the program.
pub const WAYS: &str = include_str!("ways.toml");

/// The data of the program, for its own kinds.
pub fn ways() -> &'static Ways {
    static WAYS_: LazyLock<Ways> = LazyLock::new(|| match Ways::read(base(), WAYS) {
        Ok(ways) => ways,
        Err(defects) => unreachable!("the base has defects: {defects:?}"),
    });
    &WAYS_
}

/// Money, with its ±.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Amount, in whole units of the currency.
    pub amount: f64,
    /// ± of it.
    pub plus_minus: f64,
    /// Currency, three capitals (ISO 4217).
    pub currency: String,
}

/// On which side of what serves a number lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Below.
    Less,
    /// Above.
    More,
}

/// A misfit that an adaptation takes away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Removes {
    /// Which attribute of the kind.
    pub attribute: usize,
    /// Only where the part has one of these words; empty = any.
    pub has: Vec<usize>,
    /// Only where its number lies on this side.
    pub side: Option<Side>,
}

/// Something that is done to a part or its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Adaptation {
    /// Its name in files.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// For which kind of part, as an index.
    pub kind: usize,
    /// How long it takes, and ± [min].
    pub minutes: (f64, f64),
    /// What it costs beside that.
    pub cost: Cost,
    /// How it is done.
    pub how: String,
    /// What can hurt, or must be proved afterwards.
    pub caution: String,
    /// What it takes away.
    pub removes: Vec<Removes>,
}

/// What of one part of a set hangs on another part of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The part, by its place in the set.
    pub of: usize,
    /// What of it.
    pub attribute: usize,
    /// The other part, by its place in the set.
    pub from: usize,
    /// What of that.
    pub on: usize,
    /// For each word of the other, the word that is wanted here; empty for numbers.
    pub wants: Vec<Option<usize>>,
    /// Why.
    pub why: String,
}

/// Kinds of part that may only work together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Together {
    /// Its name on the command line.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// The kinds, as indices.
    pub kinds: Vec<usize>,
    /// What hangs on what.
    pub links: Vec<Link>,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ways {
    /// Where the numbers come from, in words.
    pub numbers_source: String,
    /// Adaptations.
    pub adaptations: Vec<Adaptation>,
    /// Sets.
    pub sets: Vec<Together>,
}

impl Ways {
    /// Reads them.
    ///
    /// # Errors
    /// All [`Defect`]s at once.
    pub fn read(kinds: &Kinds, text: &str) -> Result<Ways, Vec<Defect>> {
        let mut wrong = Wrong::default();
        let read = document(text, |root, walk| {
            root.refuse_unknown(walk, &["meta", "adaptation", "set"]);
            let meta = root.table(walk, "meta");
            let numbers_source = meta.map_or_else(String::new, |m| {
                m.refuse_unknown(walk, &["schema", "language", "numbers_source"]);
                m.text(walk, "numbers_source").text
            });
            let adaptations: Vec<Adaptation> =
                root.tables(walk, "adaptation").iter().map(|item| adaptation(kinds, item, walk, &mut wrong)).collect();
            let sets: Vec<Together> =
                root.tables(walk, "set").iter().map(|item| together(kinds, item, walk, &mut wrong)).collect();
            for (n, a) in adaptations.iter().enumerate() {
                if adaptations[..n].iter().any(|b| b.id == a.id) {
                    wrong.note("adaptation", At::Whole, DefectKind::Twice { name: a.id.clone() });
                }
            }
            Ways { numbers_source, adaptations, sets }
        });
        wrong.or(read)
    }

    /// The set of a name.
    pub fn set(&self, id: &str) -> Option<&Together> {
        self.sets.iter().find(|s| s.id == id)
    }
}

/// The kind that a text names; the first one where it names none.
fn kind_of(kinds: &Kinds, name: &Placed, wrong: &mut Wrong) -> usize {
    let known: Vec<String> = kinds.list.iter().map(|k| k.id.clone()).collect();
    placed(&known, name, wrong)
}

fn attribute_of(kind: &Kind, name: &Placed, wrong: &mut Wrong) -> usize {
    let known: Vec<String> = kind.attributes.iter().map(|a| a.id.clone()).collect();
    placed(&known, name, wrong)
}

fn placed(known: &[String], name: &Placed, wrong: &mut Wrong) -> usize {
    word(known, &name.text).unwrap_or_else(|what| {
        // A text that is not there has been told.
        if !name.text.is_empty() {
            wrong.note(name.path.clone(), At::Bytes(name.span.clone()), what);
        }
        0
    })
}

fn words_of(measure: &Measure, texts: &[Placed], wrong: &mut Wrong) -> Vec<usize> {
    let known: &[String] = if let Measure::Words(words) = measure { words } else { &[] };
    texts.iter().map(|t| placed(known, t, wrong)).collect()
}

fn adaptation(kinds: &Kinds, item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) -> Adaptation {
    item.refuse_unknown(walk, &["id", "name", "kind", "minutes", "minutes_pm", "cost", "how", "caution", "removes"]);
    let kind = kind_of(kinds, &item.text(walk, "kind"), wrong);
    let removes = item.needed_tables(walk, "removes");
    let removes = removes.iter().map(|r| {
        r.refuse_unknown(walk, &["attribute", "has", "when"]);
        let attribute = attribute_of(&kinds.list[kind], &r.text(walk, "attribute"), wrong);
        let has = r.texts(walk, "has").unwrap_or_default();
        Removes {
            attribute,
            has: words_of(&kinds.list[kind].attributes[attribute].measure, &has, wrong),
            side: r.word(walk, "when", &["less", "more"], &[Side::Less, Side::More]),
        }
    });
    let removes = removes.collect();
    let cost = item.text(walk, "cost");
    let (amount, plus_minus, currency) = sum(&cost.text).unwrap_or_else(|what| {
        if !cost.text.is_empty() {
            wrong.note(cost.path.clone(), At::Bytes(cost.span.clone()), what);
        }
        (0.0, 0.0, String::new())
    });
    Adaptation {
        id: item.name(walk, "id").text,
        name: item.text(walk, "name").text,
        kind,
        minutes: (item.number(walk, "minutes", &MINUTES), item.number(walk, "minutes_pm", &MINUTES)),
        cost: Cost { amount, plus_minus, currency },
        how: item.text(walk, "how").text,
        caution: item.text(walk, "caution").text,
        removes,
    }
}

fn together(kinds: &Kinds, item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) -> Together {
    item.refuse_unknown(walk, &["id", "name", "kinds", "link"]);
    let names = item.texts(walk, "kinds").unwrap_or_default();
    let of: Vec<usize> = names.iter().map(|n| kind_of(kinds, n, wrong)).collect();
    let ids: Vec<String> = of.iter().map(|k| kinds.list[*k].id.clone()).collect();
    let links = item.needed_tables(walk, "link").into_iter().map(|l| {
        l.refuse_unknown(walk, &["of", "attribute", "from", "on", "when", "wants", "why"]);
        let one = placed(&ids, &l.text(walk, "of"), wrong);
        let other = placed(&ids, &l.text(walk, "from"), wrong);
        let kind = |place: usize| &kinds.list[of.get(place).copied().unwrap_or(0)];
        let attribute = attribute_of(kind(one), &l.text(walk, "attribute"), wrong);
        let on = attribute_of(kind(other), &l.text(walk, "on"), wrong);
        let (here, there) = (&kind(one).attributes[attribute].measure, &kind(other).attributes[on].measure);
        let when = words_of(there, &l.texts(walk, "when").unwrap_or_default(), wrong);
        let wants = words_of(here, &l.texts(walk, "wants").unwrap_or_default(), wrong);
        let pairs: Vec<(usize, usize)> = when.into_iter().zip(wants).collect();
        let of_words = match (here, there) {
            (Measure::Words(here), Measure::Words(there)) => {
                let said = |w: usize| pairs.iter().find(|(when, _)| *when == w).map(|(_, wants)| *wants);
                let same = |w: usize| if pairs.is_empty() { word(here, &there[w]).ok() } else { None };
                (0..there.len()).map(|w| said(w).or_else(|| same(w))).collect()
            }
            (Measure::Number(a, _), Measure::Number(b, _)) if a == b => Vec::new(),
            _ => {
                wrong.note(l.path_of("on"), At::Bytes(l.span_of("on")), DefectKind::NotAlike);
                Vec::new()
            }
        };
        Link { of: one, attribute, from: other, on, wants: of_words, why: l.text(walk, "why").text }
    });
    let links = links.collect();
    Together { id: item.name(walk, "id").text, name: item.text(walk, "name").text, kinds: of, links }
}
