//! PDF, text, and values in columns.

use super::{Media, MediaError, broken};

/// Where the end of a PDF is looked for [bytes from the end]: readers look that far for the mark.
const PDF_TAIL: usize = 1024;
/// Signs that may part the columns.
const BETWEEN: [char; 3] = [';', '\t', ','];

pub(super) fn pdf(bytes: &[u8]) -> Result<Media, MediaError> {
    // "%PDF-1.7" (ISO 32000-1, 7.5.2), and "startxref … %%EOF" at the end (7.5.5).
    let version = bytes.get(5..8).is_some_and(|v| v[0].is_ascii_digit() && v[1] == b'.' && v[2].is_ascii_digit());
    if !version {
        return broken(Media::Pdf);
    }
    let tail = &bytes[bytes.len().saturating_sub(PDF_TAIL)..];
    let has = |words: &[u8]| tail.windows(words.len()).any(|w| w == words);
    if has(b"startxref") && has(b"%%EOF") { Ok(Media::Pdf) } else { Err(MediaError::CutShort(Media::Pdf)) }
}

pub(super) fn text(bytes: &[u8]) -> Result<Media, MediaError> {
    let is_sign = |c: char| !c.is_control() || matches!(c, '\t' | '\n' | '\r' | '\u{c}');
    let Ok(text) = std::str::from_utf8(bytes) else {
        // Bytes that no text has in any encoding of one byte a letter.
        let binary = bytes.iter().any(|b| *b < 0x20 && !matches!(b, b'\t' | b'\n' | b'\r' | 0x0C));
        return Err(if binary { MediaError::Unknown } else { MediaError::Encoding });
    };
    let text = text.trim_start_matches('\u{feff}');
    if !text.chars().all(is_sign) {
        return Err(MediaError::Unknown);
    }
    let said = text.trim();
    if said.is_empty() {
        return Err(MediaError::Empty);
    }
    if said.starts_with('<') {
        return Err(MediaError::Markup);
    }
    Ok(if BETWEEN.iter().any(|sign| in_columns(said, *sign)) { Media::Csv } else { Media::Text })
}

/// At least two lines, all with as many columns, and more than one.
fn in_columns(text: &str, between: char) -> bool {
    let mut lines = text.lines().filter(|line| !line.trim().is_empty()).map(|line| line.matches(between).count());
    let first = lines.next().unwrap_or(0);
    let mut more = lines.peekable();
    first > 0 && more.peek().is_some() && more.all(|n| n == first)
}
