//! The likeliest course of the speed through all moments.

use super::likeness::STEP;

/// Greatest change of the speed's logarithm per second [1/s] (own choice): a light crank goes from 1000 to 8000 rpm in half a second.
const FASTEST: f64 = 5.0;
/// What a change costs, for each step and each squared step \[1\] (own choice), where a perfect likeness counts 1.
const STEP_COSTS: f32 = 0.004;

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
        course
    }
}

/// Steps to either side within which the best is sought [1] (own choice).
const NEAR: usize = 3;
/// Steps beyond which a speed is another one [1] (own choice).
const AWAY: usize = 10;
