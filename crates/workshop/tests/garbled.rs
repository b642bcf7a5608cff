//! Files that nobody meant: the reader refuses them or reads them, and never panics.

use proptest::prelude::*;
use workshop::machine::{DefectKind, EXAMPLES, Flaw, MOST_DEFECTS, decode, edit, limits, place, read, template};

fn check(text: &str) -> Result<(), TestCaseError> {
    let Err(defects) = read(text) else { return Ok(()) };
    prop_assert!(!defects.is_empty(), "refused without a reason");
    for defect in defects {
        prop_assert!(text.get(defect.span.clone()).is_some(), "{:?} blames no piece of the text", defect);
        prop_assert!(place(text, defect.span.start).line <= text.matches('\n').count() + 1);
    }
    Ok(())
}

fn any_text() -> impl Strategy<Value = String> {
    let examples = EXAMPLES.iter().map(|(_, text)| text.to_string()).chain([template()]).collect::<Vec<_>>();
    prop::sample::select(examples)
}

/// What people and accidents do to one line.
fn garble(line: &str, how: u8, at: usize, scrap: &str) -> String {
    let mut cut = at % (line.len() + 1);
    while !line.is_char_boundary(cut) {
        cut -= 1;
    }
    match how {
        0 => String::new(),
        1 => format!("{line}\n{line}"),
        2 => line[..cut].into(),
        3 => format!("{}{scrap}{}", &line[..cut], &line[cut..]),
        4 => line.replace('"', ""),
        5 => line.replace(" mm", " rpm").replace('°', " mm"),
        6 => line.replace(|c: char| c.is_ascii_digit(), "9"),
        7 => line.replace('=', "= -"),
        _ => scrap.into(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(text) = decode(&bytes) {
            check(text)?;
        }
    }

    #[test]
    fn random_text(text in "(tickover|engine|strobe|law|\\[|\\]|\\{|\\}|=|\"|'|,|\\.|\n|\r\n|[0-9]|±|\u{feff}|#|\\PC){0,60}") {
        check(&text)?;
    }

    #[test]
    fn garbled_examples(
        text in any_text(),
        blows in prop::collection::vec((any::<prop::sample::Index>(), 0u8..9, 0usize..80, "[\\PC\"'={}\\[\\]#]{0,8}"), 1..6),
    ) {
        let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
        for (index, how, at, scrap) in blows {
            let i = index.index(lines.len());
            lines[i] = garble(&lines[i], how, at, &scrap);
        }
        check(&lines.join("\n"))?;
    }

    #[test]
    fn any_reading_anywhere(
        field in prop::sample::select(limits::fields()),
        text in any_text(),
        value in "(-?[0-9]{1,9}([.,][0-9]{1,4})?|1e300|NaN|\\PC{0,6})( ± [0-9.]{1,4})?( ?(mm|in|°|rpm|%|cm³|g|bar|V|µs|mm BTDC))?",
        place in 0usize..4,
    ) {
        let path = field.path
            .replace("cylinder.", &format!("cylinder[{place}]."))
            .replace("pickup.", &format!("pickup[{place}]."))
            .replace("strobe.", &format!("strobe[{place}]."))
            .replace("point.", &format!("point[{place}]."));
        // What an edit leaves can be read; what cannot be read is never left.
        if let Ok(edited) = edit(&text, &path, &value) {
            prop_assert!(read(&edited).is_ok());
        }
    }
}

#[test]
fn small_and_hostile_files_are_judged() {
    let hostile = [
        "[".repeat(500_000),
        format!("x = {}", "[".repeat(500_000)),
        format!("x = {}", "{a=".repeat(300_000)),
        format!("{}x = 1", "a.".repeat(400_000)),
        (0..60_000).map(|i| format!("key{i} = {i}\n")).collect(),
        format!("strobe = [{}]", "{},".repeat(100_000)),
        format!("[engine]\nbore = \"{} mm\"", "1".repeat(900_000)),
        format!("[engine]\nbore = \"1 {}\"", "µ".repeat(400_000)),
        format!("[engine]\n{} = 1", "b".repeat(900_000)),
        "\0".repeat(1000),
    ];
    for text in &hostile {
        let defects = read(text).expect_err("no machine");
        assert!(!defects.is_empty() && defects.len() <= MOST_DEFECTS + 1);
    }
    let many = read(&hostile[4]).unwrap_err();
    // 60 000 keys, and version, name and engine missing.
    let left_out = 60_003 - MOST_DEFECTS;
    assert_eq!(many.last().map(|d| &d.kind), Some(&DefectKind::Document(Flaw::More { left_out })));
}
