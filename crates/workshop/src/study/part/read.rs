//! From text to kinds of part.

use physics::within::Allowed;
use quantity::{Dimension, Reading};

use super::{
    defect::{At, Defect, DefectKind, Wrong},
    kind::{Attribute, Instead, Kind, Kinds, Measure, Rule, Tier, UsualDoubt},
    shelf::COLUMNS,
    value::{amount, word},
    ways::Ways,
};
use crate::study::fault::{self, Item, Limit, MINUTES, Placed, Walk, WhyLimited, document};

/// Words of [`Tier`].
const TIERS: &[&str] = &["blocker", "must-match", "may-differ"];
/// Dimensions that a part has, with their words.
const DIMENSIONS: [(&str, Dimension); 19] = [
    ("length", Dimension::Length),
    ("angle", Dimension::Angle),
    ("advance", Dimension::BeforeTop),
    ("speed", Dimension::Speed),
    ("mass", Dimension::Mass),
    ("inertia", Dimension::Inertia),
    ("temperature", Dimension::Temperature),
    ("time", Dimension::Time),
    ("voltage", Dimension::Voltage),
    ("resistance", Dimension::Resistance),
    ("current", Dimension::Current),
    ("power", Dimension::Power),
    ("charge", Dimension::Charge),
    ("inductance", Dimension::Inductance),
    ("capacitance", Dimension::Capacitance),
    ("force", Dimension::Force),
    ("torque", Dimension::Torque),
    ("flux-density", Dimension::FluxDensity),
    ("number", Dimension::Number),
];
/// Their words alone.
const WORDS: [&str; DIMENSIONS.len()] = {
    let (mut words, mut n) = ([""; DIMENSIONS.len()], 0);
    while n < words.len() {
        words[n] = DIMENSIONS[n].0;
        n += 1;
    }
    words
};
const TOLERANCES: [&str; 6] = ["share_least", "share_most", "below", "above", "least", "most"];
const ATTRIBUTE: &[&str] = &[
    "id",
    "name",
    "measure",
    "words",
    "wants",
    "usual_pm",
    "tier",
    "share_least",
    "share_most",
    "below",
    "above",
    "least",
    "most",
    "why",
    "how",
    "minutes",
    "if_not",
    "instead",
];
const META: &[&str] = &["schema", "language", "numbers_source"];
const INSTEAD: &[&str] = &["attribute", "is", "free", "share_least", "share_most", "below", "above", "least", "most"];
/// Multiples of what is needed \[1\] (own choice).
const SHARE: Limit = Limit { least: 0.0, most: 1000.0, why: WhyLimited::Tolerance };

/// Reads kinds of part.
///
/// # Errors
/// All [`Defect`]s at once, in the order in which they stand in the file.
///
/// ```
/// use workshop::study::part::{TEXT, read};
/// assert_eq!(read(TEXT).unwrap().list.len(), 11);
/// ```
pub fn kinds(text: &str) -> Result<Kinds, Vec<Defect>> {
    let mut wrong = Wrong::default();
    let read = document(text, |root, walk| {
        root.refuse_unknown(walk, &["meta", "kind"]);
        let mut kinds = Kinds { numbers_source: String::new(), list: Vec::new() };
        if let Some(meta) = root.table(walk, "meta") {
            meta.refuse_unknown(walk, META);
            kinds.numbers_source = meta.text(walk, "numbers_source").text;
        }
        let items = root.needed_tables(walk, "kind");
        add(&mut kinds, &items, walk, &mut wrong, false);
        kinds
    });
    wrong.or(read)
}

