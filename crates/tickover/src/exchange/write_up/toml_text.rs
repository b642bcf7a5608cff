//! Where people wrote words in a machine file: its comments and its strings.

use std::ops::Range;

/// A comment, or the inside of a string, with its quotes left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// Bytes of the file.
    pub at: Range<usize>,
    /// It is a comment.
    pub comment: bool,
}

/// Every comment and string, in order (TOML 1.0, “Comment” and “String”).
pub fn words(text: &str) -> Vec<Words> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(next) = text[at..].find(['#', '"', '\'']) {
        at += next;
        let rest = &text[at..];
        if rest.starts_with('#') {
            let end = rest.find('\n').map_or(text.len(), |n| at + n);
            found.push(Words { at: at + 1..end, comment: true });
            at = end;
            continue;
        }
        let quote = &rest[..1];
        let triple = quote.repeat(3);
        let quotes = if rest.starts_with(&triple) { triple.as_str() } else { quote };
        let from = at + quotes.len();
        let length = closing(&text[from..], quotes).unwrap_or(text.len() - from);
        found.push(Words { at: from..from + length, comment: false });
        at = (from + length + quotes.len()).min(text.len());
    }
    found
}

/// Bytes up to the quotes that close. A backslash shields the next sign, but not between single quotes.
fn closing(text: &str, quotes: &str) -> Option<usize> {
    let mut signs = text.char_indices();
    while let Some((at, sign)) = signs.next() {
        if sign == '\\' && quotes.starts_with('"') {
            signs.next();
        } else if text[at..].starts_with(quotes) {
            return Some(at);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_where_people_wrote_them() {
        let text = "# one\na = \"two # \\\" 2\" # three\nb = 'four'\nc = \"\"\"five\n\"5\" \"\"\"\nd = ''\ne = \"open";
        let found: Vec<&str> = words(text).into_iter().map(|w| &text[w.at]).collect();
        assert_eq!(found, [" one", "two # \\\" 2", " three", "four", "five\n\"5\" ", "", "open"]);
    }
}
