//! What readings in the machine file say of tests and causes by themselves.
//!
//! A reading x ± u against a limit L answers its test with the chance that it lies beyond: P(x > L) = Φ((x − L)/½u). What a study computes for this machine
//! takes the place of a table's limit where there is one: the curve for the strobe, the module's need for the pickup, the alternator for its volts.

mod bonds;
mod charging;
mod flux;
mod hanging;
pub mod heard;
mod kept;
pub mod marks;
mod signature;
mod wires;

use super::data::{Complaint, Faults};
use crate::{
    machine::{ChokeSeen, Machine, Polarity, charging::WindingKind},
    study::{
        Finding,
        alike::Alike,
        curve::{CurveStudy, CylinderCurve},
        electric::{
            charge::ChargeStudy,
            windings::{Insulation, JudgedBy, WindingFound, WindingsStudy},
            wires::MOST_DROP_V,
        },
        idle::{IdleStudy, Verdict},
        rotor::held::HeldStudy,
        spark::SparkStudy,
    },
};
use charging::WEAK_AC;
use physics::interval::normal_share;
use std::f64::consts::{PI, TAU};

pub use heard::Heard;
pub use signature::{Of, Signature};
pub(super) use wires::copper;

/// Tests whose readings a signature of marks has in it.
const MARKS: [&str; 2] = ["strobe-idle", "strobe-full"];
/// Off the curve by more than this a mark is wrong [rad] (common practice, no source: 3°).
const MARK_OFF: f64 = 3.0 * PI / 180.0;
/// Between cylinders [rad] (common practice, no source: 2 to 3°).
const PAIR_OFF: f64 = 2.5 * PI / 180.0;
/// Earlier by this with falling speed, weights stick [rad] (common practice, no source: sound within 2°, sticking from 4°; the middle).
const STICKS_FROM: f64 = 3.0 * PI / 180.0;
/// Speeds of two readings that are compared differ by no more than this share \[1\] (own choice).
const SAME_SPEED: f64 = 0.04;
/// A reading is one at idle within this share of the idle speed \[1\] (own choice).
const NEAR_IDLE: f64 = 0.2;
/// From this share of its greatest advance the curve counts as full \[1\] (own choice).
pub(super) const FULL: f64 = 0.98;
/// Below these volts a capacitor module's output is weak [V] (common practice, no source).
const WEAK_OUTPUT_V: f64 = 100.0;
/// What a reading is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum From {
    /// The throttle was snapped shut while it hung.
    Snap,
    /// A little choke was given while it hung.
    Choke,
    /// Joints were misted while it hung.
    Mist,
    /// The spark comes so much earlier with falling speed [rad].
    FallingEarlier(Finding),
    /// The mark lies so far off the curve at this crank speed [rad/s], [rad].
    Mark(f64, Finding),
    /// Two cylinders differ by so much [rad].
    Pair(Finding),
    /// Pickup's peak at the kick and what the module needs [V].
    Peak(Finding, Finding),
    /// How its leads are connected.
    Leads,
    /// Module's output as read, and what a sound one gives where that can be computed [V].
    Output(Finding, Option<Finding>),
    /// Resistances of windings.
    Windings,
    /// Insulation of windings.
    Insulation,
    /// Volts at the battery at a crank speed [rad/s], [V].
    Volts(f64, Finding),
    /// Amps into it [A].
    Amps(f64, Finding),
    /// Alternating volts beside those computed for a sound alternator [V].
    Unplugged(Finding, Finding),
    /// Resistance beside the one of the file at the same temperature [Ω].
    Ohms(Finding, Finding),
    /// Peak of the source coil beside the computed one [V].
    SourcePeak(Finding, Finding),
    /// A volt drop, and the one that the wires' copper makes where that can be computed [V].
    Drop(Finding, Option<Finding>),
    /// What the wires' copper alone drops [V].
    Copper(Finding),
    /// A gap, with the least and most that are usual [m].
    Gap(Finding, (f64, f64)),
    /// Least and greatest gap that recorded pulses leave possible [m].
    GapHeard(Option<Finding>, Option<Finding>),
    /// Two recorded pickups point against each other.
    Turned,
    /// Run-out of the rim [m].
    RunOut(Finding),
    /// Static timing beside the file's [rad].
    Static(Finding, Finding),
    /// Share of the idle study's cases that hang \[1\].
    IdleStudy(f64),
}

