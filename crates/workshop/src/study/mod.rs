//! Studies: plain functions from readings (with ±) to findings (with ±) and warnings as data.
//!
//! `curve` says where the spark comes, `idle` whether the engine can idle steadily on it, `run` what it does in time, `alike` what else would
//! make it hang, `load` what advance does at idle and wide open, `trim` what a cut of the segment would change. [`Study`] is all of them for
//! one machine.

pub mod alike;
pub mod calibrate;
pub mod cases;
pub mod curve;
pub(crate) mod doubt;
pub mod electric;
pub mod engine;
pub mod fault;
pub mod idle;
pub(crate) mod judge;
pub(crate) mod known;
pub mod load;
pub mod model;
pub mod part;
pub mod recording;
pub mod rotor;
pub mod run;
pub mod sensitivity;
pub mod spark;
pub mod trim;
pub mod unknowns;
pub mod warning;

use crate::machine::Machine;
use alike::Explains;
use cases::{Engines, Sampling};
use physics::surface::Progress;
use quantity::Reading;
use unknowns::Unknowns;

/// A computed number and the half-width within which it lies with about 95 % confidence, both SI.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Finding {
    /// Value [SI].
    pub si: f64,
    /// ± [SI].
    pub plus_minus_si: f64,
}

impl Finding {
    /// A reading as it stands.
    pub fn of(reading: &Reading) -> Self {
        Self { si: reading.si, plus_minus_si: reading.plus_minus_si }
    }

    /// The two lie no further apart than their ± together allow.
    pub fn agrees_with(self, other: Self) -> bool {
        (self.si - other.si).abs() <= self.plus_minus_si.hypot(other.plus_minus_si)
    }

    /// The quotient of two that do not go together, and its ± (JCGM 100:2008, 5.1.6).
    pub fn over(self, other: Self) -> Self {
        let si = self.si / other.si;
        Self { si, plus_minus_si: si * (self.plus_minus_si / self.si).hypot(other.plus_minus_si / other.si) }
    }
}

/// What was computed against what was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// Read.
    pub read: Finding,
    /// Computed.
    pub computed: Finding,
}

impl Check {
    /// They lie no further apart than their ± together allow.
    pub fn agrees(&self) -> bool {
        self.read.agrees_with(self.computed)
    }
}

/// Everything found about one machine.
#[derive(Clone, Debug)]
pub struct Study {
    /// Where the spark comes.
    pub curve: curve::CurveStudy,
    /// Idle, or why it is not studied.
    pub idle: Result<idle::IdleStudy, NotStudied>,
    /// What explains the hang that was seen, or why that is not studied.
    pub alike: Result<alike::Alike, NotStudied>,
    /// Torque against advance, knock and kick-back, or why they are not studied.
    pub load: Result<load::LoadStudy, NotStudied>,
    /// Trim, or why it is not studied.
    pub trim: Result<trim::TrimStudy, NotStudied>,
}

/// Why a study does not cover this machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotStudied {
    /// The working cycle is computed for four-strokes only.
    TwoStroke,
    /// Valves or inlet are not in the file.
    NoBreathing,
    /// No segment to trim: no trigger rotor in the file.
    NoSegment,
    /// The law does not fire from a segment's edges (points, fixed, table).
    LawWithoutSegment,
    /// No idle speed was noted.
    NoIdleSeen,
    /// No hang was noted, so there is none to explain.
    NoHangSeen,
    /// There is no curve: neither law nor enough readings.
    NoCurve,
    /// No opening of the throttle lets the computed engine idle at the speed seen, so no cut can be judged by it.
    IdleNotReproduced,
    /// The readings make no engine that can be computed (valves open at firing, too many cylinders on one plenum).
    NotComputable,
    /// The computation was stopped.
    Stopped,
    /// The numbers of the law, the trigger or the crank drive contradict each other (start above full speed, rod too short).
    Impossible,
}

/// All studies of one machine.
///
/// `model` is the engine's surfaces and cycle, or why there are none; the curve is
/// studied without it. The same machine and model give the same study, whatever the machine it runs on and the threads it has.
/// `watch` counts looks at sampled cases, [`cases::LOOKS`] at most, and what it stops is [`NotStudied::Stopped`].
///
/// # Errors
/// [`NotStudied`] where not even the curve can be studied.
pub fn study(machine: &Machine, model: Result<&model::EngineModel, NotStudied>, watch: &Progress) -> Result<Study, NotStudied> {
    let curve = curve::study(machine)?;
    let mut calibration = model.ok().and_then(|m| calibrate::study(machine, &curve, m, calibrate::CASES));
    let stated = model.map(|m| Engines::new(machine, &curve, m, Unknowns::stated(machine, m)));
    let sampling = stated.as_ref().map(|engines| Sampling { engines, watch }).map_err(|e| *e);
    let mut idle = model.and_then(|m| idle::sampled(machine, &curve, m, sampling?));
    let stop = idle.as_ref().ok().and_then(|i| i.opening_m2);
    let seen = machine.idle.as_ref().map(|i| i.speed.si);
    let load = model.map(|m| load::study(machine, &curve, m.cycle(), seen.zip(stop)));
    let alike = model.and_then(|m| alike::sampled(machine, &curve, m, stated.as_ref().map_err(|e| *e)?));
    let read = machine.idle.as_ref().is_some_and(|i| i.hangs_at.is_some() || i.readings_on_stop() > 0);
    let disagree = read && calibration.as_ref().is_none_or(|c| !c.holds());
    // The calibration knows no faults: where one of them explains the readings, that comes first.
    let explained = match alike.as_ref().ok().map(|a| a.explains) {
        Some(first @ Explains::First(_)) => Some(first),
        _ if disagree => Some(Explains::ReadingsDisagree),
        explained => explained,
    };
    let trim = model.and_then(|m| trim::sampled(machine, &curve, m, load.as_ref().map_err(|e| *e)?, explained, sampling?));
    // Beside the verdict and the cuts, which rest on the file alone: a hang that was seen must not prove itself.
    if let (Some(calibration), Ok(model)) = (&mut calibration, model)
        && let Some(joint) = calibration.joint()
    {
        let seen = Engines::new(machine, &curve, model, Unknowns::stated(machine, model).with(joint));
        calibration.given_seen = Some(seen.share(&cases::as_found, cases::FEWER_POINTS, watch)?.0);
    }
    drop(stated);
    if let Ok(idle) = &mut idle {
        // Where no opening holds the idle that is said already.
        if calibration.is_none() && read && idle.opening_m2.is_some() {
            idle.warnings.push(warning::Warning::NotCalibrated);
        }
        idle.calibration = calibration;
    }
    Ok(Study { curve, idle, alike, load, trim })
}
