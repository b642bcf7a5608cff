//! Changing one value in the text and nothing else.

mod rows;

use std::ops::Range;

use super::{
    defect::{Defect, DefectKind, Wanted},
    limits::{self, FILE, Field, Kind, Section},
    read,
    read::walked,
    walk::{Walk, most_like},
};
use crate::document::{Flaw, fits};

/// The text with one value changed: every other byte, comments and layout included, stays as it was.
///
/// `path` is that of a [`Defect`]: `engine.bore`, `strobe[3].advance`. A reading written as a table keeps its `with` or
/// `from`, which have paths of their own (`engine.bore.with`). A key that is not there yet is added to its part, if that
/// part is there.
///
/// # Errors
/// All defects of the *changed* text, so that a change is never kept that leaves a file which cannot be read; or one
/// defect for a path that leads nowhere.
///
/// ```
/// use workshop::machine::{EXAMPLES, edit, read};
/// let text = EXAMPLES[0].1;
/// let changed = edit(text, "idle.speed", "1200 ± 50 rpm")?;
/// assert_eq!(changed.len(), text.len());
/// # Ok::<(), Vec<workshop::machine::Defect>>(())
/// ```
pub fn edit(text: &str, path: &str, new_value: &str) -> Result<String, Vec<Defect>> {
    fits(text.len()).map_err(|flaw| vec![flaw.of_whole()])?;
    let plain = without_places(path);
    let changed = written(path, &plain, new_value).and_then(|value| {
        let (walk, _) = walked(text);
        let inner = format!("{path}.value");
        match walk.spans.get(&inner).or_else(|| walk.spans.get(path)) {
            Some(span) => Ok(splice(text, span.clone(), &value)),
            None => added(text, &walk, path, &plain, &value),
        }
    });
    let changed = changed.map_err(|defect| vec![defect])?;
    read(&changed)?;
    Ok(changed)
}

/// A new value of one field, and where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Path of the field, such as `strobe[3].advance`, or of a row of a plain list, such as `strobe[3]`.
    pub path: String,
    /// What is to stand there; nothing takes it out. A row can only be taken out as a whole.
    pub value: String,
    /// For readings: `maker`, `estimate`, the name of an instrument, or nothing.
    pub origin: String,
}

/// The text with several fields changed at once, judged only when all of them are: readings that depend on each other
/// can be changed together. A part of the file that is not there yet is added, if there can be only one of it; a row of a plain
/// list, if it is the next one. Rows are taken out last, so that every path means what it means in `text`.
///
/// # Errors
/// As [`edit`]; defects of paths that lead nowhere are all told, and then nothing else is.
///
/// ```
/// use workshop::machine::{Change, EXAMPLES, edit_all};
/// let change = |path: &str, value: &str| Change { path: path.into(), value: value.into(), origin: "clip-on rev counter".into() };
/// let text = edit_all(EXAMPLES[0].1, &[change("idle.speed", "2600 rpm"), change("idle.hangs_at", "3900 rpm")])?;
/// assert!(text.contains(r#"speed = { value = "2600 rpm", with = "clip-on rev counter" }"#));
/// # Ok::<(), Vec<workshop::machine::Defect>>(())
/// ```
pub fn edit_all(text: &str, changes: &[Change]) -> Result<String, Vec<Defect>> {
    fits(text.len()).map_err(|flaw| vec![flaw.of_whole()])?;
    let mut changed = text.to_owned();
    let mut astray = Vec::new();
    let (fields, away): (Vec<_>, Vec<_>) = changes.iter().partition(|change| rows::row(&change.path).is_none());
    for change in fields {
        match one_changed(&changed, change) {
            Ok(text) => changed = text,
            Err(defect) => astray.push(defect),
        }
    }
    match rows::without(&changed, &away) {
        Ok(text) => changed = text,
        Err(defects) => astray.extend(defects),
    }
    if !astray.is_empty() {
        return Err(astray);
    }
    read(&changed)?;
    Ok(changed)
}

