//! The alternator of a file as a circuit, with everything that is in doubt as numbers that can be moved.

use super::NotTold;
use crate::{
    machine::{
        Machine,
        charging::{Battery, Charging, Choke, Keeps, Kind},
    },
    study::doubt::{Input, input},
};
use physics::{
    battery,
    charge::{Circuit, NotSettled, Regulated, Regulator, Taken, regulate},
    copper,
};

/// Volts over the switch of a shunt regulator while it conducts [V] (common practice, no source: one thyristor).
const SHUNT_SWITCH_V: f64 = 1.0;

/// Volts over the nominal ones that a battery takes its full current at, where no regulator says \[1\] (common practice, no source: 14.4 V).
const UNREGULATED: f64 = 1.2;
/// Charge up to which it takes its full current \[1\] (common practice, no source).
const BULK: f64 = 0.8;
/// What a full battery still takes in an hour, as a share of its capacity \[1\] (common practice, no source: it gasses).
const FULL_TAKES: f64 = 0.01;
/// Capacity lost for each kelvin below 25 °C \[1/K\] (common practice, no source).
const COLD_PER_K: f64 = 0.008;
/// How near the volts of a battery that is charged are found [V] (own choice).
const NEAR_V: f64 = 1e-3;

/// What is in doubt, in the order in which [`Moved`] holds it: no-load volts, their speed, resistance, its temperature, inductance or joined amps, their speed,
/// diode volts, winding temperature, regulator volts, battery charge, its resistance, all loads as a share, what the battery takes in an hour.
pub const DOUBTS: usize = 13;

/// The numbers, each perhaps moved by its ±.
pub type Moved = [f64; DOUBTS];

/// The alternator with battery and loads.
#[derive(Clone, Copy, Debug)]
pub struct Alternator<'m> {
    /// As the file has it.
    pub charging: &'m Charging,
    /// Its battery.
    pub battery: &'m Battery,
    machine: &'m Machine,
}

/// Which loads are on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// All of them, each for its share of the time.
    All,
    /// Those that must stay on, and those that go off later than this.
    From(u8),
    /// Only those that must stay on.
    Needed,
}

impl<'m> Alternator<'m> {
    /// Of a machine.
    ///
    /// # Errors
    /// [`NotTold`] where something is missing.
    pub fn of(machine: &'m Machine) -> Result<Self, NotTold> {
        let charging = machine.electric.charging.as_ref().ok_or(NotTold::Missing("charging"))?;
        let battery = machine.electric.battery.as_ref().ok_or(NotTold::Missing("battery"))?;
        let found = Self { charging, battery, machine };
        if charging.choke.is_none() {
            return Err(NotTold::NoInductance);
        }
        let x = found.middle();
        if found.inductance(&x).is_nan() {
            return Err(NotTold::JoinedTooMuch);
        }
        Ok(found)
    }

    /// Every doubt with its ±.
    pub fn doubts(&self) -> [Input; DOUBTS] {
        let c = self.charging;
        let (choke, joined) = match &c.choke {
            Some(Choke::Inductance(l)) => (input(l), (0.0, 0.0)),
            Some(Choke::Joined(amps, speed)) => (input(amps), input(speed)),
            None => ((0.0, 0.0), (0.0, 0.0)),
        };
        let held = match &c.keeps {
            Keeps::Shunt(volts) | Keeps::Series(volts) => input(volts),
            Keeps::Nothing => (0.0, 0.0),
        };
        let b = self.battery;
        let charge = b.rest_volts.as_ref().map_or(input(&b.charge), |v| {
            let cells = f64::from(b.cells);
            let by_v = v.plus_minus_si.hypot(cells * battery::TABLE_BY_V);
            (battery::charge_of(cells, v.si), by_v * battery::charge_per_volt(cells, v.si))
        });
        let loads = &self.machine.electric.loads;
        let total: f64 = loads.iter().map(|l| l.amps.si * l.on.si).sum();
        let square: f64 =
            loads.iter().map(|l| (l.amps.plus_minus_si * l.on.si).powi(2) + (l.amps.si * l.on.plus_minus_si).powi(2)).sum();
        let share = if total > 0.0 { square.sqrt() / total } else { 0.0 };
        [
            input(&c.no_load_volts),
            input(&c.no_load_speed),
            input(&c.resistance),
            input(&c.resistance_at),
            choke,
            joined,
            input(&c.diode_volts),
            input(&c.winding_temperature),
            held,
            charge,
            input(&b.resistance),
            (1.0, share),
            input(&b.takes),
        ]
    }

