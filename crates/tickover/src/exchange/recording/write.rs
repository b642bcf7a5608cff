//! WAV that goes out: 16 bits.

use std::io::{self, Seek, SeekFrom, Write};

/// A WAV file that is being written.
#[derive(Debug)]
pub struct WavOut<W: Write + Seek> {
    to: W,
    bytes: u64,
    buffer: Vec<u8>,
}

/// Full scale of 16 bits \[1\], by definition of the format.
const FULL: f32 = 32_767.0;

impl<W: Write + Seek> WavOut<W> {
    /// Begins with a heading for so many channels and samples a second.
    ///
    /// # Errors
    /// Of the system.
    pub fn new(mut to: W, channels: u16, rate: u32) -> io::Result<Self> {
        let frame = 2 * channels;
        let mut head = Vec::with_capacity(44);
        for (name, size) in [(b"RIFF", 0u32), (b"WAVE", u32::from_le_bytes(*b"fmt "))] {
            head.extend(name);
            head.extend(size.to_le_bytes());
        }
        // Sixteen bytes follow; integers.
        head.extend(16u32.to_le_bytes());
        head.extend(1u16.to_le_bytes());
        head.extend(channels.to_le_bytes());
        head.extend(rate.to_le_bytes());
        head.extend((rate * u32::from(frame)).to_le_bytes());
        head.extend(frame.to_le_bytes());
        head.extend(16u16.to_le_bytes());
        head.extend(b"data");
        head.extend(0u32.to_le_bytes());
        to.write_all(&head)?;
        Ok(Self { to, bytes: 0, buffer: Vec::new() })
    }

    /// One more block, a vector for each channel.
    ///
    /// # Errors
    /// Of the system.
    pub fn write(&mut self, channels: &[Vec<f32>]) -> io::Result<()> {
        self.buffer.clear();
        for i in 0..channels.first().map_or(0, Vec::len) {
            for channel in channels {
                self.buffer.extend(((channel[i].clamp(-1.0, 1.0) * FULL).round() as i16).to_le_bytes());
            }
        }
        self.bytes += self.buffer.len() as u64;
        self.to.write_all(&self.buffer)
    }

    /// Writes the lengths into the heading. What is longer than the format can say is left as "not known".
    ///
    /// # Errors
    /// Of the system.
    pub fn finish(mut self) -> io::Result<W> {
        let size = u32::try_from(self.bytes).unwrap_or(u32::MAX);
        self.to.seek(SeekFrom::Start(4))?;
        self.to.write_all(&size.saturating_add(36).to_le_bytes())?;
        self.to.seek(SeekFrom::Start(40))?;
        self.to.write_all(&size.to_le_bytes())?;
        self.to.flush()?;
        Ok(self.to)
    }
}
