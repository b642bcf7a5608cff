//! One need laid beside every part of its kind.

use physics::within::{Allowed, Doubted, share_within};
use rayon::prelude::*;

use super::{
    kind::{Kind, Kinds, Rule, Tier},
    laid::Laid,
    need::{Need, Wanted},
    price::{Fair, fair},
    shelf::{Part, Shelf},
    sift::{Row, Sifted, sift},
    value::Value,
};

/// From this chance something counts as fitting \[1\]: the project's choice, the 95 % of every ±.
pub const FITS: f64 = 0.95;
/// Up to this chance it counts as not fitting \[1\]: the project's choice, the same the other way round.
pub const OUT: f64 = 0.05;
/// Steps in which chances are compared \[1\] (own choice): far finer than any ± makes them known, far coarser than a change of unit moves them.
pub(super) const STEP: f64 = 1e-6;

/// What is asked of an attribute, with its rule for this job.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// It does not matter.
    Free,
    /// It matters, and what the job needs is not known.
    NotKnown,
    /// One of these words.
    Words(Vec<usize>),
    /// Within a tolerance of a number and its standard uncertainty [SI].
    Within(Allowed, Doubted),
}

/// How a part stands in one attribute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// It is not asked.
    NotAsked,
    /// Chance that it is within tolerance \[1\].
    Chance(f64),
    /// It cannot be told.
    Unknown {
        /// The part was not measured.
        of_part: bool,
        /// The job was not.
        of_need: bool,
    },
}

/// One attribute of one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Which.
    pub attribute: usize,
    /// How it stands.
    pub stand: Stand,
}

/// What a part is to the job, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// All is known, and it fits.
    Match,
    /// All is known, and the ± leave it open.
    Doubtful,
    /// Nothing speaks against it, and something is not known.
    Unknown,
    /// Something is out of tolerance.
    Out,
    /// A blocker rules it out.
    Blocked,
}

impl Verdict {
    /// What it counts as in the order: unknown stands with doubtful.
    pub(super) fn group(self) -> Self {
        if self == Verdict::Unknown { Verdict::Doubtful } else { self }
    }
}

/// A part in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranked {
    /// Which part of the shelf.
    pub part: usize,
    /// What it is.
    pub verdict: Verdict,
    /// Chance that all that is known of it is within tolerance \[1\].
    pub chance: f64,
    /// The same with each unknown at the share of the shelf \[1\]: for the order only.
    pub standing: f64,
    /// How many that count are not known.
    pub unknown: usize,
}

/// What to measure next on a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Next {
    /// Which attribute.
    pub attribute: usize,
    /// What it is expected to tell: the doubt whether it fits there [bit].
    pub bits: f64,
    /// How long it takes [min].
    pub minutes: f64,
    /// It was measured, and closer is wanted.
    pub closer: bool,
}

/// All of it.
#[derive(Clone, Debug)]
pub struct Matched<'a> {
    /// The kind.
    pub kind: &'a Kind,
    /// What the job needs.
    pub need: &'a Need,
    /// The shelf.
    pub shelf: &'a Shelf,
    /// What is asked of each attribute.
    pub asked: Vec<Asked>,
    /// Parts of the kind, the best first.
    pub ranked: Vec<Ranked>,
    /// Share of the shelf that is within tolerance in each attribute \[1\], by Laplace's rule.
    pub shares: Vec<f64>,
    /// Prices asked for what nothing is known against, by currency.
    pub fair: Vec<Fair>,
}

