//! Just enough of Rust's grammar: where its strings are, and where its tests begin.

/// A string literal.
pub struct Literal<'a> {
    /// Line on which it begins, from 1.
    pub line: usize,
    /// Code between the last `;`, `{`, `}` or line comment and the literal.
    pub before: &'a str,
    /// What stands between its quotes, escapes as written.
    pub text: &'a str,
}

/// The program without its unit tests, which stand at the end of a file.
pub fn without_tests(text: &str) -> &str {
    text.find("#[cfg(test)]\nmod ").map_or(text, |at| &text[..at])
}

/// All string literals, comments left out.
pub fn literals(text: &str) -> Vec<Literal<'_>> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let (mut i, mut statement) = (0, 0);
    let ends_at = |from: usize, end: &str| text[from..].find(end).map_or(text.len(), |n| from + n);
    while i < bytes.len() {
        match bytes[i] {
            b'/' if bytes.get(i + 1) == Some(&b'/') => {
                i = ends_at(i, "\n");
                statement = i;
            }
            b'/' if bytes.get(i + 1) == Some(&b'*') => i = ends_at(i, "*/") + 1,
            b';' | b'{' | b'}' => statement = i + 1,
            // A character, or a lifetime, which has no closing quote.
            b'\'' => {
                let character = text[i + 1..].char_indices().take(if bytes.get(i + 1) == Some(&b'\\') { 12 } else { 2 });
                if let Some((n, _)) = character.skip(1).find(|(_, c)| *c == '\'') {
                    i += 1 + n;
                }
            }
            b'"' => {
                let hashes = bytes[..i].iter().rev().take_while(|b| **b == b'#').count();
                let raw = i > hashes && bytes[i - hashes - 1] == b'r';
                let end = if raw { ends_at(i + 1, &format!("\"{}", "#".repeat(hashes))) } else { closing_quote(bytes, i + 1) };
                found.push(Literal {
                    line: 1 + text[..i].matches('\n').count(),
                    before: &text[statement.min(i)..i],
                    text: &text[i + 1..end.min(text.len())],
                });
                i = end;
            }
            _ => {}
        }
        i += 1;
    }
    found
}

fn closing_quote(bytes: &[u8], from: usize) -> usize {
    let mut i = from;
    while i < bytes.len() && bytes[i] != b'"' {
        i += if bytes[i] == b'\\' { 2 } else { 1 };
    }
    i
}

#[test]
fn strings_are_found_where_they_are() {
    let text = r###"let a: &'static str = "one \" two"; // "not this"
        let b = ['"', '\'', '\u{201c}']; let c = r#"three "four""#; /* "nor this" */"###;
    let texts: Vec<_> = literals(text).iter().map(|l| l.text).collect();
    assert_eq!(texts, [r#"one \" two"#, r#"three "four""#]);
    assert_eq!(without_tests("a\n#[cfg(test)]\nmod tests {}"), "a\n");
}
