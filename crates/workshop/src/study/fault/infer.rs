//! Which causes, given what was seen: noisy-OR with a leak, exact over none, one or two of them at once.
//!
//! Each listed cause is present by itself with odds κ·w, the complaint comes of any that is present or, with odds κ·o, of none of them (the leak; o =
//! what is left over). A test comes out positive unless every cause that is present and its own leak all fail to make it so:
//! P(+|S) = 1 − (1 − p₀)·∏ (1 − pᵢ)/(1 − p₀), so that with one cause it is that cause's p. Three causes at once are left out: source of the form:
//! Pearl 1988, Probabilistic Reasoning in Intelligent Systems, 4.3.2, from memory.

use super::range::CHANCE;

/// Share of machines with a complaint that have two of its causes at once \[1\] (common practice, no source: perhaps one in five on old machines). It
/// sets κ.
pub const DOUBLE: f64 = 0.2;
/// Chance that a whole set-up misleads, one lamp or one adaptor saying yes to everything or no to everything, one as likely as the other \[1\]
/// (own choice): less than twice the least chance of an answer, so that single answers keep their chances. However many tests share a set-up,
/// together they weigh no more than (1 − ½ε)/½ε to one.
pub const MISLEADS: f64 = 0.03;
/// Chance that a complaint stays though its only cause was put right, for the repair did not take \[1\] (own choice).
pub const FLAWED: f64 = 0.05;

/// None, one or two causes, as indices, the lower first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Set(pub Option<usize>, pub Option<usize>);

impl Set {
    /// Its causes.
    pub fn causes(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().chain(self.1)
    }

    /// Whether a cause is in it.
    pub fn has(self, cause: usize) -> bool {
        self.0 == Some(cause) || self.1 == Some(cause)
    }

    /// What of it is left when these causes have been put right and the complaint stays: a set that has nothing left was not put right.
    pub fn without(self, mended: &[usize]) -> Set {
        let left: Vec<usize> = self.causes().filter(|c| !mended.contains(c)).collect();
        match left[..] {
            [] => self,
            [one] => Set(Some(one), None),
            _ => self,
        }
    }

    /// Whether all of it has been put right.
    pub fn is_within(self, mended: &[usize]) -> bool {
        self.0.is_some() && self.causes().all(|c| mended.contains(&c))
    }
}

/// None, every single one, every two of `causes` causes.
pub fn sets(causes: usize) -> Vec<Set> {
    let ones = (0..causes).map(|i| Set(Some(i), None));
    let twos = (0..causes).flat_map(|i| (i + 1..causes).map(move |j| Set(Some(i), Some(j))));
    std::iter::once(Set::default()).chain(ones).chain(twos).collect()
}

/// Odds of the sets before any test, brought to a sum of one: weights of the causes, and what is left over.
///
/// With one cause or none present they stand as the weights do. κ = d/((1 − d)·Σwᵢwⱼ) gives two causes together the share d = [`DOUBLE`].
///
/// ```
/// use workshop::study::fault::infer::{priors, sets};
/// let sets = sets(2);
/// let p = priors(&sets, &[30.0, 60.0], 10.0);
/// assert!((p[1] / p[0] - 3.0).abs() < 1e-12 && (p[3] - 0.2).abs() < 1e-12);
/// ```
pub fn priors(sets: &[Set], weights: &[f64], other: f64) -> Vec<f64> {
    let total = weights.iter().sum::<f64>() + other;
    let w = |i: usize| weights[i] / total;
    let kappa = kappa(weights, other);
    let of = |set: &Set| match (set.0, set.1) {
        (None, _) => other / total,
        (Some(i), None) => w(i),
        (Some(i), Some(j)) => kappa * w(i) * w(j),
    };
    let mut all: Vec<f64> = sets.iter().map(of).collect();
    normalise(&mut all);
    all
}

/// Odds of a cause in a hundred of weight, such that two at once have the share [`DOUBLE`]; nought where there are not two causes.
pub fn kappa(weights: &[f64], other: f64) -> f64 {
    let total = weights.iter().sum::<f64>() + other;
    let (sum, squares) = weights.iter().fold((0.0, 0.0), |(s, q), w| (s + w / total, q + (w / total).powi(2)));
    let pairs = 0.5 * (sum * sum - squares);
    if weights.len() > 1 && pairs > 0.0 { DOUBLE / ((1.0 - DOUBLE) * pairs) } else { 0.0 }
}

/// Brings numbers to a sum of one.
pub fn normalise(numbers: &mut [f64]) {
    let sum: f64 = numbers.iter().sum();
    if sum > 0.0 && sum.is_finite() {
        numbers.iter_mut().for_each(|n| *n /= sum);
    }
}

/// Chance that a test comes out positive with a set of causes: `none` with none of them, `chances` with each alone.
pub fn chance(none: f64, chances: &[f64], set: Set) -> f64 {
    let fails = set.causes().map(|i| (1.0 - chances[i]) / (1.0 - none)).product::<f64>();
    (1.0 - (1.0 - none) * fails).clamp(CHANCE.least, CHANCE.most)
}

/// What one set-up has said so far.
#[derive(Clone, Debug, PartialEq)]
struct SetUp {
    /// Likelihood of its answers for each set, if it does not mislead.
    sound: Vec<f64>,
    /// The same if it says yes to everything.
    yes: f64,
    /// The same if it says no to everything.
    no: f64,
}

