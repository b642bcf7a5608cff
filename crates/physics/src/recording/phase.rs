//! Where the rotor stands at any time between its marks.

use super::marks::Mark;
use std::f64::consts::TAU;

/// Where the rotor stands at a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The mark passed last: index into the row.
    pub mark: usize,
    /// Angle of the rotor since that mark passed [rad].
    pub past_rad: f64,
    /// Speed of the rotor [rad/s].
    pub speed_rad_s: f64,
    /// How fast that changes [rad/s²].
    pub gain_rad_s2: f64,
}

/// The rotor's angle as a local cubic through the marks around a time.
///
/// Angle against time through the two marks before and the two behind, by Newton's divided differences; through three where there is no
/// fourth. Every mark is one more turn. Between marks that are `h` apart a cubic is wrong by at most `9/384 h⁴ ω'''` (Abramowitz and
/// Stegun, *Handbook of Mathematical Functions*, 25.2.14 for even spacing, from memory): the unevenness within a turn is not seen by one
/// mark a turn.
#[derive(Clone, Debug)]
pub struct Phase<'a> {
    marks: &'a [Mark],
    /// The mark that was passed at the last question.
    at: usize,
}

impl<'a> Phase<'a> {
    /// Through a row of marks.
    pub fn new(marks: &'a [Mark]) -> Self {
        Self { marks, at: 0 }
    }

    /// Where it stands at a time; questions in order of time are answered fastest. `None` before the first mark, behind the last, where
    /// the row is broken, and where turns are missing.
    pub fn at(&mut self, time_s: f64) -> Option<Standing> {
        let marks = self.marks;
        if self.at >= marks.len() || marks[self.at].at_s > time_s {
            self.at = 0;
        }
        if marks.get(self.at)?.at_s > time_s {
            return None;
        }
        while self.at + 1 < marks.len() && marks[self.at + 1].at_s <= time_s {
            self.at += 1;
        }
        let k = self.at;
        if marks.get(k + 1)?.turns != 1 {
            return None;
        }
        // Times and turns counted from mark k.
        let mut knots = [(0.0, 0.0); 4];
        let mut n = 0;
        let mut add = |at: f64, turn: f64| {
            knots[n] = (at - marks[k].at_s, turn * TAU);
            n += 1;
        };
        add(marks[k].at_s, 0.0);
        add(marks[k + 1].at_s, 1.0);
        if k > 0 && (1..=2).contains(&marks[k].turns) {
            add(marks[k - 1].at_s, -f64::from(marks[k].turns));
        }
        if let Some(next) = marks.get(k + 2).filter(|m| (1..=2).contains(&m.turns)) {
            add(next.at_s, 1.0 + f64::from(next.turns));
        }
        let (past_rad, speed_rad_s, gain_rad_s2) = newton(&knots[..n], time_s - marks[k].at_s);
        (speed_rad_s > 0.0).then_some(Standing { mark: k, past_rad, speed_rad_s, gain_rad_s2 })
    }
}

/// Value and two derivatives of the polynomial through the knots.
fn newton(knots: &[(f64, f64)], t: f64) -> (f64, f64, f64) {
    let n = knots.len();
    let mut c = [0.0; 4];
    for (c, k) in c.iter_mut().zip(knots) {
        *c = k.1;
    }
    for order in 1..n {
        for i in (order..n).rev() {
            c[i] = (c[i] - c[i - 1]) / (knots[i].0 - knots[i - order].0);
        }
    }
    let (mut value, mut slope, mut bend) = (c[n - 1], 0.0, 0.0);
    for i in (0..n - 1).rev() {
        let d = t - knots[i].0;
        bend = bend * d + 2.0 * slope;
        slope = slope * d + value;
        value = value * d + c[i];
    }
    (value, slope, bend)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(times: &[f64]) -> Vec<Mark> {
        let mark = |i: usize| Mark {
            at_s: times[i],
            ends_s: (times[i], times[i]),
            peaks: (1.0, 1.0),
            width_s: 0.0,
            turns: u32::from(i > 0),
        };
        (0..times.len()).map(mark).collect()
    }

    #[test]
    fn a_cubic_is_met() {
        // ω = 100 + 60 t + 90 t² [rad/s]; marks at whole turns by bisection.
        let angle = |t: f64| 100.0 * t + 30.0 * t * t + 30.0 * t * t * t;
        let time = |turn: usize| {
            let (mut a, mut b) = (0.0, 10.0);
            for _ in 0..80 {
                let m = 0.5 * (a + b);
                if angle(m) < turn as f64 * TAU { a = m } else { b = m }
            }
            a
        };
        let marks = row(&(0..40).map(time).collect::<Vec<_>>());
        let mut phase = Phase::new(&marks);
        for t in [0.2, 0.55, 0.31] {
            let s = phase.at(t).unwrap();
            assert!((s.mark as f64 * TAU + s.past_rad - angle(t)).abs() < 1e-9);
            assert!((s.speed_rad_s - (100.0 + 60.0 * t + 90.0 * t * t)).abs() < 1e-6);
            assert!((s.gain_rad_s2 - (60.0 + 180.0 * t)).abs() < 1e-4);
        }
        assert!(phase.at(-0.1).is_none() && phase.at(9.0).is_none());
    }

    #[test]
    fn nothing_is_said_where_turns_are_missing() {
        let mut marks = row(&[0.0, 0.1, 0.2, 0.4, 0.5, 0.6]);
        marks[3].turns = 2;
        let mut phase = Phase::new(&marks);
        assert!(phase.at(0.25).is_none());
        assert!((phase.at(0.15).unwrap().past_rad - 0.5 * TAU).abs() < 1e-9);
        assert!((phase.at(0.45).unwrap().past_rad - 0.5 * TAU).abs() < 1e-9);
        marks[3].turns = 0;
        assert!(Phase::new(&marks).at(0.25).is_none());
        assert!(Phase::new(&[]).at(0.0).is_none());
    }
}
