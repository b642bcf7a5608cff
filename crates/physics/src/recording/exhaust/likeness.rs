//! How like a sound is to itself a little later, and how well that goes with the firing order at each speed.

/// Step of speeds and lags in their logarithm \[1\] (own choice): half of what is promised.
pub(super) const STEP: f64 = 0.01;
/// Lags are looked at up to this share of a cycle \[1\] (own choice): one cycle, and the pairs of firings just beyond.
const MOST_LAG: f64 = 1.3;
/// A likeness is taken over four lags, yet no longer than this [s], and over no less than this many lags \[1\] (own choice).
const OVER_S: f64 = 0.15;
const LEAST_LAGS: f64 = 1.5;
const LEAST_OVER_S: f64 = 0.03;

/// A lag is looked at in a signal of half the rate, and half again, as long as it keeps so many samples of it \[1\] (own choice): one in a hundred is a step.
const FINE: usize = 64;
/// How often a rate is halved at most [1] (own choice): 500 a second remain, of the wave below 200 Hz.
pub(super) const HALVINGS: usize = 3;

/// Likenesses that scatter less over the lags are the same \[1\] (own choice): a hundred times what rounding leaves.
const FLAT: f64 = 1e-6;

/// One slow signal with running sums.
#[derive(Clone, Debug)]
pub(super) struct Summed {
    pub(super) samples: Vec<f32>,
    sums: Vec<f64>,
    squares: Vec<f64>,
}

impl Summed {
    pub(super) fn new() -> Self {
        Self { samples: Vec::new(), sums: vec![0.0], squares: vec![0.0] }
    }

    /// Brings the sums up to the samples.
    pub(super) fn sum(&mut self) {
        for i in self.sums.len() - 1..self.samples.len() {
            let x = f64::from(self.samples[i]);
            self.sums.push(self.sums[i] + x);
            self.squares.push(self.squares[i] + x * x);
        }
    }

    pub(super) fn forget(&mut self, n: usize) {
        self.samples.drain(..n);
        let (sum, square) = (self.sums[n], self.squares[n]);
        self.sums.drain(..n);
        self.squares.drain(..n);
        // Sums that only grow would lose their last digits in hours.
        self.sums.iter_mut().for_each(|s| *s -= sum);
        self.squares.iter_mut().for_each(|s| *s -= square);
    }

    /// Correlation of two stretches of this length that begin at `a` and `b`; 0 where one of them is silent.
    fn likeness(&self, a: usize, b: usize, over: usize) -> f64 {
        let n = over as f64;
        let mean = |at: usize| (self.sums[at + over] - self.sums[at]) / n;
        let (ma, mb) = (mean(a), mean(b));
        let spread = |at: usize, m: f64| (self.squares[at + over] - self.squares[at] - n * m * m).max(0.0);
        let size = (spread(a, ma) * spread(b, mb)).sqrt();
        let together = f64::from(dot(&self.samples[a..a + over], &self.samples[b..b + over])) - n * ma * mb;
        if size > 1e-12 * n { (together / size).clamp(-1.0, 1.0) } else { 0.0 }
    }
}

