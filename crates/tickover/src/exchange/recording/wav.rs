//! WAV: RIFF with `fmt ` and `data`, read as a stream.
//!
//! Source: *Multimedia Programming Interface and Data Specifications 1.0* (IBM and Microsoft, 1991); the extensible form, RFC 2361; RF64,
//! EBU Tech 3306. From memory.

use super::{BLOCK, Fault, Note};
use std::io::{BufRead, ErrorKind, Read};

/// Least and greatest samples a second that are read [Hz] (own choice).
const RATES_HZ: (u32, u32) = (4_000, 2_000_000);
/// Most channels [1] (own choice).
const MOST_CHANNELS: u16 = 64;
/// Lengths that stand for "not known".
const NOT_KNOWN: u32 = u32::MAX;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sample {
    U8,
    I16,
    I24,
    I32,
    F32,
    F64,
}

impl Sample {
    fn bytes(self) -> usize {
        match self {
            Sample::U8 => 1,
            Sample::I16 => 2,
            Sample::I24 => 3,
            Sample::I32 | Sample::F32 => 4,
            Sample::F64 => 8,
        }
    }

    /// From the last bytes of a container, which hold the value.
    fn value(self, b: &[u8]) -> f32 {
        /// Full scale of 16, 24 and 32 bits \[1\], by definition of the format.
        const FULL: [f32; 3] = [32_768.0, 8_388_608.0, 2_147_483_648.0];
        match self {
            Sample::U8 => (f32::from(b[0]) - 128.0) / 128.0,
            Sample::I16 => f32::from(i16::from_le_bytes([b[0], b[1]])) / FULL[0],
            Sample::I24 => (i32::from_le_bytes([0, b[0], b[1], b[2]]) >> 8) as f32 / FULL[1],
            Sample::I32 => i32::from_le_bytes([b[0], b[1], b[2], b[3]]) as f32 / FULL[2],
            Sample::F32 => f32::from_le_bytes([b[0], b[1], b[2], b[3]]),
            Sample::F64 => f64::from_le_bytes([b[0], b[1], b[2], b[3], b[4], b[5], b[6], b[7]]) as f32,
        }
    }
}

/// A WAV file that is being read.
#[derive(Debug)]
pub(super) struct Wav<R> {
    source: R,
    rate: u32,
    channels: usize,
    sample: Sample,
    /// Bytes of a frame, and of one channel in it.
    frame: usize,
    container: usize,
    /// Bytes of samples by the heading; `None` where it cannot be believed.
    told: Option<u64>,
    /// Bytes there can be, by the size of the file.
    there: Option<u64>,
    done: u64,
    buffer: Vec<u8>,
    ended: bool,
    ended_early: bool,
}

impl<R: BufRead> Wav<R> {
    pub(super) fn open(mut source: R, length: Option<u64>) -> Result<Self, Fault> {
        let mut head = [0; 12];
        source.read_exact(&mut head).map_err(Fault::of)?;
        if &head[8..] != b"WAVE" {
            return Err(Fault::NotARecording);
        }
        let mut at = 12u64;
        let mut format: Option<(u32, u16, Sample, usize)> = None;
        let mut long: Option<u64> = None;
        /// Chunks before the samples [1] (own choice): more is no recording.
        const MOST_CHUNKS: usize = 1000;
        for _ in 0..MOST_CHUNKS {
            let mut chunk = [0; 8];
            source.read_exact(&mut chunk).map_err(Fault::of)?;
            at += 8;
            let size = u32::from_le_bytes([chunk[4], chunk[5], chunk[6], chunk[7]]);
            match &chunk[..4] {
                b"fmt " => {
                    let mut fields = vec![0; (size as usize).min(64)];
                    source.read_exact(&mut fields).map_err(Fault::of)?;
                    skip(&mut source, padded(size) - fields.len() as u64)?;
                    format = Some(fmt(&fields)?);
                }
                b"ds64" => {
                    let mut fields = vec![0; (size as usize).min(64)];
                    source.read_exact(&mut fields).map_err(Fault::of)?;
                    skip(&mut source, padded(size) - fields.len() as u64)?;
                    long = fields.get(8..16).and_then(|b| b.try_into().ok()).map(u64::from_le_bytes);
                }
                b"data" => {
                    let (rate, channels, sample, container) = format.ok_or(Fault::Heading)?;
                    let there = length.map(|l| l.saturating_sub(at));
                    let told = match size {
                        NOT_KNOWN => long.filter(|l| *l > 0),
                        0 => None,
                        size => Some(u64::from(size)),
                    };
                    // A length beyond the file's end is no length.
                    let lies = told.zip(there).is_some_and(|(told, there)| told > there);
                    let frame = container * usize::from(channels);
                    return Ok(Self {
                        source,
                        rate,
                        channels: usize::from(channels),
                        sample,
                        frame,
                        container,
                        told: told.filter(|_| !lies),
                        there,
                        done: 0,
                        buffer: Vec::new(),
                        ended: false,
                        ended_early: lies,
                    });
                }
                _ => skip(&mut source, padded(size))?,
            }
            at += padded(size);
        }
        Err(Fault::Heading)
    }

