//! What is wrong with kinds of part, a shelf or a need, where, and what to do.

use crate::words::{
    en::fault::defect::{meant, sentence as form},
    reading_error,
};
use workshop::{
    machine::place,
    study::part::{At, Defect, DefectKind},
};

/// A defect with its place; `text` is the file's where it is TOML.
///
/// ```
/// use workshop::study::part::{Shelf, base};
/// let text = "[[part]]\nid = 'a'\nkind = 'coyl'\nmeasured = 'meter'";
/// let defects = Shelf::toml(base(), text).unwrap_err();
/// let said = sheets::words::part::defect(&defects[0], "shelf.toml", text);
/// assert!(said.starts_with("shelf.toml, line 3, column 8: “coyl” is none of the words for kind. Did you mean “coil”?"), "{said}");
/// ```
pub fn defect(defect: &Defect, file: &str, text: &str) -> String {
    let path = if defect.path.is_empty() { "the row" } else { &defect.path };
    let said = sentence(&defect.kind, path);
    match &defect.at {
        At::Whole => format!("{file}: {said}"),
        At::Bytes(span) => {
            let at = place(text, span.start);
            format!("{file}, line {}, column {}: {said}", at.line, at.column)
        }
        At::Cell { line, column: 0 } => format!("{file}, line {line}: {said}"),
        At::Cell { line, column } => format!("{file}, line {line}, column {column}: {said}"),
    }
}

/// After the defects of a file, those that were left out counted in.
pub fn refused(file: &str, defects: &[Defect]) -> String {
    let of = |d: &Defect| if let DefectKind::More { left_out } = d.kind { left_out } else { 1 };
    let count: usize = defects.iter().map(of).sum();
    let things = if count == 1 { "1 defect".to_owned() } else { format!("{count} defects") };
    format!("{file} has {things}, so nothing of it is used.")
}

fn sentence(kind: &DefectKind, path: &str) -> String {
    match kind {
        DefectKind::Form(kind) => form(kind, path),
        DefectKind::Reading(error) => format!("{path}: {}", reading_error(error)),
        DefectKind::Word { found, did_you_mean, known } => {
            format!("“{found}” is none of the words for {path}.{} Words: {}.", meant(did_you_mean.as_deref()), known.join(", "))
        }
        DefectKind::NoAttribute { kind, did_you_mean, known } => format!(
            "a part of kind “{kind}” has no {path}.{} It has: {}. Leave it empty, or say it in the note.",
            meant(did_you_mean.as_deref()),
            known.join(", ")
        ),
        DefectKind::NoColumn { did_you_mean } => {
            format!("no kind of part has “{path}”.{} Rename the column, or put it into the note.", meant(did_you_mean.as_deref()))
        }
        DefectKind::Twice { name } => {
            format!("“{name}” stands here a second time, or is taken already. Give each a name of its own.")
        }
        DefectKind::MeasureOrWords => {
            format!("{path} is either a number, with “measure”, or one of some “words”: write one of the two.")
        }
        DefectKind::OneTolerance => format!(
            "{path} needs one tolerance if it is a number: share_least and share_most, or below and above, or least and most. Words have none."
        ),
        DefectKind::Backwards => format!("{path}: the least is above the most, or a tolerance is below nothing."),
        DefectKind::NotAlike => {
            format!("{path} hangs on something else of another sort: numbers of one dimension, or words, on both sides.")
        }
        DefectKind::OtherSort => {
            format!("{path}: “when” (less, more) belongs to a number, “has” to an attribute of words.")
        }
        DefectKind::BadOrigin { found } => format!(
            "the brackets after “{found}” do not say how it is known. Write [measured: with what] or [quoted: from where], with the day after a comma if you like."
        ),
        DefectKind::NotAboveNothing => {
            format!("{path}: its tolerance is a share of what is needed, so that has to be above nothing.")
        }
        DefectKind::RangeHolds => {
            format!(
                "{path}: the range of the trade holds, whatever the job needs. Write “any” if it does not matter here, or leave it out."
            )
        }
        DefectKind::MeasuredOrQuoted => {
            "say how the values are known: “measured” with what, or “quoted” from where, one of the two.".to_owned()
        }
        DefectKind::BadPhoto { found } => {
            format!("“{found}” is no name of a photo. Write the file’s name without a folder, several parted by semicolons.")
        }
        DefectKind::BadPrice { found } => {
            format!("“{found}” is no price. Write the number and the currency’s three capitals, such as 45.00 EUR.")
        }
        DefectKind::PriceSeen => "a price needs price_day and price_place: when and where it was asked.".to_owned(),
        DefectKind::NoPrice => format!("{path} belongs to a price, and there is none."),
        DefectKind::BadDay { found } => format!("“{found}” is no day. Write year, month and day, such as 2026-05-31."),
        DefectKind::NoHeader => {
            "the first row names no column that is known. It needs id, kind, and measured or quoted.".to_owned()
        }
        DefectKind::CellCount { cells, columns } => format!(
            "the row has {cells} cells, the first row has {columns}. A cell that has the sign in it by which the cells are parted, a comma or a semicolon, is put in quotes."
        ),
        DefectKind::QuoteOpen => "a quoted cell begins here and never ends.".to_owned(),
        DefectKind::NotText => "this is not UTF-8 text; save the file as UTF-8.".to_owned(),
        DefectKind::RowTooLong { most } => {
            format!("a row is longer than {} kB. Is this a CSV file, and does every quoted cell end?", most >> 10)
        }
        DefectKind::TooLarge { most } => {
            format!(
                "the file is larger than {} MB. Divide the shelf by kinds; one in TOML may be written as CSV, which may be larger.",
                most >> 20
            )
        }
        DefectKind::TooManyParts { most } => format!("at most {most} parts are read. Divide the shelf by kinds."),
        DefectKind::NoParts => "there is no part in it.".to_owned(),
        DefectKind::NothingOwn => "there is no [[kind]], [[adaptation]] or [[set]] in it.".to_owned(),
        DefectKind::More { left_out } => format!("{left_out} more defects are left out."),
    }
}
