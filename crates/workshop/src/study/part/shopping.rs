//! What to buy, what it may cost at most, and what to measure at the stall before it is paid for.

use super::{
    kind::Tier,
    rank::{Matched, Ranked, Stand, Verdict},
    shelf::Known,
    ways::Ways,
};

/// Parts on the list \[1\] (own choice): what one looks for in a day.
pub const LISTED: usize = 8;

/// A part to look for.
#[derive(Clone, Debug, PartialEq)]
pub struct Buy<'a> {
    /// It.
    pub ranked: &'a Ranked,
    /// Most to pay, in the currency of its price, what has to be done to it taken off; `None` where too few prices are known.
    pub most: Option<f64>,
    /// What to measure before it is paid for, as attributes: what rules out first, then the quickest.
    pub measure: Vec<usize>,
    /// How long that takes [min].
    pub minutes: f64,
}

impl Matched<'_> {
    /// What to buy: parts with a price against which nothing that is known speaks, or whose misfits can all be taken away; the best first. What was only quoted, or not
    /// known at all, is measured before it is paid for.
    pub fn shopping(&self, ways: &Ways) -> Vec<Buy<'_>> {
        let buy = |ranked: &'_ Ranked| -> Option<(Vec<usize>, Option<f64>)> {
            let price = self.part(ranked).price.as_ref()?;
            let offer = self.offer(ways, ranked);
            if matches!(ranked.verdict, Verdict::Out | Verdict::Blocked) && !offer.as_ref().is_some_and(|o| o.whole()) {
                return None;
            }
            let fair = self.fair.iter().find(|f| f.currency == price.currency).and_then(|f| f.dear_above());
            let most = match offer.as_ref().map(|o| &o.cost) {
                None => fair,
                Some(Some(cost)) if cost.currency == price.currency => fair.map(|f| (f - cost.amount).max(0.0)),
                Some(_) => None,
            };
            let part = self.part(ranked);
            let open = |stand: Stand, a: usize| match stand {
                Stand::NotAsked => false,
                Stand::Unknown { of_part, .. } => of_part,
                Stand::Chance(_) => matches!(part.origin(a).known, Known::Quoted(_)),
            };
            let counts = |a: usize| self.kind.attributes[a].tier != Tier::May;
            let lines = self.lines(ranked);
            let mut measure: Vec<usize> =
                lines.iter().filter(|l| counts(l.attribute) && open(l.stand, l.attribute)).map(|l| l.attribute).collect();
            measure.sort_by(|a, b| {
                let (a, b) = (&self.kind.attributes[*a], &self.kind.attributes[*b]);
                (a.tier != Tier::Blocker).cmp(&(b.tier != Tier::Blocker)).then(a.minutes.total_cmp(&b.minutes))
            });
            Some((measure, most))
        };
        let list = self.ranked.iter().filter_map(|ranked| {
            let (measure, most) = buy(ranked)?;
            let minutes = measure.iter().map(|a| self.kind.attributes[*a].minutes).sum();
            Some(Buy { ranked, most, measure, minutes })
        });
        list.take(LISTED).collect()
    }
}
