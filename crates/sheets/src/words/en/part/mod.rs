//! Substitute parts. Names, reasons and what to say when something does not fit stand in the data of the kinds.

mod defect;
pub mod fitted;
pub mod page;
pub mod paper;
pub mod share;

pub use defect::{defect, refused};

use super::fault::defect::meant;
use crate::words::{number, percent};
use physics::within::Allowed;
use quantity::{Reading, Source, Unit};
use workshop::study::part::{
    Asked, Attribute, Fair, Known, Line, Matched, Measure, Need, NeedFrom, Next, Part, Price, Ranked, Stand, Tier, Value,
    Verdict, Wanted,
};

/// Heading.
pub const KINDS: &str = "Kinds of part";
/// Heading.
pub const NEEDS: &str = "What the job needs";
/// Heading.
pub const LACKS: &str = "Not known of the job: measure it once, and it serves for every part";
/// Heading.
pub const PARTS: &str = "Parts, the best first";
/// Heading.
pub const PRICES: &str = "Prices";
/// Heads of the table of parts.
pub const PARTS_HEAD: [&str; 6] = ["part", "", "fits, of what is known", "not known", "price", "known"];
/// What holds for all of it.
pub const HOW: &str = "Tolerances, blockers and minutes are common practice, no source, unless you gave your own. A chance is that of lying within tolerance by both ±; it says nothing of what was not asked. The same label on two parts is no evidence. Keep the part that comes off.";
/// Nothing is on the shelf.
pub const NONE: &str = "No part of this kind is on the shelf.";

/// There is no such kind.
pub fn no_such_kind<'k>(found: &str, did_you_mean: Option<&str>, known: impl Iterator<Item = &'k str>) -> String {
    format!("there is no kind of part “{found}”.{} Kinds: {}.", meant(did_you_mean), known.collect::<Vec<_>>().join(", "))
}

/// There is no such set.
pub fn no_such_set<'k>(found: &str, did_you_mean: Option<&str>, known: impl Iterator<Item = &'k str>) -> String {
    format!("there is no set “{found}”.{} Sets: {}.", meant(did_you_mean), known.collect::<Vec<_>>().join(", "))
}

/// What could hurt while parts of this kind are measured or tried.
pub fn caution(kind: &str) -> Option<&'static str> {
    Some(match kind {
        "pickup" | "module" | "coil" | "cap" | "condenser" => {
            "An ignition can kill. Switch off, wait, and earth the plug’s lead before a lead is touched; a capacitor module keeps some hundred volts."
        }
        "rotor" => {
            "A rotor that bursts, or throws a magnet, kills. One from another machine is never spun or run before its speed, its magnets and its seat were proved."
        }
        "stator" | "regulator" => {
            "Take the battery’s earth lead off before charging leads are changed; an alternator without load gives volts that hurt."
        }
        _ => return None,
    })
}

/// A verdict in a word or two.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Match => "match",
        Verdict::Doubtful => "doubtful",
        Verdict::Unknown => "not known",
        Verdict::Out => "out of tolerance",
        Verdict::Blocked => "ruled out",
    }
}

/// How much an attribute weighs.
pub fn tier(tier: Tier) -> &'static str {
    match tier {
        Tier::Blocker => "rules out",
        Tier::Must => "must match",
        Tier::May => "may differ",
    }
}

/// How many there are of each, in a sentence.
pub fn summary(matched: &Matched<'_>) -> String {
    let count = |v: Verdict| matched.ranked.iter().filter(|r| r.verdict == v).count();
    if matched.ranked.is_empty() {
        return NONE.to_owned();
    }
    let said = [Verdict::Match, Verdict::Doubtful, Verdict::Unknown, Verdict::Out, Verdict::Blocked];
    let said: Vec<String> = said.into_iter().filter(|v| count(*v) > 0).map(|v| format!("{} {}", count(v), verdict(v))).collect();
    format!("Of this kind on the shelf: {} ({}).", matched.ranked.len(), said.join(", "))
}

