//! Margin of the spark and the pickup's signal, in short.

use super::told::{Concern, Skipped, State, Told, What};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        spark::{
            Held,
            margin::{self, Gives, Verdict},
            needed::Needed,
            signal as pickups,
        },
    },
};

/// Margins at the kick, at the top and in the worst case, of what the gap asks for and what the ignition gives.
pub fn margins(needed: &[Needed], gives: &Result<Gives, Held>) -> Result<State, Skipped> {
    let found = margin::lay(needed, gives.as_ref().map_err(|held| Skipped::Spark(*held))?);
    let (Some(kick), Some(top)) = (found.points.first(), found.points.last()) else { return Ok(State::default()) };
    let least = found.least();
    let worst = found
        .cases
        .iter()
        .filter_map(|c| margin::least(&c.margin).map(|(k, m)| (c.case, k, m)))
        .min_by(|a, b| a.2.si.total_cmp(&b.2.si));
    let mut values = vec![
        (What::AvailableKick, Told::At(kick.available)),
        (What::NeededKick, Told::At(kick.needed.volts)),
        (What::MarginKick, Told::At(kick.margin)),
        (What::MarginTop, Told::At(top.margin)),
    ];
    values.extend(least.map(|(_, m)| (What::MarginLeast, Told::At(m))));
    values.extend(worst.map(|(_, _, m)| (What::MarginWorst, Told::At(m))));
    let as_found = least.map(|(k, m)| (None, k, m));
    let concern = |(case, k, margin): (Option<margin::Case>, usize, Finding)| {
        (margin::verdict(margin) != Verdict::Fires).then(|| Concern::NoSpark {
            at_rad_s: found.points[k].speed_rad_s,
            margin,
            case,
        })
    };
    let concerns = as_found.into_iter().chain(worst.map(|(c, k, m)| (Some(c), k, m))).filter_map(concern).collect();
    Ok(State { values, concerns })
}

/// The weakest pickup at the kick.
pub fn signal(machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Result<State, Skipped> {
    let found = pickups::study(machine, curve.ok()).map_err(Skipped::Spark)?;
    let Some(weakest) = found.iter().min_by(|a, b| a.margin.si.total_cmp(&b.margin.si)) else { return Ok(State::default()) };
    let concern = (margin::verdict(weakest.margin) != Verdict::Fires).then_some(Concern::NoSignal { margin: weakest.margin });
    Ok(State {
        values: vec![(What::SignalKick, Told::At(weakest.margin)), (What::FiresFrom, Told::At(weakest.fires_from))],
        concerns: concern.into_iter().collect(),
    })
}
