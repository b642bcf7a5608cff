//! Documents that do not drift: what they name exists, what they show is what the program answers.

use crate::tree::{Source, files, none_of, root};
use std::{
    collections::BTreeSet,
    io::Write,
    process::{Command, Stdio},
};

/// The guide, which must be a machine file when its TOML blocks are put together.
const MACHINE_FILE_PAGE: &str = "docs/machine-file.md";
/// Files that the reader makes while following the guide, in the folder where they are.
const MADE_BY_THE_READER: &[&str] = &["mine.toml", "mine.pdf", "mine.csv", "tarn.csv", "tickover/book.sqlite"];
/// Endings that make a word a path.
const ENDINGS: &[&str] = &[".rs", ".toml", ".md", ".json", ".py", ".png", ".pdf", ".csv", ".tsv", ".txt", ".dat", ".sqlite"];

/// Every piece of code in a document.
struct Code<'a> {
    line: usize,
    /// Language of a fenced block, `None` for code within a line.
    fence: Option<&'a str>,
    text: &'a str,
}

/// The documents that this test answers for.
fn documents() -> Vec<Source> {
    let kept = |path: &str| matches!(path, "README.md" | "ARCHITECTURE.md" | "reference/README.md") || path.starts_with("docs/");
    let found: Vec<Source> = files(&[".md"]).into_iter().filter(|s| kept(&s.path)).collect();
    assert!(found.len() > 5, "only {} documents: is this the tree?", found.len());
    found
}

fn code(text: &str) -> Vec<Code<'_>> {
    let mut found = Vec::new();
    let mut fence: Option<(usize, &str, usize)> = None;
    let mut at = 0;
    for (i, line) in text.split_inclusive('\n').enumerate() {
        match (line.trim().strip_prefix("```"), fence) {
            (Some(language), None) => fence = Some((i + 2, language.trim(), at + line.len())),
            (Some(_), Some((line, language, from))) => {
                found.push(Code { line, fence: Some(language), text: &text[from..at] });
                fence = None;
            }
            (None, None) => {
                found.extend(line.split('`').skip(1).step_by(2).map(|text| Code { line: i + 1, fence: None, text }));
            }
            (None, Some(_)) => {}
        }
        at += line.len();
    }
    found
}

/// What the binary answers, both streams.
fn tickover(arguments: &[&str], piped: &str) -> (String, i32) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(arguments)
        .current_dir(root())
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    // A command that reads nothing may have ended by now.
    let _ = child.stdin.take().expect("a pipe").write_all(piped.as_bytes());
    let out = child.wait_with_output().expect("the binary ends");
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    (text, out.status.code().unwrap_or(-1))
}

/// Words of commands given to the program in a piece of code: after `tickover`, or after `cargo run … --`.
fn commands(text: &str) -> Vec<Vec<&str>> {
    let mut found = Vec::new();
    for line in text.lines() {
        let line = line.trim().trim_start_matches("$ ");
        let words: Vec<&str> = line.split_whitespace().take_while(|w| !["|", ">", "#"].contains(w)).collect();
        match words.split_first() {
            Some((&"tickover", rest)) => found.push(rest.to_vec()),
            Some((&"cargo", rest)) if rest.first() == Some(&"run") => {
                found.push(rest.iter().skip_while(|w| **w != "--").skip(1).copied().collect());
            }
            _ => {}
        }
    }
    found
}

