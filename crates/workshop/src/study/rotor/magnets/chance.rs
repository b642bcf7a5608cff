//! How likely a bond is to let go.

use super::{EXPANSION, HOT, One};
use crate::sampling::Sobol;
use physics::interval::{normal_share, student_95};

/// A chance \[1\] and its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// That a given bond lets go.
    pub one: f64,
    /// Low and high end of that: how evenly the cases fill, not how sure the inputs are.
    pub interval: (f64, f64),
    /// That any of them lets go, at most: the sum over all, with every untold case as one that lets go. Bonds of one batch go together, so the truth lies between one and this.
    pub any_at_most: f64,
    /// Share of the cases that were hotter or colder than any point of the adhesive's strength, and tell nothing.
    pub untold: f64,
}

/// Scrambles and points of each, as in the study of cases: 5120 in all.
const SCRAMBLES: u64 = 10;
const POINTS: u32 = 512;
/// Seed [1] (own choice); fixed so that the same job gives the same sheet.
const SEED: u64 = 1800;

/// The chance that a bond is weaker than its load.
///
/// Loads are drawn, each input normal within its ± and none below zero where it cannot be. The strength is lognormal about its value, and for each drawn load the
/// share of strengths below it is worked out in closed form: so the far tail is there as exactly as the middle, which no count of cases would give. That
/// strengths are lognormal is an assumption (common practice, no source); a normal one would give strengths below nothing.
///
/// `None` where no case is told.
pub(super) fn chance(one: &One<'_>, with_heat: bool) -> Option<Chance> {
    let mut shares = Vec::new();
    let (mut untold, mut all) = (0usize, 0usize);
    for scramble in 0..SCRAMBLES {
        let sobol = Sobol::scrambled(one.inputs.len(), SEED + scramble);
        let (mut sum, mut told) = (0.0, 0usize);
        for point in 0..POINTS {
            let x: Vec<f64> = one
                .inputs
                .iter()
                .enumerate()
                .map(|(k, (value, pm))| {
                    let drawn = value + 0.5 * pm * sobol.normal(point, k);
                    // A size, a modulus or a force that was drawn past nothing is the least that it can be.
                    if *value > 0.0 && k != EXPANSION { drawn.max(LEAST_SHARE * value) } else { drawn }
                })
                .collect();
            all += 1;
            let (strength, u) = (one.strength_pa(x[HOT]), one.strength_u(x[HOT]));
            if !strength.is_finite() {
                untold += 1;
                continue;
            }
            let sigma = (1.0 + u * u).ln().sqrt();
            let load = one.load_pa(&x, with_heat);
            told += 1;
            sum += if sigma > 0.0 { normal_share((load / strength).ln() / sigma) } else { f64::from(u8::from(load >= strength)) };
        }
        shares.extend((told > 0).then(|| sum / told as f64));
    }
    let n = shares.len();
    if n == 0 {
        return None;
    }
    let mean = shares.iter().sum::<f64>() / n.max(1) as f64;
    let variance = shares.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / (n.max(2) - 1) as f64;
    let half = if n > 1 { student_95(n - 1) * (variance / n as f64).sqrt() } else { f64::INFINITY };
    let untold = untold as f64 / all as f64;
    Some(Chance {
        one: mean,
        interval: ((mean - half).max(0.0), (mean + half).min(1.0)),
        any_at_most: ((mean * (1.0 - untold) + untold) * one.group.count as f64).min(1.0),
        untold,
    })
}

/// Least share of a value that a drawn case may have \[1\] (own choice).
const LEAST_SHARE: f64 = 0.01;