    /// The middle of every doubt.
    pub fn middle(&self) -> Moved {
        self.doubts().map(|d| d.0)
    }

    /// Electrical angular speed at a crank speed, both [rad/s].
    pub fn electrical(&self, crank_rad_s: f64) -> f64 {
        crank_rad_s * self.charging.turns.si * f64::from(self.charging.pole_pairs)
    }

    /// Magnets' flux linkage of a phase [V·s].
    fn linkage(&self, x: &Moved) -> f64 {
        let between = x[0] * 2f64.sqrt() / self.electrical(x[1]);
        if self.charging.kind == Kind::Star { between / 3f64.sqrt() } else { between }
    }

    /// A phase's share of what is read between two leads \[1\]: half of a star's, one and a half of a ring's.
    fn of_phase(&self) -> f64 {
        match self.charging.kind {
            Kind::HalfWave | Kind::FullWave => 1.0,
            Kind::Star => 0.5,
            Kind::Delta => 1.5,
        }
    }

    /// Inductance of a phase [H]; not a number where joined amps are more than its resistance lets through.
    fn inductance(&self, x: &Moved) -> f64 {
        match &self.charging.choke {
            Some(Choke::Inductance(_)) => x[4] * self.of_phase(),
            Some(Choke::Joined(..)) => {
                let omega = self.electrical(x[5]);
                // In a ring the lead carries √3 of a phase.
                let phase_a = if self.charging.kind == Kind::Delta { x[4] / 3f64.sqrt() } else { x[4] };
                let z = omega * self.linkage(x) / 2f64.sqrt() / phase_a;
                (z * z - (x[2] * self.of_phase()).powi(2)).sqrt() / omega
            }
            None => f64::NAN,
        }
    }

    /// The sound circuit, its winding at a temperature [K].
    pub fn circuit_at(&self, x: &Moved, winding_k: f64) -> Circuit {
        let ohm = x[2] * self.of_phase() * copper::ratio(x[3], winding_k);
        Circuit::sound(self.charging.kind, self.linkage(x), ohm, self.inductance(x), x[6], 0.0)
    }

    /// The sound circuit as warm as on the road.
    pub fn circuit(&self, x: &Moved) -> Circuit {
        self.circuit_at(x, x[7])
    }

    /// The regulator.
    pub fn regulator(&self, x: &Moved) -> Regulator {
        match self.charging.keeps {
            Keeps::Nothing => Regulator::None,
            Keeps::Shunt(_) => Regulator::Shunt { set_v: x[8], switch_v: SHUNT_SWITCH_V },
            Keeps::Series(_) => Regulator::Series { set_v: x[8] },
        }
    }

    /// Nominal volts of the battery [V].
    pub fn nominal(&self) -> f64 {
        2.0 * f64::from(self.battery.cells)
    }

    /// Volts of the battery at rest [V].
    pub fn rest(&self, x: &Moved) -> f64 {
        battery::rest_volts(f64::from(self.battery.cells), x[9])
    }

    /// What loads take: conductance [S] and constant current [A].
    pub fn loads(&self, x: &Moved, on: On) -> (f64, f64) {
        let is_on = |off: Option<u8>| match (on, off) {
            (On::All, _) | (_, None) => true,
            (On::From(from), Some(off)) => off >= from,
            (On::Needed, Some(_)) => false,
        };
        let (mut conductance, mut constant) = (0.0, 0.0);
        for load in self.machine.electric.loads.iter().filter(|l| is_on(l.off)) {
            let amps = load.amps.si * load.on.si * x[11];
            if load.ohmic { conductance += amps / self.nominal() } else { constant += amps }
        }
        (conductance, constant)
    }

    /// Battery and loads as the rectifier meets them.
    pub fn taken(&self, x: &Moved, on: On) -> Taken {
        let (conductance_s, constant_a) = self.loads(x, on);
        Taken { battery_v: self.rest(x), battery_ohm: x[10], conductance_s, constant_a }
    }

    /// Volts at the battery that charge it in full [V].
    pub fn charging_volts(&self, x: &Moved) -> f64 {
        match self.charging.keeps {
            Keeps::Nothing => UNREGULATED * self.nominal(),
            Keeps::Shunt(_) | Keeps::Series(_) => x[8],
        }
    }

