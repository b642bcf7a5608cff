//! All that is told of what holds a rotor, from one machine file.

use super::{
    balance::{self, BalanceFound, Given},
    flux::{self, FluxFound, LostBy, OnePole},
    glue::{self, GlueStep},
    magnets::{self, BondFound, Group, Look, NotFound},
    pulling::{self, PullFound},
    sides::{self, End, View},
    taper::{self, TaperFound},
};
use crate::{
    machine::{Machine, Turns},
    study::Finding,
};

/// One ring of magnets.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// What its bonds carry and bear, or why that is not told.
    pub bond: Result<BondFound, NotFound>,
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
    /// Seat and nut.
    pub taper: Result<TaperFound, NotFound>,
    /// Pull.
    pub pull: Result<PullFound, NotFound>,
    /// Balance.
    pub balance: Result<BalanceFound, NotFound>,
    /// Turning direction and leading end in every view; `None` without a trigger.
    pub sides: Option<[(View, Turns, End); 6]>,
}

/// What holds this machine's rotor. `cut` is the unbalance of what a cut takes off [kg·m] and the place of its middle [rad], where one is planned.
///
/// # Errors
/// [`NotFound::Missing`] where the file has no rotor.
pub fn study(machine: &Machine, cut: Option<(Finding, Finding)>) -> Result<HeldStudy, NotFound> {
    let rotor = machine.rotor.as_ref().ok_or(NotFound::Missing("rotor"))?;
    let held = &rotor.held;
    let top_speed = &machine.engine.top_speed;
    let hot = held.bond.as_ref().map(|b| b.rotor_temperature.si);
    let rings = rotor
        .magnets
        .iter()
        .map(|m| {
            let group = Group::of(m);
            Ring {
                bond: magnets::study(&group, held.bond.as_ref(), top_speed),
                lost_by: flux::lost_by(m.material, hot),
                glue: held.bond.as_ref().map(|b| glue::glue_steps(group.seat, b)),
            }
        })
        .collect();
    let missing = NotFound::Missing;
    let seat = held.taper.as_ref().ok_or(missing("rotor.taper")).and_then(|t| taper::study(t).ok_or(NotFound::Impossible));
    let pull = held.puller.as_ref().ok_or(missing("rotor.puller")).and_then(|p| {
        let seat = seat.as_ref().map_err(|e| *e)?;
        pulling::study(p, seat).ok_or(NotFound::Impossible)
    });
    let balance = held.balance.as_ref().ok_or(missing("rotor.balance")).map(|balancing| {
        let rotor_mass = machine.engine.rotor_mass.as_ref().map(|m| Finding { si: m.si, plus_minus_si: m.plus_minus_si });
        balance::study(&Given { balancing, trials: &held.trials, rotor_mass, top_speed, cut })
    });
    let flux = flux::flux_left(held.flux.as_ref(), rotor.magnets.first().map(|m| m.material));
    let lost = flux.as_ref().ok().filter(|f| f.lost);
    let one_pole = lost.zip(rotor.magnets.first()).and_then(|(f, m)| flux::one_pole(f, m));
    Ok(HeldStudy {
        rings,
        flux,
        one_pole,
        taper: seat,
        pull,
        balance,
        sides: machine.trigger.as_ref().map(|t| sides::views(t.turns, t.seen_from)),
    })
}
