//! The printed papers of a job.
//!
//! [`JobPaper`] holds a job as it is to be printed: plain values, dates as the text to print, an empty text where
//! something was not said. [`pages`] and [`pdf`] make each [`Paper`] of it, [`label`] the label that sticks to the
//! machine. Whose machine it is stands on the shop record alone; who agreed to a cut, on the papers with the consent.

mod card;
mod label;
mod money;
mod owner;
mod pieces;
mod readings;
mod record;

pub use label::{Label, LabelError, LabelSize, label, label_pdf};
pub use money::{Money, MoneyError, decimals};

use crate::chart::Chart;
use crate::scene::{Scene, pdf as writer};
use crate::words::job as text;

/// A paper of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Paper {
    /// The card to work from: what is known, and blanks for what is not.
    JobSheet,
    /// Readings as found and as left, side by side.
    Readings,
    /// What the owner takes home.
    HandOver,
    /// Everything, for the next mechanic. It names the owner and stays in the shop.
    ShopRecord,
}

impl Paper {
    /// Every paper.
    pub const ALL: [Paper; 4] = [Paper::JobSheet, Paper::Readings, Paper::HandOver, Paper::ShopRecord];

    /// Its name in addresses and file names.
    pub const fn key(self) -> &'static str {
        match self {
            Paper::JobSheet => "job-sheet",
            Paper::Readings => "readings",
            Paper::HandOver => "hand-over",
            Paper::ShopRecord => "shop-record",
        }
    }

    /// Its name for people.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::JobSheet => text::JOB_SHEET,
            Paper::Readings => text::READINGS,
            Paper::HandOver => text::HAND_OVER,
            Paper::ShopRecord => text::SHOP_RECORD,
        }
    }

    /// The paper of a key.
    ///
    /// ```
    /// use sheets::job::Paper;
    /// assert_eq!(Paper::of("hand-over"), Some(Paper::HandOver));
    /// assert_eq!(Paper::of("../secret"), None);
    /// ```
    pub fn of(key: &str) -> Option<Paper> {
        Paper::ALL.into_iter().find(|p| p.key() == key)
    }
}

/// The pages of a paper as drawings.
pub fn pages(paper: Paper, job: &JobPaper) -> Vec<Scene> {
    let flow = match paper {
        Paper::JobSheet => card::flow(job),
        Paper::Readings => readings::flow(job),
        Paper::HandOver => owner::flow(job),
        Paper::ShopRecord => record::flow(job),
    };
    flow.finish(&text::foot(&job.number, &job.machine, paper.name()), Vec::new())
}

/// A paper as a PDF. The same job gives the same bytes.
///
/// # Errors
/// As [`crate::scene::pdf::document`]; the pages themselves always have a size.
pub fn pdf(paper: Paper, job: &JobPaper) -> Result<Vec<u8>, writer::PdfError> {
    writer::document(&pages(paper, job), &pieces::one_line(&text::foot(&job.number, &job.machine, paper.name())))
}

/// A job as it is to be printed. An empty text is something that was not said, a date the text to print.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobPaper {
    /// Name of the machine.
    pub machine: String,
    /// What the machine is, name and value: strokes, cylinders, ignition.
    pub about_machine: Vec<(String, String)>,
    /// Number of the job, such as `2026-0014`.
    pub number: String,
    /// When it was opened.
    pub opened: String,
    /// When the machine was handed over.
    pub handed_over: String,
    /// Date of printing. Papers read no clock.
    pub printed: String,
    /// The complaint, word for word.
    pub complaint: String,
    /// Distance run, as typed with its unit.
    pub odometer: String,
    /// What the owner allows to be spent.
    pub may_spend: Option<Money>,
    /// What the owner allows to be cut or changed for good.
    pub may_cut: String,
    /// Whose it is; printed on the shop record alone.
    pub custody: Custody,
    /// Readings, one row for each quantity and place. A row without any is still to be taken.
    pub readings: Vec<ReadingRow>,
    /// What is said of readings beside the machine's file.
    pub beside: Vec<String>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What is planned, was done or was given up.
    pub alterations: Vec<Alteration>,
    /// Leave given for what cannot be undone.
    pub consents: Vec<Consent>,
    /// Parts used.
    pub parts: Vec<Part>,
    /// Time spent.
    pub times: Vec<Time>,
    /// What it costs, one sum for each currency.
    pub totals: Vec<Money>,
    /// Lines without a price, which the totals are without.
    pub unpriced: u32,
    /// What is due, and when.
    pub reminders: Vec<Reminder>,
    /// What this owner should listen for, before what every owner should.
    pub listen_for: Vec<String>,
    /// Old parts given back to the owner.
    pub old_parts: Vec<String>,
    /// Notes.
    pub notes: Vec<Note>,
    /// What the study says, in sentences.
    pub study: Vec<String>,
    /// Pictures of the machine as found.
    pub before: Vec<Picture>,
    /// Pictures of the machine as left.
    pub after: Vec<Picture>,
    /// Photos, recordings and papers that are in the job book.
    pub attachments: Vec<Attachment>,
    /// What was corrected or taken back, oldest first.
    pub corrections: Vec<Correction>,
}

