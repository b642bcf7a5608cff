//! The likeliest course of the speed through all moments.

use super::likeness::STEP;
use nalgebra::{Matrix3, Vector3};
use std::ops::Range;

/// Greatest change of the speed's logarithm per second [1/s] (own choice): a light crank goes from 1000 to 8000 rpm in half a second.
const FASTEST: f64 = 5.0;
/// What a change costs, for each step and each squared step \[1\] (own choice), where a perfect likeness counts 1.
const STEP_COSTS: f32 = 0.01;
/// Moments to either side over which the course is smoothed [1] (own choice): a fifth of a second in all.
pub(super) const SMOOTH: usize = 2;
/// What a moment that goes badly with the sound still weighs in that, beside one that goes perfectly \[1\] (own choice).
const LEAST_WEIGHT: f64 = 0.05;

/// Moments that wait for what comes behind them before the course through them is settled [1] (own choice): ten seconds. By then all courses that are
/// still in question have long been one, but in silence, where each is as good.
const WAITS: usize = 200;

/// One moment of the course.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told {
    /// The step, refined between its neighbours.
    pub(super) step: f64,
    /// How well the sound goes with it.
    pub(super) fit: f32,
    /// By how much it goes better with the course around than with any other course of that shape.
    pub(super) lead: f32,
    /// Share of the sound around that is found again where the course has it; 0 until it is made exact.
    pub(super) borne: f32,
}

/// Viterbi's algorithm over speeds in steps, moment by moment.
///
/// Source: Viterbi, IEEE Trans. Inf. Theory 13 (1967) 260–269. It does away with jumps to half or twice the speed: on the way there no
/// speed goes with the sound. No more than twice [`WAITS`] moments and some are held.
#[derive(Clone, Debug)]
pub(super) struct Course {
    speeds: usize,
    reach: usize,
    worth: Vec<f32>,
    back: Vec<i8>,
    /// What each moment says for each speed, in 1/127.
    said: Vec<i8>,
    /// Moments held that were told already.
    kept: usize,
}

impl Course {
    pub(super) fn new(speeds: usize, moment_s: f64) -> Self {
        let reach = ((FASTEST * moment_s / STEP).ceil() as usize).clamp(1, 100);
        Self { speeds, reach, worth: vec![0.0; speeds], back: Vec::new(), said: Vec::new(), kept: 0 }
    }

    /// One more moment.
    pub(super) fn push(&mut self, fits: &[f32]) {
        let mut worth = vec![0.0f32; self.speeds];
        for to in 0..self.speeds {
            let (mut best, mut from) = (f32::NEG_INFINITY, 0i8);
            for f in to.saturating_sub(self.reach)..(to + self.reach + 1).min(self.speeds) {
                let d = f as i32 - to as i32;
                let w = self.worth[f] - STEP_COSTS * d.abs() as f32;
                if w > best {
                    (best, from) = (w, d as i8);
                }
            }
            worth[to] = best + fits[to].max(0.0);
            self.back.push(from);
            self.said.push((fits[to].clamp(-1.0, 1.0) * 127.0) as i8);
        }
        // Only differences count; taken down, they keep their digits.
        let most = worth.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        worth.iter_mut().for_each(|w| *w -= most);
        self.worth = worth;
    }

    /// What is said and of what it came, for each moment and speed.
    pub(super) fn held(&self) -> usize {
        self.back.len() + self.said.len()
    }

    /// What is settled: all but the last [`WAITS`] moments, once twice as many are held.
    pub(super) fn settled(&mut self) -> Vec<Told> {
        let moments = self.back.len() / self.speeds;
        if moments < self.kept + 2 * WAITS { Vec::new() } else { self.trace(moments - WAITS) }
    }

    /// All that is held.
    pub(super) fn rest(&mut self) -> Vec<Told> {
        self.trace(self.back.len() / self.speeds)
    }

    /// The course through the first `n` moments; of those no more is held than the next ones need.
    fn trace(&mut self, n: usize) -> Vec<Told> {
        let moments = self.back.len() / self.speeds;
        let mut at = (0..self.speeds).max_by(|a, b| self.worth[*a].total_cmp(&self.worth[*b])).unwrap_or(0);
        let mut course = vec![0; moments];
        for m in (0..moments).rev() {
            course[m] = at;
            at = (at as i32 + i32::from(self.back[m * self.speeds + at])).clamp(0, self.speeds as i32 - 1) as usize;
        }
        let mut shifted = Shifted::new(self.speeds);
        let (mut first, mut next) = (0, 0);
        let mut told = Vec::with_capacity(n - self.kept);
        for m in self.kept..n {
            while next < moments.min(m + AROUND + 1) {
                shifted.count(self.said(next), course[next], 1);
                next += 1;
            }
            while first + AROUND < m {
                shifted.count(self.said(first), course[first], -1);
                first += 1;
            }
            told.push(refined(self.said(m), course[m], shifted.lead() / (next - first) as f32));
        }
        let drop = n.saturating_sub(AROUND);
        self.back.drain(..drop * self.speeds);
        self.said.drain(..drop * self.speeds);
        self.kept = n - drop;
        told
    }

