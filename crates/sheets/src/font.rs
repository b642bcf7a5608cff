//! The one typeface of page and paper, and measuring with it.
//!
//! Inter (SIL Open Font License 1.1, see `fonts/`), with figures of equal width so that columns stand straight.
//! Text is shaped once here, kerning included, so that what is measured is what is printed.

use rustybuzz::{Face, Feature, UnicodeBuffer, ttf_parser::Tag};
use std::sync::LazyLock;

/// The regular face, an OpenType file; served to the page and embedded (subset) in PDF.
pub const REGULAR: &[u8] = include_bytes!("../fonts/Inter-Regular.otf");
/// The bold face.
pub const BOLD: &[u8] = include_bytes!("../fonts/Inter-Bold.otf");
/// The licence that must travel with the font files.
pub const LICENCE: &str = include_str!("../fonts/OFL.txt");
/// Family name for style sheets.
pub const FAMILY: &str = "Inter";

/// Height of a capital over the font size [1]; from the `OS/2` table of the files (1490 of 2048).
pub const CAP_HEIGHT: f64 = 1490.0 / 2048.0;

/// Weight of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Weight {
    /// Running text.
    #[default]
    Regular,
    /// Headings and values that matter.
    Bold,
}

static FACES: LazyLock<[Face<'static>; 2]> = LazyLock::new(|| {
    [REGULAR, BOLD].map(|bytes| Face::from_slice(bytes, 0).expect("the embedded font files are valid OpenType"))
});

fn face(weight: Weight) -> &'static Face<'static> {
    &FACES[weight as usize]
}

/// One glyph of a shaped line; lengths are shares of the font size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Glyph {
    pub id: u32,
    /// Byte at which its cluster starts in the text.
    pub cluster: usize,
    pub advance: f32,
    pub dx: f32,
    pub dy: f32,
}

/// Shapes one line: kerning on, tabular figures on.
pub(crate) fn shape(text: &str, weight: Weight) -> Vec<Glyph> {
    let face = face(weight);
    let em = face.units_per_em() as f32;
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    let tabular = Feature::new(Tag::from_bytes(b"tnum"), 1, ..);
    let shaped = rustybuzz::shape(face, &[tabular], buffer);
    shaped
        .glyph_infos()
        .iter()
        .zip(shaped.glyph_positions())
        .map(|(info, at)| Glyph {
            id: info.glyph_id,
            cluster: info.cluster as usize,
            advance: at.x_advance as f32 / em,
            dx: at.x_offset as f32 / em,
            dy: at.y_offset as f32 / em,
        })
        .collect()
}

/// Width of one line of text, in the unit of `size`.
///
/// ```
/// use sheets::font::{Weight, width};
/// // Figures have equal width, so numbers line up in columns.
/// assert_eq!(width("111", 4.0, Weight::Regular), width("888", 4.0, Weight::Regular));
/// ```
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    shape(text, weight).iter().map(|g| f64::from(g.advance)).sum::<f64>() * size
}

/// Whether the font has a glyph for a character.
pub fn covers(character: char) -> bool {
    [Weight::Regular, Weight::Bold].iter().all(|&w| face(w).glyph_index(character).is_some())
}

/// Breaks text into lines no wider than `most`, at spaces. A single word that is wider stays whole.
pub fn wrap(text: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in paragraph.split(' ').filter(|w| !w.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if line.is_empty() || width(&longer, size, weight) <= most {
                line = longer;
            } else {
                lines.push(std::mem::replace(&mut line, word.to_owned()));
            }
        }
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_fit_and_keep_every_word() {
        let text = "Metal cannot be put back: stop at every bite and measure before the next one.";
        let lines = wrap(text, 3.2, Weight::Regular, 40.0);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| width(l, 3.2, Weight::Regular) <= 40.0));
        assert_eq!(lines.join(" "), text);
    }

    #[test]
    fn covers_the_signs_of_the_trade_and_not_everything() {
        for c in "éüñßøŠ αβγθφωΩ µ ±°²³ ≤≥×−–—…· ↑→↓← ½¼ ‘’“” ′″".chars() {
            assert!(covers(c), "no glyph for {c:?}");
        }
        assert!(!covers('漢'));
    }

    #[test]
    fn capital_height_is_that_of_the_file() {
        // OpenType specification, OS/2 sCapHeight; read back by the shaper's own parser.
        let face = face(Weight::Regular);
        let stated = f64::from(face.capital_height().unwrap()) / f64::from(face.units_per_em());
        assert!((stated - CAP_HEIGHT).abs() < 0.01, "{stated}");
    }
}
