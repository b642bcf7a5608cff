//! The likeliest course of the speed through all moments.

use super::likeness::STEP;
use nalgebra::{Matrix3, Vector3};

/// Greatest change of the speed's logarithm per second [1/s] (own choice): a light crank goes from 1000 to 8000 rpm in half a second.
const FASTEST: f64 = 5.0;
/// What a change costs, for each step and each squared step \[1\] (own choice), where a perfect likeness counts 1.
const STEP_COSTS: f32 = 0.02;
/// Moments to either side over which the course is smoothed [1] (own choice): a fifth of a second in all.
const SMOOTH: usize = 4;
/// What a moment that goes badly with the sound still weighs in that, beside one that goes perfectly \[1\] (own choice).
const LEAST_WEIGHT: f64 = 0.05;

/// Viterbi's algorithm over speeds in steps, moment by moment.
///
/// Source: Viterbi, IEEE Trans. Inf. Theory 13 (1967) 260–269. It does away with jumps to half or twice the speed: on the way there no
/// speed goes with the sound.
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

    /// The course: for each moment the step, refined between its neighbours, how well it goes, and by how much that is more than what speaks
    /// for any speed elsewhere.
    pub(super) fn trace(&self) -> Vec<(f64, f32, f32)> {
        let moments = self.back.len() / self.speeds;
        let mut at = (0..self.speeds).max_by(|a, b| self.worth[*a].total_cmp(&self.worth[*b])).unwrap_or(0);
        let mut course = Vec::with_capacity(moments);
        for m in (0..moments).rev() {
            let said = &self.said[m * self.speeds..(m + 1) * self.speeds];
            let fit = |i: usize| f32::from(said[i]) / 127.0;
            // Up the hill within the path's own width.
            let near = at.saturating_sub(NEAR)..(at + NEAR + 1).min(self.speeds);
            let top = near.clone().max_by(|a, b| fit(*a).total_cmp(&fit(*b))).unwrap_or(at);
            let inside = top > near.start && top + 1 < near.end;
            let refined = if inside {
                let (a, b, c) = (fit(top - 1), fit(top), fit(top + 1));
                let bend = a - 2.0 * b + c;
                f64::from(top as f32 + if bend < 0.0 { 0.5 * (a - c) / bend } else { 0.0 })
            } else {
                at as f64
            };
            let away = |i: &usize| i.abs_diff(at) > AWAY;
            let other = (0..self.speeds).filter(away).map(fit).fold(0.0f32, f32::max);
            course.push((refined, fit(at), fit(at) - other));
            at = (at as i32 + i32::from(self.back[m * self.speeds + at])).clamp(0, self.speeds as i32 - 1) as usize;
        }
        course.reverse();
        smoothed(&course)
    }
}

/// Each step by the parabola through those around it, the near ones and those that go well with the sound weighing most: a crank has inertia.
///
/// Source: locally weighted regression, Cleveland, J. Am. Stat. Assoc. 74 (1979) 829–836, with its weights and without its robust rounds.
fn smoothed(course: &[(f64, f32, f32)]) -> Vec<(f64, f32, f32)> {
    let one = |(i, &(step, fit, lead)): (usize, &(f64, f32, f32))| {
        let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
        for (k, near) in course.iter().enumerate().take(i + SMOOTH + 1).skip(i.saturating_sub(SMOOTH)) {
            let u = (k as f64 - i as f64) / (SMOOTH + 1) as f64;
            let weight = (1.0 - u.abs().powi(3)).powi(3) * f64::from(near.1).max(LEAST_WEIGHT);
            let powers = Vector3::new(1.0, u, u * u);
            normal += weight * powers * powers.transpose();
            right += weight * near.0 * powers;
        }
        // Fewer than three moments make no parabola.
        let by_parabola = normal.cholesky().map(|c| c.solve(&right)[0]);
        (by_parabola.unwrap_or(step), fit, lead)
    };
    course.iter().enumerate().map(one).collect()
}

/// Steps to either side within which the best is sought [1] (own choice).
const NEAR: usize = 3;
/// Steps beyond which a speed is another one [1] (own choice).
const AWAY: usize = 10;
