//! What an entry can say.

mod card;
mod measure;
mod search;
mod work;

pub use card::{Attachment, Custody, Finding, Headline, JobState, Note, Reminder};
pub use measure::{Condition, Instrument, Origin, Reading, Stage};
pub use search::{Did, SearchStep};
pub use work::{Alteration, Consent, Part, Price, Progress, Work};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The machine file was changed: the revision is in the book under the machine, this says when the job came to it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FileRevision {
    /// Number of the revision.
    pub revision: u32,
}

/// The entry that it replaces is taken back. What was taken back stays in the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Withdrawn {
    /// Why, in a few words; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}

/// An entry of a kind, or of a shape, that this version does not know. It is kept, shown as what it is, and can be
/// taken back; it cannot be written anew.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Unknown {
    /// The kind, as the program that wrote it calls it.
    pub kind: String,
    /// What it says.
    pub body: serde_json::Value,
}

macro_rules! bodies {
    ($($(#[$says:meta])* $kind:ident = $name:literal),+ $(,)?) => {
        /// What an entry says. In JSON `{"kind": …, "body": …}`.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(tag = "kind", content = "body", rename_all = "snake_case")]
        pub enum Body {
            $($(#[$says])* $kind($kind),)+
            /// Of a newer version.
            #[serde(untagged)]
            Unknown(Unknown),
        }

        /// The kinds of [`Body`], without what they say.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind {
            $($(#[$says])* $kind,)+
        }

        impl Kind {
            /// Every kind.
            pub const ALL: &[Kind] = &[$(Kind::$kind),+];

            /// Its name in the book and in JSON.
            pub fn name(self) -> &'static str {
                match self { $(Kind::$kind => $name,)+ }
            }
        }

        impl Body {
            /// Its kind; `None` if this version does not know it.
            pub fn kind(&self) -> Option<Kind> {
                match self { $(Body::$kind(_) => Some(Kind::$kind),)+ Body::Unknown(_) => None }
            }

            /// Name of its kind, known or not.
            pub fn kind_name(&self) -> &str {
                match self { $(Body::$kind(_) => $name,)+ Body::Unknown(unknown) => &unknown.kind }
            }

            /// What it says as JSON, without the kind.
            pub(crate) fn json(&self) -> serde_json::Result<String> {
                match self { $(Body::$kind(body) => serde_json::to_string(body),)+ Body::Unknown(u) => serde_json::to_string(&u.body) }
            }

            /// From the two columns. What cannot be understood is [`Body::Unknown`], never an error: the log is older
            /// or newer than this program, and must stay readable.
            pub(crate) fn read(kind: &str, json: &str) -> Body {
                let known = match kind {
                    $($name => serde_json::from_str(json).ok().map(Body::$kind),)+
                    _ => None,
                };
                known.unwrap_or_else(|| {
                    let body = serde_json::from_str(json).unwrap_or_else(|_| serde_json::Value::String(json.to_owned()));
                    Body::Unknown(Unknown { kind: kind.to_owned(), body })
                })
            }
        }

        $(impl From<$kind> for Body {
            fn from(body: $kind) -> Body { Body::$kind(body) }
        })+
    };
}

bodies! {
    /// What the job is, and how it stands.
    Headline = "headline",
    /// Whose machine it is.
    Custody = "custody",
    /// A measured value.
    Reading = "reading",
    /// An instrument, remembered for next time.
    Instrument = "instrument",
    /// Words.
    Note = "note",
    /// A picture, a recording, a paper.
    Attachment = "attachment",
    /// What a study gave.
    Finding = "finding",
    /// Work on the machine that changes it.
    Alteration = "alteration",
    /// Leave to do something that cannot be undone.
    Consent = "consent",
    /// A part used.
    Part = "part",
    /// Time spent.
    Work = "work",
    /// Something due later.
    Reminder = "reminder",
    /// The machine file was changed.
    FileRevision = "file_revision",
    /// A step of the search for a fault.
    SearchStep = "search_step",
    /// Taken back.
    Withdrawn = "withdrawn",
}

/// Longest body as JSON [bytes]. A finding with all its curves is some 100 kB; pictures and recordings are blobs.
pub const MOST_BODY_BYTES: usize = 4 << 20;
/// Dearest price, in minor units: beyond it a sum over a job might not fit. Ten thousand million is no motorcycle.
const MOST_MINOR: i64 = 1_000_000_000_000;
/// Most pieces of a part.
const MOST_PIECES: f64 = 1e6;
/// Longest time in one entry [min]: a year.
const MOST_MINUTES: u32 = 366 * 24 * 60;

impl Body {
    /// The first field that cannot be kept as it is, if any.
    pub(crate) fn unfit(&self) -> Option<&'static str> {
        let bad = |price: &Price| {
            let currency = price.currency.len() == 3 && price.currency.bytes().all(|b| b.is_ascii_uppercase());
            !currency || price.minor.checked_abs().is_none_or(|m| m > MOST_MINOR)
        };
        match self {
            Body::Reading(r) if !r.value_si.is_finite() => Some("value_si"),
            Body::Reading(r) if !(r.plus_minus_si >= 0.0 && r.plus_minus_si.is_finite()) => Some("plus_minus_si"),
            Body::Reading(r) if r.temperature_k.is_some_and(|t| !(t >= 0.0 && t.is_finite())) => Some("temperature_k"),
            Body::Reading(r) if r.crank_rad_s.is_some_and(|w| !w.is_finite()) => Some("crank_rad_s"),
            Body::Reading(r) if r.what.is_empty() => Some("what"),
            Body::Instrument(i) if i.name.is_empty() => Some("name"),
            Body::Part(p) if !(p.quantity >= 0.0 && p.quantity <= MOST_PIECES) => Some("quantity"),
            Body::Part(p) if p.price.as_ref().is_some_and(bad) => Some("price"),
            Body::Work(w) if w.minutes > MOST_MINUTES => Some("minutes"),
            Body::Work(w) if w.hourly.as_ref().is_some_and(bad) => Some("hourly"),
            Body::Headline(h) if h.spend.as_ref().is_some_and(bad) => Some("spend"),
            Body::SearchStep(s) if s.complaint.is_empty() => Some("complaint"),
            Body::SearchStep(s) if s.what.is_empty() != (s.did == Did::Begun) => Some("what"),
            Body::Unknown(_) => Some("kind"),
            _ => None,
        }
    }

    /// Words by which it is found.
    pub(crate) fn words(&self) -> Vec<&str> {
        match self {
            Body::Headline(h) => vec![&h.complaint],
            Body::Custody(c) => vec![&c.owner, &c.contact, &c.plate, &c.frame],
            Body::Note(n) => vec![&n.words],
            Body::Attachment(a) => vec![&a.words, &a.file],
            Body::Part(p) => vec![&p.name],
            _ => Vec::new(),
        }
    }

    /// When it wants to be looked at.
    pub(crate) fn due(&self) -> Option<crate::UnixSeconds> {
        match self {
            Body::Reminder(r) if r.done.is_none() => Some(r.due),
            _ => None,
        }
    }
}

impl Kind {
    /// Kinds that have words by which they are found.
    pub(crate) const WORDY: &[Kind] = &[Kind::Headline, Kind::Custody, Kind::Note, Kind::Attachment, Kind::Part];
}