    fn said(&self, moment: usize) -> &[i8] {
        &self.said[moment * self.speeds..(moment + 1) * self.speeds]
    }
}

/// What is said for the course and for every other of its shape: so many steps above or below it all along. Noise now speaks for one and now for another; half
/// the speed is half the speed throughout.
struct Shifted {
    speeds: usize,
    sums: Vec<i32>,
}

impl Shifted {
    fn new(speeds: usize) -> Self {
        Self { speeds, sums: vec![0; 2 * speeds] }
    }

    fn count(&mut self, said: &[i8], at: usize, sign: i32) {
        let first = self.speeds - at;
        self.sums[first..].iter_mut().zip(said).for_each(|(sum, s)| *sum += sign * i32::from(*s));
    }

    /// By how much more is said for the course than for any other.
    fn lead(&self) -> f32 {
        let away = |(i, _): &(usize, &i32)| i.abs_diff(self.speeds) > AWAY;
        let other = self.sums.iter().enumerate().filter(away).map(|(_, s)| *s).max().unwrap_or(0).max(0);
        (self.sums[self.speeds] - other) as f32 / 127.0
    }
}

/// One moment of which each speed says so much, where the course passes at this step.
fn refined(said: &[i8], at: usize, lead: f32) -> Told {
    let fit = |i: usize| f32::from(said[i]) / 127.0;
    // Up the hill within the path's own width.
    let near = at.saturating_sub(NEAR)..(at + NEAR + 1).min(said.len());
    Told { step: top(near, fit).unwrap_or(at as f64), fit: fit(at), lead, borne: 0.0 }
}

/// The greatest of some values in a row, by the parabola through it and its neighbours; `None` where it is the first or the last.
pub(super) fn top(near: Range<usize>, of: impl Fn(usize) -> f32) -> Option<f64> {
    let top = near.clone().max_by(|a, b| of(*a).total_cmp(&of(*b)))?;
    if top == near.start || top + 1 == near.end {
        return None;
    }
    let (a, b, c) = (of(top - 1), of(top), of(top + 1));
    let bend = a - 2.0 * b + c;
    Some(f64::from(top as f32 + if bend < 0.0 { 0.5 * (a - c) / bend } else { 0.0 }))
}

/// Step at moment `i` by the parabola through those around it, the near ones and those that go well with the sound
/// weighing most: a crank has inertia.
///
/// Source: locally weighted regression, Cleveland, J. Am. Stat. Assoc. 74 (1979) 829–836, with its weights and without its robust rounds.
pub(super) fn smoothed(course: &[Told], i: usize) -> f64 {
    let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
    let reach = (SMOOTH + 1) as f64;
    for (k, near) in course.iter().enumerate().take(i + SMOOTH + 1).skip(i.saturating_sub(SMOOTH)) {
        let u = (k as f64 - i as f64) / reach;
        let weight = (1.0 - u.abs().powi(3)).powi(3) * f64::from(near.fit).max(LEAST_WEIGHT);
        let powers = Vector3::new(1.0, u, u * u);
        normal += weight * powers * powers.transpose();
        right += weight * near.step * powers;
    }
    // Fewer than three moments make no parabola.
    normal.cholesky().map(|c| c.solve(&right)).map_or(course[i].step, |p| p[0])
}

/// Steps to either side within which the best is sought [1] (own choice).
const NEAR: usize = 3;
/// Steps beyond which a speed is another one [1] (own choice).
const AWAY: usize = 10;
/// Moments to either side over which courses are compared [1] (own choice): half a second.
const AROUND: usize = 10;

#[cfg(test)]
mod tests {
    use super::*;

    /// A course of 75 s that wanders, with half the speed nearly as good and noise over all: settled as it goes, it is the same as settled at the end.
    #[test]
    fn settled_in_pieces_it_is_the_same_course() {
        let speeds = 200;
        let (mut pieces, mut whole) = (Course::new(speeds, 0.05), Course::new(speeds, 0.05));
        let (mut in_pieces, mut most, mut seed) = (Vec::new(), 0, 1u32);
        for m in 0..3000 {
            let at = 130.0 + 40.0 * (f64::from(m) / 40.0).sin();
            let fits: Vec<f32> = (0..speeds)
                .map(|i| {
                    seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    let noise = 0.3 * (seed >> 8) as f32 / (1 << 24) as f32;
                    let bell = |d: f64| (-0.5 * (d / 3.0).powi(2)).exp() as f32;
                    0.6 * bell(i as f64 - at) + 0.5 * bell(i as f64 - at + 69.0) + noise
                })
                .collect();
            pieces.push(&fits);
            whole.push(&fits);
            in_pieces.extend(pieces.settled());
            most = most.max(pieces.held());
        }
        in_pieces.extend(pieces.rest());
        let at_end = whole.rest();
        let steps = |of: &[Told]| of.iter().map(|t| (t.step, t.lead)).collect::<Vec<_>>();
        assert_eq!(steps(&in_pieces), steps(&at_end));
        assert_eq!(at_end.len(), 3000);
        assert!(most <= 2 * (2 * WAITS + AROUND) * speeds, "{most}");
    }
}
