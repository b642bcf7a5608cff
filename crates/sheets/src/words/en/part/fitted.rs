//! A part put into the machine, adaptations, sets: words.

use super::{money, title};
use crate::words::{celsius, degrees_pm, electric, not_studied, number, percent, pm, rpm, rpm_pm, seconds_pm, spark};
use workshop::study::{
    Finding,
    part::{
        Buy, Change, Combined, Concern, Cost, Effect, Kinds, Lacks, Matched, Offer, Outcome, Room, Sets, Skipped, TRIED_TOGETHER,
        Taken, Told, Ways, What,
    },
};

/// What came of a part in the machine.
pub type Computed = Result<Effect, Vec<Lacks>>;

/// Heading.
pub const COMPUTED: &str = "In the machine, computed";
/// Heading.
pub const SETS: &str = "Parts that work together";
/// Heading.
pub const SHOPPING: &str = "Shopping list";
/// Head of the column.
pub const COMPUTED_HEAD: &str = "in the machine";
/// Heads of the table of what changes.
pub const CHANGES_HEAD: [&str; 3] = ["", "as it is", "with it"];
/// No set was found.
pub const NO_SETS: &str =
    "No set on this shelf does what its parts could not do alone. Parts that fit by themselves are found kind by kind.";
/// Nothing to buy.
pub const NOTHING_TO_BUY: &str = "Nothing on this shelf has a price and could fit.";
/// What holds for all of it.
pub const HOW: &str = "Computed by the studies of spark, charging, curve and rotor on the machine file with the part’s readings in place of the old one’s; the ± is that of both. What a part was not measured in is not guessed.";

/// What it comes to, in a word.
pub fn outcome(effect: &Result<Effect, Vec<Lacks>>) -> &'static str {
    match effect {
        Err(_) => "not computed",
        Ok(effect) => match effect.outcome() {
            Outcome::Works => "works",
            Outcome::AsNow => "as now",
            Outcome::Open => "open",
            Outcome::Fails => "fails",
        },
    }
}

/// The name of a number.
pub fn what(what: What) -> &'static str {
    match what {
        What::AdvanceKick => "Advance at the kick",
        What::AdvanceIdle => "Advance at idle",
        What::Advance2000 => "Advance at 2000 rpm",
        What::AdvanceTop => "Advance at the top speed",
        What::KnockRoom => "Least room below the knock limit, wide open",
        What::AvailableKick => "Voltage available at the kick",
        What::NeededKick => "Voltage needed at the kick",
        What::MarginKick => "Margin at the kick",
        What::MarginTop => "Margin at the top speed",
        What::MarginLeast => "Least margin",
        What::MarginWorst => "Least margin, fouled, worn, hot or on a weak battery",
        What::SignalKick => "Pickup’s pulse at the kick over what the module needs",
        What::FiresFrom => "Fires from",
        What::AmpsIdle => "Into the battery at idle, everything on",
        What::AmpsCruise => "Into the battery at half the top speed, everything on",
        What::VoltsCruise => "Volts at the battery there",
        What::BreakEven => "Charging covers the loads from",
        What::Winding => "Stator’s winding at its hottest",
        What::Inertia => "Inertia of all that turns with the crank",
        What::Unevenness => "Unevenness within the turn at idle",
        What::RevUp => "From a quarter to three quarters of the top speed, wide open",
        What::RunDown => "Back from a blip, ignition cut",
        What::KickBack => "Work against the kick, over what it may be",
        What::Stiffness => "One percent of air moves the idle by",
        What::HangsAt => "Hangs at",
        What::PushIdle => "Of a push at idle, each cycle leaves",
        What::PushHang => "Of a push where it hangs, each cycle leaves",
    }
}

