//! Unbalance in one plane from runs with a trial weight, with phase or without.
//!
//! A steady vibration at running speed is taken as proportional to the unbalance, `V = H U`, with one H for all runs: same speed, same stand,
//! same place of the pickup. The weight of each run is taken off before the next.

use super::unbalance::Unbalance;
use crate::fit::{FitFailed, least_squares};
use std::f64::consts::TAU;

/// A vibration with phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vibration {
    /// Amplitude, in whatever unit the instrument shows, the same for all runs.
    pub amplitude: f64,
    /// Standard uncertainty of the amplitude.
    pub amplitude_u: f64,
    /// Phase [rad], counted the same way round as places on the rotor.
    pub phase_rad: f64,
    /// Standard uncertainty of the phase [rad].
    pub phase_u: f64,
}

/// A trial weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// Mass times radius [kg·m].
    pub size_kg_m: f64,
    /// Its place on the rotor [rad].
    pub place_rad: f64,
}

/// What the runs say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Unbalance as it was without a trial weight.
    pub unbalance: Unbalance,
    /// Vibration per unbalance, |H| [unit/(kg·m)].
    pub response: f64,
    /// Root mean square of what amplitudes without phase leave unexplained, in their unit, where there were more runs than unknowns.
    pub misfit: Option<f64>,
}

/// Why the runs say nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoAnswer {
    /// A trial weight of nothing, an amplitude below zero, or no number.
    BadRun {
        /// Which, from 0; the run without a weight comes first.
        run: usize,
    },
    /// The trial weight changed the vibration by no more than the doubt of the readings.
    NoEffect {
        /// Change, in the instrument's unit.
        change: f64,
        /// Its 95 % half-width.
        doubt: f64,
    },
    /// Fewer than three places of the trial weight, or all on one line through the axis: two answers would fit, mirrored.
    Mirrored,
    /// Trial weights that are not the same.
    UnlikeWeights,
    /// The amplitudes go together with no unbalance.
    NotSettled,
}

/// Half-width of 95 % in standard uncertainties [1] (JCGM 100:2008, 6.2).
const COVERAGE: f64 = 2.0;

/// With phase: influence coefficient from the change that one trial weight made.
///
/// `H = (V₁ − V₀)/U_t`, `U₀ = V₀/H`. Doubt to first order, amplitude and phase of both runs independent.
///
/// Source: any text on field balancing, such as Rao, *Mechanical Vibrations*, section 9.4.1 (from memory).
///
/// # Errors
/// [`NoAnswer`].
pub fn with_phase(without: Vibration, with: Vibration, trial: Trial) -> Result<Found, NoAnswer> {
    for (run, v) in [without, with].into_iter().enumerate() {
        let numbers = [v.amplitude, v.amplitude_u, v.phase_rad, v.phase_u];
        if numbers.iter().any(|n| !n.is_finite()) || v.amplitude < 0.0 {
            return Err(NoAnswer::BadRun { run });
        }
    }
    if !(trial.size_kg_m > 0.0 && trial.size_kg_m.is_finite() && trial.place_rad.is_finite()) {
        return Err(NoAnswer::BadRun { run: 1 });
    }
    let (v0, v1) = (polar(without.amplitude, without.phase_rad), polar(with.amplitude, with.phase_rad));
    let change = sub(v1, v0);
    let size = change.0.hypot(change.1);
    let spread = |v: &Vibration| v.amplitude_u.hypot(v.amplitude * v.phase_u);
    let doubt = COVERAGE * spread(&without).hypot(spread(&with));
    if size <= doubt || size == 0.0 {
        return Err(NoAnswer::NoEffect { change: size, doubt });
    }
    let weight = polar(trial.size_kg_m, trial.place_rad);
    // U₀ = V₀ U_t/(V₁ − V₀); dU₀ = U_t/(V₁ − V₀)² · (V₁ dV₀ − V₀ dV₁).
    let answer = over(times(v0, weight), change);
    let slope = over(weight, times(change, change));
    let by = [(times(slope, v1), &without, v0), (times(slope, v0), &with, v1)];
    let mut unbalance = Unbalance { x: answer.0, y: answer.1, ..Unbalance::default() };
    for (factor, run, v) in by {
        let unit = polar(1.0, run.phase_rad);
        let along = times(factor, (unit.0 * run.amplitude_u, unit.1 * run.amplitude_u));
        let across = times(factor, (-v.1 * run.phase_u, v.0 * run.phase_u));
        for d in [along, across] {
            unbalance.xx += d.0 * d.0;
            unbalance.xy += d.0 * d.1;
            unbalance.yy += d.1 * d.1;
        }
    }
    let response = over(change, weight);
    Ok(Found { unbalance, response: response.0.hypot(response.1), misfit: None })
}

