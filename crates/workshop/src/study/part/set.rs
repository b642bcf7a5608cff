//! Parts that only work together: sets in which one part takes away what would rule another out.

use super::{
    fitted::{Effect, Lacks, Outcome, Refit},
    kind::{Kinds, Tier},
    need::{Need, NeedFrom, Needed, Wanted},
    rank::{FITS, OUT, Ranked, Stand, Verdict, judge, rank},
    shelf::{Part, Shelf},
    value::Value,
    ways::{Link, Together},
};
use crate::study::Finding;
use quantity::{Reading, Source, Unit};
use rayon::prelude::*;
use std::{collections::BTreeMap, sync::OnceLock};

/// Parts of each kind that are tried in combination \[1\] (own choice): the best by all that does not hang on another part of the set.
pub const TRIED: usize = 8;

/// Something that fails by itself, and fits in the set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mend {
    /// Which link of the set mends it.
    pub link: usize,
    /// By itself it is ruled out, not merely out of tolerance.
    pub ruled_out: bool,
}

/// A set of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Combined {
    /// For each kind of the set the part of the shelf; `None` = the machine's own stays.
    pub parts: Vec<Option<usize>>,
    /// For each kind how its part stands within the set.
    pub each: Vec<Option<Ranked>>,
    /// The worst of them.
    pub verdict: Verdict,
    /// Chance that all that is known is within tolerance \[1\].
    pub chance: f64,
    /// The same with each unknown at the share of the shelf \[1\]: for the order only.
    pub standing: f64,
    /// What a part alone would fail by, and the set mends.
    pub mends: Vec<Mend>,
    /// What the studies make of the machine with all of them in it; `None` beyond those that were computed.
    pub effect: Option<Result<Effect, Vec<Lacks>>>,
}

/// All sets that were found.
#[derive(Clone, Debug)]
pub struct Sets<'a> {
    /// Which kinds.
    pub together: &'a Together,
    /// The shelf.
    pub shelf: &'a Shelf,
    /// How many combinations were tried.
    pub tried: usize,
    /// Those in which something is mended and nothing that is known speaks against, the best first.
    pub found: Vec<Combined>,
}

/// Looks for sets. `needs` are those of the machine by itself, for each kind of the set.
///
/// Parts that are ruled out or out of tolerance by something that does not hang on another part of the set are left out; of the others the best [`TRIED`] of each
/// kind are combined, the machine's own part being one more to choose. What hangs on another part is judged against that part, by the same tolerance and both ±.
/// The best `computed` are put into the machine; a set that works comes before one that is open, and what fails comes last.
///
/// A set in which nothing is mended, or with a part that has no share in it, is left out: such parts may as well be looked at one by one.
pub fn sets<'a>(
    kinds: &Kinds,
    together: &'a Together,
    needs: &[Need],
    shelf: &'a Shelf,
    refit: &Refit<'_>,
    computed: usize,
) -> Sets<'a> {
    let linked = |place: usize, a: usize| together.links.iter().any(|l| l.of == place && l.attribute == a);
    let choices: Vec<(Vec<usize>, Vec<f64>)> = needs
        .iter()
        .enumerate()
        .map(|(place, need)| {
            let mut free = need.clone();
            for a in (0..free.of.len()).filter(|a| linked(place, *a)) {
                free.of[a] = Some(Needed { what: Wanted::Any, from: NeedFrom::Trade });
            }
            let matched = rank(kinds, &free, shelf);
            let sound = |r: &&Ranked| !matches!(r.verdict, Verdict::Blocked | Verdict::Out);
            let best = matched.ranked.iter().filter(sound).take(TRIED).map(|r| r.part).collect();
            (best, rank(kinds, need, shelf).shares)
        })
        .collect();
    let counts: Vec<usize> = choices.iter().map(|(parts, _)| parts.len() + 1).collect();
    let all: usize = counts.iter().product();
    let combination = |mut n: usize| -> Vec<Option<usize>> {
        let place = |(count, (parts, _)): (&usize, &(Vec<usize>, Vec<f64>))| {
            let k = n % count;
            n /= count;
            k.checked_sub(1).map(|k| parts[k])
        };
        counts.iter().zip(&choices).map(place).collect()
    };
    let amps = currents(together, &choices);
    let mut found: Vec<Combined> = (0..all)
        .into_par_iter()
        .filter_map(|n| {
            let parts = combination(n);
            (parts.iter().flatten().count() > 1)
                .then(|| combined(kinds, together, needs, (shelf, &choices, &amps, refit), parts))?
        })
        .collect();
    let names =
        |c: &Combined| -> Vec<Option<String>> { c.parts.iter().map(|p| p.map(|p| shelf.parts()[p].id.clone())).collect() };
    found.sort_by(|a, b| {
        a.verdict.group().cmp(&b.verdict.group()).then(b.standing.total_cmp(&a.standing)).then_with(|| names(a).cmp(&names(b)))
    });
    let put = |c: &mut Combined| {
        let parts: Vec<&Part> = c.parts.iter().flatten().map(|p| &shelf.parts()[*p]).collect();
        c.effect = Some(refit.effect(&parts));
    };
    // The first alone, as in `Refit::best`.
    if let Some((first, others)) = found.split_first_mut().filter(|_| computed > 0) {
        put(first);
        others.par_iter_mut().take(computed - 1).for_each(put);
    }
    let outcome = |c: &Combined| match &c.effect {
        Some(Ok(effect)) => effect.outcome(),
        _ => Outcome::Open,
    };
    // A stable sort: within each, the order stays.
    found.sort_by_key(|c| (outcome(c) == Outcome::Fails, c.verdict.group(), outcome(c)));
    Sets { together, shelf, tried: all, found }
}

