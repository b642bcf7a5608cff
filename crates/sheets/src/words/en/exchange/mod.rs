//! Files that go out of the job book and come in.

mod write_up;

pub use write_up::*;

use super::reading::short;
use std::path::Path;

/// Where a defect is, what stands there, and what is wrong with it.
pub fn in_cell(line: u64, column: &str, value: &str, said: &str) -> String {
    let place = match (line, column) {
        (0, "") => return said.to_owned(),
        (0, column) => format!("Column “{}”", short(column)),
        (line, "") => format!("Line {line}"),
        (line, column) => format!("Line {line}, column “{}”", short(column)),
    };
    if value.is_empty() { format!("{place}: {said}") } else { format!("{place}, “{}”: {said}", short(value)) }
}

/// A list that was cut.
pub fn more_defects(left_out: usize) -> String {
    format!("And {left_out} more. Put these right first.")
}

/// The word that was meant, or those that may stand there.
pub fn unknown_word(did_you_mean: Option<&str>, known: &[&str]) -> String {
    let meant = did_you_mean.map(|word| format!(" Did you mean “{word}”?")).unwrap_or_default();
    let list = if known.is_empty() { String::new() } else { format!(" It can be: {}.", known.join(", ")) };
    format!("This means nothing here.{meant}{list}")
}

/// Text beyond its limit.
pub fn too_long(letters: usize, most: usize) -> String {
    format!("This has {letters} letters; {most} are the most. Shorten it.")
}

/// A time that cannot be read.
pub const NO_TIME: &str = "This is not a time. Write it as 2026-11-25 14:03:22 (UTC), between the years 1970 and 9999.";
/// A temperature that cannot be.
pub const BELOW_ABSOLUTE_ZERO: &str = "Nothing is colder than −273.15 °C.";

/// File of readings.
pub fn csv_too_large(most: usize) -> String {
    format!("The file is larger than {} MB. Split it.", most >> 20)
}
/// File of readings.
pub const CSV_NOT_TEXT: &str = "From here on this is not UTF-8 text. Save the file as “CSV UTF-8”.";
/// File of readings.
pub const CSV_QUOTE_OPEN: &str =
    "A quotation mark opens a cell here and none closes it. A quotation mark inside a quoted cell is written twice.";
/// File of readings.
pub fn csv_no_header(known: &[&str]) -> String {
    format!("The first row names the columns, and none is known here. Known are: {}.", known.join(", "))
}
/// File of readings.
pub const CSV_NO_ROWS: &str = "There is no reading below the first row.";
/// File of readings.
pub fn csv_too_many_rows(most: usize) -> String {
    format!("From here on there are too many readings; {most} are the most. Split the file.")
}
/// File of readings.
pub fn csv_unknown_column(did_you_mean: Option<&str>, known: &[&str]) -> String {
    match did_you_mean {
        Some(word) => format!("This column means nothing here. Did you mean “{word}”? Name it so, or take it out."),
        None => format!("This column means nothing here. Take it out. Known are: {}.", known.join(", ")),
    }
}
/// File of readings.
pub const CSV_COLUMN_TWICE: &str = "This column is there twice. Take one out.";
/// File of readings.
pub const CSV_COLUMN_MISSING: &str = "This column is missing. Every reading needs it.";
/// File of readings.
pub fn csv_cells(found: usize, wanted: usize, separator: char) -> String {
    let hint = match separator {
        ',' if found > wanted => " A decimal comma, or a comma in words, splits a cell: put the cell in quotation marks.",
        _ => " Leave a cell empty rather than out.",
    };
    format!("This row has {found} cells, the first row {wanted}.{hint}")
}
/// File of readings.
pub const CSV_EMPTY: &str = "Nothing stands here, and a reading needs it.";
/// File of readings.
pub fn csv_disagrees(with: &str) -> String {
    format!("The columns beside it say “{}”. Correct one and leave the other empty.", short(with))
}
/// File of readings.
pub const CSV_SEVERAL_JOBS: &str = "These are readings of several jobs. A job takes in those of one: leave only its rows.";

/// A file that is not what was written.
pub fn differs(file: &Path) -> String {
    let file = file.display();
    format!("{file} is not what was written to it, so it was taken away again. The disk cannot be trusted. Use another one.")
}
/// An archive that cannot be opened again.
pub const EXPORT_UNREADABLE: &str = "the archive cannot be read again";

/// What an export has.
pub fn exported(file: &Path, machines: usize, jobs: usize, readings: usize, attachments: usize) -> String {
    format!(
        "{}: {}, {}, {}, {}. It was read again and is what was written.",
        file.display(),
        many(machines, "machine", "machines"),
        many(jobs, "job", "jobs"),
        many(readings, "reading", "readings"),
        many(attachments, "attachment", "attachments")
    )
}