/// A number with its unit.
pub fn finding(what: What, f: Finding) -> String {
    match what {
        What::AdvanceKick | What::AdvanceIdle | What::Advance2000 | What::AdvanceTop => degrees_pm(f),
        What::AvailableKick | What::NeededKick => spark::kv(f),
        What::MarginKick | What::MarginTop | What::MarginLeast | What::MarginWorst | What::SignalKick | What::KickBack => {
            spark::times(f)
        }
        What::PushIdle | What::PushHang => percent(f.si),
        What::KnockRoom => format!("{}°", pm(f.si.to_degrees(), f.plus_minus_si.to_degrees(), 1)),
        What::Unevenness => pm(f.si, f.plus_minus_si, 3),
        What::FiresFrom | What::BreakEven | What::Stiffness | What::HangsAt => rpm_pm(f),
        What::AmpsIdle | What::AmpsCruise => electric::amps(f),
        What::VoltsCruise => electric::volts(f),
        What::Winding => format!("{}\u{a0}°C", pm(f.si - 273.15, f.plus_minus_si, 0)),
        What::Inertia => format!("{}\u{a0}kg·cm²", pm(f.si * 1e4, f.plus_minus_si * 1e4, 1)),
        What::RevUp | What::RunDown => seconds_pm(f),
    }
}

/// One side of a change.
pub fn told(of: What, told: Option<Told>) -> String {
    match told {
        None => "not told".to_owned(),
        Some(Told::At(f)) => finding(of, f),
        Some(Told::Never) if of == What::HangsAt => "does not hang".to_owned(),
        Some(Told::Always) if of == What::KnockRoom => "more than was tried".to_owned(),
        Some(Told::Never) => "never".to_owned(),
        Some(Told::Always) => "every speed".to_owned(),
    }
}

/// A row: what, before, after.
pub fn row(c: &Change) -> Vec<String> {
    vec![what(c.what).to_owned(), told(c.what, c.before), told(c.what, Some(c.after))]
}

/// A change in a line.
pub fn change(c: &Change) -> String {
    format!("{}: {} now, {} with it.", what(c.what), told(c.what, c.before), told(c.what, Some(c.after)))
}

/// What would be wrong.
pub fn concern(c: &Concern) -> String {
    match c {
        Concern::NoSpark { at_rad_s, margin, case } => format!(
            "{} {}, margin {}: below 1 the spark does not jump.",
            case.map_or_else(|| "As found, at".to_owned(), |c| format!("With a {}, at", spark::case(c))),
            rpm(*at_rad_s),
            spark::times(*margin)
        ),
        Concern::NoSignal { margin } => format!(
            "The pickup’s pulse at the kick comes to {} times what the module needs: below 1 there is no spark.",
            spark::times(*margin)
        ),
        Concern::NeverCovers => "At no speed does charging cover the loads.".to_owned(),
        Concern::Boils { volts, limit_v } => {
            format!("The battery may see {}: above {}\u{a0}V it boils dry.", electric::volts(*volts), number(*limit_v, 1))
        }
        Concern::TooWarm { reaches, bears_k } => format!(
            "The stator’s winding may reach {}\u{a0}°C; its insulation bears {}.",
            pm(reaches.si - 273.15, reaches.plus_minus_si, 0),
            celsius(*bears_k)
        ),
        Concern::RunsAway => "No balance of the stator’s heat is found: it would burn.".to_owned(),
        Concern::KicksBack => "A kick may turn back. It breaks ankles and cases: do not kick it so.".to_owned(),
        Concern::Hangs { at_rad_s } => format!("The engine hangs near {}.", rpm(*at_rad_s)),
        Concern::Hunts => "A push at idle grows from cycle to cycle: it would not keep its idle.".to_owned(),
        Concern::Knocks { at_rad_s, room } => format!(
            "The curve goes {}° beyond the knock limit at {}, wide open. Knock holes pistons: do not run it so under load.",
            pm(-room.si.to_degrees(), room.plus_minus_si.to_degrees(), 1),
            rpm(*at_rad_s)
        ),
        Concern::NoRest => "The computed engine has no rest at the idle seen.".to_owned(),
    }
}

/// What is wrong now and stays.
pub fn stays(c: &Concern) -> String {
    format!("As it is now: {}", concern(c))
}

/// What was wrong and no longer would be.
pub fn mended(c: &Concern) -> String {
    format!("No longer so: {}", concern(c))
}