    /// Resistance that a battery puts up against being charged [Ω]: at [`charging_volts`](Self::charging_volts) it takes what its charge lets it take.
    /// Alternating current meets its plain resistance.
    pub fn charging_ohm(&self, x: &Moved, capacity_c: f64, charge: f64) -> f64 {
        let rest = battery::rest_volts(f64::from(self.battery.cells), charge);
        let most = battery::accepts(capacity_c, charge, x[12], BULK) + battery::accepts(capacity_c, 0.0, FULL_TAKES, BULK);
        ((self.charging_volts(x) - rest) / most).max(x[10])
    }

    /// Capacity as old and cold as it is [C].
    pub fn capacity(&self) -> f64 {
        let b = self.battery;
        capacity(b.capacity.si, b.capacity_left.si, b.temperature.si)
    }

    /// How a circuit works at an electrical speed [rad/s]: while it charges, the battery's volts rise with the current that it takes.
    ///
    /// # Errors
    /// [`NotSettled`].
    pub fn works(
        &self,
        x: &Moved,
        circuit: &Circuit,
        regulator: Regulator,
        on: On,
        omega_rad_s: f64,
    ) -> Result<Regulated, NotSettled> {
        self.charged(x, circuit, regulator, on, omega_rad_s).map(|found| found.1)
    }

    /// The same with battery and loads as they then are, the battery's volts risen.
    ///
    /// # Errors
    /// [`NotSettled`].
    pub fn charged(
        &self,
        x: &Moved,
        circuit: &Circuit,
        regulator: Regulator,
        on: On,
        omega_rad_s: f64,
    ) -> Result<(Taken, Regulated), NotSettled> {
        let taken = self.taken(x, on);
        let risen = |battery_v: f64| Taken { battery_v, ..taken };
        let at = |battery_v: f64| regulate(circuit, &risen(battery_v), regulator, omega_rad_s);
        let slope = self.charging_ohm(x, self.capacity(), x[9]) - taken.battery_ohm;
        let set = match regulator {
            Regulator::None => None,
            Regulator::Shunt { set_v, .. } | Regulator::Series { set_v } => Some(set_v),
        };
        // At the regulator's volts the battery takes what it takes; if the alternator gives more, that is it.
        let most = set.map(|set| set - taken.battery_ohm * (set - taken.battery_v) / (slope + taken.battery_ohm));
        let held = match most.filter(|most| slope > 0.0 && *most > taken.battery_v) {
            Some(most) => Some((most, at(most)?)),
            None => None,
        };
        if let Some((most, held)) = held.as_ref().filter(|(_, held)| held.through < 1.0) {
            return Ok((risen(*most), held.clone()));
        }
        let flat = at(taken.battery_v)?;
        if flat.battery_a <= 0.0 || slope <= 0.0 {
            return Ok((taken, flat));
        }
        let most = most.unwrap_or(f64::INFINITY);
        let mut high = (most.min(taken.battery_v + slope * flat.battery_a), f64::NAN);
        let mut found = match held {
            Some((most, held)) if high.0 == most => held,
            _ => at(high.0)?,
        };
        // E = rest + slope · I(E), I falling: false position between rest and where nothing flows, the stuck end halved as in the Illinois method
        // (Dowell and Jarratt 1971; DIFFERENCE: there only an end that is kept twice running is).
        let off = |r: &Regulated, volts: f64| volts - taken.battery_v - slope * r.battery_a;
        let mut low = (taken.battery_v, -slope * flat.battery_a);
        let mut last = high.0;
        high.1 = off(&found, high.0);
        // Six are usual.
        for _ in 0..40 {
            let volts = low.0 - low.1 * (high.0 - low.0) / (high.1 - low.1);
            (found, last) = (at(volts)?, volts);
            let here = off(&found, volts);
            if here.abs() < NEAR_V * (1.0 + slope) || high.0 - low.0 < NEAR_V {
                break;
            }
            if here < 0.0 {
                low = (volts, here);
                high.1 *= 0.5;
            } else {
                high = (volts, here);
                low.1 *= 0.5;
            }
        }
        Ok((risen(last), found))
    }
}

/// Capacity as rated [C], the share that age has left, the temperature [K]: what is there.
pub fn capacity(rated_c: f64, left: f64, kelvin: f64) -> f64 {
    rated_c * left * battery::at_temperature(kelvin, COLD_PER_K)
}
