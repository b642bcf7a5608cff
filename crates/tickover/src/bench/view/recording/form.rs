//! What is said of a recording, and where it comes from: the form.

use super::super::card::cautions;
use crate::exchange::recording::hear::Closeup;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use sheets::words::{self, page as general, recording::page as said};

/// What was said of a recording.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(default)]
pub struct Sent {
    /// `pickup`, `mark`, `pickups` or `exhaust`.
    pub what: String,
    /// `left`, `right` or nothing.
    pub trigger: String,
    /// Angle of the mark.
    pub mark: String,
    /// Second from which the pulses are shown.
    pub from: String,
    /// How long that is [s].
    pub lasts: String,
    /// Pickup, counted from one.
    pub pickup: String,
    /// Hash of the recording before, or nothing.
    pub before: String,
}

impl Sent {
    /// The place of a field by its name.
    pub fn place(&mut self, name: &str) -> Option<&mut String> {
        Some(match name {
            "what" => &mut self.what,
            "trigger" => &mut self.trigger,
            "mark" => &mut self.mark,
            "from" => &mut self.from,
            "lasts" => &mut self.lasts,
            "pickup" => &mut self.pickup,
            "before" => &mut self.before,
            _ => return None,
        })
    }

    /// Whether it is trigger and spark.
    pub fn is_ignition(&self) -> bool {
        self.what != "exhaust" && self.what != "pickups"
    }

    /// As a query.
    pub(super) fn query(&self) -> String {
        serde_urlencoded::to_string(self).unwrap_or_default()
    }
}

/// Where a recording comes from.
pub enum From {
    /// Not sent yet, to the page of this machine.
    Sent {
        /// The machine.
        slug: String,
    },
    /// Sent and put aside.
    Aside {
        /// The machine.
        slug: String,
        /// The file's hash.
        hash: String,
        /// Its name.
        name: String,
    },
    /// Kept with a job.
    Kept {
        /// The machine.
        slug: String,
        /// Number of the job.
        job: String,
        /// The file's hash.
        hash: String,
        /// Its name.
        name: String,
    },
}

impl From {
    /// The machine.
    pub fn slug(&self) -> &str {
        match self {
            From::Sent { slug } | From::Aside { slug, .. } | From::Kept { slug, .. } => slug,
        }
    }

    /// The file's hash; nothing before it is sent.
    pub fn hash(&self) -> &str {
        match self {
            From::Sent { .. } => "",
            From::Aside { hash, .. } | From::Kept { hash, .. } => hash,
        }
    }

    /// Where it is heard.
    pub(super) fn address(&self) -> String {
        match self {
            From::Sent { slug } => format!("/machine/{slug}/recording"),
            From::Aside { slug, hash, .. } => format!("/machine/{slug}/heard/{hash}"),
            From::Kept { job, hash, .. } => format!("/job/{job}/heard/{hash}"),
        }
    }

    /// Where it is heard in this way.
    pub fn heard(&self, sent: &Sent) -> String {
        format!("{}?{}", self.address(), sent.query())
    }
}

/// What the form lets choose beside.
pub struct Choices {
    /// Recordings that may be the one before: hash and name.
    pub before: Vec<(String, String)>,
    /// How many pickups the machine has.
    pub pickups: usize,
}

/// The form, and the answer below it.
pub fn page(name: &str, from: &From, sent: &Sent, choices: &Choices, answer: Option<Markup>) -> Markup {
    let slug = from.slug();
    html! {
        div.title {
            h1 { (name) ": " (said::HEAR) }
            @match from {
                From::Sent { .. } => { p { (said::INTRO) } p { a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) } } },
                From::Aside { name, .. } => {
                    p { strong { (name) } }
                    p { a href={ "/machine/" (slug) "/recording" } { (said::ANOTHER) } " · " a href={ "/machine/" (slug) } { (general::BACK_TO_CARD) } }
                },
                From::Kept { job, name, .. } => { p { strong { (name) } } p { a href={ "/job/" (job) "#attachments" } { (words::exchange::BACK_TO_JOB) } } },
            }
        }
        div.plain-part {
        (cautions(said::cautions()))
        @match from {
            From::Sent { .. } => form method="post" enctype="multipart/form-data" action=(from.address()) {
                (fields(sent, choices, html! {
                    // Last: what is said of it must arrive before it does.
                    div.field { label for="file" { (said::FILE) } input id="file" type="file" name="file" accept=".wav,.csv,audio/wav" required; }
                }))
            },
            _ => form method="get" action=(from.address()) { (fields(sent, choices, html! {})) },
        }
        @if let Some(answer) = answer { (answer) }
        }
    }
}

/// What is said of a recording, and the button.
fn fields(sent: &Sent, choices: &Choices, file: Markup) -> Markup {
    let choose = |field: &str, label: &str, now: &str, all: &[(&str, &str)]| {
        html! {
            div.field { label for=(field) { (label) }
                select id=(field) name=(field) {
                    @for (value, label) in all { option value=(value) selected[*value == now] { (label) } }
                }
            }
        }
    };
    let write = |field: &str, label: &str, now: &str, default: &str, mode: Option<&str>| {
        let now = if now.is_empty() { default } else { now };
        html! { div.field { label for=(field) { (label) } input id=(field) name=(field) inputmode=[mode] value=(now); } }
    };
    let lasts = Closeup::LASTS_S.0.to_string();
    let before: Vec<(&str, &str)> =
        [("", said::NO_BEFORE)].into_iter().chain(choices.before.iter().map(|(h, n)| (h.as_str(), n.as_str()))).collect();
    html! {
        div.fields {
            (choose("what", said::WHAT, &sent.what, &[("pickup", said::PICKUP), ("mark", said::MARK), ("pickups", said::PICKUPS), ("exhaust", said::EXHAUST)]))
            (choose("trigger", said::TRIGGER, &sent.trigger, &[("", said::FOUND_OUT), ("left", said::LEFT), ("right", said::RIGHT)]))
            (write("mark", said::MARK_AT, &sent.mark, "0°", None))
            @if choices.pickups > 1 { (write("pickup", said::WHICH_PICKUP, &sent.pickup, "1", Some("numeric"))) }
            (write("from", said::CLOSER, &sent.from, "1", Some("decimal")))
            (write("lasts", said::LASTS, &sent.lasts, &lasts, Some("decimal")))
            @if before.len() > 1 { (choose("before", said::BEFORE, &sent.before, &before)) }
            (file)
        }
        div.keep { button { (said::READ_IT) } }
    }
}
