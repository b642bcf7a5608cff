//! What the marks of a recording come to, however many they are.

use super::{firings, pace::Point, reservoir::Reservoir, uneven::Uneven};
use crate::study::Finding;
use physics::recording::{Mark, Phase};
use std::f64::consts::TAU;

/// Turns that medians over all turns are taken from [1] (own choice): their standard error is below a fiftieth of the scatter.
const SAMPLED: usize = 4096;

/// Marks, folded.
#[derive(Clone, Debug)]
pub(super) struct Turns {
    drive: f64,
    /// Marks.
    pub(super) count: usize,
    /// Turns without a mark, and times that the row began anew.
    pub(super) missing: usize,
    pub(super) breaks: usize,
    /// Greatest crank speed of one turn [rad/s].
    pub(super) fastest_rad_s: f64,
    /// Speed, turn by turn.
    pub(super) course: Course,
    /// Greatest heights of passes.
    pub(super) heights: Reservoir<f64>,
    /// Crank speed [rad/s] and pass, where the turns before and behind are known.
    pub(super) passes: Reservoir<(f64, Mark)>,
    /// Rotor speed [rad/s] and crank angle between both lobes [rad].
    arcs: Reservoir<(f64, f64)>,
}

impl Turns {
    pub(super) fn new(drive: f64) -> Self {
        Self {
            drive,
            count: 0,
            missing: 0,
            breaks: 0,
            fastest_rad_s: 0.0,
            course: Course::default(),
            heights: Reservoir::new(SAMPLED),
            passes: Reservoir::new(SAMPLED),
            arcs: Reservoir::new(SAMPLED),
        }
    }

    /// The marks `new` of these, with those around them.
    pub(super) fn add(&mut self, marks: &[Mark], new: std::ops::Range<usize>) {
        let mut phase = Phase::new(marks);
        for i in new {
            let m = &marks[i];
            if self.count > 0 && m.turns == 0 {
                self.breaks += 1;
            }
            self.count += 1;
            self.missing += m.turns.saturating_sub(1) as usize;
            self.heights.push(f64::from(m.peaks.0.abs().max(m.peaks.1.abs())));
            // Both ends lie in two turns that meet at the mark.
            if let (Some(a), Some(b)) = (phase.at(m.ends_s.0), phase.at(m.ends_s.1)) {
                self.arcs.push((a.speed_rad_s, (b.past_rad - a.past_rad).rem_euclid(TAU) / self.drive));
            }
            let Some(before) = i.checked_sub(1).map(|b| &marks[b]) else { continue };
            if m.turns > 0 {
                let speed_rad_s = TAU * f64::from(m.turns) / self.drive / (m.at_s - before.at_s);
                self.fastest_rad_s = self.fastest_rad_s.max(speed_rad_s);
                self.course.push(Point { at_s: 0.5 * (before.at_s + m.at_s), speed_rad_s, trusted: m.turns == 1 });
            }
            if let Some(behind) = marks.get(i + 1).filter(|b| m.turns == 1 && b.turns == 1) {
                self.passes.push((2.0 * TAU / self.drive / (behind.at_s - before.at_s), *m));
            }
        }
    }

    /// Crank angle between both lobes [rad]; the middle of all turns, taken from the faster half of them, where a turn is more even.
    pub(super) fn arc(&self, uneven: &Uneven) -> Option<Finding> {
        let mut seen = self.arcs.kept().to_vec();
        if seen.len() < 3 {
            return None;
        }
        seen.sort_by(|a, b| b.0.total_cmp(&a.0));
        let half = &seen[..seen.len().div_ceil(2)];
        let slowest = half[half.len() - 1].0 / self.drive;
        let fast: Vec<f64> = half.iter().map(|s| s.1).collect();
        let n = fast.len() as f64;
        let middle = firings::middle(fast.clone())?;
        let off = firings::middle(fast.iter().map(|a| (a - middle).abs()).collect())?;
        // The median's standard error is 1.25 times the mean's for normal scatter; a tenth of a degree for the pulses' own shape (own choice).
        let u = 1.253 * firings::MAD_TO_DEVIATION * off / n.sqrt();
        let unseen = uneven.over(slowest, 0.0, middle);
        Some(Finding { si: middle, plus_minus_si: (2.0 * u).hypot(0.1 * TAU / 360.0).hypot(unseen) })
    }

    /// Values that are held.
    pub(super) fn held(&self) -> usize {
        self.course.points.len() + self.heights.kept().len() + self.passes.kept().len() + self.arcs.kept().len()
    }
}

/// Points of a course that are kept [1] (own choice), and the first cell of time into which several are put together [s] (own choice). With turns at 6000 rpm
/// cells of 25 ms begin after five minutes, of 100 ms after half an hour, of 200 ms after an hour: fine enough for a blip.
const MOST_POINTS: usize = 32_768;
const FIRST_CELL_S: f64 = 0.025;

/// Speed against time: turn by turn at first; in a long recording all that lies within one cell of time is one point.
#[derive(Clone, Debug, Default)]
pub(super) struct Course {
    points: Vec<Point>,
    /// Turns in the last point.
    last: u32,
    /// Length of a cell [s]; 0 while every turn is its own.
    cell_s: f64,
}

impl Course {
    pub(super) fn push(&mut self, point: Point) {
        if self.points.len() >= MOST_POINTS {
            self.cell_s = (2.0 * self.cell_s).max(FIRST_CELL_S);
            for p in std::mem::take(&mut self.points) {
                self.put(p);
            }
        }
        self.put(point);
    }

    fn put(&mut self, point: Point) {
        let cell = |p: &Point| (p.at_s / self.cell_s).floor();
        match self.points.last_mut().filter(|last| self.cell_s > 0.0 && cell(last) == cell(&point)) {
            Some(last) => {
                let n = f64::from(self.last);
                last.at_s = (n * last.at_s + point.at_s) / (n + 1.0);
                last.speed_rad_s = (n * last.speed_rad_s + point.speed_rad_s) / (n + 1.0);
                last.trusted &= point.trusted;
                self.last += 1;
            }
            None => {
                self.points.push(point);
                self.last = 1;
            }
        }
    }

    pub(super) fn points(&self) -> &[Point] {
        &self.points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_course_of_an_hour_is_kept_in_cells_and_keeps_its_shape() {
        let mut course = Course::default();
        let speed = |t: f64| 300.0 + 100.0 * (t / 2.0).sin();
        // 100 turns a second for an hour.
        for k in 0..360_000 {
            let at_s = 0.01 * f64::from(k);
            course.push(Point { at_s, speed_rad_s: speed(at_s), trusted: true });
            assert!(course.points().len() <= MOST_POINTS);
        }
        assert!(course.points().len() > MOST_POINTS / 4 && course.cell_s <= 0.2);
        // Within a cell of 0.2 s the speed bends by no more than 100/4 · 0.1²/2.
        assert!(course.points().iter().all(|p| (p.speed_rad_s - speed(p.at_s)).abs() < 0.13));
    }

    #[test]
    fn a_short_course_is_kept_turn_by_turn() {
        let mut course = Course::default();
        let point = |k: usize| Point { at_s: 0.01 * k as f64, speed_rad_s: k as f64, trusted: k.is_multiple_of(2) };
        (0..MOST_POINTS).for_each(|k| course.push(point(k)));
        assert!(course.points().iter().copied().eq((0..MOST_POINTS).map(point)));
    }
}