/// `one job`, `2 jobs`.
pub fn many(n: usize, one: &str, more: &str) -> String {
    if n == 1 { format!("one {one}") } else { format!("{n} {more}") }
}

/// The page in plain words inside an export.
pub fn export_readme(at: &str, version: &str) -> String {
    format!(
        "A job book of Tickover, written out on {at} by version {version}

Everything in the book is here, in formats that other programs can open. It names owners, plates and
frame numbers: keep it as you keep the book itself. To move to another computer use a backup instead;
this export is for reading, for other programs, and for the day when Tickover is no more.

machines/          A folder for each machine. Every revision of its machine file, oldest first, as TOML,
                   which opens in any text editor; log.json has what was noted on the machine itself,
                   such as whose it is.
jobs/              A file for each job, as JSON: all that was ever written on it, in order. An entry whose
                   number stands under “replaces” in a later one no longer stands.
workshop.json      What belongs to no machine, such as the instruments.
readings.csv       Every reading that stands, one a row, for a spreadsheet. Text that a spreadsheet would
                   take for a formula has an apostrophe before it.
attachments/       Pictures, recordings and papers as they came. A file is named after its SHA-256, which
                   the logs have under “hash”.
machine.schema.json, log.schema.json
                   JSON Schemas: what may stand in a machine file and in a log, field by field.

Numbers in the logs are in SI units: metres, kelvin, radians, radians a second. Times that are numbers
count seconds since the beginning of 1970, UTC. A ± is a half-width of 95 % confidence.
"
    )
}

/// Readings that were written out.
pub fn readings_out(file: &Path, readings: usize) -> String {
    format!("{}: {}. The file was read again.", file.display(), many(readings, "reading", "readings"))
}
/// What a file of readings has.
pub fn readings_there(readings: usize) -> String {
    format!("{}, none of them wrong:", many(readings, "reading", "readings"))
}
/// A reading of a file, in a line.
pub fn reading_line(line: u64, said: &str, beside: &str, who: &str) -> String {
    let mut text = format!("line {line}: {said}");
    for more in [beside, who] {
        if !more.is_empty() {
            text.push_str("; ");
            text.push_str(more);
        }
    }
    text
}
/// Readings that were kept.
pub fn readings_kept(job: &str, readings: usize) -> String {
    format!("{} kept in job {job}.", many(readings, "reading was", "readings were"))
}
/// Readings that had been kept before.
pub fn readings_kept_before(job: &str) -> String {
    format!("These readings were kept in job {job} before. Nothing was added.")
}
/// After a look without keeping.
pub const NOTHING_KEPT: &str = "Nothing was kept. The same command with --keep keeps it.";
/// After defects.
pub const NOTHING_KEPT_DEFECTS: &str = "Nothing was kept. Put these right, then take the file in again.";
/// Readings without a job to go to.
pub const WHICH_JOB: &str = "This is a file of readings. Say with --job which job they belong to.";
/// A write-up has a job of its own.
pub const NO_JOB_FOR_WRITE_UP: &str =
    "This is a write-up. It becomes a machine and a job of its own, so --job has no place here.";
/// Title and button.
pub const EXPORT: &str = "Write the book out in open formats";
/// Title.
pub const EXPORTED: &str = "Written out";
/// Link.
pub const READINGS_CSV: &str = "Readings (CSV)";
/// Heading.
pub const FILES: &str = "Files";
/// Link.
pub const TAKE_READINGS_IN: &str = "Take readings in (CSV)";
/// Link.
pub const BACK_TO_JOB: &str = "Back to the job";
/// Title and link.
pub const TAKE_IN: &str = "Take a file in";
/// Under it.
pub const TAKE_IN_IS: &str = "A write-up of another workshop becomes a machine and a job of its own; nothing in the book is changed. Readings are taken in from the page of their job.";
/// Under it, for a job.
pub fn take_in_for(job: &str) -> String {
    format!("Readings for job {job}, as CSV. The first row names the columns: stage, what, value, unit and others.")
}
/// Heading.
pub const CANNOT_TAKE_IN: &str = "Nothing of this file can be kept";
/// Label.
pub const FILE: &str = "File";
/// Under it.
pub const SHOWN_FIRST: &str = "It is judged and shown before anything is kept.";
/// Button.
pub const SHOW_FILE: &str = "Show what is in it";
/// Button.
pub const KEEP_THEM: &str = "Keep these readings";
/// Link.
pub const ANOTHER_FILE: &str = "Another file";
/// No file was chosen.
pub const NO_FILE: &str = "No file was chosen, or it is empty.";
/// Readings without a job.
pub const READINGS_FROM_JOB: &str = "This is not a write-up. If it is a file of readings, open the job that they belong to and take them in from there, under “Measure”.";
/// A file that waits no longer.
pub const CHOOSE_AGAIN: &str = "This file is no longer at hand. Choose it again.";

/// Name of the page in plain words inside an export.
pub const README: &str = "README.txt";
