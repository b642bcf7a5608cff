//! What was seen, and how far the engine that is guessed at is off it.

use super::{
    Seen,
    motored::Motored,
    unknowns::{Bench, Guess},
};
use crate::{
    machine::IdleSeen,
    study::judge::{self, Subject},
};
use physics::run_down;
use quantity::{CrankAngle, Reading};

/// What the torque map itself may be off, as a share of the friction \[1\] (own choice): each of its points is settled to 0.2 % of a work
/// that is about as large, and it is read between points. It keeps a reading at a fold, where torque hardly changes with speed, from
/// counting as exact.
const MAP_ERROR: f64 = 0.005;

/// A number and its standard uncertainty, SI.
#[derive(Clone, Copy, Debug)]
pub struct Known {
    pub si: f64,
    pub deviation: f64,
}

impl Known {
    pub fn exactly(si: f64) -> Self {
        Self { si, deviation: 0.0 }
    }
    fn of(r: &Reading) -> Self {
        Self { si: r.si, deviation: r.standard_uncertainty_si() }
    }
}

/// One reading.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    pub what: Seen,
    pub kind: Kind,
}

#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A speed that it settles to: plate turned [rad], screw turned \[1\].
    Settles { speed: Known, turned: Known, turns: Known },
    /// A run-down between two speeds.
    RunsDown { from: Known, to: Known, takes: Known },
}

/// All readings beside the idle speed; run-downs only where the engine can tell its torque without fire.
pub fn rows(idle: &IdleSeen, motored: bool) -> Vec<Row> {
    let settles =
        |what, speed: &Reading, turned, turns| Row { what, kind: Kind::Settles { speed: Known::of(speed), turned, turns } };
    let none = Known::exactly(0.0);
    let hang = idle.hangs_at.iter().map(|speed| settles(Seen::Hang, speed, none, none));
    let nudges =
        idle.nudges.iter().map(|n| settles(Seen::Nudge { turned_rad: n.turned.si }, &n.speed, Known::of(&n.turned), none));
    let screws = idle.screws.iter().map(|s| settles(Seen::Screw { turns: s.turns.si }, &s.speed, none, Known::of(&s.turns)));
    let run_downs = idle.run_downs.iter().filter(|_| motored).map(|r| Row {
        what: Seen::RunDown { from_rad_s: r.from.si, to_rad_s: r.to.si },
        kind: Kind::RunsDown { from: Known::of(&r.from), to: Known::of(&r.to), takes: Known::of(&r.takes) },
    });
    hang.chain(nudges).chain(screws).chain(run_downs).collect()
}

/// Half of what a step of one standard deviation to either side changes.
fn over(known: Known, of: impl Fn(f64) -> f64) -> f64 {
    0.5 * (of(known.si + known.deviation) - of(known.si - known.deviation))
}

impl Row {
    /// Computed less seen, in N·m at the speed seen or in s; `None` where a run-down never ends.
    fn miss(&self, bench: &Bench, motored: Option<&Motored>, guess: &Guess) -> f64 {
        match self.kind {
            Kind::Settles { speed, turned, turns } => settles_nm(bench, guess, speed.si, turned.si, turns.si),
            Kind::RunsDown { from, to, takes } => {
                runs_down_s(bench, motored, guess, from.si, to.si).unwrap_or(f64::NAN) - takes.si
            }
        }
    }

    /// Standard uncertainty of `miss`, from all that was read for it. Slopes are taken over the reading's own uncertainty, so that a corner
    /// or a fold within it does not count for more than it is.
    pub fn uncertainty(&self, bench: &Bench, motored: Option<&Motored>, guess: &Guess) -> f64 {
        let squares = match self.kind {
            Kind::Settles { speed, turned, turns } => [
                over(speed, |v| settles_nm(bench, guess, v, turned.si, turns.si)),
                over(turned, |v| settles_nm(bench, guess, speed.si, v, turns.si)),
                over(turns, |v| settles_nm(bench, guess, speed.si, turned.si, v)),
                MAP_ERROR * guess.friction_nm(bench.model, speed.si),
            ],
            Kind::RunsDown { from, to, takes } => {
                let time = |from, to| runs_down_s(bench, motored, guess, from, to).unwrap_or(f64::NAN);
                let (by_from, by_to) = (over(from, |v| time(v, to.si)), over(to, |v| time(from.si, v)));
                [by_from, by_to, takes.deviation, MAP_ERROR * takes.si]
            }
        };
        squares.iter().map(|s| s * s).sum::<f64>().sqrt()
    }

    /// Computed less seen in standard uncertainties that were worked out before; positive = computed faster or longer.
    pub fn residual(&self, bench: &Bench, motored: Option<&Motored>, guess: &Guess, uncertainty: f64) -> f64 {
        self.miss(bench, motored, guess) / uncertainty
    }

    /// What was seen and its ± [SI].
    pub fn seen(&self) -> Known {
        match self.kind {
            Kind::Settles { speed, .. } => speed,
            Kind::RunsDown { takes, .. } => takes,
        }
    }

    /// The same as the engine guessed at does it: the firm rest speed nearest to the one seen [rad/s], where there is one, or the time [s].
    pub fn computed(&self, bench: &Bench, motored: Option<&Motored>, guess: &Guess) -> Option<f64> {
        match self.kind {
            Kind::Settles { speed, turned, turns } => {
                let rest = rest_near(bench, guess, speed.si / guess.shown, turned.si, turns.si, self.what == Seen::Hang)?;
                Some(guess.shown * rest)
            }
            Kind::RunsDown { from, to, .. } => runs_down_s(bench, motored, guess, from.si, to.si),
        }
    }
}

fn opening_m2(bench: &Bench, guess: &Guess, turns: f64) -> f64 {
    let least = bench.model.torque().openings().0;
    (guess.opening_m2 + turns * guess.per_turn_m2).max(least)
}

/// Net torque [N·m] at a speed that the rev counter showed, with plate [rad] and screw turned: zero at a rest, positive where the rest is faster.
fn settles_nm(bench: &Bench, guess: &Guess, speed: f64, turned: f64, turns: f64) -> f64 {
    guess.net_nm(bench.model, speed / guess.shown, opening_m2(bench, guess, turns), turned)
}

/// The firm rest speed nearest to `near_rad_s` with plate and screw turned; only above the idle for a hang.
pub fn rest_near(bench: &Bench, guess: &Guess, near_rad_s: f64, turned: f64, turns: f64, hang: bool) -> Option<f64> {
    let turned = CrankAngle::from_radians(turned);
    let nudged = Subject {
        maps: guess.subject.maps.clone(),
        laws: guess.subject.laws.iter().map(|law| law.shifted(turned)).collect(),
        friction_factor: guess.subject.friction_factor,
        friction_slope: guess.subject.friction_slope,
    };
    let points = judge::at_opening(&nudged, bench.machine, bench.model, opening_m2(bench, guess, turns)).points;
    let above = if hang { guess.idle_rad_s * judge::APART } else { 0.0 };
    let firm: Vec<_> = points.into_iter().filter(|p| p.stable && p.speed_rad_s > above).collect();
    judge::nearest_point(&firm, near_rad_s).map(|p| p.speed_rad_s)
}

fn runs_down_s(bench: &Bench, motored: Option<&Motored>, guess: &Guess, from: f64, to: f64) -> Option<f64> {
    let motored = motored?;
    let braking = |speed: f64| guess.friction_nm(bench.model, speed) - motored.torque_nm(speed, guess.opening_m2);
    run_down::time_s(guess.inertia_kg_m2, from, to, braking)
}