fn one_changed(text: &str, change: &Change) -> Result<String, Defect> {
    let path = change.path.as_str();
    let plain = without_places(path);
    let (walk, _) = walked(text);
    let there = walk.spans.get(path);
    if change.value.trim().is_empty() {
        // Taken out with its line; what shares a line with others is left empty, which reads as not there.
        return match there.map(|span| (span, own_line(text, span))) {
            None => Ok(text.to_owned()),
            Some((_, Some(line))) => Ok(splice(text, line, "")),
            Some((span, None)) => Ok(splice(text, span.clone(), "\"\"")),
        };
    }
    let value = written(path, &plain, &change.value)?;
    let reading = matches!(limits::field(&plain).map(|f| &f.kind), Some(Kind::Reading { .. }));
    let whole = match change.origin.trim() {
        origin if origin.is_empty() || !reading => value,
        origin @ ("maker" | "estimate") => format!("{{ value = {value}, from = \"{origin}\" }}"),
        origin => format!("{{ value = {value}, with = {} }}", toml::Value::String(origin.into())),
    };
    match there {
        Some(span) => Ok(splice(text, span.clone(), &whole)),
        None => added(text, &walk, path, &plain, &whole).or_else(|defect| match defect.kind {
            DefectKind::MissingField { field } => {
                let part = with_new_part(text, path, field, &whole);
                part.or_else(|| rows::with_new(text, &walk, path, field, &whole)).ok_or(defect)
            }
            _ => Err(defect),
        }),
    }
}

