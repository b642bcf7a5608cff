//! The shelf: parts of one's own, of donor machines and of offers.

use std::collections::BTreeSet;

use super::{
    defect::{At, Defect, DefectKind, Wrong, cut},
    kind::Kinds,
    laid::Laid,
    price::{Price, day, money},
    value::{Value, folded, not_known, value},
};
use crate::{
    machine::most_like,
    study::fault::{self, document},
};

/// Most parts on a shelf.
pub const MOST_PARTS: usize = 200_000;
/// Keys and columns that every part has; all others are attributes of its kind.
pub const COLUMNS: &[&str] =
    &["kind", "id", "name", "donor", "place", "measured", "quoted", "day", "price", "price_day", "price_place", "note", "photo"];

/// How the values of a part are known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Known {
    /// Measured, with what.
    Measured(String),
    /// Quoted, from where.
    Quoted(String),
}

/// How a value is known, and the day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Origin {
    /// How.
    pub known: Known,
    /// The day, as ISO 8601 writes it.
    pub day: Option<String>,
}

/// A part.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name on the shelf.
    pub id: String,
    /// What kind it is, as an index.
    pub kind: usize,
    /// What people call it.
    pub name: Option<String>,
    /// The machine that it comes from.
    pub donor: Option<String>,
    /// Where it lies.
    pub place: Option<String>,
    /// How its values are known, where one does not say otherwise of itself.
    pub known: Known,
    /// The day of that, as ISO 8601 writes it.
    pub day: Option<String>,
    /// What is asked for it.
    pub price: Option<Price>,
    /// Anything else.
    pub note: Option<String>,
    /// Names of photos of it: files beside the shelf's, or kept in the book.
    pub photos: Vec<String>,
    /// What is known of each attribute of its kind; `None` = not measured.
    pub values: Vec<Option<Value>>,
    /// Values that say of themselves how they are known, by attribute.
    pub own: Vec<(usize, Origin)>,
}

impl Part {
    /// How a value is known: by its own word, or as the part is.
    pub fn origin(&self, attribute: usize) -> Origin {
        let own = self.own.iter().find(|(a, _)| *a == attribute).map(|(_, origin)| origin.clone());
        own.unwrap_or_else(|| Origin { known: self.known.clone(), day: self.day.clone() })
    }
}

/// All parts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shelf {
    parts: Vec<Part>,
    laid: Vec<Laid>,
}

impl Shelf {
    /// In the order of the file.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The parts of a kind as ranking reads them; `None` where there are none of it.
    pub(super) fn laid(&self, kind: usize) -> Option<&Laid> {
        self.laid.get(kind)
    }

    /// Reads a shelf in TOML: a list of `[[part]]`.
    ///
    /// # Errors
    /// All [`Defect`]s at once; nothing of the file is to be used then.
    pub fn toml(kinds: &Kinds, text: &str) -> Result<Shelf, Vec<Defect>> {
        let mut shelving = Shelving::new(kinds);
        let read = document(text, |root, walk| {
            root.refuse_unknown(walk, &["meta", "part"]);
            for item in root.needed_tables(walk, "part") {
                let texts: Vec<(&str, _)> = item.keys().filter_map(|key| Some((key, item.optional_text(walk, key)?))).collect();
                let cells: Vec<Cell<'_>> =
                    texts.iter().map(|(key, text)| Cell { key, text: &text.text, at: At::Bytes(text.span.clone()) }).collect();
                shelving.put(&cells, At::Bytes(item.span.clone()));
            }
        });
        let Shelving { wrong, shelf, .. } = shelving;
        wrong.or(read.map(|()| shelf))
    }
}

/// One value of a part as it stands in a file.
#[derive(Clone, Debug)]
pub struct Cell<'t> {
    /// Key or column.
    pub key: &'t str,
    /// Its text.
    pub text: &'t str,
    /// Where.
    pub at: At,
}

/// Puts parts on a shelf one by one, and keeps what is wrong with them.
#[derive(Debug)]
pub struct Shelving<'k> {
    kinds: &'k Kinds,
    shelf: Shelf,
    ids: BTreeSet<String>,
    wrong: Wrong,
}

