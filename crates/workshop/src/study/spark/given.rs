//! From the machine file to circuits, with each number that has a ± within reach.

use super::{
    Finding, Held,
    knob::{Knob, Place, WorseBy, add, hotter_by},
};
use crate::machine::{
    Machine, Strokes,
    spark::{Diode, Ignition, Kind},
};
use physics::copper::ratio as copper;
use physics::spark::{
    Breaker, Circuit, Discharge, Feed, Pulse, Switch,
    coil::{Coil, Load},
    dwell::Dwell,
    open_pulse,
    source::{Converter, SourceCoil, Winding},
};
use quantity::{Reading, Source};
use std::f64::consts::TAU;

/// Share of the time between two sparks that a module may keep its coil on [1] (own choice): the rest is for the spark.
const LONGEST_DWELL: f64 = 0.8;
/// Drop of the diode within a transistor [V] (common practice, no source).
const BACK_V: f64 = 0.8;
/// Drop of a diode across the store [V] (common practice, no source).
const ACROSS_V: f64 = 0.8;
/// Least capacitance across a breaker [F] (own choice): a switch alone has tens of picofarads.
const LEAST_CONDENSER: f64 = 5e-11;

/// How the ignition stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Condition {
    /// The plug is fouled.
    pub fouled: bool,
    /// Coil and source coil are hot.
    pub hot: bool,
}

/// An ignition in plain numbers.
#[derive(Clone, Debug)]
pub struct Model {
    /// Kind.
    pub kind: Kind,
    /// Turns of the crank between two sparks of one store or breaker \[1\].
    pub turns: f64,
    /// Coil as read.
    pub coil: Coil,
    /// Copper's resistance when hot, over that as read \[1\].
    pub hot: f64,
    /// The same of a source coil that was read at 20 °C \[1\].
    pub source_hot: f64,
    /// Lead, cap and plug, clean.
    pub load: Load,
    /// Shunt of a fouled plug [S].
    pub fouled_s: f64,
    /// Volts across the burning spark [V], and their ±.
    pub burning_v: Finding,
    /// Store and switch; what it holds is filled in.
    pub store: Discharge,
    /// Source coil.
    pub source: Option<SourceCoil>,
    /// Converter at the running volts.
    pub converter: Option<Converter>,
    /// Its output is held.
    pub held: bool,
    /// Battery volts below which it stops [V].
    pub stops_v: f64,
    /// Its ± [V].
    pub stops_by_v: f64,
    /// Breaker; supply and current are filled in.
    pub breaker: Option<Breaker>,
    /// Drop of the closed breaker [V].
    pub drop_v: f64,
    /// Dwell as crank angle [rad] or as a time [s].
    pub dwell: Result<f64, f64>,
    /// Current at which the module holds [A].
    pub limit_a: Option<f64>,
    /// Battery: running, kicking, weak [V]; nought where there is none.
    pub volts: [f64; 3],
    /// A weak battery is known.
    pub weak: bool,
    /// ± of what makes a case worse.
    pub worse_by: WorseBy,
}

