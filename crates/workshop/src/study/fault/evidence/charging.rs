//! What was read of the charging, one by one and together.

use super::{Add, From, Of, Signature, above, flux::OfJob, rpm};
use crate::{
    machine::{Machine, charging::ChargeSeen},
    study::{
        Finding,
        electric::{
            alternator::{Alternator, On},
            charge::{ChargeStudy, Compared},
            likeness::{Fault, Likeness, Set, What, likeness},
        },
        fault::{
            data::{Faults, Group},
            infer::MISLEADS,
        },
    },
};
use std::sync::{Mutex, PoisonError};

/// Volts of a six-cell battery below which charging is too low, and above which it is too high [V] (common practice, no source).
const LOW_V: f64 = 13.2;
const HIGH_V: f64 = 15.0;
/// Share of the computed volts below which an unloaded alternator is weak \[1\] (common practice, no source: low by a fifth).
pub(super) const WEAK_AC: f64 = 0.8;
/// Crank speeds between which charging is judged [rpm], and the one from which too high is (common practice, no source).
const LOW_RPM: (f64, f64) = (2800.0, 4300.0);
const HIGH_RPM: f64 = 3800.0;
/// Crank speeds between which the balance in town is judged [rpm] (common practice, no source: 2500).
const TOWN_RPM: (f64, f64) = (2200.0, 2800.0);

pub(super) fn readings(machine: &Machine, study: Option<&ChargeStudy>, within: Option<Of>, add: Add) {
    let (Some(charging), Some(battery)) = (&machine.electric.charging, &machine.electric.battery) else { return };
    let cells = f64::from(battery.cells) / 6.0;
    let runs_at = |s: &&ChargeSeen, (least, most): (f64, f64)| (least..=most).contains(&rpm(s.speed.si));
    let volts = |s: &ChargeSeen| s.volts.as_ref().map(|v| (s.speed.si, Finding::of(v)));
    let lit = charging.seen.iter().filter(|s| s.lights);
    if let Some((speed, v)) = lit.clone().filter(|s| runs_at(s, LOW_RPM)).filter_map(volts).next_back() {
        add("charge-low", 1.0 - above(v, LOW_V * cells), From::Volts(speed, v), within);
    }
    let dark = charging.seen.iter().filter(|s| !s.lights && rpm(s.speed.si) >= HIGH_RPM);
    if let Some((speed, v)) = dark.filter_map(volts).next_back() {
        add("charge-high", above(v, HIGH_V * cells), From::Volts(speed, v), within);
    }
    let amps = |s: &ChargeSeen| s.amps.as_ref().map(|a| (s.speed.si, Finding::of(a)));
    if let Some((speed, a)) = lit.filter(|s| runs_at(s, TOWN_RPM)).filter_map(amps).next_back() {
        add("amps-balance", 1.0 - above(a, 0.0), From::Amps(speed, a), within);
    }
    let bare = |c: &&Compared| matches!(c.what, What::Unplugged(_)) && c.computed.si > 0.0;
    let all = study.into_iter().flat_map(|s| s.seen.iter().flat_map(|(_, list)| list.iter().filter(bare)));
    let low = |c: &&Compared| {
        let limit = WEAK_AC * c.computed.si;
        let by = c.read.plus_minus_si.hypot(WEAK_AC * c.computed.plus_minus_si);
        1.0 - above(Finding { si: c.read.si, plus_minus_si: by }, limit)
    };
    if let Some(c) = all.max_by(|a, b| low(a).total_cmp(&low(b))) {
        add("stator-acv", low(&c), From::Unplugged(c.read, c.computed), within);
    }
}

/// Volts at the battery that a job keeps. Whether the lights were on is not known: low without them is lower still with them, and high with them higher without; the other
/// way round the test was as likely as not another one.
pub(super) fn volts(machine: &Machine, (speed, read): (f64, Finding), within: Option<Of>, add: Add) {
    let Some(battery) = &machine.electric.battery else { return };
    let cells = f64::from(battery.cells) / 6.0;
    if (LOW_RPM.0..=LOW_RPM.1).contains(&rpm(speed)) {
        add("charge-low", either(1.0 - above(read, LOW_V * cells)), From::Volts(speed, read), within);
    }
    if rpm(speed) >= HIGH_RPM {
        add("charge-high", either(above(read, HIGH_V * cells)), From::Volts(speed, read), within);
    }
}

/// How sure an answer is that says nothing when it is negative and was taken otherwise, as likely as not: half of a negative, ½ · ½ of what nobody can tell.
fn either(positive: f64) -> f64 {
    positive + 0.25 * (1.0 - positive)
}

/// The causes that faults of the charging stand for.
fn causes_of(fault: Fault) -> &'static [&'static str] {
    match fault {
        Fault::Sound => &[],
        Fault::DeadPhase(_) => &["stator-open"],
        Fault::OpenDiode(..) => &["diode-open"],
        Fault::ShortedDiode(..) => &["diode-short"],
        Fault::WeakMagnets(_) => &["magnet-weak"],
        Fault::TurnsShorted(..) => &["stator-short"],
        Fault::BadJoint(..) => &["connector"],
        Fault::AlwaysJoined => &["reg-under"],
        Fault::NeverHeld => &["reg-over", "reg-earth"],
    }
}

/// Tests whose readings are weighed together.
const TESTS: [&str; 4] = ["charge-low", "charge-high", "amps-balance", "stator-acv"];