/// The line of a key whose value stands alone on it, line end included.
fn own_line(text: &str, value: &Range<usize>) -> Option<Range<usize>> {
    let from = text[..value.start].rfind('\n').map_or(0, |at| at + 1);
    let to = text[value.end..].find('\n').map_or(text.len(), |at| value.end + at + 1);
    let (key, rest) = (text[from..value.start].trim(), text[value.end..to].trim());
    let bare = key.strip_suffix('=').is_some_and(|k| k.trim().chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-'));
    (bare && (rest.is_empty() || rest.starts_with('#'))).then_some(from..to)
}

/// The text with a new part at its end, and the value in it; `None` where there may be several such parts.
fn with_new_part(text: &str, path: &str, field: &Field, value: &str) -> Option<String> {
    let (parent, _) = path.rsplit_once('.')?;
    let single = !parent.contains('[') && parent.split('.').try_fold(&FILE, inner).is_some();
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let gap = if text.ends_with('\n') { "" } else { newline };
    single.then(|| format!("{text}{gap}{newline}[{parent}]{newline}{} = {value}{newline}", field.key()))
}

/// A part of a part that there can be only one of.
fn inner(section: &'static Section, key: &str) -> Option<&'static Section> {
    section.sections.iter().copied().find(|s| s.key() == key && !s.many)
}

fn splice(text: &str, span: Range<usize>, new: &str) -> String {
    format!("{}{new}{}", &text[..span.start], &text[span.end..])
}

/// `strobe[3].advance` as `strobe.advance`.
fn without_places(path: &str) -> String {
    path.split('.').map(|part| part.split('[').next().unwrap_or(part)).collect::<Vec<_>>().join(".")
}

/// The value as TOML.
fn written(path: &str, plain: &str, value: &str) -> Result<String, Defect> {
    let quoted = || toml::Value::String(value.into()).to_string();
    let wrong = |wanted| {
        let kind = DefectKind::WrongType { wanted, found: "string" };
        Err(Defect { kind, path: path.into(), span: 0..0 })
    };
    match limits::field(plain).map(|field| field.kind) {
        Some(Kind::Count { .. }) => match value.trim().parse::<i64>() {
            Ok(count) => Ok(count.to_string()),
            Err(_) => wrong(Wanted::Count),
        },
        Some(Kind::Flag) => match value.trim() {
            flag @ ("true" | "false") => Ok(flag.into()),
            _ => wrong(Wanted::Flag),
        },
        _ => Ok(quoted()),
    }
}

/// The text with a new key after the last value of its part.
fn added(text: &str, walk: &Walk<'_>, path: &str, plain: &str, value: &str) -> Result<String, Defect> {
    let defect = |kind| Err(Defect { kind, path: path.into(), span: 0..0 });
    let Some(field) = limits::field(plain) else {
        let known: Vec<_> = limits::fields().into_iter().map(|field| field.path).collect();
        let did_you_mean = most_like(plain, known.iter().copied());
        return defect(Flaw::UnknownKey { did_you_mean, known }.into());
    };
    let parent = path.rsplit_once('.').map_or("", |(parent, _)| parent);
    let prefix = if parent.is_empty() { String::new() } else { format!("{parent}.") };
    let last = walk
        .spans
        .iter()
        .filter(|(other, _)| {
            other.strip_prefix(&prefix).is_some_and(|key| {
                let own = !key.contains(['.', '[']);
                own && limits::field(&without_places(other)).is_some()
            })
        })
        .map(|(_, span)| span.end)
        .max();
    let Some(last) = last else { return defect(DefectKind::MissingField { field }) };
    let inline = walk.spans.get(parent).is_some_and(|span| text[span.clone()].starts_with('{'));
    if inline {
        return Ok(splice(text, last..last, &format!(", {} = {value}", field.key())));
    }
    let line_end = text[last..].find('\n').map_or(text.len(), |at| last + at);
    let newline = if text[..line_end].ends_with('\r') { "\r\n" } else { "\n" };
    let line_end = if newline == "\r\n" { line_end - 1 } else { line_end };
    Ok(splice(text, line_end..line_end, &format!("{newline}{} = {value}", field.key())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::EXAMPLES;

    fn change(path: &str, value: &str, origin: &str) -> Change {
        Change { path: path.into(), value: value.into(), origin: origin.into() }
    }

    #[test]
    fn what_depends_on_each_other_changes_together() {
        let text = EXAMPLES[0].1;
        let (idle, hang) = (change("idle.speed", "2600 rpm", ""), change("idle.hangs_at", "3900 rpm", ""));
        assert!(edit_all(text, std::slice::from_ref(&idle)).is_err(), "an idle above the hang cannot be");
        let both = edit_all(text, &[idle, hang]).unwrap();
        assert!(both.contains("speed = \"2600 rpm\"") && both.contains("hangs_at = \"3900 rpm\""));
        assert_eq!(both.lines().count(), text.lines().count());
    }

    #[test]
    fn a_field_is_taken_out_and_put_back() {
        let text = EXAMPLES[0].1;
        let out = edit_all(text, &[change("idle.clutch_pulls_down", "", "")]).unwrap();
        assert!(!out.contains("clutch_pulls_down"));
        assert_eq!(read(&out).unwrap().0.idle.unwrap().clutch_pulls_down, None);
        let back = edit_all(&out, &[change("idle.clutch_pulls_down", "true", "")]).unwrap();
        assert_eq!(read(&back), read(text));
    }

    #[test]
    fn a_missing_part_is_added() {
        let text = EXAMPLES[0].1;
        let without: String = text.split("[lamp]").next().unwrap().to_owned();
        let with =
            edit_all(&without, &[change("lamp.delay", "20 ± 10 µs", "estimate"), change("idle.speed", "1100 rpm", "")]).unwrap();
        assert!(with.starts_with(&without));
        assert!(with.contains("[lamp]\ndelay = { value = \"20 ± 10 µs\", from = \"estimate\" }\n"), "{with}");
        assert!(with.contains("[idle]\nspeed = \"1100 rpm\"\n"));
    }

    #[test]
    fn every_path_astray_is_told() {
        let wrong =
            edit_all(EXAMPLES[0].1, &[change("engine.boar", "1 mm", ""), change("strobe[900].speed", "1 rpm", "")]).unwrap_err();
        assert_eq!(wrong.iter().map(|d| d.path.as_str()).collect::<Vec<_>>(), ["engine.boar", "strobe[900].speed"]);
    }

    #[test]
    fn text_cannot_break_out_of_its_quotes() {
        let name = "x\"\n[engine]\nbore = \"1 mm";
        let text = edit_all(EXAMPLES[0].1, &[change("name", name, "")]).unwrap();
        assert_eq!(read(&text).unwrap().0.name, name);
    }
}
