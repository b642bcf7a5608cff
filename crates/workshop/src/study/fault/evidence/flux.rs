//! What volts without load say of the rotor's magnets: all weaker alike, one dead or reversed, or nothing amiss.

use super::{Of, Signature};
use crate::{
    machine::{FluxRead, Machine},
    study::{
        Finding,
        electric::likeness::RECORD,
        fault::data::Faults,
        rotor::flux::{flux_left, one_pole},
        spark::beside::Kept,
    },
};
use physics::interval::{normal_density, normal_share};

/// Shares of the flux between which weak magnets lie, one as likely as another \[1\] (own choice).
const WEAK: (f64, f64) = (0.3, 1.0);
/// Temperature of a rotor beside whose volts none was noted, with its ± [K] (own choice): cold, in a workshop.
const NOT_NOTED_K: (f64, f64) = (293.15, 10.0);

/// What a job keeps of volts without load.
pub(super) struct OfJob {
    /// What they say of the flux.
    pub signature: Signature,
    /// They, their speed and their temperature, beside the record.
    pub flux: FluxRead,
    /// What a sound alternator gives at that speed [V].
    pub sound: Finding,
}

/// The same volts as a job keeps them, in the place of those of the file; `None` where the file has no record, or the reading no speed.
pub(super) fn of_job(faults: &Faults, machine: &Machine, kept: &Kept) -> Option<OfJob> {
    let mut flux = machine.rotor.as_ref()?.held.flux.clone()?;
    let speed = kept.crank_rad_s.filter(|s| *s > 0.0)?;
    let (si, plus_minus_si) = kept.temperature_k.map_or(NOT_NOTED_K, |k| (k, 0.0));
    let now = &mut flux.now;
    (now.volts.si, now.volts.plus_minus_si) = (kept.read.si, kept.read.plus_minus_si);
    // The counter is taken to be as good as the one of the file.
    (now.speed.si, now.speed.plus_minus_si) = (speed, now.speed.plus_minus_si / now.speed.si * speed);
    (now.temperature.si, now.temperature.plus_minus_si) = (si, plus_minus_si);
    let by = speed / flux.recorded.speed.si;
    let share = |r: &quantity::Reading| r.plus_minus_si / r.si;
    let of = share(&flux.recorded.volts).hypot(share(&flux.recorded.speed)).hypot(share(&flux.now.speed));
    let sound = by * flux.recorded.volts.si;
    let sound = Finding { si: sound, plus_minus_si: of * sound };
    Some(OfJob { signature: weighed(faults, machine, &flux)?, flux, sound })
}

/// Likelihoods of what is left of the flux beside a record. `None` where the file has no such volts.
///
/// With the share x of spread σ, the record's scatter among it: N(x; 1, σ²) where nothing is amiss, the mean of N(x; t, σ²) over t between the bounds of [`WEAK`] for weak magnets, and
/// the mean of N(x; l, σ²) over what one dead and one reversed magnet would leave.
pub fn signature(faults: &Faults, machine: &Machine) -> Option<Signature> {
    weighed(faults, machine, machine.rotor.as_ref()?.held.flux.as_ref()?)
}

fn weighed(faults: &Faults, machine: &Machine, flux: &FluxRead) -> Option<Signature> {
    let rotor = machine.rotor.as_ref()?;
    let magnets = rotor.magnets.first()?;
    let found = flux_left(Some(flux), Some(magnets.material)).ok()?;
    let one = one_pole(&found, magnets, flux.coils);
    let ways: Vec<f64> = one.iter().flatten().map(|p| p.leaves).collect();
    let (sound, weak, moved) = likelihoods(found.left, &ways);
    // Turns that are shorted take volts too; nothing here tells them from weak magnets.
    let mut named = vec![("magnet-weak", weak), ("stator-short", weak)];
    named.extend(moved.map(|l| ("magnet-loose", l)));
    Some(Signature::of_shown(faults, &["stator-acv"], named, sound, (2, Of::Flux)))
}

/// Likelihood of nothing amiss, of weak magnets, and of one magnet amiss in any of these ways; `None` without ways.
fn likelihoods(left: Finding, ways: &[f64]) -> (f64, f64, Option<f64>) {
    let sd = (0.5 * left.plus_minus_si).hypot(0.5 * RECORD);
    let density = |at: f64| normal_density(left.si - at, sd);
    let below = |at: f64| normal_share((at - left.si) / sd);
    let weak = (below(WEAK.1) - below(WEAK.0)) / (WEAK.1 - WEAK.0);
    let one = (!ways.is_empty()).then(|| ways.iter().map(|w| density(*w)).sum::<f64>() / ways.len() as f64);
    (density(1.0), weak, one)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of `scipy.stats.norm` 1.17 (pdf and cdf), x = 0.80 ± 0.06, σ² = 0.03² + 0.05².
    #[test]
    fn likelihoods_are_those_of_the_normal_distribution() {
        let left = Finding { si: 0.80, plus_minus_si: 0.06 };
        let (sound, weak, one) = likelihoods(left, &[0.83, 0.67]);
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs() + 1e-12;
        assert!(close(sound, 0.01907643356), "{sound}");
        assert!(close(weak, 1.428140254), "{weak}");
        assert!(close(one.unwrap(), 3.281783345), "{one:?}");
        assert_eq!(likelihoods(left, &[]).2, None);
    }
}