/// The model and its knobs.
///
/// # Errors
/// [`Held`] names the part of the file that is missing.
pub fn read(machine: &Machine) -> Result<(Model, Vec<Knob>), Held> {
    let i = &machine.ignition;
    let need = Held::Missing;
    let spark = i.spark.ok_or(need("spark"))?;
    let coil = i.coil.as_ref().ok_or(need("coil"))?;
    let plug = i.plug.as_ref().ok_or(need("plug"))?;
    let kind = spark.kind;
    let mut knobs = Vec::new();
    let firings = if spark.every_turn || machine.engine.strokes == Strokes::Two { 1.0 } else { 2.0 };
    let shared = if spark.serves_all { machine.engine.cylinders.len().max(1) as f64 } else { 1.0 };
    let mut model = Model {
        kind,
        turns: firings / shared,
        coil: Coil {
            primary_ohm: coil.primary_resistance.si,
            primary_h: coil.primary_inductance.si,
            turns: coil.turns.si,
            coupling: coil.coupling.si,
            secondary_ohm: coil.secondary_resistance.si,
            winding_f: coil.winding.si,
        },
        hot: copper(coil.read_at.si, coil.hot.si),
        source_hot: copper(quantity::Unit::Celsius.to_si(20.0), coil.hot.si),
        load: Load { lead_f: plug.lead.si, series_ohm: plug.cap.si, plug_f: plug.capacitance.si, shunt_s: 0.0 },
        fouled_s: 1.0 / plug.fouled.si,
        burning_v: Finding::of(&plug.burning),
        store: Discharge {
            capacitance_f: 0.0,
            volts: 0.0,
            leak_s: 0.0,
            switch: Switch::OneWay,
            switch_v: 0.0,
            switch_ohm: 0.0,
            across_v: None,
        },
        source: None,
        converter: None,
        held: false,
        stops_v: 0.0,
        stops_by_v: 0.0,
        breaker: None,
        drop_v: 0.0,
        dwell: Ok(0.0),
        limit_a: None,
        volts: [0.0; 3],
        weak: false,
        worse_by: WorseBy {
            fouled_s: plug.fouled.plus_minus_si / plug.fouled.si.powi(2),
            hot: hotter_by(&coil.read_at, &coil.hot),
            weak_v: 0.0,
        },
    };
    // An inductive coil fills through what it is made of.
    let inductive = !kind.discharges();
    add(&mut knobs, &coil.primary_resistance, inductive, true, |m| Some(&mut m.coil.primary_ohm));
    add(&mut knobs, &coil.primary_inductance, inductive, true, |m| Some(&mut m.coil.primary_h));
    add(&mut knobs, &coil.turns, false, true, |m| Some(&mut m.coil.turns));
    // The ± may not reach one, where a coil would have no stray field at all.
    let most = 0.5 * (1.0 - coil.coupling.si);
    let coupling = Reading { plus_minus_si: coil.coupling.plus_minus_si.min(most), ..coil.coupling.clone() };
    add(&mut knobs, &coupling, false, true, |m| Some(&mut m.coil.coupling));
    add(&mut knobs, &coil.secondary_resistance, false, true, |m| Some(&mut m.coil.secondary_ohm));
    add(&mut knobs, &coil.winding, false, true, |m| Some(&mut m.coil.winding_f));
    add(&mut knobs, &plug.cap, false, true, |m| Some(&mut m.load.series_ohm));
    add(&mut knobs, &plug.lead, false, true, |m| Some(&mut m.load.lead_f));
    add(&mut knobs, &plug.capacitance, false, true, |m| Some(&mut m.load.plug_f));
    if kind.on_battery() {
        let supply = i.supply.as_ref().ok_or(need("supply"))?;
        let weak = supply.weak.as_ref();
        model.volts = [supply.running.si, supply.kicking.si, weak.map_or(0.0, |w| w.si)];
        model.weak = weak.is_some();
        model.worse_by.weak_v = weak.map_or(0.0, |w| w.plus_minus_si);
        add(&mut knobs, &supply.running, true, false, |m| Some(&mut m.volts[0]));
        add(&mut knobs, &supply.kicking, true, false, |m| Some(&mut m.volts[1]));
    }
    if kind.discharges() {
        discharge(i, &mut model, &mut knobs)?
    } else {
        breaker(i, &mut model, &mut knobs)?
    }
    Ok((model, knobs))
}

