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
/// mark a turn, by its two ends ([`Phase::with_ends`]) as far as it goes on between them.
///
/// Where the three marks before and the three behind lie on a parabola as nearly as the marks' own noise lets them, the parabola by least
/// squares is taken instead: noise moves it half as much. The noise is told by the fifth differences of the marks' times.
#[derive(Clone, Debug)]
pub struct Phase<'a> {
    marks: &'a [Mark],
    /// The mark that was passed at the last question.
    at: usize,
    /// Standard deviation of a mark's time [s].
    noise_s: f64,
    /// Angle of the rotor between a mark's ends [rad], where it is known.
    ends_rad: Option<f64>,
}

/// Marks to either side in the parabola [1] (own choice).
const SIDE: usize = 3;
/// They may lie off it by so many times their noise, root mean square \[1\] (own choice).
const ON_IT: f64 = 1.5;
/// In turns that take longer the ends tell the angle [s] (own choice): 4000 rpm. In faster ones the unevenness, which falls with the square of the speed, is below
/// the noise of a single end.
const BY_ENDS_S: f64 = 0.015;

impl<'a> Phase<'a> {
    /// Through a row of marks.
    pub fn new(marks: &'a [Mark]) -> Self {
        // A four-stroke's turns are long and short in turn, which is no noise: marks two turns apart do not see it.
        let noise_s = fifth_differences(marks, 1).min(fifth_differences(marks, 2));
        Self { marks, at: 0, noise_s: if noise_s.is_finite() { noise_s } else { 0.0 }, ends_rad: None }
    }

    /// The same where the angle of the rotor between a mark's two ends is known [rad].
    ///
    /// At idle the speed changes within the turn by several hundredths, while an engine is kicked over by a tenth and more. Both ends together tell how fast the rotor
    /// is where they pass, so in all but fast turns the angle goes straight from end to end, and from mark to mark by the cubic through the ends of both; near the ends it is as good as
    /// they are. Speed and its change stay those of the turns around.
    pub fn with_ends(self, ends_rad: Option<f64>) -> Self {
        Self { ends_rad, ..self }
    }

    /// Whether the ends tell the angle in a turn that takes so long [s].
    pub fn ends_tell(turn_s: f64) -> bool {
        turn_s >= BY_ENDS_S
    }

    /// Angle past the middle of mark `k` by the ends of it and of the next, but in a fast turn [rad].
    fn by_ends(&self, k: usize, time_s: f64) -> Option<f64> {
        let half = 0.5 * self.ends_rad?;
        let (a, b) = (self.marks.get(k)?, self.marks.get(k + 1)?);
        if !Self::ends_tell(b.at_s - a.at_s) || a.ends_s.1 <= a.ends_s.0 || b.ends_s.1 <= b.ends_s.0 {
            return None;
        }
        // Between the ends a straight line: what the speed does over the whole turn says nothing of what it does there.
        for (m, middle_rad) in [(a, 0.0), (b, TAU)] {
            if (m.ends_s.0..=m.ends_s.1).contains(&time_s) {
                return Some(middle_rad + half * (2.0 * (time_s - m.ends_s.0) / (m.ends_s.1 - m.ends_s.0) - 1.0));
            }
        }
        let zero = a.at_s;
        let knots = [(a.ends_s.0, -half), (a.ends_s.1, half), (b.ends_s.0, TAU - half), (b.ends_s.1, TAU + half)];
        Some(newton(&knots.map(|(t, angle)| (t - zero, angle)), time_s - zero).0)
    }

    /// Standard deviation of a mark's time [s], as far as its turns do not explain it.
    pub fn noise_s(&self) -> f64 {
        self.noise_s
    }

    /// The parabola about mark `k`, where it serves.
    fn parabola(&self, k: usize, time_s: f64) -> Option<(f64, f64, f64)> {
        let from = (k + 1).checked_sub(SIDE)?;
        let near = self.marks.get(from..=k + SIDE)?;
        if near[1..].iter().any(|m| m.turns != 1) {
            return None;
        }
        let turn_s = (near[2 * SIDE - 1].at_s - near[0].at_s) / (2 * SIDE - 1) as f64;
        let zero = near[SIDE - 1].at_s;
        let knots: Vec<(f64, f64)> =
            near.iter().enumerate().map(|(i, m)| ((m.at_s - zero) / turn_s, i as f64 - (SIDE - 1) as f64)).collect();
        let [a, b, c] = least_squares(&knots)?;
        let off: f64 = knots.iter().map(|(x, y)| (a + b * x + c * x * x - y).powi(2)).sum();
        // Three of the six are spent on the parabola.
        let off_s = (off / (2 * SIDE - 3) as f64).sqrt() * turn_s;
        (off_s <= ON_IT * self.noise_s).then(|| {
            let x = (time_s - zero) / turn_s;
            ((a + b * x + c * x * x) * TAU, (b + 2.0 * c * x) * TAU / turn_s, 2.0 * c * TAU / (turn_s * turn_s))
        })
    }

