//! The one typeface of page and paper, and measuring with it.
//!
//! Inter (SIL Open Font License 1.1, see `fonts/`), with figures of equal width so that columns stand straight.
//! Text is shaped once here, kerning included, so that what is measured is what is printed.

use rustybuzz::{Face, Feature, UnicodeBuffer, ttf_parser::Tag};
use std::{collections::BTreeSet, sync::LazyLock};

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

/// Breaks text into lines no wider than `most`, at spaces; a word that is wider by itself is broken inside.
pub fn wrap(text: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
    let fits = |t: &str| width(t, size, weight) <= most;
    let mut lines: Vec<String> = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in paragraph.split(' ').filter(|w| !w.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if fits(&longer) {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = if fits(word) { word.to_owned() } else { broken(word, &fits, &mut lines) };
        }
        lines.push(line);
    }
    lines
}

/// Puts full lines of a word that is too wide into `lines` and gives what is left of it. A character that only prints
/// together with the one before it, such as a combining accent, stays with it.
fn broken(word: &str, fits: &dyn Fn(&str) -> bool, lines: &mut Vec<String>) -> String {
    let mut line = String::new();
    for c in word.chars() {
        line.push(c);
        if !fits(&line) && line.chars().nth(1).is_some() && covers(c) {
            line.pop();
            lines.push(std::mem::replace(&mut line, c.to_string()));
        }
    }
    line
}

/// The text if it is no wider than `most`, otherwise its beginning and an ellipsis.
pub fn fit(text: &str, size: f64, weight: Weight, most: f64) -> String {
    if width(text, size, weight) <= most {
        return text.to_owned();
    }
    let mut short = String::new();
    for c in text.chars() {
        short.push(c);
        if width(&format!("{short}…"), size, weight) > most {
            short.pop();
            break;
        }
    }
    format!("{}…", short.trim_end())
}

/// What stands for a character that the typeface lacks.
pub const STAND_IN: char = '□';

/// The text with what cannot be printed replaced so that it shows: a character without a glyph by [`STAND_IN`], and it
/// is put into `missing`; any other space by a space; any other line break by a line break. Left out is what has no
/// shape of its own, such as joiners and marks of direction.
///
/// ```
/// let mut missing = Default::default();
/// assert_eq!(sheets::font::printable("Coil 漢 ok", &mut missing), "Coil □ ok");
/// assert!(missing.contains(&'漢'));
/// ```
pub fn printable(text: &str, missing: &mut BTreeSet<char>) -> String {
    let mut out = String::with_capacity(text.len());
    let text = text.replace("\r\n", "\n");
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => out.push('\n'),
            c if SHAPELESS.iter().any(|r| r.contains(&c)) => {}
            c if !c.is_control() && covers(c) => out.push(c),
            c if c.is_whitespace() => out.push(' '),
            c if !c.is_control() && out.chars().next_back().is_some_and(|before| combines(before, c)) => out.push(c),
            c => {
                missing.insert(c);
                out.push(STAND_IN);
            }
        }
    }
    out
}

/// Characters that leave no mark by themselves (Unicode 16.0, `Default_Ignorable_Code_Point`, but for the tags).
const SHAPELESS: [std::ops::RangeInclusive<char>; 6] = [
    '\u{ad}'..='\u{ad}',
    '\u{200b}'..='\u{200f}',
    '\u{202a}'..='\u{202e}',
    '\u{2060}'..='\u{206f}',
    '\u{fe00}'..='\u{fe0f}',
    '\u{feff}'..='\u{feff}',
];

/// Whether two characters print as one glyph of the font, such as a letter and its accent.
fn combines(before: char, c: char) -> bool {
    let both: String = [before, c].iter().collect();
    [Weight::Regular, Weight::Bold].iter().all(|&w| matches!(shape(&both, w)[..], [g] if g.id != 0))
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

    #[test]
    fn long_words_are_broken_and_nothing_of_them_is_lost() {
        let word = "W".repeat(500);
        let lines = wrap(&format!("a {word} b"), 3.5, Weight::Bold, 30.0);
        assert!(lines.iter().all(|l| width(l, 3.5, Weight::Bold) <= 30.0));
        assert_eq!(lines.concat(), format!("a{word} b"));
        // Narrower than any letter: one to a line, and an end to it.
        assert_eq!(wrap("abc", 3.5, Weight::Regular, 0.1), ["a", "b", "c"]);
        let short = fit(&word, 3.5, Weight::Regular, 30.0);
        assert!(short.ends_with('…') && width(&short, 3.5, Weight::Regular) <= 30.0);
    }

    #[test]
    fn what_has_no_glyph_shows_and_what_combines_stays() {
        let mut missing = BTreeSet::new();
        // A letter and a combining acute are one letter (Unicode 16.0, canonical composition).
        let text = printable("Cafe\u{301}\t1\r\n2\u{7}\u{202e}שלום🏍️\u{2003}\u{301}", &mut missing);
        assert_eq!(text, "Cafe\u{301} 1\n2□□□□□□ □");
        assert_eq!(missing, "\u{7}\u{301}שלום🏍".chars().collect());
        let e = wrap(&"e\u{301}".repeat(40), 3.5, Weight::Regular, 20.0);
        assert!(e.len() > 1 && e.iter().all(|l| shape(l, Weight::Regular).iter().all(|g| g.id != 0)));
    }
}
