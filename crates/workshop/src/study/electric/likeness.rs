//! How faults of the charging show on a meter, and which of them readings look like.

use super::{
    NotTold,
    alternator::{Alternator, Moved, On},
    charge::Compared,
};
use crate::{
    machine::charging::{ChargeSeen, Keeps, Kind},
    study::{Finding, doubt::change},
};
use physics::{
    charge::{Bus, Circuit, NotSettled, Regulated, Regulator, Valve, steady},
    interval::normal_density,
    together::together,
};
use quantity::Reading;

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
/// Meters that answer to the mean of the size show π/(2√2) of it, so that a sine reads right \[1\], exact.
const METER: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);
/// Standard deviations of a mean square by which the best fault may miss the readings \[1\] (own choice).
const FAR: f64 = 3.0;

/// A fault, with its place (input or phase, from 0) or size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// None.
    Sound,
    /// A phase that is broken.
    DeadPhase(usize),
    /// A diode that no longer conducts: input, and whether it is the one to plus.
    OpenDiode(usize, bool),
    /// A diode that conducts both ways.
    ShortedDiode(usize, bool),
    /// Magnets with this share of their flux left \[1\].
    WeakMagnets(f64),
    /// A phase with this share of its turns shorted \[1\].
    TurnsShorted(usize, f64),
    /// A phase with a joint of this resistance in it [Ω].
    BadJoint(usize, f64),
    /// A shunt regulator that joins the windings for good.
    AlwaysJoined,
    /// A regulator that does not regulate.
    NeverHeld,
}

/// Kinds of reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Amps into the battery.
    Amps,
    /// Volts at it.
    Volts,
    /// Alternating volts at it.
    Ripple,
    /// Alternating volts between leads 1–2, 2–3, 3–1, plugged in.
    Leads(usize),
    /// The same with the rectifier unplugged.
    Unplugged(usize),
}

/// What meters would show; what cannot be told is not a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Amps into the battery [A].
    pub amps: f64,
    /// Amps out of the rectifier [A], which no meter of the table reads.
    pub rectified: f64,
    /// Volts at it [V].
    pub volts: f64,
    /// Alternating volts at it [V].
    pub ripple: f64,
    /// Alternating volts between leads, plugged in [V].
    pub leads: [f64; 3],
    /// The same unplugged [V].
    pub unplugged: [f64; 3],
}

impl Shown {
    /// One of them.
    pub fn of(&self, what: What) -> f64 {
        match what {
            What::Amps => self.amps,
            What::Volts => self.volts,
            What::Ripple => self.ripple,
            What::Leads(k) => self.leads[k],
            What::Unplugged(k) => self.unplugged[k],
        }
    }
}

/// A fault and how it shows at one speed with everything on.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// The fault.
    pub fault: Fault,
    /// Crank speed [rad/s].
    pub crank_rad_s: f64,
    /// What meters show.
    pub shown: Shown,
}

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

impl Fault {
    /// A circuit with this fault.
    pub fn put_into(self, c: Circuit) -> Circuit {
        with(c, self)
    }
}

fn with(mut c: Circuit, fault: Fault) -> Circuit {
    match fault {
        Fault::Sound | Fault::AlwaysJoined | Fault::NeverHeld => {}
        Fault::DeadPhase(k) => c.windings[k].open = true,
        Fault::OpenDiode(k, true) => c.terminals[k].upper = Valve::Open,
        Fault::OpenDiode(k, false) => c.terminals[k].lower = Valve::Open,
        Fault::ShortedDiode(k, true) => c.terminals[k].upper = Valve::Shorted,
        Fault::ShortedDiode(k, false) => c.terminals[k].lower = Valve::Shorted,
        Fault::WeakMagnets(left) => c.windings.iter_mut().for_each(|w| w.linkage_vs *= left),
        Fault::TurnsShorted(k, share) => {
            // What is left of the turns; the current in the shorted ones is left out.
            let left = 1.0 - share;
            let w = &mut c.windings[k];
            (w.linkage_vs, w.resistance_ohm, w.inductance_h) =
                (w.linkage_vs * left, w.resistance_ohm * left, w.inductance_h * left * left);
        }
        Fault::BadJoint(k, ohm) => c.windings[k].resistance_ohm += ohm,
    }
    c
}

