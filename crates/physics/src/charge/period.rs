//! One turn of the electrical angle, valve by valve.

use super::{
    circuit::Valve,
    reduced::{Angle, Currents, Side, Sides, Turning},
};
use crate::root::bracketed;
use std::{f64::consts::TAU, sync::LazyLock};

/// Steps of a period, between which valves are looked at \[1\] (own choice): a valve that would conduct for less than one is not seen.
pub const STEPS: usize = 240;
/// Switchings of valves in one period past which they are taken to chatter \[1\] (own choice; a sound bridge has twelve).
const MOST_SWITCHINGS: usize = 400;
/// How near the place of a switching is found [rad] (own choice).
const NEAR_RAD: f64 = 1e-11;
/// What a margin may lie below nought before its valve switches, as a share of what is usual for it \[1\] (own choice): rounding.
const SLACK: f64 = 1e-9;

/// What one period comes to: means over its time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Current into plus [A].
    pub mean_a: f64,
    /// Its root mean square [A].
    pub rms_a: f64,
    /// Least and most of it [A].
    pub range_a: (f64, f64),
    /// Root mean square of each winding's current [A].
    pub winding_rms_a: [f64; 3],
    /// Heat of each winding's copper [W].
    pub copper_w: [f64; 3],
    /// Heat of the valves [W].
    pub valves_w: f64,
    /// What the EMFs give [W].
    pub emf_w: f64,
    /// What goes into the bus: battery EMF and resistance [W].
    pub bus_w: f64,
    /// Root mean square of the volts between inputs 0 and 1, 1 and 2, 2 and 0 [V]; of a single input against the frame in the first.
    pub between_rms_v: [f64; 3],
    /// Mean of their size without sign [V].
    pub between_mean_v: [f64; 3],
}

/// One place in the period.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Electrical angle [rad].
    pub angle_rad: f64,
    /// Current into plus [A].
    pub into_plus_a: f64,
    /// Current of the windings [A].
    pub windings_a: Currents,
}

/// The angle at every step.
static ANGLES: LazyLock<Vec<Angle>> = LazyLock::new(|| (0..=STEPS).map(|k| Angle::of(TAU * k as f64 / STEPS as f64)).collect());

/// Where a part of a period ends: its currents as they would stand at its beginning.
pub struct Ended {
    pub currents: Currents,
    pub totals: Totals,
    pub samples: Vec<Sample>,
}

/// A valve about to switch.
#[derive(Clone, Copy)]
enum Switch {
    Off(usize),
    Upper(usize),
    Lower(usize),
    /// The two through which a free circuit begins to conduct.
    Pair(usize, usize),
}

pub struct Period<'t, 'c> {
    turning: &'t mut Turning<'c>,
    slack_a: f64,
    slack_v: f64,
    /// Parts in which the period repeats itself, see [`Circuit::parts`](super::Circuit).
    parts: usize,
}

impl<'t, 'c> Period<'t, 'c> {
    pub fn new(turning: &'t mut Turning<'c>) -> Self {
        let c = turning.circuit;
        let impedance =
            |w: &super::Winding| (w.resistance_ohm + turning.bus.resistance_ohm).hypot(turning.omega * w.inductance_h);
        let usual_a = c.windings.iter().map(|w| (turning.omega * w.linkage_vs).abs() / impedance(w)).fold(0.0, f64::max);
        let usual_v = c.windings.iter().map(|w| (turning.omega * w.linkage_vs).abs()).fold(turning.bus.emf_v.abs(), f64::max);
        let parts = c.parts();
        Self { turning, slack_a: SLACK * usual_a.max(1e-6), slack_v: SLACK * usual_v.max(1.0), parts }
    }

    /// Valves that conduct with these currents.
    fn sides(&self, i: &Currents) -> Sides {
        let outward = self.turning.outward(i);
        let mut sides = [Side::Off; 3];
        for (k, t) in self.turning.circuit.terminals.iter().enumerate() {
            sides[k] = match (t.upper, t.lower) {
                (Valve::Shorted, _) => Side::Upper,
                (_, Valve::Shorted) => Side::Lower,
                (Valve::Diode, _) if outward[k] > self.slack_a => Side::Upper,
                (_, Valve::Diode) if outward[k] < -self.slack_a => Side::Lower,
                _ => Side::Off,
            };
        }
        sides
    }

