//! Which faults of the charging the readings look like.

mod shown;

use super::{
    NotTold,
    alternator::{Alternator, Moved, On},
    charge::Compared,
};
use crate::{
    machine::charging::ChargeSeen,
    study::{Finding, doubt::change},
};
use physics::{interval::normal_density, together::together};
use quantity::Reading;
use shown::kinds;

pub use shown::{Fault, Shown, Signature, What, shown, signatures};

/// What the model of a fault may be off by beside the doubt of its inputs \[1\] (own choice): sines for EMFs, straight diodes, no iron.
const MODEL: f64 = 0.05;
/// The same at nought: amps [A] and volts [V] (own choice).
const FLOOR: f64 = 0.15;
/// The same for the battery's volts \[1\] (own choice): what sets them is the regulator, whose ± is in the file, not the alternator's model.
const MODEL_VOLTS: f64 = 0.015;

/// By how much the volts without load of sound alternators of one kind scatter about a record, as a ± of its share \[1\] (common practice, no source).
pub const RECORD: f64 = 0.10;

/// How far the model may be off by itself. What goes into the battery is a small difference between what the alternator gives and what the loads take: it is off by a share of what is given.
fn model(what: What, there: &Shown) -> f64 {
    match what {
        What::Volts => MODEL_VOLTS * there.volts,
        What::Amps => MODEL * there.rectified,
        _ => MODEL * there.of(what),
    }
}

/// Standard deviations of a mean square by which the best fault may miss the readings \[1\] (own choice).
const FAR: f64 = 3.0;

/// Faults of one kind, weighed by the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// The place and size of it that fits best.
    pub best: Fault,
    /// Share, all kinds equally likely before \[1\].
    pub share: f64,
    /// Mean square of what the best misses, in its own spread \[1\].
    pub misfit: f64,
}

/// What the readings look like.
#[derive(Clone, Debug, PartialEq)]
pub struct Likeness {
    /// Kinds of fault, likeliest first.
    pub kinds: Vec<Weighed>,
    /// Readings that were weighed.
    pub readings: usize,
    /// Whether the best fits at all.
    pub fits: bool,
}

/// Readings of a set with what they are.
fn readings(seen: &ChargeSeen) -> Vec<(What, &Reading)> {
    let plain = [(What::Amps, &seen.amps), (What::Volts, &seen.volts), (What::Ripple, &seen.ripple)];
    let leads = (0..3).map(|k| (What::Leads(k), &seen.leads[k]));
    let bare = (0..3).map(|k| (What::Unplugged(k), &seen.unplugged[k]));
    plain.into_iter().chain(leads).chain(bare).filter_map(|(what, reading)| Some((what, reading.as_ref()?))).collect()
}

fn on(seen: &ChargeSeen) -> On {
    if seen.lights { On::All } else { On::Needed }
}

/// A set of readings with what meters show on a sound system, and the ± of that from its inputs and the speed.
pub struct Set<'m> {
    seen: &'m ChargeSeen,
    readings: Vec<(What, &'m Reading)>,
    middle: Shown,
    /// With each input moved up and down by its ±; `None` where that has no solution.
    moved: Vec<[Option<Shown>; 2]>,
    /// With the recorded volts moved up and down by [`RECORD`].
    scattered: [Option<Shown>; 2],
}

impl Set<'_> {
    fn change(&self, what: What, [up, down]: &[Option<Shown>; 2]) -> f64 {
        let of = |shown: &Option<Shown>| shown.as_ref().map_or(f64::NAN, |s| s.of(what));
        let by = change(self.middle.of(what), of(up), of(down));
        if by.is_finite() { by } else { 0.0 }
    }

    /// What each input's ± changes of one reading of a sound system, the speed last.
    fn changes(&self, what: What) -> impl Iterator<Item = f64> {
        self.moved.iter().map(move |moved| self.change(what, moved))
    }

    /// ± of one reading of a sound system.
    fn by(&self, what: What) -> f64 {
        self.changes(what).map(|by| by.powi(2)).sum::<f64>().sqrt()
    }
}

/// All sets of readings.
///
/// # Errors
/// [`NotTold`].
pub fn sets<'m>(a: &Alternator<'m>) -> Result<Vec<Set<'m>>, NotTold> {
    let x = a.middle();
    let one = |seen: &'m ChargeSeen| {
        let at = |x: &Moved, speed: f64| shown(a, x, Fault::Sound, speed, on(seen));
        let mut moved = Vec::new();
        for (k, (_, by)) in a.doubts().iter().enumerate().filter(|(_, d)| d.1 > 0.0) {
            let there = |sign: f64| {
                let mut x = x;
                x[k] += sign * by;
                at(&x, seen.speed.si).ok()
            };
            moved.push([there(1.0), there(-1.0)]);
        }
        let by = seen.speed.plus_minus_si;
        if by > 0.0 {
            moved.push([at(&x, seen.speed.si + by).ok(), at(&x, seen.speed.si - by).ok()]);
        }
        let scattered = [1.0, -1.0].map(|sign| {
            let mut x = x;
            x[0] *= 1.0 + sign * RECORD;
            at(&x, seen.speed.si).ok()
        });
        Ok(Set { seen, readings: readings(seen), middle: at(&x, seen.speed.si)?, moved, scattered })
    };
    a.charging.seen.iter().map(one).collect()
}