/// A test that a reading answers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestReading {
    /// The test, as an index.
    pub test: usize,
    /// Chance that it is positive \[1\].
    pub positive: f64,
    /// From which reading.
    pub from: From,
    /// The signature that has it in it; where there is one, it does not count a second time.
    pub within: Option<Of>,
}

/// Everything that readings say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Tests.
    pub tests: Vec<TestReading>,
    /// Causes directly.
    pub signatures: Vec<Signature>,
}

/// Studies of a machine that evidence is taken from; what is not there says nothing.
#[derive(Clone, Copy, Default)]
pub struct Studies<'s> {
    /// The curve.
    pub curve: Option<&'s CurveStudy>,
    /// The idle, where it was worked out.
    pub idle: Option<&'s IdleStudy>,
    /// What else would explain the hang that was seen, where that was worked out.
    pub alike: Option<&'s Alike>,
    /// The spark.
    pub spark: Option<&'s SparkStudy>,
    /// Windings.
    pub windings: Option<&'s WindingsStudy>,
    /// Charging.
    pub charge: Option<&'s ChargeStudy>,
    /// What holds the rotor.
    pub holds: Option<&'s HeldStudy>,
}

/// P(x > limit).
fn above(x: Finding, limit: f64) -> f64 {
    let sd = 0.5 * x.plus_minus_si;
    if sd > 0.0 { normal_share((x.si - limit) / sd) } else { f64::from(u8::from(x.si > limit)) }
}

/// P(|x| > limit).
fn beyond(x: Finding, limit: f64) -> f64 {
    let minus = Finding { si: -x.si, ..x };
    (above(x, limit) + above(minus, limit)).min(1.0)
}

/// P(x < share of another).
fn below_share(x: Finding, of: Finding, share: f64) -> f64 {
    let by = x.plus_minus_si.hypot(share * of.plus_minus_si);
    1.0 - above(Finding { si: x.si, plus_minus_si: by }, share * of.si)
}

/// P(x lies outside).
fn outside(x: Finding, (least, most): (f64, f64)) -> f64 {
    (1.0 - above(x, least) + above(x, most)).min(1.0)
}

/// That at least one of several is.
fn any(chances: impl IntoIterator<Item = f64>) -> Option<f64> {
    let none = chances.into_iter().fold(None, |none: Option<f64>, p| Some(none.unwrap_or(1.0) * (1.0 - p)));
    none.map(|none| 1.0 - none)
}

fn yes(flag: bool) -> f64 {
    f64::from(u8::from(flag))
}

fn rpm(rad_s: f64) -> f64 {
    rad_s * 60.0 / TAU
}

impl Evidence {
    /// What the readings of a machine say, with what its studies make of them.
    pub fn of(faults: &Faults, machine: &Machine, studies: Studies) -> Self {
        let mut all = Self::default();
        let mut add = |test: &str, positive: f64, from: From, within: Option<Of>| {
            if let Some(test) = faults.test(test).filter(|_| positive.is_finite()) {
                all.tests.push(TestReading { test, positive: positive.clamp(0.0, 1.0), from, within });
            }
        };
        tried(machine, &mut add);
        if let Some(curve) = studies.curve {
            strobe(machine, curve, &mut add);
        }
        if let Some(spark) = studies.spark {
            sparks(spark, &mut add);
        }
        if let Some(found) = studies.windings {
            windings(found, &mut add);
        }
        let likeness = studies.charge.and_then(|c| c.likeness.as_ref()).filter(|l| l.fits);
        charging::readings(machine, studies.charge, likeness.map(|_| Of::Charging), &mut add);
        // Good copper says nothing of the joints; copper that loses too much by itself does.
        if let Some(drop) = wires::copper(machine).feed.filter(|d| d.si > MOST_DROP_V) {
            add("drop-feed", above(drop, MOST_DROP_V), From::Copper(drop), None);
        }
        let idle = studies.idle.filter(|i| hanging::holds(i, studies.alike));
        if let Some(idle) = idle.filter(|i| i.verdict != Verdict::NoRest && i.chance.of > 0) {
            let share = idle.chance.hanging as f64 / idle.chance.of as f64;
            add("rest-speeds", share, From::IdleStudy(share), None);
        }
        let marks = studies.curve.and_then(|c| marks::of_file(faults, machine, c));
        if marks.is_some() {
            all.within(faults, &MARKS, Of::Marks);
        }
        // Volts without load that the charging is weighed by are not weighed a second time for the flux.
        let flux = flux::signature(faults, machine);
        let (with_charging, flux) = if likeness.is_some() && charging::unplugged(machine) { (flux, None) } else { (None, flux) };
        let charging = likeness.map(|l| charging::of_likeness(faults, l, with_charging.as_ref()));
        let bonds = studies.holds.and_then(|held| bonds::signature(faults, held));
        let hanging = idle.and(studies.alike).and_then(|a| hanging::signature(faults, a));
        all.signatures = [charging, marks, flux, hanging, bonds].into_iter().flatten().collect();
        all
    }

