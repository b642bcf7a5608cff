//! Which further reading would settle best whether it hangs.
//!
//! The measure of a hang is the greatest net torque above the idle: positive, it hangs. Over the cases drawn from what is known now it is taken
//! as a straight line in the unknowns and a rest that no reading explains. A candidate's row then says how much of its variance the reading
//! would take, and that how much of the doubt p (1 − p) is expected to go ([`physics::fit::doubt_left`]).

use super::{
    COVERAGE, Draws, Seen, Unknown,
    motored::Motored,
    screw,
    seen::{Kind, Known, Row, rest_near},
    unknowns::Bench,
};
use crate::{
    machine::IdleSeen,
    sampling::normal_quantile,
    study::{
        alike::{NUDGE_RAD, Observation},
        idle::{Chance, Parameter},
    },
};
use physics::fit::{Posterior, doubt_left, least_squares, variance_removed};
use std::f64::consts::{PI, TAU};

/// A reading that could be taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Candidate {
    /// On the throttle stop; the idle or the hang better than it was.
    Read(Seen),
    /// A parameter, better than it was.
    Measure(Parameter),
}

/// A reading that could be taken, and what it is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextReading {
    /// Which.
    pub candidate: Candidate,
    /// What it is expected to say [SI], with the ± that such a reading usually has.
    pub expected: super::Finding,
    /// Minutes of work.
    pub minutes: f64,
    /// Part of the doubt about hang or no hang, p (1 − p), that it is expected to take away \[1\].
    pub less_doubt: f64,
    /// Share of the variance of the measure of a hang that it takes away \[1\].
    pub explains: f64,
}

/// A turn a minute [rad/s], and a degree [rad]: exact.
const RPM: f64 = TAU / 60.0;
const DEGREE: f64 = PI / 180.0;
/// ± of a plate turned [°], read off a scribed line (common practice, no source).
const NUDGE_PLUS_MINUS_DEG: f64 = 0.5;
/// Turns of the screw [1], and their ± (common practice, no source).
const SCREW_TURNS: f64 = 0.5;
const SCREW_PLUS_MINUS: f64 = 0.05;
/// Speeds of a run-down [1/min], and its ± [s] as read from a recording of the sound (common practice, no source).
const RUN_DOWN_FROM_RPM: f64 = 3000.0;
const RUN_DOWN_TO_RPM: f64 = 1000.0;
const RUN_DOWN_PLUS_MINUS_S: f64 = 0.1;
/// ± of a speed, where the idle's own says nothing, and of a better one from a recording, as shares \[1\] (common practice, no source).
const SPEED_PLUS_MINUS: f64 = 0.02;
const BETTER_SPEED_PLUS_MINUS: f64 = 0.005;
/// ± of a hang speed [1/min]: it wanders (common practice, no source).
const HANG_PLUS_MINUS_RPM: f64 = 40.0;
/// ± of an inlet volume with a syringe, as a share \[1\], and of an overlap with a degree disc and dial gauge [°] (common practice, no source).
const VOLUME_PLUS_MINUS: f64 = 0.03;
const OVERLAP_PLUS_MINUS_DEG: f64 = 1.5;
/// Work [min] (common practice, no source).
const SCREW_MINUTES: f64 = 5.0;
const RUN_DOWN_MINUTES: f64 = 10.0;
const SPEED_MINUTES: f64 = 5.0;
const VOLUME_MINUTES: f64 = 40.0;
const OVERLAP_MINUTES: f64 = 60.0;
/// A measurement is worth taking again when its ± falls to this share of what it is \[1\] (own choice).
const WORTH: f64 = 0.8;
/// Step of a row, in standard deviations \[1\] (own choice): a tenth is small against what is unknown and large against corners of the map.
const STEP: f64 = 0.1;

/// The speeds between which torque without fire is wanted [rad/s].
pub fn run_down_speeds(idle: &IdleSeen) -> (f64, f64) {
    let (mut low, mut high) = (RUN_DOWN_TO_RPM * RPM, RUN_DOWN_FROM_RPM * RPM);
    for r in &idle.run_downs {
        low = low.min(r.to.si - r.to.plus_minus_si);
        high = high.max(r.from.si + r.from.plus_minus_si);
    }
    (low.max(RPM), high)
}

fn known(si: f64, plus_minus: f64) -> Known {
    Known { si, deviation: plus_minus / COVERAGE }
}

