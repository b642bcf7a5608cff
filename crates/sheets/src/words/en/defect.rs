//! What is wrong with a machine file, where, and what to do.

use super::reading::{dimension, reading_error, short};
use crate::words::{degrees, mm, number, rpm};
use quantity::Unit;
use workshop::machine::limits::{Field, Kind, Range};
use workshop::machine::{Defect, DefectKind, Flaw, Inconsistency, Wanted, place};

/// Characters of a source line that are shown.
const LINE_SHOWN: usize = 96;

/// A defect with its place: file, line and column, the source line with the place marked, what is wrong, what to do.
///
/// ```
/// let text = "engine = 3";
/// let defects = workshop::machine::read(text).unwrap_err();
/// let shown = sheets::words::defect(&defects[0], "bike.toml", text);
/// assert!(shown.starts_with("bike.toml, line 1, column"));
/// ```
pub fn defect(defect: &Defect, file: &str, text: &str) -> String {
    let what = defect_sentence(defect);
    if matches!(defect.kind, DefectKind::Document(Flaw::TooLarge { .. }) | DefectKind::NotText) {
        return format!("{file}: {what}");
    }
    let at = place(text, defect.span.start);
    let mut out = format!("{file}, line {}, column {}: {what}", at.line, at.column);
    let line = text.lines().nth(at.line - 1).unwrap_or("").trim_start_matches('\u{feff}');
    if !line.trim().is_empty() {
        let width = text.get(defect.span.clone()).map_or(1, |s| s.lines().next().unwrap_or("").chars().count()).max(1);
        out.push('\n');
        out.push_str(&excerpt(line, at.line, at.column, width));
    }
    out
}

