//! What is wrong with a recording's file.

use std::io;

/// Why a file is not read.
#[derive(Debug)]
pub enum Fault {
    /// Nothing in it.
    Empty,
    /// Neither WAV nor a table of numbers.
    NotARecording,
    /// The heading of a WAV file ends too soon or contradicts itself.
    Heading,
    /// Samples are packed in a way that is not read.
    Packed {
        /// Its number in the heading.
        tag: u16,
        /// Bits of a sample.
        bits: u16,
    },
    /// So many channels, or none.
    Channels(u16),
    /// So many samples a second.
    Rate(f64),
    /// No samples at all.
    NoSamples,
    /// No line of the table holds numbers in the columns wanted.
    NoNumbers,
    /// A cell that is no number.
    Cell {
        /// Line, counted from 1.
        line: u64,
        /// Column, counted from 1.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// Time does not go on evenly.
    Time {
        /// Line, counted from 1.
        line: u64,
    },
    /// A line without end.
    LongLine {
        /// Line, counted from 1.
        line: u64,
    },
    /// Not text in UTF-8.
    NotText {
        /// Line, counted from 1.
        line: u64,
    },
    /// The system could not read.
    Io(io::Error),
}

impl Fault {
    pub(super) fn of(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => Fault::Heading,
            _ => Fault::Io(error),
        }
    }
}

/// What must be said of a file that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Note {
    /// It ends before its heading says; what was there was used.
    EndsEarly,
    /// Its heading does not say how long it is, or lies; it was read to its end.
    LengthNotTold,
    /// There are more channels than two; the first two were used.
    MoreChannels(usize),
    /// One channel only.
    Mono,
}