/// The advice, in a sentence.
pub fn advice(matched: &Matched<'_>) -> String {
    let Some(first) = matched.ranked.first() else { return String::new() };
    let part = title(matched.part(first));
    match first.verdict {
        Verdict::Match => {
            let how = match matched.part(first).known {
                Known::Measured(_) => "All that is asked is known of it",
                Known::Quoted(_) => "All that is asked is quoted of it, so measure it before it is paid for",
            };
            format!("Best: {part}. {how}; within tolerance: {}.", percent(first.chance))
        }
        Verdict::Doubtful | Verdict::Unknown => match matched.next(first) {
            Some(next) => format!("No part is sure. Nearest: {part}. {}", next_step(matched, &next)),
            None => format!("No part is sure. Nearest: {part}; what is not known of the job comes first."),
        },
        Verdict::Out | Verdict::Blocked => "No part on this shelf fits.".to_owned(),
    }
}

/// Name of a part with what people call it and where it comes from.
pub fn title(part: &Part) -> String {
    let more = [part.name.as_deref(), part.donor.as_deref()].into_iter().flatten().collect::<Vec<_>>().join(", ");
    if more.is_empty() { part.id.clone() } else { format!("{} ({more})", part.id) }
}

/// How its values are known.
pub fn known(known: &Known) -> String {
    match known {
        Known::Measured(with) => format!("measured: {with}"),
        Known::Quoted(from) => format!("quoted: {from}"),
    }
}

/// How one value is known, where it says so of itself.
pub fn own_origin(part: &Part, attribute: usize) -> Option<String> {
    let (_, origin) = part.own.iter().find(|(a, _)| *a == attribute)?;
    Some(on_day(&known(&origin.known), origin.day.as_deref()))
}

/// How the values of a part are known, and the day.
pub fn origin(part: &Part) -> String {
    on_day(&known(&part.known), part.day.as_deref())
}

/// Its photos, by the names of their files.
pub fn photos(part: &Part) -> Option<String> {
    match &part.photos[..] {
        [] => None,
        [one] => Some(format!("Photo: {one}")),
        all => Some(format!("Photos: {}", all.join(", "))),
    }
}

fn on_day(said: &str, day: Option<&str>) -> String {
    day.map_or_else(|| said.to_owned(), |day| format!("{said}, {day}"))
}

/// A row of the table of parts.
pub fn row(matched: &Matched<'_>, ranked: &Ranked) -> Vec<String> {
    let part = matched.part(ranked);
    let price = part.price.as_ref().map_or_else(String::new, |p| {
        format!("{}{}", money(p.amount, &p.currency), if matched.dear(ranked).is_some() { " dear" } else { "" })
    });
    let how = match part.known {
        Known::Measured(_) => "measured",
        Known::Quoted(_) => "quoted",
    };
    vec![
        part.id.clone(),
        verdict(ranked.verdict).to_owned(),
        percent(ranked.chance),
        ranked.unknown.to_string(),
        price,
        how.to_owned(),
    ]
}

pub(crate) fn money(amount: f64, currency: &str) -> String {
    format!("{}\u{a0}{currency}", number(amount, 2))
}

/// Figures of a limit that is told, of a number with so many digits before the point: three decimals could be taken for thousands.
fn figures(digits: i32) -> i32 {
    if digits == 1 { 3 } else { 4 }
}

/// From one number to another, both to as many decimals as either needs for the figures of the larger; the unit once.
pub(crate) fn span(least: f64, most: f64, unit: Unit) -> String {
    let ends = [least, most].map(|si| unit.from_si(si));
    let larger = ends[0].abs().max(ends[1].abs());
    let digits = if larger > 0.0 { larger.log10().floor() as i32 + 1 } else { 1 };
    let places = usize::try_from(figures(digits) - digits).unwrap_or(0);
    let needed = |x: f64| {
        let text = format!("{x:.places$}");
        text.split_once('.').map_or(0, |(_, decimals)| decimals.trim_end_matches('0').len())
    };
    // Three decimals could be taken for thousands.
    let places = match needed(ends[0]).max(needed(ends[1])) {
        3 => 4,
        places => places,
    };
    let [least, most] = ends.map(|x| number(x, places));
    let one = Reading { si: unit.to_si(1.0), plus_minus_si: 0.0, unit, source: Source::NotStated }.to_string();
    format!("{least} to {most}{}", one.trim_start_matches('1').replace(' ', "\u{a0}"))
}