/// What meters show with a fault at a crank speed [rad/s].
///
/// # Errors
/// [`NotSettled`].
pub fn shown(a: &Alternator, x: &Moved, fault: Fault, crank_rad_s: f64, on: On) -> Result<Shown, NotSettled> {
    let omega = a.electrical(crank_rad_s);
    let circuit = with(a.circuit(x), fault);
    let taken = a.taken(x, on);
    let regulator = match (fault, a.regulator(x)) {
        (Fault::AlwaysJoined, Regulator::Shunt { switch_v, .. }) => Regulator::Shunt { set_v: 0.0, switch_v },
        (Fault::NeverHeld, _) => Regulator::None,
        (_, sound) => sound,
    };
    let r = a.works(x, &circuit, regulator, on, omega)?;
    let mut bare = circuit;
    bare.terminals.iter_mut().for_each(|t| (t.upper, t.lower) = (Valve::Open, Valve::Open));
    // A lead that hangs on nothing shows nothing.
    let unplugged = steady(&bare, Bus { emf_v: 0.0, resistance_ohm: 0.0 }, omega)?
        .totals
        .between_rms_v
        .map(|v| if v.is_nan() { 0.0 } else { v });
    Ok(Shown {
        amps: r.battery_a,
        rectified: r.rectified_a,
        volts: r.plus_v,
        ripple: ripple(&r, &taken),
        leads: leads(&r, regulator, unplugged),
        unplugged,
    })
}

/// Alternating volts at the battery; while a regulator switches nobody can say.
fn ripple(r: &Regulated, taken: &physics::charge::Taken) -> f64 {
    let t = &r.open.totals;
    if r.through < 1.0 {
        f64::NAN
    } else {
        (t.rms_a * t.rms_a - t.mean_a * t.mean_a).max(0.0).sqrt() * taken.bus().resistance_ohm
    }
}

fn leads(r: &Regulated, regulator: Regulator, unplugged: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|k| {
        let held = match (regulator, &r.joined) {
            (_, Some(joined)) => joined.between_mean_v[k] * METER,
            // Windings left open.
            (Regulator::Series { .. }, None) => unplugged[k],
            _ => 0.0,
        };
        let open = r.open.totals.between_mean_v[k] * METER;
        if r.through < 1.0 { r.through * open + (1.0 - r.through) * held } else { open }
    })
}

/// Faults that this alternator can have: for each kind all places and sizes, the one that stands for it first.
fn kinds(a: &Alternator) -> Vec<Vec<Fault>> {
    let (phases, inputs) = match a.charging.kind {
        Kind::HalfWave => (1, 1),
        Kind::FullWave => (1, 2),
        Kind::Star | Kind::Delta => (3, 3),
    };
    let phase = 0..phases;
    let diodes: Vec<(usize, bool)> =
        (0..inputs).flat_map(|k| [(k, true), (k, false)]).filter(|d| a.charging.kind != Kind::HalfWave || d.1).collect();
    let sized = |sizes: &[f64], of: fn(usize, f64) -> Fault| {
        phase.clone().flat_map(|k| sizes.iter().map(move |s| (k, *s))).map(|(k, s)| of(k, s)).collect::<Vec<_>>()
    };
    // Sizes are spread over what is met (own choice); the first stands for its kind in the table of signatures.
    let mut all = vec![
        vec![Fault::Sound],
        phase.clone().map(Fault::DeadPhase).collect(),
        diodes.iter().map(|&(k, up)| Fault::OpenDiode(k, up)).collect(),
        diodes.iter().map(|&(k, up)| Fault::ShortedDiode(k, up)).collect(),
        [0.75, 0.9, 0.6, 0.45].map(Fault::WeakMagnets).to_vec(),
        sized(&[0.2, 0.07, 0.4, 0.7], Fault::TurnsShorted),
        sized(&[0.5, 0.15, 1.5], Fault::BadJoint),
    ];
    match a.charging.keeps {
        Keeps::Nothing => {}
        Keeps::Shunt(_) => all.extend([vec![Fault::AlwaysJoined], vec![Fault::NeverHeld]]),
        Keeps::Series(_) => all.push(vec![Fault::NeverHeld]),
    }
    all
}

/// How each kind of fault would show at a crank speed [rad/s], everything on.
///
/// # Errors
/// [`NotTold`].
pub fn signatures(a: &Alternator, crank_rad_s: f64) -> Result<Vec<Signature>, NotTold> {
    let x = a.middle();
    let of = |fault: Fault| Ok(Signature { fault, crank_rad_s, shown: shown(a, &x, fault, crank_rad_s, On::All)? });
    kinds(a).iter().map(|places| of(places[0])).collect()
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
