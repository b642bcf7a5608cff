//! What can be wrong with fault data, as data: `sheets` has the words.

use super::range::Limit;
use crate::document::{self, Flaw};

/// One thing wrong with a file of fault data.
pub type Defect = document::Defect<DefectKind>;

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A cause.
    Cause,
    /// A complaint.
    Complaint,
    /// A test.
    Test,
    /// A finished job, by its number.
    Job,
}

/// What a value must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// Text in quotes.
    Text,
    /// A list of texts.
    Texts,
    /// A number.
    Number,
    /// A whole number.
    Count,
    /// A list of whole numbers.
    Counts,
    /// `true` or `false`.
    Flag,
    /// A table.
    Table,
    /// A list of tables.
    Tables,
}

/// See [`Defect`].
#[derive(Clone, Debug, PartialEq)]
pub enum DefectKind {
    /// Of the document, whatever it says.
    Document(Flaw),
    /// A needed key is not there.
    MissingKey {
        /// The key.
        key: &'static str,
    },
    /// Text where a number is wanted, and so on.
    WrongType {
        /// What is wanted.
        wanted: Wanted,
        /// What TOML calls what stands there.
        found: &'static str,
    },
    /// Nothing between the quotes.
    Empty,
    /// A name that is not made of small letters, digits and hyphens.
    BadName {
        /// As written.
        found: String,
    },
    /// A number outside its limits.
    OutOfRange {
        /// The number.
        value: f64,
        /// Least, most and why.
        limit: &'static Limit,
    },
    /// None of the words that may stand here.
    UnknownWord {
        /// As written.
        found: String,
        /// The known word that looks most like it.
        did_you_mean: Option<&'static str>,
        /// The words.
        known: &'static [&'static str],
    },
    /// A name that nothing has.
    NoSuch {
        /// What it should name.
        what: What,
        /// As written.
        found: String,
        /// The known name that looks most like it.
        did_you_mean: Option<String>,
    },
    /// A second thing of one name, or a name twice in a list.
    Twice {
        /// What.
        what: What,
        /// The name.
        name: String,
    },
    /// The weights of a complaint with what is left over.
    NotHundred {
        /// What they come to \[1\].
        sum: f64,
    },
    /// A cause that no test shows.
    NothingShows {
        /// The cause.
        name: String,
    },
    /// A cause that makes its test no likelier to come out positive.
    TellsNothing {
        /// Chance with the cause \[1\].
        chance: f64,
        /// Chance with none of the test's causes \[1\].
        none: f64,
    },
    /// A test in a ring of tests each of which comes after another.
    AfterItself {
        /// The test.
        name: String,
    },
    /// One more in the same set-up takes longer than the first.
    AgainLonger {
        /// The first [min].
        first: f64,
        /// One more [min].
        again: f64,
    },
    /// A bar is lifted by a test that it bars.
    BarsItself {
        /// The test.
        name: String,
    },
    /// A row that names one job counts another number of them.
    NotOneJob {
        /// How many.
        count: u32,
    },
    /// The base has this already, and a file of one's own does not write over it.
    InBase {
        /// What.
        what: What,
        /// Its name.
        name: String,
    },
}

impl From<Flaw> for DefectKind {
    fn from(flaw: Flaw) -> Self {
        Self::Document(flaw)
    }
}
