//! Strobe readings, corrected for the lamp and turned into crank angle.

use super::super::Finding;
use crate::machine::Machine;
use physics::{crank::SliderCrank, fit::AdvanceReading};
use quantity::{Reading, Unit};

/// A reading ready to be fitted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corrected {
    /// Index into the machine's strobe readings.
    pub index: usize,
    /// Cylinder, where noted or where there is but one.
    pub cylinder: Option<usize>,
    /// The reading.
    pub reading: AdvanceReading,
    /// What one standard uncertainty of the lamp's delay does to it [rad]; shared by all readings.
    pub lamp_rad: f64,
}

impl Corrected {
    /// Speed and its ±.
    pub fn speed(&self) -> Finding {
        Finding { si: self.reading.speed_rad_s, plus_minus_si: 2.0 * self.reading.speed_u }
    }

    /// Advance and its ±, all reading errors together but for the speed's.
    pub fn advance(&self) -> Finding {
        Finding { si: self.reading.advance_rad, plus_minus_si: 2.0 * self.reading.advance_u.hypot(self.lamp_rad) }
    }
}

/// Was this advance written as piston travel?
fn is_travel(unit: Unit) -> bool {
    matches!(unit, Unit::MillimetreBtdc | Unit::InchBtdc | Unit::Millimetre | Unit::Inch)
}

/// An advance and its standard uncertainty [rad], from degrees or from piston travel before top dead centre. `None` where
/// the piston never stands there.
///
/// Travel is flat at top dead centre, so its ± is carried by the chord of the inverse over the ±, cut off at the ends of
/// the stroke, not by a slope that would be infinite there.
pub(super) fn advance_of(reading: &Reading, crank: &SliderCrank) -> Option<(f64, f64)> {
    let u = reading.standard_uncertainty_si();
    if !is_travel(reading.unit) {
        return reading.si.is_finite().then_some((reading.si, u));
    }
    let angle = |travel_m: f64| crank.before_top(travel_m).map(|a| a.radians());
    let value = angle(reading.si)?;
    let deepest = angle((reading.si + u).min(crank.piston_stroke_m()))?;
    let highest = angle((reading.si - u).max(0.0))?;
    let chord = if reading.si < u { deepest - value } else { 0.5 * (deepest - highest) };
    Some((value, chord))
}

/// All usable readings, and the indices of those that this engine cannot have given.
///
/// The lamp flashes `delay` after the spark; meanwhile the rotor turns on, so the mark looks *less* advanced than it
/// was and `advance = read + delay · speed`. A reading without ± of its own gets that of the mark or the rev counter.
pub(super) fn corrected(machine: &Machine, crank: &SliderCrank) -> (Vec<Corrected>, Vec<usize>) {
    let cylinders = machine.engine.cylinders.len();
    let lamp = &machine.lamp;
    let mut usable = Vec::new();
    let mut unusable = Vec::new();
    for (index, strobe) in machine.strobe.iter().enumerate() {
        let speed = strobe.speed.si;
        let known = strobe.cylinder.is_none_or(|c| c < cylinders);
        let Some((read, own_u)) = advance_of(&strobe.advance, crank).filter(|_| known && speed.is_finite() && speed > 0.0) else {
            unusable.push(index);
            continue;
        };
        let speed_u = match strobe.speed.standard_uncertainty_si() {
            0.0 => lamp.rev_counter.si.abs() * speed / 2.0,
            own => own,
        };
        let advance_u = if strobe.advance.plus_minus_si > 0.0 { own_u } else { lamp.mark.si.abs() / 2.0 };
        usable.push(Corrected {
            index,
            cylinder: strobe.cylinder.or((cylinders == 1).then_some(0)),
            reading: AdvanceReading {
                speed_rad_s: speed,
                speed_u,
                advance_rad: read + lamp.delay.si * speed,
                advance_u,
                pickup: None,
                trend: strobe.trend,
            },
            lamp_rad: lamp.delay.standard_uncertainty_si() * speed,
        });
    }
    (usable, unusable)
}