/// All candidates, the most doubt per minute first.
pub fn readings(
    bench: &Bench,
    motored: Option<&Motored>,
    posterior: &Posterior,
    factor: &[Vec<f64>],
    draws: &Draws,
    margins: &[Option<f64>],
    chance: Chance,
) -> Vec<NextReading> {
    let Some((slopes, variance)) = straight(factor, draws, margins) else { return Vec::new() };
    // A share of none or all is as good as half a case of them.
    let share = (chance.hanging as f64 + 0.5) / (chance.of as f64 + 1.0);
    let deviate = normal_quantile(share);
    let now = doubt_left(deviate, 0.0);
    let mut all: Vec<NextReading> = candidates(bench, motored, posterior)
        .into_iter()
        .filter_map(|(candidate, expected, minutes, row)| {
            let explains = (variance_removed(factor, &slopes, &row) / variance).clamp(0.0, 1.0);
            let less_doubt = (1.0 - doubt_left(deviate, explains) / now).max(0.0);
            let expected = super::Finding { si: expected.si, plus_minus_si: COVERAGE * expected.deviation };
            let reading = NextReading { candidate, expected, minutes, less_doubt, explains };
            less_doubt.is_finite().then_some(reading)
        })
        .collect();
    all.sort_by(|a, b| (b.less_doubt / b.minutes).total_cmp(&(a.less_doubt / a.minutes)));
    all
}

/// The measure of a hang as a straight line in the draws' normal numbers, and its variance.
fn straight(factor: &[Vec<f64>], draws: &Draws, margins: &[Option<f64>]) -> Option<(Vec<f64>, f64)> {
    let cases: Vec<(Vec<f64>, f64)> =
        (0..draws.cases).zip(margins).filter_map(|(case, m)| Some((draws.normals(case), (*m)?))).collect();
    if cases.len() <= factor.len() {
        return None;
    }
    let mean = cases.iter().map(|c| c.1).sum::<f64>() / cases.len().max(1) as f64;
    let variance = cases.iter().map(|c| (c.1 - mean).powi(2)).sum::<f64>() / cases.len().max(2) as f64;
    let line = |p: &[f64], u: &[f64]| p[0] + p[1..].iter().zip(u).map(|(a, b)| a * b).sum::<f64>();
    let start = vec![0.0; factor.len() + 1];
    let scale = vec![variance.sqrt(); factor.len() + 1];
    let fit = least_squares(|p| cases.iter().map(|(u, m)| line(p, u) - m).collect(), &start, &scale).ok()?;
    (variance > 0.0).then(|| (fit.parameters[1..].to_vec(), variance))
}

type Offer = (Candidate, Known, f64, Vec<f64>);

fn candidates(bench: &Bench, motored: Option<&Motored>, posterior: &Posterior) -> Vec<Offer> {
    let x = &posterior.mean;
    let mut all: Vec<Offer> = Vec::new();
    let Some(idle) = bench.machine.idle.as_ref() else { return all };
    let tachometer = match idle.speed.plus_minus_si / idle.speed.si {
        none if none <= 0.0 => SPEED_PLUS_MINUS,
        share => share,
    };
    let row_of = |row: &Row| -> Vec<f64> {
        let u = bench.ask(x, |guess, _| row.uncertainty(bench, motored, guess));
        bench.slopes(x, STEP, |x| bench.ask(x, |guess, _| row.residual(bench, motored, guess, u)))
    };
    let settles = |what: Seen, turned: Known, turns: Known, plus_minus: Option<f64>| -> Option<(Known, Vec<f64>)> {
        let hang = what == Seen::Hang;
        let near = if hang { f64::INFINITY } else { idle.speed.si };
        let near = near.min(bench.model.torque().speeds().1);
        let at = bench.ask(x, |guess, _| rest_near(bench, guess, near, turned.si, turns.si, hang))?;
        let speed = known(at, plus_minus.unwrap_or(tachometer * at));
        Some((speed, row_of(&Row { what, kind: Kind::Settles { speed, turned, turns } })))
    };
    let none = Known::exactly(0.0);
    for turned_rad in [-NUDGE_RAD, NUDGE_RAD] {
        let turned = known(turned_rad, NUDGE_PLUS_MINUS_DEG * DEGREE);
        let what = Seen::Nudge { turned_rad: turned.si };
        if let Some((speed, row)) = settles(what, turned, none, None) {
            all.push((Candidate::Read(what), speed, Observation::Nudge { turned_rad }.minutes(), row));
        }
    }
    for turns in [-SCREW_TURNS, SCREW_TURNS] {
        let known_turns = known(turns, screw_plus_minus(bench, turns));
        let what = Seen::Screw { turns };
        if let Some((speed, row)) = settles(what, none, known_turns, None) {
            all.push((Candidate::Read(what), speed, SCREW_MINUTES, row));
        }
    }
    let hang_deviation = HANG_PLUS_MINUS_RPM * RPM;
    if idle.hangs_at.as_ref().is_none_or(|hang| hang_deviation < WORTH * hang.plus_minus_si)
        && let Some((speed, row)) = settles(Seen::Hang, none, none, Some(hang_deviation))
    {
        all.push((Candidate::Read(Seen::Hang), speed, SPEED_MINUTES, row));
    }
    all.extend(run_down(bench, motored, x, &row_of));
    all.extend(better_measured(bench, posterior));
    all
}

