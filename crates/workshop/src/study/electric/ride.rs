//! The battery over a ride: what goes in, what goes out, which loads must go off, and how far it carries the ignition alone.

use super::{
    NotTold,
    alternator::{Alternator, DOUBTS, Moved, On, capacity},
    charge::moved,
};
use crate::{
    machine::{
        Machine,
        charging::{RideKind, RidePart},
    },
    study::{
        Finding,
        doubt::{Input, finding, input},
    },
};
use physics::{
    battery,
    charge::{Bus, steady},
    root::bracketed,
};

/// Volts over the nominal ones at which the alternator's current is worked out for the ride, straight between them \[1\] (own choice).
const AT_VOLTS: [f64; 5] = [0.7, 0.95, 1.05, 1.15, 1.3];
/// Share of the charge put in that comes out again \[1\] (common practice, no source: 85 to 95 % of lead-acid).
const COMES_BACK: f64 = 0.9;
/// Volts over the nominal ones past which nothing is worked out where no regulator holds them \[1\] (own choice).
const HIGHEST: f64 = 1.6;
/// Rounds through all parts of the ride \[1\] (own choice): speeds change as on the road, not one after the other for good.
const ROUNDS: usize = 60;
/// Steps in which a battery alone is emptied \[1\] (own choice).
const EMPTYING: usize = 400;
/// Change of charge over the ride that still counts as holding \[1\] (own choice).
const HOLDS: f64 = 0.002;

/// Speeds through town as shares of the engine's top speed, on the road [km/h], and shares of time \[1\]; the first is the idle. Common practice, no source.
const TOWN: [(f64, f64, f64); 4] = [(0.0, 0.0, 0.25), (0.28, 30.0, 0.3), (0.38, 45.0, 0.3), (0.5, 55.0, 0.15)];
/// The same through the country \[1\]. Common practice, no source.
const COUNTRY: [(f64, f64, f64); 4] = [(0.0, 0.0, 0.05), (0.4, 50.0, 0.25), (0.5, 75.0, 0.45), (0.65, 95.0, 0.25)];
/// Idle where none was seen [rad/s]: 1200 rpm (common practice, no source).
const IDLE_RAD_S: f64 = 125.663_706_143_591_73;
/// Metres in a second for a kilometre in an hour [m/s], exact.
const KM_H: f64 = 1.0 / 3.6;

/// What is in doubt of the battery beside the alternator's doubts: capacity, share left, Peukert's exponent, temperature.
const OWN: usize = 4;

/// Which loads stay on so that charge holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Plan {
    /// All may stay on.
    AllOn,
    /// These go off, in this order (indices of loads).
    Off(Vec<usize>),
    /// Even without all that may go off, charge falls.
    NotEnough(Vec<usize>),
}

/// Until what the battery alone carries the ignition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alone {
    /// Time [s].
    pub lasts: Finding,
    /// Way on the road at the ride's mean speed [m].
    pub way: Finding,
    /// Current that is drawn [A].
    pub draws_a: f64,
    /// Charge left when the volts fall too low \[1\].
    pub left: f64,
}

/// The study.
#[derive(Clone, Debug, PartialEq)]
pub struct RideStudy {
    /// Which ride it is.
    pub kind: RideKind,
    /// Its parts.
    pub parts: Vec<RidePart>,
    /// In each part: current into the battery at the ride's start [A].
    pub battery_a: Vec<f64>,
    /// How long it lasts [s].
    pub lasts_s: f64,
    /// State of charge over time with everything on: time [s], charge \[1\].
    pub charge: Vec<(f64, f64)>,
    /// The same with what the plan leaves on, where that is less.
    pub planned: Option<Vec<(f64, f64)>>,
    /// Charge at the start and at the end, everything on \[1\].
    pub ends: [Finding; 2],
    /// Which loads stay on.
    pub plan: Plan,
    /// On the battery alone with only what must stay on, and with everything on; `None` where the ignition needs no battery.
    pub alone: Option<[Alone; 2]>,
}

