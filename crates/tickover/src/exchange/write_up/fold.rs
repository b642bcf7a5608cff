//! Text as it is compared: small letters and figures alone, whatever accents, spacing or signs stand between.

use unicode_normalization::{UnicodeNormalization, char::canonical_combining_class};

/// A letter or figure of a text, and the bytes that it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Folded {
    /// Small, without accent.
    pub letter: char,
    /// Where it begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
}

/// Letters that Unicode does not take apart, and what people write for them.
const SPELT: [(char, &str); 8] =
    [('ß', "ss"), ('æ', "ae"), ('œ', "oe"), ('ø', "o"), ('ł', "l"), ('đ', "d"), ('ð', "d"), ('þ', "th")];

/// The letters and figures of a text. Accents are dropped and wide, narrow and joined forms are taken apart (Unicode Standard
/// Annex 15, form KD).
pub fn folded(text: &str) -> Vec<Folded> {
    let mut all = Vec::with_capacity(text.len());
    for (start, c) in text.char_indices() {
        let end = start + c.len_utf8();
        for plain in std::iter::once(c).nfkd().filter(|c| c.is_alphanumeric() && canonical_combining_class(*c) == 0) {
            for small in plain.to_lowercase().filter(|c| c.is_alphanumeric()) {
                match SPELT.iter().find(|(letter, _)| *letter == small) {
                    Some((_, spelt)) => all.extend(spelt.chars().map(|letter| Folded { letter, start, end })),
                    None => all.push(Folded { letter: small, start, end }),
                }
            }
        }
    }
    all
}

/// The letters and figures of a text alone.
pub fn letters(text: &str) -> Vec<char> {
    folded(text).into_iter().map(|f| f.letter).collect()
}

/// Spellings of one name: with accents dropped, with `ue` for `ü`, with `u` for `ue`, and so on.
pub fn spellings(name: &str) -> Vec<Vec<char>> {
    let spelt: String = name
        .nfc()
        .map(|c| match c {
            'ä' | 'Ä' => "ae".to_owned(),
            'ö' | 'Ö' | 'ø' | 'Ø' => "oe".to_owned(),
            'ü' | 'Ü' => "ue".to_owned(),
            'å' | 'Å' => "aa".to_owned(),
            other => other.to_string(),
        })
        .collect();
    let plain: String = letters(name).into_iter().collect();
    let short = plain.replace("ae", "a").replace("oe", "o").replace("ue", "u");
    let mut all = vec![letters(name), letters(&spelt), short.chars().collect()];
    all.sort();
    all.dedup();
    all
}

/// Nothing that a reader sees: a soft hyphen, a joiner, an accent of its own.
pub fn is_invisible(c: char) -> bool {
    canonical_combining_class(c) != 0
        || matches!(c, '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(text: &str) -> String {
        letters(text).into_iter().collect()
    }

    #[test]
    fn one_name_has_one_form() {
        for same in ["MÜLLER-Straße 7", "müller strasse 7", "Mu\u{308}ller\u{ad}straße７", "ＭÜLLER.STRASSE 7"] {
            assert_eq!(text(same), "mullerstrasse7", "{same}");
        }
        let spelt: Vec<String> = spellings("Müller").into_iter().map(|s| s.into_iter().collect()).collect();
        assert_eq!(spelt, ["mueller", "muller"]);
        assert!(spellings("Mueller").contains(&"muller".chars().collect()));
    }
}
