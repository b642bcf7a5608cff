//! Time and cost of a job.

use crate::{Part, Present, Price, Work};
use std::collections::BTreeMap;

/// Minutes in an hour.
const HOUR: f64 = 60.0;

/// What a job took.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Time spent [min].
    pub minutes: u64,
    /// Cost by currency. Currencies are not added up: the book knows no rates.
    pub cost: BTreeMap<String, Cost>,
    /// Parts and times without a price.
    pub unpriced: u32,
}

/// Cost in one currency, in its smallest unit. Each entry is rounded to it by itself, as the lines of a bill are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Of parts.
    pub parts: i64,
    /// Of time.
    pub work: i64,
}

impl Price {
    /// So many times this price, rounded to the smallest unit.
    fn times(&self, n: f64) -> Price {
        Price { minor: (n * self.minor as f64).round() as i64, currency: self.currency.clone() }
    }
}

impl Part {
    /// Price of all of it; `None` where no price is noted.
    pub fn cost(&self) -> Option<Price> {
        self.price.as_ref().map(|each| each.times(self.quantity))
    }
}

impl Work {
    /// Price of the time; `None` where no price is noted.
    pub fn cost(&self) -> Option<Price> {
        self.hourly.as_ref().map(|hour| hour.times(f64::from(self.minutes) / HOUR))
    }
}

impl Present {
    /// Adds up the parts and times that stand.
    pub fn totals(&self) -> Totals {
        let mut totals = Totals::default();
        for (_, part) in self.parts() {
            match part.cost() {
                Some(price) => {
                    let cost = totals.cost.entry(price.currency).or_default();
                    cost.parts = cost.parts.saturating_add(price.minor);
                }
                None => totals.unpriced += 1,
            }
        }
        for (_, work) in self.works() {
            totals.minutes += u64::from(work.minutes);
            match work.cost() {
                Some(price) => {
                    let cost = totals.cost.entry(price.currency).or_default();
                    cost.work = cost.work.saturating_add(price.minor);
                }
                None => totals.unpriced += 1,
            }
        }
        totals
    }
}