/// Whose machine it is. All that must not travel is in here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Custody {
    /// The owner's name.
    pub owner: String,
    /// Telephone, address.
    pub contact: String,
    /// Number plate.
    pub plate: String,
    /// Frame number.
    pub frame: String,
}

/// The readings of one quantity in one place. A stage may have several; all are printed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadingRow {
    /// What is measured.
    pub quantity: String,
    /// Where.
    pub place: String,
    /// Before anything was touched.
    pub found: Vec<Taken>,
    /// While work went on.
    pub during: Vec<Taken>,
    /// At hand-over.
    pub left: Vec<Taken>,
}

/// One reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// Value as typed, with ± and unit.
    pub value: String,
    /// What it was read with.
    pub instrument: String,
    /// Temperature with its unit.
    pub temperature: String,
    /// Engine speed with its unit.
    pub speed: String,
    /// Loaded, open, kicking.
    pub condition: String,
    /// Who read it.
    pub who: String,
    /// When.
    pub when: String,
}

/// Something found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Finding {
    /// The sentence for a mechanic.
    pub words: String,
    /// The same for the owner; where it is empty the owner's page has `words`.
    pub plain: String,
}

/// How far an alteration is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Progress {
    /// To be done.
    #[default]
    Planned,
    /// Done.
    Done,
    /// Will not be done, or was stopped.
    GivenUp,
}

/// Work that changes the machine.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Alteration {
    /// What, for a mechanic.
    pub words: String,
    /// The same for the owner; where it is empty the owner's page has `words`.
    pub plain: String,
    /// Why; for the owner too.
    pub why: String,
    /// How far it is.
    pub progress: Progress,
    /// How much was planned, with its unit.
    pub planned: String,
    /// What was measured after it, with ± and unit.
    pub measured_after: Vec<String>,
    /// It cannot be undone, so it wants consent.
    pub irreversible: bool,
    /// Whether one of the consents is for it.
    pub consented: bool,
    /// Who did it.
    pub who: String,
    /// When.
    pub when: String,
}

/// Leave for work that cannot be undone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Consent {
    /// The work as it was shown to the owner.
    pub work: String,
    /// The sentence of risk, as shown.
    pub risk: String,
    /// Who gave it.
    pub by: String,
    /// How: on paper, by telephone.
    pub how: String,
    /// When.
    pub when: String,
}

/// A part used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Part {
    /// What it is.
    pub name: String,
    /// How many, or how much.
    pub quantity: String,
    /// Price of one.
    pub each: Option<Money>,
    /// Price of all of them.
    pub cost: Option<Money>,
    /// Where it came from.
    pub source: String,
    /// When it was bought or fitted.
    pub when: String,
}

/// Time spent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Time {
    /// How long [min].
    pub minutes: u32,
    /// On what.
    pub words: String,
    /// Price of an hour.
    pub hourly: Option<Money>,
    /// Price of it all.
    pub cost: Option<Money>,
    /// Who worked.
    pub who: String,
    /// When.
    pub when: String,
}

/// Something due later.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reminder {
    /// What.
    pub what: String,
    /// From when on.
    pub due: String,
    /// When it was done; empty if it is still open.
    pub done: String,
}

/// A note.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Note {
    /// What it says.
    pub words: String,
    /// What it is about.
    pub about: String,
    /// Who wrote it.
    pub who: String,
    /// When.
    pub when: String,
}

/// A photo, a recording, a paper in the job book.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Attachment {
    /// Name of the file as it came.
    pub file: String,
    /// What it shows.
    pub words: String,
    /// As found, during the work, as left.
    pub stage: String,
    /// When it was kept.
    pub when: String,
}

/// What was written first, and what took its place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Correction {
    /// What kind of entry: a reading, a note.
    pub what: String,
    /// What it said.
    pub was: String,
    /// What it says now; empty where it was taken back.
    pub now: String,
    /// Who changed it.
    pub who: String,
    /// When.
    pub when: String,
    /// Why.
    pub why: String,
}

/// A picture.
#[derive(Clone, Debug, PartialEq)]
pub enum Picture {
    /// A chart, drawn as wide as the text.
    Chart(Box<Chart>),
    /// A drawing with a size of its own, at most 174 × 259 mm; a larger one is named in its place.
    Drawing(Scene),
}
