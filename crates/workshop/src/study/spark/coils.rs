//! Which coil belongs where: what the own one does, and what the usual one of the other kind would do in its place.

use super::{
    Condition, Finding, Model,
    margin::{Margins, Verdict, verdict},
};
use crate::machine::Machine;
use physics::spark::{coil::Coil, open_pulse, spark};

/// A usual coil for capacitor discharge [Ω, H, 1, 1, Ω, F] (common practice, no source: primary 0.1 to 1 Ω, secondary 3 to 9 kΩ).
const FOR_CAPACITOR: [f64; 6] = [0.5, 0.5e-3, 85.0, 0.95, 5e3, 50e-12];
/// A usual coil for 12 V and for 6 V [Ω, H, 1, 1, Ω, F] (common practice, no source: primary 2.5 to 5 Ω and 1 to 2 Ω, secondary 6 to 20 kΩ).
const FOR_12_V: [f64; 6] = [3.5, 8e-3, 75.0, 0.95, 9e3, 50e-12];
const FOR_6_V: [f64; 6] = [1.5, 3.5e-3, 100.0, 0.95, 9e3, 50e-12];
/// Battery volts below which a system counts as one of 6 V [V] (own choice).
const SIX_VOLTS: f64 = 9.0;
/// A coil's heat from its current is looked at here [rad/s] (own choice): at idle, where points are closed longest.
const IDLE_RAD_S: f64 = 1000.0 * std::f64::consts::TAU / 60.0;
/// A pulse whose rise is slower than this is drained by a fouled plug [s] (common practice, no source: capacitor discharge 2 to 20 µs, coils 50 to 200 µs).
const SLOW_RISE_S: f64 = 40e-6;

/// Whose coil it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// The machine's own.
    Own,
    /// The usual one of the other kind: for capacitor discharge in place of a battery coil, or the reverse.
    OtherKind,
}

/// What is wrong with a coil in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// More current than points or module bear [A].
    TooMuchCurrent {
        /// With the contacts closed for long.
        current_a: f64,
        /// What they bear.
        bears_a: f64,
    },
    /// It gets hotter than its insulation bears [K].
    TooHot {
        /// Its temperature.
        reaches_k: f64,
        /// What it bears.
        bears_k: f64,
    },
    /// The clean plug is not fired somewhere \[1\].
    Starves {
        /// Margin there.
        margin: f64,
        /// Crank speed [rad/s].
        at_rad_s: f64,
    },
    /// Its pulse rises so slowly that a fouled plug drains it \[1\].
    Drained {
        /// Rise [s].
        rise_s: f64,
        /// Margin with the fouled plug at the kick.
        margin: f64,
    },
}

/// A coil in this ignition.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Whose.
    pub whose: Whose,
    /// It.
    pub coil: Coil,
    /// Current with the contacts closed for long [A]; `None` for capacitor discharge.
    pub standing_a: Option<f64>,
    /// Heat in it, at the idle on a battery and at the top speed for capacitor discharge [W].
    pub heat_w: f64,
    /// The same with the contacts left closed and the key on [W].
    pub standing_w: Option<f64>,
    /// Temperature that it reaches in use [K].
    pub reaches_k: Finding,
    /// Greatest voltage at the kick [V].
    pub kick_v: f64,
    /// Its rise [s].
    pub rise_s: f64,
    /// Margin at the kick \[1\], with the ± of the machine as found.
    pub kick: Finding,
    /// The same with a fouled plug.
    pub kick_fouled: Finding,
    /// Margin at the top speed.
    pub top: Finding,
    /// What is wrong, worst first.
    pub faults: Vec<Fault>,
}

fn coil(of: [f64; 6]) -> Coil {
    let [primary_ohm, primary_h, turns, coupling, secondary_ohm, winding_f] = of;
    Coil { primary_ohm, primary_h, turns, coupling, secondary_ohm, winding_f }
}

/// The own coil, and the usual one of the other kind.
pub fn study(machine: &Machine, model: &Model, margins: &Margins) -> [Judged; 2] {
    let other = match (model.kind.discharges(), model.volts[0]) {
        (false, _) => FOR_CAPACITOR,
        (true, v) if v > 0.0 && v < SIX_VOLTS => FOR_6_V,
        (true, _) => FOR_12_V,
    };
    let other = Model { coil: coil(other), ..model.clone() };
    [judge(machine, model, margins, Whose::Own), judge(machine, &other, margins, Whose::OtherKind)]
}

