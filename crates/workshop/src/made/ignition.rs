//! Trigger in one channel, spark in the other.

use super::{Course, Event, Truth, Wish};
use crate::{
    machine::{Machine, SegmentLength, Strokes},
    sampling::{SplitMix64, normal_quantile},
};
use physics::{law::Law, rim::Rim};
use std::f64::consts::TAU;

/// Height of a spark, and of the trigger's pulse at the greatest speed, in full scale \[1\] (own choice).
pub(super) const SPARK: f64 = 0.6;
const TRIGGER: f64 = 0.7;
/// A spark on another lead is heard so faintly; a waste spark is so much weaker; the second of several too \[1\] (own choice).
const OTHER_LEAD: f64 = 0.12;
const WASTE: f64 = 0.75;
const LATER: f64 = 0.8;
/// Time from one of several sparks to the next [s] (common practice, no source).
const NEXT_SPARK_S: f64 = 1e-3;
/// Ringing of the spark's signal [Hz] and the time in which it dies [s]; its burn [s] and the rustle in it \[1\] (own choice).
const RINGS_HZ: f64 = 7500.0;
const RINGS_S: f64 = 0.15e-3;
const BURNS_S: f64 = 0.9e-3;
const RUSTLES: f64 = 0.04;
/// Below this speed one firing has several sparks where that is wished for [rad/s] (own choice): 1500 rpm.
const SEVERAL_BELOW: f64 = 1500.0 * TAU / 60.0;
/// Least width scale of a pulse along the rim [m] (own choice): a pole of some two millimetres makes the pulse of a small gap wider.
const PULSE_M: f64 = 1.4e-3;
/// Half the distance between both pulses of a mark's head on the crank [rad] (own choice): 1.5°.
const HEAD_RAD: f64 = 1.5 * TAU / 360.0;

/// A pulse of the trigger: time [s], height, width scale [s]. A spark: time [s], height.
#[derive(Debug)]
pub(super) struct Ignition {
    pulses: Vec<(f64, f64, f64)>,
    sparks: Vec<(f64, f64)>,
    next_pulse: usize,
    next_spark: usize,
    least_height: f64,
}

impl Ignition {
    pub(super) fn new(
        machine: &Machine,
        wish: &Wish,
        course: &Course,
        laws: &[Law],
        random: &mut SplitMix64,
    ) -> Option<(Self, Vec<Truth>)> {
        let trigger = machine.trigger.as_ref().filter(|_| !wish.mark);
        let pickup = trigger.and_then(|t| t.pickups.first());
        let own = pickup.and_then(|p| p.fires.first().copied()).unwrap_or(0);
        let rotor_turn = trigger.map_or(TAU, |t| TAU / t.drive.turns_per_crank_turn());
        // Angles before the recorded cylinder's top at which pulses come, with their sign; width scale as crank angle.
        let (ends, width) = match trigger {
            Some(t) => {
                let rim = Rim::new(t.rim_diameter.si, t.drive)?;
                let arc_m = match &t.segment {
                    SegmentLength::Arc(a) => a.si,
                    SegmentLength::Chord(c) => rim.arc_of_chord(c.si)?,
                };
                let lead = t.lead.si + pickup.map_or(0.0, |p| p.place_error.si);
                let width_m = pickup.map_or(PULSE_M, |p| (2.0 * p.gap.si / std::f64::consts::PI).max(PULSE_M));
                let arc = rim.crank_of_arc(arc_m).radians();
                (vec![(lead, 1.0), (lead - arc, -0.9)], rim.crank_of_arc(width_m).radians())
            }
            None => (vec![(HEAD_RAD, 1.0), (-HEAD_RAD, -1.0)], 0.6 * HEAD_RAD),
        };
        let end_s = wish.seconds;
        let (fastest, slowest) = course.range(end_s);
        let mut pulses = Vec::new();
        let tops = (course.last_angle() / rotor_turn) as usize;
        for k in 1..tops {
            let top = k as f64 * rotor_turn;
            for (before, height) in &ends {
                let at = course.time(top - before);
                if at < end_s {
                    let speed = course.speed(at);
                    pulses.push((at, TRIGGER * height * speed / fastest, width / speed));
                }
            }
        }
        pulses.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (sparks, truth) = sparks(machine, wish, course, laws, own, rotor_turn, random);
        let least_height = TRIGGER * slowest.max(0.1 * fastest) / fastest;
        Some((Self { pulses, sparks, next_pulse: 0, next_spark: 0, least_height }, truth))
    }

    /// Height of the trigger's pulse at the slowest.
    pub(super) fn trigger_height(&self) -> f64 {
        self.least_height
    }

