//! The one table of everything a machine file may say: key, label, unit, least, most, why, and what stands in for it.
//!
//! Checking, the JSON Schema, the commented template and the form all derive from it. Ranges marked *common practice* in
//! their reason have no source but the trade; they only have to be wide enough to let every real machine through and
//! narrow enough to catch a slipped decimal sign or a wrong unit.

mod balance;
mod bond;
mod charging;
mod coil;
mod electric;
mod engine;
mod grade;
mod idle;
mod law;
mod rotor;
mod spark;
mod taper;
mod trigger;

pub(super) use balance::*;
pub(super) use bond::*;
pub(super) use charging::*;
pub(super) use coil::*;
pub(super) use electric::*;
pub(super) use engine::*;
pub(super) use grade::*;
pub(super) use idle::*;
pub(super) use law::*;
pub(super) use rotor::*;
pub(super) use spark::*;
pub(super) use taper::*;
pub(super) use trigger::*;

use quantity::{Dimension, Reading, Unit};

/// One key of the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Path without list places, such as `trigger.pickup.gap`.
    pub path: &'static str,
    /// What the mechanic calls it.
    pub label: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// What happens where it does not stand there.
    pub need: Need,
    /// Why the limits are where they are.
    pub why: &'static str,
    /// Is it a reading that is never exact, so that a missing ± must be said?
    pub doubtful: bool,
}

/// What may stand at a key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A reading.
    Reading {
        /// What it measures.
        dimension: Dimension,
        /// Its limits.
        range: Range,
        /// Its limits where it is written as piston travel ([`Dimension::Advance`] only).
        travel: Option<Range>,
    },
    /// One of some words.
    Choice(&'static [&'static str]),
    /// A whole number.
    Count {
        /// Least.
        least: i64,
        /// Most.
        most: i64,
    },
    /// Free text.
    Text,
    /// Yes or no.
    Flag,
    /// Cylinders, by name or by number from 1: one.
    Cylinder,
    /// One or several.
    Cylinders,
}

/// Limits, in a unit that people use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Unit of both.
    pub unit: Unit,
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
}

impl Range {
    /// Whether an SI value lies inside. Limits belong to the range; half of the last bit of a unit change is let through.
    pub fn holds(&self, si: f64) -> bool {
        /// A change of unit and back costs a few units in the last place [1] (own choice).
        const SLACK: f64 = 1e-12;
        let number = self.unit.from_si(si);
        let slack = SLACK * self.least.abs().max(self.most.abs());
        number >= self.least - slack && number <= self.most + slack
    }
}

/// What happens where a key is missing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// The file is refused.
    Required,
    /// This stands in, with a warning.
    Default {
        /// As it would be written.
        written: &'static str,
        /// Why this.
        why: &'static str,
    },
    /// Nothing; the part that needs it is left out.
    Optional,
}

impl Field {
    /// The last part of the path.
    pub fn key(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// Limits that apply to a reading of this field; `None` where it is no reading.
    pub fn range_for(&self, unit: Unit) -> Option<&Range> {
        match &self.kind {
            Kind::Reading { travel: Some(travel), .. } if matches!(unit, Unit::MillimetreBtdc | Unit::InchBtdc) => Some(travel),
            Kind::Reading { range, .. } => Some(range),
            _ => None,
        }
    }

    /// Whether a reading lies inside the limits.
    pub fn holds(&self, reading: &Reading) -> bool {
        self.range_for(reading.unit).is_none_or(|range| range.holds(reading.si))
    }

    const fn required(self) -> Self {
        Self { need: Need::Required, ..self }
    }

    const fn or(self, written: &'static str, why: &'static str) -> Self {
        Self { need: Need::Default { written, why }, ..self }
    }

    /// A reading that is exact by definition, is a ± itself, or takes its ± from another field.
    const fn exact(self) -> Self {
        Self { doubtful: false, ..self }
    }
}

/// A part of the file: a table, or a list of tables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Path without list places; empty for the file itself.
    pub path: &'static str,
    /// What the mechanic calls it.
    pub label: &'static str,
    /// A list of tables?
    pub many: bool,
    /// Must it be there?
    pub required: bool,
    /// Keys that hold values.
    pub fields: &'static [Field],
    /// Keys that hold further parts.
    pub sections: &'static [&'static Section],
    /// Where the key `kind` decides what else may stand here: its words and their keys.
    pub variants: &'static [Variant],
}

impl Section {
    /// The last part of the path.
    pub fn key(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// Is it a plain list of readings, one row each, which may grow and shrink?
    pub fn grows(&self) -> bool {
        self.many && !self.required && self.sections.is_empty()
    }
}

/// One word of `kind` and the keys that go with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variant {
    /// The word.
    pub kind: &'static str,
    /// What it is.
    pub label: &'static str,
    /// Keys that hold values.
    pub fields: &'static [Field],
    /// Keys that hold further parts.
    pub sections: &'static [&'static Section],
}

/// An optional reading.
const fn reading(
    path: &'static str,
    label: &'static str,
    dimension: Dimension,
    (least, most, unit): (f64, f64, Unit),
    why: &'static str,
) -> Field {
    let kind = Kind::Reading { dimension, range: Range { unit, least, most }, travel: None };
    Field { path, label, kind, need: Need::Optional, why, doubtful: true }
}

/// Another optional field.
const fn other(path: &'static str, label: &'static str, kind: Kind, why: &'static str) -> Field {
    Field { path, label, kind, need: Need::Optional, why, doubtful: false }
}

/// Version of the file's layout that this program writes.
pub const VERSION: i64 = 1;

pub(super) const TICKOVER: Field = other(
    "tickover",
    "Version of this file's layout",
    Kind::Count { least: 1, most: VERSION },
    "older programs must not misread newer files",
)
.required();
pub(super) const NAME: Field = other("name", "Name of the machine", Kind::Text, "it stands on every sheet").required();

/// The whole file.
pub static FILE: Section = Section {
    path: "",
    label: "Machine",
    many: false,
    required: true,
    fields: &[TICKOVER, NAME],
    sections: &[
        &ENGINE, &TRIGGER, &LAW, &LAMP, &STROBE, &IDLE, &ROTOR, &SPARK, &SUPPLY, &STORE, &SOURCE, &CONVERTER, &BREAKER, &COIL,
        &PLUG, &CHARGING, &BATTERY, &LOAD, &RIDE, &WINDING, &WIRE,
    ],
    variants: &[],
};

/// Every field of the file, laws of all kinds included, in the order of the table.
pub fn fields() -> Vec<&'static Field> {
    fn gather(section: &'static Section, all: &mut Vec<&'static Field>) {
        all.extend(section.fields);
        for variant in section.variants {
            // `start` and `full` belong to two kinds of law.
            all.extend(variant.fields.iter().filter(|field| !all.contains(field)).collect::<Vec<_>>());
        }
        for part in section.sections.iter().chain(section.variants.iter().flat_map(|variant| variant.sections)) {
            gather(part, all);
        }
    }
    let mut all = Vec::new();
    gather(&FILE, &mut all);
    all
}

/// The field at a path without list places, such as `strobe.advance`.
pub fn field(path: &str) -> Option<&'static Field> {
    fields().into_iter().find(|field| field.path == path)
}
