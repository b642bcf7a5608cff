//! All that is told of what holds a rotor, from one machine file.

use super::{
    Held, RotorStudy, Turning,
    balance::{self, BalanceFound, Correction, Given, NoCorrection},
    drilled::{self, Unfit},
    driven_speed,
    fitting::{self, Mandrel, Misfit},
    flux::{self, FluxFound, ForGood, LostBy, OnePole, Regained},
    glue::{self, GlueStep},
    judged_speed,
    magnets::{self, BondFound, Group, Look, NotFound, Spin},
    pulling::{self, Beside, PullFound},
    sides::{self, End, View},
    taper::{self, TaperFound},
    trimmed,
};
use crate::study::doubt::{finding, input};
use crate::{
    machine::{
        Balancing, Machine, Turns,
        metal::MagnetMaterial,
        rotor::{Hole, Rotor},
    },
    study::Finding,
};

/// One ring of magnets.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// What its bonds carry and bear, or why that is not told.
    pub bond: Result<BondFound, NotFound>,
    /// Chance that a given bond lets go, hot, at the top speed that the engine turns it at, which may be less than its maker allows \[1\].
    pub lets_go: Option<f64>,
    /// How they lose flux for good.
    pub lost_by: LostBy,
    /// Gluing them in again, or whose work that is; `None` where nothing is known of the bond.
    pub glue: Option<Result<Vec<GlueStep>, Look>>,
}

/// What holds a rotor.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldStudy {
    /// Rings of magnets; none in the file is none here.
    pub rings: Vec<Ring>,
    /// Flux that is left.
    pub flux: Result<FluxFound, NotFound>,
    /// What one dead and one reversed magnet would leave; only where flux is lost.
    pub one_pole: Option<[OnePole; 2]>,
    /// What the magnets lack at work and get back in the cold, where the file has the rotor's temperature.
    pub regained: Option<Regained>,
    /// What heat and cold take from the magnets for good, where the file has their grade; not for alnico.
    pub for_good: Option<ForGood>,
    /// Seat and nut.
    pub taper: Result<TaperFound, NotFound>,
    /// The mandrel that fits; `None` without a seat in the file.
    pub mandrel: Option<Mandrel>,
    /// What of the puller does not fit, or what is missing to tell.
    pub puller_fits: Result<Vec<Misfit>, NotFound>,
    /// Pull; without steps where the puller does not fit.
    pub pull: Result<PullFound, NotFound>,
    /// Balance.
    pub balance: Result<BalanceFound, NotFound>,
    /// Turning direction and leading end in every view; `None` without a trigger.
    pub sides: Option<[(View, Turns, End); 6]>,
}

