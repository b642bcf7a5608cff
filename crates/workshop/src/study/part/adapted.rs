//! What would make a part fit that does not: the adaptations that take its misfits away, the quickest together.

use super::{
    kind::Tier,
    need::Wanted,
    rank::{Asked, Matched, OUT, Ranked, Stand},
    value::Value,
    ways::{Adaptation, Cost, Removes, Side, Ways},
};
use crate::study::Finding;
use physics::within::Allowed;

/// Most adaptations that are tried in every combination \[1\] (own choice): a kind of the program has fewer. Those past it are told.
pub const TRIED_TOGETHER: usize = 12;

/// What is offered for a part that does not fit. It never hides what rules the part out.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer<'w> {
    /// What is to be done, in the order of the data.
    pub with: Vec<&'w Adaptation>,
    /// The misfits that this takes away, as attributes.
    pub removed: Vec<usize>,
    /// Those that stay.
    pub stays: Vec<usize>,
    /// How long it takes together [min].
    pub minutes: Finding,
    /// What it costs together, where it is all in one currency.
    pub cost: Option<Cost>,
    /// Adaptations past [`TRIED_TOGETHER`] that take something away too and were not tried.
    pub untried: usize,
}

impl Offer<'_> {
    /// With all of it done, nothing that is known speaks against the part.
    pub fn whole(&self) -> bool {
        self.stays.is_empty()
    }
}

impl Matched<'_> {
    /// What rules a part out or lies out of tolerance.
    pub fn misfits(&self, ranked: &Ranked) -> Vec<usize> {
        let fails = |stand: Stand| matches!(stand, Stand::Chance(c) if c <= OUT);
        let counts = |a: usize| self.kind.attributes[a].tier != Tier::May;
        self.lines(ranked).iter().filter(|l| fails(l.stand) && counts(l.attribute)).map(|l| l.attribute).collect()
    }

    /// The adaptations that take most misfits of a part away, the quickest of them; `None` where nothing misfits or nothing helps.
    pub fn offer<'w>(&self, ways: &'w Ways, ranked: &Ranked) -> Option<Offer<'w>> {
        let misfits = self.misfits(ranked);
        let of_kind = |a: &&Adaptation| a.kind == self.need.kind;
        let takes = |a: &Adaptation, misfit: usize| a.removes.iter().any(|r| r.attribute == misfit && self.applies(r, ranked));
        let helps = |a: &&Adaptation| misfits.iter().any(|m| takes(a, *m));
        let mut helping: Vec<&Adaptation> = ways.adaptations.iter().filter(of_kind).filter(helps).collect();
        let untried = helping.len().saturating_sub(TRIED_TOGETHER);
        helping.truncate(TRIED_TOGETHER);
        if helping.is_empty() {
            return None;
        }
        let chosen = |mask: u32| helping.iter().enumerate().filter(move |(n, _)| mask & (1 << n) != 0).map(|(_, a)| *a);
        let removed = |mask: u32| misfits.iter().filter(|m| chosen(mask).any(|a| takes(a, **m))).count();
        let minutes = |mask: u32| chosen(mask).map(|a| a.minutes.0).sum::<f64>();
        let best = (1..1_u32 << helping.len()).min_by(|a, b| {
            let key = |mask: u32| (misfits.len() - removed(mask), minutes(mask));
            let (x, y) = (key(*a), key(*b));
            x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).then(a.cmp(b))
        })?;
        let with: Vec<&Adaptation> = chosen(best).collect();
        let (removed, stays) = misfits.iter().partition(|m| with.iter().any(|a| takes(a, **m)));
        let square = with.iter().map(|a| a.minutes.1.powi(2)).sum::<f64>();
        let one = with.iter().all(|a| a.cost.currency == with[0].cost.currency);
        let cost = one.then(|| Cost {
            amount: with.iter().map(|a| a.cost.amount).sum(),
            plus_minus: with.iter().map(|a| a.cost.plus_minus.powi(2)).sum::<f64>().sqrt(),
            currency: with[0].cost.currency.clone(),
        });
        Some(Offer { removed, stays, minutes: Finding { si: minutes(best), plus_minus_si: square.sqrt() }, cost, untried, with })
    }

    /// Whether a part misfits in the way that an adaptation takes away.
    fn applies(&self, removes: &Removes, ranked: &Ranked) -> bool {
        match &self.part(ranked).values[removes.attribute] {
            Some(Value::Word(w)) => removes.has.is_empty() || removes.has.contains(w),
            Some(Value::Number { reading, .. }) => removes.side.is_none_or(|side| {
                let wanted = match &self.need.of[removes.attribute].as_ref().map(|n| &n.what) {
                    Some(Wanted::Number { reading, .. }) => reading.si,
                    _ => f64::NAN,
                };
                let edges = match &self.asked[removes.attribute] {
                    Asked::Within(Allowed::Share { least, most }, _) => (least * wanted, most * wanted),
                    Asked::Within(Allowed::Off { below, above }, _) => (wanted - below, wanted + above),
                    Asked::Within(Allowed::Range { least, most }, _) => (*least, *most),
                    _ => return false,
                };
                match side {
                    Side::Less => reading.si < edges.0,
                    Side::More => reading.si > edges.1,
                }
            }),
            None => false,
        }
    }
}