/// The source line with carets under the place. A long line is cut to the part around the place.
fn excerpt(line: &str, number: usize, column: usize, width: usize) -> String {
    let from = column.saturating_sub(1 + LINE_SHOWN / 2);
    let from = if line.chars().count() <= LINE_SHOWN { 0 } else { from };
    let shown: String = line.chars().skip(from).take(LINE_SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let gutter = number.to_string();
    let before = column - 1 - from.min(column - 1);
    let carets = "^".repeat(width.min(LINE_SHOWN.saturating_sub(before)).max(1));
    format!("  {gutter} | {}\n  {} | {}{carets}", shown.trim_end(), " ".repeat(gutter.len()), " ".repeat(before))
}

/// What can be wrong with any document, without the place.
pub(in crate::words::en) fn flaw(flaw: &Flaw, path: &str) -> String {
    match flaw {
        Flaw::TooLarge { bytes, most } => {
            format!("the file has {bytes} bytes, at most {most} are read. This is probably another file.")
        }
        Flaw::Syntax { message } => {
            format!("this is not valid TOML: {}.", message.trim().trim_end_matches('.').replace('\n', "; "))
        }
        Flaw::NewerVersion { found, known } => {
            format!("the file is of version {found}, this program reads up to {known}. Use a newer Tickover.")
        }
        Flaw::UnknownKey { did_you_mean: Some(near), .. } => format!("{path} means nothing here. Did you mean “{near}”?"),
        Flaw::UnknownKey { did_you_mean: None, known } => {
            format!("{path} means nothing here. Known here: {}.", known.join(", "))
        }
        Flaw::More { left_out } => {
            format!("and {left_out} more. Put these right first, and make sure that this is the right file.")
        }
    }
}

/// What is wrong and what to do, without the place.
pub fn defect_sentence(defect: &Defect) -> String {
    let path = if defect.path.is_empty() { "the file" } else { defect.path.as_str() };
    match &defect.kind {
        DefectKind::Document(flaw) => self::flaw(flaw, path),
        DefectKind::NotText => "this is not text in UTF-8. Save it as UTF-8, or choose the right file.".to_owned(),
        DefectKind::MissingField { field } => format!("{path} is missing: {}. {}", small(field.label), wanted_field(field)),
        DefectKind::MissingSection { key } => format!("the part [{key}] is missing."),
        DefectKind::WrongType { wanted, found } => format!("{path} must be {}, not {found}.", wanted_words(*wanted)),
        DefectKind::UnknownChoice { found, did_you_mean, known } => match did_you_mean {
            Some(near) => {
                format!("“{}” is not known for {path}. Did you mean “{near}”? Possible: {}.", short(found), known.join(", "))
            }
            None => format!("“{}” is not known for {path}. Possible: {}.", short(found), known.join(", ")),
        },
        DefectKind::BadReading { error, field } => {
            format!("{path} ({}) cannot be read. {}", small(field.label), reading_error(error))
        }
        DefectKind::OutOfRange { value, field } => {
            let travel = matches!(value.unit, Unit::MillimetreBtdc | Unit::InchBtdc);
            let limits = limits_of(field, travel).map_or_else(String::new, |r| {
                format!(" It must lie from {} to {}", with_unit(r.least, r.unit), with_unit(r.most, r.unit))
            });
            let why = if field.why.is_empty() { String::new() } else { format!(" ({})", field.why) };
            format!(
                "{path} is {value}: outside what is possible for {}.{limits}{why}. Check the number and its unit.",
                small(field.label)
            )
        }
        DefectKind::CountOutOfRange { value, field } => {
            let limits = if let Kind::Count { least, most } = field.kind {
                format!(" It must lie from {least} to {most}.")
            } else {
                String::new()
            };
            format!("{path} is {value}.{limits}")
        }
        DefectKind::Inconsistent(what) => inconsistency(what, path),
    }
}

/// Limits of a field in a few words: "20 mm to 150 mm".
pub fn range(r: &Range) -> String {
    format!("{} to {}", with_unit(r.least, r.unit), with_unit(r.most, r.unit))
}

fn limits_of(field: &Field, travel: bool) -> Option<Range> {
    match field.kind {
        Kind::Reading { range, travel: Some(t), .. } => Some(if travel { t } else { range }),
        Kind::Reading { range, travel: None, .. } => Some(range),
        _ => None,
    }
}

fn with_unit(value: f64, unit: Unit) -> String {
    let decimals = if value.fract() == 0.0 { 0 } else { 3 };
    let figure = number(value, decimals);
    let figure = if figure.contains('.') { figure.trim_end_matches('0').trim_end_matches('.').to_owned() } else { figure };
    let symbol = unit.symbol();
    if symbol.is_empty() || symbol.starts_with('°') { format!("{figure}{symbol}") } else { format!("{figure} {symbol}") }
}

fn wanted_field(field: &Field) -> String {
    match field.kind {
        Kind::Reading { dimension: d, range, .. } => {
            format!(
                "Give {} from {} to {}, in quotes, with its unit and ±.",
                dimension(d),
                with_unit(range.least, range.unit),
                with_unit(range.most, range.unit)
            )
        }
        Kind::Choice(words) => format!("Give one of: {}.", words.join(", ")),
        Kind::Count { least, most } => format!("Give a whole number from {least} to {most}."),
        Kind::Text => "Give it in quotes.".to_owned(),
        Kind::Flag => "Give true or false.".to_owned(),
        Kind::Cylinder => "Give a cylinder's name or its number.".to_owned(),
        Kind::Cylinders => "Give the names or numbers of its cylinders.".to_owned(),
    }
}

fn wanted_words(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Reading => "a reading in quotes, such as \"33.2 ± 0.3 mm\"",
        Wanted::Text => "text in quotes",
        Wanted::Count => "a whole number",
        Wanted::Flag => "true or false",
        Wanted::Table => "a part of the file with its own keys",
        Wanted::Tables => "a list of parts, each under double brackets",
        Wanted::Cylinders => "a cylinder's name or number, or a list of them",
    }
}

