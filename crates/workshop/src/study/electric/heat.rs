//! How warm the alternator's winding gets at the highest speed.

use super::{
    NotTold,
    alternator::{Alternator, Moved, On},
    charge::{HotWinding, moved},
};
use crate::study::{
    Finding,
    doubt::{finding, input},
};
use physics::charge::{Regulator, TooHot, fast, warm};

/// Whether a shunt regulator has something to hold at the highest speed.
pub fn switches(a: &Alternator, top: f64, on: On) -> Result<bool, NotTold> {
    let x = a.middle();
    let shunt = matches!(a.regulator(&x), Regulator::Shunt { .. });
    Ok(shunt && fast_w(a, &x, x[7], on, top)? != slow_w(a, &x, x[7], on, a.electrical(top))?)
}

/// Heat of the copper [W] under a shunt regulator that switches many times in a period, with the winding at a temperature [K].
pub fn fast_w(a: &Alternator, x: &Moved, winding_k: f64, on: On, top: f64) -> Result<f64, NotTold> {
    let Regulator::Shunt { set_v, switch_v } = a.regulator(x) else { return Ok(f64::NAN) };
    let (circuit, omega) = (a.circuit_at(x, winding_k), a.electrical(top));
    let (taken, found) = a.charged(x, &circuit, a.regulator(x), on, omega)?;
    // Where it has nothing to hold it does not switch.
    let fast = fast(&circuit, &taken, set_v, switch_v, omega)?;
    Ok(fast.map_or(found.copper_w, |f| f.copper_w).iter().sum())
}

/// Heat of the copper [W] with the winding at a temperature [K].
pub fn slow_w(a: &Alternator, x: &Moved, winding_k: f64, on: On, omega: f64) -> Result<f64, NotTold> {
    Ok(a.works(x, &a.circuit_at(x, winding_k), a.regulator(x), on, omega)?.copper_w.iter().sum())
}

/// The winding with the loads that heat it most: those, how warm it gets, and the heat of the copper and of rectifier and regulator [W].
///
/// # Errors
/// [`NotTold`].
pub fn hot(a: &Alternator, top: f64) -> Result<(On, HotWinding, (Finding, f64)), NotTold> {
    let on = hot_on(a, top)?;
    let (hot, watt) = hot_with(a, top, on)?;
    Ok((on, hot, watt))
}

/// Heat of the copper and the winding where a shunt regulator switches many times in a period; `None` where none does.
///
/// # Errors
/// [`NotTold`].
pub fn fast_hot(a: &Alternator, top: f64, on: On) -> Result<Option<(Finding, HotWinding)>, NotTold> {
    if !switches(a, top, on)? {
        return Ok(None);
    }
    let watt = finding(|x| fast_w(a, &moved(x), x[7], on, top).unwrap_or(f64::NAN), &a.doubts());
    Ok(Some((watt, warmed(a, |x, k| fast_w(a, x, k, on, top))?)))
}

/// The loads that heat the winding most at the highest speed.
pub fn hot_on(a: &Alternator, top: f64) -> Result<On, NotTold> {
    let x = a.middle();
    let [needed, all] = [On::Needed, On::All].map(|on| slow_w(a, &x, x[7], on, a.electrical(top)));
    Ok(if all? > needed? { On::All } else { On::Needed })
}

/// Heat at the highest speed of copper, and of rectifier and regulator, and the winding.
fn hot_with(a: &Alternator, top: f64, on: On) -> Result<(HotWinding, (Finding, f64)), NotTold> {
    let omega = a.electrical(top);
    let heat = |x: &Moved, winding_k: f64| slow_w(a, x, winding_k, on, omega);
    let x = a.middle();
    let valves_w = a.works(&x, &a.circuit_at(&x, x[7]), a.regulator(&x), on, omega)?.valves_w;
    let copper_w = finding(|x| heat(&moved(x), x[7]).unwrap_or(f64::NAN), &a.doubts());
    Ok((warmed(a, heat)?, (copper_w, valves_w)))
}

/// How warm a heat makes the winding: T = T₀ + r·P(T), so a change of anything moves T by r·dP/(1 − r·dP/dT).
pub fn warmed(a: &Alternator, heat: impl Fn(&Moved, f64) -> Result<f64, NotTold>) -> Result<HotWinding, NotTold> {
    let (Some(heats_by), (around, around_by)) = (&a.charging.heats_by, input(&a.charging.around)) else {
        return Ok(HotWinding::NotKnown);
    };
    let x = a.middle();
    let balance = match warm(around, heats_by.si, |k| heat(&x, k)) {
        Err(TooHot::Runaway) => return Ok(HotWinding::Runaway),
        Err(TooHot::Heat(why)) => return Err(why),
        Ok(balance) => balance,
    };
    // The winding's own temperature is what is sought here: its doubt in the file is none of this.
    let mut doubts = a.doubts();
    doubts[7] = (balance.kelvin, 0.0);
    let by = finding(|x| heat(&moved(x), balance.kelvin).unwrap_or(f64::NAN), &doubts).plus_minus_si;
    let slope = heats_by.si * (heat(&x, balance.kelvin + 1.0)? - balance.heat_w);
    let square = around_by.powi(2) + (heats_by.plus_minus_si * balance.heat_w).powi(2) + (heats_by.si * by).powi(2);
    let kelvin = Finding { si: balance.kelvin, plus_minus_si: square.sqrt() / (1.0 - slope).abs() };
    Ok(HotWinding::At(kelvin))
}