#[test]
fn commands_and_options_exist() {
    let (help, _) = tickover(&["--help"], "");
    let known: BTreeSet<String> = commands_of(&help);
    let helps: Vec<String> = known.iter().map(|c| tickover(&[c, "--help"], "").0).chain([help.clone()]).collect();
    let offers = |help: &str, option: &str| help.split(|c: char| c.is_whitespace() || ",[]=".contains(c)).any(|w| w == option);
    let check = std::fs::read_to_string(root().join("check")).unwrap();
    let mut offenders = Vec::new();
    for document in documents() {
        for code in code(&document.text).iter().filter(|c| !matches!(c.fence, Some("text" | "toml" | "json"))) {
            let place = format!("{}:{}", document.path, code.line);
            for words in commands(code.text) {
                let command = words.iter().find(|w| !w.starts_with('-'));
                if let Some(command) = command.filter(|c| !known.contains(**c)) {
                    offenders.push(format!("{place}: no command {command}"));
                    continue;
                }
                let help = command.map_or_else(|| help.clone(), |c| tickover(&[c, "--help"], "").0);
                for option in words.iter().filter(|w| w.len() > 1 && w.starts_with('-') && !offers(&help, w)) {
                    offenders.push(format!("{place}: no option {option} of {}", command.unwrap_or(&"tickover")));
                }
            }
            let of_check = code.text.strip_prefix("./check").map(str::trim).filter(|o| o.starts_with("--"));
            if let Some(option) = of_check.filter(|o| !check.contains(&format!("{o})"))) {
                offenders.push(format!("{place}: no option {option} of ./check"));
            }
            if code.fence.is_none() && code.text.starts_with('-') && code.text.len() > 1 {
                let option = code.text.split([' ', '=']).next().unwrap_or("");
                if !helps.iter().any(|h| offers(h, option)) && !check.contains(&format!("{option})")) {
                    offenders.push(format!("{place}: no option {option}"));
                }
            }
        }
    }
    none_of(offenders, "commands or options that the documents name do not exist");
}

/// Names in the list of commands of a help text.
fn commands_of(help: &str) -> BTreeSet<String> {
    let list = help.lines().skip_while(|l| l.trim() != "Commands:").skip(1).take_while(|l| !l.trim().is_empty());
    let found: BTreeSet<String> =
        list.filter_map(|l| l.strip_prefix("  ")?.split_whitespace().next()).map(str::to_owned).collect();
    assert!(found.contains("study"), "no list of commands in the help:\n{help}");
    found
}

#[test]
fn paths_exist() {
    let mut offenders = Vec::new();
    for document in documents() {
        let folder = root().join(&document.path).parent().expect("a folder").to_path_buf();
        let exists = |path: &str| root().join(path).exists() || folder.join(path).exists();
        let links = document.text.match_indices("](").map(|(at, _)| {
            let target = &document.text[at + 2..];
            (1 + document.text[..at].matches('\n').count(), &target[..target.find(')').unwrap_or(0)])
        });
        for (line, target) in links {
            let path = target.split('#').next().unwrap_or("");
            if !path.is_empty() && !path.starts_with("http") && !folder.join(path).exists() {
                offenders.push(format!("{}:{line}: link to {path}", document.path));
            }
        }
        // Not in data; a quoted word is a value.
        for code in
            code(&document.text).iter().filter(|c| !matches!(c.fence, Some("console" | "toml" | "json")) && !c.text.contains('"'))
        {
            for word in code.text.split_whitespace() {
                let word = word.trim_matches(['"', ',', ';', '(', ')']);
                let is_path = ENDINGS.iter().any(|e| word.ends_with(e) && word.len() > e.len())
                    || (word.contains('/') && !word.contains("://"));
                let plain =
                    word.chars().all(|c| c.is_ascii_alphanumeric() || "./_-".contains(c)) && !word.starts_with(['/', '-']);
                if is_path && plain && !MADE_BY_THE_READER.contains(&word) && !exists(word) {
                    offenders.push(format!("{}:{}: path {word}", document.path, code.line));
                }
            }
        }
    }
    none_of(offenders, "paths that the documents name do not exist");
}

/// A name in code type stands in the sources, the schema or a manifest, as a whole word.
#[test]
fn names_exist() {
    let sources = files(&[".rs", ".toml", ".schema.json", ".js", ".css", ".py"]);
    let mut words: BTreeSet<&str> = BTreeSet::new();
    for source in sources.iter().filter(|s| !s.path.contains("/tests/tidy/")) {
        words.extend(source.text.split(|c: char| !c.is_ascii_alphanumeric() && c != '_'));
    }
    let mut offenders = Vec::new();
    for document in documents() {
        for code in code(&document.text).iter().filter(|c| c.fence.is_none()) {
            let name = code.text.chars().all(|c| c.is_ascii_alphanumeric() || "_:.[]".contains(c));
            if !name || ENDINGS.iter().any(|e| code.text.ends_with(e)) {
                continue;
            }
            // A code in JSON is its variant's name in small letters.
            let known = |part: &str| words.contains(part) || words.contains(variant(part).as_str());
            for part in code.text.split([':', '.', '[', ']']).filter(|p| !p.is_empty() && !known(p)) {
                offenders.push(format!("{}:{}: {part}", document.path, code.line));
            }
        }
    }
    none_of(offenders, "names in the documents are not in the sources");
}

