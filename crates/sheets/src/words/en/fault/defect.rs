//! What is wrong with a file of fault data, where, and what to do.

use crate::words::{en::defect::flaw, number};
use workshop::{
    document::Flaw,
    machine::place,
    study::fault::{Defect, DefectKind, Limit, Wanted, What, WhyLimited},
};

/// A defect with its place.
///
/// ```
/// let text = "job = 3";
/// let defects = workshop::study::fault::base().with_own(text).unwrap_err();
/// assert!(sheets::words::fault::defect(&defects[0], "own.toml", text).starts_with("own.toml, line 1, column 7: job"));
/// let text = "[[hit]]\ntest = \"fuel-flow\"\ncause = \"air-leak\"\np = 0,15\n";
/// let defects = workshop::study::fault::base().with_own(text).unwrap_err();
/// assert!(sheets::words::fault::defect(&defects[0], "own.toml", text).ends_with("with a decimal point: 0.15."));
/// ```
pub fn defect(defect: &Defect, file: &str, text: &str) -> String {
    let at = place(text, defect.span.start);
    let path = if defect.path.is_empty() { "the file" } else { &defect.path };
    let comma = matches!(defect.kind, DefectKind::Document(Flaw::Syntax { .. })) && has_comma(text.lines().nth(at.line - 1));
    let hint = if comma { DECIMAL_POINT } else { "" };
    format!("{file}, line {}, column {}: {}{hint}", at.line, at.column, sentence(&defect.kind, path))
}

/// After what is wrong with a line.
const DECIMAL_POINT: &str = " Numbers stand here with a decimal point: 0.15.";

/// Whether a comma stands between digits.
fn has_comma(line: Option<&str>) -> bool {
    line.is_some_and(|l| l.as_bytes().windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit()))
}

fn thing(what: What) -> &'static str {
    match what {
        What::Cause => "cause",
        What::Complaint => "complaint",
        What::Test => "test",
        What::Job => "job",
    }
}

fn wanted(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Text => "text in quotes",
        Wanted::Texts => "a list of texts",
        Wanted::Number => "a number without quotes, with a decimal point",
        Wanted::Count => "a whole number without quotes",
        Wanted::Counts => "a list of whole numbers",
        Wanted::Flag => "true or false",
        Wanted::Table => "a table",
        Wanted::Tables => "a list of tables",
    }
}

fn why(limit: &Limit) -> &'static str {
    match limit.why {
        WhyLimited::NeverSure => "no test is sure, and no cause is ever cut off",
        WhyLimited::OfHundred => "it is a share of a hundred",
        WhyLimited::WithinADay => "a single step takes no longer",
        WhyLimited::Cylinders => "no engine has others",
        WhyLimited::Jobs => "no workshop counts more",
        WhyLimited::Tolerance => "no tolerance is wider",
    }
}

/// What was probably meant.
pub(in crate::words::en) fn meant(name: Option<&str>) -> String {
    name.map_or_else(String::new, |name| format!(" Did you mean “{name}”?"))
}

/// A defect without its place.
pub(in crate::words::en) fn sentence(kind: &DefectKind, path: &str) -> String {
    match kind {
        DefectKind::Document(found) => flaw(found, path),
        DefectKind::MissingKey { key } => format!("{path} is missing. Write {key} = …"),
        DefectKind::WrongType { wanted: w, found } => format!("{path} is a TOML {found}, and should be {}.", wanted(*w)),
        DefectKind::Empty => format!("{path} is empty. Write it, or take the line out."),
        DefectKind::BadName { found } => format!("“{found}” is no name. Use small letters, digits and hyphens."),
        DefectKind::OutOfRange { value, limit } => {
            format!("{path} is {value}. It lies between {} and {}, for {}.", plain(limit.least), plain(limit.most), why(limit))
        }
        DefectKind::UnknownWord { found, did_you_mean, known } => {
            format!("“{found}” is none of the words for {path}.{} Words: {}.", meant(*did_you_mean), known.join(", "))
        }
        DefectKind::NoSuch { what, found, did_you_mean } => {
            format!("there is no {} “{found}” here.{}", thing(*what), meant(did_you_mean.as_deref()))
        }
        DefectKind::Twice { what, name } => format!("the {} “{name}” stands here a second time. Take one out.", thing(*what)),
        DefectKind::NotHundred { sum } => {
            format!("the weights with what is left over come to {}, not to 100. Change one or “other”.", number(*sum, 1))
        }
        DefectKind::NothingShows { name } => {
            format!("no test shows the cause “{name}”. Add it to the hits of a test, or a [[hit]].")
        }
        DefectKind::TellsNothing { chance, none } => format!(
            "{path} is {chance}, no more than the {none} with none of the test’s causes. A cause that its test does not show is left out."
        ),
        DefectKind::AfterItself { name } => format!("the test “{name}” comes after itself, by way of others. Break the ring."),
        DefectKind::AgainLonger { first, again } => {
            format!("once more takes {again} minutes, the first time {first}. The first time includes setting up.")
        }
        DefectKind::BarsItself { name } => {
            format!("the test “{name}” would lift a bar that bars it. Choose one with the engine still.")
        }
        DefectKind::NotOneJob { count } => {
            format!("{path} is {count}, and a row with a number is one job. Take the count out, or the number.")
        }
        DefectKind::InBase { what, name } => {
            format!(
                "the base has the {} “{name}”, and a file of your own does not write over it. Count your jobs beside it, or choose another name.",
                thing(*what)
            )
        }
    }
}

fn plain(x: f64) -> String {
    number(x, if x.fract() == 0.0 { 0 } else { 2 })
}
