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
use rayon::prelude::*;
use shown::{kinds, unplugged};

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

/// Readings that were taken together, with what meters show there: on a sound system, with the ± of that from its inputs and the speed, and with every fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// Crank speed [rad/s].
    speed: Finding,
    readings: Vec<(What, Finding)>,
    middle: Shown,
    /// With each input moved up and down by its ±, the speed last; `None` where that has no solution.
    moved: Vec<[Option<Shown>; 2]>,
    /// With the recorded volts moved up and down by [`RECORD`].
    scattered: [Option<Shown>; 2],
    /// With every fault, in the order of [`kinds`].
    faults: Vec<Shown>,
}

impl Set {
    /// Works out what meters show where these were read, at a crank speed [rad/s] with this switched on.
    ///
    /// # Errors
    /// [`NotTold`].
    pub fn of(a: &Alternator, speed: Finding, on: On, readings: Vec<(What, Finding)>) -> Result<Self, NotTold> {
        let x = a.middle();
        let plugged = readings.iter().any(|(what, _)| !matches!(what, What::Unplugged(_)));
        let at = |x: &Moved, fault: Fault, speed: f64| {
            if plugged { shown(a, x, fault, speed, on) } else { unplugged(a, x, fault, speed) }
        };
        let input = |k: usize, by: f64| {
            [by, -by].map(|by| {
                let mut x = x;
                x[k] += by;
                at(&x, Fault::Sound, speed.si).ok()
            })
        };
        let doubts = a.doubts();
        let doubted: Vec<(usize, f64)> = doubts.iter().map(|d| d.1).enumerate().filter(|(_, by)| *by > 0.0).collect();
        let mut moved: Vec<[Option<Shown>; 2]> = doubted.par_iter().map(|(k, by)| input(*k, *by)).collect();
        let by = speed.plus_minus_si;
        if by > 0.0 {
            moved.push([by, -by].map(|by| at(&x, Fault::Sound, speed.si + by).ok()));
        }
        // At the battery the phases are alike, and so is a fault in any of them.
        let at_battery = readings.iter().all(|(what, _)| matches!(what, What::Amps | What::Volts | What::Ripple));
        let faults: Vec<Fault> =
            kinds(a).concat().into_iter().map(|fault| if at_battery { fault.in_first_phase() } else { fault }).collect();
        let apart: Vec<Fault> = faults.iter().enumerate().filter(|(k, f)| !faults[..*k].contains(f)).map(|(_, f)| *f).collect();
        let there: Vec<Shown> = apart.par_iter().map(|fault| at(&x, *fault, speed.si)).collect::<Result<_, _>>()?;
        let of = |fault: &Fault| apart.iter().position(|f| f == fault).map(|k| there[k]);
        Ok(Self {
            speed,
            readings,
            middle: at(&x, Fault::Sound, speed.si)?,
            moved,
            scattered: input(0, x[0] * RECORD),
            faults: faults.iter().filter_map(of).collect(),
        })
    }

    /// The same with the readings of these kinds alone; `None` where there are none.
    pub fn only(&self, kept: impl Fn(What) -> bool) -> Option<Self> {
        let mut set = self.clone();
        set.readings.retain(|(what, _)| kept(*what));
        (!set.readings.is_empty()).then_some(set)
    }

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

/// All sets of readings of the file.
///
/// # Errors
/// [`NotTold`].
pub fn sets(a: &Alternator) -> Result<Vec<Set>, NotTold> {
    let one = |seen: &ChargeSeen| {
        let plain = [(What::Amps, &seen.amps), (What::Volts, &seen.volts), (What::Ripple, &seen.ripple)];
        let leads = (0..3).map(|k| (What::Leads(k), &seen.leads[k]));
        let bare = (0..3).map(|k| (What::Unplugged(k), &seen.unplugged[k]));
        let all = plain.into_iter().chain(leads).chain(bare);
        let readings = all.filter_map(|(what, reading)| Some((what, Finding::of(reading.as_ref()?)))).collect();
        Set::of(a, Finding::of(&seen.speed), if seen.lights { On::All } else { On::Needed }, readings)
    };
    a.charging.seen.iter().map(one).collect()
}

/// Every set of readings beside a sound system: crank speed [rad/s] and the readings.
pub fn compared(sets: &[Set]) -> Vec<(f64, Vec<Compared>)> {
    let of = |set: &Set| {
        let list = set.readings.iter().filter(|(what, _)| set.middle.of(*what).is_finite()).map(|&(what, read)| {
            let si = set.middle.of(what);
            let own = set.by(what).hypot(model(what, &set.middle)).hypot(FLOOR);
            Compared { what, read, computed: Finding { si, plus_minus_si: own } }
        });
        (set.speed.si, list.collect())
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

/// How they lie to a fault, by its place among all.
fn lies(inputs: usize, sets: &[&Set], fault: usize) -> Lies {
    let mut all = Lies::default();
    let mut rows: Vec<(usize, Vec<f64>)> = Vec::new();
    let mut record = Vec::new();
    for (n, set) in sets.iter().enumerate() {
        let there = &set.faults[fault];
        for &(what, reading) in &set.readings {
            let si = there.of(what);
            let by_model = if si.is_finite() { model(what, there) } else { MODEL * reading.si };
            let own = 0.5 * by_model.hypot(FLOOR).hypot(reading.plus_minus_si);
            if si.is_finite() {
                all.off.push(reading.si - si);
                all.variances.push(own * own);
                rows.push((n, set.changes(what).map(|by| 0.5 * by).collect()));
                record.push(0.5 * set.change(what, &set.scattered));
            } else {
                // What this fault cannot show stands for a reading that is as far off as another might be.
                let u = own.hypot(0.5 * set.by(what));
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
    all
}

/// Which faults the readings look like; `None` without any reading that tells.
///
/// Each kind counts as equally likely before; its places and sizes share that. The likelihood of a fault is the normal density of all readings together: the reading's own ± and that of
/// the model are each reading's, and what an input of the file is not sure of (turns and flux by the volts without load and how records scatter, resistance, inductance, regulator, battery, loads) moves
/// all readings that rest on it at once, as much as on a sound system. The speed is the error of its set.
///
/// Where it is not known how a set was taken, each way is one of `ways`, all equally likely before: the density is their mean.
pub fn likeness(a: &Alternator, ways: &[Vec<&Set>]) -> Option<Likeness> {
    let inputs = a.doubts().iter().filter(|d| d.1 > 0.0).count();
    let mut places = 0..;
    let mut tried = |fault: Fault| {
        let place = places.next()?;
        let one = |sets: &Vec<&Set>| {
            let there = lies(inputs, sets, place);
            let found = together(&there.off, &there.variances, &there.shared);
            Tried { fault, log: found.log_density + there.untold, squares: found.squares, readings: there.off.len() }
        };
        Some(ways.iter().map(one).collect::<Vec<_>>())
    };
    let weighed: Vec<Vec<Tried>> =
        kinds(a).iter().map(|places| places.iter().filter_map(|fault| tried(*fault)).flatten().collect()).collect();
    let count = weighed.iter().flatten().map(|t| t.readings).max().filter(|n| *n > 0)?;
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
    Some(Likeness { kinds, readings: count, fits })
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