    pub(super) fn draw(&mut self, first: u64, n: usize, rate_hz: f64, random: &mut SplitMix64) -> Vec<Vec<f64>> {
        let (mut trigger, mut spark) = (vec![0.0; n], vec![0.0; n]);
        let (start, end) = (first as f64 / rate_hz, (first + n as u64) as f64 / rate_hz);
        let index = |t: f64| ((t * rate_hz).ceil() - first as f64).clamp(0.0, n as f64) as usize;
        // So many width scales away a pulse has no height left [1] (own choice).
        const FAR: f64 = 12.0;
        while self.pulses.get(self.next_pulse).is_some_and(|p| p.0 + FAR * p.2 < start) {
            self.next_pulse += 1;
        }
        for (at, height, width) in self.pulses[self.next_pulse..].iter().take_while(|p| p.0 < end + 0.05) {
            for (i, x) in trigger.iter_mut().enumerate().take(index(at + FAR * width)).skip(index(at - FAR * width)) {
                let t = (first + i as u64) as f64 / rate_hz;
                *x += height / ((t - at) / width).cosh().powi(2);
            }
        }
        let lasts = BURNS_S + 8.0 * RINGS_S;
        while self.sparks.get(self.next_spark).is_some_and(|s| s.0 + lasts < start) {
            self.next_spark += 1;
        }
        for (at, height) in self.sparks[self.next_spark..].iter().take_while(|s| s.0 < end + 1e-3) {
            for (i, x) in spark.iter_mut().enumerate().take(index(at + lasts)).skip(index(at - 2.0 / rate_hz)) {
                let t = (first + i as u64) as f64 / rate_hz - at;
                *x += height * heard(t, rate_hz);
                if t > 0.0 && t < BURNS_S {
                    *x += height * RUSTLES * normal_quantile(random.unit());
                }
            }
        }
        vec![trigger, spark]
    }
}

/// A jump that rings, as a converter hears it: the mean over two samples with a raised-cosine weight, by sixteen places.
fn heard(t: f64, rate_hz: f64) -> f64 {
    const PLACES: i32 = 16;
    let ring = |t: f64| if t >= 0.0 { (-t / RINGS_S).exp() * (TAU * RINGS_HZ * t).cos() } else { 0.0 };
    let mut sum = 0.0;
    for k in 0..PLACES {
        let d = (f64::from(k) + 0.5) * 2.0 / f64::from(PLACES) - 1.0;
        sum += (1.0 + (0.5 * TAU * d).cos()) * ring(t + d / rate_hz);
    }
    sum / f64::from(PLACES)
}

fn sparks(
    machine: &Machine,
    wish: &Wish,
    course: &Course,
    laws: &[Law],
    own: usize,
    rotor_turn: f64,
    random: &mut SplitMix64,
) -> (Vec<(f64, f64)>, Vec<Truth>) {
    let f = wish.faults;
    // What a crank triggers comes in every turn of it; without a trigger a four-stroke's contacts sit on the cam.
    let every = if machine.trigger.is_some() {
        if wish.mark { machine.trigger.as_ref().map_or(rotor_turn, |t| TAU / t.drive.turns_per_crank_turn()) } else { rotor_turn }
    } else if machine.engine.strokes == Strokes::Four {
        2.0 * TAU
    } else {
        TAU
    };
    let zero = machine.engine.cylinders[own].fires_at.si;
    let (mut sparks, mut truth) = (Vec::new(), Vec::new());
    for (c, law) in laws.iter().enumerate() {
        let offset = (machine.engine.cylinders[c].fires_at.si - zero).rem_euclid(every);
        let tops = (course.last_angle() / every) as usize;
        for k in 1..tops {
            let top = k as f64 * every + offset;
            let mut at = course.time(top);
            for _ in 0..40 {
                let next = course.time(top - law.advance(course.speed(at)).radians());
                if (next - at).abs() < 1e-12 {
                    break;
                }
                at = next;
            }
            if !(0.0..wish.seconds.min(course.cut_s)).contains(&at) {
                continue;
            }
            let speed_rad_s = course.speed(at);
            if c != own && offset > 1e-6 {
                sparks.push((at, OTHER_LEAD * SPARK));
                continue;
            }
            if c != own {
                continue;
            }
            let height = SPARK * if f.waste && k % 2 == 1 { WASTE } else { 1.0 };
            let mut note = |at_s: f64, event: Event| {
                let advance_rad = law.advance(speed_rad_s).radians();
                truth.push(Truth { at_s, event, cylinder: c, speed_rad_s, advance_rad });
            };
            if random.unit() < f.missing {
                note(at, Event::Missing);
            } else {
                note(at, Event::Fires);
                sparks.push((at, height));
                let several = if speed_rad_s < SEVERAL_BELOW { f.sparks.max(1) } else { 1 };
                let twice = u8::from(random.unit() < f.double);
                for later in 1..several.max(1 + twice) {
                    sparks.push((at + NEXT_SPARK_S * f64::from(later), LATER * height));
                }
            }
            if random.unit() < f.stray {
                // Somewhere in the quarter turn behind the top, where no firing belongs.
                let at_s = course.time(top + 0.25 * TAU * (1.0 + random.unit()));
                if at_s < wish.seconds.min(course.cut_s) {
                    note(at_s, Event::Stray);
                    sparks.push((at_s, height));
                }
            }
        }
    }
    sparks.sort_by(|a, b| a.0.total_cmp(&b.0));
    truth.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    (sparks, truth)
}