fn discharge(i: &Ignition, model: &mut Model, knobs: &mut Vec<Knob>) -> Result<(), Held> {
    let need = Held::Missing;
    let store = i.store.as_ref().ok_or(need("store"))?;
    let (switch, across_v) = match store.diode {
        Diode::Store => (Switch::OneWay, Some(ACROSS_V)),
        Diode::Switch => (Switch::BackDiode, None),
        Diode::None => (Switch::OneWay, None),
    };
    let leak_s = 1.0 / store.leak.si;
    model.store = Discharge {
        capacitance_f: store.capacitance.si,
        volts: 0.0,
        leak_s,
        switch,
        switch_v: store.drop.si,
        switch_ohm: store.series.si,
        across_v,
    };
    add(knobs, &store.capacitance, true, true, |m| Some(&mut m.store.capacitance_f));
    add(knobs, &store.drop, false, true, |m| Some(&mut m.store.switch_v));
    add(knobs, &store.series, false, true, |m| Some(&mut m.store.switch_ohm));
    if model.kind == Kind::CapacitorFromSource {
        let source = i.source.as_ref().ok_or(need("source"))?;
        model.source = Some(SourceCoil {
            windings: source
                .windings
                .iter()
                .map(|w| Winding { peak_per_speed: w.volts.si / w.speed.si, ohm: w.resistance.si, henry: w.inductance.si })
                .collect(),
            periods_per_turn: f64::from(source.periods),
            diode_v: source.diode.si,
            store_f: store.capacitance.si,
            leak_s,
            clamp_v: store.clamp.as_ref().map(|c| c.si),
        });
        add(knobs, &source.diode, true, false, |m| Some(&mut m.source.as_mut()?.diode_v));
        if let Some(clamp) = &store.clamp {
            add(knobs, clamp, true, false, |m| m.source.as_mut()?.clamp_v.as_mut());
        }
        let places: [[Place; 3]; 2] = [
            [
                |m| Some(&mut m.source.as_mut()?.windings.first_mut()?.peak_per_speed),
                |m| Some(&mut m.source.as_mut()?.windings.first_mut()?.ohm),
                |m| Some(&mut m.source.as_mut()?.windings.first_mut()?.henry),
            ],
            [
                |m| Some(&mut m.source.as_mut()?.windings.get_mut(1)?.peak_per_speed),
                |m| Some(&mut m.source.as_mut()?.windings.get_mut(1)?.ohm),
                |m| Some(&mut m.source.as_mut()?.windings.get_mut(1)?.henry),
            ],
        ];
        for (w, places) in source.windings.iter().zip(places) {
            let per_speed = w.volts.si / w.speed.si;
            let share = (w.volts.plus_minus_si / w.volts.si).hypot(w.speed.plus_minus_si / w.speed.si);
            let peak = Reading { si: per_speed, plus_minus_si: share * per_speed, ..w.volts.clone() };
            add(knobs, &peak, true, false, places[0]);
            add(knobs, &w.resistance, true, false, places[1]);
            add(knobs, &w.inductance, true, false, places[2]);
        }
    } else {
        let converter = i.converter.as_ref().ok_or(need("converter"))?;
        model.converter =
            Some(Converter { watts: converter.power.si, stops_v: converter.volts.si, store_f: store.capacitance.si, leak_s });
        model.held = converter.held;
        model.stops_v = converter.stops_below.si;
        model.stops_by_v = converter.stops_below.plus_minus_si;
        add(knobs, &converter.power, true, false, |m| Some(&mut m.converter.as_mut()?.watts));
        add(knobs, &converter.volts, true, false, |m| Some(&mut m.converter.as_mut()?.stops_v));
    }
    Ok(())
}

fn breaker(i: &Ignition, model: &mut Model, knobs: &mut Vec<Knob>) -> Result<(), Held> {
    let breaker = i.breaker.as_ref().ok_or(Held::Missing("breaker"))?;
    if model.kind == Kind::Transistor {
        // What stands in is what points have.
        let of_points = |r: &Reading| matches!(r.source, Source::Default);
        for (given, path) in [(&breaker.condenser, "breaker.condenser"), (&breaker.greatest, "breaker.greatest_current")] {
            if of_points(given) {
                return Err(Held::Missing(path));
            }
        }
    }
    model.breaker = Some(Breaker {
        supply_v: 0.0,
        series_ohm: breaker.series.si,
        condenser_f: breaker.condenser.si.max(LEAST_CONDENSER),
        current_a: 0.0,
        clamp_v: breaker.clamp.as_ref().map(|c| c.si),
        back_v: (model.kind == Kind::Transistor).then_some(BACK_V),
    });
    model.drop_v = breaker.drop.si;
    add(knobs, &breaker.drop, true, true, |m| Some(&mut m.drop_v));
    model.limit_a = breaker.limit.as_ref().map(|l| l.si);
    add(knobs, &breaker.series, true, true, |m| Some(&mut m.breaker.as_mut()?.series_ohm));
    add(knobs, &breaker.condenser, false, true, |m| Some(&mut m.breaker.as_mut()?.condenser_f));
    if let Some(clamp) = &breaker.clamp {
        add(knobs, clamp, false, true, |m| m.breaker.as_mut()?.clamp_v.as_mut());
    }
    if let Some(limit) = &breaker.limit {
        add(knobs, limit, true, true, |m| m.limit_a.as_mut());
    }
    match (&breaker.dwell, &breaker.dwell_time) {
        (Some(angle), _) => {
            model.dwell = Ok(angle.si);
            add(knobs, angle, true, true, |m| m.dwell.as_mut().ok());
        }
        (None, Some(time)) => {
            model.dwell = Err(time.si);
            add(knobs, time, true, true, |m| m.dwell.as_mut().err());
        }
        (None, None) => return Err(Held::Missing("breaker.dwell")),
    }
    Ok(())
}

