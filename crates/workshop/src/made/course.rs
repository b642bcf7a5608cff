//! How the speed goes: straight pieces.

use super::Wish;
use crate::{machine::Machine, sampling::SplitMix64, sampling::normal_quantile};
use std::f64::consts::TAU;

/// What the engine does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// Idles, hunting a little.
    Idle,
    /// Up to its fastest and down again, over and over.
    Sweep,
    /// Idles, is blipped, hangs where the machine file says so, is pulled down to the idle; over and over.
    Blip,
    /// Idles, then the ignition is cut and it runs down.
    RunDown,
    /// Stays at its fastest.
    Steady,
}

/// Speed against time, straight between knots; and the angle that goes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Time [s], speed [rad/s], angle [rad].
    knots: Vec<(f64, f64, f64)>,
    /// From when on there is no spark [s].
    pub(super) cut_s: f64,
}

/// A turn a minute [rad/s], exact.
const RPM: f64 = TAU / 60.0;
/// Idle where the file has none [rad/s]; greatest speed where none is wished for [rad/s] (own choice): 1200 and 6000 rpm.
const IDLE: f64 = 1200.0 * RPM;
const FASTEST: f64 = 6000.0 * RPM;
/// An idle hunts by so much, so often, and scatters by so much from one twentieth of a second to the next \[1\], [Hz], \[1\] (own choice).
const HUNTS: (f64, f64, f64) = (0.02, 1.3, 0.006);

impl Course {
    pub(super) fn of(machine: &Machine, wish: &Wish, random: &mut SplitMix64) -> Option<Self> {
        let idle = machine.idle.as_ref().map_or(IDLE, |i| i.speed.si);
        let fastest = wish.fastest_rad_s.unwrap_or(FASTEST.min(machine.engine.top_speed.si));
        let hang = machine.idle.as_ref().and_then(|i| i.hangs_at.as_ref()).map_or(idle, |h| h.si);
        let pace = wish.sweep_rad_s2;
        if !(fastest > idle && pace > 0.0 && idle > 0.0 && fastest.is_finite()) {
            return None;
        }
        let end = wish.seconds + 1.0;
        let mut points: Vec<(f64, f64)> = vec![];
        let mut cut_s = f64::INFINITY;
        let mut t = 0.0;
        let mut wander = |points: &mut Vec<(f64, f64)>, t: &mut f64, lasts: f64, mean: f64, hunts: f64| {
            let steps = (lasts / 0.05).ceil().max(1.0) as usize;
            for _ in 0..=steps {
                let swing = hunts * (TAU * HUNTS.1 * *t).sin() + HUNTS.2 * normal_quantile(random.unit());
                points.push((*t, mean * (1.0 + swing)));
                *t += lasts / steps as f64;
            }
        };
        while t < end {
            match wish.run {
                Run::Idle => wander(&mut points, &mut t, end, idle, HUNTS.0),
                Run::Steady => {
                    points.extend([(0.0, fastest), (end, fastest)]);
                    t = end;
                }
                Run::Sweep => {
                    let takes = (fastest - idle) / pace;
                    points.extend([(t, idle), (t + 0.3, idle), (t + 0.3 + takes, fastest), (t + 0.6 + takes, fastest)]);
                    t += 0.6 + 2.0 * takes + 1e-6;
                }
                Run::Blip => {
                    wander(&mut points, &mut t, 4.0, idle, HUNTS.0);
                    let up = (fastest - idle) / pace;
                    points.extend([(t, idle), (t + up, fastest)]);
                    t += up + 1.5 * (fastest - hang) / pace + 0.3;
                    if hang > 1.2 * idle {
                        wander(&mut points, &mut t, 4.0, hang, 0.3 * HUNTS.0);
                        t += 0.6;
                    }
                }
                Run::RunDown => {
                    wander(&mut points, &mut t, (0.6 * wish.seconds).max(0.1), idle, HUNTS.0);
                    cut_s = t;
                    // Friction that grows with speed: an exponential towards a speed below zero.
                    let takes = (0.38 * wish.seconds).max(0.05);
                    let down = |x: f64| (1.3 * (-1.6 * x).exp() - 0.3).max(0.15);
                    points.extend((1..=40).map(|k| (t + takes * f64::from(k) / 40.0, idle * down(f64::from(k) / 40.0))));
                    t = end;
                }
            }
        }
        let mut knots: Vec<(f64, f64, f64)> = Vec::with_capacity(points.len());
        for (at, speed) in points {
            match knots.last() {
                Some((t0, w0, a0)) if at > *t0 => knots.push((at, speed, a0 + 0.5 * (w0 + speed) * (at - t0))),
                Some(_) => {}
                None => knots.push((at, speed, 0.0)),
            }
        }
        (knots.len() > 1).then_some(Self { knots, cut_s })
    }

    fn piece(&self, before: impl Fn(&(f64, f64, f64)) -> bool) -> usize {
        self.knots.partition_point(before).clamp(1, self.knots.len() - 1) - 1
    }

    /// Speed [rad/s] at a time [s].
    pub fn speed(&self, at_s: f64) -> f64 {
        let i = self.piece(|k| k.0 <= at_s);
        let ((t0, w0, _), (t1, w1, _)) = (self.knots[i], self.knots[i + 1]);
        w0 + (w1 - w0) * ((at_s - t0) / (t1 - t0)).clamp(0.0, 1.0)
    }

    /// Angle at the last knot [rad].
    pub(super) fn last_angle(&self) -> f64 {
        self.knots[self.knots.len() - 1].2
    }

    /// When an angle [rad] is passed [s]: the root of a parabola in its piece.
    pub(super) fn time(&self, angle: f64) -> f64 {
        let i = self.piece(|k| k.2 <= angle);
        let ((t0, w0, a0), (t1, w1, _)) = (self.knots[i], self.knots[i + 1]);
        let half = 0.5 * (w1 - w0) / (t1 - t0);
        let d = angle - a0;
        // half x² + w0 x = d, in the form that does not cancel.
        t0 + 2.0 * d / (w0 + (w0 * w0 + 4.0 * half * d).max(0.0).sqrt())
    }

    /// Greatest and least speed up to a time [rad/s].
    pub(super) fn range(&self, until_s: f64) -> (f64, f64) {
        let speeds = self.knots.iter().filter(|k| k.0 <= until_s).map(|k| k.1);
        speeds.fold((0.0f64, f64::INFINITY), |(most, least), w| (most.max(w), least.min(w)))
    }
}
