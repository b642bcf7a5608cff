//! Rows of plain lists, such as the strobe readings: adding the next one, taking one out. A list may stand in brackets, one row in braces
//! each, or as a part `[[…]]` for each row; it stays as it is.

use super::{Change, inner, splice};
use crate::{
    document::Flaw,
    machine::{
        defect::Defect,
        limits::{FILE, Field},
        read::walked,
        walk::Walk,
    },
};
use std::ops::Range;

/// List and number of a path such as `strobe[3]`; `None` for anything else than a row of a plain list.
pub fn row(path: &str) -> Option<(&str, usize)> {
    let (list, number) = path.strip_suffix(']')?.split_once('[')?;
    let (parent, key) = list.rsplit_once('.').map_or((None, list), |(parent, key)| (Some(parent), key));
    let mut parts = parent.into_iter().flat_map(|parent| parent.split('.'));
    let section = parts.try_fold(&FILE, inner)?;
    let plain = section.sections.iter().any(|s| s.key() == key && s.grows());
    plain.then(|| number.parse().ok()).flatten().map(|number| (list, number))
}

/// The text with the next row of a list, and one value in it; `None` where that is not the next one.
pub fn with_new(text: &str, walk: &Walk<'_>, path: &str, field: &Field, value: &str) -> Option<String> {
    let (list, number) = row(path.rsplit_once('.')?.0)?;
    let spans: Vec<Range<usize>> = (0..).map_while(|n| walk.spans.get(&format!("{list}[{n}]")).cloned()).collect();
    if number != spans.len() {
        return None;
    }
    let key = field.key();
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let brackets = walk.spans.get(list).filter(|span| {
        let there = text.get(span.start..span.end).unwrap_or_default();
        there.starts_with('[') && !there.starts_with("[[")
    });
    let Some(brackets) = brackets else {
        let gap = if text.ends_with('\n') { "" } else { newline };
        return Some(format!("{text}{gap}{newline}[[{list}]]{newline}{key} = {value}{newline}"));
    };
    let new = format!("{{ {key} = {value} }}");
    let Some(last) = spans.last() else { return Some(splice(text, brackets.end - 1..brackets.end - 1, &new)) };
    let rest = &text[last.end..brackets.end];
    let comma = rest.len() - rest.trim_start().len();
    let (after, comma) = if rest[comma..].starts_with(',') { (last.end + comma + 1, "") } else { (last.end, ",") };
    let from = text[..last.start].rfind('\n').map_or(0, |at| at + 1);
    let own_line = text[from..last.start].trim().is_empty();
    if !own_line {
        return Some(splice(text, after..after, &format!("{comma} {new}")));
    }
    let indent = &text[from..last.start];
    // A comment behind the last row stays behind it.
    let line_end = text[after..].find('\n').map_or(text.len(), |at| after + at);
    let line_end = if text[..line_end].ends_with('\r') { line_end - 1 } else { line_end };
    if line_end >= brackets.end {
        return Some(splice(text, after..after, &format!("{comma}{newline}{indent}{new},")));
    }
    let with_row = splice(text, line_end..line_end, &format!("{newline}{indent}{new},"));
    Some(splice(&with_row, after..after, comma))
}

/// The text without these rows.
pub fn without(text: &str, away: &[&Change]) -> Result<String, Vec<Defect>> {
    let mut numbered: Vec<(&str, usize)> = away.iter().filter_map(|change| row(&change.path)).collect();
    numbered.sort_unstable();
    numbered.dedup();
    let (walk, _) = walked(text);
    let mut changed = text.to_owned();
    let mut astray = Vec::new();
    // From the last on, so that those before it stay where they are.
    for (list, number) in numbered.into_iter().rev() {
        let path = format!("{list}[{number}]");
        match walk.spans.get(&path) {
            Some(span) => changed = splice(&changed, whole(text, &walk, &path, span), ""),
            None => {
                let known = (0..).map_while(|n| walk.spans.contains_key(&format!("{list}[{n}]")).then_some("")).collect();
                astray.push(Defect { kind: Flaw::UnknownKey { did_you_mean: None, known }.into(), path, span: 0..0 });
            }
        }
    }
    // A row cannot be given a value.
    let given = away.iter().filter(|change| !change.value.trim().is_empty());
    astray.extend(given.map(|change| Defect {
        kind: Flaw::UnknownKey { did_you_mean: None, known: Vec::new() }.into(),
        path: change.path.clone(),
        span: 0..0,
    }));
    if astray.is_empty() { Ok(changed) } else { Err(astray) }
}

/// All of a row: with its comma and, if it has lines of its own, with those.
fn whole(text: &str, walk: &Walk<'_>, path: &str, span: &Range<usize>) -> Range<usize> {
    let line_end = |at: usize| text[at..].find('\n').map_or(text.len(), |n| at + n + 1);
    let line_start = |at: usize| text[..at].rfind('\n').map_or(0, |n| n + 1);
    if !text[span.start..].starts_with('{') {
        // A part: from its head to the line of its last value; what stands below belongs to the next one.
        let prefix = format!("{path}.");
        let last = walk.spans.iter().filter(|(p, _)| p.starts_with(&prefix)).map(|(_, s)| s.end).max();
        return line_start(span.start)..line_end(last.unwrap_or(span.end).max(span.end));
    }
    let rest = &text[span.end..];
    let space = rest.len() - rest.trim_start_matches([' ', '\t']).len();
    let end = if rest[space..].starts_with(',') { span.end + space + 1 } else { span.end };
    let (from, to) = (line_start(span.start), line_end(end));
    let behind = text[end..to].trim();
    if text[from..span.start].trim().is_empty() && (behind.is_empty() || behind.starts_with('#')) {
        return from..to;
    }
    let gap = text[end..].len() - text[end..].trim_start_matches(' ').len();
    span.start..end + gap
}

