//! The course of the speed from single firings: each stretch of sound is found again a cycle later, and the speed between is what makes all these fit.

use super::{banded::Banded, likeness::dot, path::top};

/// Stretches that are found again are as long as the mean way from firing to firing within these bounds [s] (own choice): a push and its ring.
const STRETCH_S: (f64, f64) = (0.016, 0.04);
/// From stretch to stretch, as a share of its length \[1\] (own choice).
const APART: f64 = 0.4;
/// How far a stretch is sought from where the course has it, as a share of the lag \[1\] (own choice): first, and once it is known better.
const SOUGHT: [f64; 2] = [0.14, 0.06];
/// Standard deviation of where a stretch of middling strength is found [s], and of what a lag tells at best \[1\] (own choice).
const FOUND_S: f64 = 0.8e-3;
const FOUND: f64 = 0.003;
/// Likeness above which a stretch is found no better \[1\] (own choice); all that is heard around counts 1.
const MOST_HEIGHT: f64 = 2.0;
/// Loudness counts from its mean over this time [s] (own choice).
const LOUD_OVER_S: f64 = 0.1;
/// Second difference of the speed's logarithm from moment to moment, standard deviation \[1\] (own choice).
const SWERVES: f64 = 0.012;
/// What was known before counts as if it were this sure \[1\] (own choice).
const BEFORE: f64 = 0.3;
/// Beyond so many standard deviations a stretch was found in a wrong place \[1\] (own choice).
const ASTRAY: f64 = 3.0;
/// Rounds in which those astray lose their weight [1] (own choice).
const ROUNDS: usize = 4;

/// A stretch found again: from where to where on the way of knots, in slow samples, how far that is in cycles, and how sure.
struct Pair {
    from: f64,
    to: f64,
    cycles: f64,
    weight: f64,
}

/// Makes a course through sound exact.
///
/// A stretch at `t` that is heard again at `t'`, some share `d` of a cycle later, says `∫ f dt = d` from `t` to `t'`, with `f` the cycles in a second: linear
/// between moments, and its logarithm smooth. Least squares over all of them (Gauss and Newton), those astray with less weight (Geman and McClure, Bull. Int. Stat. Inst.
/// 52 (1987) 5–21, from memory). So the speed is told at the moment, not over a cycle, and from single firings.
#[derive(Clone, Debug)]
pub(super) struct Refine {
    /// Ways from one firing to another, in cycles, and the mean way from one to the next.
    ways: Vec<f64>,
    gap: f64,
    /// Slow samples from moment to moment, and in a second.
    knot: f64,
    slow_hz: f64,
}

impl Refine {
    pub(super) fn new(fires: &[f64], knot: f64, slow_hz: f64) -> Self {
        let mut ways: Vec<f64> = vec![1.0];
        for a in fires {
            for b in fires {
                let d = (b - a).rem_euclid(1.0);
                if d > 1e-6 && ways.iter().all(|w| (w - d).abs() > 1e-3) {
                    ways.push(d);
                }
            }
        }
        Self { ways, gap: 1.0 / fires.len() as f64, knot, slow_hz }
    }

    /// Logarithms of the cycles in a slow sample at each moment, made exact, and for each the share of the sound that is found again where they have it. The first
    /// moment lies at `first` in the signals.
    pub(super) fn course(&self, [wave, loud]: [&[f32]; 2], first: f64, course: &mut [f64]) -> Vec<f32> {
        let mut borne = vec![0.0; course.len()];
        // Fewer have no bend.
        if course.len() < 3 {
            return borne;
        }
        let loud = without_mean(loud, (LOUD_OVER_S * self.slow_hz) as usize);
        let signals = [(wave, running(wave)), (&loud[..], running(&loud))];
        let before = course.to_vec();
        for sought in SOUGHT {
            let pairs = self.pairs(&signals, first, course, sought);
            borne = self.fit(&pairs, &before, course);
        }
        borne
    }

    /// Finds every stretch again, one firing and more later, within a share of the lag.
    fn pairs(&self, signals: &[(&[f32], Vec<f64>); 2], first: f64, course: &[f64], sought: f64) -> Vec<Pair> {
        let way = Way::new(course, self.knot);
        let mut pairs = Vec::new();
        let mut at = 0.0;
        while at < way.end() {
            let speed = way.speed(at);
            let stretch = (self.gap / speed).clamp(STRETCH_S.0 * self.slow_hz, STRETCH_S.1 * self.slow_hz).round();
            for cycles in &self.ways {
                let Some(to) = way.at(way.passed(at) + cycles) else { continue };
                let range = (sought * (to - at)).ceil();
                let Some((lag, height)) = again(signals, (first + at, first + to), stretch, range, 0.6 / speed + stretch) else {
                    continue;
                };
                let off = FOUND_S * self.slow_hz / (lag * height.min(MOST_HEIGHT));
                pairs.push(Pair { from: at, to: at + lag, cycles: *cycles, weight: 1.0 / (off * off + FOUND * FOUND) });
            }
            at += APART * stretch;
        }
        pairs
    }