/// Parts that are combined, for each kind of the set, and the shares of the shelf that fit.
type Choices = [(Vec<usize>, Vec<f64>)];
/// What the alternator gives at most with these parts of a set in the machine [A], computed when it is first asked for; `None` where it cannot be.
type Currents = BTreeMap<Vec<Option<usize>>, OnceLock<Option<Finding>>>;

/// A place for each combination of the parts on which a computed link hangs.
fn currents(together: &Together, choices: &Choices) -> Currents {
    let Some(link) = together.links.iter().find(|l| l.on.is_none()) else { return Currents::new() };
    let mut all: Vec<Vec<Option<usize>>> = vec![Vec::new()];
    for (place, (parts, _)) in choices.iter().enumerate() {
        let others = parts.iter().copied().filter(|_| place != link.of).map(Some);
        let choice: Vec<Option<usize>> = std::iter::once(None).chain(others).collect();
        all = all.iter().flat_map(|begun| choice.iter().map(|c| [&begun[..], &[*c]].concat())).collect();
    }
    all.into_iter().map(|parts| (parts, OnceLock::new())).collect()
}

/// What a link asks for, given the parts of the set.
fn asked_by(link: &Link, parts: &[Option<usize>], (shelf, amps, refit): (&Shelf, &Currents, &Refit<'_>)) -> Option<Needed> {
    let Some(on) = link.on else {
        let others: Vec<Option<usize>> = parts.iter().enumerate().map(|(n, p)| p.filter(|_| n != link.of)).collect();
        let fitted: Vec<&Part> = others.iter().flatten().map(|p| &shelf.parts()[*p]).collect();
        let Finding { si, plus_minus_si } = (*amps.get(&others)?.get_or_init(|| refit.gives(&fitted)))?;
        let reading = Reading { si, plus_minus_si, unit: Unit::Ampere, source: Source::NotStated };
        return Some(Needed { what: Wanted::Number { reading, usual: false }, from: NeedFrom::Set });
    };
    let what = match shelf.parts()[parts[link.from]?].values[on].as_ref()? {
        Value::Number { reading, usual } => Wanted::Number { reading: reading.clone(), usual: *usual },
        Value::Word(w) => Wanted::Words(vec![(*link.wants.get(*w)?)?]),
    };
    Some(Needed { what, from: NeedFrom::Set })
}

/// A combination within which something is mended and nothing speaks against it.
fn combined(
    kinds: &Kinds,
    together: &Together,
    needs: &[Need],
    (shelf, choices, amps, refit): (&Shelf, &Choices, &Currents, &Refit<'_>),
    parts: Vec<Option<usize>>,
) -> Option<Combined> {
    let mut each = Vec::with_capacity(parts.len());
    let mut mends = Vec::new();
    for (place, part) in parts.iter().enumerate() {
        let Some(p) = *part else {
            each.push(None);
            continue;
        };
        let kind = &kinds.list[needs[place].kind];
        let mut need = needs[place].clone();
        let mut links: Vec<(usize, &Link)> = Vec::new();
        for (n, link) in together.links.iter().enumerate().filter(|(_, l)| l.of == place && parts[l.from].is_some()) {
            // What is computed has all the parts in it: once is enough, and only where nothing else speaks against the part.
            let (computed, again) = (link.on.is_none(), links.iter().any(|(_, l)| l.attribute == link.attribute));
            if computed && again {
                continue;
            }
            if computed {
                need.of[link.attribute] = Some(Needed { what: Wanted::Any, from: NeedFrom::Trade });
                let (rest, _) = judge(kind, &need, &shelf.parts()[p], p, &choices[place].1);
                if matches!(rest.verdict, Verdict::Blocked | Verdict::Out) {
                    return None;
                }
            }
            need.of[link.attribute] = asked_by(link, &parts, (shelf, amps, refit));
            links.push((n, link));
        }
        let shares = &choices[place].1;
        let (_, alone) = judge(kind, &needs[place], &shelf.parts()[p], p, shares);
        let (within, stands) = judge(kind, &need, &shelf.parts()[p], p, shares);
        if matches!(within.verdict, Verdict::Blocked | Verdict::Out) {
            return None;
        }
        let mended = |a: usize| {
            matches!((alone[a], stands[a]), (Stand::Chance(alone), Stand::Chance(within)) if alone <= OUT && within >= FITS)
                && kind.attributes[a].tier != Tier::May
        };
        let mend = |(n, link): (usize, &Link)| Mend { link: n, ruled_out: kind.attributes[link.attribute].tier == Tier::Blocker };
        mends.extend(links.into_iter().filter(|(_, l)| mended(l.attribute)).map(mend));
        each.push(Some(within));
    }
    // A part that mends nothing and is mended by nothing only adds to the bill.
    let in_it = |place: usize| mends.iter().any(|m| [together.links[m.link].of, together.links[m.link].from].contains(&place));
    if mends.is_empty() || !(0..parts.len()).all(|place| parts[place].is_none() || in_it(place)) {
        return None;
    }
    let ranked = || each.iter().flatten();
    let verdict = ranked().map(|r| r.verdict).max()?;
    let (chance, standing) = (ranked().map(|r| r.chance).product(), ranked().map(|r| r.standing).product());
    Some(Combined { verdict, chance, standing, effect: None, parts, each, mends })
}