/// What holds this machine's rotor. `found` is what is known of its section and of the engine that turns it; `cut_m` is a cut of the segment's trailing end [m] that
/// is planned, and counts as done in the balance.
///
/// # Errors
/// [`NotFound::Missing`] where the file has no rotor.
pub fn study(machine: &Machine, found: Option<&RotorStudy>, cut_m: Option<f64>) -> Result<HeldStudy, NotFound> {
    let rotor = machine.rotor.as_ref().ok_or(NotFound::Missing("rotor"))?;
    let held = &rotor.held;
    let run_out = held.balance.as_ref().and_then(|b| b.run_out.as_ref());
    let spin = Spin {
        speed: judged_speed(machine),
        // The gauge swings over twice the eccentricity.
        off_axis: run_out.map_or(NONE, |r| Finding { si: 0.5 * r.si, plus_minus_si: 0.5 * r.plus_minus_si }),
    };
    let hot = held.bond.as_ref().map(|b| &b.rotor_temperature);
    let rings = rotor
        .magnets
        .iter()
        .map(|m| {
            let group = Group::of(m, rotor);
            let bond = magnets::study(&group, held.bond.as_ref(), spin);
            let turned = driven_speed(machine);
            let in_use = if turned == spin.speed {
                bond.clone().ok()
            } else {
                magnets::study(&group, held.bond.as_ref(), Spin { speed: turned, ..spin }).ok()
            };
            Ring {
                lets_go: in_use.map(|b| b.chance.one),
                bond,
                lost_by: flux::lost_by(m.material, hot.map(|t| t.si)),
                glue: held.bond.as_ref().map(|b| glue::glue_steps(group.seat, m.material, b)),
            }
        })
        .collect();
    let missing = NotFound::Missing;
    let seat =
        held.taper.as_ref().ok_or(missing("rotor.taper")).and_then(|t| {
            taper::study(t, found.and_then(|f| by_gas(machine, f)), rotor.boss_metal()).ok_or(NotFound::Impossible)
        });
    let puller_fits = fitting::puller(held.puller.as_ref(), rotor);
    let pull = held.puller.as_ref().ok_or(missing("rotor.puller")).and_then(|p| {
        let seat = seat.as_ref().map_err(|e| *e)?;
        let mut pull = pulling::study(p, seat, beside(rotor, found)).ok_or(NotFound::Impossible)?;
        if puller_fits.as_ref().is_ok_and(|misfits| !misfits.is_empty()) {
            pull.steps.clear();
        }
        Ok(pull)
    });
    let balance = held.balance.as_ref().ok_or(missing("rotor.balance")).map(|balancing| {
        let planned = cut_m.filter(|cut| *cut > 0.0);
        let cut = planned.and_then(|cut| trimmed::placed(machine, cut));
        let weighed = machine.engine.rotor_mass.as_ref().map(Finding::of);
        let mut told = balance::study(&Given {
            balancing,
            trials: &held.trials,
            rotor_mass: weighed.or(found.map(|f| f.section.mass)),
            top_speed: spin.speed.si,
            holes: rotor.holes.iter().filter(|h| h.count == 1).map(|h| one_hole(h, balancing)).collect(),
            cut,
            cut_needs: planned.filter(|_| cut.is_none()).map(|_| trimmed::needs(machine)),
            magnets: rotor.magnets.iter().map(|m| usize::from(m.count)).sum(),
        });
        let by_m = balancing.radius.as_ref().map_or(0.0, |r| r.plus_minus_si);
        let unfit = told.correction.as_ref().ok().and_then(|plan| match (plan, found) {
            (Correction::Add { .. }, _) => None,
            (_, None) => Some(Unfit::NotJudged(Held::NoPieces)),
            (plan, Some(study)) => drilled::judge(rotor, study, plan, by_m).err(),
        });
        if let Some(why) = unfit {
            told.correction = Err(NoCorrection::Unfit(why));
        }
        told
    });
    let flux = flux::flux_left(held.flux.as_ref(), rotor.magnets.first().map(|m| m.material));
    let lost = flux.as_ref().ok().filter(|f| f.lost);
    let coils = held.flux.as_ref().and_then(|f| f.coils);
    let one_pole = lost.zip(rotor.magnets.first()).and_then(|(f, m)| flux::one_pole(f, m, coils));
    let grade = rotor.grade.as_ref().zip(rotor.magnets.first());
    Ok(HeldStudy {
        rings,
        flux,
        one_pole,
        regained: rotor.magnets.first().zip(hot).map(|(m, hot)| flux::regained(m.material, hot)),
        for_good: grade.and_then(|(grade, m)| flux::for_good(grade, m.material, hot)),
        taper: seat,
        mandrel: held.taper.as_ref().map(fitting::mandrel),
        puller_fits,
        pull,
        balance,
        sides: machine.trigger.as_ref().map(|t| sides::views(t.turns, t.seen_from)),
    })
}

/// What glue and magnets bear, and what the plan leaves of the threads.
fn beside(rotor: &Rotor, found: Option<&RotorStudy>) -> Beside {
    let glue = rotor.held.bond.as_ref().filter(|_| !rotor.magnets.is_empty()).and_then(|b| b.points.last()).map(|(t, _)| t.si);
    let plain = rotor.magnets.iter().any(|m| m.material == MagnetMaterial::RareEarth).then_some(flux::PLAIN_RARE_EARTH);
    Beside {
        bears_k: glue.into_iter().chain(plain).min_by(f64::total_cmp),
        thread_left: found.and_then(|f| f.lighten.as_ref().ok()).and_then(|plan| plan.threads_left),
    }
}

/// Known to be nothing.
const NONE: Finding = Finding { si: 0.0, plus_minus_si: 0.0 };

/// Torque through the seat when the gas turns the crank hardest: the rotor's share of all that turns, with nothing drawn from the crank [N·m].
fn by_gas(machine: &Machine, found: &RotorStudy) -> Option<Finding> {
    let peak = found.turning.as_ref().ok()?.peak.torque_nm;
    let own = found.section.inertia;
    let inputs = [(peak, Turning::DOUBT * peak), (own.si, own.plus_minus_si), input(&machine.engine.inertia)];
    // A rotor cannot be more than all that turns.
    Some(finding(|x| x[0] * (x[1] / x[2]).min(1.0), &inputs))
}

/// Unbalance of the metal that a hole by itself leaves out [kg·m], and its place [rad].
fn one_hole(hole: &Hole, balancing: &Balancing) -> (Finding, Option<Finding>) {
    let inputs = [&hole.diameter, &hole.from, &hole.to, &hole.on_circle, &balancing.density].map(input);
    let size = finding(|x| physics::balance::drilled_mass(x[0], x[2] - x[1], x[4]) * 0.5 * x[3], &inputs);
    (size, hole.at.as_ref().map(Finding::of))
}