/// Ranks a shelf for a need.
///
/// A blocker that does not fit rules a part out, whatever else fits. What is not known, of the part or of the job, is never taken to fit: such a part is no
/// match. The chance is the product over all attributes that count, each by [`share_within`] from both ±, taken as independent. Parts are ordered by verdict
/// (doubtful and unknown ones together), then by that chance with every unknown at the share of this shelf that fits there, then by name; the order of the
/// rows and the units in which they are written do not count.
///
/// ```
/// use workshop::study::part::{Need, Needed, NeedFrom, Shelf, Verdict, Wanted, base, rank};
/// let kinds = base();
/// let plug = kinds.named("plug").unwrap();
/// let need = Need { kind: plug, of: vec![None; 5] };
/// let need = need.over(kinds, "[plug]\nthread = 'M14x1.25'\nreach = '19 mm'\nseat = 'flat'\nheat_steps = '0'\nresistor = 'any'")?;
/// let shelf = Shelf::toml(kinds, "[[part]]\nid = 'a'\nkind = 'plug'\nmeasured = 'caliper'\nthread = 'M14x1.25'\nreach = '0.750 in'\nseat = 'flat'\nheat_steps = '1'")?;
/// assert_eq!(rank(kinds, &need, &shelf).ranked[0].verdict, Verdict::Match);
/// # Ok::<(), Vec<workshop::study::part::Defect>>(())
/// ```
pub fn rank<'a>(kinds: &'a Kinds, need: &'a Need, shelf: &'a Shelf) -> Matched<'a> {
    let kind = &kinds.list[need.kind];
    let asked: Vec<Asked> = (0..kind.attributes.len()).map(|a| asked(kind, need, a)).collect();
    let none = Laid::new(kind);
    let laid = shelf.laid(need.kind).unwrap_or(&none);
    let Sifted { rows, shares } = sift(kind, &asked, laid);
    let id = |row: usize| shelf.parts()[laid.parts[row]].id.as_str();
    // One number sorts by verdict, then by standing, then by the beginning of the name.
    let key = |(row, sifted): (usize, &Row)| {
        let group = sifted.verdict().group();
        let below = (1.0 / STEP).round() - (sifted.standing / STEP).round();
        ((group as u128) << 96 | (below as u128) << 64 | u128::from(laid.begins[row]), row as u32)
    };
    let mut order: Vec<(u128, u32)> = rows.par_iter().enumerate().map(key).collect();
    order.par_sort_unstable_by(|a, b| a.0.cmp(&b.0).then_with(|| id(a.1 as usize).cmp(id(b.1 as usize))));
    let ranked = order.par_iter().map(|(_, row)| rows[*row as usize].ranked(laid.parts[*row as usize])).collect();
    let against = |row: &Row| matches!(row.verdict(), Verdict::Out | Verdict::Blocked);
    let fair = fair(rows.iter().zip(&laid.asking).filter(|(row, _)| !against(row)).filter_map(|(_, asking)| *asking));
    Matched { kind, need, shelf, asked, ranked, shares, fair }
}

/// The rule of an attribute for this job.
fn asked(kind: &Kind, need: &Need, a: usize) -> Asked {
    let attribute = &kind.attributes[a];
    let wants = |k: usize, word: usize| matches!(&need.of[k], Some(n) if matches!(&n.what, Wanted::Words(words) if words.contains(&word)));
    let rule = attribute.instead.iter().find(|i| wants(i.attribute, i.word)).map_or(&attribute.rule, |i| &i.rule);
    let what = need.of[a].as_ref().map(|n| &n.what);
    match (rule, what) {
        (Rule::Free, _) | (_, Some(Wanted::Any)) => Asked::Free,
        (Rule::Words, Some(Wanted::Words(words))) => Asked::Words(words.clone()),
        (Rule::Within(range @ Allowed::Range { .. }), _) => Asked::Within(*range, (0.0, 0.0)),
        (Rule::Within(Allowed::Share { .. }), Some(Wanted::Number { reading, .. })) if reading.si <= 0.0 => Asked::NotKnown,
        (Rule::Within(allowed), Some(Wanted::Number { reading, .. })) => {
            Asked::Within(*allowed, (reading.si, reading.standard_uncertainty_si()))
        }
        _ => Asked::NotKnown,
    }
}

fn stand(asked: &Asked, value: Option<&Value>) -> Stand {
    let of_need = *asked == Asked::NotKnown;
    match (asked, value) {
        (Asked::Free, _) => Stand::NotAsked,
        (Asked::Words(words), Some(Value::Word(word))) => Stand::Chance(f64::from(words.contains(word))),
        (Asked::Within(allowed, need), Some(Value::Number { reading, .. })) => {
            Stand::Chance(share_within((reading.si, reading.standard_uncertainty_si()), *need, *allowed))
        }
        (_, value) => Stand::Unknown { of_part: value.is_none(), of_need },
    }
}

