//! Substitute parts, as JSON.

use serde::Serialize;
use sheets::words::part as words;
use sheets::{sheet::Fitted, words::part::fitted as effects};
use workshop::study::part::{
    self, Effect, FITS, Kinds, Known, Lacks, NeedFrom, OUT, Outcome, Ranked, Stand, Tier, Told, Verdict, Ways, What,
};

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
    shopping: Vec<Buy>,
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
    photos: Vec<String>,
    day: Option<String>,
    would_fit_with: Option<Offer>,
    in_the_machine: Option<InTheMachine>,
}

#[derive(Debug, Serialize)]
struct Attribute {
    attribute: String,
    stands: &'static str,
    fits_share: Option<f64>,
    has: Option<String>,
    known: Option<String>,
    because: Option<String>,
}

/// What would make it fit.
#[derive(Debug, Serialize)]
struct Offer {
    with: Vec<Adaptation>,
    takes_away: Vec<String>,
    stays: Vec<String>,
    minutes: f64,
    minutes_pm: f64,
    cost: Option<Cost>,
}

#[derive(Debug, Serialize)]
struct Adaptation {
    name: String,
    caution: String,
    how: String,
}

#[derive(Debug, Serialize)]
struct Cost {
    amount: f64,
    plus_minus: f64,
    currency: String,
}