/// Every set of readings beside a sound system: crank speed [rad/s] and the readings.
pub fn compared(sets: &[Set]) -> Vec<(f64, Vec<Compared>)> {
    let of = |set: &Set| {
        let list = set.readings.iter().filter(|(what, _)| set.middle.of(*what).is_finite()).map(|(what, r)| {
            let si = set.middle.of(*what);
            let own = set.by(*what).hypot(model(*what, &set.middle)).hypot(FLOOR);
            Compared { what: *what, read: Finding::of(r), computed: Finding { si, plus_minus_si: own } }
        });
        (set.seen.speed.si, list.collect())
    };
    sets.iter().map(of).collect()
}

/// How readings of all sets lie to a fault.
#[derive(Default)]
struct Lies {
    off: Vec<f64>,
    variances: Vec<f64>,
    /// What one standard deviation of each error changes of each reading: inputs first, which all sets share, then the speed of each set.
    shared: Vec<Vec<f64>>,
    /// Logarithm of the density of readings that the fault cannot show.
    untold: f64,
}

fn lies(a: &Alternator, x: &Moved, sets: &[Set], fault: Fault) -> Result<Lies, NotTold> {
    let inputs = a.doubts().iter().filter(|d| d.1 > 0.0).count();
    let mut all = Lies::default();
    let mut rows: Vec<(usize, Vec<f64>)> = Vec::new();
    let mut record = Vec::new();
    for (n, set) in sets.iter().enumerate() {
        let there = shown(a, x, fault, set.seen.speed.si, on(set.seen))?;
        for (what, reading) in &set.readings {
            let si = there.of(*what);
            let by_model = if si.is_finite() { model(*what, &there) } else { MODEL * reading.si };
            let own = 0.5 * by_model.hypot(FLOOR).hypot(reading.plus_minus_si);
            if si.is_finite() {
                all.off.push(reading.si - si);
                all.variances.push(own * own);
                rows.push((n, set.changes(*what).map(|by| 0.5 * by).collect()));
                record.push(0.5 * set.change(*what, &set.scattered));
            } else {
                // What this fault cannot show stands for a reading that is as far off as another might be.
                let u = own.hypot(0.5 * set.by(*what));
                all.untold += normal_density(u, u).ln();
            }
        }
    }
    let column = |k: usize| rows.iter().map(|(_, changes)| changes[k]).collect();
    all.shared = (0..inputs).map(column).chain([record]).collect();
    for n in 0..sets.len() {
        let speed = |(of, changes): &(usize, Vec<f64>)| if *of == n { changes.get(inputs).copied().unwrap_or(0.0) } else { 0.0 };
        all.shared.push(rows.iter().map(speed).collect());
    }
    Ok(all)
}

/// Which faults the readings look like; `None` without any reading that tells.
///
/// Each kind counts as equally likely before; its places and sizes share that. The likelihood of a fault is the normal density of all readings together: the reading's own ± and that of
/// the model are each reading's, and what an input of the file is not sure of (turns and flux by the volts without load and how records scatter, resistance, inductance, regulator, battery, loads) moves
/// all readings that rest on it at once, as much as on a sound system. The speed is the error of its set.
///
/// # Errors
/// [`NotTold`].
pub fn likeness(a: &Alternator, sets: &[Set]) -> Result<Option<Likeness>, NotTold> {
    let x = a.middle();
    let mut weighed = Vec::new();
    let mut count = 0;
    for places in kinds(a) {
        let mut tried = Vec::new();
        for fault in places.iter().copied() {
            let there = lies(a, &x, sets, fault)?;
            let found = together(&there.off, &there.variances, &there.shared);
            count = count.max(there.off.len());
            tried.push(Tried { fault, log: found.log_density + there.untold, squares: found.squares, readings: there.off.len() });
        }
        weighed.push(tried);
    }
    if count == 0 {
        return Ok(None);
    }
    let most = weighed.iter().flatten().map(|t| t.log).fold(f64::NEG_INFINITY, f64::max);
    let weight = |tried: &[Tried]| tried.iter().map(|t| (t.log - most).exp()).sum::<f64>() / tried.len() as f64;
    let total: f64 = weighed.iter().map(|tried| weight(tried)).sum();
    let best = |tried: &[Tried]| tried.iter().copied().reduce(|p, q| if q.log > p.log { q } else { p });
    let kind = |tried: &Vec<Tried>| {
        let best = best(tried)?;
        let misfit = best.squares / best.readings.max(1) as f64;
        Some(Weighed { best: best.fault, share: weight(tried) / total, misfit })
    };
    let mut kinds: Vec<Weighed> = weighed.iter().filter_map(kind).collect();
    kinds.sort_by(|p, q| q.share.total_cmp(&p.share));
    // The square of n readings has mean n and deviation √(2n).
    let fits = weighed.iter().flatten().any(|t| {
        let n = t.readings as f64;
        t.squares <= n + FAR * (2.0 * n).sqrt()
    });
    Ok(Some(Likeness { kinds, readings: count, fits }))
}

/// A fault beside the readings.
#[derive(Clone, Copy)]
struct Tried {
    fault: Fault,
    /// Logarithm of the likelihood.
    log: f64,
    squares: f64,
    /// Readings that it can show.
    readings: usize,
}
