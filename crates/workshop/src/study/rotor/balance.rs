//! Balance of the rotor: what throws it out, what the runs say, where and how deep to drill.
//!
//! Places are angles on the rotor from its mark, counted in the turning direction, so they are the same from both sides.

mod edges;
mod runs;

use super::drilled::Unfit;
use crate::study::doubt::input;
use crate::{
    machine::{Balancing, CorrectBy, SeenFrom, TrialRun},
    study::Finding,
};
use physics::{
    balance::permissible_unbalance,
    rotor::{
        drill::{Drill, NoPlan, Plan, TWIST, Way},
        trial_runs::NoAnswer,
        unbalance::{Unbalance, least_shown},
    },
};
use quantity::{Reading, Value};
use std::f64::consts::PI;

/// What is known of the rotor besides what was read for balancing.
#[derive(Clone, Debug)]
pub struct Given<'a> {
    /// What was read and chosen.
    pub balancing: &'a Balancing,
    /// Runs.
    pub trials: &'a [TrialRun],
    /// Mass of the rotor [kg].
    pub rotor_mass: Option<Finding>,
    /// Speed that it is judged at [rad/s].
    pub top_speed: f64,
    /// Holes that stand by themselves: unbalance of the metal that is not there [kg·m], and its place [rad] where the file has it.
    pub holes: Vec<(Finding, Option<Finding>)>,
    /// Unbalance of what a planned cut takes off, and the place of its middle.
    pub cut: Option<Placed>,
    /// What the file lacks to count a planned cut.
    pub cut_needs: Option<&'static str>,
    /// How many magnets the rotor has.
    pub magnets: usize,
}

/// Something that throws the rotor out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// Metal that the planned cut takes off the segment.
    Cut,
    /// A hole by itself.
    Hole,
    /// Magnets that do not weigh the same.
    Magnets,
    /// The whole rotor off its axis.
    RunOut,
}

/// An unbalance with its ± [kg·m], [rad].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// Size [kg·m].
    pub size: Finding,
    /// Place of the heavy side [rad], from nought to a turn.
    pub place: Finding,
}

/// How an unbalance was told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum By {
    /// From runs with phase.
    RunsWithPhase,
    /// From runs without phase; the amplitudes' misfit in their own unit, where there were more than needed.
    RunsWithoutPhase {
        /// Misfit.
        misfit: Option<f64>,
        /// Some runs had a phase, which was not used: every one must have it.
        phases_unused: bool,
    },
    /// From masses that level it on knife edges.
    KnifeEdges,
    /// Added up from what is known to throw it out.
    Sum,
}

/// What is found.
#[derive(Clone, Debug, PartialEq)]
pub struct BalanceFound {
    /// Permitted by the grade that is kept [kg·m].
    pub allowed_kg_m: Option<f64>,
    /// What throws it out, as far as the file knows.
    pub causes: Vec<(Cause, Placed)>,
    /// All of that together.
    pub sum: Option<Placed>,
    /// The file lacks this to count the planned cut, so it is in no sum.
    pub cut_needs: Option<&'static str>,
    /// So many magnets were weighed of so many: not all, so they are in no sum.
    pub partly_weighed: Option<(usize, usize)>,
    /// What the runs say, or why nothing.
    pub runs: Result<Placed, NoRuns>,
    /// What masses on knife edges say, or why nothing.
    pub edges: Result<Placed, NoEdges>,
    /// Holes by themselves whose place is not in the file, so that they are in no sum [kg·m].
    pub unplaced: Vec<Finding>,
    /// What is put right, and how it was told: the runs count before knife edges, these before the sum, and what a planned cut takes off comes to them.
    pub to_correct: Option<(By, Placed)>,
    /// Whether it may stay.
    pub verdict: Verdict,
    /// Holes or mass.
    pub correction: Result<Correction, NoCorrection>,
    /// Least unbalance that knife edges show [kg·m], and whether that is fine enough for the grade; `None` without the rotor's mass.
    pub knife_edges: Option<(Finding, bool)>,
}

/// Why the runs say nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoRuns {
    /// No runs in the file.
    None,
    /// No run without a weight.
    NoneWithout,
    /// No run with a weight.
    NoneWith,
    /// Several runs without a weight: which is the one as found cannot be told.
    SeveralWithout,
    /// They do not go together.
    NoAnswer(NoAnswer),
}