/// What was taken for granted.
pub fn taken(t: Taken) -> &'static str {
    match t {
        Taken::Room => "Its ohms were read at 20 ± 5 °C.",
        Taken::WarmAsBefore => "It gets as warm in its place as the old one.",
        Taken::EveryPickup => "All pickups are of this type, each at the gap at which its volts were read.",
        Taken::LeadingEdge => "The leading edge of its segment stands where the old one’s stood.",
        Taken::CurveForAll => "Its curve holds for every cylinder.",
        Taken::Star => "Three windings count as a star; between the leads a ring is the same.",
        Taken::InItsRotor => "The stator’s volts and inductance were read in the rotor that it will run in.",
        Taken::DiodesAsBefore => "Its diodes drop as much as the old one’s.",
    }
}

/// What a part or the machine lacks for it, in a sentence.
pub fn lacks(kinds: &Kinds, all: &[Lacks]) -> String {
    let mut of_part: Vec<&str> = Vec::new();
    let mut said = Vec::new();
    for lack in all {
        match lack {
            Lacks::Part { kind, attribute } => of_part.push(&kinds.list[*kind].attributes[*attribute].name),
            Lacks::Machine(path) => said.push(format!("The machine file has no [{path}].")),
            Lacks::Points => said.push("The speeds of its curve do not rise: start below full.".to_owned()),
            Lacks::NotComputed => said.push("For this kind of part nothing is computed.".to_owned()),
        }
    }
    if !of_part.is_empty() {
        said.insert(0, format!("Not computed, for it was not measured in: {}.", of_part.join("; ")));
    }
    said.join(" ")
}

/// A study that was not run.
pub fn skipped(room: Room, why: Skipped) -> String {
    let room = match room {
        Room::Curve => "Curve",
        Room::Knock => "Knock limit",
        Room::Spark => "Spark",
        Room::Signal => "Signal",
        Room::Charge => "Charging",
        Room::Turning => "Turning",
        Room::Idle => "Rest speeds at idle, and how a push comes back",
    };
    let why = match why {
        Skipped::Spark(held) => spark::held(held),
        Skipped::Charge(not) => electric::not_told(not),
        Skipped::Engine(why) => not_studied(why).to_owned(),
        Skipped::NoSurface => "not computed. It needs the engine’s surface: tickover match with --idle; on the page it comes once the machine’s card is worked out.".to_owned(),
    };
    format!("{room}: {why}")
}

/// Everything of an effect in lines, what would be wrong first.
pub fn lines(kinds: &Kinds, effect: &Result<Effect, Vec<Lacks>>) -> Vec<String> {
    match effect {
        Err(why) => vec![lacks(kinds, why)],
        Ok(e) => {
            let mut said: Vec<String> = e.concerns.iter().map(concern).collect();
            said.extend(e.mended.iter().map(mended));
            said.extend(e.stays.iter().map(stays));
            let same = |c: &&Change| told(c.what, c.before) == told(c.what, Some(c.after));
            said.extend(e.changes.iter().filter(|c| !same(c)).map(change));
            let as_before: Vec<String> =
                e.changes.iter().filter(same).map(|c| format!("{} {}", what(c.what), told(c.what, Some(c.after)))).collect();
            if !as_before.is_empty() {
                said.push(format!("As before: {}.", as_before.join("; ")));
            }
            said.extend(e.skipped.iter().map(|(room, why)| skipped(*room, *why)));
            if !e.taken.is_empty() {
                said.push(format!("Taken for granted: {}", e.taken.iter().map(|t| taken(*t)).collect::<Vec<_>>().join(" ")));
            }
            said
        }
    }
}

/// Money with its ±.
pub fn cost(cost: &Cost) -> String {
    format!("{}\u{a0}{}", pm(cost.amount, cost.plus_minus, 0), cost.currency)
}