/// A workshop's own kinds, adaptations and sets beside those of the program, which are never written over.
///
/// # Errors
/// All [`Defect`]s at once, in the order in which they stand in the file.
///
/// ```
/// use workshop::study::part::{base, own, ways};
/// let file = "[[adaptation]]\nid = 'bush'\nname = 'Bush'\nkind = 'rotor'\nminutes = 60\nminutes_pm = 20\ncost = '5 ± 2 EUR'\nhow = 'Turned'\ncaution = 'Prove it'\n[[adaptation.removes]]\nattribute = 'taper_diameter'\nwhen = 'more'";
/// let (kinds, ways) = own(base(), ways(), file).unwrap();
/// assert_eq!((kinds.list.len(), ways.adaptations.last().unwrap().id.as_str()), (11, "bush"));
/// ```
pub fn own(base: &Kinds, ways: &Ways, text: &str) -> Result<(Kinds, Ways), Vec<Defect>> {
    let mut wrong = Wrong::default();
    let (mut kinds, mut ways) = (base.clone(), ways.clone());
    let read = document(text, |root, walk| {
        root.refuse_unknown(walk, &["meta", "kind", "adaptation", "set"]);
        if let Some(meta) = root.optional_table(walk, "meta") {
            meta.refuse_unknown(walk, META);
        }
        let items = root.tables(walk, "kind");
        add(&mut kinds, &items, walk, &mut wrong, true);
        ways.add(&kinds, root, walk, &mut wrong);
        if !["kind", "adaptation", "set"].iter().any(|key| root.has(key)) {
            wrong.note("", At::Whole, DefectKind::NothingOwn);
        }
        (kinds, ways)
    });
    wrong.or(read)
}

fn add(kinds: &mut Kinds, items: &[Item<'_>], walk: &mut Walk, wrong: &mut Wrong, own: bool) {
    for item in items {
        let kind = kind(item, walk, wrong, own);
        if kinds.named(&kind.id).is_some() {
            wrong.note(item.path_of("id"), At::Bytes(item.span_of("id")), DefectKind::Twice { name: kind.id.clone() });
        }
        kinds.list.push(kind);
    }
}

fn kind(item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong, own: bool) -> Kind {
    item.refuse_unknown(walk, &["id", "name", "attribute"]);
    let mut kind = Kind { id: item.name(walk, "id").text, name: item.text(walk, "name").text, attributes: Vec::new(), own };
    let items = item.needed_tables(walk, "attribute");
    for item in &items {
        let attribute = attribute(item, walk, wrong);
        if kind.named(&attribute.id).is_some() || COLUMNS.contains(&attribute.id.as_str()) {
            wrong.note(item.path_of("id"), At::Bytes(item.span_of("id")), DefectKind::Twice { name: attribute.id.clone() });
        }
        kind.attributes.push(attribute);
    }
    for (k, item) in items.iter().enumerate() {
        for other in item.tables(walk, "instead") {
            if let Some(instead) = instead(&kind, k, &other, walk, wrong) {
                kind.attributes[k].instead.push(instead);
            }
        }
    }
    kind
}

fn attribute(item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) -> Attribute {
    item.refuse_unknown(walk, ATTRIBUTE);
    let id = item.text(walk, "id").text;
    // Small letters, digits and `_`: it is a column's name too.
    if !id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_') {
        walk.defect(item.path_of("id"), item.span_of("id"), fault::DefectKind::BadName { found: id.clone() });
    }
    let tier = item.needed_word(walk, "tier", TIERS, &[Tier::Blocker, Tier::Must, Tier::May]);
    let words = item.texts(walk, "words");
    let (measure, wants) = match words {
        Some(words) => {
            let words: Vec<String> = words.into_iter().map(|w| w.text).collect();
            let wants = item.texts(walk, "wants").unwrap_or_default();
            let wants = wants.iter().filter_map(|w| placed_word(&words, w, wrong)).collect();
            (Measure::Words(words), wants)
        }
        None => {
            let dimension =
                item.word(walk, "measure", &WORDS, &DIMENSIONS.map(|(_, dimension)| dimension)).unwrap_or(Dimension::Number);
            let usual = item.text(walk, "usual_pm");
            (Measure::Number(dimension, usual_doubt(&usual, dimension, wrong)), Vec::new())
        }
    };
    if item.has("words") == item.has("measure") {
        wrong.note(item.path.clone(), At::Bytes(item.span.clone()), DefectKind::MeasureOrWords);
    }
    let rule = rule(item, &measure, walk, wrong);
    let of_words = matches!(measure, Measure::Words(_));
    let rule = match rule {
        None if of_words => Rule::Words,
        None if tier == Tier::May => Rule::Free,
        Some(rule) if !of_words => rule,
        _ => {
            wrong.note(item.path.clone(), At::Bytes(item.span.clone()), DefectKind::OneTolerance);
            Rule::Free
        }
    };
    Attribute {
        id,
        name: item.text(walk, "name").text,
        measure,
        tier,
        rule,
        instead: Vec::new(),
        wants,
        why: item.text(walk, "why").text,
        how: item.text(walk, "how").text,
        minutes: item.number(walk, "minutes", &MINUTES),
        if_not: item.text(walk, "if_not").text,
    }
}