/// Without phase: the same weight in turn at three or more places, amplitudes alone.
///
/// `A₀ = T|z|`, `A_k = T|z + e^{iα_k}|` with `z = U₀/U_t`: three unknowns by least squares, all amplitudes alike in doubt. The doubt is the readings'
/// own, or that of the misfit where it is greater.
///
/// # Errors
/// [`NoAnswer`].
pub fn without_phase(amplitude_without: f64, runs: &[(f64, Trial)], amplitude_u: f64) -> Result<Found, NoAnswer> {
    let sound = |a: f64| a.is_finite() && a >= 0.0;
    if !sound(amplitude_without) {
        return Err(NoAnswer::BadRun { run: 0 });
    }
    for (i, (a, t)) in runs.iter().enumerate() {
        if !(sound(*a) && t.size_kg_m > 0.0 && t.size_kg_m.is_finite() && t.place_rad.is_finite()) {
            return Err(NoAnswer::BadRun { run: i + 1 });
        }
    }
    let weight = runs.first().ok_or(NoAnswer::Mirrored)?.1.size_kg_m;
    /// Weights are the same if they differ by less than this share [1] (own choice): a tenth of a usual balance's doubt.
    const ALIKE: f64 = 1e-3;
    if runs.iter().any(|(_, t)| (t.size_kg_m / weight - 1.0).abs() > ALIKE) {
        return Err(NoAnswer::UnlikeWeights);
    }
    if !spans_a_plane(runs) {
        return Err(NoAnswer::Mirrored);
    }
    // A_k² = m + a cos α_k + b sin α_k is linear in m = T²(|z|² + 1), a, b: the start.
    let [m, a, b] = linear(runs).ok_or(NoAnswer::Mirrored)?;
    let t_squared = (m - amplitude_without * amplitude_without).max(m * f64::EPSILON);
    let t = t_squared.sqrt();
    if t == 0.0 || t <= COVERAGE * amplitude_u {
        return Err(NoAnswer::NoEffect { change: t, doubt: COVERAGE * amplitude_u });
    }
    let model = |p: &[f64]| {
        let mut off = vec![p[0] * p[1].hypot(p[2]) - amplitude_without];
        off.extend(runs.iter().map(|(amplitude, trial)| {
            let (sin, cos) = trial.place_rad.sin_cos();
            p[0] * (p[1] + cos).hypot(p[2] + sin) - amplitude
        }));
        off
    };
    let start = [t, 0.5 * a / t_squared, 0.5 * b / t_squared];
    let fit = match least_squares(model, &start, &[t, 1.0, 1.0]) {
        Ok(fit) => fit,
        Err(FitFailed::TooFew { .. }) => return Err(NoAnswer::Mirrored),
        Err(_) => return Err(NoAnswer::NotSettled),
    };
    let misfit = (fit.freedom() > 0).then(|| fit.residual_deviation());
    let each = amplitude_u.max(misfit.unwrap_or(0.0));
    let variance = |i: usize, j: usize| fit.inverse_normal[(i, j)] * each * each * weight * weight;
    let p = &fit.parameters;
    // A response below zero would be a weight that pulls the wrong way.
    if p[0] <= 0.0 {
        return Err(NoAnswer::NotSettled);
    }
    let unbalance = Unbalance { x: p[1] * weight, y: p[2] * weight, xx: variance(1, 1), xy: variance(1, 2), yy: variance(2, 2) };
    Ok(Found { unbalance, response: p[0] / weight, misfit })
}

/// Whether the places do not all lie on one line through the axis.
fn spans_a_plane(runs: &[(f64, Trial)]) -> bool {
    /// Places closer than this are one [rad] (own choice): 5°, which no rim is marked worse than.
    const CLOSE: f64 = 5.0 * TAU / 360.0;
    let mut places: Vec<f64> = runs.iter().map(|(_, t)| t.place_rad.rem_euclid(TAU)).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < CLOSE);
    if places.len() > 1 && places[0] + TAU - places[places.len() - 1] < CLOSE {
        places.pop();
    }
    places.len() >= 3
}

/// Least squares of `A² = m + a cos α + b sin α` by normal equations and Cramer's rule.
fn linear(runs: &[(f64, Trial)]) -> Option<[f64; 3]> {
    let mut n = [[0.0; 4]; 3];
    for (amplitude, trial) in runs {
        let (sin, cos) = trial.place_rad.sin_cos();
        let row = [1.0, cos, sin];
        for i in 0..3 {
            for j in 0..3 {
                n[i][j] += row[i] * row[j];
            }
            n[i][3] += row[i] * amplitude * amplitude;
        }
    }
    let det = |c: [usize; 3]| {
        let m = |i: usize, j: usize| n[i][c[j]];
        m(0, 0) * (m(1, 1) * m(2, 2) - m(1, 2) * m(2, 1)) - m(0, 1) * (m(1, 0) * m(2, 2) - m(1, 2) * m(2, 0))
            + m(0, 2) * (m(1, 0) * m(2, 1) - m(1, 1) * m(2, 0))
    };
    let whole = det([0, 1, 2]);
    (whole.abs() > f64::EPSILON).then(|| [det([3, 1, 2]) / whole, det([0, 3, 2]) / whole, det([0, 1, 3]) / whole])
}

type Complex = (f64, f64);

fn polar(size: f64, angle: f64) -> Complex {
    (size * angle.cos(), size * angle.sin())
}

fn sub(a: Complex, b: Complex) -> Complex {
    (a.0 - b.0, a.1 - b.1)
}

fn times(a: Complex, b: Complex) -> Complex {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn over(a: Complex, b: Complex) -> Complex {
    let d = b.0 * b.0 + b.1 * b.1;
    ((a.0 * b.0 + a.1 * b.1) / d, (a.1 * b.0 - a.0 * b.1) / d)
}