    /// Readings of these tests are in a signature.
    fn within(&mut self, faults: &Faults, tests: &[&str], of: Of) {
        let mine = self.tests.iter_mut().filter(|r| tests.contains(&faults.tests[r.test].id.as_str()));
        mine.for_each(|r| r.within = Some(of));
    }

    /// What of it was read for such a complaint: tests whose likeliest cause is one of the complaint's, and signatures that tell of them. Low volts at the battery say much of a flat battery; that they make a bad connector likelier where there is no spark would be a
    /// by-product of what the two have in common.
    pub fn bearing_on(mut self, faults: &Faults, complaint: &Complaint) -> Self {
        let listed = |cause: usize| complaint.causes.iter().any(|w| w.cause == cause);
        self.tests.retain(|r| {
            let hits = &faults.tests[r.test].hits;
            let most = hits.iter().map(|h| h.chance).fold(0.0, f64::max);
            hits.iter().any(|h| h.chance == most && listed(h.cause))
        });
        // A hang tells of complaints that the curve may be behind: its signature has that first.
        self.signatures.retain(|s| s.of != Of::Alike || s.causes.first().is_some_and(|(c, _)| listed(*c)));
        // What was read of the charging, or of sparks that fail, tells much of it and little of what it has in common with other troubles; the other signatures are of one thing each.
        let fewest = |of: Of| if matches!(of, Of::Charging | Of::Missing | Of::Scatter) { 2 } else { 1 };
        self.signatures.retain(|s| s.causes.iter().filter(|(c, _)| listed(*c)).count() >= fewest(s.of));
        self
    }
}

/// Takes a test by name, the chance that it is positive, from what, and the signature that has it in it.
type Add<'a> = &'a mut dyn FnMut(&str, f64, From, Option<Of>);

/// What was tried on a hang.
fn tried(machine: &Machine, add: Add) {
    let Some(idle) = &machine.idle else { return };
    let t = &idle.tried;
    if let Some(down) = t.snap_brings_down {
        add("throttle-snap", yes(down), From::Snap, None);
    }
    if let Some(choke) = t.choke {
        add("enrich", yes(choke == ChokeSeen::ComesDown), From::Choke, None);
    }
    if let Some(changes) = t.mist_changes {
        add("inlet-mist", yes(changes), From::Mist, None);
    }
    if let Some(earlier) = t.falling_earlier.as_ref().map(Finding::of) {
        add("strobe-updown", above(earlier, STICKS_FROM), From::FallingEarlier(earlier), None);
    }
}

/// Strobe readings beside a curve that does not rest on them, and cylinders beside each other.
fn strobe(machine: &Machine, curve: &CurveStudy, add: Add) {
    if curve.agreement.is_some() {
        let idle = machine.idle.as_ref().map(|i| i.speed.si);
        let at_idle = |s: f64, _: &CylinderCurve| idle.is_some_and(|i| (s / i - 1.0).abs() <= NEAR_IDLE);
        let full = |s: f64, c: &CylinderCurve| {
            let most = c.band.iter().map(|b| b.advance.si).fold(f64::NEG_INFINITY, f64::max);
            c.law.advance(s).radians() >= FULL * most
        };
        marks(curve, "strobe-idle", &at_idle, add);
        marks(curve, "strobe-full", &full, add);
    }
    if let [one, other] = &curve.cylinders[..] {
        let near = |a: f64, b: f64| (a / b - 1.0).abs() <= SAME_SPEED;
        let pairs = one.readings.iter().flat_map(|a| {
            let to = other.readings.iter().filter(move |b| near(a.speed.si, b.speed.si));
            to.map(move |b| Finding {
                si: a.advance.si - b.advance.si,
                plus_minus_si: a.advance.plus_minus_si.hypot(b.advance.plus_minus_si),
            })
        });
        // The one whose ± is least: pairs share their marks and their lamp.
        if let Some(apart) = pairs.min_by(|a, b| a.plus_minus_si.total_cmp(&b.plus_minus_si)) {
            add("strobe-pair", beyond(apart, PAIR_OFF), From::Pair(apart), None);
        }
    }
}

