//! Where the fit of a law begins.

use super::family::{AdvanceReading, FRICTION, Family, Priors, Shape, sigmas};
use super::robust::{robust_deviation, tukey_loss, tukey_weight};
use nalgebra::{DMatrix, DVector};

/// Knee speeds tried [1]; with knees spread evenly in the logarithm over a ratio of ten, neighbours differ by 9 %.
const KNEES: usize = 28;
/// The grid reaches this share below the slowest and above the fastest reading [1], for knees just outside (own choice).
const BEYOND: f64 = 0.3;
/// Rounds of reweighting with the knees held [1]; enough to rank the pairs, the full fit goes on from there.
const ROUNDS: usize = 8;
/// Friction of sticking weights with which the pairs are tried [1] (own choice): the full fit finds its own.
const SOME_FRICTION: f64 = 0.1;
/// Huber's constant [1]: 95 % efficiency for normal errors. Source: Huber, *Robust Statistics* (1981); from memory.
const HUBER: f64 = 1.345;

/// Starts in the family's own parameters, most promising first.
pub(super) struct Starts {
    /// By a loss that is level far out: one wild reading does not spoil it, but where the readings are much surer than the grid is fine, every pair of
    /// knees leaves most of them far out, and it tells nothing.
    pub firm: Vec<Vec<f64>>,
    /// By one that grows with the distance: these are to be drawn near before readings are set aside.
    pub gentle: Vec<Vec<f64>>,
}

/// Where the fit begins.
pub(super) fn starts(family: &Family, readings: &[AdvanceReading], priors: &Priors) -> Starts {
    let only = |firm| Starts { firm, gentle: Vec::new() };
    match &family.shape {
        Shape::Fixed => only(vec![plain(family, &[median(readings.iter().map(|r| r.advance_rad))])]),
        Shape::Table(speeds) => {
            let near = |n: f64| {
                let mut by_distance: Vec<_> = readings.iter().map(|r| ((r.speed_rad_s - n).abs(), r.advance_rad)).collect();
                by_distance.sort_by(|a, b| a.0.total_cmp(&b.0));
                median(by_distance.iter().take(3).map(|x| x.1))
            };
            only(vec![plain(family, &speeds.iter().map(|n| near(*n)).collect::<Vec<_>>())])
        }
        Shape::Ramp | Shape::TwoEdge | Shape::BobWeights | Shape::StickingWeights => knee_starts(family, readings, priors),
    }
}

fn plain(family: &Family, shape: &[f64]) -> Vec<f64> {
    let mut p = shape.to_vec();
    p.resize(family.parameters(), 0.0);
    p
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut v: Vec<f64> = values.collect();
    v.sort_by(f64::total_cmp);
    if v.is_empty() { 0.0 } else { 0.5 * (v[(v.len() - 1) / 2] + v[v.len() / 2]) }
}

/// Every pair of knees on a grid, ranked by the loss of the linear fit of lead, arc and places.
fn knee_starts(family: &Family, readings: &[AdvanceReading], priors: &Priors) -> Starts {
    let speeds = || readings.iter().map(|r| r.speed_rad_s);
    let slowest = speeds().fold(f64::INFINITY, f64::min) * (1.0 - BEYOND);
    let fastest = speeds().fold(0.0, f64::max) * (1.0 + BEYOND);
    if !(slowest > 0.0 && fastest > slowest) {
        return Starts { firm: Vec::new(), gentle: Vec::new() };
    }
    let knee = |i: usize| slowest * (fastest / slowest).powf(i as f64 / (KNEES - 1) as f64);
    let (gentle, firm): (Vec<Ranked>, Vec<Ranked>) = (0..KNEES)
        .flat_map(|i| (i + 1..KNEES).map(move |j| (i, j)))
        .filter_map(|(i, j)| with_knees(family, readings, priors, knee(i), knee(j)))
        .unzip();
    let ranked = |mut all: Vec<Ranked>| {
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all.into_iter().map(|(_, p)| p).collect()
    };
    Starts { firm: ranked(firm), gentle: ranked(gentle) }
}

