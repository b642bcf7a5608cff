//! JPEG and PNG: walked from mark to mark, nothing decoded.

use super::{Media, MediaError, be16, be32, broken};

/// How a JPEG begins: SOI, and the next marker (ITU-T T.81, B.1.1.3).
pub(super) const JPEG: &[u8] = &[0xFF, 0xD8, 0xFF];
/// How a PNG begins (W3C PNG, 5.2).
pub(super) const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Width and height [px].
pub(super) fn jpeg(bytes: &[u8]) -> Result<(u32, u32), MediaError> {
    let short = MediaError::CutShort(Media::Jpeg);
    let mut at = 2;
    let mut size = None;
    let mut scanned = false;
    loop {
        // A marker is FF, as often as one likes, and its code (B.1.1.2).
        if bytes.get(at).ok_or(short)? != &0xFF {
            return broken(Media::Jpeg);
        }
        while bytes.get(at) == Some(&0xFF) {
            at += 1;
        }
        let code = *bytes.get(at).ok_or(short)?;
        at += 1;
        if code == 0xD9 {
            // What stands behind the end is not shown by anything that shows the picture.
            return size.filter(|_| scanned).ok_or(MediaError::Broken(Media::Jpeg));
        }
        // Every other marker between segments has a length (B.1.1.4); those below C0 are kept free (table B.1).
        if matches!(code, 0x00..=0xBF | 0xD0..=0xD8) {
            return broken(Media::Jpeg);
        }
        let length = usize::from(be16(bytes, at).ok_or(short)?);
        if length < 2 {
            return broken(Media::Jpeg);
        }
        let body = bytes.get(at + 2..at + length).ok_or(short)?;
        at += length;
        match code {
            // A frame: precision, height, width, components (B.2.2). One picture has one.
            0xC0..=0xCF if !matches!(code, 0xC4 | 0xC8 | 0xCC) => {
                let (height, width) = (be16(body, 1).unwrap_or(0), be16(body, 3).unwrap_or(0));
                let components = usize::from(body.get(5).copied().unwrap_or(0));
                let fits = (1..=4).contains(&components) && body.len() == 6 + 3 * components;
                if size.is_some() || height == 0 || width == 0 || !fits {
                    return broken(Media::Jpeg);
                }
                size = Some((u32::from(width), u32::from(height)));
            }
            // A scan: its data go on to the next marker that is no restart (B.1.1.5).
            0xDA => {
                if size.is_none() {
                    return broken(Media::Jpeg);
                }
                scanned = true;
                at = next_marker(bytes, at).ok_or(short)?;
            }
            _ => {}
        }
    }
}

/// Where coded data end.
fn next_marker(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        at += bytes.get(at..)?.iter().position(|b| *b == 0xFF)?;
        match bytes.get(at + 1)? {
            0x00 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

/// Width and height [px].
pub(super) fn png(bytes: &[u8]) -> Result<(u32, u32), MediaError> {
    let short = MediaError::CutShort(Media::Png);
    let mut at = PNG.len();
    let mut size = None;
    let mut data = false;
    loop {
        // Length, name, data, check (W3C PNG, 5.3).
        let length = be32(bytes, at).filter(|n| *n <= i32::MAX as u32);
        let length = length.ok_or(if bytes.len() < at + 4 { short } else { MediaError::Broken(Media::Png) })? as usize;
        let name = bytes.get(at + 4..at + 8).ok_or(short)?;
        let body = bytes.get(at + 8..at + 8 + length).ok_or(short)?;
        let check = be32(bytes, at + 8 + length).ok_or(short)?;
        if size.is_none() {
            let (width, height) = (be32(body, 0).unwrap_or(0), be32(body, 4).unwrap_or(0));
            let side = 1..=i32::MAX as u32;
            let fits = name == b"IHDR" && length == 13 && side.contains(&width) && side.contains(&height);
            if !fits || check != crc(&bytes[at + 4..at + 8 + length]) {
                return broken(Media::Png);
            }
            size = Some((width, height));
        }
        at += 12 + length;
        match name {
            b"IDAT" => data = true,
            b"acTL" => return Err(MediaError::Moving),
            b"IEND" if length > 0 || !data => return broken(Media::Png),
            b"IEND" if at < bytes.len() => return Err(MediaError::Appended(Media::Png)),
            b"IEND" => return size.ok_or(MediaError::Broken(Media::Png)),
            _ if !name.iter().all(u8::is_ascii_alphabetic) => return broken(Media::Png),
            _ => {}
        }
    }
}

/// CRC-32 (W3C PNG, annex D).
fn crc(bytes: &[u8]) -> u32 {
    let step = |crc: u32| if crc & 1 == 1 { 0xEDB8_8320 ^ (crc >> 1) } else { crc >> 1 };
    !bytes.iter().fold(u32::MAX, |crc, byte| (0..8).fold(crc ^ u32::from(*byte), |crc, _| step(crc)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value of CRC-32/ISO-HDLC: the nine figures (from memory; the same is in many catalogues of CRCs).
    #[test]
    fn a_known_check() {
        assert_eq!(crc(b"123456789"), 0xCBF4_3926);
    }
}