fn marks(curve: &CurveStudy, test: &str, takes: &dyn Fn(f64, &CylinderCurve) -> bool, add: Add) {
    let mut worst: Option<(f64, f64, Finding)> = None;
    let mut each = Vec::new();
    for c in &curve.cylinders {
        // One reading of each cylinder: those of one sitting share their errors.
        let of = c.readings.iter().filter(|r| takes(r.speed.si, c));
        let Some(r) = of.min_by(|a, b| a.advance.plus_minus_si.total_cmp(&b.advance.plus_minus_si)) else { continue };
        let off = Finding { si: r.residual_rad, plus_minus_si: r.advance.plus_minus_si };
        let p = beyond(off, MARK_OFF);
        each.push(p);
        if worst.is_none_or(|w| p > w.0) {
            worst = Some((p, r.speed.si, off));
        }
    }
    if let (Some(p), Some((_, speed, off))) = (any(each), worst) {
        add(test, p, From::Mark(speed, off), None);
    }
}

fn sparks(spark: &SparkStudy, add: Add) {
    if let Ok(signals) = &spark.signal {
        let weakest = signals.iter().min_by(|a, b| a.margin.si.total_cmp(&b.margin.si));
        if let Some(s) = weakest {
            let short = Finding { si: s.need.si - s.peak.si, plus_minus_si: s.need.plus_minus_si.hypot(s.peak.plus_minus_si) };
            add("pickup-peak", above(short, 0.0), From::Peak(s.peak, s.need), None);
        }
        let known = signals.iter().filter(|s| s.polarity != Polarity::Unknown);
        if let Some(p) = any(known.map(|s| yes(s.polarity == Polarity::Reversed))) {
            add("pickup-polarity", p, From::Leads, None);
        }
    }
    if let Some(output) = spark.output {
        // The computed output, where there is one, is that of a sound module of the file's kind on this source coil.
        let sound = Some(output.computed).filter(|c| c.si > 0.0);
        let weak = sound.map_or_else(|| 1.0 - above(output.read, WEAK_OUTPUT_V), |c| below_share(output.read, c, WEAK_AC));
        add("module-peak", weak, From::Output(output.read, sound), None);
    }
}

fn windings(found: &WindingsStudy, add: Add) {
    let beyond = |w: &WindingFound| match w.by {
        JudgedBy::Record(least, most) | JudgedBy::Trade(least, most) => Some(outside(w.at_20, (least, most))),
        JudgedBy::Nothing => None,
    };
    let kinds: [(&str, &[WindingKind]); 3] = [
        ("pickup-ohms", &[WindingKind::Pickup]),
        ("source-ohms", &[WindingKind::SourceLow, WindingKind::SourceHigh, WindingKind::SourceSingle]),
        ("stator-ohms", &[WindingKind::StatorThree, WindingKind::StatorOne]),
    ];
    for (test, kinds) in kinds {
        let of = found.windings.iter().filter(|w| kinds.contains(&w.kind));
        if let Some(p) = any(of.filter_map(beyond)) {
            add(test, p, From::Windings, None);
        }
    }
    let leaks = found.windings.iter().filter_map(|w| w.insulation).map(|(_, how)| match how {
        Insulation::Good => 0.0,
        // Between the limits nobody can tell.
        Insulation::Doubtful => 0.5,
        Insulation::ToFrame => 1.0,
    });
    if let Some(p) = any(leaks) {
        add("insulation", p, From::Insulation, None);
    }
}
