//! Readings as CSV (RFC 4180).
//!
//! What goes out is UTF-8 with commas, CR LF and decimal points. What comes in may have semicolons or tabs, decimal commas
//! and a byte order mark as well. What goes out comes in again as the same readings.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula and would run it. Text that begins so goes
//! out with an apostrophe before it, which spreadsheets take for "this is text"; on the way in the apostrophe is taken off
//! again. Numbers have none: `-5` is a number.

mod defect;
mod keep;
mod out;
mod quotes;
mod read;

pub use defect::{Defect, What};
pub use keep::{keep, mark};
pub use out::{Of, Row, Writer, all, condition_name, csv};
pub(in crate::exchange) use quotes::Quotes;
pub use read::{Incoming, MOST_BYTES, MOST_ROWS, condition, read};
pub(in crate::exchange) use read::{line_ends, records};

/// Columns of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// Slug of the machine; told, not taken in.
    Machine,
    /// Number of the job; told, not taken in.
    Job,
    /// As found, during, as left.
    Stage,
    /// Key of the quantity.
    What,
    /// The quantity in words.
    Label,
    /// Cylinder, winding, side.
    Place,
    /// The number.
    Value,
    /// Half-width of 95 % confidence, in the same unit or in per cent.
    PlusMinus,
    /// Unit.
    Unit,
    /// Value, ± and unit as they were typed. It may stand alone.
    AsWritten,
    /// What it was measured with.
    Instrument,
    /// Temperature of the thing measured [°C].
    TemperatureC,
    /// Speed of the crank [rpm].
    SpeedRpm,
    /// Loaded, open, …
    Condition,
    /// How it came into the book.
    Origin,
    /// Who took it.
    Who,
    /// When it was taken, UTC.
    TakenAt,
}

impl Column {
    /// Every column, in the order in which they go out.
    pub const ALL: [Column; 17] = [
        Column::Machine,
        Column::Job,
        Column::Stage,
        Column::What,
        Column::Label,
        Column::Place,
        Column::Value,
        Column::PlusMinus,
        Column::Unit,
        Column::AsWritten,
        Column::Instrument,
        Column::TemperatureC,
        Column::SpeedRpm,
        Column::Condition,
        Column::Origin,
        Column::Who,
        Column::TakenAt,
    ];

    /// Its name in the header row.
    pub fn name(self) -> &'static str {
        match self {
            Column::Machine => "machine",
            Column::Job => "job",
            Column::Stage => "stage",
            Column::What => "what",
            Column::Label => "label",
            Column::Place => "place",
            Column::Value => "value",
            Column::PlusMinus => "plus_minus",
            Column::Unit => "unit",
            Column::AsWritten => "as_written",
            Column::Instrument => "instrument",
            Column::TemperatureC => "temperature_c",
            Column::SpeedRpm => "speed_rpm",
            Column::Condition => "condition",
            Column::Origin => "origin",
            Column::Who => "who",
            Column::TakenAt => "taken_at",
        }
    }

    /// The column of a name; capitals, spaces and hyphens do not matter.
    pub fn named(text: &str) -> Option<Column> {
        let folded = folded(text);
        Column::ALL.into_iter().find(|c| c.name() == folded)
    }
}

/// A key as it may be typed: small letters, `_` for spaces and hyphens.
pub(in crate::exchange) fn folded(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// Signs at the beginning of a cell that make a spreadsheet take it for a formula, and the apostrophe that shields them (OWASP,
/// "CSV Injection"; the wide forms are taken for the others by spreadsheets set to Japanese or Chinese).
const SHIELDED: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠', '\''];

/// Text as it goes out.
fn shielded(text: &str) -> String {
    if text.starts_with(SHIELDED) { format!("'{text}") } else { text.to_owned() }
}

/// Text as it was before it went out. An apostrophe that shields nothing stays.
pub(in crate::exchange) fn unshielded(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| rest.starts_with(SHIELDED)).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_a_formula_and_all_text_comes_back() {
        for text in ["=1+1", "+1", "-1", "@x", "'=1", "''", "'", "", "'tis", "\t=1", "＝1", "plain"] {
            let out = shielded(text);
            assert!(!out.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']), "{out}");
            assert_eq!(unshielded(&out), text);
        }
        assert_eq!(unshielded("'tis"), "'tis", "an apostrophe of one's own");
    }

    #[test]
    fn columns_are_found_as_people_write_them() {
        assert_eq!(Column::named(" Plus-Minus "), Some(Column::PlusMinus));
        assert_eq!(Column::named("valu"), None);
        assert!(Column::ALL.into_iter().all(|c| Column::named(c.name()) == Some(c)));
    }
}
