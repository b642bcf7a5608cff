//! Adaptations that make a part fit, and parts that only work together: the data.

use std::sync::LazyLock;

use super::{
    defect::{At, Defect, DefectKind, Wrong},
    kind::{Kind, Kinds, Measure, base},
    price::sum,
    value::word,
};
use quantity::Dimension;

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
    /// What of that; `None` = what is computed of the machine with the other parts of the set in it.
    pub on: Option<usize>,
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
            let mut ways = Ways { numbers_source, adaptations: Vec::new(), sets: Vec::new() };
            ways.add(kinds, root, walk, &mut wrong);
            ways
        });
        wrong.or(read)
    }

    /// Adds the adaptations and sets of a document.
    pub(super) fn add(&mut self, kinds: &Kinds, root: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) {
        let twice = |item: &Item<'_>, id: &str, wrong: &mut Wrong| {
            wrong.note(item.path_of("id"), At::Bytes(item.span_of("id")), DefectKind::Twice { name: id.to_owned() });
        };
        for item in root.tables(walk, "adaptation") {
            let read = adaptation(kinds, &item, walk, wrong);
            if self.adaptations.iter().any(|a| a.id == read.id) {
                twice(&item, &read.id, wrong);
            }
            self.adaptations.push(read);
        }
        for item in root.tables(walk, "set") {
            let read = together(kinds, &item, walk, wrong);
            if self.set(&read.id).is_some() {
                twice(&item, &read.id, wrong);
            }
            self.sets.push(read);
        }
    }

    /// The set of a name.
    pub fn set(&self, id: &str) -> Option<&Together> {
        self.sets.iter().find(|s| s.id == id)
    }
}

/// The kind that a text names, if there is one.
fn kind_of(kinds: &Kinds, name: &Placed, wrong: &mut Wrong) -> Option<usize> {
    let known: Vec<String> = kinds.list.iter().map(|k| k.id.clone()).collect();
    placed(&known, name, wrong)
}

/// The attribute that a text names; of a kind that was told to be wrong nothing more is told.
fn attribute_of(kind: Option<&Kind>, name: &Placed, wrong: &mut Wrong) -> Option<usize> {
    let known: Vec<String> = kind?.attributes.iter().map(|a| a.id.clone()).collect();
    if known.is_empty() { None } else { placed(&known, name, wrong) }
}

/// What an attribute is.
fn measure(kind: Option<&Kind>, attribute: Option<usize>) -> Option<&Measure> {
    Some(&kind?.attributes.get(attribute?)?.measure)
}

fn placed(known: &[String], name: &Placed, wrong: &mut Wrong) -> Option<usize> {
    // A text that is not there has been told.
    let note = |what, wrong: &mut Wrong| {
        if !name.text.is_empty() {
            wrong.note(name.path.clone(), At::Bytes(name.span.clone()), what);
        }
    };
    word(known, &name.text).map_err(|what| note(what, wrong)).ok()
}

fn words_of(measure: &Measure, texts: &[Placed], wrong: &mut Wrong) -> Vec<usize> {
    let known: &[String] = if let Measure::Words(words) = measure { words } else { &[] };
    texts.iter().filter_map(|t| placed(known, t, wrong)).collect()
}

fn adaptation(kinds: &Kinds, item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) -> Adaptation {
    item.refuse_unknown(walk, &["id", "name", "kind", "minutes", "minutes_pm", "cost", "how", "caution", "removes"]);
    let kind = kind_of(kinds, &item.text(walk, "kind"), wrong);
    let of = kind.and_then(|k| kinds.list.get(k));
    let removes = item.needed_tables(walk, "removes");
    let removes = removes.iter().map(|r| {
        r.refuse_unknown(walk, &["attribute", "has", "when"]);
        let attribute = attribute_of(of, &r.text(walk, "attribute"), wrong);
        let has = r.texts(walk, "has").unwrap_or_default();
        let side = r.word(walk, "when", &["less", "more"], &[Side::Less, Side::More]);
        // Words have no sides, and numbers are none of some words.
        let (alike, key) = match measure(of, attribute) {
            Some(Measure::Words(_)) => (side.is_none(), "when"),
            Some(Measure::Number(..)) => (has.is_empty(), "has"),
            None => (true, ""),
        };
        if !alike {
            wrong.note(r.path_of(key), At::Bytes(r.span_of(key)), DefectKind::OtherSort);
        }
        let has = measure(of, attribute).filter(|_| alike).map_or_else(Vec::new, |m| words_of(m, &has, wrong));
        let attribute = attribute.unwrap_or_default();
        Removes { attribute, has, side }
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
        kind: kind.unwrap_or_default(),
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
    let of: Vec<usize> = names.iter().filter_map(|n| kind_of(kinds, n, wrong)).collect();
    let ids: Vec<String> = of.iter().map(|k| kinds.list[*k].id.clone()).collect();
    let links = item.needed_tables(walk, "link").into_iter().map(|l| {
        l.refuse_unknown(walk, &["of", "attribute", "from", "on", "computed", "when", "wants", "why"]);
        let one = placed(&ids, &l.text(walk, "of"), wrong);
        let other = placed(&ids, &l.text(walk, "from"), wrong);
        let kind = |place: Option<usize>| kinds.list.get(*of.get(place?)?);
        let attribute = attribute_of(kind(one), &l.text(walk, "attribute"), wrong);
        let here = measure(kind(one), attribute);
        let (on, wants) = if l.has("computed") {
            // So far one thing is computed of a set: what its alternator gives.
            l.needed_word(walk, "computed", &["current"], &[()]);
            if here.is_some_and(|m| !matches!(m, Measure::Number(Dimension::Current, _))) {
                wrong.note(l.path_of("computed"), At::Bytes(l.span_of("computed")), DefectKind::NotAlike);
            }
            (None, Vec::new())
        } else {
            let on = attribute_of(kind(other), &l.text(walk, "on"), wrong);
            let both = here.zip(measure(kind(other), on));
            (on, both.map_or_else(Vec::new, |both| wants(&l, both, walk, wrong)))
        };
        let [of, attribute, from] = [one, attribute, other].map(Option::unwrap_or_default);
        Link { of, attribute, from, on, wants, why: l.text(walk, "why").text }
    });
    let links = links.collect();
    Together { id: item.name(walk, "id").text, name: item.text(walk, "name").text, kinds: of, links }
}

/// For each word of the other part the word that is wanted here; empty for numbers.
fn wants(item: &Item<'_>, (here, there): (&Measure, &Measure), walk: &mut Walk, wrong: &mut Wrong) -> Vec<Option<usize>> {
    let when = words_of(there, &item.texts(walk, "when").unwrap_or_default(), wrong);
    let wants = words_of(here, &item.texts(walk, "wants").unwrap_or_default(), wrong);
    let pairs: Vec<(usize, usize)> = when.into_iter().zip(wants).collect();
    match (here, there) {
        (Measure::Words(here), Measure::Words(there)) => {
            let said = |w: usize| pairs.iter().find(|(when, _)| *when == w).map(|(_, wants)| *wants);
            let same = |w: usize| if pairs.is_empty() { word(here, &there[w]).ok() } else { None };
            (0..there.len()).map(|w| said(w).or_else(|| same(w))).collect()
        }
        (Measure::Number(a, _), Measure::Number(b, _)) if a == b => Vec::new(),
        _ => {
            wrong.note(item.path_of("on"), At::Bytes(item.span_of("on")), DefectKind::NotAlike);
            Vec::new()
        }
    }
}
