//! Available over needed voltage, over all speeds and in the ways in which an ignition gets worse.

use super::{
    Condition, Finding, Model,
    knob::{Knob, doubt},
    needed::{Needed, Strokes},
};
use crate::{machine::Machine, study::curve::CurveStudy};
use physics::spark::{Pulse, open_pulse};
use rayon::prelude::*;

/// Speeds looked at, the kick first, each in the same ratio to the one before up to the top [1] (own choice).
pub const SPEEDS: usize = 16;
/// A speed within this of the kicking speed counts as a kick [1] (own choice).
const NEAR_KICK: f64 = 1.25;

/// A way in which it gets worse.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Case {
    /// The plug is fouled.
    Fouled,
    /// The gap is worn.
    Worn,
    /// Coil and source coil are hot.
    Hot,
    /// The battery is weak.
    WeakBattery,
}

/// One speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// It is the kick.
    pub kicked: bool,
    /// Volts of the store [V], or current in the primary [A], when the spark comes.
    pub filled: Finding,
    /// Voltage available at the plug [V].
    pub available: Finding,
    /// Its rise from a tenth to nine tenths [s].
    pub rise_s: f64,
    /// What is needed.
    pub needed: Needed,
    /// Available over needed \[1\].
    pub margin: Finding,
}

/// One way in which it gets worse, over the same speeds.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseCurve {
    /// Which.
    pub case: Case,
    /// Available [V].
    pub available_v: Vec<f64>,
    /// Needed [V].
    pub needed_v: Vec<f64>,
    /// Margin at each \[1\], with the ± as found.
    pub margin: Vec<Finding>,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Margins {
    /// As found, the kick first.
    pub points: Vec<At>,
    /// Worse.
    pub cases: Vec<CaseCurve>,
}

/// Whether a margin lets it fire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// With all of its ±.
    Fires,
    /// One lies within the ±.
    Doubtful,
    /// Not even with all of its ±.
    Misses,
}

/// What a margin means.
pub fn verdict(margin: Finding) -> Verdict {
    if margin.si - margin.plus_minus_si > 1.0 {
        Verdict::Fires
    } else if margin.si + margin.plus_minus_si < 1.0 {
        Verdict::Misses
    } else {
        Verdict::Doubtful
    }
}

/// The least of some margins, and its place.
pub fn least<'a>(margins: impl IntoIterator<Item = &'a Finding>) -> Option<(usize, Finding)> {
    margins.into_iter().copied().enumerate().min_by(|a, b| a.1.si.total_cmp(&b.1.si))
}

impl Margins {
    /// Place and size of the least margin as found.
    pub fn least(&self) -> Option<(usize, Finding)> {
        least(self.points.iter().map(|p| &p.margin))
    }
}

/// Whether a speed [rad/s] is the kick's.
pub fn is_kick(machine: &Machine, speed_rad_s: f64) -> bool {
    speed_rad_s <= NEAR_KICK * machine.engine.kicking_speed.si
}

fn ratio(a: Finding, b: Finding) -> Finding {
    let si = a.si / b.si;
    Finding { si, plus_minus_si: si * (a.plus_minus_si / a.si.max(f64::MIN_POSITIVE)).hypot(b.plus_minus_si / b.si) }
}

/// Margins of a machine.
pub fn study(machine: &Machine, curve: Option<&CurveStudy>, model: &Model, knobs: &[Knob]) -> Margins {
    lay(&needed(&strokes(machine), machine, curve), &given(machine, model, knobs))
}

/// The speeds that are looked at [rad/s].
fn speeds(machine: &Machine) -> Vec<f64> {
    let (kick, top) = (machine.engine.kicking_speed.si, machine.engine.top_speed.si);
    let step = (top / kick).powf(1.0 / (SPEEDS - 1) as f64);
    (0..SPEEDS).map(|k| kick * step.powi(k as i32)).collect()
}

/// Strokes of the engine at those speeds.
pub fn strokes(machine: &Machine) -> Strokes<'_> {
    Strokes::of(machine, speeds(machine))
}

/// What the gap asks for at each speed; nothing without a plug. It hangs on engine, plug and curve alone.
pub fn needed(strokes: &Strokes<'_>, machine: &Machine, curve: Option<&CurveStudy>) -> Vec<Needed> {
    strokes.needed(curve, machine.ignition.plug.as_ref(), |speed| is_kick(machine, speed))
}

/// What the ignition gives at each speed, as found and in each way in which it gets worse. No curve counts in it.
#[derive(Clone, Debug)]
pub struct Gives {
    rows: Vec<(Available, Vec<f64>)>,
    ways: Vec<Case>,
    own: Vec<f64>,
}

/// One speed of it, as found.
#[derive(Clone, Copy, Debug)]
struct Available {
    speed_rad_s: f64,
    kicked: bool,
    filled: Finding,
    volts: Finding,
    rise_s: f64,
}

/// See [`Gives`].
pub fn given(machine: &Machine, model: &Model, knobs: &[Knob]) -> Gives {
    let kick = machine.engine.kicking_speed.si;
    let speeds = speeds(machine);
    let relative = pulse_share(model, knobs, speeds[SPEEDS / 2]);
    let mut ways = vec![Case::Fouled, Case::Worn, Case::Hot];
    ways.extend(model.weak.then_some(Case::WeakBattery));
    let rows: Vec<(Available, Vec<f64>)> = speeds
        .par_iter()
        .map(|&speed_rad_s| {
            let kicked = is_kick(machine, speed_rad_s);
            let by_speed = if speed_rad_s == kick { machine.engine.kicking_speed.plus_minus_si } else { 0.0 };
            let (filled, volts, pulse) = available(model, knobs, (speed_rad_s, by_speed), kicked, relative);
            let at = Available { speed_rad_s, kicked, filled, volts, rise_s: pulse.rise_s };
            (at, ways.iter().map(|case| worse(model, &at, *case)).collect())
        })
        .collect();
    let own = ways.iter().map(|case| rows.first().map_or(0.0, |(kick, _)| own_share(model, kick, *case))).collect();
    Gives { rows, ways, own }
}

