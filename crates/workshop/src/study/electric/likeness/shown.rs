//! How faults of the charging show on a meter.

use super::super::{
    NotTold,
    alternator::{Alternator, Moved, On},
};
use crate::machine::charging::{Keeps, Kind};
use physics::charge::{Bus, Circuit, NotSettled, Regulated, Regulator, Valve, steady};

/// Meters that answer to the mean of the size show π/(2√2) of it, so that a sine reads right \[1\], exact.
const METER: f64 = std::f64::consts::PI / (2.0 * std::f64::consts::SQRT_2);

/// A fault, with its place (input or phase, from 0) or size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// None.
    Sound,
    /// A phase that is broken.
    DeadPhase(usize),
    /// A diode that no longer conducts: input, and whether it is the one to plus.
    OpenDiode(usize, bool),
    /// A diode that conducts both ways.
    ShortedDiode(usize, bool),
    /// Magnets with this share of their flux left \[1\].
    WeakMagnets(f64),
    /// A phase with this share of its turns shorted \[1\].
    TurnsShorted(usize, f64),
    /// A phase with a joint of this resistance in it [Ω].
    BadJoint(usize, f64),
    /// A shunt regulator that joins the windings for good.
    AlwaysJoined,
    /// A regulator that does not regulate.
    NeverHeld,
}

/// Kinds of reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Amps into the battery.
    Amps,
    /// Volts at it.
    Volts,
    /// Alternating volts at it.
    Ripple,
    /// Alternating volts between leads 1–2, 2–3, 3–1, plugged in.
    Leads(usize),
    /// The same with the rectifier unplugged.
    Unplugged(usize),
}

/// What meters would show; what cannot be told is not a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Amps into the battery [A].
    pub amps: f64,
    /// Amps out of the rectifier [A], which no meter of the table reads.
    pub rectified: f64,
    /// Volts at it [V].
    pub volts: f64,
    /// Alternating volts at it [V].
    pub ripple: f64,
    /// Alternating volts between leads, plugged in [V].
    pub leads: [f64; 3],
    /// The same unplugged [V].
    pub unplugged: [f64; 3],
}

impl Shown {
    /// One of them.
    pub fn of(&self, what: What) -> f64 {
        match what {
            What::Amps => self.amps,
            What::Volts => self.volts,
            What::Ripple => self.ripple,
            What::Leads(k) => self.leads[k],
            What::Unplugged(k) => self.unplugged[k],
        }
    }
}

/// A fault and how it shows at one speed with everything on.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// The fault.
    pub fault: Fault,
    /// Crank speed [rad/s].
    pub crank_rad_s: f64,
    /// What meters show.
    pub shown: Shown,
}

impl Fault {
    /// The same in the first phase or input.
    pub(super) fn in_first_phase(self) -> Self {
        match self {
            Fault::DeadPhase(_) => Fault::DeadPhase(0),
            Fault::OpenDiode(_, upper) => Fault::OpenDiode(0, upper),
            Fault::ShortedDiode(_, upper) => Fault::ShortedDiode(0, upper),
            Fault::TurnsShorted(_, share) => Fault::TurnsShorted(0, share),
            Fault::BadJoint(_, ohm) => Fault::BadJoint(0, ohm),
            Fault::Sound | Fault::WeakMagnets(_) | Fault::AlwaysJoined | Fault::NeverHeld => self,
        }
    }

    /// A circuit with this fault.
    pub fn put_into(self, c: Circuit) -> Circuit {
        with(c, self)
    }
}

fn with(mut c: Circuit, fault: Fault) -> Circuit {
    match fault {
        Fault::Sound | Fault::AlwaysJoined | Fault::NeverHeld => {}
        Fault::DeadPhase(k) => c.windings[k].open = true,
        Fault::OpenDiode(k, true) => c.terminals[k].upper = Valve::Open,
        Fault::OpenDiode(k, false) => c.terminals[k].lower = Valve::Open,
        Fault::ShortedDiode(k, true) => c.terminals[k].upper = Valve::Shorted,
        Fault::ShortedDiode(k, false) => c.terminals[k].lower = Valve::Shorted,
        Fault::WeakMagnets(left) => c.windings.iter_mut().for_each(|w| w.linkage_vs *= left),
        Fault::TurnsShorted(k, share) => {
            // What is left of the turns; the current in the shorted ones is left out.
            let left = 1.0 - share;
            let w = &mut c.windings[k];
            (w.linkage_vs, w.resistance_ohm, w.inductance_h) =
                (w.linkage_vs * left, w.resistance_ohm * left, w.inductance_h * left * left);
        }
        Fault::BadJoint(k, ohm) => c.windings[k].resistance_ohm += ohm,
    }
    c
}

/// What meters show with a fault at a crank speed [rad/s].
///
/// # Errors
/// [`NotSettled`].
pub fn shown(a: &Alternator, x: &Moved, fault: Fault, crank_rad_s: f64, on: On) -> Result<Shown, NotSettled> {
    let omega = a.electrical(crank_rad_s);
    let circuit = with(a.circuit(x), fault);
    let unplugged = unplugged(a, x, fault, crank_rad_s)?.unplugged;
    let taken = a.taken(x, on);
    let regulator = match (fault, a.regulator(x)) {
        (Fault::AlwaysJoined, Regulator::Shunt { switch_v, .. }) => Regulator::Shunt { set_v: 0.0, switch_v },
        (Fault::NeverHeld, _) => Regulator::None,
        (_, sound) => sound,
    };
    let r = a.works(x, &circuit, regulator, on, omega)?;
    Ok(Shown {
        amps: r.battery_a,
        rectified: r.rectified_a,
        volts: r.plus_v,
        ripple: ripple(&r, &taken),
        leads: leads(&r, regulator, unplugged),
        unplugged,
    })
}

