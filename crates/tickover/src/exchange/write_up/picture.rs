//! Pictures without what a camera writes beside them: place, time, device, comments.
//!
//! A picture is taken apart and put together again from the pieces that draw it, and from nothing else. Of what a camera
//! wrote, one number stays: which way is up, without which a picture lies on its side.

/// Why a picture cannot travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// Neither JPEG nor PNG.
    Kind,
    /// It breaks off or is put together wrongly.
    Broken,
}

/// Kinds of pictures that can be taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// PNG (W3C, third edition).
    Png,
}

impl Kind {
    /// By its first bytes.
    pub fn of(bytes: &[u8]) -> Option<Kind> {
        match bytes {
            [0xFF, 0xD8, 0xFF, ..] => Some(Kind::Jpeg),
            _ if bytes.starts_with(PNG) => Some(Kind::Png),
            _ => None,
        }
    }

    /// Its media type.
    pub fn media(self) -> &'static str {
        match self {
            Kind::Jpeg => "image/jpeg",
            Kind::Png => "image/png",
        }
    }
}

/// The picture alone. Done again, it gives the same bytes.
///
/// # Errors
/// [`Unfit`].
pub fn bare(bytes: &[u8]) -> Result<(Kind, Vec<u8>), Unfit> {
    let kind = Kind::of(bytes).ok_or(Unfit::Kind)?;
    let bare = match kind {
        Kind::Jpeg => jpeg(bytes),
        Kind::Png => png(bytes),
    };
    Ok((kind, bare.ok_or(Unfit::Broken)?))
}

/// First bytes of a PNG (5.2).
const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";
/// Chunks that draw the picture, its colours and its proportions, and hold no words (PNG, 11).
const DRAWS: [&[u8; 4]; 10] = [b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"bKGD", b"pHYs", b"IDAT"];

fn png(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = PNG.to_vec();
    let mut rest = &bytes[PNG.len()..];
    let mut seen = [false; 2];
    loop {
        let length = u32::from_be_bytes(*rest.first_chunk::<4>()?) as usize;
        let chunk = rest.get(..length.checked_add(12)?)?;
        let name = chunk[4..].first_chunk::<4>()?;
        match name {
            b"IEND" => {
                out.extend_from_slice(b"\0\0\0\0IEND\xAE\x42\x60\x82");
                return (seen == [true; 2]).then_some(out);
            }
            // What follows the header must be its first piece, with thirteen bytes.
            _ if !seen[0] && (name != b"IHDR" || length != 13) => return None,
            _ if DRAWS.contains(&name) => out.extend_from_slice(chunk),
            // A capital says that the picture cannot be drawn without it, and it is none that is known.
            _ if name[0].is_ascii_uppercase() => return None,
            _ => {}
        }
        seen[0] = true;
        seen[1] |= name == b"IDAT";
        rest = &rest[chunk.len()..];
    }
}

/// Marker of a segment with a program's own data: 0 for the proportions (JFIF, ITU-T T.871), 1 for what the camera knew (EXIF, JEITA
/// CP-3451), 14 for the way in which colours are mixed (ITU-T T.872, 6.5.3).
const APP0: u8 = 0xE0;
const APP1: u8 = 0xE1;
const APP14: u8 = 0xEE;
/// First bytes of the segment with the way of colours.
const COLOURS: &[u8] = &[0x41, 0x64, 0x6F, 0x62, 0x65];
/// First bytes of the segment with what the camera knew.
const CAMERA: [u8; 6] = [0x45, 0x78, 0x69, 0x66, 0, 0];
/// How numbers are written in it: the greater byte first, or the smaller one (TIFF 6.0, section 2).
const BIG: [u8; 4] = [0x4D, 0x4D, 0, 42];
const LITTLE: [u8; 4] = [0x49, 0x49, 42, 0];
/// End of the picture.
const END: u8 = 0xD9;
/// Begin of a scan, whose coded bytes follow its segment.
const SCAN: u8 = 0xDA;

