//! The spark: what the ignition gives against what the gap asks for, over all speeds and in the ways in which it gets worse.
//!
//! `given` turns the file into a [`Model`], `knob` turns each of its numbers by its ±, `needed` asks the working cycle what stands between the electrodes, `margin` lays one over the other.
//! `energy` follows the spark itself, `coils` judges the coil and the one that does not belong there, `battery` looks for the lowest volts that still
//! fire, `signal` for the pickup's, `feed` tells what it takes from the battery, `beside` sets readings of a job against all that.

pub mod battery;
pub mod beside;
pub mod coils;
pub mod energy;
pub mod feed;
mod given;
mod knob;
pub mod margin;
pub mod needed;
pub mod signal;

pub use given::{Condition, Model};

use super::{Check, Finding, NotStudied, curve::CurveStudy};
use crate::machine::{Machine, spark::Kind};
use knob::Knob;

/// What is missing, so that the spark or a part of it is held back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// A table of the file.
    Missing(&'static str),
}

/// Everything about the spark.
#[derive(Clone, Debug)]
pub struct SparkStudy {
    /// Kind of ignition.
    pub kind: Kind,
    /// Turns of the crank between two sparks of one store or breaker \[1\].
    pub turns_between: f64,
    /// Available and needed voltage over speed.
    pub margin: margin::Margins,
    /// The spark itself, at the kick, in the middle and at the top.
    pub energy: Vec<energy::EnergyAt>,
    /// The coil, and the usual one of the other kind in its place.
    pub coils: [coils::Judged; 2],
    /// Lowest battery volts that still fire at the kick; `None` without a battery.
    pub battery: Option<battery::Lowest>,
    /// Peak of the module's output as read; `None` where none was.
    pub output: Option<Check>,
    /// Pickups with a pulse, or what is missing.
    pub signal: Result<Vec<signal::SignalAt>, Held>,
}

/// Works everything out, in a fraction of a second; no surface is needed. Without a curve the spark is taken at top dead centre, the worst case.
///
/// # Errors
/// [`Held`] names the part of the file that is missing.
///
/// # Example
/// ```
/// use workshop::{machine, study};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let curve = study::curve::study(&machine).unwrap();
/// let spark = study::spark::study(&machine, Ok(&curve)).unwrap();
/// assert!(spark.margin.points[0].margin.si > 1.0);
/// ```
pub fn study(machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Result<SparkStudy, Held> {
    let (model, knobs) = given::read(machine)?;
    let curve = curve.ok();
    let margin = margin::study(machine, curve, &model, &knobs);
    let (energy, coils) = rayon::join(|| energy::study(&model, &margin), || coils::study(machine, &model, &margin));
    Ok(SparkStudy {
        kind: model.kind,
        turns_between: model.turns,
        energy,
        coils,
        battery: battery::lowest(&model, &margin),
        output: output(machine, &model, &knobs),
        signal: signal::study(machine, curve),
        margin,
    })
}

/// What the ignition gives, for [`margin::lay`].
///
/// # Errors
/// See [`study`].
pub fn gives(machine: &Machine) -> Result<margin::Gives, Held> {
    let (model, knobs) = given::read(machine)?;
    Ok(margin::given(machine, &model, &knobs))
}

/// The module's output as it was read at the coil.
fn output(machine: &Machine, model: &Model, knobs: &[Knob]) -> Option<Check> {
    let store = machine.ignition.store.as_ref()?;
    let read = store.output.as_ref()?;
    let speed = store.output_speed.as_ref().unwrap_or(&machine.engine.kicking_speed);
    Some(Check { read: Finding::of(read), computed: output_at(machine, model, knobs, Finding::of(speed)) })
}

/// Peak of the module's output [V] at a crank speed [rad/s].
fn output_at(machine: &Machine, model: &Model, knobs: &[Knob], speed: Finding) -> Finding {
    let kicked = margin::is_kick(machine, speed.si);
    let volts = |m: &Model, speed: f64| m.filled(speed, m.supply(kicked)) - m.store.switch_v;
    let mut computed = knob::doubt(model, knobs, |k| k.fills, |m| volts(m, speed.si));
    let by_speed = 0.5 * (volts(model, speed.si + speed.plus_minus_si) - volts(model, (speed.si - speed.plus_minus_si).max(1.0)));
    computed.plus_minus_si = computed.plus_minus_si.hypot(by_speed);
    computed
}
