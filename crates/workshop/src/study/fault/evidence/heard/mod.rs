//! What recordings say: where the spark came beside the pulses, how steadily, how often; two pickups beside each other; where the speed stayed.
//!
//! The clock of a recording is mostly the pickup itself. Then a plate, a key or a rotor that has moved takes the clock along, and the recording cannot show it:
//! what it shows is how the spark lies to the pulses. Only what such a recording can show is weighed, and errors that all rows share are one error.

mod pickups;
mod sparks;

use super::{
    Evidence, From, MARKS, Of, PAIR_OFF, SAME_SPEED, STICKS_FROM, Signature, Studies, TestReading, above, beyond,
    marks::{self, Mark, SHIFT_SD},
};
use crate::{
    machine::Machine,
    study::{
        Finding,
        curve::CurveStudy,
        fault::data::Faults,
        recording::{Caution, MarkFound, Recorded, Row, from_segment, pace::Pace, pickups::Pickups, sound::Sound},
    },
};
use physics::interval::normal_density;
use std::f64::consts::PI;

use pickups::{at_the_kick, gap, two_pickups};
pub use sparks::log_events;
use sparks::{lost_and_doubled, scatter};

/// A recording that was heard.
#[derive(Clone, Copy, Debug)]
pub enum Heard<'r> {
    /// Trigger or mark, and spark.
    Ignition(&'r Recorded),
    /// Two pickups.
    Pickups(&'r Pickups),
    /// The exhaust.
    Exhaust(&'r Sound),
}

/// Part of the angle between two places by which an uneven turn moves one against the other, where one mark in a turn is the clock \[1\] (own choice).
const UNEVEN: f64 = 0.01;
/// Spread of a spark that follows the other end of the segment, about that end [rad] (own choice: 2°).
const EDGE_SD: f64 = 2.0 * PI / 180.0;
/// Spread of a segment that is not as in the file, along the rim [m] (own choice: 3 mm).
const SEGMENT_SD_M: f64 = 3e-3;
/// Spread of a computed hang about the one heard, in the logarithm of speed \[1\] (own choice: a seventh).
const HANG_SD: f64 = 0.14;
/// A hang's speed lies above this share of the idle \[1\] (own choice, as where recordings are heard).
const HANG_FROM: f64 = 1.25;
/// Fewest rows that are weighed [1], and least ratio of their greatest speed to their least \[1\] (own choice).
const FEWEST: usize = 3;
const WIDE: f64 = 1.5;

impl Evidence {
    /// The same with recordings, in the order in which they were kept: the last of each kind counts. A recording takes the place of what the file says of the same
    /// test, and gives way to a reading of the job.
    #[must_use]
    pub fn with_heard(mut self, faults: &Faults, machine: &Machine, studies: Studies, heard: &[Heard]) -> Self {
        let mut found: Vec<TestReading> = Vec::new();
        let mut add = |test: &str, positive: f64, from: From| {
            if let Some(test) = faults.test(test).filter(|_| positive.is_finite()) {
                // Of several that answer one test the one that looks worst counts.
                let positive = positive.clamp(0.0, 1.0);
                match found.iter_mut().find(|r| r.test == test) {
                    Some(r) if r.positive >= positive => {}
                    Some(r) => *r = TestReading { test, positive, from, within: None },
                    None => found.push(TestReading { test, positive, from, within: None }),
                }
            }
        };
        let mut signatures = Vec::new();
        let last = |which: fn(&Heard) -> bool| heard.iter().rev().find(|h| which(h));
        if let Some(Heard::Pickups(pickups)) = last(|h| matches!(h, Heard::Pickups(_))) {
            two_pickups(faults, machine, pickups, &mut add, &mut signatures);
        }
        if let Some(Heard::Ignition(recorded)) = last(|h| matches!(h, Heard::Ignition(_))) {
            ignition(faults, machine, studies, recorded, &mut add, &mut signatures);
        }
        let mut paces = heard.iter().rev().filter_map(|h| match h {
            Heard::Ignition(r) => Some(&r.pace),
            Heard::Exhaust(s) => Some(&s.pace),
            Heard::Pickups(_) => None,
        });
        // The hang that was seen and noted is weighed already, with what else was tried on it.
        if !self.signatures.iter().any(|s| s.of == Of::Alike) {
            signatures.extend(paces.find_map(|pace| hang(faults, studies, pace)));
        }
        self.tests.retain(|r| !found.iter().any(|new| new.test == r.test));
        self.tests.extend(found);
        self.signatures.extend(signatures);
        self
    }
}

/// Takes a test by name, the chance that it is positive, and from what.
type Add<'a> = &'a mut dyn FnMut(&str, f64, From);

fn ignition(faults: &Faults, machine: &Machine, studies: Studies, r: &Recorded, add: Add, out: &mut Vec<Signature>) {
    // Turns that were lost, a channel that is clipped or noisy: the recording is to blame as much as the ignition.
    let clean =
        !r.cautions.iter().any(|c| matches!(c, Caution::TurnsMissing { .. } | Caution::Clipped { .. } | Caution::Noisy { .. }));
    let by_pickup = matches!(r.mark, MarkFound::Segment { .. });
    if let Some(curve) = studies.curve {
        out.extend(rows(faults, machine, curve, r));
    }
    if let Some(arc) = &r.edges.arc {
        let (sound, wrong) = segment(arc.off);
        out.push(Signature::of_shown(faults, &["true-tdc"], [("segment-wrong", wrong)], sound, (1, Of::Segment)));
    }
    if let Some(apart) = apart(machine, &r.rows) {
        add("strobe-pair", beyond(apart, PAIR_OFF), From::Pair(apart));
    }
    // Weights move the pickup's own shaft along, so that their sticking shows by a mark on the crank alone.
    let falling = r.places.iter().filter_map(|p| p.rising_less_falling).map(|f| Finding { si: -f.si, ..f });
    if let Some(earlier) = falling.max_by(|a, b| a.si.total_cmp(&b.si)).filter(|_| !by_pickup) {
        add("strobe-updown", above(earlier, STICKS_FROM), From::FallingEarlier(earlier));
    }
    if clean {
        out.extend(scatter(faults, r, by_pickup));
        out.extend(lost_and_doubled(faults, r));
    }
    if let Some(pulses) = &r.pulses {
        gap(pulses.gap_at_least, pulses.gap_at_most, add);
        let need = studies.spark.and_then(|s| s.signal.as_ref().ok()).into_iter().flatten().map(|s| s.need);
        if let (true, Some((leading, _)), Some(need)) =
            (pulses.volts, pulses.peak_per_speed, need.max_by(|a, b| a.si.total_cmp(&b.si)))
        {
            let peak = at_the_kick(machine, leading, pulses.lags);
            let short = Finding { si: need.si - peak.si, plus_minus_si: need.plus_minus_si.hypot(peak.plus_minus_si) };
            add("pickup-peak", above(short, 0.0), From::Peak(peak, need));
        }
    }
}

/// Rows beside the curve of the file: as it says, another curve, another end of the segment.
///
/// Each way is a normal density of all rows together. Their own scatter stands on the diagonal. What the file's curve is not sure of is one error that all of them
/// share, as large at each speed as its ±; where the law counts from the crank and the clock is the pickup, the place of the pickup is another. So a shift that such
/// a recording cannot show weighs nothing, and the slope over the speed counts.
fn rows(faults: &Faults, machine: &Machine, curve: &CurveStudy, r: &Recorded) -> Option<Signature> {
    let by_pickup = matches!(r.mark, MarkFound::Segment { .. });
    let from_ends = by_pickup && from_segment(machine);
    let used: Vec<&Row> =
        r.rows.iter().filter(|row| curve.cylinders.get(row.cylinder).is_some_and(|c| !c.band.is_empty())).collect();
    let law = |row: &Row| curve.cylinders[row.cylinder].law.advance(row.speed.si).radians();
    let marks: Vec<Mark> = used
        .iter()
        .map(|row| (row.speed.si, Finding { si: row.advance.si - law(row), plus_minus_si: row.advance.plus_minus_si }))
        .collect();
    let (slowest, fastest) = marks::ends(&marks);
    if marks.len() < FEWEST || fastest < WIDE * slowest {
        return None;
    }
    let doubt: Vec<f64> = used
        .iter()
        .map(|row| {
            let band = &curve.cylinders[row.cylinder].band;
            let off = |s: f64| (s - row.speed.si).abs();
            let near = band.iter().min_by(|a, b| off(a.speed_rad_s).total_cmp(&off(b.speed_rad_s)));
            0.5 * near.map_or(0.0, |b| b.advance.plus_minus_si)
        })
        .collect();
    let place = if from_ends {
        0.5 * r.mark_at.plus_minus_si
    } else if by_pickup {
        SHIFT_SD
    } else {
        0.5 * machine.lamp.mark.plus_minus_si.max(r.mark_at.plus_minus_si)
    };
    let found = marks::weigh_with(&marks, place, Some(&doubt));
    // With its leads the wrong way round the module takes each end for the other, or follows the other one at all speeds.
    let turned = match r.mark {
        MarkFound::Segment { arc, .. } if from_ends => {
            let (leading, trailing) = (r.mark_at.si + 0.5 * arc.si, r.mark_at.si - 0.5 * arc.si);
            let log = |mean: &dyn Fn(&Row) -> f64| {
                let moved = used.iter().zip(&marks);
                let moved = moved.map(|(row, (s, off))| (*s, Finding { si: off.si - mean(row), ..*off }));
                marks::weigh_with(&moved.collect::<Vec<Mark>>(), place.hypot(EDGE_SD), Some(&doubt)).sound
            };
            Some([log(&|row| leading + trailing - 2.0 * law(row)), log(&|_| arc.si), log(&|_| -arc.si)])
        }
        _ => None,
    };
    let top = turned.into_iter().flatten().fold(found.sound.max(found.shifted).max(found.other), f64::max);
    let beside = |log: f64| (log - top).exp();
    let named: Vec<(&str, f64)> = if by_pickup {
        let other = beside(found.other);
        let turned = turned.map(|each| ("pickup-reversed", each.map(beside).iter().sum::<f64>() / 3.0));
        [("cdi-mismatch", other), ("segment-wrong", other)].into_iter().chain(turned).collect()
    } else {
        marks::named(&found).map(|(id, log)| (id, beside(log))).collect()
    };
    Some(Signature::of_shown(faults, &MARKS, named, beside(found.sound), (marks.len(), Of::Recorded)))
}

/// Likelihoods of a segment that is as in the file, and of one that is not.
fn segment(off: Finding) -> (f64, f64) {
    let sd = (0.5 * off.plus_minus_si).max(1e-6);
    (normal_density(off.si, sd), normal_density(off.si, sd.hypot(SEGMENT_SD_M)))
}

/// How far two cylinders at places of their own fire apart beside the curve: at the same speed and trend, so that the mark falls out; what an uneven turn makes of
/// it does not.
fn apart(machine: &Machine, rows: &[Row]) -> Option<Finding> {
    let [one, other] = &machine.engine.cylinders[..] else { return None };
    let same = |a: &Row, b: &Row| b.cylinder == 1 && b.place != a.place && b.trend == a.trend;
    let pairs = rows.iter().filter(|a| a.cylinder == 0).filter_map(|a| {
        let off = |b: &Row| (a.speed.si / b.speed.si - 1.0).abs();
        let near = rows.iter().filter(|b| same(a, b) && off(b) <= SAME_SPEED);
        let b = near.min_by(|x, y| off(x).total_cmp(&off(y)))?;
        Some((a.advance.si - b.advance.si, a.advance.plus_minus_si.hypot(b.advance.plus_minus_si)))
    });
    let pairs: Vec<(f64, f64)> = pairs.collect();
    let surest = pairs.iter().map(|p| p.1).reduce(f64::min)?;
    let uneven = UNEVEN * (one.fires_at.si - other.fires_at.si).abs();
    // What the rows share is in each difference alike: the mean is no surer than the surest.
    let si = pairs.iter().map(|p| p.0).sum::<f64>() / pairs.len() as f64;
    Some(Finding { si, plus_minus_si: surest.hypot(uneven) })
}

/// Where the speed stayed after a blip, beside the speeds at which the idle study says that the engine rests.
fn hang(faults: &Faults, studies: Studies, pace: &Pace) -> Option<Signature> {
    let idle = pace.idle.as_ref()?.speed.si;
    let heard = pace.hangs.iter().max_by(|a, b| a.lasts_s.total_cmp(&b.lasts_s))?;
    let speed = pace.steady.get(heard.steady)?.speed;
    let most = pace.blips.iter().map(|b| b.peak_rad_s).fold(speed.si, f64::max);
    let rests = &studies.idle?.rest.points;
    let rests: Vec<f64> = rests.iter().filter(|p| p.stable).map(|p| p.speed_rad_s).collect();
    let (by_curve, otherwise) = hang_likelihoods(speed, (HANG_FROM * idle, most), &rests)?;
    Some(Signature::of_shown(faults, &["rest-speeds"], [("curve-steep", by_curve)], otherwise, (1, Of::Hang)))
}

/// Densities in the logarithm of speed: about the nearest computed rest speed within the range, and even over the range. `None` without one: that the study does
/// not hang counts already.
fn hang_likelihoods(speed: Finding, (least, most): (f64, f64), rests: &[f64]) -> Option<(f64, f64)> {
    let (low, high) = (least.ln(), most.ln());
    let wide = high - low;
    if wide <= 0.0 {
        return None;
    }
    let sd = HANG_SD.hypot(0.5 * speed.plus_minus_si / speed.si);
    let inside = rests.iter().filter(|r| (least..=most).contains(*r));
    let nearest = inside.map(|r| normal_density(speed.si.ln() - r.ln(), sd)).reduce(f64::max)?;
    Some((nearest, 1.0 / wide))
}

#[cfg(test)]
mod tests {
    use super::*;
    use pickups::ratio_likelihoods;
    use sparks::{AILING_ONE_IN, SOUND_ONE_IN};

    /// Sums of exponentials and logarithms beside SciPy's own.
    const ROUNDED: f64 = 1e-9;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= ROUNDED * want.abs(), "{got} for {want}");
    }

    /// `reference/fault/heard.csv`: SciPy's beta-binomial and normal distributions.
    #[test]
    fn likelihoods_are_those_of_the_distributions() {
        let table = include_str!("../../../../../../../reference/fault/heard.csv");
        let mut rows = 0;
        for line in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let cells: Vec<&str> = line.split(',').collect();
            let x: Vec<f64> = cells[1..].iter().map(|c| c.parse().unwrap()).collect();
            let pair = match cells[0] {
                "events" => {
                    let of = |one_in| log_events(x[0] as usize, x[1] as usize, one_in);
                    (of(SOUND_ONE_IN), of(AILING_ONE_IN))
                }
                "segment" => segment(Finding { si: x[0], plus_minus_si: x[1] }),
                "ratio" => ratio_likelihoods(Finding { si: x[0], plus_minus_si: x[1] }),
                _ => hang_likelihoods(Finding { si: x[0], plus_minus_si: x[1] }, (150.0, 500.0), &[110.0, 230.0]).unwrap(),
            };
            close(pair.0, x[2]);
            close(pair.1, x[3]);
            rows += 1;
        }
        assert_eq!(rows, 20);
    }

    #[test]
    fn a_bound_on_a_gap_answers_only_where_it_can() {
        let at = |mm: f64| Some(Finding { si: mm * 1e-3, plus_minus_si: 0.05e-3 });
        let answer = |low, high| {
            let mut said = None;
            gap(low, high, &mut |_, positive, _| said = Some(positive));
            said
        };
        assert_eq!(answer(at(1.4), at(2.0)), None);
        assert!(answer(None, at(0.15)).unwrap() > 0.99);
        assert!(answer(at(0.5), at(0.8)).unwrap() < 0.01);
        assert_eq!(answer(at(0.2), at(1.6)), None);
        assert_eq!(answer(None, None), None);
    }
}