/// Sum of products, in lanes that the order of the addition leaves alone.
pub(super) fn dot(a: &[f32], b: &[f32]) -> f32 {
    const LANES: usize = 16;
    let mut sums = [0.0f32; LANES];
    let (ca, cb) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f32 = ca.remainder().iter().zip(cb.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in ca.zip(cb) {
        for k in 0..LANES {
            sums[k] += x[k] * y[k];
        }
    }
    sums.iter().sum::<f32>() + rest
}

/// A lag that is looked at.
#[derive(Clone, Copy, Debug)]
struct Lag {
    /// How often the signals are halved for it.
    halved: usize,
    /// Lag, and over how much, in samples of those.
    lag: usize,
    over: usize,
    /// The lag [slow samples].
    slow: f64,
}

/// The firing order held against likenesses.
#[derive(Clone, Debug)]
pub(super) struct Order {
    /// Shortest cycle [slow samples], and how many steps there are.
    shortest: f64,
    pub(super) speeds: usize,
    /// Weight times expected likeness, from the least lag to the longest, in steps.
    pattern: Vec<f32>,
    /// Weight of the least lag; that of each step is e^[`STEP`] times the one before, as `grown` has them over all steps.
    least_weight: f64,
    grown: Vec<f64>,
    /// Lags that are looked at.
    lags: Vec<Lag>,
    /// For each step of lag: the lag below it, and the share of the way to the next.
    places: Vec<(usize, f64)>,
}

impl Order {
    /// For firings at these shares of a cycle, from the shortest cycle to the longest [slow samples].
    pub(super) fn new(fires: &[f64], shortest: f64, longest: f64, slow_hz: f64) -> Self {
        let speeds = ((longest / shortest).ln() / STEP).ceil() as usize + 1;
        let mut apart: Vec<f64> = Vec::new();
        for a in fires {
            for b in fires {
                let d = (b - a).rem_euclid(1.0);
                // Every cylinder comes again a cycle later.
                let d = if d < 1e-6 { 1.0 } else { d };
                apart.extend([d, d + 1.0, d - 1.0]);
            }
        }
        let least = apart.iter().copied().filter(|d| *d > 1e-6).fold(1.0, f64::min);
        let below = (-(0.45 * least).ln() / STEP).round() as usize;
        let above = (MOST_LAG.ln() / STEP).round() as usize;
        // Likeness is lost over an eighth of the way from one firing to the next.
        let width = 0.125 * least.min(0.5);
        let share = |k: usize| ((k as f64 - below as f64) * STEP).exp();
        let mut weights: Vec<f64> = (0..=below + above).map(share).collect();
        let total: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= total);
        let bell = |d: f64| (-0.5 * (d / width).powi(2)).exp();
        let mut expected: Vec<f64> =
            (0..=below + above).map(|k| apart.iter().map(|a| bell(share(k) - a)).sum::<f64>() / fires.len() as f64).collect();
        let mean: f64 = expected.iter().zip(&weights).map(|(e, w)| e * w).sum();
        let spread: f64 = expected.iter().zip(&weights).map(|(e, w)| w * (e - mean).powi(2)).sum::<f64>().sqrt();
        expected.iter_mut().for_each(|e| *e = (*e - mean) / spread.max(f64::MIN_POSITIVE));
        let first = shortest * (-(below as f64) * STEP).exp();
        let count = speeds + below + above;
        let at = |j: usize| first * (j as f64 * STEP).exp();
        let mut lags: Vec<Lag> = Vec::new();
        let mut next = first.floor().max(1.0);
        while next <= at(count).ceil() + f64::from(1u32 << HALVINGS) {
            let halved = (0..=HALVINGS).rev().find(|h| *h == 0 || next as usize >= FINE << h).unwrap_or(0);
            let one = f64::from(1u32 << halved);
            let lag = (next / one).round();
            let slow = lag * one;
            let over = (4.0 * slow).min(OVER_S * slow_hz).max(LEAST_LAGS * slow).max(LEAST_OVER_S * slow_hz);
            lags.push(Lag { halved, lag: lag as usize, over: (over / one).round() as usize, slow });
            next = (slow * (1.0 + STEP)).floor().max(slow + one);
        }
        let places = (0..count)
            .map(|j| {
                let lag = at(j).max(lags[0].slow);
                let i = lags.partition_point(|l| l.slow <= lag).saturating_sub(1).min(lags.len() - 2);
                (i, ((lag - lags[i].slow) / (lags[i + 1].slow - lags[i].slow)).clamp(0.0, 1.0))
            })
            .collect();
        let pattern = weights.iter().zip(&expected).map(|(w, e)| (w * e) as f32).collect();
        Self {
            shortest,
            speeds,
            pattern,
            least_weight: weights[0],
            grown: (0..count).map(|k| (k as f64 * STEP).exp()).collect(),
            lags,
            places,
        }
    }

    /// Samples needed to either side of a moment, of the signals halved so often.
    pub(super) fn reach_of(&self, halved: usize) -> usize {
        self.lags.iter().filter(|l| l.halved == halved).map(|l| (l.lag + l.over).div_ceil(2) + 1).max().unwrap_or(0)
    }

    /// Slow samples needed to either side of a moment.
    pub(super) fn reach(&self) -> usize {
        (0..=HALVINGS).map(|h| (self.reach_of(h) + 2) << h).max().unwrap_or(0)
    }

    /// The cycle at a step [slow samples].
    pub(super) fn cycle(&self, step: f64) -> f64 {
        self.shortest * (step * STEP).exp()
    }

    /// The step of a cycle [slow samples].
    pub(super) fn step(&self, cycle: f64) -> f64 {
        (cycle / self.shortest).ln() / STEP
    }

    /// How well each speed goes with the sound around a moment: a correlation. `signals` has wave and loudness halved ever more often, and where the moment is in them.
    pub(super) fn held_against(&self, signals: &[([&Summed; 2], usize)]) -> Vec<f32> {
        let own = |l: &Lag| {
            let (pair, moment) = &signals[l.halved];
            let start = moment - (l.lag + l.over) / 2;
            pair.iter().map(|s| s.likeness(start, start + l.lag, l.over)).sum::<f64>() / 2.0
        };
        let likeness: Vec<f64> = self.lags.iter().map(own).collect();
        let by_step: Vec<f64> =
            self.places.iter().map(|(i, share)| likeness[*i] + share * (likeness[i + 1] - likeness[*i])).collect();
        let narrow: Vec<f32> = by_step.iter().map(|r| *r as f32).collect();
        // Weights grow by one factor from step to step, so running sums of r and r² by that factor give every speed's mean and square at once.
        let (mut sums, mut squares) = (vec![0.0], vec![0.0]);
        for (k, (r, grown)) in by_step.iter().zip(&self.grown).enumerate() {
            sums.push(sums[k] + grown * r);
            squares.push(squares[k] + grown * r * r);
        }
        let fit = |speed: usize| {
            let to = (speed + self.pattern.len()).min(by_step.len());
            let scale = self.least_weight / self.grown[speed];
            let (sum, square) = (scale * (sums[to] - sums[speed]), scale * (squares[to] - squares[speed]));
            let with = f64::from(dot(&narrow[speed..to], &self.pattern[..to - speed]));
            let spread = (square - sum * sum).max(0.0).sqrt();
            // Below this it is the rounding of what is the same at all lags.
            if spread > FLAT { (with / spread) as f32 } else { 0.0 }
        };
        (0..self.speeds).map(fit).collect()
    }
}