/// Shares of kinds that were equally likely before are likelihoods. A cause shows in them as often as in the tests that they answer one by one.
///
/// What no circuit is computed of, a worn battery or loads that are too big, looks like any of the computed faults that the same test shows, one as likely as another.
///
/// Volts without load are in `flux` too, which alone tells of one loose magnet: with it here, and what the one has over a sound rotor there, none of them counts twice.
pub(super) fn of_likeness(faults: &Faults, found: &Likeness, flux: Option<&Signature>) -> Signature {
    let mut named: Vec<(&str, f64)> =
        found.kinds.iter().flat_map(|k| causes_of(k.best).iter().map(move |id| (*id, k.share))).collect();
    let computed = named.clone();
    for hits in TESTS.iter().filter_map(|id| faults.test(id)).map(|t| &faults.tests[t].hits) {
        let id = |cause: usize| faults.causes[cause].id.as_str();
        let alike: Vec<f64> = computed.iter().filter(|(c, _)| hits.iter().any(|h| id(h.cause) == *c)).map(|(_, l)| *l).collect();
        let mean = alike.iter().sum::<f64>() / alike.len().max(1) as f64;
        for cause in hits.iter().map(|h| h.cause).filter(|c| faults.causes[*c].group == Group::Charging) {
            match named.iter_mut().find(|(c, _)| *c == id(cause)) {
                None => named.push((id(cause), mean)),
                Some(n) if !computed.iter().any(|(c, _)| *c == n.0) => n.1 = n.1.max(mean),
                Some(_) => {}
            }
        }
    }
    let sound = found.kinds.iter().find(|k| k.best == Fault::Sound).map_or(0.0, |k| k.share);
    let mut all = Signature::of_shown(faults, &TESTS, named, sound, (found.readings, Of::Charging));
    let loose = faults.cause("magnet-loose");
    let of_flux = |f: &Signature| Some((loose?, f.causes.iter().find(|(c, _)| Some(*c) == loose)?.1 / f.otherwise));
    if let Some((loose, ratio)) = flux.and_then(of_flux) {
        // No signature weighs more than another could.
        all.causes.push((loose, (ratio * all.otherwise).clamp(MISLEADS, 1.0)));
    }
    all
}

/// Readings of a job beside the computed circuit.
#[derive(Clone, PartialEq)]
struct OfReadings {
    /// Without load.
    bare: Vec<Set>,
    /// At the battery, with what must stay on and with everything on.
    battery: [Vec<Set>; 2],
}

/// The charging of the file with what a job keeps of it in place of the file's own, all weighed as one: what is in doubt of the circuit, and how records scatter, moves all of them at
/// once. `None` where nothing is kept that the computed circuit shows, or no fault fits.
///
/// Between which leads volts without load were read is not known and is no matter, for a fault may be in any phase. Nor is it known whether the lights were on while the battery's were read:
/// either is as likely.
pub(super) fn with_job(
    faults: &Faults,
    machine: &Machine,
    file: &ChargeStudy,
    volts: &[(Finding, Finding)],
    flux: Option<&OfJob>,
) -> Option<Signature> {
    let bare: Vec<_> = flux.map(|job| (Finding::of(&job.flux.now.speed), Finding::of(&job.flux.now.volts))).into_iter().collect();
    if bare.is_empty() && volts.is_empty() {
        return None;
    }
    let job = of_readings(machine, &bare, volts)?;
    let newer = |what: What| match what {
        What::Volts => !volts.is_empty(),
        What::Unplugged(_) => !bare.is_empty(),
        _ => false,
    };
    let old: Vec<Set> = file.sets.iter().filter_map(|set| set.only(|what| !newer(what))).collect();
    let ways = job.battery.each_ref().map(|battery| old.iter().chain(&job.bare).chain(battery).collect::<Vec<_>>());
    // Without volts at the battery both are the same.
    let ways = if volts.is_empty() { &ways[..1] } else { &ways };
    let found = likeness(&Alternator::of(machine).ok()?, ways)?;
    found.fits.then(|| of_likeness(faults, &found, flux.map(|job| &job.signature)))
}

/// The last ones are kept: they take some hundredths of a second, and from answer to answer nothing of them changes.
fn of_readings(machine: &Machine, bare: &[(Finding, Finding)], volts: &[(Finding, Finding)]) -> Option<OfReadings> {
    type Asked = (Machine, [Vec<(Finding, Finding)>; 2]);
    static LAST: Mutex<Option<(Asked, Option<OfReadings>)>> = Mutex::new(None);
    let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    let asked = [bare.to_vec(), volts.to_vec()];
    if last.as_ref().is_none_or(|((of, those), _)| *of != *machine || *those != asked) {
        let worked_out = || {
            let a = Alternator::of(machine).ok()?;
            let sets = |on: On, what: What, read: &[(Finding, Finding)]| {
                read.iter().map(|(speed, r)| Set::of(&a, *speed, on, vec![(what, *r)])).collect::<Result<Vec<_>, _>>().ok()
            };
            let at_battery = |on: On| sets(on, What::Volts, volts);
            Some(OfReadings {
                bare: sets(On::Needed, What::Unplugged(0), bare)?,
                battery: [at_battery(On::Needed)?, at_battery(On::All)?],
            })
        };
        *last = Some(((machine.clone(), asked), worked_out()));
    }
    last.as_ref().and_then(|(_, found)| found.clone())
}

/// Whether volts without load are among the readings.
pub(super) fn unplugged(machine: &Machine) -> bool {
    machine.electric.charging.iter().flat_map(|c| &c.seen).any(|s| s.unplugged.iter().any(Option::is_some))
}
