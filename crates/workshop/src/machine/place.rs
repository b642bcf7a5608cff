//! Where in a text a byte stands, as an editor shows it.

/// Line and column, both counted from 1; the column counts characters, not bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
}

/// Line and column of a byte offset. A byte order mark takes no column, `\r\n` ends one line, an offset inside a
/// character stands at that character, and one past the end stands at the end.
///
/// ```
/// use workshop::machine::{Place, place};
/// assert_eq!(place("a = 1\r\nµ = 2\r\n", 10), Place { line: 2, column: 3 });
/// ```
pub fn place(text: &str, offset: usize) -> Place {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    let before = &text[..offset];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = before.bytes().filter(|&b| b == b'\n').count() + 1;
    let column = before[line_start..].trim_start_matches('\u{feff}').chars().count() + 1;
    Place { line, column }
}
