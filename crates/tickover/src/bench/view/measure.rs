//! The readings as fields, with what is wrong beside each.

use super::super::fields::{Entry, Part};
use maud::{Markup, html};
use sheets::words::{self, page};
use std::collections::HashMap;
use workshop::machine::limits::{Kind, Need};

/// What was typed and refused: by field path, the value and the origin.
pub type Typed = HashMap<String, (String, String)>;

/// What is wrong, by field path; the empty path is the file as a whole.
pub type Wrong = HashMap<String, Vec<String>>;

/// A form with some parts of the file.
pub struct Form<'a> {
    /// The machine.
    pub slug: &'a str,
    /// The revision that is being edited.
    pub revision: u32,
    /// Name of the fold, to come back to.
    pub fold: &'a str,
    /// What was typed before, where it was refused.
    pub typed: &'a Typed,
    /// What is wrong.
    pub wrong: &'a Wrong,
    /// Names of the cylinders, for readings of one of them.
    pub cylinders: &'a [String],
}

impl Form<'_> {
    /// The form with these parts, and some more folded away under a heading.
    pub fn with<'p>(&self, parts: impl IntoIterator<Item = &'p Part>, folded: Option<(&str, Vec<&'p Part>)>) -> Markup {
        let refused = |part: &&Part| part.fields.iter().any(|f| self.wrong.contains_key(&f.path));
        html! {
            form method="post" action={ "/machine/" (self.slug) "/readings" } {
                input type="hidden" name="began_at" value=(self.revision);
                input type="hidden" name="fold" value=(self.fold);
                @for part in parts { (self.part(part)) }
                @if let Some((heading, parts)) = folded {
                    details open[parts.iter().any(refused)] {
                        summary.button.plain { (heading) }
                        @for part in parts { (self.part(part)) }
                    }
                }
                div.keep {
                    button { (page::KEEP_READINGS) }
                    " " span.soft { (page::OLDER_STAY) }
                }
            }
        }
    }

    fn part(&self, part: &Part) -> Markup {
        let further = part.row && !part.there;
        html! {
            fieldset.part {
                legend id=[further.then(|| further_id(&part.path))] {
                    @if further { (page::further(&part.label)) } @else { (part.label) @if !part.there { span.soft { (page::NOT_IN_FILE) } } }
                }
                div.fields { @for entry in &part.fields { (self.field(entry)) } }
                @if part.row && part.there {
                    label.away { input type="checkbox" name="away" value=(part.path); " " (page::TAKE_AWAY) }
                }
            }
        }
    }

    fn field(&self, entry: &Entry) -> Markup {
        let path = &entry.path;
        let id = format!("field-{}", path.replace(['.', '[', ']'], "-"));
        let errors = self.wrong.get(path).map_or(&[][..], Vec::as_slice);
        let typed = self.typed.get(path);
        let value = typed.map_or(entry.written.as_str(), |(value, _)| value);
        let hint = hint(entry);
        let hint_id = format!("{id}-hint");
        let error_id = format!("{id}-error");
        let described = if errors.is_empty() { hint_id.clone() } else { format!("{error_id} {hint_id}") };
        let invalid = (!errors.is_empty()).then_some("true");
        html! {
            div.field.wrong[!errors.is_empty()] {
                label for=(id) { (entry.field.label) }
                div.pair {
                    @match &entry.field.kind {
                        Kind::Choice(choices) => {
                            select id=(id) name={ "v." (path) } aria-describedby=(described) aria-invalid=[invalid] {
                                (options(choices.iter().copied(), value))
                            }
                        }
                        Kind::Cylinder => {
                            select id=(id) name={ "v." (path) } aria-describedby=(described) aria-invalid=[invalid] {
                                (options(self.cylinders.iter().map(String::as_str), value))
                            }
                        }
                        Kind::Flag => {
                            select id=(id) name={ "v." (path) } aria-describedby=(described) aria-invalid=[invalid] {
                                option value="" selected[value.is_empty()] { (page::NOT_NOTED) }
                                option value="true" selected[value == "true"] { (page::YES) }
                                option value="false" selected[value == "false"] { (page::NO) }
                            }
                        }
                        _ => {
                            input id=(id) name={ "v." (path) } value=(value) autocomplete="off" spellcheck="false"
                                placeholder=(placeholder(entry)) aria-describedby=(described) aria-invalid=[invalid];
                        }
                    }
                    @if matches!(entry.field.kind, Kind::Reading { .. }) {
                        input name={ "o." (path) } value=(typed.map_or_else(|| super::super::edit::origin_as_typed(&entry.origin), |(_, o)| o.clone()))
                            placeholder=(page::MEASURED_WITH) list="origins" autocomplete="off" spellcheck="false"
                            aria-label=(page::origin_of(entry.field.label));
                    }
                }
                @if !errors.is_empty() { span.error id=(error_id) { @for e in errors { (e) " " } } }
                span.hint id=(hint_id) { (hint) }
            }
        }
    }
}

/// Where the fields of a list's next row stand on the page: `further-strobe` for `strobe[3]`.
fn further_id(path: &str) -> String {
    format!("further-{}", path.split('[').next().unwrap_or(path).replace('.', "-"))
}

/// Names of the cylinders, or their numbers where they have none.
pub fn cylinders(parts: &[Part]) -> Vec<String> {
    let of = parts.iter().filter(|p| p.path.starts_with("engine.cylinder["));
    let name = |p: &Part| p.fields.iter().find(|f| f.path.ends_with("].name")).map(|f| f.written.clone());
    of.enumerate().map(|(n, p)| name(p).filter(|n| !n.is_empty()).unwrap_or_else(|| (n + 1).to_string())).collect()
}

/// Origins that the file has words for; an instrument's name is typed.
pub fn origins() -> Markup {
    html! { datalist #origins { option value="maker" {} option value="estimate" {} } }
}

fn options<'c>(choices: impl Iterator<Item = &'c str>, value: &str) -> Markup {
    let mut known = value.is_empty();
    html! {
        option value="" selected[value.is_empty()] { (page::NOT_NOTED) }
        @for choice in choices {
            @if choice == value { ({ known = true; "" }) }
            option selected[choice == value] { (choice) }
        }
        @if !known { option selected { (value) } }
    }
}

fn placeholder(entry: &Entry) -> &'static str {
    match entry.field.need {
        Need::Required => page::NEEDED,
        Need::Default { written, .. } => written,
        Need::Optional => "",
    }
}

/// Limits, and what stands in where nothing is noted.
fn hint(entry: &Entry) -> String {
    let limits = match &entry.field.kind {
        Kind::Reading { range, .. } => words::range(range),
        Kind::Count { least, most } => page::from_to(*least, *most),
        _ => String::new(),
    };
    match entry.field.need {
        Need::Default { written, .. } if entry.written.is_empty() => page::stands_in(&limits, written),
        _ => limits,
    }
}