impl Model {
    /// Of a machine.
    ///
    /// # Errors
    /// [`Held`] names the part of the file that is missing.
    pub fn of(machine: &Machine) -> Result<Self, Held> {
        read(machine).map(|(model, _)| model)
    }

    /// Battery volts at the kick, or with the engine running [V].
    pub fn supply(&self, kicked: bool) -> f64 {
        self.volts[usize::from(kicked)]
    }

    /// The same of a weak battery, which sags at speed as it does at the kick.
    pub fn weak_supply(&self, kicked: bool) -> f64 {
        if kicked { self.volts[2] } else { self.volts[0] * self.volts[2] / self.volts[1] }
    }

    /// Time between two sparks of a store or breaker [s].
    pub fn interval_s(&self, speed_rad_s: f64) -> f64 {
        self.turns * TAU / speed_rad_s
    }

    /// Dwell [s] at a crank speed [rad/s].
    pub fn dwell_s(&self, speed_rad_s: f64) -> f64 {
        match self.dwell {
            Ok(angle) => angle / speed_rad_s,
            Err(time) => time.min(LONGEST_DWELL * self.interval_s(speed_rad_s)),
        }
    }

    /// The primary on its supply [V].
    pub fn primary(&self, supply_v: f64) -> Dwell {
        Dwell {
            volts: (supply_v - self.drop_v).max(0.0),
            ohm: self.coil.primary_ohm + self.breaker.map_or(0.0, |b| b.series_ohm),
            henry: self.coil.primary_h,
            limit_a: self.limit_a,
        }
    }

    /// Volts of the store [V] when the spark comes, or the current in the primary [A].
    pub fn filled(&self, speed_rad_s: f64, supply_v: f64) -> f64 {
        if let Some(source) = &self.source {
            let store_f = self.store.capacitance_f;
            return SourceCoil { store_f, ..source.clone() }.fill_v(speed_rad_s, self.turns, 0.0);
        }
        if let Some(c) = self.converter {
            if supply_v < self.stops_v {
                return 0.0;
            }
            // It draws from the battery as a resistance does; what is held in its output still costs power.
            let share = supply_v / self.volts[0];
            let (stops_v, watts) =
                if self.held { (c.stops_v, c.watts * share) } else { (c.stops_v * share, c.watts * share * share) };
            let store_f = self.store.capacitance_f;
            return Converter { watts, stops_v, store_f, ..c }.volts(self.interval_s(speed_rad_s));
        }
        self.primary(supply_v).current_a(self.dwell_s(speed_rad_s))
    }

    /// The same ignition in a condition.
    pub fn in_condition(&self, how: Condition) -> Self {
        let mut m = self.clone();
        if how.fouled {
            m.load.shunt_s = m.fouled_s;
        }
        if how.hot {
            m.coil.primary_ohm *= m.hot;
            m.coil.secondary_ohm *= m.hot;
            if let Some(source) = &mut m.source {
                source.windings.iter_mut().for_each(|w| w.ohm *= m.source_hot);
            }
        }
        m
    }

    /// The circuit at the moment of the spark, from what it was filled with.
    pub fn circuit(&self, filled: f64, supply_v: f64) -> Circuit {
        let feed = match self.breaker {
            Some(b) => Feed::Breaker(Breaker { supply_v, current_a: filled, ..b }),
            None => Feed::Capacitor(Discharge { volts: filled, ..self.store }),
        };
        Circuit { coil: self.coil, load: self.load, feed }
    }

    /// The pulse at a crank speed [rad/s] and a supply [V], no spark.
    pub fn pulse(&self, speed_rad_s: f64, supply_v: f64) -> Pulse {
        open_pulse(&self.circuit(self.filled(speed_rad_s, supply_v), supply_v))
    }
}