/// Why knife edges say nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoEdges {
    /// No masses in the file.
    None,
    /// The rotor's mass is not known, so what friction hides is not.
    NoMass,
}

/// Whether the unbalance may stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Below what the grade permits, ± and all, by runs or knife edges. Never by the sum of what is known: what is not known is not in it.
    MayStay,
    /// Above it, ± and all.
    PutRight,
    /// The ± reaches over the limit, or no more is known than a sum that is not above it.
    Unsure,
    /// Nothing is known, or the rotor's mass is not in the file.
    NotTold,
}

/// How it is put right.
#[derive(Clone, Debug, PartialEq)]
pub enum Correction {
    /// Holes on the heavy side.
    Drill {
        /// Middle of the holes [rad].
        at_rad: f64,
        /// Drill, depth, number, places beside the middle.
        plan: Plan,
        /// Drill [m].
        drill_m: f64,
        /// Radius of the middles of the holes, or of the surface that they begin at [m].
        radius_m: f64,
        /// Into the rim, or along the shaft.
        by: CorrectBy,
        /// From which face, where they go along the shaft.
        face: Option<SeenFrom>,
    },
    /// A mass on the light side.
    Add {
        /// Place [rad].
        at_rad: f64,
        /// Mass [kg].
        mass: Finding,
        /// Radius [m].
        radius_m: f64,
    },
}

/// Why no correction is planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoCorrection {
    /// Nothing is to be put right.
    NotNeeded,
    /// No unbalance is known.
    NotKnown,
    /// This key of the machine file is needed.
    Missing(&'static str),
    /// Holes do not do it.
    NoHoles(NoPlan),
    /// Such holes are not to be drilled in this rotor.
    Unfit(Unfit),
}

/// Metal left between two holes as a share of the drill \[1\] (own choice): as much as the drill, so middles are two drills apart and the factor of a hole between others stands.
pub const BETWEEN: f64 = 1.0;

fn value(r: &Reading) -> Value {
    r.value()
}

fn of(f: Finding) -> Value {
    Value { si: f.si, standard_uncertainty_si: 0.5 * f.plus_minus_si }
}

fn placed(u: &Unbalance) -> Placed {
    Placed {
        size: Finding { si: u.size(), plus_minus_si: 2.0 * u.size_uncertainty() },
        place: Finding { si: u.place().rem_euclid(2.0 * PI), plus_minus_si: (2.0 * u.place_uncertainty()).min(PI) },
    }
}

/// Balance of a rotor.
pub fn study(given: &Given<'_>) -> BalanceFound {
    let b = given.balancing;
    let speed = given.top_speed;
    let allowed_kg_m = given.rotor_mass.map(|m| permissible_unbalance(b.grade, m.si, speed));
    let causes = causes(given);
    let sum = (!causes.is_empty()).then(|| causes.iter().map(|(_, u)| *u).sum::<Unbalance>());
    let runs = runs::told(given.trials);
    let knife_edges = given.rotor_mass.map(|m| {
        let f = |x: &[f64]| least_shown(x[0] + x[1], x[2]);
        let shown = crate::study::doubt::finding(f, &[(m.si, m.plus_minus_si), input(&b.arbor_mass), input(&b.rolling_arm)]);
        (shown, shown.si <= permissible_unbalance(b.grade, m.si, speed))
    });
    let edges = edges::told(b, knife_edges.map(|(shown, _)| shown));
    let read = runs.as_ref().ok().copied().or(edges.ok().map(|u| (By::KnifeEdges, u)));
    let to_correct = match (read, sum) {
        // Read before the cut.
        (Some((by, u)), _) => Some((by, given.cut.map_or(u, |cut| [u, off(&cut)].into_iter().sum()))),
        (None, Some(u)) => Some((By::Sum, u)),
        (None, None) => None,
    };
    let told = to_correct.map(|(by, u)| (by, placed(&u)));
    let verdict = match (told, allowed_kg_m) {
        (Some((_, p)), Some(allowed)) if p.size.si - p.size.plus_minus_si > allowed => Verdict::PutRight,
        (Some((By::Sum, _)), Some(_)) => Verdict::Unsure,
        (Some((_, p)), Some(allowed)) if p.size.si + p.size.plus_minus_si <= allowed => Verdict::MayStay,
        (Some(_), Some(_)) => Verdict::Unsure,
        _ => Verdict::NotTold,
    };
    BalanceFound {
        allowed_kg_m,
        causes: causes.iter().map(|(cause, u)| (*cause, placed(u))).collect(),
        sum: sum.as_ref().map(placed),
        unplaced: given.holes.iter().filter(|(_, at)| at.is_none()).map(|(size, _)| *size).collect(),
        cut_needs: given.cut_needs,
        partly_weighed: partly_weighed(given),
        runs: runs.map(|(_, u)| placed(&u)),
        edges: edges.map(|u| placed(&u)),
        to_correct: told,
        verdict,
        correction: correction(b, told, verdict),
        knife_edges,
    }
}