fn judge(machine: &Machine, model: &Model, margins: &Margins, whose: Whose) -> Judged {
    let i = &machine.ignition;
    let (bears_k, per_watt) =
        i.coil.as_ref().map_or((f64::INFINITY, Finding::default()), |c| (c.warmest.si, Finding::of(&c.rise_per_watt)));
    let [first, .., last] = &margins.points[..] else { return nothing(model, whose) };
    let peak = |m: &Model, at: &super::margin::At| {
        let supply = m.supply(at.kicked);
        open_pulse(&m.circuit(m.filled(at.speed_rad_s, supply), supply))
    };
    let margin = |v: f64, at: &super::margin::At| {
        let si = v / at.needed.volts.si;
        Finding { si, plus_minus_si: si * at.margin.plus_minus_si / at.margin.si.max(f64::MIN_POSITIVE) }
    };
    let fouled = model.in_condition(Condition { fouled: true, hot: false });
    let (kick, top) = (peak(model, first), peak(model, last));
    let supply = model.supply(false);
    let (standing_a, standing_w, heat_w) = if model.kind.discharges() {
        let at = last;
        let s = spark(&model.circuit(model.filled(at.speed_rad_s, supply), supply), at.needed.volts.si, model.burning_v.si);
        (None, None, (s.books.primary_j + s.books.secondary_j) / coil_interval_s(machine, model, at.speed_rad_s))
    } else {
        let primary = model.primary(supply);
        let most = primary.volts / primary.ohm;
        let standing = model.limit_a.map_or(most, |limit| most.min(limit));
        let (dwell, every) = (model.dwell_s(IDLE_RAD_S), model.interval_s(IDLE_RAD_S));
        let heat = model.coil.primary_ohm * primary.heat_a2s(dwell) / every;
        (Some(standing), Some(standing * standing * model.coil.primary_ohm), heat)
    };
    let reaches_k = Finding {
        si: machine.engine.ambient_temperature.si + per_watt.si * heat_w,
        plus_minus_si: (per_watt.plus_minus_si * heat_w).hypot(machine.engine.ambient_temperature.plus_minus_si),
    };
    let (kick_margin, kick_fouled) = (margin(kick.peak_v, first), margin(peak(&fouled, first).peak_v, first));
    let top_margin = margin(top.peak_v, last);
    let mut faults = Vec::new();
    if let (Some(current_a), Some(b)) = (standing_a, &i.breaker)
        && current_a > b.greatest.si
    {
        faults.push(Fault::TooMuchCurrent { current_a, bears_a: b.greatest.si });
    }
    if reaches_k.si > bears_k {
        faults.push(Fault::TooHot { reaches_k: reaches_k.si, bears_k });
    }
    for (found, at) in [(kick_margin, first), (top_margin, last)] {
        if verdict(found) != Verdict::Fires {
            faults.push(Fault::Starves { margin: found.si, at_rad_s: at.speed_rad_s });
        }
    }
    if kick.rise_s > SLOW_RISE_S && verdict(kick_fouled) != Verdict::Fires && verdict(kick_margin) == Verdict::Fires {
        faults.push(Fault::Drained { rise_s: kick.rise_s, margin: kick_fouled.si });
    }
    Judged {
        whose,
        coil: model.coil,
        standing_a,
        heat_w,
        standing_w,
        reaches_k,
        kick_v: kick.peak_v,
        rise_s: kick.rise_s,
        kick: kick_margin,
        kick_fouled,
        top: top_margin,
        faults,
    }
}

/// Time between two sparks of one coil [s]: a store that serves several coils gives each its turn.
fn coil_interval_s(machine: &Machine, model: &Model, speed_rad_s: f64) -> f64 {
    let shared = machine.ignition.spark.is_some_and(|s| s.serves_all);
    let coils = if shared { machine.engine.cylinders.len().max(1) as f64 } else { 1.0 };
    coils * model.interval_s(speed_rad_s)
}

fn nothing(model: &Model, whose: Whose) -> Judged {
    let none = Finding::default();
    Judged {
        whose,
        coil: model.coil,
        standing_a: None,
        heat_w: 0.0,
        standing_w: None,
        reaches_k: none,
        kick_v: 0.0,
        rise_s: 0.0,
        kick: none,
        kick_fouled: none,
        top: none,
        faults: Vec::new(),
    }
}
