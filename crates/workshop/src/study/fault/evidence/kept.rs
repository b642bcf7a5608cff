//! Readings that are kept with a job: each takes the place of what the file says of the same test, for it is the later one.

use super::{
    Evidence, From, MARK_OFF, MARKS, NEAR_IDLE, Of, PAIR_OFF, SAME_SPEED, Signature, Studies, TestReading, WEAK_AC,
    WEAK_OUTPUT_V, above, any, below_share, beyond, charging, marks, outside, wires,
};
use crate::{
    machine::{LawData, Machine},
    study::{
        Finding,
        curve::CylinderCurve,
        fault::data::Faults,
        spark::beside::{Kept, beside},
    },
};
use std::f64::consts::PI;

/// Part of a recorded resistance by which a sound one may differ \[1\] (common practice, no source: within 20 percent of record or marking).
const OHMS_SPREAD: f64 = 0.2;
/// Drops in feed and earths above which they are bad [V] (common practice, no source): what counts as positive on their cards.
const FEED_DROP_V: f64 = 0.5;
const EARTH_DROP_V: f64 = 0.3;
/// Gaps that are usual [m]: pickup, points (common practice, no source).
pub(super) const PICKUP_GAP_M: (f64, f64) = (0.3e-3, 1.0e-3);
const POINTS_GAP_M: (f64, f64) = (0.30e-3, 0.45e-3);
/// Run-out of the rim above which it is bad [m] (common practice, no source: 0.10 mm).
const RUN_OUT_M: f64 = 0.10e-3;
/// Off the file's figure by more than this static timing is wrong [rad] (common practice, no source: 2°, as on its card).
const STATIC_OFF: f64 = 2.0 * PI / 180.0;
/// ± of the speed that stands beside a reading of a job, as its share \[1\] (own choice): a rev counter that was looked at.
const COUNTER: f64 = 0.02;

