//! Where the spark comes, in short, and the curve that another segment gives.

use super::told::{Skipped, State, Told, What};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::{self, BandPoint, CurveStudy},
        load::earliest,
    },
};
use physics::law::{Law, Segment};
use quantity::{RotorAngle, Unit};

/// The curve of a changed machine: by its own law, or that of the module as found on a segment of another length [rad rotor] whose leading edge stands where the old one's stood.
///
/// # Errors
/// [`NotStudied`] where there is no curve, or it does not come from a segment.
pub fn moved(
    machine: &Machine,
    found: Result<&CurveStudy, NotStudied>,
    segment: Option<Finding>,
) -> Result<CurveStudy, NotStudied> {
    let Some(arc) = segment else { return curve::study(machine) };
    let drive = machine.trigger.as_ref().ok_or(NotStudied::NoSegment)?.drive;
    let crank = |si: f64| drive.to_crank(RotorAngle::from_radians(si));
    let mut moved = found?.clone();
    for cylinder in &mut moved.cylinders {
        let on = |length: f64| {
            let old = cylinder.law.segment().ok_or(NotStudied::LawWithoutSegment)?;
            let new = Segment::new(old.lead(), crank(length)).map_err(|_| NotStudied::Impossible)?;
            // Reversed leads turn a segment round; what that makes of another one is not told.
            if old.wiring() != new.wiring() {
                return Err(NotStudied::Impossible);
            }
            Ok(onto(&cylinder.law, new))
        };
        let (law, longer) = (on(arc.si)?, on(arc.si + arc.plus_minus_si)?);
        let band = cylinder.band.iter().map(|p| {
            let at = |law: &Law| law.advance(p.speed_rad_s).radians();
            let by = at(&longer) - at(&law);
            BandPoint {
                speed_rad_s: p.speed_rad_s,
                advance: Finding { si: at(&law), plus_minus_si: p.advance.plus_minus_si.hypot(by) },
            }
        });
        cylinder.band = band.collect();
        cylinder.law = law;
    }
    Ok(moved)
}

fn onto(law: &Law, segment: Segment) -> Law {
    match law {
        Law::Ramp(ramp) => Law::Ramp(ramp.on(segment)),
        Law::TwoEdge(edges) => Law::TwoEdge(edges.on(segment)),
        Law::Sensed(sensed) => onto(&sensed.law, segment).sensed_by(sensed.pickup),
        other => other.clone(),
    }
}

/// Advance of the cylinder that fires first.
pub fn state(machine: &Machine, curve: Result<&CurveStudy, NotStudied>) -> Result<State, Skipped> {
    let curve = curve.map_err(Skipped::Engine)?;
    let e = &machine.engine;
    let speeds = [
        (What::AdvanceKick, Some(e.kicking_speed.si)),
        (What::AdvanceIdle, machine.idle.as_ref().map(|i| i.speed.si)),
        (What::Advance2000, Some(Unit::Rpm.to_si(super::ADVANCE_AT_RPM))),
        (What::AdvanceTop, Some(e.top_speed.si)),
    ];
    let values = speeds.into_iter().filter_map(|(what, speed)| Some((what, Told::At(earliest(curve, speed?)?)))).collect();
    Ok(State { values, concerns: Vec::new() })
}
