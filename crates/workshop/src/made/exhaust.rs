//! The sound of the exhaust.

use super::{Course, Wish};
use crate::{
    machine::{Machine, Strokes},
    sampling::{SplitMix64, normal_quantile},
};
use std::f64::consts::TAU;

/// Root mean square of the sound in full scale \[1\] (own choice).
const RMS: f64 = 0.12;
/// The exhaust opens so far behind the firing [rad] (common practice, no source): 125°.
const OPENS_RAD: f64 = 125.0 * TAU / 360.0;
/// Push [s] and the pipe's own tones [Hz] with the time in which they die [s] (own choice).
const PUSH_S: (f64, f64) = (0.3e-3, 1.5e-3);
const TONES_HZ: [(f64, f64); 2] = [(110.0, 1.0), (310.0, 0.5)];
const TONES_S: f64 = 8e-3;
/// So long a firing is heard [s] (own choice).
const LASTS_S: f64 = 0.05;
/// From burn to burn the push varies by so much, from cylinder to cylinder it differs by so much \[1\] (own choice).
const VARIES: f64 = 0.2;
const DIFFERS: f64 = 0.15;

#[derive(Debug)]
pub(super) struct Exhaust {
    /// Time [s] and force.
    firings: Vec<(f64, f64)>,
    next: usize,
}

impl Exhaust {
    pub(super) fn new(machine: &Machine, wish: &Wish, course: &Course, random: &mut SplitMix64) -> Self {
        let cycle = if machine.engine.strokes == Strokes::Four { 2.0 * TAU } else { TAU };
        let mut firings = Vec::new();
        let (fastest, _) = course.range(wish.seconds);
        for (c, cylinder) in machine.engine.cylinders.iter().enumerate() {
            let own = 1.0 + DIFFERS * if c % 2 == 0 { 1.0 } else { -1.0 };
            for k in 0..(course.last_angle() / cycle) as usize {
                let at = course.time(k as f64 * cycle + cylinder.fires_at.si + OPENS_RAD);
                if at < wish.seconds.min(course.cut_s) {
                    // Louder where it turns faster, and closer together.
                    let loud = (course.speed(at) / fastest).powf(0.3);
                    firings.push((at, own * loud * (1.0 + VARIES * normal_quantile(random.unit())).max(0.1)));
                }
            }
        }
        firings.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Power of one firing times how often it comes.
        let energy: f64 = (0..500).map(|i| blow(f64::from(i) * 1e-4).powi(2) * 1e-4).sum();
        let power = firings.iter().map(|f| f.1 * f.1).sum::<f64>() * energy / wish.seconds.min(course.cut_s);
        let scale = if power > 0.0 { RMS / power.sqrt() } else { 0.0 };
        firings.iter_mut().for_each(|f| f.1 *= scale);
        Self { firings, next: 0 }
    }

    /// Root mean square.
    pub(super) fn rms(&self) -> f64 {
        RMS
    }

    pub(super) fn draw(&mut self, first: u64, n: usize, rate_hz: f64, _: &mut SplitMix64) -> Vec<f64> {
        let mut wave = vec![0.0; n];
        let (start, end) = (first as f64 / rate_hz, (first + n as u64) as f64 / rate_hz);
        while self.firings.get(self.next).is_some_and(|f| f.0 + LASTS_S < start) {
            self.next += 1;
        }
        for (at, force) in self.firings[self.next..].iter().take_while(|f| f.0 < end) {
            let index = |t: f64| ((t * rate_hz).ceil() - first as f64).clamp(0.0, n as f64) as usize;
            for (i, x) in wave.iter_mut().enumerate().take(index(at + LASTS_S)).skip(index(*at)) {
                *x += force * blow((first + i as u64) as f64 / rate_hz - at);
            }
        }
        wave
    }
}

/// One firing, as it comes out of the pipe.
fn blow(t: f64) -> f64 {
    let push = (1.0 - (-t / PUSH_S.0).exp()) * (-t / PUSH_S.1).exp();
    let tones: f64 = TONES_HZ.iter().map(|(f, share)| share * (TAU * f * t).sin()).sum();
    2.0 * push + 0.4 * tones * (-t / TONES_S).exp()
}
