//! Kinds of part: what has to be known of each.

use std::sync::LazyLock;

use physics::within::Allowed;
use quantity::Dimension;

use super::read;

/// The base, as it stands in the program.
pub const TEXT: &str = include_str!("kinds.toml");

/// The base.
pub fn base() -> &'static Kinds {
    static BASE: LazyLock<Kinds> = LazyLock::new(|| match read::kinds(TEXT) {
        Ok(kinds) => kinds,
        Err(defects) => unreachable!("the base has defects: {defects:?}"),
    });
    &BASE
}

/// All kinds.
#[derive(Clone, Debug, PartialEq)]
pub struct Kinds {
    /// Where tolerances and times come from, in words.
    pub numbers_source: String,
    /// They.
    pub list: Vec<Kind>,
}

impl Kinds {
    /// The kind of a name.
    pub fn named(&self, id: &str) -> Option<usize> {
        self.list.iter().position(|kind| kind.id == id)
    }
}

/// A kind of part.
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    /// Its name on the command line and in files.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// What must be known of it, in the order of the file.
    pub attributes: Vec<Attribute>,
    /// It is the workshop's own.
    pub own: bool,
}

impl Kind {
    /// The attribute of a name.
    pub fn named(&self, id: &str) -> Option<usize> {
        self.attributes.iter().position(|a| a.id == id)
    }
}

/// What an attribute is.
#[derive(Clone, Debug, PartialEq)]
pub enum Measure {
    /// A number with a unit.
    Number(Dimension, UsualDoubt),
    /// One of these words.
    Words(Vec<String>),
}

/// The ± of a number that says none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UsualDoubt {
    /// A share of it \[1\].
    Share(f64),
    /// So much [SI].
    Si(f64),
}

/// How much an attribute weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tier {
    /// Rules the part out, whatever else fits.
    Blocker,
    /// Must lie within its tolerance.
    Must,
    /// Is told and not counted.
    May,
}

/// When an attribute fits.
#[derive(Clone, Debug, PartialEq)]
pub enum Rule {
    /// It is one of the words that the job wants.
    Words,
    /// It lies within a tolerance.
    Within(Allowed),
    /// It does not matter.
    Free,
}

/// Another rule where another attribute of the job is a certain word.
#[derive(Clone, Debug, PartialEq)]
pub struct Instead {
    /// Which attribute.
    pub attribute: usize,
    /// Which of its words.
    pub word: usize,
    /// The rule then.
    pub rule: Rule,
}

/// Something that must be known of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Attribute {
    /// Its name in files.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// What it is.
    pub measure: Measure,
    /// How much it weighs.
    pub tier: Tier,
    /// When it fits.
    pub rule: Rule,
    /// When it fits otherwise.
    pub instead: Vec<Instead>,
    /// Words that always serve; empty = the job has to say.
    pub wants: Vec<usize>,
    /// Why it matters.
    pub why: String,
    /// How it is measured.
    pub how: String,
    /// How long that takes [min].
    pub minutes: f64,
    /// What to say when it does not fit.
    pub if_not: String,
}
