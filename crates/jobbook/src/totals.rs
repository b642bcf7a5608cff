//! Time and cost of a job.

use crate::Present;
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

impl Present {
    /// Adds up the parts and times that stand.
    pub fn totals(&self) -> Totals {
        let mut totals = Totals::default();
        for (_, part) in self.parts() {
            match &part.price {
                Some(price) => {
                    let cost = totals.cost.entry(price.currency.clone()).or_default();
                    cost.parts = cost.parts.saturating_add((part.quantity * price.minor as f64).round() as i64);
                }
                None => totals.unpriced += 1,
            }
        }
        for (_, work) in self.works() {
            totals.minutes += u64::from(work.minutes);
            match &work.hourly {
                Some(price) => {
                    let cost = totals.cost.entry(price.currency.clone()).or_default();
                    cost.work = cost.work.saturating_add((f64::from(work.minutes) / HOUR * price.minor as f64).round() as i64);
                }
                None => totals.unpriced += 1,
            }
        }
        totals
    }
}
