//! Substitute parts, as JSON.

use serde::Serialize;
use sheets::words::part as words;
use workshop::study::part::{self, FITS, Known, NeedFrom, OUT, Ranked, Stand, Tier, Verdict};

/// A shelf beside a need.
#[derive(Debug, Serialize)]
pub struct Matched {
    kind: String,
    numbers_source: String,
    needs: Vec<Need>,
    not_known_of_the_job: Vec<String>,
    on_the_shelf: usize,
    parts: Vec<Part>,
    prices: Vec<Prices>,
}

#[derive(Debug, Serialize)]
struct Need {
    attribute: String,
    tier: &'static str,
    serves: String,
    from: Option<String>,
}

#[derive(Debug, Serialize)]
struct Part {
    part: String,
    name: Option<String>,
    donor: Option<String>,
    measured: Option<String>,
    quoted: Option<String>,
    verdict: &'static str,
    fits_share: f64,
    standing_share: f64,
    not_known: usize,
    attributes: Vec<Attribute>,
    next: Option<Next>,
    price: Option<Price>,
    note: Option<String>,
}

#[derive(Debug, Serialize)]
struct Attribute {
    attribute: String,
    stands: &'static str,
    fits_share: Option<f64>,
    has: Option<String>,
    because: Option<String>,
}

#[derive(Debug, Serialize)]
struct Next {
    attribute: String,
    closer: bool,
    minutes: f64,
    bits: f64,
    how: String,
}

#[derive(Debug, Serialize)]
struct Price {
    amount: f64,
    currency: String,
    day: String,
    place: String,
    dear: bool,
}

#[derive(Debug, Serialize)]
struct Prices {
    currency: String,
    count: usize,
    from: String,
    to: String,
    median: Option<f64>,
    spread: Option<f64>,
    dear_above: Option<f64>,
}

fn tier(tier: Tier) -> &'static str {
    match tier {
        Tier::Blocker => "blocker",
        Tier::Must => "must_match",
        Tier::May => "may_differ",
    }
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Match => "match",
        Verdict::Doubtful => "doubtful",
        Verdict::Unknown => "unknown",
        Verdict::Out => "out",
        Verdict::Blocked => "blocked",
    }
}

/// The best `most` of them one by one.
pub fn matched(kinds: &part::Kinds, found: &part::Matched<'_>, most: usize) -> Matched {
    let attributes = &found.kind.attributes;
    let need = |(a, attribute): (usize, &part::Attribute)| Need {
        attribute: attribute.id.clone(),
        tier: tier(attribute.tier),
        serves: words::serves(&found.asked[a], attribute, found.need, a).replace('\u{a0}', " "),
        from: found.need.of[a].as_ref().map(|n| match &n.from {
            NeedFrom::Machine(path) => (*path).to_owned(),
            NeedFrom::File | NeedFrom::FileOver(_) => "need".to_owned(),
            NeedFrom::Trade => "trade".to_owned(),
        }),
    };
    Matched {
        kind: found.kind.id.clone(),
        numbers_source: kinds.numbers_source.clone(),
        needs: attributes.iter().enumerate().map(need).collect(),
        not_known_of_the_job: found.need_lacks().iter().map(|a| attributes[*a].id.clone()).collect(),
        on_the_shelf: found.ranked.len(),
        parts: found.ranked.iter().take(most).map(|r| of_part(found, r)).collect(),
        prices: found.fair.iter().map(prices).collect(),
    }
}

fn of_part(found: &part::Matched<'_>, ranked: &Ranked) -> Part {
    let part = found.part(ranked);
    let (measured, quoted) = match &part.known {
        Known::Measured(with) => (Some(with.clone()), None),
        Known::Quoted(from) => (None, Some(from.clone())),
    };
    let attribute = |line: part::Line| {
        let attribute = &found.kind.attributes[line.attribute];
        let (stands, fits_share) = match line.stand {
            Stand::NotAsked => ("not_asked", None),
            Stand::Chance(c) if c >= FITS => ("fits", Some(c)),
            Stand::Chance(c) if c > OUT => ("open", Some(c)),
            Stand::Chance(c) => ("does_not_fit", Some(c)),
            Stand::Unknown { of_part: true, of_need: true } => ("unknown_of_both", None),
            Stand::Unknown { of_part: true, .. } => ("unknown_of_part", None),
            Stand::Unknown { .. } => ("unknown_of_job", None),
        };
        Attribute {
            attribute: attribute.id.clone(),
            stands,
            fits_share,
            has: part.values[line.attribute].as_ref().map(|_| words::has(part, attribute, line.attribute).replace('\u{a0}', " ")),
            because: (stands == "does_not_fit").then(|| attribute.if_not.clone()),
        }
    };
    Part {
        part: part.id.clone(),
        name: part.name.clone(),
        donor: part.donor.clone(),
        measured,
        quoted,
        verdict: verdict(ranked.verdict),
        fits_share: ranked.chance,
        standing_share: ranked.standing,
        not_known: ranked.unknown,
        attributes: found.lines(ranked).into_iter().map(attribute).collect(),
        next: found.next(ranked).map(|n| {
            let attribute = &found.kind.attributes[n.attribute];
            Next {
                attribute: attribute.id.clone(),
                closer: n.closer,
                minutes: n.minutes,
                bits: n.bits,
                how: attribute.how.clone(),
            }
        }),
        price: part.price.as_ref().map(|p| Price {
            amount: p.amount,
            currency: p.currency.clone(),
            day: p.day.clone(),
            place: p.place.clone(),
            dear: found.dear(ranked).is_some(),
        }),
        note: part.note.clone(),
    }
}

fn prices(fair: &part::Fair) -> Prices {
    Prices {
        currency: fair.currency.clone(),
        count: fair.count,
        from: fair.from.clone(),
        to: fair.to.clone(),
        median: fair.middle.map(|m| m.median),
        spread: fair.middle.map(|m| m.spread),
        dear_above: fair.dear_above(),
    }
}
