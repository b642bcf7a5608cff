//! A regulator between alternator and battery.
//!
//! A shunt regulator joins the windings for whole periods, a series regulator leaves them open for whole periods, as often as holds the volts: it is
//! taken as a share of time, the rest of which the alternator works through. How it switches within a period is its own affair and left out.
//! A shunt that switches many times in a period charges with what the inductance gives back too: the mean current and volts stay, but the windings are joined for longer and
//! carry more; [`fast`] has that other end. ngspice bears out both, each for its own rhythm.
//! A series regulator has no such other end: its thyristors let go only where their current comes to nought by itself, once in a half-wave at most, so the windings are open for
//! whole half-waves however it is steered. A transistor that opened a winding under current would have to bear what the inductance answers with; machines of this kind
//! are not built so (common practice, no source).

use super::{
    circuit::{Bus, Circuit},
    period::Totals,
    steady::{NotSettled, Settled, steady},
};
use crate::root::bracketed;

/// What keeps the volts down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Regulator {
    /// Nothing.
    None,
    /// Joins the windings.
    Shunt {
        /// Volts that it holds [V].
        set_v: f64,
        /// Volts over its switch while it conducts [V].
        switch_v: f64,
    },
    /// Opens them.
    Series {
        /// Volts that it holds [V].
        set_v: f64,
    },
}

/// Battery and loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// EMF of the battery [V].
    pub battery_v: f64,
    /// Its resistance [Ω], above nought.
    pub battery_ohm: f64,
    /// Loads whose current goes with the volts (lamps, coils) [S].
    pub conductance_s: f64,
    /// Loads whose current does not [A].
    pub constant_a: f64,
}

impl Taken {
    /// As one EMF behind one resistance, by Thévenin.
    pub fn bus(&self) -> Bus {
        let share = 1.0 / (1.0 + self.battery_ohm * self.conductance_s);
        Bus { emf_v: (self.battery_v - self.battery_ohm * self.constant_a) * share, resistance_ohm: self.battery_ohm * share }
    }

    /// Current of the loads at these volts [A].
    pub fn loads(&self, volts: f64) -> f64 {
        self.conductance_s * volts + self.constant_a
    }
}

/// How it works at one speed; means over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Regulated {
    /// Share of the time in which the alternator works through \[1\].
    pub through: f64,
    /// Volts of plus [V].
    pub plus_v: f64,
    /// Current out of the rectifier [A].
    pub rectified_a: f64,
    /// Current into the battery [A]; negative: out of it.
    pub battery_a: f64,
    /// Current of the loads [A].
    pub loads_a: f64,
    /// Root mean square of each winding's current [A].
    pub winding_rms_a: [f64; 3],
    /// Heat of each winding [W].
    pub copper_w: [f64; 3],
    /// Heat of rectifier and regulator [W].
    pub valves_w: f64,
    /// What the magnets give [W].
    pub emf_w: f64,
    /// While it works through.
    pub open: Settled,
    /// While a shunt regulator joins the windings, where it does.
    pub joined: Option<Totals>,
}