/// Works it out; without `[ride]` a town ride of an hour.
///
/// # Errors
/// [`NotTold`].
pub fn study(machine: &Machine) -> Result<RideStudy, NotTold> {
    let a = Alternator::of(machine)?;
    let ride = machine.electric.ride.as_ref();
    let kind = ride.map_or(RideKind::Town, |r| r.kind);
    let parts = parts(machine);
    /// An hour [s], by definition.
    const HOUR_S: f64 = 3600.0;
    let lasts_s = ride.map_or(HOUR_S, |r| r.lasts.si);
    let x = a.middle();
    let own = own(&a);
    let gives = Gives::of(&a, &x, &parts)?;
    let run = |on: On| gives.run(&a, &x, &own.map(|d| d.0), on, lasts_s);
    let charge = run(On::All)?;
    let inputs: Vec<Input> = a.doubts().into_iter().chain(own).collect();
    let end = finding(
        |y| {
            let x = moved(y);
            let Ok(gives) = Gives::of(&a, &x, &parts) else { return f64::NAN };
            let mut rest = [0.0; OWN];
            rest.copy_from_slice(&y[DOUBTS..]);
            let Ok(line) = gives.run(&a, &x, &rest, On::All, lasts_s) else { return f64::NAN };
            line.last().map_or(f64::NAN, |p| p.1)
        },
        &inputs,
    );
    let start = a.doubts()[9];
    let (plan, planned) = plan(machine, &run, x[9])?;
    let at_start = |k| gives.battery_a(&a, &x, &own.map(|d| d.0), On::All, k, x[9]);
    let battery_a = (0..parts.len()).map(at_start).collect::<Result<_, _>>()?;
    let needs = ride.and_then(|r| r.ignition_needs.as_ref());
    let road = parts.iter().map(|p| p.share * p.road_m_s).sum::<f64>();
    let alone = needs.map(|needs| [On::Needed, On::All].map(|on| alone(&a, on, input(needs), road)));
    Ok(RideStudy {
        kind,
        parts,
        battery_a,
        lasts_s,
        charge,
        planned,
        ends: [Finding { si: start.0, plus_minus_si: start.1 }, end],
        plan,
        alone,
    })
}

/// The parts of a machine's ride.
fn parts(machine: &Machine) -> Vec<RidePart> {
    let ride = machine.electric.ride.as_ref();
    let table = match ride.map(|r| (r.kind, &r.parts)) {
        Some((RideKind::Own, parts)) => return parts.clone(),
        Some((RideKind::Country, _)) => COUNTRY,
        _ => TOWN,
    };
    let idle = machine.idle.as_ref().map_or(IDLE_RAD_S, |i| i.speed.si);
    let of = |(share_of_top, km_h, share): (f64, f64, f64)| RidePart {
        crank_rad_s: if share_of_top > 0.0 { share_of_top * machine.engine.top_speed.si } else { idle },
        road_m_s: km_h * KM_H,
        share,
    };
    table.map(of).to_vec()
}

/// The battery's own doubts.
fn own(a: &Alternator) -> [Input; OWN] {
    let b = a.battery;
    [input(&b.capacity), input(&b.capacity_left), input(&b.peukert), input(&b.temperature)]
}

/// What the alternator gives in each part of the ride, at a few volts.
struct Gives {
    shares: Vec<f64>,
    volts: [f64; 5],
    amps: Vec<[f64; 5]>,
}

impl Gives {
    fn of(a: &Alternator, x: &Moved, parts: &[RidePart]) -> Result<Self, NotTold> {
        let volts = AT_VOLTS.map(|v| v * a.nominal());
        let circuit = a.circuit(x);
        let mut amps = Vec::new();
        for part in parts {
            let mut row = [0.0; 5];
            for (i, v) in row.iter_mut().zip(volts) {
                *i = steady(&circuit, Bus { emf_v: v, resistance_ohm: 0.0 }, a.electrical(part.crank_rad_s))?.totals.mean_a;
            }
            amps.push(row);
        }
        Ok(Self { shares: parts.iter().map(|p| p.share).collect(), volts, amps })
    }

    fn amps(&self, part: usize, volts: f64) -> f64 {
        let k = self.volts[1..4].iter().filter(|v| volts >= **v).count();
        let (v, i) = (&self.volts, &self.amps[part]);
        (i[k] + (volts - v[k]) / (v[k + 1] - v[k]) * (i[k + 1] - i[k])).max(0.0)
    }

    /// Current into the battery in a part at a state of charge [A].
    fn battery_a(&self, a: &Alternator, x: &Moved, own: &[f64; OWN], on: On, part: usize, charge: f64) -> Result<f64, NotTold> {
        let emf = battery::rest_volts(f64::from(a.battery.cells), charge);
        let (conductance, constant) = a.loads(x, on);
        let charging = a.charging_ohm(x, capacity(own[0], own[1], own[3]), charge);
        // What it takes at these volts, or gives.
        let takes = |v: f64| if v > emf { (v - emf) / charging } else { (v - emf) / x[10] };
        let surplus = |v: f64| self.amps(part, v) - conductance * v - constant - takes(v);
        let regulated = a.regulator(x) != physics::charge::Regulator::None;
        let highest = if regulated { a.charging_volts(x) } else { HIGHEST * a.nominal() };
        if surplus(highest) >= 0.0 {
            return Ok(takes(highest));
        }
        /// How near the volts are found [V] (own choice).
        const NEAR_V: f64 = 1e-7;
        bracketed(surplus, 0.0, highest, NEAR_V).map(takes).map_err(|_| NotTold::Overloaded)
    }