/// A number to the figures of a limit, with its unit.
pub(crate) fn plain(si: f64, unit: Unit) -> String {
    let written = unit.from_si(si);
    let digits = if written == 0.0 { 1 } else { written.abs().log10().floor() as i32 + 1 };
    let step = 10f64.powi(digits - figures(digits));
    let rounded = unit.to_si((written / step).round() * step);
    Reading { si: rounded, plus_minus_si: 0.0, unit, source: Source::NotStated }.to_string().replace(' ', "\u{a0}")
}

/// What serves, in words.
pub fn serves(asked: &Asked, attribute: &Attribute, need: &Need, a: usize) -> String {
    let reading = match need.of[a].as_ref().map(|n| &n.what) {
        Some(Wanted::Number { reading, .. }) => Some(reading),
        _ => None,
    };
    match (asked, &attribute.measure) {
        (Asked::Free, _) => "anything".to_owned(),
        (Asked::Words(wanted), Measure::Words(words)) => {
            wanted.iter().map(|w| words[*w].as_str()).collect::<Vec<_>>().join(" or ")
        }
        (Asked::Within(allowed, (n, _)), Measure::Number(dimension, _)) => {
            let unit = reading.map_or(dimension.units()[0], |r| r.unit);
            let (least, most) = match *allowed {
                Allowed::Share { least, most } => (if least > 0.0 { least * n } else { f64::NEG_INFINITY }, most * n),
                Allowed::Off { below, above } => (n - below, n + above),
                Allowed::Range { least, most } => (least, most),
            };
            match (least.is_finite(), most.is_finite()) {
                (true, true) if least == most => plain(least, unit),
                (true, true) => span(least, most, unit),
                (true, false) => format!("at least {}", plain(least, unit)),
                (false, true) => format!("at most {}", plain(most, unit)),
                (false, false) => "anything".to_owned(),
            }
        }
        _ => "not known".to_owned(),
    }
}

/// A need: name, what serves, what it rests on.
pub fn need_row(matched: &Matched<'_>, a: usize) -> Vec<String> {
    let attribute = &matched.kind.attributes[a];
    let from = match matched.need.of[a].as_ref() {
        Some(needed) => {
            let read = match &needed.what {
                Wanted::Number { reading, usual } => {
                    format!(
                        "{}{}, ",
                        reading.to_string().replace(' ', "\u{a0}"),
                        if *usual && reading.plus_minus_si > 0.0 { " (usual ±)" } else { "" }
                    )
                }
                _ => String::new(),
            };
            format!("{read}{}", need_from(&needed.from))
        }
        None if matches!(matched.asked[a], Asked::Within(..)) => need_from(&NeedFrom::Trade),
        None => String::new(),
    };
    vec![attribute.name.clone(), serves(&matched.asked[a], attribute, matched.need, a), from]
}

/// Where a need comes from.
pub fn need_from(from: &NeedFrom) -> String {
    match from {
        NeedFrom::File => "your needs".to_owned(),
        NeedFrom::FileOver(path) => format!("your needs, in place of {path}"),
        NeedFrom::Machine(path) => (*path).to_owned(),
        NeedFrom::Trade => "the trade".to_owned(),
        NeedFrom::Set => "the other part of the set".to_owned(),
    }
}

/// What a part has.
pub fn has(part: &Part, attribute: &Attribute, a: usize) -> String {
    let said = match (&part.values[a], &attribute.measure) {
        (Some(Value::Number { reading, usual }), _) => {
            format!(
                "{}{}",
                reading.to_string().replace(' ', "\u{a0}"),
                if *usual && reading.plus_minus_si > 0.0 { " (usual ±)" } else { "" }
            )
        }
        (Some(Value::Word(word)), Measure::Words(words)) => words[*word].clone(),
        _ => "not measured".to_owned(),
    };
    own_origin(part, a).map_or_else(|| said.clone(), |origin| format!("{said} ({origin})"))
}