impl Evidence {
    /// The same with readings that a job keeps, in the order in which they were taken: the last of a quantity in a place counts. What there is to compare each with
    /// is what the file has, warmed to the reading's temperature and brought to its speed, or the limit of the trade where the file says nothing.
    #[must_use]
    pub fn with_kept(mut self, faults: &Faults, machine: &Machine, studies: Studies, kept: &[Kept]) -> Self {
        let strobe = |k: &Kept| k.what == "strobe.advance";
        // A mark at another speed is one more; everything else is read again.
        let again = |a: &Kept, b: &Kept| {
            let speeds = a.crank_rad_s.zip(b.crank_rad_s);
            (a.what, a.place) == (b.what, b.place)
                && !(strobe(a) && speeds.is_some_and(|(a, b)| (a / b - 1.0).abs() > SAME_SPEED))
        };
        let last = |k: &usize| !kept[k + 1..].iter().any(|later| again(&kept[*k], later));
        let used: Vec<Kept> = (0..kept.len()).filter(last).map(|k| kept[k]).collect();
        let mut found: Vec<TestReading> = Vec::new();
        let mut add = |test: &str, positive: f64, from: From, within: Option<Of>| {
            if let Some(test) = faults.test(test).filter(|_| positive.is_finite()) {
                // Of several that answer one test the one that looks worst counts.
                let positive = positive.clamp(0.0, 1.0);
                match found.iter_mut().find(|r| r.test == test) {
                    Some(r) if r.positive >= positive => {}
                    Some(r) => *r = TestReading { test, positive, from, within },
                    None => found.push(TestReading { test, positive, from, within }),
                }
            }
        };
        for b in beside(machine, &used) {
            let (read, computed) = (b.check.read, b.check.computed);
            let test = match used[b.kept].what {
                "coil.primary" | "coil.secondary" => "coil-ohms",
                "cap.resistance" => "cap-ohms",
                "pickup.resistance" => "pickup-ohms",
                "source.resistance" => "source-ohms",
                "stator.resistance" => "stator-ohms",
                "source.peak" => {
                    add("source-peak", below_share(read, computed, WEAK_AC), From::SourcePeak(read, computed), None);
                    continue;
                }
                _ => continue,
            };
            let ratio = read.si / computed.si;
            let by = ratio * (read.plus_minus_si / read.si).hypot(computed.plus_minus_si / computed.si);
            let off = Finding { si: ratio - 1.0, plus_minus_si: by };
            add(test, beyond(off, OHMS_SPREAD), From::Ohms(read, computed), None);
        }
        let copper = wires::copper(machine);
        let mut signatures = Vec::new();
        for k in &used {
            let read = k.read;
            match k.what {
                "pickup.peak" => {
                    let signals = studies.spark.and_then(|s| s.signal.as_ref().ok());
                    let need = signals.into_iter().flatten().map(|s| s.need).max_by(|a, b| a.si.total_cmp(&b.si));
                    if let Some(need) = need {
                        let short =
                            Finding { si: need.si - read.si, plus_minus_si: need.plus_minus_si.hypot(read.plus_minus_si) };
                        add("pickup-peak", above(short, 0.0), From::Peak(read, need), None);
                    }
                }
                "pickup.gap" => add("pickup-gap", outside(read, PICKUP_GAP_M), From::Gap(read, PICKUP_GAP_M), None),
                "points.gap" => add("points-check", outside(read, POINTS_GAP_M), From::Gap(read, POINTS_GAP_M), None),
                "rim.runout" => add("rotor-runout", above(read, RUN_OUT_M), From::RunOut(read), None),
                "module.peak" => {
                    let sound = studies.spark.and_then(|s| s.output).map(|o| o.computed).filter(|c| c.si > 0.0);
                    let weak = sound.map_or_else(|| 1.0 - above(read, WEAK_OUTPUT_V), |c| below_share(read, c, WEAK_AC));
                    add("module-peak", weak, From::Output(read, sound), None);
                }
                "feed.drop" => {
                    let within =
                        copper.feed.map(|c| signatures.push(wires::signature(faults, Of::Feed, read, c))).map(|()| Of::Feed);
                    add("drop-feed", above(read, FEED_DROP_V), From::Drop(read, copper.feed), within);
                }
                "earth.drop" => {
                    let within =
                        copper.earth.map(|c| signatures.push(wires::signature(faults, Of::Earth, read, c))).map(|()| Of::Earth);
                    add("drop-earth", above(read, EARTH_DROP_V), From::Drop(read, copper.earth), within);
                }
                "static.advance" => {
                    let at_rest = matches!(machine.law, Some(LawData::BobWeights(_) | LawData::Fixed(_)));
                    let curve = studies.curve.filter(|_| at_rest).and_then(|c| c.cylinders.first());
                    if let Some(file) = curve.and_then(|c| c.band.first()).map(|b| b.advance) {
                        let off = Finding { si: read.si - file.si, plus_minus_si: read.plus_minus_si.hypot(file.plus_minus_si) };
                        add("static-timing", beyond(off, STATIC_OFF), From::Static(read, file), None);
                    }
                }
                _ => {}
            }
        }
        signatures.extend(self.charged(faults, machine, studies, &used, &mut add));
        let rows = strobed(machine, studies, used.iter().filter(|k| strobe(k)));
        strobe_tests(machine, studies, &rows, &mut add);
        let off: Vec<marks::Mark> = rows.iter().map(|r| (r.speed, r.off)).collect();
        let together = marks::signature(faults, machine, &off);
        let marked = together.is_some();
        signatures.extend(together);
        // Marks of the job are the newer ones, few as they may be.
        self.signatures.retain(|s| !signatures.iter().any(|new| new.of == s.of) && (s.of != Of::Marks || rows.is_empty()));
        self.signatures.extend(signatures);
        self.tests.retain(|r| !found.iter().any(|new| new.test == r.test));
        self.tests.extend(found);
        if marked {
            self.within(faults, &MARKS, Of::Marks);
        }
        self
    }
}

impl Evidence {
    /// Volts of the charging that a job keeps: with the charging of the file they share what is in doubt, the record first, so they are weighed as one. Where that says
    /// nothing, volts without load tell of the flux alone, and those at the battery by the limits of the trade.
    fn charged(
        &mut self,
        faults: &Faults,
        machine: &Machine,
        studies: Studies,
        used: &[Kept],
        add: super::Add,
    ) -> Option<Signature> {
        let of = |what: &'static str| used.iter().filter(move |k| k.what == what);
        let flux = of("alternator.open").filter_map(|k| Some((k.read, super::flux::of_job(faults, machine, k)?))).next_back();
        let by = |speed: f64| Finding { si: speed, plus_minus_si: COUNTER * speed };
        let volts: Vec<(Finding, Finding)> =
            of("charging.volts").filter_map(|k| Some((by(k.crank_rad_s.filter(|s| *s > 0.0)?), k.read))).collect();
        // Without load alone beside nothing but its record it is the flux.
        let weighs = !volts.is_empty() || self.signatures.iter().any(|s| s.of == Of::Charging);
        let charge = studies.charge.filter(|_| weighs);
        let together = charge.and_then(|c| charging::with_job(faults, machine, c, &volts, flux.as_ref().map(|f| &f.1)));
        let within = together.as_ref().map(|s| s.of);
        for (speed, read) in &volts {
            charging::volts(machine, (speed.si, *read), within, add);
        }
        if !volts.is_empty() || flux.is_some() {
            // What the file has is older, and what both have in common would count twice.
            self.signatures.retain(|s| s.of != Of::Charging && (s.of != Of::Flux || flux.is_none()));
        }
        if let Some((read, job)) = &flux {
            let within = within.or(Some(job.signature.of));
            add("stator-acv", below_share(*read, job.sound, WEAK_AC), From::Unplugged(*read, job.sound), within);
        }
        together.or(flux.map(|(_, job)| job.signature))
    }
}

