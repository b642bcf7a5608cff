//! The likeliest course of the speed through all moments.

use super::likeness::STEP;
use nalgebra::{Matrix3, Vector3};
use std::ops::Range;

/// Greatest change of the speed's logarithm per second [1/s] (own choice): a light crank goes from 1000 to 8000 rpm in half a second.
pub(super) const FASTEST: f64 = 5.0;
/// What a change costs, for each step and each squared step \[1\] (own choice), where a perfect likeness counts 1.
const STEP_COSTS: f32 = 0.02;
/// Moments to either side over which the course is smoothed [1] (own choice): a fifth of a second in all.
pub(super) const SMOOTH: usize = 4;
/// What a moment that goes badly with the sound still weighs in that, beside one that goes perfectly \[1\] (own choice).
const LEAST_WEIGHT: f64 = 0.05;

/// Moments that wait for what comes behind them before the course through them is settled [1] (own choice): ten seconds. By then all courses that are
/// still in question have long been one, but in silence, where each is as good.
const WAITS: usize = 400;

/// One moment of the course.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told {
    /// The step, refined between its neighbours.
    pub(super) step: f64,
    /// How well the sound goes with it.
    pub(super) fit: f32,
    /// By how much that is more than what speaks for any speed elsewhere.
    pub(super) lead: f32,
}

/// Viterbi's algorithm over speeds in steps, moment by moment.
///
/// Source: Viterbi, IEEE Trans. Inf. Theory 13 (1967) 260–269. It does away with jumps to half or twice the speed: on the way there no
/// speed goes with the sound. No more than twice [`WAITS`] moments are held.
#[derive(Clone, Debug)]
pub(super) struct Course {
    speeds: usize,
    reach: usize,
    worth: Vec<f32>,
    back: Vec<i8>,
    /// What each moment says for each speed, in 1/127.
    said: Vec<i8>,
}

impl Course {
    pub(super) fn new(speeds: usize, moment_s: f64) -> Self {
        let reach = ((FASTEST * moment_s / STEP).ceil() as usize).clamp(1, 100);
        Self { speeds, reach, worth: vec![0.0; speeds], back: Vec::new(), said: Vec::new() }
    }

    /// One more moment.
    pub(super) fn push(&mut self, fits: &[(f32, f32)]) {
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
            worth[to] = best + fits[to].0.max(0.0);
            self.back.push(from);
            self.said.push((fits[to].0.clamp(-1.0, 1.0) * 127.0) as i8);
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
        if moments < 2 * WAITS { Vec::new() } else { self.trace(moments - WAITS) }
    }

    /// All that is held.
    pub(super) fn rest(&mut self) -> Vec<Told> {
        self.trace(self.back.len() / self.speeds)
    }

    /// The course through the first `n` moments, which are then forgotten.
    fn trace(&mut self, n: usize) -> Vec<Told> {
        let moments = self.back.len() / self.speeds;
        let mut at = (0..self.speeds).max_by(|a, b| self.worth[*a].total_cmp(&self.worth[*b])).unwrap_or(0);
        let mut course = Vec::with_capacity(n);
        for m in (0..moments).rev() {
            if m < n {
                course.push(told(&self.said[m * self.speeds..(m + 1) * self.speeds], at));
            }
            at = (at as i32 + i32::from(self.back[m * self.speeds + at])).clamp(0, self.speeds as i32 - 1) as usize;
        }
        course.reverse();
        self.back.drain(..n * self.speeds);
        self.said.drain(..n * self.speeds);
        course
    }
}

/// One moment of which each speed says so much, where the course passes at this step.
fn told(said: &[i8], at: usize) -> Told {
    let fit = |i: usize| f32::from(said[i]) / 127.0;
    // Up the hill within the path's own width.
    let near = at.saturating_sub(NEAR)..(at + NEAR + 1).min(said.len());
    let step = top(near, fit).unwrap_or(at as f64);
    let away = |i: &usize| i.abs_diff(at) > AWAY;
    let other = (0..said.len()).filter(away).map(fit).fold(0.0f32, f32::max);
    Told { step, fit: fit(at), lead: fit(at) - other }
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

/// Step at moment `i` and its change from moment to moment, by the parabola through those around it, the near ones and those that go well with the sound
/// weighing most: a crank has inertia.
///
/// Source: locally weighted regression, Cleveland, J. Am. Stat. Assoc. 74 (1979) 829–836, with its weights and without its robust rounds.
pub(super) fn smoothed(course: &[Told], i: usize) -> (f64, f64) {
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
    normal.cholesky().map(|c| c.solve(&right)).map_or((course[i].step, 0.0), |p| (p[0], p[1] / reach))
}

/// Steps to either side within which the best is sought [1] (own choice).
pub(super) const NEAR: usize = 3;
/// Steps beyond which a speed is another one [1] (own choice).
const AWAY: usize = 10;

#[cfg(test)]
mod tests {
    use super::*;

    /// A course of 75 s that wanders, with half the speed nearly as good and noise over all: settled as it goes, it is the same as settled at the end.
    #[test]
    fn settled_in_pieces_it_is_the_same_course() {
        let speeds = 200;
        let (mut pieces, mut whole) = (Course::new(speeds, 0.025), Course::new(speeds, 0.025));
        let (mut in_pieces, mut most, mut seed) = (Vec::new(), 0, 1u32);
        for m in 0..3000 {
            let at = 130.0 + 40.0 * (f64::from(m) / 40.0).sin();
            let fits: Vec<(f32, f32)> = (0..speeds)
                .map(|i| {
                    seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    let noise = 0.3 * (seed >> 8) as f32 / (1 << 24) as f32;
                    let bell = |d: f64| (-0.5 * (d / 3.0).powi(2)).exp() as f32;
                    (0.6 * bell(i as f64 - at) + 0.5 * bell(i as f64 - at + 69.0) + noise, 0.0)
                })
                .collect();
            pieces.push(&fits);
            whole.push(&fits);
            in_pieces.extend(pieces.settled());
            most = most.max(pieces.held());
        }
        in_pieces.extend(pieces.rest());
        let at_end = whole.rest();
        let steps = |of: &[Told]| of.iter().map(|t| t.step).collect::<Vec<_>>();
        assert_eq!(steps(&in_pieces), steps(&at_end));
        assert_eq!(at_end.len(), 3000);
        assert!(most <= 4 * WAITS * speeds, "{most}");
    }
}