/// One attribute of a part, in a line; `None` where it is not asked.
pub fn line(matched: &Matched<'_>, ranked: &Ranked, a: usize, stand: Stand) -> Option<String> {
    let attribute = &matched.kind.attributes[a];
    let part = matched.part(ranked);
    let has = has(part, attribute, a);
    let serves = serves(&matched.asked[a], attribute, matched.need, a);
    Some(match stand {
        Stand::NotAsked => return None,
        Stand::Chance(c) if c >= workshop::study::part::FITS => format!("fits: {} {has} (serves: {serves})", attribute.name),
        Stand::Chance(c) if c > workshop::study::part::OUT => {
            format!("open: {} {has} (serves: {serves}); within it by {}", attribute.name, percent(c))
        }
        Stand::Chance(_) => {
            let how = match attribute.tier {
                Tier::Blocker => "ruled out",
                Tier::Must => "does not fit",
                Tier::May => "differs",
            };
            format!("{how}: {} {has} (serves: {serves}). {}", attribute.name, attribute.if_not)
        }
        Stand::Unknown { .. } if attribute.tier == Tier::May => return None,
        Stand::Unknown { of_part: true, of_need: true } => format!("not known: {}, of the part and of the job", attribute.name),
        Stand::Unknown { of_part: true, .. } => format!("not known: {} of the part (serves: {serves})", attribute.name),
        Stand::Unknown { .. } => format!("not known: {} of the job (the part: {has})", attribute.name),
    })
}

/// One attribute beside the need: what, what serves, what the part has, how it stands.
pub fn beside_row(matched: &Matched<'_>, ranked: &Ranked, line: &Line) -> Vec<String> {
    let attribute = &matched.kind.attributes[line.attribute];
    let (chance, asked) = match line.stand {
        Stand::NotAsked => (None, false),
        Stand::Chance(c) => (Some(c), true),
        Stand::Unknown { .. } => (None, true),
    };
    vec![
        attribute.name.clone(),
        serves(&matched.asked[line.attribute], attribute, matched.need, line.attribute),
        has(matched.part(ranked), attribute, line.attribute),
        paper::stands(chance, asked),
    ]
}

/// What to measure next, and how.
pub fn next_step(matched: &Matched<'_>, next: &Next) -> String {
    let attribute = &matched.kind.attributes[next.attribute];
    let what = if next.closer { "Measure closer" } else { "Measure next" };
    format!(
        "{what}: {}, {}\u{a0}min: {} Most doubt cleared for a minute ({} bit). {}",
        attribute.name,
        number(next.minutes, 0),
        attribute.how,
        number(next.bits, 2),
        attribute.why
    )
}

/// Something of the job that is not known, and how it is measured.
pub fn lack(attribute: &Attribute) -> String {
    format!(
        "{} ({}, {}\u{a0}min): {} {}",
        attribute.name,
        tier(attribute.tier),
        number(attribute.minutes, 0),
        attribute.how,
        attribute.why
    )
}

/// What is asked in one currency.
pub fn fair(fair: &Fair) -> String {
    let days = if fair.from == fair.to { format!("on {}", fair.from) } else { format!("from {} to {}", fair.from, fair.to) };
    match (fair.middle, fair.dear_above()) {
        (Some(m), Some(dear)) => format!(
            "Asked for what nothing is known against, {days}: median {}, spread {}, {} prices. Above {} it is dear: three spreads over the median, a quarter at least.",
            money(m.median, &fair.currency),
            money(m.spread, &fair.currency),
            fair.count,
            money(dear, &fair.currency)
        ),
        _ => format!(
            "{} in {}, {days}: too few to say what is dear; five are wanted.",
            if fair.count == 1 { "1 price".to_owned() } else { format!("{} prices", fair.count) },
            fair.currency
        ),
    }
}

/// The price of a part, and why it is dear.
pub fn price(price: &Price, dear: Option<&Fair>) -> String {
    let asked = format!("{}, asked on {}, {}", money(price.amount, &price.currency), price.day, price.place);
    match dear.and_then(|f| f.middle) {
        Some(m) => format!(
            "Dear: {asked}. The median for the same function is {}; this is {} times that.",
            money(m.median, &price.currency),
            number(price.amount / m.median, 1)
        ),
        None => format!("Price: {asked}."),
    }
}

/// A kind in a line: its name for the command line, its name, what is asked of it.
pub fn kind_row(kind: &workshop::study::part::Kind) -> String {
    let of = |t: Tier| kind.attributes.iter().filter(|a| a.tier == t).map(|a| a.id.as_str()).collect::<Vec<_>>().join(", ");
    let all = [Tier::Blocker, Tier::Must, Tier::May].into_iter().filter(|t| !of(*t).is_empty());
    let said: Vec<String> = all.map(|t| format!("{}: {}", tier(t), of(t))).collect();
    format!("{}  {}{}. {}", kind.id, kind.name, if kind.own { " (your own)" } else { "" }, said.join("; "))
}
