//! Readings of a job beside what the machine's file has or gives: the one way for page, paper and JSON.

use crate::faults::kept;
use jobbook::{Present, Reading};
use quantity::Unit;
use workshop::{
    job::named,
    machine::Machine,
    study::{
        Finding,
        spark::beside::{Kept, beside},
    },
};

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Key of the quantity.
    pub what: String,
    /// Where it was read; empty where there is but one.
    pub place: String,
    /// The reading, and what is computed for it, in the reading's unit.
    pub read: Finding,
    /// See `read`.
    pub computed: Finding,
    /// That unit.
    pub unit: &'static str,
    /// Whether they agree within the ± of both.
    pub agrees: bool,
    /// A sentence.
    pub said: String,
}

/// All that the file says something of, in the order of the job.
pub fn of_job(machine: &Machine, present: &Present) -> Vec<Beside> {
    let readings: Vec<&Reading> = present.readings().map(|(_, r)| r).collect();
    let kept: Vec<Kept> = readings.iter().map(|r| kept(r)).collect();
    let one = |b: &workshop::study::spark::beside::Beside| {
        let r = readings[b.kept];
        let unit = Unit::named(&r.unit).or_else(|| named(&r.what)?.dimension.units().first().copied())?;
        let name = if r.place.is_empty() { r.words.clone() } else { format!("{}, {}", r.words, r.place) };
        let by_unit =
            |f: Finding| Finding { si: unit.from_si(f.si), plus_minus_si: unit.from_si(f.plus_minus_si) - unit.from_si(0.0) };
        Some(Beside {
            what: r.what.clone(),
            place: r.place.clone(),
            read: by_unit(b.check.read),
            computed: by_unit(b.check.computed),
            unit: unit.symbol(),
            agrees: b.check.agrees(),
            said: sheets::words::spark::beside(&name, &r.typed, b, unit),
        })
    };
    beside(machine, &kept).iter().filter_map(one).collect()
}
