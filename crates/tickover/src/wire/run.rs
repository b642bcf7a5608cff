//! The run in time as JSON.

use super::{deg, rpm};
use physics::return_map::{Manner, Multipliers};
use physics::run::{Run as Ran, Spell as Settled};
use serde::Serialize;
use workshop::study::run::{Ending, RunStudy, Wandering};

/// Idle, blip, closed throttle, clutch, let go: with every burn alike, and with burns that vary.
#[derive(Debug, Serialize)]
pub struct Run {
    even: One,
    varied: One,
    /// How the varied run ends in each row of chance burns, that of `varied` first.
    varied_ends: Vec<&'static str>,
    /// How the even run ends in time steps half as long.
    ends_in_half_steps: &'static str,
    /// The idle by itself, with flames that vary as given, then at both ends of the ±.
    wanders: Vec<Wander>,
    /// With flames that vary as given, in other rows of chance burns.
    wanders_again: Vec<Wander>,
    /// A lighter crank on the same stop.
    lighter: Lighter,
    /// The run's stop, as a share of the opening that mean torque gives.
    stop_share: f64,
    push_at_idle: Option<Push>,
    push_at_hang: Option<Push>,
}

#[derive(Debug, Serialize)]
struct Wander {
    flame_scatter_share: f64,
    idle: Option<Spell>,
    leaves_after_s: Option<f64>,
    stops: bool,
}

#[derive(Debug, Serialize)]
struct Lighter {
    inertia_share: f64,
    idles_at_rpm: Option<f64>,
    push_at_idle: Option<Push>,
    push_at_hang: Option<Push>,
}

/// How a push comes back from one cycle to the next: two real multipliers, or the magnitude of a pair and its angle.
#[derive(Debug, Serialize)]
struct Push {
    manner: &'static str,
    magnitude: f64,
    second: Option<f64>,
    deg_per_cycle: f64,
}

#[derive(Debug, Serialize)]
struct One {
    ends: &'static str,
    hangs_at_rpm: Option<f64>,
    idle: Option<Spell>,
    after_blip: Option<Spell>,
    after_clutch: Option<Spell>,
    /// Throttle opens, is closed again, clutch drags, lets go.
    stages_s: Vec<f64>,
    energy: Energy,
    time_s: Vec<f64>,
    speed_rpm: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct Spell {
    speed_rpm: f64,
    scatter_rpm: f64,
    hunting_hz: f64,
    unevenness_share: f64,
    /// `null` where the mean work is not above zero.
    work_scatter_share: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Energy {
    gas_j: f64,
    friction_j: f64,
    clutch_j: f64,
    turning_j: f64,
}

impl Run {
    /// From the study.
    pub fn of(study: &RunStudy) -> Self {
        Self {
            even: one(&study.even, study.ends),
            varied: one(&study.varied, study.varied_ends[0]),
            varied_ends: study.varied_ends.iter().map(|e| ends(*e).0).collect(),
            ends_in_half_steps: ends(study.halved_ends).0,
            wanders: study.wanders.iter().map(wander).collect(),
            wanders_again: study.again.iter().map(|idle| wander(&Wandering { idle: *idle, ..study.wanders[0] })).collect(),
            lighter: Lighter {
                inertia_share: study.lighter.share,
                idles_at_rpm: study.lighter.idles_rad_s.map(rpm),
                push_at_idle: study.lighter.push_at_idle.map(push),
                push_at_hang: study.lighter.push_at_hang.map(push),
            },
            stop_share: study.stop_share,
            push_at_idle: study.push_at_idle.map(push),
            push_at_hang: study.push_at_hang.map(push),
        }
    }
}

fn wander(w: &Wandering) -> Wander {
    Wander {
        flame_scatter_share: w.flame_scatter,
        idle: w.idle.spell.map(spell),
        leaves_after_s: w.idle.left_s,
        stops: w.idle.stopped,
    }
}

fn spell(s: Settled) -> Spell {
    Spell {
        speed_rpm: rpm(s.mean_rad_s),
        scatter_rpm: rpm(s.scatter_rad_s),
        hunting_hz: s.hunting_hz,
        unevenness_share: s.unevenness,
        work_scatter_share: s.work_scatter.is_finite().then_some(s.work_scatter),
    }
}

fn push(m: Multipliers) -> Push {
    let manner = match m.manner() {
        Manner::Steady => "steady",
        Manner::Swings => "swings",
        Manner::Hunts => "hunts",
        Manner::RunsAway => "runs_away",
    };
    let (second, deg_per_cycle) = match m {
        Multipliers::Real(first, second) => (Some(second), if first < 0.0 { 180.0 } else { 0.0 }),
        Multipliers::Pair { angle_rad, .. } => (None, deg(angle_rad)),
    };
    Push { manner, magnitude: m.magnitude(), second, deg_per_cycle }
}

/// An ending's name, and where it hangs [rad/s].
fn ends(ending: Ending) -> (&'static str, Option<f64>) {
    match ending {
        Ending::Back => ("back", None),
        Ending::StillFalls { .. } => ("still_falls", None),
        Ending::HangsUntilClutch { at_rad_s } => ("hangs_until_clutch", Some(at_rad_s)),
        Ending::HangsOn { at_rad_s } => ("hangs_on", Some(at_rad_s)),
        Ending::Leaves { .. } => ("leaves_idle", None),
        Ending::Stops => ("stops", None),
    }
}

fn one(run: &Ran, ending: Ending) -> One {
    let (ends, hangs_at) = ends(ending);
    One {
        ends,
        hangs_at_rpm: hangs_at.map(rpm),
        idle: run.idle.map(spell),
        after_blip: run.settled.map(spell),
        after_clutch: run.released.map(spell),
        stages_s: run.stages_s.clone(),
        energy: Energy {
            gas_j: run.account.gas_j,
            friction_j: run.account.friction_j,
            clutch_j: run.account.drag_j,
            turning_j: run.account.turning_j,
        },
        time_s: run.turns.iter().map(|t| t.time_s).collect(),
        speed_rpm: run.turns.iter().map(|t| rpm(t.mean_rad_s)).collect(),
    }
}