    /// Runs one part of a period from these currents; `None` where the valves chatter. What is gathered is that of the whole period that such parts make.
    pub fn run(&mut self, start: Currents, gather: bool) -> Option<Ended> {
        let mut i = start;
        let mut code = self.turning.ready(self.sides(&i));
        let mut sums = Totals { range_a: (f64::INFINITY, f64::NEG_INFINITY), ..Totals::default() };
        let mut samples = Vec::new();
        let mut switched = 0;
        for step in 0..STEPS / self.parts {
            let (mut from, to) = (TAU * step as f64 / STEPS as f64, TAU * (step + 1) as f64 / STEPS as f64);
            let (mut at_from, at_to) = (ANGLES[step], ANGLES[step + 1]);
            let mut whole = true;
            if gather {
                let outward = self.turning.outward(&i);
                let into_plus_a = self.turning.to_plus_a(&self.turning.reduced(code).sides, &outward);
                samples.push(Sample { angle_rad: from, into_plus_a, windings_a: i });
            }
            loop {
                let r = self.turning.reduced(code);
                let next = if whole {
                    r.stepped(&i, at_from, at_to)
                } else {
                    r.after(&i, at_from, at_to, (to - from) / self.turning.omega)
                };
                let Some((at, switch)) = self.first_switch(code, &i, (from, at_from), &next, (to, at_to)) else {
                    if gather {
                        self.gather(&mut sums, code, [&i, &next], (from, at_from), (to, at_to));
                    }
                    i = next;
                    break;
                };
                switched += 1;
                if switched > MOST_SWITCHINGS {
                    return None;
                }
                let angle = Angle::of(at);
                let there = r.after(&i, at_from, angle, (at - from) / self.turning.omega);
                if gather && at > from {
                    self.gather(&mut sums, code, [&i, &there], (from, at_from), (at, angle));
                }
                i = there;
                code = self.switched(code, switch, &mut i);
                (from, at_from, whole) = (at, angle, false);
            }
        }
        let n = self.turning.circuit.windings.len();
        self.spread(&mut sums, n);
        for square in sums.winding_rms_a.iter_mut().chain([&mut sums.rms_a]).chain(&mut sums.between_rms_v) {
            *square = square.sqrt();
        }
        if self.parts == 1 {
            return Some(Ended { currents: i, totals: sums, samples });
        }
        for k in samples.len()..if gather { STEPS } else { 0 } {
            let before: &Sample = &samples[k - STEPS / self.parts];
            let mut windings_a = [0.0; 3];
            (0..n).for_each(|w| windings_a[w] = -before.windings_a[(w + 1) % n]);
            samples.push(Sample { angle_rad: TAU * k as f64 / STEPS as f64, into_plus_a: before.into_plus_a, windings_a });
        }
        let mut currents = [0.0; 3];
        (0..n).for_each(|w| currents[(w + 1) % n] = -i[w]);
        Some(Ended { currents, totals: sums, samples })
    }

    /// Means over the period of what was summed over one part: in the others each winding, and each pair of inputs, takes its turn.
    fn spread(&self, sums: &mut Totals, n: usize) {
        if self.parts == 1 {
            return;
        }
        let parts = self.parts as f64;
        for sum in [&mut sums.mean_a, &mut sums.rms_a, &mut sums.valves_w, &mut sums.emf_w, &mut sums.bus_w] {
            *sum *= parts;
        }
        for each in [&mut sums.winding_rms_a, &mut sums.copper_w, &mut sums.between_rms_v, &mut sums.between_mean_v] {
            let mean = parts * each[..n].iter().sum::<f64>() / n as f64;
            each[..n].fill(mean);
        }
    }

    /// The valves after a switching; currents that must be nought are made so.
    fn switched(&mut self, code: usize, switch: Switch, i: &mut Currents) -> usize {
        let mut sides = self.turning.reduced(code).sides;
        match switch {
            Switch::Off(k) => sides[k] = Side::Off,
            Switch::Upper(k) => sides[k] = Side::Upper,
            Switch::Lower(k) => sides[k] = Side::Lower,
            Switch::Pair(up, down) => (sides[up], sides[down]) = (Side::Upper, Side::Lower),
        }
        // A single valve that conducts has nothing to return its current.
        let c = self.turning.circuit;
        let shorted = c.terminals.iter().any(|t| t.upper == Valve::Shorted || t.lower == Valve::Shorted);
        let grounded = c.windings.iter().any(|w| w.from == super::Node::Ground || w.to == super::Node::Ground);
        if !shorted && !grounded && sides.iter().filter(|s| **s != Side::Off).count() == 1 {
            sides = [Side::Off; 3];
        }
        let code = self.turning.ready(sides);
        let here = Angle::of(0.0);
        // Onto what the valves that are off allow; no time passes.
        *i = self.turning.reduced(code).after(i, here, here, 0.0);
        code
    }