/// Loss and parameters.
type Ranked = (f64, Vec<f64>);

/// Lead, arc and places by reweighted linear least squares, knees held: after the gentle rounds, and after all.
fn with_knees(family: &Family, readings: &[AdvanceReading], priors: &Priors, start: f64, full: f64) -> Option<(Ranked, Ranked)> {
    let n = readings.len();
    let own = family.shape.parameters();
    let places = family.parameters() - own;
    let mut p = plain(family, &[0.0, 1.0, start, full]);
    if family.shape == Shape::StickingWeights {
        p[FRICTION] = SOME_FRICTION;
    }
    let columns = 2 + places;
    let share_of_place = |pickup: Option<usize>, wanted: usize| {
        let of = |g: usize| f64::from(u8::from(family.place_parameter(g) == Some(own + wanted)));
        match pickup {
            Some(g) => of(g),
            None => (0..family.places.len()).map(of).sum::<f64>() / family.places.len() as f64,
        }
    };
    let design = DMatrix::from_fn(n, columns, |i, j| match j {
        0 => 1.0,
        1 => -family.shape.share_behind(&p, readings[i].speed_rad_s, readings[i].trend),
        _ => share_of_place(readings[i].pickup, j - 2),
    });
    // What is known of the places and pulses is taken off the readings first.
    let base = DVector::from_fn(n, |i, _| readings[i].advance_rad - family.known_part(&readings[i]));
    let segment_known = !family.shape.has_weights();
    let known = [priors.lead, priors.arc].map(|k| k.filter(|_| segment_known));
    let mut weights = vec![1.0; n];
    let mut gently = (f64::INFINITY, p.clone());
    let mut score = f64::INFINITY;
    for round in 0..ROUNDS {
        let sigma =
            if round == 0 { readings.iter().map(|r| r.advance_u.max(1e-4)).collect() } else { sigmas(family, &p, readings) };
        let mut normal = DMatrix::zeros(columns, columns);
        let mut right = DVector::zeros(columns);
        for i in 0..n {
            let w = weights[i] / (sigma[i] * sigma[i]);
            let row = design.row(i).transpose();
            normal += &row * row.transpose() * w;
            right += row * (w * base[i]);
        }
        for (j, k) in known.iter().enumerate() {
            if let Some((value, u)) = k {
                let w = 1.0 / u.max(1e-4).powi(2);
                normal[(j, j)] += w;
                right[j] += w * value;
            }
        }
        if priors.place_u.is_finite() {
            for j in 2..columns {
                normal[(j, j)] += 1.0 / priors.place_u.max(1e-4).powi(2);
            }
        }
        let x = normal.cholesky()?.solve(&right);
        if !(x[1].is_finite() && x[1] > 0.0) {
            return None;
        }
        let residual = &base - &design * &x;
        p[..2].copy_from_slice(&x.as_slice()[..2]);
        p[own..].copy_from_slice(&x.as_slice()[2..]);
        let z: Vec<f64> = (0..n).map(|i| residual[i] / sigma[i]).collect();
        let spread = robust_deviation(z.iter().copied(), columns + 2).max(1.0);
        let gentle = round < ROUNDS / 2;
        if gentle {
            gently = (z.iter().map(|z| huber_loss(*z)).sum(), p.clone());
        }
        for (w, z) in weights.iter_mut().zip(&z) {
            let z = z / spread;
            *w = if gentle { HUBER / z.abs().max(HUBER) } else { tukey_weight(z) };
        }
        score = z.iter().map(|z| tukey_loss(*z)).sum();
    }
    Some((gently, (score, p)))
}

/// Huber's loss: z²/2 near zero, straight far out.
fn huber_loss(z: f64) -> f64 {
    if z.abs() < HUBER { 0.5 * z * z } else { HUBER * (z.abs() - 0.5 * HUBER) }
}