fn placed_word(words: &[String], found: &Placed, wrong: &mut Wrong) -> Option<usize> {
    word(words, &found.text).map_err(|kind| wrong.note(found.path.clone(), At::Bytes(found.span.clone()), kind)).ok()
}

fn usual_doubt(text: &Placed, dimension: Dimension, wrong: &mut Wrong) -> UsualDoubt {
    let read = if text.text.ends_with('%') {
        amount(&text.text, Dimension::Number).map(UsualDoubt::Share)
    } else {
        amount(&text.text, dimension).map(UsualDoubt::Si)
    };
    let kind = match read {
        Ok(UsualDoubt::Share(x) | UsualDoubt::Si(x)) if x < 0.0 => DefectKind::Backwards,
        Ok(doubt) => return doubt,
        // A text that is not there has been told.
        Err(_) if text.text.is_empty() => return UsualDoubt::Si(0.0),
        Err(kind) => kind,
    };
    wrong.note(text.path.clone(), At::Bytes(text.span.clone()), kind);
    UsualDoubt::Si(0.0)
}

/// The tolerance of an item, `None` where it has none.
fn rule(item: &Item<'_>, measure: &Measure, walk: &mut Walk, wrong: &mut Wrong) -> Option<Rule> {
    let pairs = TOLERANCES.chunks(2).filter(|pair| pair.iter().any(|key| item.has(key))).count();
    if pairs == 0 {
        return None;
    }
    let Measure::Number(dimension, _) = measure else { return Some(Rule::Free) };
    let dimension = *dimension;
    let place = |wrong: &mut Wrong, kind| wrong.note(item.path.clone(), At::Bytes(item.span.clone()), kind);
    if pairs > 1 {
        place(wrong, DefectKind::OneTolerance);
        return Some(Rule::Free);
    }
    let share = |walk: &mut Walk, key, open: f64| if item.has(key) { item.number(walk, key, &SHARE) } else { open };
    let mut si = |walk: &mut Walk, key, open: f64, of: fn(&str, Dimension) -> Result<f64, DefectKind>| {
        let Some(text) = item.optional_text(walk, key) else { return open };
        of(&text.text, dimension).unwrap_or_else(|kind| {
            wrong.note(text.path, At::Bytes(text.span), kind);
            open
        })
    };
    let allowed = if item.has("share_least") || item.has("share_most") {
        Allowed::Share { least: share(walk, "share_least", 0.0), most: share(walk, "share_most", f64::INFINITY) }
    } else if item.has("below") || item.has("above") {
        Allowed::Off { below: si(walk, "below", f64::INFINITY, amount), above: si(walk, "above", f64::INFINITY, amount) }
    } else {
        let number = |text: &str, d| Reading::parse(text, d).map(|r| r.si).map_err(DefectKind::Reading);
        Allowed::Range { least: si(walk, "least", f64::NEG_INFINITY, number), most: si(walk, "most", f64::INFINITY, number) }
    };
    let backwards = match allowed {
        Allowed::Share { least, most } | Allowed::Range { least, most } => least > most,
        Allowed::Off { below, above } => below < 0.0 || above < 0.0,
    };
    if backwards {
        place(wrong, DefectKind::Backwards);
    }
    Some(Rule::Within(allowed))
}

fn instead(kind: &Kind, k: usize, item: &Item<'_>, walk: &mut Walk, wrong: &mut Wrong) -> Option<Instead> {
    item.refuse_unknown(walk, INSTEAD);
    let name = item.text(walk, "attribute");
    let is = item.text(walk, "is");
    let free = item.flag(walk, "free");
    let own = rule(item, &kind.attributes[k].measure, walk, wrong);
    let rule = match (own, free) {
        (None, true) => Rule::Free,
        (Some(rule), false) => rule,
        _ => {
            wrong.note(item.path.clone(), At::Bytes(item.span.clone()), DefectKind::OneTolerance);
            return None;
        }
    };
    let known: Vec<String> =
        kind.attributes.iter().filter(|a| matches!(a.measure, Measure::Words(_))).map(|a| a.id.clone()).collect();
    let at = placed_word(&known, &name, wrong)?;
    let attribute = kind.named(&known[at])?;
    let Measure::Words(words) = &kind.attributes[attribute].measure else { return None };
    Some(Instead { attribute, word: placed_word(words, &is, wrong)?, rule })
}