/// One laid over the other, both of one machine.
pub fn lay(needed: &[Needed], gives: &Gives) -> Margins {
    let point = |(needed, (at, _)): (&Needed, &(Available, Vec<f64>))| At {
        speed_rad_s: at.speed_rad_s,
        kicked: at.kicked,
        filled: at.filled,
        available: at.volts,
        rise_s: at.rise_s,
        needed: *needed,
        margin: ratio(at.volts, needed.volts),
    };
    let points: Vec<At> = needed.iter().zip(&gives.rows).map(point).collect();
    if points.is_empty() {
        return Margins { points, cases: Vec::new() };
    }
    let case = |(k, case): (usize, &Case)| {
        let available_v = gives.rows.iter().map(|(_, worse)| worse[k]).collect();
        case_curve(*case, gives.own[k], available_v, &points)
    };
    let cases = gives.ways.iter().enumerate().map(case).collect();
    Margins { points, cases }
}

/// Share by which the ± of what makes a case worse moves the voltage that is available [1], at the kick: there the case counts.
fn own_share(model: &Model, at: &Available, case: Case) -> f64 {
    let of = |sign: f64| {
        let by = model.worse_by;
        let mut m = model.clone();
        match case {
            Case::Worn => return at.volts.si,
            Case::Fouled => m.fouled_s = (m.fouled_s + sign * by.fouled_s).max(0.0),
            Case::Hot => m.hot += sign * by.hot,
            Case::WeakBattery => m.volts[2] = (m.volts[2] + sign * by.weak_v).max(0.0),
        }
        worse(&m, at, case)
    };
    let as_given = of(0.0);
    if as_given > 0.0 { 0.5 * (of(1.0) - of(-1.0)).abs() / as_given } else { 0.0 }
}

fn case_curve(case: Case, own_share: f64, available_v: Vec<f64>, points: &[At]) -> CaseCurve {
    let needed = |at: &At| if case == Case::Worn { at.needed.worn } else { at.needed.volts };
    let margin = points.iter().zip(&available_v).map(|(at, &v)| {
        let share = (at.available.plus_minus_si / at.available.si.max(f64::MIN_POSITIVE)).hypot(own_share);
        ratio(Finding { si: v, plus_minus_si: share * v }, needed(at))
    });
    CaseCurve { case, margin: margin.collect(), needed_v: points.iter().map(|at| needed(at).si).collect(), available_v }
}

fn worse(model: &Model, at: &Available, case: Case) -> f64 {
    let supply = model.supply(at.kicked);
    match case {
        Case::Worn => at.volts.si,
        // What fills the store is as before.
        Case::Fouled => {
            let fouled = model.in_condition(Condition { fouled: true, hot: false });
            open_pulse(&fouled.circuit(at.filled.si, supply)).peak_v
        }
        Case::Hot => model.in_condition(Condition { fouled: false, hot: true }).pulse(at.speed_rad_s, supply).peak_v,
        Case::WeakBattery => model.pulse(at.speed_rad_s, model.weak_supply(at.kicked)).peak_v,
    }
}

/// Share of the available voltage by which the knobs of the pulse alone move it [1]: the pulse of a store goes with its volts, so one speed tells all.
fn pulse_share(model: &Model, knobs: &[Knob], speed_rad_s: f64) -> f64 {
    let supply = model.supply(false);
    let filled = model.filled(speed_rad_s, supply);
    let peak = doubt(model, knobs, |k| k.pulses && !k.fills, |m| open_pulse(&m.circuit(filled, supply)).peak_v);
    if peak.si > 0.0 { peak.plus_minus_si / peak.si } else { 0.0 }
}

/// What the store holds, what that gives at the plug, and its pulse. `speed` is with its ± [rad/s].
fn available(
    model: &Model,
    knobs: &[Knob],
    (speed_rad_s, by_speed): (f64, f64),
    kicked: bool,
    pulse_share: f64,
) -> (Finding, Finding, Pulse) {
    let supply = model.supply(kicked);
    let filled = |m: &Model, speed: f64| m.filled(speed, m.supply(kicked));
    // Knobs of the filling alone move the pulse as they move the store.
    let alone = doubt(model, knobs, |k| k.fills && !k.pulses, |m| filled(m, speed_rad_s));
    let with_pulse = doubt(model, knobs, |k| k.fills && k.pulses, |m| filled(m, speed_rad_s));
    let off = 0.5 * (filled(model, speed_rad_s + by_speed) - filled(model, (speed_rad_s - by_speed).max(1.0)));
    let full = Finding { si: alone.si, plus_minus_si: alone.plus_minus_si.hypot(with_pulse.plus_minus_si).hypot(off) };
    let pulse = open_pulse(&model.circuit(full.si, supply));
    let per_filled = if full.si > 0.0 { pulse.peak_v / full.si } else { 0.0 };
    let whole = |m: &Model| open_pulse(&m.circuit(filled(m, speed_rad_s), m.supply(kicked))).peak_v;
    let both = doubt(model, knobs, |k| k.fills && k.pulses, whole).plus_minus_si;
    let plus_minus_si = (per_filled * alone.plus_minus_si.hypot(off)).hypot(both).hypot(pulse_share * pulse.peak_v);
    (full, Finding { si: pulse.peak_v, plus_minus_si }, pulse)
}