/// What the studies make of the machine with it.
#[derive(Debug, Serialize)]
struct InTheMachine {
    outcome: &'static str,
    lacks: Option<String>,
    changes: Vec<Change>,
    concerns: Vec<String>,
    as_now: Vec<String>,
    no_longer: Vec<String>,
    taken_for_granted: Vec<&'static str>,
    not_computed: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Change {
    what: &'static str,
    unit: &'static str,
    before: Option<Side>,
    after: Side,
}

/// A number with its ±; neither where it is never or always so.
#[derive(Debug, Serialize)]
struct Side {
    value: Option<f64>,
    plus_minus: Option<f64>,
    holds: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Buy {
    part: String,
    most_to_pay: Option<f64>,
    currency: Option<String>,
    measure_first: Vec<String>,
    minutes: f64,
}

/// Parts that only work together.
#[derive(Debug, Serialize)]
pub struct Sets {
    set: String,
    tried: usize,
    found: Vec<Set>,
}

#[derive(Debug, Serialize)]
struct Set {
    parts: Vec<Option<String>>,
    verdict: &'static str,
    fits_share: f64,
    why: Vec<String>,
    in_the_machine: Option<InTheMachine>,
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
pub fn matched(kinds: &Kinds, (found, fitted, ways): (&part::Matched<'_>, &[Fitted], &Ways), most: usize) -> Matched {
    let attributes = &found.kind.attributes;
    let need = |(a, attribute): (usize, &part::Attribute)| Need {
        attribute: attribute.id.clone(),
        tier: tier(attribute.tier),
        serves: words::serves(&found.asked[a], attribute, found.need, a).replace('\u{a0}', " "),
        from: found.need.of[a].as_ref().map(|n| match &n.from {
            NeedFrom::Machine(path) => (*path).to_owned(),
            NeedFrom::File | NeedFrom::FileOver(_) => "need".to_owned(),
            NeedFrom::Trade => "trade".to_owned(),
            NeedFrom::Set => "set".to_owned(),
        }),
    };
    Matched {
        kind: found.kind.id.clone(),
        numbers_source: kinds.numbers_source.clone(),
        needs: attributes.iter().enumerate().map(need).collect(),
        not_known_of_the_job: found.need_lacks().iter().map(|a| attributes[*a].id.clone()).collect(),
        on_the_shelf: found.ranked.len(),
        parts: found.ranked.iter().take(most).map(|r| of_part(kinds, (found, fitted, ways), r)).collect(),
        shopping: found.shopping(ways).iter().map(|b| buy(found, b)).collect(),
        prices: found.fair.iter().map(prices).collect(),
    }
}

fn of_part(kinds: &Kinds, (found, fitted, ways): (&part::Matched<'_>, &[Fitted], &Ways), ranked: &Ranked) -> Part {
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
            known: words::own_origin(part, line.attribute),
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
        photos: part.photos.clone(),
        day: part.day.clone(),
        would_fit_with: found.offer(ways, ranked).map(|o| offer(found, &o)),
        in_the_machine: fitted.iter().find(|(r, _)| r.part == ranked.part).map(|(_, e)| in_the_machine(kinds, e)),
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

fn offer(found: &part::Matched<'_>, offer: &part::Offer<'_>) -> Offer {
    let names = |list: &[usize]| list.iter().map(|a| found.kind.attributes[*a].id.clone()).collect();
    let with = |a: &&part::Adaptation| Adaptation { name: a.name.clone(), caution: a.caution.clone(), how: a.how.clone() };
    Offer {
        with: offer.with.iter().map(with).collect(),
        takes_away: names(&offer.removed),
        stays: names(&offer.stays),
        minutes: offer.minutes.si,
        minutes_pm: offer.minutes.plus_minus_si,
        cost: offer.cost.as_ref().map(|c| Cost { amount: c.amount, plus_minus: c.plus_minus, currency: c.currency.clone() }),
    }
}

fn in_the_machine(kinds: &Kinds, effect: &Result<Effect, Vec<Lacks>>) -> InTheMachine {
    let plain = |text: String| text.replace('\u{a0}', " ");
    let mut wire = InTheMachine {
        outcome: match effect.as_ref().map(Effect::outcome) {
            Ok(Outcome::Works) => "works",
            Ok(Outcome::AsNow) => "as_now",
            Ok(Outcome::Open) => "open",
            Ok(Outcome::Fails) => "fails",
            Err(_) => "not_computed",
        },
        lacks: effect.as_ref().err().map(|why| effects::lacks(kinds, why)),
        changes: Vec::new(),
        concerns: Vec::new(),
        as_now: Vec::new(),
        no_longer: Vec::new(),
        taken_for_granted: Vec::new(),
        not_computed: Vec::new(),
    };
    if let Ok(e) = effect {
        wire.changes = e
            .changes
            .iter()
            .map(|c| Change {
                what: effects::what(c.what),
                unit: c.what.unit().symbol(),
                before: c.before.map(|told| side(c.what, told)),
                after: side(c.what, c.after),
            })
            .collect();
        wire.concerns = e.concerns.iter().map(|c| plain(effects::concern(c))).collect();
        wire.as_now = e.stays.iter().map(|c| plain(effects::concern(c))).collect();
        wire.no_longer = e.mended.iter().map(|c| plain(effects::concern(c))).collect();
        wire.taken_for_granted = e.taken.iter().map(|t| effects::taken(*t)).collect();
        wire.not_computed = e.skipped.iter().map(|(room, why)| plain(effects::skipped(*room, *why))).collect();
    }
    wire
}

fn side(what: What, told: Told) -> Side {
    match told {
        Told::At(f) => {
            let unit = what.unit();
            let plus_minus = unit.from_si(f.si + f.plus_minus_si) - unit.from_si(f.si);
            Side { value: Some(unit.from_si(f.si)), plus_minus: Some(plus_minus), holds: None }
        }
        Told::Never => Side { value: None, plus_minus: None, holds: Some("never") },
        Told::Always => Side { value: None, plus_minus: None, holds: Some("always") },
    }
}

fn buy(found: &part::Matched<'_>, buy: &part::Buy<'_>) -> Buy {
    let part = found.part(buy.ranked);
    Buy {
        part: part.id.clone(),
        most_to_pay: buy.most,
        currency: part.price.as_ref().map(|p| p.currency.clone()),
        measure_first: buy.measure.iter().map(|a| found.kind.attributes[*a].id.clone()).collect(),
        minutes: buy.minutes,
    }
}

/// The best `most` of them.
pub fn sets(kinds: &Kinds, found: &part::Sets<'_>, most: usize) -> Sets {
    let set = |set: &part::Combined| Set {
        parts: set.parts.iter().map(|p| p.map(|p| found.shelf.parts()[p].id.clone())).collect(),
        verdict: verdict(set.verdict),
        fits_share: set.chance,
        why: effects::mends(kinds, found, set),
        in_the_machine: set.effect.as_ref().map(|e| in_the_machine(kinds, e)),
    };
    Sets { set: found.together.id.clone(), tried: found.tried, found: found.found.iter().take(most).map(set).collect() }
}