impl<'k> Shelving<'k> {
    /// An empty shelf.
    pub fn new(kinds: &'k Kinds) -> Self {
        Self { kinds, shelf: Shelf::default(), ids: BTreeSet::new(), wrong: Wrong::default() }
    }

    /// Whether a key or column means something for any kind, and otherwise what looks most like it.
    ///
    /// # Errors
    /// The known one that looks most like it.
    pub fn knows(&self, key: &str) -> Result<(), Option<String>> {
        let attributes = || self.kinds.list.iter().flat_map(|k| k.attributes.iter().map(|a| a.id.as_str()));
        if COLUMNS.contains(&key) || attributes().any(|a| a == key) {
            return Ok(());
        }
        Err(most_like(key, COLUMNS.iter().copied().chain(attributes())).map(str::to_owned))
    }

    /// Notes something wrong with the file.
    pub fn note(&mut self, path: &str, at: At, kind: DefectKind) {
        self.wrong.note(path, at, kind);
    }

    /// How many parts there are.
    pub fn len(&self) -> usize {
        self.shelf.parts.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.shelf.parts.is_empty()
    }

    /// Puts a part.
    pub fn put(&mut self, cells: &[Cell<'_>], at: At) {
        let text = |key: &str| cells.iter().find(|c| c.key == key && !c.text.trim().is_empty());
        let own = |key: &str| text(key).map(|c| c.text.trim().to_owned());
        let Some(id) = text("id") else { return self.missing("id", at) };
        if !self.ids.insert(folded(id.text)) {
            self.wrong.note("id", id.at.clone(), DefectKind::Twice { name: id.text.trim().to_owned() });
        }
        let Some(kind) = text("kind") else { return self.missing("kind", at) };
        let found = folded(kind.text);
        let Some(k) = self.kinds.list.iter().position(|k| k.id == found) else {
            let known: Vec<String> = self.kinds.list.iter().map(|k| k.id.clone()).collect();
            let did_you_mean = most_like(&found, known.iter().map(String::as_str)).map(str::to_owned);
            self.wrong.note(
                "kind",
                kind.at.clone(),
                DefectKind::Word { found: kind.text.trim().to_owned(), did_you_mean, known },
            );
            return;
        };
        let known = match (own("measured"), own("quoted")) {
            (Some(with), None) => Known::Measured(with),
            (None, Some(from)) => Known::Quoted(from),
            _ => {
                self.wrong.note("measured", at, DefectKind::MeasuredOrQuoted);
                Known::Quoted(String::new())
            }
        };
        let price = self.price(text("price"), text("price_day"), text("price_place"));
        let (values, own_of) = self.values(k, cells);
        let photos = text("photo").map_or_else(Vec::new, |cell| {
            photos(cell.text).unwrap_or_else(|what| {
                self.wrong.note("photo", cell.at.clone(), what);
                Vec::new()
            })
        });
        let day = text("day").and_then(|cell| day(cell.text).map_err(|what| self.wrong.note("day", cell.at.clone(), what)).ok());
        let id = id.text.trim().to_owned();
        while self.shelf.laid.len() <= k {
            self.shelf.laid.push(Laid::new(&self.kinds.list[self.shelf.laid.len()]));
        }
        self.shelf.laid[k].put(self.shelf.parts.len(), &id, &values, price.as_ref());
        self.shelf.parts.push(Part {
            id,
            kind: k,
            name: own("name"),
            donor: own("donor"),
            place: own("place"),
            known,
            price,
            note: own("note"),
            photos,
            day,
            values,
            own: own_of,
        });
    }

    fn missing(&mut self, key: &'static str, at: At) {
        self.wrong.note(key, at, DefectKind::Form(fault::DefectKind::MissingKey { key }));
    }

    fn values(&mut self, k: usize, cells: &[Cell<'_>]) -> (Vec<Option<Value>>, Vec<(usize, Origin)>) {
        let kind = &self.kinds.list[k];
        let mut values = vec![None; kind.attributes.len()];
        let mut own = Vec::new();
        for cell in cells.iter().filter(|c| !COLUMNS.contains(&c.key) && !not_known(c.text)) {
            let Some(a) = kind.named(cell.key) else {
                let known: Vec<String> = kind.attributes.iter().map(|a| a.id.clone()).collect();
                let did_you_mean = most_like(cell.key, known.iter().map(String::as_str)).map(str::to_owned);
                let what = DefectKind::NoAttribute { kind: kind.id.clone(), did_you_mean, known };
                self.wrong.note(cell.key, cell.at.clone(), what);
                continue;
            };
            let read = origin(cell.text).and_then(|(text, origin)| {
                values[a] = if not_known(text) { None } else { Some(value(&kind.attributes[a], text)?) };
                own.extend(origin.map(|o| (a, o)));
                Ok(())
            });
            if let Err(what) = read {
                self.wrong.note(cell.key, cell.at.clone(), what);
            }
        }
        (values, own)
    }

    fn price(&mut self, price: Option<&Cell<'_>>, on: Option<&Cell<'_>>, place: Option<&Cell<'_>>) -> Option<Price> {
        let Some(price) = price else {
            if let Some(cell) = on.or(place) {
                self.wrong.note(cell.key, cell.at.clone(), DefectKind::NoPrice);
            }
            return None;
        };
        let (Some(on), Some(place)) = (on, place) else {
            self.wrong.note("price", price.at.clone(), DefectKind::PriceSeen);
            return None;
        };
        let amount = money(price.text).map_err(|kind| self.wrong.note("price", price.at.clone(), kind));
        let day = day(on.text).map_err(|kind| self.wrong.note("price_day", on.at.clone(), kind));
        let (Ok((amount, currency)), Ok(day)) = (amount, day) else { return None };
        Some(Price { amount, currency, day, place: place.text.trim().to_owned() })
    }

    /// The shelf.
    ///
    /// # Errors
    /// All [`Defect`]s, in the order in which they stand in the file; nothing of it is to be used then.
    pub fn done(mut self) -> Result<Shelf, Vec<Defect>> {
        if self.shelf.parts.is_empty() && self.wrong.defects.is_empty() {
            self.wrong.note("", At::Whole, DefectKind::NoParts);
        }
        if self.wrong.defects.is_empty() { Ok(self.shelf) } else { Err(cut(self.wrong.defects)) }
    }
}

/// Names of files, parted by semicolons; a name is never a path.
fn photos(text: &str) -> Result<Vec<String>, DefectKind> {
    let names = text.split(';').map(str::trim).filter(|name| !name.is_empty());
    let bad = |name: &str| name.starts_with('.') || name.contains(['/', '\\', ':']) || name.chars().any(char::is_control);
    names.map(|name| if bad(name) { Err(DefectKind::BadPhoto { found: name.to_owned() }) } else { Ok(name.to_owned()) }).collect()
}

/// A value's text, and how it is known by its own word, in square brackets after it: `0.42 Ω [measured: four-wire meter, 2026-03-14]`, `12 V [quoted: small advert]`.
fn origin(text: &str) -> Result<(&str, Option<Origin>), DefectKind> {
    let text = text.trim();
    let bad = || DefectKind::BadOrigin { found: text.to_owned() };
    let Some(within) = text.strip_suffix(']') else { return Ok((text, None)) };
    let (value, within) = within.rsplit_once('[').ok_or_else(bad)?;
    let (how, what) = within.split_once(':').ok_or_else(bad)?;
    // A day stands last, if there is one.
    let last = what.rsplit_once(',').map(|(rest, last)| (rest, day(last)));
    let (what, on) = match last {
        Some((rest, Ok(on))) => (rest, Some(on)),
        _ => (what, None),
    };
    let what = what.trim().to_owned();
    let known = match folded(how).as_str() {
        _ if what.is_empty() => return Err(bad()),
        "measured" => Known::Measured(what),
        "quoted" => Known::Quoted(what),
        _ => return Err(bad()),
    };
    Ok((value.trim(), Some(Origin { known, day: on })))
}
