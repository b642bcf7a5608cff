//! What a file is, found by looking at what is in it. Neither its name nor what the sender calls it is believed.
//!
//! A file is taken only if its structure holds from the first byte to the last, so that it is whole and is nothing else at
//! the same time. The one exception is a JPEG: telephones put further pictures behind the first one. Nothing is decoded;
//! how large a picture would become is read off its header.

mod picture;
mod riff;
mod written;

/// Most points of a picture [px]: telephones take up to 50 million; shown, each takes four bytes of memory.
pub const MOST_PIXELS: u64 = 64 << 20;

/// A kind of file that the book takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Media {
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// PNG (W3C Portable Network Graphics, third edition).
    Png,
    /// WebP (RFC 9649), not moving.
    WebP,
    /// WAVE with samples as they are, whole numbers or floating point.
    Wav,
    /// PDF (ISO 32000).
    Pdf,
    /// Values in columns (RFC 4180, also with semicolons or tabs), in UTF-8.
    Csv,
    /// Plain text in UTF-8.
    Text,
}

/// Why the book does not take a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MediaError {
    /// There is nothing in it.
    #[error("empty")]
    Empty,
    /// None of the kinds that are taken.
    #[error("unknown kind")]
    Unknown,
    /// Text, but not in UTF-8.
    #[error("text in another encoding than UTF-8")]
    Encoding,
    /// Text with markup, such as a web page or an SVG drawing, which a browser might run.
    #[error("markup")]
    Markup,
    /// It ends before it should.
    #[error("{} cut short", .0.name())]
    CutShort(Media),
    /// It begins as such a file and does not go on as one.
    #[error("{} broken", .0.name())]
    Broken(Media),
    /// There is more behind its end.
    #[error("something behind the end of {}", .0.name())]
    Appended(Media),
    /// A picture that moves.
    #[error("moving picture")]
    Moving,
    /// It would become too large when shown.
    #[error("{width} x {height} px, {MOST_PIXELS} are the most")]
    TooManyPixels {
        /// Points across.
        width: u32,
        /// Points down.
        height: u32,
    },
}

impl Media {
    /// Every kind.
    pub const ALL: [Media; 7] = [Media::Jpeg, Media::Png, Media::WebP, Media::Wav, Media::Pdf, Media::Csv, Media::Text];

    /// What these bytes are.
    ///
    /// # Errors
    /// [`MediaError`].
    ///
    /// ```
    /// use jobbook::{Media, MediaError};
    /// assert_eq!(Media::of(b"rpm;advance\n1000;10\n3000;28\n"), Ok(Media::Csv));
    /// assert_eq!(Media::of(b"<html><script>"), Err(MediaError::Markup));
    /// assert_eq!(Media::of(b"\xff\xd8\xff\xe0"), Err(MediaError::CutShort(Media::Jpeg)));
    /// ```
    pub fn of(bytes: &[u8]) -> Result<Media, MediaError> {
        if bytes.is_empty() {
            return Err(MediaError::Empty);
        }
        let (media, size) = if bytes.starts_with(picture::JPEG) {
            (Media::Jpeg, picture::jpeg(bytes)?)
        } else if bytes.starts_with(picture::PNG) {
            (Media::Png, picture::png(bytes)?)
        } else if bytes.starts_with(b"RIFF") {
            riff::of(bytes)?
        } else if bytes.starts_with(b"%PDF-") {
            (written::pdf(bytes)?, (0, 0))
        } else {
            (written::text(bytes)?, (0, 0))
        };
        let (width, height) = size;
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(MediaError::TooManyPixels { width, height });
        }
        Ok(media)
    }

    /// Its media type (IANA), without parameters.
    pub fn name(self) -> &'static str {
        match self {
            Media::Jpeg => "image/jpeg",
            Media::Png => "image/png",
            Media::WebP => "image/webp",
            Media::Wav => "audio/wav",
            Media::Pdf => "application/pdf",
            Media::Csv => "text/csv",
            Media::Text => "text/plain",
        }
    }

    /// The kind of that media type.
    pub fn named(name: &str) -> Option<Media> {
        Media::ALL.into_iter().find(|media| media.name() == name)
    }

    /// Can be looked at.
    pub fn is_picture(self) -> bool {
        matches!(self, Media::Jpeg | Media::Png | Media::WebP)
    }
}

/// The first error of a file of that kind.
fn broken<T>(media: Media) -> Result<T, MediaError> {
    Err(MediaError::Broken(media))
}

/// Two bytes, the great one first.
fn be16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

/// Four bytes, the great one first.
fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// Two bytes, the small one first.
fn le16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

/// Four bytes, the small one first.
fn le32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}