    /// The smooth course that goes with the pairs, and how many of those at each moment go with it, by weight.
    fn fit(&self, pairs: &[Pair], before: &[f64], course: &mut [f64]) -> Vec<f32> {
        let n = course.len();
        let hats: Vec<(usize, Vec<f64>)> = pairs.iter().map(|p| hats(p.from / self.knot, p.to / self.knot, n)).collect();
        let band = hats.iter().map(|h| h.1.len()).max().unwrap_or(0).max(SECOND.len());
        let mut all = vec![(0.0, 0.0); n];
        for _ in 0..ROUNDS {
            all.fill((0.0, 0.0));
            let mut normal = Banded::new(n, band);
            let mut right = vec![0.0; n];
            let mut meet = |first: usize, slope: &[f64], off: f64, weight: f64| {
                for (i, a) in slope.iter().enumerate() {
                    right[first + i] += weight * a * off;
                    slope[..=i].iter().enumerate().for_each(|(j, b)| normal.add(first + i, first + j, weight * a * b));
                }
            };
            for (pair, (first, hats)) in pairs.iter().zip(&hats) {
                let each: Vec<f64> = hats.iter().zip(&course[*first..]).map(|(h, x)| h * x.exp() * self.knot).collect();
                let passed: f64 = each.iter().sum();
                let off = (pair.cycles / passed).ln();
                let slope: Vec<f64> = each.iter().map(|e| e / passed).collect();
                let weight = pair.weight / (1.0 + off * off * pair.weight / (ASTRAY * ASTRAY)).powi(2);
                meet(*first, &slope, off, weight);
                for (sum, share) in all[*first..].iter_mut().zip(&slope) {
                    *sum = (sum.0 + share * weight, sum.1 + share * pair.weight);
                }
            }
            for (k, three) in course.windows(3).enumerate() {
                let bend: f64 = three.iter().zip(SECOND).map(|(x, s)| x * s).sum();
                meet(k, &SECOND, -bend, 1.0 / (SWERVES * SWERVES));
            }
            for (k, (x, was)) in course.iter().zip(before).enumerate() {
                meet(k, &[1.0], was - x, 1.0 / (BEFORE * BEFORE));
            }
            // Each moment is held by what was known before, so this has one solution.
            let Some(steps) = normal.solve(right) else { break };
            course.iter_mut().zip(steps).for_each(|(x, s)| *x += s.clamp(-BEFORE, BEFORE));
        }
        all.into_iter().map(|(borne, of)| if of > 0.0 { (borne / of) as f32 } else { 0.0 }).collect()
    }
}

/// What a second difference is made of \[1\], by definition.
const SECOND: [f64; 3] = [1.0, -2.0, 1.0];

/// The lag at which the stretch around the first place is most like the one around the second, no farther than a range from there, and how much alike they are,
/// where all that is heard around counts 1. `None` where the best is at an end, or the signals do not reach so far.
fn again(signals: &[(&[f32], Vec<f64>); 2], (from, to): (f64, f64), stretch: f64, range: f64, around: f64) -> Option<(f64, f64)> {
    let (a, lo) = ((from - 0.5 * stretch).round(), (to - 0.5 * stretch).round() - range - 1.0);
    let (size, count) = (stretch as usize, 2 * range as usize + 3);
    if a < 0.0 || lo < 0.0 || (lo as usize) + count + size > signals[0].0.len() {
        return None;
    }
    let (a, lo) = (a as usize, lo as usize);
    let mut found = vec![0.0f32; count];
    for (signal, squares) in signals {
        let level = |middle: f64| {
            let (l, r) = ((middle - around).max(0.0) as usize, ((middle + around) as usize).min(signal.len()));
            (squares[r] - squares[l]) / (r - l).max(1) as f64
        };
        let all = (level(from) * level(to)).sqrt() * stretch;
        if all > 0.0 {
            let here = &signal[a..a + size];
            found.iter_mut().enumerate().for_each(|(k, f)| *f += dot(here, &signal[lo + k..lo + k + size]) / (2.0 * all) as f32);
        }
    }
    let top = top(0..count, |i| found[i])?;
    let height = f64::from(found[top.round() as usize]);
    (height > 0.0).then_some((lo as f64 + top - a as f64, height))
}

/// For each knot from the first on, how much of the way from `a` to `b` (in knots) is its hat.
fn hats(a: f64, b: f64, n: usize) -> (usize, Vec<f64>) {
    let first = (a as usize).min(n - 2);
    let last = (b as usize).min(n - 2);
    let mut share = vec![0.0; last + 2 - first];
    for segment in first..=last {
        let from = (a - segment as f64).max(0.0);
        let to = (b - segment as f64).min(1.0);
        let (falls, rises) = ((to - 0.5 * to * to) - (from - 0.5 * from * from), 0.5 * (to * to - from * from));
        share[segment - first] += falls;
        share[segment + 1 - first] += rises;
    }
    (first, share)
}

