//! What was read of the charging, one by one and together.

use super::{Add, From, Of, Signature, above, flux::OfJob, rpm};
use crate::{
    machine::{Machine, charging::ChargeSeen},
    study::{
        Finding,
        electric::{
            alternator::Alternator,
            charge::{ChargeStudy, Compared},
            likeness::{Fault, Likeness, What, likeness, sets},
        },
        fault::{data::Faults, infer::MISLEADS},
        spark::beside::Kept,
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

/// Volts at the battery that a job keeps, with the lights as they were.
pub(super) fn volts(machine: &Machine, kept: &Kept, add: Add) {
    let (Some(battery), Some(speed)) = (&machine.electric.battery, kept.crank_rad_s) else { return };
    let cells = f64::from(battery.cells) / 6.0;
    if (LOW_RPM.0..=LOW_RPM.1).contains(&rpm(speed)) {
        add("charge-low", 1.0 - above(kept.read, LOW_V * cells), From::Volts(speed, kept.read), None);
    }
    if rpm(speed) >= HIGH_RPM {
        add("charge-high", above(kept.read, HIGH_V * cells), From::Volts(speed, kept.read), None);
    }
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
/// Volts without load are in `flux` too, which alone tells of one loose magnet: with it here, and what the one has over a sound rotor there, none of them counts twice.
pub(super) fn of_likeness(faults: &Faults, found: &Likeness, flux: Option<&Signature>) -> Signature {
    let named = found.kinds.iter().flat_map(|k| causes_of(k.best).iter().map(move |id| (*id, k.share)));
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

/// The charging of the file with volts without load as a job keeps them in place of its own, all weighed as one: what is in doubt of the circuit, and how records scatter, moves all of them at
/// once. Between which leads they were read is not known and is no matter, for a fault may be in any phase. `None` where no fault fits.
pub(super) fn with_volts(faults: &Faults, machine: &Machine, job: &OfJob) -> Option<Signature> {
    let mut machine = machine.clone();
    let seen = &mut machine.electric.charging.as_mut()?.seen;
    seen.iter_mut().for_each(|s| s.unplugged = [None, None, None]);
    seen.push(ChargeSeen {
        speed: job.flux.now.speed.clone(),
        lights: false,
        amps: None,
        volts: None,
        ripple: None,
        leads: [None, None, None],
        unplugged: [Some(job.flux.now.volts.clone()), None, None],
    });
    let found = likeness_of(machine)?;
    found.fits.then(|| of_likeness(faults, &found, Some(&job.signature)))
}

/// The last one is kept: it takes most of a tenth of a second, and from answer to answer nothing of it changes.
fn likeness_of(machine: Machine) -> Option<Likeness> {
    static LAST: Mutex<Option<(Machine, Option<Likeness>)>> = Mutex::new(None);
    let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    if last.as_ref().is_none_or(|(of, _)| *of != machine) {
        let found = Alternator::of(&machine).ok().and_then(|a| likeness(&a, &sets(&a).ok()?).ok()?);
        *last = Some((machine, found));
    }
    last.as_ref().and_then(|(_, found)| found.clone())
}

/// Whether volts without load are among the readings.
pub(super) fn unplugged(machine: &Machine) -> bool {
    machine.electric.charging.iter().flat_map(|c| &c.seen).any(|s| s.unplugged.iter().any(Option::is_some))
}
