//! Readings that a job keeps, beside what the machine file has or gives.

use super::{Check, Finding, given, output_at, signal};
use crate::machine::{Machine, Pickup as PickupData, charging::WindingKind};
use physics::copper;
use quantity::{Reading, Unit};

/// ± of the temperature of a reading beside which none was noted [K] (own choice): a workshop against a warm engine.
const NOT_NOTED_K: f64 = 10.0;

/// A reading as it was kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept<'a> {
    /// Key of the quantity, see [`crate::job::QUANTITIES`].
    pub what: &'a str,
    /// Where it was read: a cylinder, a number; empty where there is but one.
    pub place: &'a str,
    /// The reading.
    pub read: Finding,
    /// Temperature of the thing measured [K].
    pub temperature_k: Option<f64>,
    /// Speed of the crank [rad/s]; at the kick where none was noted.
    pub crank_rad_s: Option<f64>,
    /// Taken with its usual load on it.
    pub loaded: bool,
}

/// One of them beside the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Its place in the list that was handed in.
    pub kept: usize,
    /// It and what is computed for the same temperature and speed.
    pub check: Check,
}

/// Every kept reading that the file has or gives something for: resistances of coil, source coil and cap at the temperature of the reading, plug and pickup gaps, peaks of
/// source coil (nothing connected), module and pickup at its speed. Where several parts could be meant and the place names none, the one that is nearest counts.
///
/// # Example
/// ```
/// use workshop::{machine, study::{Finding, spark::beside::{Kept, beside}}};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let gap = Kept {
///     what: "plug.gap", place: "", read: Finding { si: 0.9e-3, plus_minus_si: 0.05e-3 }, temperature_k: None, crank_rad_s: None, loaded: false,
/// };
/// assert!(!beside(&machine, &[gap])[0].check.agrees());
/// ```
pub fn beside(machine: &Machine, kept: &[Kept]) -> Vec<Beside> {
    let one = |(k, reading): (usize, &Kept)| {
        let computed = computed(machine, reading)?;
        Some(Beside { kept: k, check: Check { read: reading.read, computed } })
    };
    kept.iter().enumerate().filter_map(one).collect()
}

fn computed(machine: &Machine, kept: &Kept) -> Option<Finding> {
    let i = &machine.ignition;
    match kept.what {
        "coil.primary" => i.coil.as_ref().map(|c| warmed(&c.primary_resistance, (c.read_at.si, c.read_at.plus_minus_si), kept)),
        "coil.secondary" => {
            i.coil.as_ref().map(|c| warmed(&c.secondary_resistance, (c.read_at.si, c.read_at.plus_minus_si), kept))
        }
        "cap.resistance" => i.plug.as_ref().map(|p| Finding::of(&p.cap)),
        "plug.gap" => i.plug.as_ref().map(|p| Finding::of(&p.gap)),
        "source.resistance" => {
            // The file has it at 20 °C.
            let at = (Unit::Celsius.to_si(20.0), 0.0);
            nearest(kept, i.source.iter().flat_map(|s| &s.windings).map(|w| warmed(&w.resistance, at, kept)))
        }
        // Both are recorded at 20 °C.
        "pickup.resistance" => {
            let recorded = machine.electric.windings.iter().filter(|w| w.kind == WindingKind::Pickup);
            nearest(kept, recorded.filter_map(|w| Some(warmed(w.record.as_ref()?, (physics::copper::COLD_K, 0.0), kept))))
        }
        "stator.resistance" => {
            machine.electric.charging.as_ref().map(|c| warmed(&c.resistance, (physics::copper::COLD_K, 0.0), kept))
        }
        // Under load it gives less, and how much less is the study's question.
        "source.peak" if !kept.loaded => {
            let speed = speed(machine, kept);
            nearest(
                kept,
                i.source.iter().flat_map(|s| &s.windings).map(|w| {
                    let share = [&w.volts, &w.speed].map(|r| r.plus_minus_si / r.si);
                    scaled(w.volts.si / w.speed.si, share[0].hypot(share[1]), speed)
                }),
            )
        }
        "module.peak" => {
            i.store.as_ref()?;
            let (model, knobs) = given::read(machine).ok()?;
            let (si, share) = speed(machine, kept);
            Some(output_at(machine, &model, &knobs, Finding { si, plus_minus_si: share * si }))
        }
        "pickup.gap" => {
            let pickups = &machine.trigger.as_ref()?.pickups;
            nearest(kept, named(machine, pickups, kept.place).map(|k| Finding::of(&pickups[k].gap)))
        }
        "pickup.peak" => {
            let pickups = &machine.trigger.as_ref()?.pickups;
            let signals = signal::study(machine, None).ok()?;
            let kick = &machine.engine.kicking_speed;
            let of_kick = kick.plus_minus_si / kick.si;
            let peaks = named(machine, pickups, kept.place).filter_map(|k| {
                let s = signals.iter().find(|s| s.pickup == k)?;
                let share = s.peak.plus_minus_si / s.peak.si;
                // The ± of the kick is in the study's peak; at a speed of its own it is not.
                let own = (share * share - of_kick * of_kick).max(0.0).sqrt();
                Some(scaled(s.peak.si / kick.si, own, speed(machine, kept)))
            });
            nearest(kept, peaks)
        }
        _ => None,
    }
}

/// The speed of a reading, and its ± as a share.
fn speed(machine: &Machine, kept: &Kept) -> (f64, f64) {
    let kick = &machine.engine.kicking_speed;
    kept.crank_rad_s.map_or((kick.si, kick.plus_minus_si / kick.si), |speed| (speed, 0.0))
}

fn scaled(per_speed: f64, share: f64, (speed, by): (f64, f64)) -> Finding {
    let si = per_speed * speed;
    Finding { si, plus_minus_si: si * share.hypot(by) }
}

/// A resistance of the file at the temperature of a reading.
fn warmed(r: &Reading, (at_k, at_by): (f64, f64), kept: &Kept) -> Finding {
    let (to_k, to_by) = kept.temperature_k.map_or((at_k, NOT_NOTED_K), |k| (k, 0.0));
    let factor = copper::ratio(at_k, to_k);
    let by_temperature = 0.5 * (copper::ratio(at_k, to_k + to_by) - copper::ratio(at_k, to_k - to_by));
    let by_own = 0.5 * (copper::ratio(at_k - at_by, to_k) - copper::ratio(at_k + at_by, to_k));
    let plus_minus_si = (factor * r.plus_minus_si).hypot(r.si * by_temperature).hypot(r.si * by_own);
    Finding { si: factor * r.si, plus_minus_si }
}

/// Places in the file of the pickups that a place names by a cylinder or a number; all where it names none.
fn named<'m>(machine: &'m Machine, pickups: &'m [PickupData], place: &'m str) -> impl Iterator<Item = usize> + 'm {
    let place = place.trim();
    let is = move |k: usize| {
        let cylinder = |c: &usize| machine.engine.cylinders.get(*c).is_some_and(|c| c.name.eq_ignore_ascii_case(place));
        place.parse() == Ok(k + 1) || pickups[k].fires.iter().any(cylinder)
    };
    let any = (0..pickups.len()).any(is);
    (0..pickups.len()).filter(move |k| !any || is(*k))
}

/// The one that lies nearest to what was read, beside its ±.
fn nearest(kept: &Kept, all: impl Iterator<Item = Finding>) -> Option<Finding> {
    let off = |f: &Finding| (f.si - kept.read.si).abs();
    all.filter(|f| f.si.is_finite()).min_by(|a, b| off(a).total_cmp(&off(b)))
}