impl SetUp {
    fn new(sets: usize) -> Self {
        Self { sound: vec![1.0; sets], yes: 1.0, no: 1.0 }
    }

    fn likelihood(&self, set: usize) -> f64 {
        (1.0 - MISLEADS) * self.sound[set] + 0.5 * MISLEADS * (self.yes + self.no)
    }

    /// Keeps numbers far from where floats end; only their ratios count.
    fn rescale(&mut self) {
        let most = self.sound.iter().copied().fold(self.yes.max(self.no), f64::max);
        if most > 0.0 {
            self.sound.iter_mut().for_each(|s| *s = (*s / most).max(f64::MIN_POSITIVE));
            (self.yes, self.no) = (self.yes / most, self.no / most);
        }
    }
}

/// Chance of a positive answer from a set-up that does not mislead, so that with those that do it comes to `chance`.
fn if_sound(chance: f64) -> f64 {
    (chance - 0.5 * MISLEADS) / (1.0 - MISLEADS)
}

/// How likely each set of causes is.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    sets: Vec<Set>,
    causes: usize,
    /// Priors with what bears on causes directly.
    base: Vec<f64>,
    setups: Vec<SetUp>,
    /// Of the sets, to a sum of one.
    shares: Vec<f64>,
}

impl Belief {
    /// Before any test, for tests of so many set-ups.
    pub fn new(weights: &[f64], other: f64, setups: usize) -> Self {
        let sets = sets(weights.len());
        let base = priors(&sets, weights, other);
        let setups = vec![SetUp::new(sets.len()); setups];
        Self { shares: base.clone(), causes: weights.len(), base, setups, sets }
    }

    /// The sets, in the order of [`shares`](Self::shares).
    pub fn sets(&self) -> &[Set] {
        &self.sets
    }

    /// Share of each set \[1\].
    pub fn shares(&self) -> &[f64] {
        &self.shares
    }

    /// Chance that each cause is present, alone or with another \[1\].
    pub fn of_causes(&self) -> Vec<f64> {
        marginals(&self.sets, &self.shares, self.causes)
    }

    /// Chance that it is none of them \[1\].
    pub fn of_none(&self) -> f64 {
        self.shares[0]
    }

    /// Chance that it is two at once \[1\].
    pub fn of_two(&self) -> f64 {
        self.sets.iter().zip(&self.shares).filter(|(set, _)| set.1.is_some()).map(|(_, p)| p).sum()
    }

    /// Takes in one answer: chance of positive for each set, and how surely the answer is positive, 1 = yes, 0 = no; a reading near its limit lies
    /// between.
    pub fn answer(&mut self, setup: usize, chances: &[f64], positive: f64) {
        let group = &mut self.setups[setup];
        for (sound, chance) in group.sound.iter_mut().zip(chances) {
            let p = if_sound(*chance);
            *sound *= p * positive + (1.0 - p) * (1.0 - positive);
        }
        group.yes *= positive;
        group.no *= 1.0 - positive;
        group.rescale();
        self.weigh();
    }

    /// Takes in what bears on sets directly: a likelihood for each.
    pub fn weigh_by(&mut self, likelihoods: &[f64]) {
        self.base.iter_mut().zip(likelihoods).for_each(|(b, l)| *b = (*b * l).max(f64::MIN_POSITIVE));
        normalise(&mut self.base);
        self.weigh();
    }

    /// Takes in that the complaint stays after these causes have been put right, as it did after the repairs before.
    pub fn stays_after(&mut self, mended: &[usize], before: &[usize]) {
        let newly = |set: &Set| set.is_within(mended) && !set.is_within(before);
        let likelihoods: Vec<f64> = self.sets.iter().map(|set| if newly(set) { FLAWED } else { 1.0 }).collect();
        self.weigh_by(&likelihoods);
    }

    fn weigh(&mut self) {
        let of = |k: usize| self.setups.iter().map(|s| s.likelihood(k)).product::<f64>() * self.base[k];
        self.shares = (0..self.sets.len()).map(of).collect();
        normalise(&mut self.shares);
    }

    /// Chance that a test comes out positive \[1\], and the shares of the sets if it does and if it does not.
    pub fn branches(&self, setup: usize, chances: &[f64]) -> (f64, [Vec<f64>; 2]) {
        let group = &self.setups[setup];
        let mut yes = Vec::with_capacity(self.sets.len());
        let mut no = Vec::with_capacity(self.sets.len());
        for ((k, share), chance) in self.shares.iter().enumerate().zip(chances) {
            let p = if_sound(*chance);
            let sound = (1.0 - MISLEADS) * group.sound[k];
            let before = share / group.likelihood(k);
            yes.push(before * (sound * p + 0.5 * MISLEADS * group.yes));
            no.push(before * (sound * (1.0 - p) + 0.5 * MISLEADS * group.no));
        }
        let positive: f64 = yes.iter().sum();
        normalise(&mut yes);
        normalise(&mut no);
        (positive.clamp(0.0, 1.0), [yes, no])
    }
}

/// Chance of each of `causes` causes from the shares of sets.
pub fn marginals(sets: &[Set], shares: &[f64], causes: usize) -> Vec<f64> {
    let mut all = vec![0.0; causes];
    for (set, p) in sets.iter().zip(shares) {
        set.causes().for_each(|i| all[i] += p);
    }
    all
}
