//! What the balancing runs tell.

use super::{By, NoRuns};
use crate::machine::TrialRun;
use physics::rotor::{
    trial_runs::{NoAnswer, Trial, Vibration, with_phase, without_phase},
    unbalance::Unbalance,
};
use quantity::Reading;

fn u(r: &Reading) -> f64 {
    r.standard_uncertainty_si()
}

fn trial([mass, radius, at]: &[Reading; 3]) -> Trial {
    Trial { size_kg_m: mass.si * radius.si, place_rad: at.si }
}

/// The unbalance that the runs tell: with phase where every run has one, each run with a weight against the one without; else by the amplitudes.
///
/// # Errors
/// [`NoRuns`].
pub(super) fn told(trials: &[TrialRun]) -> Result<(By, Unbalance), NoRuns> {
    if trials.is_empty() {
        return Err(NoRuns::None);
    }
    let mut without = trials.iter().filter(|t| t.weight.is_none());
    let first = without.next().ok_or(NoRuns::NoneWithout)?;
    if without.next().is_some() {
        return Err(NoRuns::SeveralWithout);
    }
    let with: Vec<(&TrialRun, &[Reading; 3])> = trials.iter().filter_map(|t| Some((t, t.weight.as_ref()?))).collect();
    if with.is_empty() {
        return Err(NoRuns::NoneWith);
    }
    let weights: Vec<Trial> = with.iter().map(|(_, w)| trial(w)).collect();
    let vibration = |t: &TrialRun| {
        let phase = t.phase.as_ref()?;
        Some(Vibration { amplitude: t.amplitude.si, amplitude_u: u(&t.amplitude), phase_rad: phase.si, phase_u: u(phase) })
    };
    let phased: Option<Vec<Vibration>> = with.iter().map(|(t, _)| vibration(t)).collect();
    if let (Some(zero), Some(runs)) = (vibration(first), phased) {
        let of = |weights: &[Trial]| -> Result<Unbalance, NoAnswer> {
            let each = runs.iter().zip(weights).map(|(run, weight)| with_phase(zero, *run, *weight).map(|f| f.unbalance));
            Ok(mean(&each.collect::<Result<Vec<_>, _>>()?))
        };
        return moved(&with, &weights, of).map(|found| (By::RunsWithPhase, found)).map_err(NoRuns::NoAnswer);
    }
    let amplitude_u = trials.iter().map(|t| u(&t.amplitude)).fold(0.0, f64::max);
    let of = |weights: &[Trial]| {
        let read: Vec<(f64, Trial)> = with.iter().zip(weights).map(|((t, _), trial)| (t.amplitude.si, *trial)).collect();
        without_phase(first.amplitude.si, &read, amplitude_u)
    };
    let misfit = of(&weights).map_err(NoRuns::NoAnswer)?.misfit;
    let found = moved(&with, &weights, |w| of(w).map(|f| f.unbalance)).map_err(NoRuns::NoAnswer)?;
    let phases_unused = trials.iter().any(|t| t.phase.is_some());
    Ok((By::RunsWithoutPhase { misfit, phases_unused }, found))
}

/// The mean of what each run tells. They share the run without a weight, so they are taken as one in doubt: no less than the mean of theirs, and no less than how far they lie apart.
fn mean(all: &[Unbalance]) -> Unbalance {
    let n = all.len() as f64;
    let of = |f: &dyn Fn(&Unbalance) -> f64| all.iter().map(f).sum::<f64>() / n;
    let (x, y) = (of(&|u| u.x), of(&|u| u.y));
    Unbalance {
        x,
        y,
        xx: of(&|u| u.xx) + of(&|u| (u.x - x).powi(2)),
        xy: of(&|u| u.xy) + of(&|u| (u.x - x) * (u.y - y)),
        yy: of(&|u| u.yy) + of(&|u| (u.y - y).powi(2)),
    }
}

/// The same with the doubt of the trial weights: their size, which is one and the same weight at one radius, moved together, and the place of each, by a standard uncertainty
/// (JCGM 100:2008, 5.1.3 note 2).
fn moved(
    with: &[(&TrialRun, &[Reading; 3])],
    weights: &[Trial],
    of: impl Fn(&[Trial]) -> Result<Unbalance, NoAnswer>,
) -> Result<Unbalance, NoAnswer> {
    let mut found = of(weights)?;
    let size_u = with.iter().map(|(_, [mass, radius, _])| (u(mass) / mass.si).hypot(u(radius) / radius.si)).fold(0.0, f64::max);
    let mut add = |change: &dyn Fn(f64) -> Vec<Trial>| -> Result<(), NoAnswer> {
        let (up, down) = (of(&change(1.0))?, of(&change(-1.0))?);
        let (x, y) = (0.5 * (up.x - down.x), 0.5 * (up.y - down.y));
        found.xx += x * x;
        found.xy += x * y;
        found.yy += y * y;
        Ok(())
    };
    if size_u > 0.0 {
        add(&|way| weights.iter().map(|t| Trial { size_kg_m: t.size_kg_m * (1.0 + way * size_u), ..*t }).collect())?;
    }
    for (k, (_, [_, _, at])) in with.iter().enumerate().filter(|(_, (_, [_, _, at]))| at.plus_minus_si > 0.0) {
        add(&|way| {
            let mut all = weights.to_vec();
            all[k].place_rad += way * u(at);
            all
        })?;
    }
    Ok(found)
}
