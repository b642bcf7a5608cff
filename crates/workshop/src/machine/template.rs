//! The commented file that a mechanic starts from, made from the table of [`limits`](super::limits).

use super::{
    limits::{FILE, Field, Kind, Need, Section, TICKOVER, VERSION},
    schema::describe,
};

/// Width at which comments are broken.
const WIDTH: usize = 110;

const HEAD: &str = "\
Machine file. Fill in what you know; lines that start with # are left out, take the # away to use them.
A reading is written in quotes with its unit, and its ± where you know it: \"33.2 ± 0.3 mm\". +/- does as well as ±,
a comma as well as a point. To say where it comes from, write
  bore = { value = \"62.02 ± 0.02 mm\", with = \"bore gauge\" }
  bore = { value = \"62 mm\", from = \"maker\" }      (or \"estimate\")";

/// A machine file with every key, its limits and what stands in for it, and no number that nobody measured.
///
/// What must be filled in stands there empty, so that [`read`](super::read) names exactly the readings that are still
/// missing; everything else is commented out.
pub fn template() -> String {
    let mut out = String::new();
    for line in HEAD.lines() {
        out += &format!("# {line}\n");
    }
    section(&mut out, &FILE, false);
    out
}

fn comment(out: &mut String, text: &str) {
    let mut line = String::from("#");
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            *out += &line;
            out.push('\n');
            line = String::from("#  ");
        }
        line.push(' ');
        line += word;
    }
    *out += &line;
    out.push('\n');
}

/// `off`: the part is optional, so all of it is commented out.
fn section(out: &mut String, section: &Section, off: bool) {
    let mark = if off { "# " } else { "" };
    if !section.path.is_empty() {
        out.push('\n');
        comment(out, &format!("== {} ==", section.label));
        let (open, close) = if section.many { ("[[", "]]") } else { ("[", "]") };
        *out += &format!("{mark}{open}{}{close}\n", section.path);
    }
    fields(out, section.fields, off);
    for variant in section.variants {
        comment(out, &format!("-- kind = \"{}\": {} --", variant.kind, variant.label));
        fields(out, variant.fields, true);
    }
    for part in section.sections {
        self::section(out, part, off || !part.required);
    }
    for part in section.variants.iter().flat_map(|variant| variant.sections) {
        self::section(out, part, true);
    }
}

fn fields(out: &mut String, fields: &[Field], off: bool) {
    for field in fields {
        comment(out, &describe(field));
        let mark = if off || field.need != Need::Required { "# " } else { "" };
        let value = match (field.path, &field.kind) {
            (path, _) if path == TICKOVER.path => VERSION.to_string(),
            (_, Kind::Flag) => "false".into(),
            _ => "\"\"".into(),
        };
        *out += &format!("{mark}{} = {value}\n", field.key());
    }
}