/// What was taken off leaves the other side heavy.
fn off(metal: &Placed) -> Unbalance {
    Unbalance::of_size(of(metal.size).scale(-1.0), of(metal.place))
}

/// Magnets weighed, and magnets in all, where these are not the same: part of a ring throws nothing out that could be told.
fn partly_weighed(given: &Given<'_>) -> Option<(usize, usize)> {
    let weighed = given.balancing.magnets.len();
    (weighed > 0 && weighed != given.magnets).then_some((weighed, given.magnets))
}

fn causes(given: &Given<'_>) -> Vec<(Cause, Unbalance)> {
    let b = given.balancing;
    let mut causes = Vec::new();
    causes.extend(given.cut.iter().map(|cut| (Cause::Cut, off(cut))));
    for (size, place) in &given.holes {
        causes.extend(place.map(|place| (Cause::Hole, off(&Placed { size: *size, place }))));
    }
    if !b.magnets.is_empty() && partly_weighed(given).is_none() {
        let all = b.magnets.iter().map(|[m, r, at]| Unbalance::of_mass(value(m), value(r), value(at))).sum();
        causes.push((Cause::Magnets, all));
    }
    if let (Some(swing), Some(at), Some(mass)) = (&b.run_out, &b.run_out_at, given.rotor_mass) {
        // The gauge swings over twice the eccentricity.
        causes.push((Cause::RunOut, Unbalance::of_run_out(of(mass), value(swing).scale(0.5), value(at))));
    }
    causes
}

fn correction(b: &Balancing, told: Option<(By, Placed)>, verdict: Verdict) -> Result<Correction, NoCorrection> {
    let (by, told) = told.ok_or(NoCorrection::NotKnown)?;
    // Where it may be nothing, its place is not known either.
    let nothing = told.size.si <= told.size.plus_minus_si;
    if verdict == Verdict::Unsure && (by == By::Sum || nothing) {
        return Err(NoCorrection::NotKnown);
    }
    if verdict == Verdict::MayStay {
        return Err(NoCorrection::NotNeeded);
    }
    let radius = b.radius.as_ref().ok_or(NoCorrection::Missing("rotor.balance.radius"))?;
    let size = told.size;
    if b.correct_by == CorrectBy::Add {
        let mass = crate::study::doubt::finding(|x| x[0] / x[1], &[(size.si, size.plus_minus_si), input(radius)]);
        return Ok(Correction::Add { at_rad: (told.place.si + PI).rem_euclid(2.0 * PI), mass, radius_m: radius.si });
    }
    let deepest = b.deepest.as_ref().ok_or(NoCorrection::Missing("rotor.balance.deepest"))?;
    let way = match b.correct_by {
        CorrectBy::DrillInward => Way::Inward { radius_m: radius.si },
        _ => Way::Along { radius_m: radius.si },
    };
    let along = b.correct_by == CorrectBy::DrillAlong;
    if along && b.face.is_none() {
        return Err(NoCorrection::Missing("rotor.balance.face"));
    }
    let drill = Drill { diameter_m: b.drill.si, tip_rad: TWIST, density_kg_m3: b.density.si, way };
    let plan = drill.plan(size.si, deepest.si, (1.0 + BETWEEN) * b.drill.si).map_err(NoCorrection::NoHoles)?;
    Ok(Correction::Drill {
        at_rad: told.place.si,
        plan,
        drill_m: b.drill.si,
        radius_m: radius.si,
        by: b.correct_by,
        face: b.face.filter(|_| along),
    })
}
