//! The spark, as JSON.

use super::{Check, Number, Part, deg, mm, number, rpm};
use serde::Serialize;
use workshop::{
    machine::{Polarity, spark::Kind},
    study::{
        Finding,
        spark::{
            Held, SparkStudy,
            coils::{Fault, Judged, Whose},
            energy::EnergyAt,
            margin::{At, Case, CaseCurve, Verdict, verdict},
            needed::From,
            signal::{Edge, SignalAt},
        },
    },
};

/// The spark's study.
#[derive(Debug, Serialize)]
pub struct Spark {
    kind: &'static str,
    turns_between_sparks: f64,
    at_the_kick: &'static str,
    speeds: Vec<Speed>,
    worse: Vec<Worse>,
    sparks: Vec<Energy>,
    coils: Vec<Coil>,
    lowest_battery: Option<Lowest>,
    module_output_v: Option<Check>,
    pickups: Vec<Signal>,
    /// Table of the file that is missing for the pickups; `null` where none is.
    pickups_need: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Speed {
    speed_rpm: f64,
    kicked: bool,
    /// Volts of the store, or amperes in the primary.
    filled: Number,
    available_kv: Number,
    rise_us: f64,
    advance_deg: f64,
    pressure_kpa: Number,
    temperature_k: Number,
    gas_from: &'static str,
    needed_kv: Number,
    needed_worn_kv: Number,
    margin: Number,
}

#[derive(Debug, Serialize)]
struct Worse {
    case: &'static str,
    available_kv: Vec<f64>,
    needed_kv: Vec<f64>,
    margin: Vec<Number>,
}

#[derive(Debug, Serialize)]
struct Energy {
    speed_rpm: f64,
    struck_us: Option<f64>,
    burns_us: Number,
    current_a: f64,
    before_mj: f64,
    from_supply_mj: f64,
    gap_mj: Number,
    primary_mj: f64,
    switch_mj: f64,
    secondary_mj: f64,
    cap_and_lead_mj: f64,
    shunt_mj: f64,
    leak_mj: f64,
    clamp_mj: f64,
    after_mj: f64,
}

#[derive(Debug, Serialize)]
struct Coil {
    whose: &'static str,
    primary_ohm: f64,
    primary_mh: f64,
    turns: f64,
    standing_a: Option<f64>,
    standing_w: Option<f64>,
    heat_w: f64,
    reaches_k: Number,
    kick_kv: f64,
    rise_us: f64,
    margin_kick: Number,
    margin_kick_fouled: Number,
    margin_top: Number,
    faults: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct Lowest {
    volts: Option<Number>,
    kicking_v: f64,
    converter_stops_v: f64,
}

#[derive(Debug, Serialize)]
struct Signal {
    /// Counted from 1.
    pickup: usize,
    peak_v: Number,
    need_v: Number,
    margin: Number,
    fires_from_rpm: Number,
    gap_mm: Number,
    largest_gap_mm: Number,
    polarity: &'static str,
    edge_at_the_kick: Option<&'static str>,
    edge_at_top_speed: Option<&'static str>,
}

fn one(x: f64) -> f64 {
    x
}

fn kilo(x: f64) -> f64 {
    x * 1e-3
}

fn milli(x: f64) -> f64 {
    x * 1e3
}

fn micro(x: f64) -> f64 {
    x * 1e6
}

/// The spark, or what is missing for it.
pub fn spark(found: &Result<SparkStudy, Held>) -> Part<Spark> {
    match found {
        Ok(found) => Part::Found(Spark::of(found)),
        Err(why) => Part::Not { not_studied: missing(*why) },
    }
}

fn missing(why: Held) -> &'static str {
    let Held::Missing(table) = why;
    table
}

impl Spark {
    /// From the study.
    pub fn of(s: &SparkStudy) -> Self {
        let first = s.margin.points.first().map_or_else(Finding::default, |p| p.margin);
        Self {
            kind: match s.kind {
                Kind::CapacitorFromSource => "capacitor_from_source_coil",
                Kind::CapacitorFromBattery => "capacitor_from_battery",
                Kind::Points => "points",
                Kind::Transistor => "transistor",
            },
            turns_between_sparks: s.turns_between,
            at_the_kick: match verdict(first) {
                Verdict::Fires => "fires",
                Verdict::Doubtful => "doubtful",
                Verdict::Misses => "misses",
            },
            speeds: s.margin.points.iter().map(speed).collect(),
            worse: s.margin.cases.iter().map(worse).collect(),
            sparks: s.energy.iter().map(energy).collect(),
            coils: s.coils.iter().map(coil).collect(),
            lowest_battery: s.battery.map(|b| Lowest {
                volts: b.volts.map(|v| number(v, one)),
                kicking_v: b.kicking_v,
                converter_stops_v: b.stops_v,
            }),
            module_output_v: s.output.map(Check::of),
            pickups: s.signal.iter().flatten().map(signal).collect(),
            pickups_need: s.signal.as_ref().err().map(|why| missing(*why)),
        }
    }
}

fn speed(p: &At) -> Speed {
    Speed {
        speed_rpm: rpm(p.speed_rad_s),
        kicked: p.kicked,
        filled: number(p.filled, one),
        available_kv: number(p.available, kilo),
        rise_us: micro(p.rise_s),
        advance_deg: deg(p.needed.advance_rad),
        pressure_kpa: number(p.needed.pressure, kilo),
        temperature_k: number(p.needed.temperature, one),
        gas_from: match p.needed.from {
            From::Cycle => "working_cycle",
            From::Motored => "motored_cycle",
            From::Plain => "plain_compression",
        },
        needed_kv: number(p.needed.volts, kilo),
        needed_worn_kv: number(p.needed.worn, kilo),
        margin: number(p.margin, one),
    }
}

fn worse(c: &CaseCurve) -> Worse {
    Worse {
        case: match c.case {
            Case::Fouled => "fouled_plug",
            Case::Worn => "worn_plug",
            Case::Hot => "hot_coil",
            Case::WeakBattery => "weak_battery",
        },
        available_kv: c.available_v.iter().map(|v| kilo(*v)).collect(),
        needed_kv: c.needed_v.iter().map(|v| kilo(*v)).collect(),
        margin: c.margin.iter().map(|m| number(*m, one)).collect(),
    }
}

fn energy(e: &EnergyAt) -> Energy {
    let b = &e.spark.books;
    Energy {
        speed_rpm: rpm(e.speed_rad_s),
        struck_us: e.spark.struck_s.map(micro),
        burns_us: number(e.burns, micro),
        current_a: e.spark.current_a,
        before_mj: milli(b.before_j),
        from_supply_mj: milli(b.given_j),
        gap_mj: number(e.gap, milli),
        primary_mj: milli(b.primary_j),
        switch_mj: milli(b.switch_j),
        secondary_mj: milli(b.secondary_j),
        cap_and_lead_mj: milli(b.series_j),
        shunt_mj: milli(b.shunt_j),
        leak_mj: milli(b.leak_j),
        clamp_mj: milli(b.clamp_j),
        after_mj: milli(b.after_j),
    }
}

fn coil(j: &Judged) -> Coil {
    Coil {
        whose: match j.whose {
            Whose::Own => "own",
            Whose::OtherKind => "other_kind",
        },
        primary_ohm: j.coil.primary_ohm,
        primary_mh: milli(j.coil.primary_h),
        turns: j.coil.turns,
        standing_a: j.standing_a,
        standing_w: j.standing_w,
        heat_w: j.heat_w,
        reaches_k: number(j.reaches_k, one),
        kick_kv: kilo(j.kick_v),
        rise_us: micro(j.rise_s),
        margin_kick: number(j.kick, one),
        margin_kick_fouled: number(j.kick_fouled, one),
        margin_top: number(j.top, one),
        faults: j
            .faults
            .iter()
            .map(|f| match f {
                Fault::TooMuchCurrent { .. } => "too_much_current",
                Fault::TooHot { .. } => "too_hot",
                Fault::Starves { .. } => "starves",
                Fault::Drained { .. } => "drained_by_a_fouled_plug",
            })
            .collect(),
    }
}

fn signal(s: &SignalAt) -> Signal {
    let edge = |e: Edge| match e {
        Edge::Leading => "leading",
        Edge::Trailing => "trailing",
    };
    Signal {
        pickup: s.pickup + 1,
        peak_v: number(s.peak, one),
        need_v: number(s.need, one),
        margin: number(s.margin, one),
        fires_from_rpm: number(s.fires_from, rpm),
        gap_mm: number(s.gap, mm),
        largest_gap_mm: number(s.largest_gap, mm),
        polarity: match s.polarity {
            Polarity::Right => "right",
            Polarity::Reversed => "reversed",
            Polarity::Unknown => "unknown",
        },
        edge_at_the_kick: s.kick_edge.map(edge),
        edge_at_top_speed: s.top_edge.map(edge),
    }
}
