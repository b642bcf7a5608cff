//! No constant without its unit, its source and its reason.

use crate::{
    rust::without_tests,
    tree::{files, none_of},
};

/// What a comment says that names a source, or says that there is none.
const SOURCES: &[&str] = &[
    "no source",
    "No source",
    "source:",
    "Source:",
    "ISO ",
    "IEC ",
    "SAE ",
    "JCGM",
    "NIST",
    "NASA",
    "CODATA",
    "Handbook",
    "by definition",
    "exact",
    "own choice",
    "project's choice",
    "SciPy",
    "as [`",
];

#[test]
fn numbers_have_unit_and_source() {
    let mut offenders = Vec::new();
    for source in files(&[".rs"]) {
        let in_scope = ["crates/physics/src/", "crates/workshop/src/"].iter().any(|room| source.path.starts_with(room));
        if !in_scope || source.path.ends_with("/tests.rs") {
            continue;
        }
        let lines: Vec<&str> = without_tests(&source.text).lines().collect();
        for i in 0..lines.len() {
            let Some(name) = number(&lines[i..]) else { continue };
            let said = comment(&lines, i);
            let place = format!("{}:{}: {name}", source.path, i + 1);
            if said.is_empty() {
                offenders.push(format!("{place} has no comment"));
            } else if !has_unit(&said) {
                offenders.push(format!("{place} has no unit in brackets"));
            } else if !has_source(&said) {
                offenders.push(format!("{place} names no source"));
            }
        }
    }
    none_of(offenders, "constants lack unit or source");
}

/// The name of a constant of floating-point type that begins on the first of these lines and is written out in digits.
fn number<'a>(lines: &[&'a str]) -> Option<&'a str> {
    let line = lines[0].trim_start();
    let declared = ["const ", "pub const ", "pub(crate) const ", "pub(super) const ", "static ", "pub static "];
    let rest = declared.iter().find_map(|d| line.strip_prefix(d))?;
    let (name, rest) = rest.split_once(':')?;
    let (kind, _) = rest.split_once(" =").unwrap_or((rest, ""));
    if !kind.contains("f64") || name.contains('(') {
        return None;
    }
    let code = |l: &'a str| l.split("//").next().unwrap_or("").trim_end();
    let last = lines.iter().position(|l| code(l).ends_with(';')).unwrap_or(lines.len() - 1);
    let whole: String = lines[..=last].iter().map(|l| code(l)).collect();
    whole.split_once(" =")?.1.chars().any(|c| c.is_ascii_digit()).then_some(name.trim())
}

/// The comments that belong to a constant: at its end, and above it; one comment may stand above a group of constants.
fn comment(lines: &[&str], at: usize) -> String {
    let mut said: Vec<&str> = lines[at].split_once("//").map(|(_, c)| c).into_iter().collect();
    let mut i = at;
    // Up over the neighbours that share the comment, if there is none in between.
    while i > 0 && !is_comment(lines[i - 1]) && !lines[i - 1].trim().is_empty() && !lines[i - 1].trim().ends_with('{') {
        i -= 1;
    }
    while i > 0 && is_comment(lines[i - 1]) {
        i -= 1;
        said.insert(0, lines[i].trim());
    }
    said.join(" ")
}

fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    (line.starts_with("//") && !line.starts_with("//!")) || line.starts_with("#[")
}

/// `[rad]`, `\[1\]`; a link to code is no unit.
fn has_unit(said: &str) -> bool {
    said.match_indices('[')
        .any(|(at, _)| !said[at..].starts_with("[`") && said[at..].find(']').is_some_and(|end| end > 1 && end < 32))
}

/// A year counts as well: works are cited with it.
fn has_source(said: &str) -> bool {
    let year = |word: &str| word.len() == 4 && word.parse::<u32>().is_ok_and(|y| (1700..2100).contains(&y));
    SOURCES.iter().any(|s| said.contains(s)) || said.split(|c: char| !c.is_alphanumeric()).any(year)
}

#[test]
fn the_test_sees_what_it_should() {
    let text = [
        "/// Gas constant [J/(mol·K)] (CODATA 2018).",
        "pub const R: f64 = 8.31;",
        "const S: [f64; 2] = [",
        "    1.0, 2.0];",
        "",
        "const N: usize = 3;",
    ];
    assert_eq!(number(&text[1..]), Some("R"));
    assert_eq!(number(&text[2..]), Some("S"));
    assert_eq!(number(&text[5..]), None);
    let said = comment(&text, 2);
    assert!(has_unit(&said) && has_source(&said), "{said}");
    assert!(!has_unit("see [`R`]") && !has_source("from memory"));
}