fn jpeg(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = vec![0xFF, 0xD8];
    let mut at = 2;
    let (mut framed, mut scanned) = (false, false);
    let mut up = None;
    let mut body = Vec::new();
    loop {
        if bytes.get(at)? != &0xFF {
            return None;
        }
        // A marker may have any number of fill bytes before it (B.1.1.2).
        while bytes.get(at + 1)? == &0xFF {
            at += 1;
        }
        let marker = bytes[at + 1];
        at += 2;
        if marker == END {
            break;
        }
        let length = usize::from(u16::from_be_bytes(*bytes.get(at..)?.first_chunk::<2>()?));
        let inside = bytes.get(at + 2..at.checked_add(length)?)?;
        at += length;
        match marker {
            APP0 if inside.starts_with(b"JFIF\0") && inside.len() >= 12 => {
                // Version, unit and density; the small picture that may follow is left out.
                segment(&mut body, marker, &[&inside[..12], &[0, 0]].concat());
            }
            APP1 => up = up.or_else(|| upright(inside)),
            // Twelve bytes say how the colours are mixed.
            APP14 if inside.starts_with(COLOURS) && inside.len() >= 12 => segment(&mut body, marker, &inside[..12]),
            // Frames, tables, restart interval, number of lines.
            0xC0..=0xCF | 0xDB..=0xDD => {
                framed |= !matches!(marker, 0xC4 | 0xC8 | 0xCC | 0xDB..=0xDD);
                segment(&mut body, marker, inside);
            }
            SCAN => {
                scanned = true;
                segment(&mut body, marker, inside);
                let coded = coded(&bytes[at..])?;
                body.extend_from_slice(&bytes[at..at + coded]);
                at += coded;
            }
            // Data of programs, comments, and what is not known.
            _ => {}
        }
    }
    if let Some(up) = up {
        segment(&mut out, APP1, &orientation(up));
    }
    out.extend_from_slice(&body);
    out.extend_from_slice(&[0xFF, END]);
    (framed && scanned).then_some(out)
}

fn segment(out: &mut Vec<u8>, marker: u8, inside: &[u8]) {
    out.extend_from_slice(&[0xFF, marker]);
    // It came out of a segment, or is short.
    out.extend_from_slice(&(inside.len() as u16 + 2).to_be_bytes());
    out.extend_from_slice(inside);
}

/// Bytes up to the next marker that is none of a scan's own (B.1.1.5, B.2.1).
fn coded(bytes: &[u8]) -> Option<usize> {
    let marker = |pair: &[u8]| pair[0] == 0xFF && !matches!(pair[1], 0x00 | 0xD0..=0xD7 | 0xFF);
    bytes.windows(2).position(marker)
}

/// Which way is up, of an EXIF segment: 2 to 8; 1 is as it stands (JEITA CP-3451, 4.6.4 A, tag 274).
fn upright(inside: &[u8]) -> Option<u16> {
    let tiff = inside.strip_prefix(&CAMERA)?;
    let big = match tiff.first_chunk::<4>()? {
        four if *four == BIG => true,
        four if *four == LITTLE => false,
        _ => return None,
    };
    let two = |at: usize| {
        let bytes = *tiff.get(at..)?.first_chunk::<2>()?;
        Some(if big { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) })
    };
    let bytes = *tiff.get(4..)?.first_chunk::<4>()?;
    let at = if big { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) } as usize;
    let entries = (0..usize::from(two(at)?)).map(|n| at + 2 + 12 * n);
    entries
        .take_while(|at| two(*at).is_some())
        .find(|at| two(*at) == Some(ORIENTATION))
        .and_then(|at| two(at + 8))
        .filter(|up| (2..=8).contains(up))
}

const ORIENTATION: u16 = 274;

/// An EXIF segment that says which way is up and nothing else.
fn orientation(up: u16) -> Vec<u8> {
    let mut inside = [&CAMERA[..], &BIG[..], &[0, 0, 0, 8, 0, 1]].concat();
    inside.extend_from_slice(&ORIENTATION.to_be_bytes());
    // One short number, left-justified in four bytes; no further directory.
    inside.extend_from_slice(&[0, 3, 0, 0, 0, 1]);
    inside.extend_from_slice(&up.to_be_bytes());
    inside.extend_from_slice(&[0, 0, 0, 0, 0, 0]);
    inside
}