/// rustdoc's own check of links is off, because it takes units in brackets for links.
#[test]
fn links_in_comments_name_code() {
    let sources = files(&[".rs"]);
    let code = |line: &str| !line.trim_start().starts_with("//");
    let mut words: BTreeSet<&str> = BTreeSet::new();
    for line in sources.iter().flat_map(|s| s.text.lines()).filter(|l| code(l)) {
        words.extend(line.split(|c: char| !c.is_ascii_alphanumeric() && c != '_'));
    }
    let mut offenders = Vec::new();
    for source in sources.iter().filter(|s| !s.path.contains("/tests/tidy/")) {
        for (i, line) in source.text.lines().enumerate().filter(|(_, l)| !code(l)) {
            // [`a::b`], or [words](a::b).
            let targets = line.split("[`").skip(1).filter(|l| l.contains("`]")).filter_map(|l| l.split('`').next());
            let targets =
                targets.chain(line.split("](").skip(1).filter_map(|l| l.split(')').next()).filter(|t| !t.contains('/')));
            for part in
                targets.flat_map(|t| t.split("::")).map(|p| p.trim_end_matches(['!', '(', ')'])).filter(|p| !words.contains(p))
            {
                offenders.push(format!("{}:{}: {part}", source.path, i + 1));
            }
        }
    }
    none_of(offenders, "links in comments name nothing");
}

/// `no_cut_serves` → `NoCutServes`.
fn variant(code: &str) -> String {
    let capital =
        |word: &str| word.chars().take(1).map(|c| c.to_ascii_uppercase()).chain(word.chars().skip(1)).collect::<String>();
    code.split('_').map(capital).collect()
}

/// A `console` block shows a command after `$` and lines of its answer in their order; `…` stands for what is left out.
#[test]
fn shown_answers_are_the_programs() {
    let mut offenders = Vec::new();
    let mut shown = 0;
    for document in documents() {
        for code in code(&document.text).iter().filter(|c| c.fence == Some("console")) {
            let mut lines = code.text.lines().peekable();
            while let Some(line) = lines.next() {
                let words = commands(line)
                    .into_iter()
                    .next()
                    .unwrap_or_else(|| panic!("{}:{}: no command: {line}", document.path, code.line));
                let (answer, _) = tickover(&words, "");
                let answer: Vec<&str> = answer.lines().map(str::trim_end).collect();
                let mut from = 0;
                while let Some(line) = lines.next_if(|l| !l.starts_with("$ ")) {
                    let line = line.trim_end();
                    match answer[from..].iter().position(|l| *l == line) {
                        _ if line == "…" || line.is_empty() => {}
                        Some(at) => from += at + 1,
                        None => offenders
                            .push(format!("{}:{}: not in the answer, or not in this order: {line}", document.path, code.line)),
                    }
                }
                shown += 1;
            }
        }
    }
    assert!(shown > 0, "no console block in any document");
    none_of(offenders, "shown answers are not what the program says");
}

/// The guide's example, built up part by part, is a whole machine file without a defect.
#[test]
fn the_guides_machine_file_is_sound() {
    let page = documents().into_iter().find(|d| d.path == MACHINE_FILE_PAGE).expect("the page on the machine file");
    let blocks = code(&page.text);
    let whole: String = blocks.iter().filter(|c| c.fence == Some("toml")).map(|c| format!("{}\n", c.text)).collect();
    let (said, end) = tickover(&["check", "-"], &whole);
    assert_eq!(end, 0, "{said}");
}

#[test]
fn code_is_found_in_a_document() {
    let text = "see `a/b.rs` and `--x`\n```console\n$ tickover curve f.toml --json | head\none\n```\n";
    let found: Vec<_> = code(text).iter().map(|c| (c.line, c.fence, c.text)).collect();
    assert_eq!(found[..2], [(1, None, "a/b.rs"), (1, None, "--x")]);
    assert_eq!((found[2].0, found[2].1), (3, Some("console")));
    assert_eq!(commands(found[2].2), [vec!["curve", "f.toml", "--json"]]);
    assert_eq!(commands("cargo run --release -- study f.toml"), [vec!["study", "f.toml"]]);
}
