//! Where the sparks of a place lie at each speed.

use super::marks::median;
use std::{collections::BTreeMap, f64::consts::TAU};

/// Advances before anything is known: middle and half-width of the window [rad] (common practice, no source): 30° after to 80° before.
pub(super) const FIRST_MIDDLE: f64 = 25.0 * TAU / 360.0;
pub(super) const FIRST_WINDOW: f64 = 55.0 * TAU / 360.0;
/// Width of a step of speed in its logarithm \[1\] (own choice).
const STEP: f64 = 0.06;
/// Width of a step of advance that is counted [rad] (own choice): a quarter of a degree, against a window of 14°.
const FINE: f64 = 0.25 * TAU / 360.0;
/// Steps of it in the first window.
const STEPS: usize = (2.0 * FIRST_WINDOW / FINE) as usize + 1;

/// Step of a speed [rad/s].
pub(super) fn step(speed_rad_s: f64) -> i64 {
    (speed_rad_s.max(1.0).ln() / STEP).round() as i64
}

/// Counts of advances by place and step of speed: as large as the speeds are many, however many sparks there were.
#[derive(Clone, Debug, Default)]
pub(super) struct Counts(BTreeMap<(usize, i64), Vec<u32>>);

impl Counts {
    /// One more spark that may be a firing.
    pub(super) fn add(&mut self, place: usize, step: i64, advance_rad: f64) {
        let at = (advance_rad - (FIRST_MIDDLE - FIRST_WINDOW)) / FINE;
        let counts = self.0.entry((place, step)).or_insert_with(|| vec![0; STEPS]);
        let count = &mut counts[(at.max(0.0) as usize).min(STEPS - 1)];
        *count = count.saturating_add(1);
    }

    /// The middles by now.
    pub(super) fn middles(&self) -> Middles {
        let middle = |counts: &Vec<u32>| {
            let all: u64 = counts.iter().map(|c| u64::from(*c)).sum();
            let mut below = 0;
            let at = counts.iter().position(|c| {
                below += u64::from(*c);
                2 * below > all
            });
            (FIRST_MIDDLE - FIRST_WINDOW + (at.unwrap_or(0) as f64 + 0.5) * FINE, all as usize)
        };
        Middles(self.0.iter().map(|((place, step), counts)| (*place, *step, middle(counts))).collect())
    }
}

/// Middle of the advances at each place and step of speed, and how many they are.
pub(super) struct Middles(Vec<(usize, i64, (f64, usize))>);

impl Middles {
    /// Of the step, or of the nearest one that has any; steps with few are mixed with their neighbours.
    pub(super) fn at(&self, place: usize, step: i64) -> Option<f64> {
        /// Sparks that make a middle of their own [1] (own choice).
        const ENOUGH: usize = 5;
        let of = self.0.iter().filter(|m| m.0 == place);
        let near = of.min_by_key(|m| ((m.1 - step).abs(), m.2.1 < ENOUGH))?;
        if near.2.1 >= ENOUGH {
            return Some(near.2.0);
        }
        // With few, one of them may be stray: the middle of three steps, each as often as it was seen.
        let mut around: Vec<f64> = Vec::new();
        for m in self.0.iter().filter(|m| m.0 == place && (m.1 - near.1).abs() <= 2) {
            around.extend(std::iter::repeat_n(m.2.0, m.2.1.min(ENOUGH)));
        }
        median(&mut around)
    }
}
