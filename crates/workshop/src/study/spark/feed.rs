//! What the ignition takes through its feed.

use super::{Finding, Held, Model, given, knob::doubt};
use crate::machine::{Machine, spark::Kind};

/// Share of what a converter takes that comes out into its store [1], and its ± (common practice, no source: 60 to 90 %).
const COMES_OUT: (f64, f64) = (0.75, 0.15);

/// Current that an ignition takes from the battery, engine running [A]: with the contacts of every coil closed for long, which is what the feed must bear, or into its
/// converter at work. `None` where it takes nothing from a battery.
///
/// # Errors
/// [`Held`] names the part of the file that is missing.
pub fn takes(machine: &Machine) -> Result<Option<Finding>, Held> {
    let (model, knobs) = given::read(machine)?;
    if !model.kind.on_battery() {
        return Ok(None);
    }
    let supply = |m: &Model| m.supply(false);
    if model.kind == Kind::CapacitorFromBattery {
        let out = doubt(&model, &knobs, |k| k.fills, |m| m.converter.map_or(0.0, |c| c.watts) / supply(m));
        let si = out.si / COMES_OUT.0;
        let share = (out.plus_minus_si / out.si).hypot(COMES_OUT.1 / COMES_OUT.0);
        return Ok(Some(Finding { si, plus_minus_si: share * si }));
    }
    let coils =
        if machine.ignition.spark.is_some_and(|s| s.serves_all) { 1.0 } else { machine.engine.cylinders.len().max(1) as f64 };
    let one = doubt(
        &model,
        &knobs,
        |k| k.fills,
        |m| {
            let primary = m.primary(supply(m));
            let most = primary.volts / primary.ohm;
            m.limit_a.map_or(most, |limit| most.min(limit))
        },
    );
    Ok(Some(Finding { si: coils * one.si, plus_minus_si: coils * one.plus_minus_si }))
}
