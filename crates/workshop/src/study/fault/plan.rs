//! What to do next: fewest expected minutes to a repaired machine.

use super::infer::{Set, marginals};

/// What it takes to put things right [min].
#[derive(Clone, Debug, PartialEq)]
pub struct Costs {
    /// Each cause.
    pub mend: Vec<f64>,
    /// Looking for something that is not listed.
    pub other: f64,
}

/// One thing after another until it is repaired, likeliest for its minutes first; `None` = look for something that is not listed.
///
/// For single causes that order is the best one without tests: an exchange of two neighbours shows it.
pub fn order(sets: &[Set], shares: &[f64], costs: &Costs, mended: &[usize]) -> Vec<Option<usize>> {
    let left = left(sets, mended);
    let mut chances = marginals(&left, shares, costs.mend.len());
    // What was put right and did not help comes last.
    let none: f64 = left.iter().zip(shares).filter(|(set, _)| set.0.is_none()).map(|(_, p)| p).sum();
    chances.push(none);
    let minutes = |k: usize| costs.mend.get(k).copied().unwrap_or(costs.other);
    let mut all: Vec<usize> = (0..chances.len()).collect();
    all.sort_by(|&a, &b| (chances[b] * minutes(a)).total_cmp(&(chances[a] * minutes(b))).then(a.cmp(&b)));
    all.into_iter().map(|k| (k < costs.mend.len()).then_some(k)).collect()
}

/// What is left of each set.
fn left(sets: &[Set], mended: &[usize]) -> Vec<Set> {
    sets.iter().map(|set| set.without(mended)).collect()
}

/// Expected minutes to a repaired machine with no further test.
///
/// ```
/// use workshop::study::fault::{infer::sets, plan::{Costs, minutes}};
/// // One cause of nine tenths that takes 10 minutes, else an hour's search: 10 + 0.1 · 60.
/// let costs = Costs { mend: vec![10.0], other: 60.0 };
/// assert!((minutes(&sets(1), &[0.1, 0.9], &costs, &[]) - 16.0).abs() < 1e-12);
/// ```
pub fn minutes(sets: &[Set], shares: &[f64], costs: &Costs, mended: &[usize]) -> f64 {
    let n = costs.mend.len();
    let mut done_at = vec![0.0; n + 1];
    let mut sum = 0.0;
    for step in order(sets, shares, costs, mended) {
        let k = step.unwrap_or(n);
        sum += costs.mend.get(k).copied().unwrap_or(costs.other);
        done_at[k] = sum;
    }
    let until = |set: Set| set.causes().map(|i| done_at[i]).fold(if set.0.is_none() { done_at[n] } else { 0.0 }, f64::max);
    left(sets, mended).into_iter().zip(shares).map(|(set, p)| p * until(set)).sum()
}

/// What a test is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// What it takes now [min].
    pub minutes: f64,
    /// Chance that it comes out positive \[1\].
    pub positive: f64,
    /// Expected minutes to a repaired machine after it, its own among them [min].
    pub to_repaired: f64,
}

/// What a test is worth that takes so many minutes: what lies ahead after either answer, by its chance.
pub fn worth(
    sets: &[Set],
    (positive, [yes, no]): &(f64, [Vec<f64>; 2]),
    test_min: f64,
    costs: &Costs,
    mended: &[usize],
) -> Worth {
    let ahead = positive * minutes(sets, yes, costs, mended) + (1.0 - positive) * minutes(sets, no, costs, mended);
    Worth { minutes: test_min, positive: *positive, to_repaired: test_min + ahead }
}