fn inconsistency(what: &Inconsistency, path: &str) -> String {
    match what {
        Inconsistency::TwoSources => format!("{path} says both with what it was measured and where else it is from. Keep one."),
        Inconsistency::ThreeStrokes => format!("{path}: an engine has two strokes or four."),
        Inconsistency::ChordExceedsRim { chord_m, diameter_m } => {
            format!(
                "the segment measures {} straight across, more than the rim's diameter of {}. Is it the length along the rim?",
                mm(*chord_m),
                mm(*diameter_m)
            )
        }
        Inconsistency::SegmentExceedsRim { arc_m, circumference_m } => {
            format!("the segment is {} long, more than once round the rim ({}).", mm(*arc_m), mm(*circumference_m))
        }
        Inconsistency::ArcOrChord => {
            "give the segment either along the rim (arc) or straight across (chord): one of the two.".to_owned()
        }
        Inconsistency::TrailingEdgeTooLate { least_advance_rad, limit_rad } => format!(
            "with this lead and segment the trailing end would pass {} before top dead centre; no engine runs below {}. Check lead, segment, rim diameter and whether the rotor turns at crank or cam speed.",
            degrees(*least_advance_rad),
            degrees(*limit_rad)
        ),
        Inconsistency::TwoStrokeWithValves => {
            "a two-stroke has no valves or inlet of the four-stroke kind. Take this part out, or correct the strokes.".to_owned()
        }
        Inconsistency::ValveExceedsBore { valve_m, bore_m } => {
            format!("a valve of {} does not fit into a bore of {}.", mm(*valve_m), mm(*bore_m))
        }
        Inconsistency::ValveOpenFor { duration_rad } => format!(
            "with these angles the valve would be open for {}. Check before and after dead centre.",
            degrees(*duration_rad)
        ),
        Inconsistency::ThrottleExceedsBore { throttle_m, bore_m } => {
            format!("a throttle of {} is larger than the bore of {}.", mm(*throttle_m), mm(*bore_m))
        }
        Inconsistency::InletTooSmall { volume_m3, least_m3 } => format!(
            "{} cm³ between throttle and valve are too little to be computed beside this cylinder; at least {} cm³ are needed. Measure port and stub again, with a syringe.",
            number(volume_m3 * 1e6, 1),
            number(least_m3 * 1e6, 1)
        ),
        Inconsistency::RodTooShort { rod_m, least_m } => {
            format!("a rod of {} does not let this crank turn; it needs more than {} between centres.", mm(*rod_m), mm(*least_m))
        }
        Inconsistency::FiresOutsideCycle { cycle_rad } => format!("{path} lies outside the cycle of {}.", degrees(*cycle_rad)),
        Inconsistency::SameName => format!("{path}: two cylinders have this name. Give each its own."),
        Inconsistency::NoSuchCylinder { found, did_you_mean, known } => match did_you_mean {
            Some(near) => format!("there is no cylinder “{}”. Did you mean “{near}”?", short(found)),
            None => format!("there is no cylinder “{}”. There are: {}.", short(found), known.join(", ")),
        },
        Inconsistency::CylinderFiredBy { cylinder, pickups } => match pickups {
            0 => format!("no pickup fires cylinder “{}”. Add it to a pickup's “fires”.", short(cylinder)),
            n => format!("cylinder “{}” is fired by {n} pickups. Each cylinder has one.", short(cylinder)),
        },
        Inconsistency::SpeedNotBelow { speed_rad_s, other, other_rad_s } => {
            format!("{path} is {}; it must lie below {other}, which is {}.", rpm(*speed_rad_s), rpm(*other_rad_s))
        }
        Inconsistency::TravelExceedsStroke { travel_m, stroke_m } => {
            format!("{} of piston travel is more than the stroke of {}.", mm(*travel_m), mm(*stroke_m))
        }
        Inconsistency::LawNeedsTrigger => {
            "this law fires from the edges of a segment, and the file has no [trigger]. Add the rotor, or choose another law."
                .to_owned()
        }
        Inconsistency::TableNotRising => {
            "a table needs at least two points, and each speed must be higher than the one before.".to_owned()
        }
        Inconsistency::WeightsSwingPastShaft { open_rad } => format!(
            "open against their stops the weights would stand at {} from the line to the shaft; they must stay below 180°. Check rest angle, range and cam ratio.",
            degrees(*open_rad)
        ),
        Inconsistency::SecondSpringIncomplete => "the second spring needs both its rate and its gap.".to_owned(),
        // All that are left are the rotor's, the ignition's and the electrical ones.
        other => super::rotor::defect::sentence(other, path)
            .or_else(|| super::spark::defect::sentence(other, path))
            .or_else(|| super::electric::defect::sentence(other, path))
            .unwrap_or_default(),
    }
}

/// A label inside a sentence: its first letter small, unless it is an abbreviation.
fn small(label: &str) -> String {
    let mut chars = label.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            format!("{}{}", first.to_lowercase(), &label[first.len_utf8()..])
        }
        _ => label.to_owned(),
    }
}