    pub(super) fn rate_hz(&self) -> f64 {
        f64::from(self.rate)
    }

    pub(super) fn channels(&self) -> usize {
        self.channels
    }

    pub(super) fn share(&self) -> Option<f64> {
        let all = self.told.or(self.there).filter(|a| *a > 0)?;
        Some((self.done as f64 / all as f64).min(1.0))
    }

    pub(super) fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        if self.ended_early {
            notes.push(Note::EndsEarly);
        } else if self.told.is_none() {
            notes.push(Note::LengthNotTold);
        }
        match self.channels {
            1 => notes.push(Note::Mono),
            n if n > 2 => notes.push(Note::MoreChannels(n)),
            _ => {}
        }
        notes
    }

    pub(super) fn next_block(&mut self, out: &mut [Vec<f32>; 2]) -> Result<bool, Fault> {
        if self.ended {
            return Ok(false);
        }
        let wanted = (BLOCK * self.frame) as u64;
        let wanted = self.told.map_or(wanted, |told| wanted.min(told - self.done));
        self.buffer.clear();
        let got = (&mut self.source).take(wanted).read_to_end(&mut self.buffer);
        if let Err(error) = got
            && error.kind() != ErrorKind::UnexpectedEof
        {
            return Err(Fault::Io(error));
        }
        self.done += self.buffer.len() as u64;
        if (self.buffer.len() as u64) < (BLOCK * self.frame) as u64 {
            self.ended = true;
            self.ended_early |= self.told.is_some_and(|told| self.done < told);
        }
        self.decode(out);
        let first = out[0].is_empty() && self.done < self.frame as u64;
        if first { Err(Fault::NoSamples) } else { Ok(!out[0].is_empty()) }
    }

    fn decode(&self, out: &mut [Vec<f32>; 2]) {
        let frames = self.buffer.len() / self.frame;
        let [a, b] = out;
        if self.sample == Sample::I16 && self.frame == 4 && self.channels == 2 {
            // What most recordings are.
            let pairs = self.buffer.chunks_exact(4);
            a.extend(pairs.clone().map(|p| f32::from(i16::from_le_bytes([p[0], p[1]])) * (1.0 / 32_768.0)));
            b.extend(pairs.map(|p| f32::from(i16::from_le_bytes([p[2], p[3]])) * (1.0 / 32_768.0)));
            return;
        }
        // Values stand at the upper end of a wider container.
        let skip = self.container - self.sample.bytes();
        a.reserve(frames);
        b.reserve(frames);
        for frame in self.buffer.chunks_exact(self.frame) {
            let first = self.sample.value(&frame[skip..self.container]);
            a.push(first);
            let second =
                if self.channels > 1 { self.sample.value(&frame[self.container + skip..2 * self.container]) } else { first };
            b.push(second);
        }
    }
}

/// Chunks are padded to even lengths.
fn padded(size: u32) -> u64 {
    u64::from(size) + u64::from(size % 2)
}

fn skip(source: &mut impl Read, bytes: u64) -> Result<(), Fault> {
    let skipped = std::io::copy(&mut source.take(bytes), &mut std::io::sink()).map_err(Fault::of)?;
    if skipped < bytes { Err(Fault::Heading) } else { Ok(()) }
}

/// Rate, channels, kind of samples and bytes of one.
fn fmt(b: &[u8]) -> Result<(u32, u16, Sample, usize), Fault> {
    let two = |i: usize| b.get(i..i + 2).map(|x| u16::from_le_bytes([x[0], x[1]])).ok_or(Fault::Heading);
    let rate = b.get(4..8).map(|x| u32::from_le_bytes([x[0], x[1], x[2], x[3]])).ok_or(Fault::Heading)?;
    let (mut tag, channels, block, bits) = (two(0)?, two(2)?, two(12)?, two(14)?);
    /// Format tags: integers, floats, and "see further on".
    const INTEGER: u16 = 1;
    const FLOAT: u16 = 3;
    const EXTENSIBLE: u16 = 0xFFFE;
    if tag == EXTENSIBLE {
        tag = two(24)?;
    }
    let sample = match (tag, bits) {
        (INTEGER, 8) => Sample::U8,
        (INTEGER, 16) => Sample::I16,
        (INTEGER, 24) => Sample::I24,
        (INTEGER, 32) => Sample::I32,
        (FLOAT, 32) => Sample::F32,
        (FLOAT, 64) => Sample::F64,
        _ => return Err(Fault::Packed { tag, bits }),
    };
    if channels == 0 || channels > MOST_CHANNELS {
        return Err(Fault::Channels(channels));
    }
    if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate) {
        return Err(Fault::Rate(f64::from(rate)));
    }
    let container = usize::from(block) / usize::from(channels);
    let fits = container * usize::from(channels) == usize::from(block) && (sample.bytes()..=8).contains(&container);
    if !fits {
        return Err(Fault::Heading);
    }
    Ok((rate, channels, sample, container))
}
