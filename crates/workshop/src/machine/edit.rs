//! Changing one value in the text and nothing else.

use std::ops::Range;

use super::{
    defect::{Defect, DefectKind, Wanted},
    limits::{self, Kind},
    read::{MOST_BYTES, too_large, walked},
    read,
    walk::{Walk, most_like},
};

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
    if text.len() > MOST_BYTES {
        return Err(vec![too_large(text.len() as u64)]);
    }
    let (walk, _) = walked(text);
    let plain = without_places(path);
    let value = written(path, &plain, new_value).map_err(|defect| vec![defect])?;
    let inner = format!("{path}.value");
    let changed = match walk.spans.get(&inner).or_else(|| walk.spans.get(path)) {
        Some(span) => splice(text, span.clone(), &value),
        None => added(text, &walk, path, &plain, &value).map_err(|defect| vec![defect])?,
    };
    read(&changed)?;
    Ok(changed)
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
        return defect(DefectKind::UnknownKey { did_you_mean, known });
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