/// One part against one need: how it stands as a whole and in each attribute.
pub(super) fn judge(kind: &Kind, need: &Need, part: &Part, place: usize, shares: &[f64]) -> (Ranked, Vec<Stand>) {
    let stands: Vec<Stand> = (0..kind.attributes.len()).map(|a| stand(&asked(kind, need, a), part.values[a].as_ref())).collect();
    (judged(kind, place, &stands, shares), stands)
}

fn judged(kind: &Kind, part: usize, stands: &[Stand], shares: &[f64]) -> Ranked {
    let mut row = Row::default();
    let counting = || stands.iter().enumerate().filter(|(a, _)| kind.attributes[*a].tier != Tier::May);
    for (a, stand) in counting() {
        match *stand {
            Stand::NotAsked => {}
            Stand::Chance(chance) => row.with(chance, kind.attributes[a].tier),
            Stand::Unknown { .. } => row.unknown += 1,
        }
    }
    row.standing = row.chance;
    let unknown = counting().filter(|(_, stand)| matches!(stand, Stand::Unknown { .. }));
    unknown.for_each(|(a, _)| row.standing *= shares[a]);
    row.ranked(part)
}

/// Doubt of a yes or no with this chance [bit].
fn bits(chance: f64) -> f64 {
    let term = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    term(chance) + term(1.0 - chance)
}

impl<'a> Matched<'a> {
    /// The part in a place.
    pub fn part(&self, ranked: &Ranked) -> &'a Part {
        &self.shelf.parts()[ranked.part]
    }

    /// Every attribute of a part, in the order of its kind.
    pub fn lines(&self, ranked: &Ranked) -> Vec<Line> {
        let values = &self.part(ranked).values;
        let line = |a: usize| Line { attribute: a, stand: stand(&self.asked[a], values[a].as_ref()) };
        (0..self.asked.len()).map(line).collect()
    }

    /// What counts and is not known of the job: measured once, it serves for every part.
    pub fn need_lacks(&self) -> Vec<usize> {
        let counts = |a: &usize| self.asked[*a] == Asked::NotKnown && self.kind.attributes[*a].tier != Tier::May;
        (0..self.asked.len()).filter(counts).collect()
    }

    /// What to measure next on a part: most bits a minute, whether it fits in what was not measured or, where all was, in what the ± leave open. `None` where
    /// it is ruled out, or nothing on the part is left to measure.
    pub fn next(&self, ranked: &Ranked) -> Option<Next> {
        if matches!(ranked.verdict, Verdict::Blocked | Verdict::Out | Verdict::Match) {
            return None;
        }
        let worth = |line: &Line| {
            let attribute = &self.kind.attributes[line.attribute];
            let (bits, closer) = match line.stand {
                Stand::Unknown { of_part: true, of_need: false } => (bits(self.shares[line.attribute]), false),
                Stand::Chance(chance) if chance < FITS => (bits(chance), true),
                _ => return None,
            };
            (attribute.tier != Tier::May).then_some(Next { attribute: line.attribute, bits, minutes: attribute.minutes, closer })
        };
        let all: Vec<Next> = self.lines(ranked).iter().filter_map(worth).collect();
        let open = all.iter().any(|n| !n.closer);
        let wanted = all.into_iter().filter(|n| n.closer != open);
        // The first of equals stays.
        wanted.reduce(|best, n| if n.bits / n.minutes > best.bits / best.minutes { n } else { best })
    }

    /// The prices beside which a part is dear, if it is.
    pub fn dear(&self, ranked: &Ranked) -> Option<&Fair> {
        let price = self.part(ranked).price.as_ref()?;
        let fair = self.fair.iter().find(|f| f.currency == price.currency)?;
        (price.amount > fair.dear_above()?).then_some(fair)
    }
}
