//! What the job needs: from the machine's own measurements and studies, and from a file for what they lack.

use quantity::Reading;

use super::{
    defect::{At, Defect, DefectKind, Wrong},
    kind::{Attribute, Kind, Kinds, Measure, Rule},
    machine::from_machine,
    value::{Value, folded, not_known, value, word},
};
use crate::{
    machine::{Machine, most_like},
    study::fault::{Placed, Studies, document},
};
use physics::within::Allowed;

/// The word that says that something does not matter here.
const ANY: &str = "any";

/// What is wanted of an attribute.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// It does not matter.
    Any,
    /// A number.
    Number {
        /// It, with its ±.
        reading: Reading,
        /// The ± is the usual one, for none was written.
        usual: bool,
    },
    /// One of these words, by their places.
    Words(Vec<usize>),
}

/// Where a need comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NeedFrom {
    /// The file of needs.
    File,
    /// The file of needs, in place of what the machine's file has at this path.
    FileOver(&'static str),
    /// The machine's file, or the study of this name that rests on it.
    Machine(&'static str),
    /// What always serves.
    Trade,
    /// Another part of the set.
    Set,
}

/// A need.
#[derive(Clone, Debug, PartialEq)]
pub struct Needed {
    /// What.
    pub what: Wanted,
    /// Whence.
    pub from: NeedFrom,
}

/// All needs of one kind of part.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// The kind, as an index.
    pub kind: usize,
    /// Of each of its attributes; `None` = not known.
    pub of: Vec<Option<Needed>>,
}

impl Need {
    /// What the machine says of it.
    pub fn of_machine(kinds: &Kinds, kind: usize, machine: &Machine, studies: Studies<'_>) -> Need {
        let of = kinds.list[kind].attributes.iter().map(|attribute| {
            let said = if kinds.list[kind].own { None } else { from_machine(machine, studies, &kinds.list[kind].id, attribute) };
            let trade = || Needed { what: Wanted::Words(attribute.wants.clone()), from: NeedFrom::Trade };
            said.map(|(what, from)| Needed { what, from: NeedFrom::Machine(from) })
                .or_else(|| (!attribute.wants.is_empty()).then(trade))
        });
        Need { kind, of: of.collect() }
    }

    /// Reads a file of needs over it: a table for each kind of part, such as `[coil]`. What the file says takes the place of the machine's.
    ///
    /// # Errors
    /// All [`Defect`]s at once, also those of the tables for other kinds.
    pub fn over(mut self, kinds: &Kinds, text: &str) -> Result<Need, Vec<Defect>> {
        let mut wrong = Wrong::default();
        let read = document(text, |root, walk| {
            for key in root.keys().filter(|key| *key != "meta") {
                let Some(k) = kinds.named(key) else {
                    let known: Vec<String> = kinds.list.iter().map(|k| k.id.clone()).collect();
                    let did_you_mean = most_like(key, known.iter().map(String::as_str)).map(str::to_owned);
                    let kind = DefectKind::Word { found: key.to_owned(), did_you_mean, known };
                    wrong.note(key, At::Bytes(root.span_of(key)), kind);
                    continue;
                };
                let Some(item) = root.optional_table(walk, key) else { continue };
                for name in item.keys() {
                    let texts = if item.is_list(name) {
                        item.texts(walk, name).unwrap_or_default()
                    } else {
                        item.optional_text(walk, name).into_iter().collect()
                    };
                    let Some(a) = kinds.list[k].named(name) else {
                        wrong.note(item.path_of(name), At::Bytes(item.span_of(name)), no_attribute(&kinds.list[k], name));
                        continue;
                    };
                    let what = wanted(&kinds.list[k].attributes[a], &texts, &mut wrong);
                    if let (Some(what), true) = (what, k == self.kind) {
                        let from = match self.of[a].as_ref().map(|n| &n.from) {
                            Some(NeedFrom::Machine(path)) => NeedFrom::FileOver(path),
                            _ => NeedFrom::File,
                        };
                        self.of[a] = Some(Needed { what, from });
                    }
                }
            }
            self
        });
        wrong.or(read)
    }
}

fn no_attribute(kind: &Kind, name: &str) -> DefectKind {
    let known: Vec<String> = kind.attributes.iter().map(|a| a.id.clone()).collect();
    let did_you_mean = most_like(name, known.iter().map(String::as_str)).map(str::to_owned);
    DefectKind::NoAttribute { kind: kind.id.clone(), did_you_mean, known }
}

fn wanted(attribute: &Attribute, texts: &[Placed], wrong: &mut Wrong) -> Option<Wanted> {
    if let [only] = texts {
        if folded(&only.text) == ANY && !matches!(&attribute.measure, Measure::Words(words) if word(words, ANY).is_ok()) {
            return Some(Wanted::Any);
        }
        if not_known(&only.text) {
            return None;
        }
    }
    let mut places = Vec::new();
    for text in texts {
        let note = |wrong: &mut Wrong, kind| wrong.note(text.path.clone(), At::Bytes(text.span.clone()), kind);
        match value(attribute, &text.text) {
            Err(kind) => note(wrong, kind),
            Ok(Value::Word(place)) => places.push(place),
            Ok(Value::Number { reading, usual }) => {
                let kind = match attribute.rule {
                    Rule::Within(Allowed::Share { .. }) if reading.si <= 0.0 => DefectKind::NotAboveNothing,
                    Rule::Within(Allowed::Range { .. }) => DefectKind::RangeHolds,
                    _ => return Some(Wanted::Number { reading, usual }),
                };
                note(wrong, kind);
            }
        }
    }
    (!places.is_empty()).then_some(Wanted::Words(places))
}