/// Cycles passed along a course.
struct Way {
    speeds: Vec<f64>,
    passed: Vec<f64>,
    knot: f64,
}

impl Way {
    fn new(course: &[f64], knot: f64) -> Self {
        let speeds: Vec<f64> = course.iter().map(|x| x.exp()).collect();
        let mut passed = vec![0.0];
        for w in speeds.windows(2) {
            passed.push(passed[passed.len() - 1] + 0.5 * knot * (w[0] + w[1]));
        }
        Self { speeds, passed, knot }
    }

    fn end(&self) -> f64 {
        (self.speeds.len() - 1) as f64 * self.knot
    }

    fn place(&self, at: f64) -> (usize, f64) {
        let k = ((at / self.knot) as usize).min(self.speeds.len() - 2);
        (k, at - k as f64 * self.knot)
    }

    fn speed(&self, at: f64) -> f64 {
        let (k, u) = self.place(at);
        self.speeds[k] + (self.speeds[k + 1] - self.speeds[k]) * u / self.knot
    }

    fn passed(&self, at: f64) -> f64 {
        let (k, u) = self.place(at);
        self.passed[k] + 0.5 * u * (self.speeds[k] + self.speed(at))
    }

    /// When so many cycles have passed; `None` behind the end.
    fn at(&self, passed: f64) -> Option<f64> {
        let k = self.passed.partition_point(|p| *p <= passed).checked_sub(1)?;
        if k + 1 >= self.passed.len() {
            return None;
        }
        let rest = passed - self.passed[k];
        let (v, bend) = (self.speeds[k], (self.speeds[k + 1] - self.speeds[k]) / self.knot);
        // v u + bend u²/2 = rest, in the form that bears no bend.
        let root = (v * v + 2.0 * bend * rest).max(0.0).sqrt();
        Some(k as f64 * self.knot + 2.0 * rest / (v + root))
    }
}

fn running(s: &[f32]) -> Vec<f64> {
    let mut sums = vec![0.0];
    for x in s {
        sums.push(sums[sums.len() - 1] + f64::from(*x) * f64::from(*x));
    }
    sums
}

/// A signal without its mean over so many samples around.
fn without_mean(s: &[f32], over: usize) -> Vec<f32> {
    let mut sums = vec![0.0f64];
    for x in s {
        sums.push(sums[sums.len() - 1] + f64::from(*x));
    }
    (0..s.len())
        .map(|i| {
            let (l, r) = (i.saturating_sub(over / 2), (i + over / 2 + 1).min(s.len()));
            s[i] - ((sums[r] - sums[l]) / (r - l) as f64) as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Clicks where an engine that goes from 15 to 60 cycles a second in half a second passes whole cycles, in no noise; begun from a course that is late by 50 ms,
    /// the speed comes out right, which the integral by hand says: cycles passed are 15·t, then (e^{γt} − 1)·15/γ with γ = ln 4/0.5.
    #[test]
    fn a_course_that_is_late_is_made_exact() {
        let (hz, knot) = (4000.0, 100.0);
        let gamma = 4f64.ln() / 0.5;
        let speed = |t: f64| 15.0 * (gamma * (t - 0.5).clamp(0.0, 0.5)).exp();
        let passed = |t: f64| {
            let rise = (t - 0.5).clamp(0.0, 0.5);
            15.0 * t.min(0.5) + 15.0 * ((gamma * rise).exp() - 1.0) / gamma + 60.0 * (t - 1.0).max(0.0)
        };
        let n = 6000;
        let mut wave = vec![0.0f32; n + 80];
        (1..n).filter(|i| passed(*i as f64 / hz).floor() > passed((*i - 1) as f64 / hz).floor()).for_each(|i| {
            (0..60).for_each(|k| wave[i + k] += (-(k as f32) / 12.0).exp() * (k as f32 * 0.6).sin());
        });
        let loud: Vec<f32> = wave.iter().map(|x| x.abs()).collect();
        let mut course: Vec<f64> = (0..50).map(|k| (speed(0.1 + 0.025 * k as f64 - 0.05) / hz).ln()).collect();
        let late = course.clone();
        let borne = Refine::new(&[0.0], knot, hz).course([&wave, &loud], 400.0, &mut course);
        let off =
            |course: &[f64]| (4..46).map(|k| (course[k] - (speed(0.1 + 0.025 * k as f64) / hz).ln()).abs()).fold(0.0, f64::max);
        assert!(off(&late) > 0.13 && off(&course) < CORNER, "{} {}", off(&late), off(&course));
        // Where it cuts the corner it says so.
        assert!(
            borne[4..12].iter().chain(&borne[34..46]).all(|b| *b > 0.8) && borne[16..20].iter().any(|b| *b < 0.5),
            "{borne:?}"
        );
    }

    /// Where the rate changes at once a smooth course cuts the corner \[1\]: between firings 67 ms apart nothing tells.
    const CORNER: f64 = 0.05;
}
