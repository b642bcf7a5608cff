//! Each room knows only what it may.

use crate::{
    rust::{Literal, literals, without_tests},
    tree::{files, none_of, root},
};
use std::fs;

/// A room, the rooms of ours that it may depend on, and what of others it must not.
const ROOMS: &[(&str, &[&str], &[&str])] = &[
    ("quantity", &[], &["serde", "rusqlite", "axum", "tokio"]),
    ("physics", &["quantity"], &["serde", "serde_json", "toml", "rusqlite", "axum", "tokio"]),
    ("workshop", &["quantity", "physics"], &["rusqlite", "axum", "tokio", "clap"]),
    ("jobbook", &["quantity", "workshop"], &["axum", "tokio", "clap"]),
    ("sheets", &["quantity", "physics", "workshop", "jobbook"], &["rusqlite", "axum", "tokio", "clap"]),
    ("tickover", &["quantity", "physics", "workshop", "jobbook", "sheets"], &["rusqlite", "krilla"]),
];

/// Files outside `sheets` that may hold sentences, and why.
const PROSE: &[(&str, &str)] = &[
    (
        "crates/workshop/src/machine/limits/",
        "label, limits and reason of every input are declared once; form, schema and errors derive from it",
    ),
    ("crates/tickover/src/exchange/netlist/", "lines of a netlist, which ngspice reads"),
    ("crates/workshop/src/machine/schema.rs", "descriptions in the published schema"),
    ("crates/tickover/src/exchange/netlist/", "lines in the language of ngspice"),
    ("crates/workshop/src/machine/template.rs", "comments in the file that the mechanic fills in"),
];

/// Words from which a literal counts as a sentence [1]. Names, keys and labels are shorter (own choice).
const SENTENCE: usize = 5;

#[test]
fn rooms_depend_downwards_only() {
    let mut offenders = Vec::new();
    let names: Vec<&str> = ROOMS.iter().map(|(room, ..)| *room).collect();
    for (room, ours, not) in ROOMS {
        let manifest = fs::read_to_string(root().join(format!("crates/{room}/Cargo.toml"))).unwrap();
        for dependency in dependencies(&manifest) {
            if not.contains(&dependency) || (names.contains(&dependency) && !ours.contains(&dependency)) {
                offenders.push(format!("{room} depends on {dependency}"));
            }
        }
    }
    let there = fs::read_dir(root().join("crates")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    offenders.extend(there.filter(|c| !names.contains(&c.as_str())).map(|c| format!("{c} is no room of the house")));
    none_of(offenders, "dependencies point the wrong way");
}

/// Names under `[dependencies]`.
fn dependencies(manifest: &str) -> Vec<&str> {
    let lines = manifest.lines().skip_while(|l| l.trim() != "[dependencies]").skip(1).take_while(|l| !l.starts_with('['));
    lines.filter_map(|l| l.split(['.', ' ', '=']).next()).filter(|name| !name.is_empty() && !name.starts_with('#')).collect()
}

#[test]
fn the_core_asks_nothing_of_the_system() {
    let system = ["std::fs", "std::net", "std::time", "std::env", "std::process", "std::io::stdin", "SystemTime", "Instant::"];
    let mut offenders = Vec::new();
    for source in files(&[".rs"]) {
        if !["quantity", "physics", "workshop"].iter().any(|room| source.path.starts_with(&format!("crates/{room}/src/"))) {
            continue;
        }
        for (i, line) in without_tests(&source.text).lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            if let Some(found) = system.iter().find(|s| code.contains(*s)) {
                offenders.push(format!("{}:{}: {found}", source.path, i + 1));
            }
        }
    }
    none_of(offenders, "places in the core touch the system");
}

#[test]
fn only_the_job_book_knows_sql() {
    let statements = ["SELECT ", "INSERT INTO ", "INSERT OR ", "CREATE TABLE ", "DELETE FROM ", "DROP TABLE ", "PRAGMA "];
    let mut offenders = Vec::new();
    for source in files(&[".rs"]) {
        if source.path.starts_with("crates/jobbook/") || source.path.contains("/tests/tidy/") {
            continue;
        }
        for literal in literals(&source.text) {
            if statements.iter().any(|s| literal.text.contains(s)) {
                offenders.push(format!("{}:{}: {}", source.path, literal.line, literal.text));
            }
        }
    }
    none_of(offenders, "pieces of SQL stand outside the job book");
}