/// The same with the rectifier unplugged, when nothing else shows.
pub(super) fn unplugged(a: &Alternator, x: &Moved, fault: Fault, crank_rad_s: f64) -> Result<Shown, NotSettled> {
    let mut bare = with(a.circuit(x), fault);
    bare.terminals.iter_mut().for_each(|t| (t.upper, t.lower) = (Valve::Open, Valve::Open));
    let found = steady(&bare, Bus { emf_v: 0.0, resistance_ohm: 0.0 }, a.electrical(crank_rad_s))?;
    // A lead that hangs on nothing shows nothing.
    let unplugged = found.totals.between_rms_v.map(|v| if v.is_nan() { 0.0 } else { v });
    let none = f64::NAN;
    Ok(Shown { amps: none, rectified: none, volts: none, ripple: none, leads: [none; 3], unplugged })
}

/// Alternating volts at the battery; while a regulator switches nobody can say.
fn ripple(r: &Regulated, taken: &physics::charge::Taken) -> f64 {
    let t = &r.open.totals;
    if r.through < 1.0 {
        f64::NAN
    } else {
        (t.rms_a * t.rms_a - t.mean_a * t.mean_a).max(0.0).sqrt() * taken.bus().resistance_ohm
    }
}

fn leads(r: &Regulated, regulator: Regulator, unplugged: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|k| {
        let held = match (regulator, &r.joined) {
            (_, Some(joined)) => joined.between_mean_v[k] * METER,
            // Windings left open.
            (Regulator::Series { .. }, None) => unplugged[k],
            _ => 0.0,
        };
        let open = r.open.totals.between_mean_v[k] * METER;
        if r.through < 1.0 { r.through * open + (1.0 - r.through) * held } else { open }
    })
}

/// Faults that this alternator can have: for each kind all places and sizes, the one that stands for it first.
pub(super) fn kinds(a: &Alternator) -> Vec<Vec<Fault>> {
    let (phases, inputs) = match a.charging.kind {
        Kind::HalfWave => (1, 1),
        Kind::FullWave => (1, 2),
        Kind::Star | Kind::Delta => (3, 3),
    };
    let phase = 0..phases;
    let diodes: Vec<(usize, bool)> =
        (0..inputs).flat_map(|k| [(k, true), (k, false)]).filter(|d| a.charging.kind != Kind::HalfWave || d.1).collect();
    let sized = |sizes: &[f64], of: fn(usize, f64) -> Fault| {
        phase.clone().flat_map(|k| sizes.iter().map(move |s| (k, *s))).map(|(k, s)| of(k, s)).collect::<Vec<_>>()
    };
    // Sizes are spread over what is met (own choice); the first stands for its kind in the table of signatures.
    let mut all = vec![
        vec![Fault::Sound],
        phase.clone().map(Fault::DeadPhase).collect(),
        diodes.iter().map(|&(k, up)| Fault::OpenDiode(k, up)).collect(),
        diodes.iter().map(|&(k, up)| Fault::ShortedDiode(k, up)).collect(),
        [0.75, 0.9, 0.6, 0.45].map(Fault::WeakMagnets).to_vec(),
        sized(&[0.2, 0.07, 0.4, 0.7], Fault::TurnsShorted),
        sized(&[0.5, 0.15, 1.5], Fault::BadJoint),
    ];
    match a.charging.keeps {
        Keeps::Nothing => {}
        Keeps::Shunt(_) => all.extend([vec![Fault::AlwaysJoined], vec![Fault::NeverHeld]]),
        Keeps::Series(_) => all.push(vec![Fault::NeverHeld]),
    }
    all
}

/// How each kind of fault would show at a crank speed [rad/s], everything on.
///
/// # Errors
/// [`NotTold`].
pub fn signatures(a: &Alternator, crank_rad_s: f64) -> Result<Vec<Signature>, NotTold> {
    let x = a.middle();
    let of = |fault: Fault| Ok(Signature { fault, crank_rad_s, shown: shown(a, &x, fault, crank_rad_s, On::All)? });
    kinds(a).iter().map(|places| of(places[0])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::{EXAMPLES, read};

    /// What is taken for granted of readings at the battery.
    #[test]
    fn at_the_battery_a_fault_shows_alike_in_any_phase() {
        /// Amps and volts come from a search for the battery's rise: far below any meter.
        const SEARCHED: f64 = 1e-4;
        let (corran, _) = read(EXAMPLES[0].1).unwrap();
        let a = Alternator::of(&corran).unwrap();
        let at = |fault: Fault| shown(&a, &a.middle(), fault, 366.5, On::All).unwrap();
        for fault in kinds(&a).concat() {
            let (there, first) = (at(fault), at(fault.in_first_phase()));
            for (p, q) in [(there.amps, first.amps), (there.volts, first.volts), (there.ripple, first.ripple)] {
                assert!((p - q).abs() < SEARCHED * (1.0 + q.abs()) || p.is_nan() && q.is_nan(), "{fault:?}: {p} {q}");
            }
        }
    }
}