/// A mark of the job beside the curve.
struct Row {
    cylinder: usize,
    speed: f64,
    advance: Finding,
    off: Finding,
}

/// Marks that have a speed, each beside the curve of the cylinder that its place names, or the first where it names none.
fn strobed<'k>(machine: &Machine, studies: Studies, kept: impl Iterator<Item = &'k Kept<'k>>) -> Vec<Row> {
    let Some(curve) = studies.curve else { return Vec::new() };
    let row = |k: &Kept| {
        let speed = k.crank_rad_s?;
        let named = |c: &crate::machine::Cylinder| c.name.eq_ignore_ascii_case(k.place.trim());
        let cylinder = machine.engine.cylinders.iter().position(named).unwrap_or(0);
        let band = &curve.cylinders.get(cylinder)?.band;
        let near = band.iter().min_by(|a, b| (a.speed_rad_s - speed).abs().total_cmp(&(b.speed_rad_s - speed).abs()))?;
        let by_law = curve.cylinders[cylinder].law.advance(speed).radians();
        let off = Finding { si: k.read.si - by_law, plus_minus_si: k.read.plus_minus_si.hypot(near.advance.plus_minus_si) };
        Some(Row { cylinder, speed, advance: k.read, off })
    };
    kept.filter_map(row).collect()
}

fn strobe_tests(machine: &Machine, studies: Studies, rows: &[Row], add: super::Add) {
    let Some(curve) = studies.curve else { return };
    let idle = machine.idle.as_ref().map(|i| i.speed.si);
    let full = |c: &CylinderCurve, speed: f64| {
        let most = c.band.iter().map(|b| b.advance.si).fold(f64::NEG_INFINITY, f64::max);
        c.law.advance(speed).radians() >= super::FULL * most
    };
    let at_idle = |r: &&Row| idle.is_some_and(|i| (r.speed / i - 1.0).abs() <= NEAR_IDLE);
    let at_full = |r: &&Row| full(&curve.cylinders[r.cylinder], r.speed);
    for (test, takes) in [("strobe-idle", &at_idle as &dyn Fn(&&Row) -> bool), ("strobe-full", &at_full)] {
        // The surest of each cylinder: those of one sitting share their errors.
        let surest = |c: usize| {
            let mine = rows.iter().filter(|r| r.cylinder == c).filter(takes);
            mine.min_by(|a, b| a.off.plus_minus_si.total_cmp(&b.off.plus_minus_si))
        };
        let list: Vec<&Row> = (0..curve.cylinders.len()).filter_map(surest).collect();
        let worst = list.iter().max_by(|a, b| beyond(a.off, MARK_OFF).total_cmp(&beyond(b.off, MARK_OFF)));
        if let (Some(p), Some(worst)) = (any(list.iter().map(|r| beyond(r.off, MARK_OFF))), worst) {
            add(test, p, From::Mark(worst.speed, worst.off), None);
        }
    }
    let pairs = rows.iter().filter(|r| r.cylinder == 0).flat_map(|a| {
        let near = |b: &&Row| b.cylinder == 1 && (a.speed / b.speed - 1.0).abs() <= SAME_SPEED;
        rows.iter().filter(near).map(|b| Finding {
            si: a.advance.si - b.advance.si,
            plus_minus_si: a.advance.plus_minus_si.hypot(b.advance.plus_minus_si),
        })
    });
    if curve.cylinders.len() == 2
        && let Some(apart) = pairs.min_by(|a, b| a.plus_minus_si.total_cmp(&b.plus_minus_si))
    {
        add("strobe-pair", beyond(apart, PAIR_OFF), From::Pair(apart), None);
    }
}