#[test]
fn sentences_for_people_are_in_sheets_alone() {
    let mut offenders = Vec::new();
    let sources = files(&[".rs"]);
    for source in &sources {
        let room = ROOMS.iter().map(|(room, ..)| *room).find(|room| source.path.starts_with(&format!("crates/{room}/src/")));
        let Some(room) = room.filter(|room| *room != "sheets") else { continue };
        if source.path.ends_with("/tests.rs") || PROSE.iter().any(|(path, _)| source.path.starts_with(path)) {
            continue;
        }
        for literal in literals(without_tests(&source.text)) {
            let words = if room == "tickover" { is_label(&literal) } else { is_sentence(literal.text) };
            if words && !is_for_developers(literal.before) {
                offenders.push(format!("{}:{}: {}", source.path, literal.line, literal.text));
            }
        }
    }
    for (path, _) in PROSE.iter().filter(|(path, _)| sources.iter().all(|s| !s.path.starts_with(path))) {
        offenders.push(format!("{path}: excused, but not there"));
    }
    none_of(offenders, "words for people stand outside sheets");
}

/// Several words of small letters, and no SQL (which the job book may have): its own words are capitals, its columns have a point inside.
fn is_sentence(text: &str) -> bool {
    let is_word = |w: &&str| {
        let inside = w.trim_end_matches(['.', ',']);
        w.chars().any(char::is_lowercase) && inside.chars().all(|c| !"{}=_/<>();.".contains(c))
    };
    let sql = ["SELECT ", "INSERT ", "CREATE ", "DELETE ", "UPDATE ", "PRAGMA ", " JOIN "].iter().any(|s| text.contains(s));
    !sql && text.split_whitespace().filter(is_word).count() >= SENTENCE
}

/// On a page a single word is already for people: one that begins with a capital, or two in a row of small letters. Not so
/// the values of attributes in the page's own language, headers, paths and patterns.
fn is_label(literal: &Literal) -> bool {
    let text = literal.text.trim();
    let word = |w: &str| w.len() > 1 && w.chars().all(|c| c.is_alphabetic() || ".,;:’".contains(c));
    let starts_large = text.chars().next().is_some_and(char::is_uppercase) && text.chars().any(char::is_lowercase);
    let many = text.split_whitespace().filter(|w| word(w)).count() > 1;
    let machine = ["=\"", "{", "<", "/", "=", "%", "_"].iter().any(|c| text.contains(c));
    let before = literal.before.trim_end();
    let attribute = before.ends_with('=') && !ATTRIBUTES_READ.iter().any(|a| before.ends_with(a));
    (starts_large || many) && !machine && !attribute
}

/// Attributes whose value people read.
const ATTRIBUTES_READ: &[&str] = &["placeholder=", "aria-label=", "title=", "alt="];

/// Messages of errors and assertions speak to whoever reads a panic or a log, reasons to whoever reads the source.
fn is_for_developers(before: &str) -> bool {
    ["#[error(", ".expect(", "assert", "panic!(", "unreachable!(", "reason = ", "#[doc", "#[ignore"]
        .iter()
        .any(|mark| before.contains(mark))
}

#[test]
fn a_sentence_is_told_from_a_name() {
    assert!(is_sentence("Turn the plate a little later."));
    assert!(!is_sentence("engine.valves.inlet_opens") && !is_sentence("bob weights") && !is_sentence("SELECT a b c d e FROM f"));
    let label = |code: &str| is_label(&literals(code)[0]);
    assert!(label(r#"p { "Cut" }"#) && label(r#"p { "not noted" }"#) && label(r#"input placeholder="measured with";"#));
    assert!(!label(r#"input class="narrow page";"#) && !label(r#"table("as_found")"#) && !label(r#"at("/machine/{slug}")"#));
    assert!(is_for_developers("x.expect(") && !is_for_developers("x.push("));
    assert_eq!(dependencies("[dependencies]\na.workspace = true\n# b\nc = \"1\"\n[dev-dependencies]\nd = \"1\""), ["a", "c"]);
}