/// The ± of the screw's turns. While nothing is known of what a turn opens, its doubt goes with them.
fn screw_plus_minus(bench: &Bench, turns: f64) -> f64 {
    if bench.place(Unknown::OpeningPerTurn).is_some() {
        return SCREW_PLUS_MINUS;
    }
    let (_, deviation) = screw::lift(bench.machine);
    SCREW_PLUS_MINUS.hypot(COVERAGE * turns.abs() * deviation)
}

fn run_down(bench: &Bench, motored: Option<&Motored>, x: &[f64], row_of: &dyn Fn(&Row) -> Vec<f64>) -> Option<Offer> {
    motored?;
    let share = bench.machine.idle.as_ref().map_or(0.0, |i| i.speed.plus_minus_si / i.speed.si);
    let [from, to] = [RUN_DOWN_FROM_RPM, RUN_DOWN_TO_RPM].map(|rpm| known(rpm * RPM, share * rpm * RPM));
    let what = Seen::RunDown { from_rad_s: from.si, to_rad_s: to.si };
    let row = |takes: Known| Row { what, kind: Kind::RunsDown { from, to, takes } };
    let time = bench.ask(x, |guess, _| row(Known::exactly(0.0)).computed(bench, motored, guess))?;
    let inertia = &bench.machine.engine.inertia;
    // Where no run-down was read yet the inertia is no unknown of its own: its doubt goes with the time.
    let by_inertia = match bench.place(Unknown::Inertia) {
        Some(_) => 0.0,
        None => time * inertia.plus_minus_si / inertia.si,
    };
    let takes = known(time, RUN_DOWN_PLUS_MINUS_S.hypot(by_inertia));
    let expected = known(time, RUN_DOWN_PLUS_MINUS_S);
    Some((Candidate::Read(what), expected, RUN_DOWN_MINUTES, row_of(&row(takes))))
}

/// Unknowns that can be measured by themselves, where that would be better than what stands in the file.
fn better_measured(bench: &Bench, posterior: &Posterior) -> Vec<Offer> {
    let offer = |unknown: Unknown, candidate: Candidate, plus_minus: f64, minutes: f64| -> Option<Offer> {
        let i = bench.place(unknown)?;
        let deviation = plus_minus / COVERAGE;
        let doubt = bench.row_of(i, &posterior.mean).iter().map(|change| change * change).sum::<f64>().sqrt();
        (deviation < WORTH * doubt).then(|| {
            let row = bench.row_of(i, &posterior.mean).iter().map(|change| change / deviation).collect();
            (candidate, Known { si: bench.true_value(i, &posterior.mean), deviation }, minutes, row)
        })
    };
    let value = |unknown| bench.place(unknown).map_or(0.0, |i| bench.priors[i].value);
    let (volume, overlap) = (Parameter::RunnerVolume, Parameter::Overlap);
    [
        offer(
            Unknown::IdleSpeed,
            Candidate::Read(Seen::Idle),
            BETTER_SPEED_PLUS_MINUS * value(Unknown::IdleSpeed),
            SPEED_MINUTES,
        ),
        offer(
            Unknown::Given(volume),
            Candidate::Measure(volume),
            VOLUME_PLUS_MINUS * value(Unknown::Given(volume)),
            VOLUME_MINUTES,
        ),
        offer(Unknown::Given(overlap), Candidate::Measure(overlap), OVERLAP_PLUS_MINUS_DEG * DEGREE, OVERLAP_MINUTES),
    ]
    .into_iter()
    .flatten()
    .collect()
}
