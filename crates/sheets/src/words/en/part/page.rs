//! The page of substitute parts.

/// Link on the card, and title of the page.
pub const TITLE: &str = "Find a part that does the same";
/// Button.
pub const OPEN: &str = "Lay a shelf beside it";
/// What it does.
pub const INTRO: &str = "A shelf of measured parts is laid beside what this machine needs: what rules a part out, how likely the rest fits, what it would do in the machine, what would make it fit.";
/// Of a shelf that is sent.
pub const NOT_KEPT: &str = "The file is read here and not kept; to keep it, and for the match sheet, add it to a job.";
/// Field.
pub const KIND: &str = "Kind of part";
/// No choice yet.
pub const CHOOSE: &str = "choose";
/// No kind was chosen.
pub const CHOOSE_KIND: &str = "Choose a kind of part.";
/// Field.
pub const FILE: &str = "Shelf: CSV, or TOML (drop it here or choose it)";
/// Field.
pub const NEED_FIELD: &str = "What the job needs beside the machine file (may stay empty)";
/// The same as the name of a file.
pub const NEED: &str = "what the job needs";
/// How it is written.
pub const NEED_HOW: &str =
    "A table for each kind, such as [coil], then a line for each need: ends = \"single\". “any” if it does not matter here.";
/// Button.
pub const LOOK: &str = "Lay it beside";
/// Link.
pub const SHEET: &str = "Match sheet with shopping list (PDF)";
/// Link beside a file of a job.
pub const AS_SHELF: &str = "As a shelf of parts";
/// The work came to an end by itself.
pub const BROKE_OFF: &str = "The computation broke off. Nothing was kept.";

/// A set among the kinds.
pub fn set(name: &str) -> String {
    format!("together: {name}")
}