#[cfg(test)]
mod tests {
    use crate::machine::{Change, EXAMPLES, edit_all, read};

    fn change(path: &str, value: &str, origin: &str) -> Change {
        Change { path: path.into(), value: value.into(), origin: origin.into() }
    }

    /// The demo with its readings in another layout: one line, no comma at the end, or a part for each.
    fn layouts() -> Vec<String> {
        let text = EXAMPLES[0].1;
        let rows = |separator: &str| {
            let at = text.find("strobe = [").unwrap();
            let end = at + text[at..].find("\n]").unwrap();
            let rows: Vec<&str> = text[at..end].lines().skip(1).map(|l| l.trim().trim_end_matches(',')).collect();
            (text[..at].to_owned(), rows.join(separator), text[end + 2..].to_owned(), rows.len())
        };
        let (before, one_line, after, _) = rows(", ");
        let (_, lines, _, _) = rows(",\n  ");
        let parts: String = rows("\n")
            .1
            .lines()
            .map(|row| {
                let inner = row.trim_start_matches("{ ").trim_end_matches(" }").replace("\", ", "\"\n");
                format!("\n# a reading\n[[strobe]]\n{inner}\n")
            })
            .collect();
        vec![
            text.to_owned(),
            text.replace('\n', "\r\n"),
            format!("{before}strobe = [{one_line}]{after}"),
            format!("{before}strobe = [\n  {lines} # the last\n]{after}"),
            format!("{before}{after}{parts}"),
        ]
    }

    #[test]
    fn a_row_is_added_and_taken_out_in_every_layout() {
        for text in layouts() {
            let (machine, _) = read(&text).unwrap_or_else(|e| panic!("{e:?}\n{text}"));
            let n = machine.strobe.len();
            let path = |key: &str| format!("strobe[{n}].{key}");
            let with = edit_all(
                &text,
                &[
                    change(&path("cylinder"), "right", ""),
                    change(&path("speed"), "3100 ± 40 rpm", ""),
                    change(&path("advance"), "35 ± 1°", "strobe lamp"),
                ],
            )
            .unwrap_or_else(|e| panic!("{e:?}\n{text}"));
            let (more, _) = read(&with).unwrap();
            assert_eq!(more.strobe.len(), n + 1, "{with}");
            assert_eq!(more.strobe[..n], machine.strobe[..]);
            assert_eq!(more.strobe[n].cylinder, Some(1));
            // 35 ± 1° in radians, by definition.
            assert!((more.strobe[n].advance.plus_minus_si - 1f64.to_radians()).abs() < 1e-12);
            let back = edit_all(&with, &[change(&format!("strobe[{n}]"), "", "")]).unwrap();
            assert_eq!(read(&back).unwrap().0, machine);

            // Three at once, the last among them; what stays is what stood beside them.
            let away = [0, 4, n - 1].map(|i| change(&format!("strobe[{i}]"), "", ""));
            let fewer = edit_all(&text, &away).unwrap_or_else(|e| panic!("{e:?}\n{text}"));
            let left: Vec<_> = (0..n).filter(|i| ![0, 4, n - 1].contains(i)).map(|i| machine.strobe[i].clone()).collect();
            assert_eq!(read(&fewer).unwrap().0.strobe, left, "{fewer}");
            assert_eq!(fewer.matches("# a reading").count(), text.matches("# a reading").count(), "comments stay");
        }
    }

    #[test]
    fn the_first_row_of_all_and_the_last_one_left() {
        let text = EXAMPLES[0].1;
        let n = read(text).unwrap().0.strobe.len();
        let all: Vec<_> = (0..n).map(|i| change(&format!("strobe[{i}]"), "", "")).collect();
        let none = edit_all(text, &all).unwrap();
        assert!(read(&none).unwrap().0.strobe.is_empty());
        let one = [change("strobe[0].speed", "1000 rpm", ""), change("strobe[0].advance", "5°", "")];
        assert_eq!(read(&edit_all(&none, &one).unwrap()).unwrap().0.strobe.len(), 1);
    }

    #[test]
    fn rows_astray_are_told_and_nothing_is_lost() {
        let text = EXAMPLES[0].1;
        let n = read(text).unwrap().0.strobe.len();
        for bad in [format!("strobe[{n}]"), "strobe[99999999999999999999]".into(), "strobe[-1]".into(), "strobe[0".into()] {
            // What is no row is a field that is not there; taking that out changes nothing, or is told.
            match edit_all(text, &[change(&bad, "", "")]) {
                Ok(same) => assert_eq!(same, text, "{bad}"),
                Err(defects) => assert_eq!(defects[0].path, bad),
            }
        }
        assert!(edit_all(text, &[change("strobe[0]", "1000 rpm", "")]).is_err(), "a row takes no value");
        assert!(edit_all(text, &[change(&format!("strobe[{}].speed", n + 1), "1000 rpm", "")]).is_err(), "a row is left out");
        let half = edit_all(text, &[change(&format!("strobe[{n}].speed"), "1000 rpm", "")]).unwrap_err();
        assert_eq!(half[0].path, format!("strobe[{n}].advance"), "half a reading is refused where it lacks");
    }
}
