//! The match sheet and the drawing of both parts: words.

use workshop::study::part::Attribute;

/// Title.
pub const TITLE: &str = "Match sheet";
/// What a caution protects from.
pub const PROTECTS: &str = "Before anything of this kind is measured, made or tried.";
/// What the caution of an adaptation protects from.
pub const ADAPT_PROTECTS: &str = "Before this is done, and before it first runs.";
/// Before an adaptation.
pub const ADAPT: &str = "Adaptations, each after its caution";
/// Heads of the table of needs.
pub const NEEDS_HEAD: [&str; 4] = ["what", "serves", "rests on", "weighs"];
/// Heads of the side-by-side table.
pub const BESIDE_HEAD: [&str; 4] = ["what", "the job needs", "the part has", "so it"];
/// Heads of the shopping list.
pub const SHOPPING_HEAD: [&str; 4] = ["part", "asked", "most to pay", "measure before you pay"];
/// Heads of what is measured on the stall.
pub const STALL_HEAD: [&str; 3] = ["what, and how", "serves", "found"];
/// Under the line.
pub const FOUND: &[&str] = &["value and ±"];
/// Heading.
pub const STALL: &str = "To measure at the stall";
/// Title of the drawing.
pub const DRAWING: &str = "Both parts to scale";
/// The one that comes off.
pub const OLD: &str = "what the job needs";

/// What the drawing shows.
pub fn drawing(kind: &str, part: &str) -> String {
    format!("{kind}: what the job needs beside {part}, both to one scale, by the dimensions that are known.")
}

/// The scale, as technical drawings write it.
pub fn scale(reduced: u32) -> String {
    format!("1 : {reduced}")
}

/// A dimension in the drawing.
pub fn dimension(attribute: &Attribute, value: &str) -> String {
    format!("{}: {value}", attribute.name)
}

/// How it stands, in a word.
pub fn stands(chance: Option<f64>, asked: bool) -> String {
    match chance {
        _ if !asked => "—".to_owned(),
        None => "is not known".to_owned(),
        Some(c) if c >= workshop::study::part::FITS => "fits".to_owned(),
        Some(c) if c > workshop::study::part::OUT => format!("fits by {}", crate::words::percent(c)),
        Some(_) => "does not fit".to_owned(),
    }
}