    /// State of charge over the ride.
    fn run(&self, a: &Alternator, x: &Moved, own: &[f64; OWN], on: On, lasts_s: f64) -> Result<Line, NotTold> {
        let whole = capacity(own[0], own[1], own[3]);
        let mut charge = x[9];
        let mut all = vec![(0.0, charge)];
        let step = lasts_s / ROUNDS as f64;
        let total: f64 = self.shares.iter().sum();
        for round in 0..ROUNDS {
            for (part, share) in self.shares.iter().enumerate() {
                let amps = self.battery_a(a, x, own, on, part, charge)?;
                charge += rate(amps, whole, a.battery.rated_over.si, own[2]) * step * share / total;
                charge = charge.clamp(0.0, 1.0);
            }
            all.push((step * (round + 1) as f64, charge));
        }
        Ok(all)
    }
}

/// State of charge \[1\] over time [s].
type Line = Vec<(f64, f64)>;

/// Change of the state of charge [1/s] at a current into the battery [A].
fn rate(amps: f64, capacity_c: f64, rated_s: f64, exponent: f64) -> f64 {
    if amps >= 0.0 {
        COMES_BACK * amps / capacity_c
    } else {
        -battery::peukert_current(-amps, capacity_c, rated_s, exponent) / capacity_c
    }
}

/// Loads in the order in which they may go off, and the charge that what is left on makes.
fn plan(machine: &Machine, run: &dyn Fn(On) -> Result<Line, NotTold>, start: f64) -> Result<(Plan, Option<Line>), NotTold> {
    let holds = |line: &[(f64, f64)]| line.last().is_some_and(|p| p.1 >= start - HOLDS);
    if holds(&run(On::All)?) {
        return Ok((Plan::AllOn, None));
    }
    let mut order: Vec<(u8, usize)> = machine.electric.loads.iter().enumerate().filter_map(|(k, l)| Some((l.off?, k))).collect();
    order.sort_unstable();
    let mut steps: Vec<u8> = order.iter().map(|o| o.0).collect();
    steps.dedup();
    for step in &steps {
        let line = run(On::From(step + 1))?;
        if holds(&line) {
            return Ok((Plan::Off(order.iter().filter(|o| o.0 <= *step).map(|o| o.1).collect()), Some(line)));
        }
    }
    Ok((Plan::NotEnough(order.iter().map(|o| o.1).collect()), Some(run(On::Needed)?)))
}

/// On the battery alone, until its volts under load fall below what the ignition needs.
fn alone(a: &Alternator, on: On, needs: Input, road_m_s: f64) -> Alone {
    // Charge, resistance, loads; capacity and the rest; volts needed.
    let d = a.doubts();
    let inputs: Vec<Input> = [d[9], d[10], d[11]].into_iter().chain(own(a)).chain([needs]).collect();
    let last = |y: &[f64]| {
        let mut x = a.middle();
        (x[9], x[10], x[11]) = (y[0], y[1], y[2]);
        let mut own = [0.0; OWN];
        own.copy_from_slice(&y[3..3 + OWN]);
        let (conductance, constant) = a.loads(&x, on);
        let whole = capacity(own[0], own[1], own[3]);
        let step = y[0] / EMPTYING as f64;
        let (mut time, mut first) = (0.0, f64::NAN);
        for k in 0..EMPTYING {
            // The middle of a step of charge.
            let charge = y[0] - step * (k as f64 + 0.5);
            let bus = physics::charge::Taken {
                battery_v: battery::rest_volts(f64::from(a.battery.cells), charge),
                battery_ohm: y[1],
                conductance_s: conductance,
                constant_a: constant,
            }
            .bus();
            let amps = conductance * bus.emf_v + constant;
            if k == 0 {
                first = amps;
            }
            if bus.emf_v < y[3 + OWN] || amps <= 0.0 {
                return (time, first, charge);
            }
            time += step * whole / battery::peukert_current(amps, whole, a.battery.rated_over.si, own[2]);
        }
        (time, first, 0.0)
    };
    let middle: Vec<f64> = inputs.iter().map(|d| d.0).collect();
    let (_, draws_a, left) = last(&middle);
    let lasts = finding(|y| last(y).0, &inputs);
    let way = Finding { si: lasts.si * road_m_s, plus_minus_si: lasts.plus_minus_si * road_m_s };
    Alone { lasts, way, draws_a, left }
}
