//! Recordings that come in: WAV and oscilloscope tables, block by block, and WAV that goes out.

mod fault;
pub mod hear;
mod table;
mod wav;
mod write;

pub use fault::{Fault, Note};
pub use table::Columns;
pub use write::WavOut;

use std::io::{BufRead, BufReader, Read};

/// A recording that is being read.
#[derive(Debug)]
pub struct Incoming<R: Read> {
    reader: Kind<R>,
}

#[derive(Debug)]
enum Kind<R: Read> {
    Wav(wav::Wav<BufReader<R>>),
    Table(table::Table<BufReader<R>>),
}

/// Frames in a block \[1\] (own choice): a fifth of a second at 96 kHz.
pub const BLOCK: usize = 16_384;
/// Bytes that are read in one go \[1\] (own choice).
const BUFFER: usize = 256 * 1024;

impl<R: Read> Incoming<R> {
    /// Looks at the beginning. `length` is what the system says of the file's size, where it says so.
    ///
    /// # Errors
    /// [`Fault`].
    pub fn open(source: R, length: Option<u64>, columns: &Columns) -> Result<Self, Fault> {
        let mut source = BufReader::with_capacity(BUFFER, source);
        let start = source.fill_buf().map_err(Fault::of)?;
        if start.is_empty() {
            return Err(Fault::Empty);
        }
        let reader = match start.get(..4) {
            Some(b"RIFF" | b"RF64" | b"BW64") => Kind::Wav(wav::Wav::open(source, length)?),
            _ if is_text(start) => Kind::Table(table::Table::open(source, columns)?),
            _ => return Err(Fault::NotARecording),
        };
        Ok(Self { reader })
    }

    /// Samples a second.
    pub fn rate_hz(&self) -> f64 {
        match &self.reader {
            Kind::Wav(w) => w.rate_hz(),
            Kind::Table(t) => t.rate_hz(),
        }
    }

    /// Channels in the file; no more than two of them are read.
    pub fn channels(&self) -> usize {
        match &self.reader {
            Kind::Wav(w) => w.channels(),
            Kind::Table(t) => t.channels(),
        }
    }

    /// Volts of a sample of 1, where the file says so.
    pub fn volts(&self) -> Option<f64> {
        match &self.reader {
            Kind::Wav(_) => None,
            Kind::Table(t) => t.volts(),
        }
    }

    /// Share that was read, where the length is known.
    pub fn share(&self) -> Option<f64> {
        match &self.reader {
            Kind::Wav(w) => w.share(),
            Kind::Table(_) => None,
        }
    }

    /// The next block into two channels, of one channel twice the same; `false` at the end.
    ///
    /// # Errors
    /// [`Fault`].
    pub fn next_block(&mut self, out: &mut [Vec<f32>; 2]) -> Result<bool, Fault> {
        out.iter_mut().for_each(Vec::clear);
        match &mut self.reader {
            Kind::Wav(w) => w.next_block(out),
            Kind::Table(t) => t.next_block(out),
        }
    }

    /// What must be said of the file once it was read.
    pub fn notes(&self) -> Vec<Note> {
        match &self.reader {
            Kind::Wav(w) => w.notes(),
            Kind::Table(_) => Vec::new(),
        }
    }
}

/// Whether bytes may be a table: printable text with a digit.
fn is_text(start: &[u8]) -> bool {
    const LOOKED_AT: usize = 4096;
    let start = &start[..start.len().min(LOOKED_AT)];
    let odd = start.iter().filter(|b| **b < 9 || (14..32).contains(*b)).count();
    odd == 0 && start.iter().any(u8::is_ascii_digit)
}
