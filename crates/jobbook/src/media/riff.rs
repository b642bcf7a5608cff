//! WAVE and WebP, which are both RIFF: a name, a length, pieces with a name and a length each (RFC 9649, 2.3).

use super::{Media, MediaError, broken, le16, le32};

/// Bits of one sample that are known.
const SAMPLE_BITS: [u16; 5] = [8, 16, 24, 32, 64];
/// Samples as whole numbers, as floating point, or as the extension says (WAVE's format tags).
const SAMPLES: [u16; 3] = [1, 3, 0xFFFE];

/// What it is, and width and height [px] of a picture.
pub(super) fn of(bytes: &[u8]) -> Result<(Media, (u32, u32)), MediaError> {
    let media = match bytes.get(8..12) {
        Some(b"WEBP") => Media::WebP,
        Some(b"WAVE") => Media::Wav,
        _ => return Err(MediaError::Unknown),
    };
    let inside = le32(bytes, 4).unwrap_or(0) as usize;
    let end = 8 + inside;
    if end > bytes.len() {
        return Err(MediaError::CutShort(media));
    }
    // An odd length has a byte of padding, which may be missing at the very end.
    if end + inside % 2 < bytes.len() {
        return Err(MediaError::Appended(media));
    }
    let pieces = pieces(&bytes[12..end.max(12)], media)?;
    match media {
        Media::WebP => Ok((media, webp(&pieces)?)),
        _ => Ok((media, wave(&pieces)?)),
    }
}

type Piece<'b> = (&'b [u8], &'b [u8]);

fn pieces(mut rest: &[u8], media: Media) -> Result<Vec<Piece<'_>>, MediaError> {
    let mut pieces = Vec::new();
    while !rest.is_empty() {
        let length = le32(rest, 4).ok_or(MediaError::Broken(media))? as usize;
        let body = rest.get(8..8 + length).ok_or(MediaError::Broken(media))?;
        pieces.push((&rest[..4], body));
        rest = rest.get(8 + length + length % 2..).unwrap_or(&[]);
    }
    Ok(pieces)
}

/// The header's size and the coded picture's may differ; the greater one counts.
fn webp(pieces: &[Piece]) -> Result<(u32, u32), MediaError> {
    let three = |b: &[u8], at: usize| b.get(at..at + 3).map(|b| u32::from(b[0]) | u32::from(b[1]) << 8 | u32::from(b[2]) << 16);
    let (mut width, mut height, mut pictures) = (0, 0, 0);
    for (n, (name, body)) in pieces.iter().enumerate() {
        let size = match *name {
            // RFC 9649, 2.7: flags, then the canvas less one.
            b"VP8X" if n == 0 && body.len() == 10 => {
                if body[0] & 2 != 0 {
                    return Err(MediaError::Moving);
                }
                three(body, 4).zip(three(body, 7)).map(|(w, h)| (w + 1, h + 1))
            }
            b"ANIM" | b"ANMF" => return Err(MediaError::Moving),
            // RFC 6386, 9.1: three bytes, a start code, two sizes of 14 bits.
            b"VP8 " if body.get(3..6) == Some(&[0x9D, 0x01, 0x2A]) => {
                pictures += 1;
                let side = |at| le16(body, at).map(|n| u32::from(n & 0x3FFF));
                side(6).zip(side(8))
            }
            // RFC 9649, 3.4: a signature, two sizes of 14 bits less one.
            b"VP8L" if body.first() == Some(&0x2F) => {
                pictures += 1;
                le32(body, 1).map(|n| ((n & 0x3FFF) + 1, (n >> 14 & 0x3FFF) + 1))
            }
            b"VP8X" | b"VP8 " | b"VP8L" => None,
            _ if n == 0 => None,
            _ => continue,
        };
        let (w, h) = size.filter(|(w, h)| *w > 0 && *h > 0).ok_or(MediaError::Broken(Media::WebP))?;
        (width, height) = (width.max(w), height.max(h));
    }
    if pictures == 1 { Ok((width, height)) } else { broken(Media::WebP) }
}

fn wave(pieces: &[Piece]) -> Result<(u32, u32), MediaError> {
    let mut format = None;
    for (name, body) in pieces {
        match *name {
            // Tag, channels, rate, bytes a second, bytes a frame, bits a sample.
            b"fmt " if format.is_none() => {
                let fields = [0, 2, 12, 14].map(|at| le16(body, at).unwrap_or(0));
                let [tag, channels, frame, bits] = fields;
                let fits = SAMPLES.contains(&tag) && channels > 0 && SAMPLE_BITS.contains(&bits);
                if !fits || u32::from(frame) != u32::from(channels) * u32::from(bits / 8) || le32(body, 4).unwrap_or(0) == 0 {
                    return broken(Media::Wav);
                }
                format = Some(usize::from(frame));
            }
            b"data" => {
                let whole = format.is_some_and(|frame| !body.is_empty() && body.len() % frame == 0);
                return if whole { Ok((0, 0)) } else { broken(Media::Wav) };
            }
            _ => {}
        }
    }
    broken(Media::Wav)
}