/// What would make it fit.
pub fn offer(matched: &Matched<'_>, offer: &Offer<'_>) -> String {
    let names = |list: &[usize]| list.iter().map(|a| matched.kind.attributes[*a].name.as_str()).collect::<Vec<_>>().join("; ");
    let with: Vec<&str> = offer.with.iter().map(|a| a.name.as_str()).collect();
    let minutes = pm(offer.minutes.si, offer.minutes.plus_minus_si, 0);
    let price = offer.cost.as_ref().map_or_else(String::new, |c| format!(", {}", cost(c)));
    let start = if offer.whole() { "Would fit with" } else { "Nearer with" };
    let stays = if offer.whole() { String::new() } else { format!(" It stays ruled out by: {}.", names(&offer.stays)) };
    let untried = match offer.untried {
        0 => String::new(),
        n => format!(
            " {n} more of the workshop’s own would help too and were not tried: {TRIED_TOGETHER} are combined at most, in the order of the file."
        ),
    };
    format!(
        "{start}: {} ({minutes}\u{a0}min{price}). That takes away: {}.{stays}{untried}",
        with.join(", "),
        names(&offer.removed)
    )
}

/// How each is done, its caution first.
pub fn adaptations(offer: &Offer<'_>) -> Vec<(String, String)> {
    offer.with.iter().map(|a| (a.caution.clone(), format!("{}: {}", a.name, a.how))).collect()
}

/// Where minutes and cost come from.
pub fn ways_source(ways: &Ways) -> String {
    format!("Adaptations: {}.", ways.numbers_source)
}

/// How many combinations, and how many of them work together.
pub fn sets_summary(sets: &Sets<'_>) -> String {
    format!(
        "{}: {} combinations tried, {} in which one part mends what another fails by.",
        sets.together.name,
        sets.tried,
        sets.found.len()
    )
}

/// The parts of a set.
pub fn set_title(kinds: &Kinds, sets: &Sets<'_>, set: &Combined) -> String {
    let part = |(k, part): (&usize, &Option<usize>)| match part {
        Some(p) => format!("{} {}", kinds.list[*k].id, title(&sets.shelf.parts()[*p])),
        None => format!("the machine’s own {}", kinds.list[*k].id),
    };
    sets.together.kinds.iter().zip(&set.parts).map(part).collect::<Vec<_>>().join(" + ")
}

/// Why it works only together.
pub fn mends(kinds: &Kinds, sets: &Sets<'_>, set: &Combined) -> Vec<String> {
    let said = set.mends.iter().map(|m| {
        let link = &sets.together.links[m.link];
        let kind = |place: usize| &kinds.list[sets.together.kinds[place]];
        let name = |place: usize| set.parts[place].map_or("", |p| sets.shelf.parts()[p].id.as_str());
        let attribute = &kind(link.of).attributes[link.attribute];
        let alone = if m.ruled_out { "ruled out" } else { "out of tolerance" };
        format!(
            "{} alone is {alone} by {}: {} With {} it fits. {}",
            name(link.of),
            attribute.name,
            attribute.if_not,
            name(link.from),
            link.why
        )
    });
    said.collect()
}

/// How likely the set is within tolerance.
pub fn set_chance(set: &Combined) -> String {
    format!("{}; within tolerance, of what is known: {}.", super::verdict(set.verdict), percent(set.chance))
}

/// A row of the shopping list: part, asked, most to pay, what to measure.
pub fn buy_row(matched: &Matched<'_>, buy: &Buy<'_>) -> Vec<String> {
    let part = matched.part(buy.ranked);
    let asked = part.price.as_ref();
    let price = asked.map_or_else(String::new, |p| format!("{}, {}, {}", money(p.amount, &p.currency), p.place, p.day));
    let most = match (buy.most, asked) {
        (Some(most), Some(p)) => money(most, &p.currency),
        _ => "too few prices to say".to_owned(),
    };
    let names = buy
        .measure
        .iter()
        .map(|a| format!("{} ({}\u{a0}min)", matched.kind.attributes[*a].name, number(matched.kind.attributes[*a].minutes, 0)));
    let measure: Vec<String> = names.collect();
    let measure = if measure.is_empty() { "nothing: all was measured".to_owned() } else { measure.join("; ") };
    vec![title(part), price, most, measure]
}

/// The same in a line.
pub fn buy(matched: &Matched<'_>, buy: &Buy<'_>) -> String {
    let [part, price, most, measure] = <[String; 4]>::try_from(buy_row(matched, buy)).unwrap_or_default();
    format!("{part}: asked {price}; most to pay: {most}. Measure before you pay: {measure}.")
}