/// Works out what a regulator makes of it, at an electrical angular speed [rad/s].
///
/// The share of time s through which the alternator works holds the mean volts: s I = (set − E)/R with E and R of the [`bus`](Taken::bus), I the mean current
/// while it works through. Heats are shared by the same s. Exact where the regulator switches slowly beside a period and quickly beside the battery's own change.
///
/// # Errors
/// [`NotSettled`].
pub fn regulate(circuit: &Circuit, taken: &Taken, regulator: Regulator, omega_rad_s: f64) -> Result<Regulated, NotSettled> {
    let bus = taken.bus();
    let open = steady(circuit, bus, omega_rad_s)?;
    let t = &open.totals;
    let free_v = bus.emf_v + bus.resistance_ohm * t.mean_a;
    let set = match regulator {
        Regulator::None => None,
        Regulator::Shunt { set_v, .. } | Regulator::Series { set_v } => Some(set_v).filter(|set| free_v > *set && t.mean_a > 0.0),
    };
    let through = set.map_or(1.0, |set| ((set - bus.emf_v) / (bus.resistance_ohm * t.mean_a)).clamp(0.0, 1.0));
    let rectified_a = through * t.mean_a;
    let plus_v = bus.emf_v + bus.resistance_ohm * rectified_a;
    let shorted = match regulator {
        Regulator::Shunt { switch_v, .. } if through < 1.0 => {
            let (joined, into) = circuit.shunted(switch_v);
            Some(steady(&joined, into, omega_rad_s)?.totals)
        }
        _ => None,
    };
    let rest = 1.0 - through;
    let mix = |of: f64, while_held: f64| through * of + rest * while_held;
    let held = |k: usize| shorted.map_or((0.0, 0.0), |s| (s.winding_rms_a[k], s.copper_w[k]));
    let loads_a = taken.loads(plus_v);
    Ok(Regulated {
        through,
        plus_v,
        rectified_a,
        battery_a: rectified_a - loads_a,
        loads_a,
        winding_rms_a: [0, 1, 2].map(|k| mix(t.winding_rms_a[k].powi(2), held(k).0.powi(2)).sqrt()),
        copper_w: [0, 1, 2].map(|k| mix(t.copper_w[k], held(k).1)),
        // Joined, all that the magnets give and the copper does not take is heat of the switches.
        valves_w: mix(t.valves_w, shorted.map_or(0.0, |s| s.emf_w - s.copper_w.iter().sum::<f64>())),
        emf_w: mix(t.emf_w, shorted.map_or(0.0, |s| s.emf_w)),
        open,
        joined: shorted,
    })
}

/// A shunt regulator that switches many times in a period; means over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fast {
    /// Share of the time in which the alternator works through \[1\].
    pub through: f64,
    /// Root mean square of each winding's current [A].
    pub winding_rms_a: [f64; 3],
    /// Heat of each winding [W].
    pub copper_w: [f64; 3],
}

/// How near the share of time is found [1] (own choice).
const NEAR: f64 = 1e-5;

/// What the windings carry when a shunt switches so often that their currents do not follow it; `None` where it has nothing to hold.
///
/// They meet the mean volts `s (E + R I) + (1 − s) V₀` and give `s I` of their mean current I to the bus: s such that its mean volts `E + R s I` are those that are held; V₀ are
/// those of the closed switch. The ripple of the switching itself is left out.
///
/// Validity: some switchings in a period and more (from three on ngspice lies within 1 % of it); sound rectifier.
///
/// # Errors
/// [`NotSettled`].
pub fn fast(circuit: &Circuit, taken: &Taken, set_v: f64, switch_v: f64, omega_rad_s: f64) -> Result<Option<Fast>, NotSettled> {
    let bus = taken.bus();
    let asked_a = (set_v - bus.emf_v) / bus.resistance_ohm;
    let at = |through: f64| {
        let emf_v = through * bus.emf_v + (1.0 - through) * (switch_v - circuit.diode_v);
        steady(circuit, Bus { emf_v, resistance_ohm: through * bus.resistance_ohm }, omega_rad_s).map(|s| s.totals)
    };
    if at(1.0)?.mean_a <= asked_a {
        return Ok(None);
    }
    let failed = std::cell::Cell::new(NotSettled::Wanders);
    let surplus = |through: f64| match at(through) {
        Ok(t) => through * t.mean_a - asked_a,
        Err(why) => {
            failed.set(why);
            f64::NAN
        }
    };
    let through = if asked_a > 0.0 { bracketed(surplus, 0.0, 1.0, NEAR).map_err(|_| failed.get())? } else { 0.0 };
    let found = at(through)?;
    Ok(Some(Fast { through, winding_rms_a: found.winding_rms_a, copper_w: found.copper_w }))
}