    /// How much later mark `k` passes than if the turns were not long and short in turn, as a four-stroke's are at the steadiest speed [s].
    ///
    /// A fifth difference makes 32 times that of it, its sign changing from each to the next; a smooth course leaves one whose sign stays. So
    /// neighbours have to agree, and their mean is taken.
    fn out_of_step(&self, k: usize) -> f64 {
        let late_s = |from: Option<usize>, sign: f64| {
            let near = from.and_then(|from| self.marks.get(from..from + 6))?;
            let whole = near[1..].iter().all(|m| m.turns == 1);
            whole.then(|| sign * fifth_difference(std::array::from_fn(|i| near[i].at_s - near[0].at_s)) / 32.0)
        };
        let seen = || {
            [late_s(k.checked_sub(3), 1.0), late_s(k.checked_sub(2), -1.0), late_s(k.checked_sub(1), 1.0)].into_iter().flatten()
        };
        let n = seen().count();
        let agree = n > 1 && (seen().all(|l| l > 0.0) || seen().all(|l| l < 0.0));
        if agree { seen().sum::<f64>() / n as f64 } else { 0.0 }
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
        let t = time_s - marks[k].at_s;
        let (past_rad, speed_rad_s, gain_rad_s2) = self.parabola(k, time_s).unwrap_or_else(|| {
            let past_rad = newton(&knots[..n], t).0;
            let late_s = self.out_of_step(k);
            for (at, angle) in &mut knots[..n] {
                *at -= if (*angle / TAU).rem_euclid(2.0) < 0.5 { late_s } else { -late_s };
            }
            let (_, speed_rad_s, gain_rad_s2) = newton(&knots[..n], t);
            (past_rad, speed_rad_s, gain_rad_s2)
        });
        let past_rad = self.by_ends(k, time_s).unwrap_or(past_rad);
        (speed_rad_s > 0.0).then_some(Standing { mark: k, past_rad, speed_rad_s, gain_rad_s2 })
    }
}

/// Standard deviation of a mark's time by the fifth differences of every `step`th mark [s]; infinite where there are none.
fn fifth_differences(marks: &[Mark], step: usize) -> f64 {
    let mut fifths: Vec<f64> = marks
        .windows(5 * step + 1)
        .filter(|w| w[1..].iter().all(|m| m.turns == 1))
        .map(|w| fifth_difference(std::array::from_fn(|i| w[i * step].at_s - w[0].at_s)).abs())
        .collect();
    // Its variance is 1 + 25 + 100 + 100 + 25 + 1 times that of one time. From the median to the deviation: 1/Φ⁻¹(¾).
    super::marks::median(&mut fifths).map_or(f64::INFINITY, |m| m * 1.4826 / 252f64.sqrt())
}

fn fifth_difference(t: [f64; 6]) -> f64 {
    t[5] - t[0] - 5.0 * (t[4] - t[1]) + 10.0 * (t[3] - t[2])
}

/// Coefficients of y = a + b x + c x² by least squares, from the normal equations.
fn least_squares(knots: &[(f64, f64)]) -> Option<[f64; 3]> {
    let mut s = [0.0; 5];
    let mut t = [0.0; 3];
    for (x, y) in knots {
        let mut p = 1.0;
        for i in 0..5 {
            s[i] += p;
            if i < 3 {
                t[i] += p * y;
            }
            p *= x;
        }
    }
    let m = nalgebra::Matrix3::new(s[0], s[1], s[2], s[1], s[2], s[3], s[2], s[3], s[4]);
    let c = m.lu().solve(&nalgebra::Vector3::new(t[0], t[1], t[2]))?;
    Some([c[0], c[1], c[2]])
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
            foot_s: 0.0,
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

    /// 200 rpm, a tenth slower twice in a turn: ω(θ) = ω₀/(1 + 0.1 cos 2θ), so that t = (θ + 0.05 sin 2θ)/ω₀. Ends 40° apart.
    #[test]
    fn both_ends_see_what_the_middle_does_not() {
        let (mean, half) = (200.0 * TAU / 60.0, 20f64.to_radians());
        let time = |angle: f64| (angle + 0.05 * (2.0 * angle).sin()) / mean;
        // The middle stands a quarter of a swing behind the slowest place.
        let at = |turn: f64, past: f64| time(turn * TAU + 0.4 + past);
        let mark = |i: usize| {
            let ends_s = (at(i as f64, -half), at(i as f64, half));
            Mark { at_s: 0.5 * (ends_s.0 + ends_s.1), ends_s, turns: u32::from(i > 0), ..row(&[0.0])[0] }
        };
        let marks: Vec<Mark> = (0..12).map(mark).collect();
        let (mut one, mut both) = (Phase::new(&marks), Phase::new(&marks).with_ends(Some(2.0 * half)));
        let off = |phase: &mut Phase, past: f64| {
            let s = phase.at(at(5.0, past)).unwrap();
            let found = s.mark as f64 * TAU + s.past_rad - 5.0 * TAU;
            (found - past).to_degrees().abs()
        };
        // At the ends exactly, elsewhere within what a tenth of the speed does on the way from the nearest end; by the middle alone more than a degree off.
        for past in [half, half + 0.1, -half - 0.1, 0.1] {
            let most = (0.1 * (past.abs() - half).abs()).to_degrees() + 1e-9;
            assert!(off(&mut both, past) < most, "{past}: {}", off(&mut both, past));
        }
        assert!(off(&mut one, half) > 1.0 && off(&mut one, -half - 0.1) > 1.0);
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
