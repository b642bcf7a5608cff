//! What inertia changes, in short.

use super::told::{Concern, Skipped, State, Told, What};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        rotor::{Turning, Turns},
    },
};
use physics::{kickback::KickBack, rotor::unevenness};

/// Unevenness at idle, times up and down, the kick. No part moves the engine itself, so that one of it serves them all.
pub fn state(
    machine: &Machine,
    turns: Result<&Turns<'_>, NotStudied>,
    curve: Result<&CurveStudy, NotStudied>,
) -> Result<State, Skipped> {
    let (turns, curve) = (turns.map_err(Skipped::Engine)?, curve.map_err(Skipped::Engine)?);
    let turning = turns.near(curve).map_err(Skipped::Engine)?;
    let inertia = Finding::of(&machine.engine.inertia);
    let share = inertia.plus_minus_si / inertia.si;
    let with = |si: f64| Told::At(Finding { si, plus_minus_si: si * Turning::DOUBT.hypot(share) });
    let uneven = unevenness::coefficient(turning.swing_j, inertia.si, turning.idle_rad_s);
    let mut values = vec![(What::Inertia, Told::At(inertia)), (What::Unevenness, with(uneven))];
    values.extend(turning.rev_up.map(|[_, _, per]| (What::RevUp, with(per * inertia.si))));
    values.extend(turning.run_down.map(|[_, _, per]| (What::RunDown, with(per * inertia.si))));
    let kick = &machine.engine.kicking_speed;
    values.extend(turning.kick.map(|[work, speed]| {
        let si = work / (KickBack::MOST_SHARE * 0.5 * inertia.si * speed * speed);
        let doubt = share.hypot(2.0 * kick.plus_minus_si / kick.si);
        (What::KickBack, Told::At(Finding { si, plus_minus_si: si.abs() * doubt }))
    }));
    let concerns = (!turning.kicks(inertia, kick)).then_some(Concern::KicksBack);
    Ok(State { values, concerns: concerns.into_iter().collect() })
}