    /// Margins of every valve: nought or more as long as it does what it does.
    fn margins(&self, code: usize, i: &Currents, at: Angle) -> ([f64; 6], [Option<Switch>; 6]) {
        let r = self.turning.reduced(code);
        let c = self.turning.circuit;
        let outward = self.turning.outward(i);
        let plus = self.turning.plus(self.turning.to_plus_a(&r.sides, &outward));
        let volts = r.volts(i, at);
        let (mut margins, mut switches) = ([f64::INFINITY; 6], [None; 6]);
        let (mut top, mut bottom): (Option<usize>, Option<usize>) = (None, None);
        for (k, t) in c.terminals.iter().enumerate() {
            let set = |n: usize, margin: f64, switch, m: &mut [f64; 6], s: &mut [Option<Switch>; 6]| {
                (m[2 * k + n], s[2 * k + n]) = (margin, Some(switch));
            };
            match r.sides[k] {
                Side::Upper if t.upper == Valve::Diode => {
                    set(0, outward[k] + self.slack_a, Switch::Off(k), &mut margins, &mut switches);
                }
                Side::Lower if t.lower == Valve::Diode => {
                    set(0, self.slack_a - outward[k], Switch::Off(k), &mut margins, &mut switches);
                }
                Side::Off if volts[k].is_nan() => {}
                Side::Off if r.free => {
                    if t.upper == Valve::Diode && top.is_none_or(|best| volts[k] > volts[best]) {
                        top = Some(k);
                    }
                    if t.lower == Valve::Diode && bottom.is_none_or(|best| volts[k] < volts[best]) {
                        bottom = Some(k);
                    }
                }
                Side::Off => {
                    if t.upper == Valve::Diode {
                        let margin = plus + c.diode_v - volts[k] + self.slack_v;
                        set(0, margin, Switch::Upper(k), &mut margins, &mut switches);
                    }
                    if t.lower == Valve::Diode {
                        let margin = volts[k] + c.diode_v + self.slack_v;
                        set(1, margin, Switch::Lower(k), &mut margins, &mut switches);
                    }
                }
                _ => {}
            }
        }
        if let (Some(top), Some(bottom)) = (top, bottom)
            && top != bottom
        {
            margins[0] = plus + 2.0 * c.diode_v - (volts[top] - volts[bottom]) + self.slack_v;
            switches[0] = Some(Switch::Pair(top, bottom));
        }
        (margins, switches)
    }

    /// The first valve that switches on the way, and where.
    fn first_switch(
        &self,
        code: usize,
        i: &Currents,
        from: (f64, Angle),
        next: &Currents,
        to: (f64, Angle),
    ) -> Option<(f64, Switch)> {
        let (after, switches) = self.margins(code, next, to.1);
        if after.iter().all(|m| *m >= 0.0) {
            return None;
        }
        let r = self.turning.reduced(code);
        let at = |angle: f64| {
            let a = Angle::of(angle);
            let there = r.after(i, from.1, a, (angle - from.0) / self.turning.omega);
            self.margins(code, &there, a)
        };
        let (before, now) = self.margins(code, i, from.1);
        let mut first: Option<(f64, Switch)> = None;
        for k in (0..6).filter(|&k| after[k] < 0.0) {
            let (place, switch) = if before[k] < 0.0 {
                (from.0, now[k]?)
            } else {
                let place = bracketed(|angle| at(angle).0[k], from.0, to.0, NEAR_RAD).unwrap_or(to.0);
                let there = at(place).1[k].or(switches[k])?;
                (place, there)
            };
            if first.is_none_or(|(best, _)| place < best) {
                first = Some((place, switch));
            }
        }
        first
    }

    /// Adds a stretch in which no valve switches, with the currents at its ends, by Simpson's rule.
    fn gather(&self, sums: &mut Totals, code: usize, ends: [&Currents; 2], from: (f64, Angle), to: (f64, Angle)) {
        let r = self.turning.reduced(code);
        let c = self.turning.circuit;
        let width = (to.0 - from.0) / TAU;
        let half = 0.5 * (from.0 + to.0);
        let at_half = Angle::of(half);
        let middle = r.after(ends[0], from.1, at_half, (half - from.0) / self.turning.omega);
        for (now, a, weight) in [(ends[0], from.1, 1.0 / 6.0), (&middle, at_half, 4.0 / 6.0), (ends[1], to.1, 1.0 / 6.0)] {
            let outward = self.turning.outward(now);
            let into = self.turning.to_plus_a(&r.sides, &outward);
            let volts = r.volts(now, a);
            let w = weight * width;
            sums.mean_a += w * into;
            sums.rms_a += w * into * into;
            sums.range_a = (sums.range_a.0.min(into), sums.range_a.1.max(into));
            sums.bus_w += w * into * self.turning.plus(into);
            for (k, winding) in c.windings.iter().enumerate() {
                let square = now[k] * now[k];
                sums.winding_rms_a[k] += w * square;
                sums.copper_w[k] += w * square * winding.resistance_ohm;
                sums.emf_w += w * now[k] * self.turning.emf(k, a);
            }
            for k in 0..c.terminals.len() {
                let base = match r.sides[k] {
                    Side::Off => continue,
                    Side::Upper => volts[k] - self.turning.plus(into),
                    Side::Lower => volts[k],
                };
                sums.valves_w += w * base * outward[k];
            }
            let n = c.terminals.len();
            for pair in 0..3 {
                let v = match n {
                    1 if pair == 0 => volts[0],
                    2 if pair == 0 => volts[0] - volts[1],
                    3 => volts[pair] - volts[(pair + 1) % 3],
                    _ => 0.0,
                };
                sums.between_rms_v[pair] += w * v * v;
                sums.between_mean_v[pair] += w * v.abs();
            }
        }
    }
}
