//! What is wrong with a recording's file.

use crate::words::number;

/// The file cannot be read as a recording.
pub const EMPTY: &str = "There is nothing in the file. Record again, and look at its size before you leave the bench.";
/// As above.
pub const NOT_A_RECORDING: &str =
    "This is neither a WAV file nor a table of numbers. Save the recording as WAV (uncompressed), or the scope's trace as CSV.";
/// As above.
pub const HEADING: &str =
    "The heading of the WAV file ends too soon or contradicts itself. Save the recording again, as plain uncompressed WAV.";
/// As above.
pub const NO_SAMPLES: &str = "The file has a heading and no samples behind it. The recorder was stopped before it wrote any.";
/// As above.
pub const NO_NUMBERS: &str = "No line of the table holds numbers in the columns wanted. Name the columns with --columns, counted from 1: time, first, second.";

/// Samples packed in a way that is not read.
pub fn packed(tag: u16, bits: u16) -> String {
    format!(
        "Its samples are packed in a way that is not read (format {tag}, {bits} bits). Save it as uncompressed WAV: 8, 16, 24 or 32 bits, or floating point."
    )
}

/// So many channels.
pub fn channels(n: u16) -> String {
    format!("The heading speaks of {n} channels. From 1 to 64 are read.")
}

/// So many samples a second.
pub fn rate(hz: f64) -> String {
    if !hz.is_finite() || hz < 0.0 {
        return "The times in the table do not go on. Look at the column of times.".to_owned();
    }
    format!("{} samples a second: from 4000 on are read. 48 000 serve well.", number(hz, 0))
}

/// A cell that is no number.
pub fn cell(line: u64, column: usize, found: &str) -> String {
    if found.is_empty() {
        return format!("Line {line}, column {column}: nothing stands there, a number is wanted.");
    }
    format!("Line {line}, column {column}: “{found}” is no number.")
}

/// Time that does not go on evenly.
pub fn uneven_time(line: u64) -> String {
    format!(
        "Line {line}: time does not go on evenly from the line before. A trace with gaps, or of several shots, must be cut apart first."
    )
}

/// A line without end.
pub fn long_line(line: u64) -> String {
    format!("Line {line} is longer than any row of numbers.")
}

/// Not text.
pub fn not_text(line: u64) -> String {
    format!("Line {line} is not UTF-8 text.")
}

/// Said of a file that was read all the same.
pub const ENDS_EARLY: &str = "The file ends before its heading says. What is there was used.";
/// As above.
pub const LENGTH_NOT_TOLD: &str = "The heading does not say how long the recording is; it was read to the end.";
/// As above.
pub const MONO: &str = "There is one channel only.";
/// For trigger and spark two are needed.
pub const MONO_REFUSED: &str = "The recording has one channel. Trigger and spark need one each: record in stereo. If it is the sound of the exhaust, say so with --exhaust.";

/// More channels than two.
pub fn more_channels(n: usize) -> String {
    format!("The file has {n} channels; the first two were used.")
}

/// No recording can be made.
pub const MADE_NO_CURVE: &str =
    "The machine file gives no curve: neither a law nor enough strobe readings. Without one nothing says when a spark comes.";
/// As above.
pub const MADE_IMPOSSIBLE: &str = "These wishes make no recording: 8000 to 384 000 samples a second, a fifth of a second to ten hours, a greatest speed above the idle.";
