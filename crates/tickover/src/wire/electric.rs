//! Charging, ride and wires, as JSON.

use super::{Number, Part, number, rpm};
use serde::Serialize;
use workshop::{
    machine::Machine,
    study::{
        Finding,
        electric::{
            NotSettled, NotTold,
            alternator::On,
            charge::{BreakEven, ChargeStudy, Compared, HotWinding, Point, Warning as ChargeWarning},
            likeness::{Fault, Shown, What},
            ride::{Alone, Plan, RideStudy},
        },
    },
};

/// Why something electrical is not told.
pub fn not_told(why: NotTold) -> &'static str {
    match why {
        NotTold::Missing(_) => "missing",
        NotTold::NoInductance => "no_inductance",
        NotTold::JoinedTooMuch => "joined_amps_too_high",
        NotTold::NotSolved(why) => not_solved(why),
        NotTold::Overloaded => "overloaded",
    }
}

fn not_solved(why: NotSettled) -> &'static str {
    match why {
        NotSettled::NotACircuit(_) => "no_circuit",
        NotSettled::BadSpeed => "no_speed",
        NotSettled::Chatter => "diodes_chatter",
        NotSettled::Wanders => "not_settled",
    }
}

fn same(x: f64) -> f64 {
    x
}

pub(super) fn plain(f: Finding) -> Number {
    number(f, same)
}

/// Charging.
#[derive(Debug, Serialize)]
pub struct Charge {
    points: Vec<ChargePoint>,
    break_even_rpm: Option<Number>,
    break_even: &'static str,
    /// Why that is unknown.
    break_even_why: Option<&'static str>,
    break_even_needed_rpm: Option<Number>,
    break_even_needed: &'static str,
    break_even_needed_why: Option<&'static str>,
    warnings: Vec<Warned>,
    /// The loads with which the stator gets warmest.
    hot_with: &'static str,
    cut_in_rpm: Number,
    stator_w: Number,
    /// The same if a shunt regulator switches many times in a period.
    stator_fast_w: Option<Number>,
    winding_fast: Option<&'static str>,
    winding_fast_c: Option<Number>,
    rectifier_w: f64,
    winding_c: Option<Number>,
    winding: &'static str,
    seen: Vec<Seen>,
    signatures: Vec<Signature>,
    looks_like: Option<Likeness>,
    ride: Part<Ride>,
}

#[derive(Debug, Serialize)]
struct ChargePoint {
    speed_rpm: f64,
    gives_a: Number,
    loads_a: f64,
    battery_a: Number,
    plus_v: Number,
    ripple_v: f64,
    swing_a: f64,
    stator_w: f64,
    rectifier_w: f64,
    through_share: f64,
    winding_rms_a: f64,
}

#[derive(Debug, Serialize)]
struct Seen {
    speed_rpm: f64,
    readings: Vec<Reading>,
}

#[derive(Debug, Serialize)]
struct Reading {
    what: String,
    read: Number,
    computed: Number,
    agrees: bool,
}

#[derive(Debug, Serialize)]
struct Signature {
    fault: &'static str,
    speed_rpm: f64,
    battery_a: f64,
    plus_v: f64,
    /// `null` while the regulator switches.
    ripple_v: f64,
    leads_v: [f64; 3],
    unplugged_v: [f64; 3],
}

#[derive(Debug, Serialize)]
struct Likeness {
    fits: bool,
    readings: usize,
    faults: Vec<Weighed>,
}

#[derive(Debug, Serialize)]
struct Weighed {
    fault: &'static str,
    /// Lead or phase, counted from 1.
    place: Option<usize>,
    /// Flux left, share of turns, or ohms.
    size: Option<f64>,
    share: f64,
    misfit: f64,
}

/// The battery over a ride.
#[derive(Debug, Serialize)]
struct Ride {
    lasts_s: f64,
    parts: Vec<RidePart>,
    start_share: Number,
    end_share: Number,
    charge: Vec<[f64; 2]>,
    plan: &'static str,
    switch_off: Vec<String>,
    alone: Option<[AloneOnWire; 2]>,
}

#[derive(Debug, Serialize)]
struct RidePart {
    speed_rpm: f64,
    road_km_h: f64,
    time_share: f64,
    battery_a: f64,
}

#[derive(Debug, Serialize)]
struct AloneOnWire {
    lasts_s: Number,
    way_km: Number,
    draws_a: f64,
    left_share: f64,
}

/// Whether, at what speed, and why it is not known.
fn even(found: BreakEven) -> (&'static str, Option<Number>, Option<&'static str>) {
    match found {
        BreakEven::At(speed) => ("at", Some(number(speed, rpm)), None),
        BreakEven::Never => ("never", None, None),
        BreakEven::Always => ("always", None, None),
        BreakEven::Unknown(why) => ("unknown", None, Some(not_solved(why))),
    }
}

/// Something dangerous: what, how much with its unit in the name, and the limit.
#[derive(Debug, Serialize)]
struct Warned {
    warning: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    volts: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    read: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    winding_c: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bears_c: Option<f64>,
}

fn warned(warning: &ChargeWarning) -> Warned {
    let none = |warning| Warned { warning, volts: None, limit_v: None, read: None, winding_c: None, bears_c: None };
    match *warning {
        ChargeWarning::Boils { volts, limit_v, read } => {
            Warned { volts: Some(plain(volts)), limit_v: Some(limit_v), read: Some(read), ..none("boils") }
        }
        ChargeWarning::WindingTooWarm { reaches, bears_k } => Warned {
            winding_c: Some(plain(Finding { si: celsius(reaches.si), ..reaches })),
            bears_c: Some(celsius(bears_k)),
            ..none("winding_too_warm")
        },
        ChargeWarning::WindingRunsAway => none("winding_runs_away"),
    }
}

fn celsius(kelvin: f64) -> f64 {
    kelvin - 273.15
}

fn fault(f: Fault) -> (&'static str, Option<usize>, Option<f64>) {
    match f {
        Fault::Sound => ("sound", None, None),
        Fault::DeadPhase(k) => ("dead_phase", Some(k + 1), None),
        Fault::OpenDiode(k, true) => ("open_diode_to_plus", Some(k + 1), None),
        Fault::OpenDiode(k, false) => ("open_diode_from_frame", Some(k + 1), None),
        Fault::ShortedDiode(k, true) => ("shorted_diode_to_plus", Some(k + 1), None),
        Fault::ShortedDiode(k, false) => ("shorted_diode_from_frame", Some(k + 1), None),
        Fault::WeakMagnets(left) => ("weak_magnets", None, Some(left)),
        Fault::TurnsShorted(k, share) => ("turns_shorted", Some(k + 1), Some(share)),
        Fault::BadJoint(k, ohm) => ("bad_joint", Some(k + 1), Some(ohm)),
        Fault::AlwaysJoined => ("regulator_shorts", None, None),
        Fault::NeverHeld => ("regulator_does_not_regulate", None, None),
    }
}

fn what(w: What) -> String {
    let pair = |k: usize| ["12", "23", "31"][k.min(2)];
    match w {
        What::Amps => "amps".to_owned(),
        What::Volts => "volts".to_owned(),
        What::Ripple => "ripple".to_owned(),
        What::Leads(k) => format!("leads_{}", pair(k)),
        What::Unplugged(k) => format!("unplugged_{}", pair(k)),
    }
}

impl Charge {
    /// From the studies.
    pub fn of(machine: &Machine, study: &ChargeStudy, ride: &Result<RideStudy, NotTold>) -> Self {
        let point = |p: &Point| ChargePoint {
            speed_rpm: rpm(p.crank_rad_s),
            gives_a: plain(p.gives),
            loads_a: p.loads_a,
            battery_a: plain(p.battery),
            plus_v: plain(p.plus),
            ripple_v: p.ripple_v,
            swing_a: p.swing_a,
            stator_w: p.stator_w,
            rectifier_w: p.unit_w,
            through_share: p.through,
            winding_rms_a: p.winding_rms_a,
        };
        let reading =
            |c: &Compared| Reading { what: what(c.what), read: plain(c.read), computed: plain(c.computed), agrees: c.agrees() };
        let told = |hot: HotWinding| match hot {
            HotWinding::NotKnown => ("not_known", None),
            HotWinding::At(k) => ("at", Some(plain(Finding { si: celsius(k.si), plus_minus_si: k.plus_minus_si }))),
            HotWinding::Runaway => ("no_balance", None),
        };
        let (winding, winding_c) = told(study.hot);
        let (break_even, break_even_rpm, break_even_why) = even(study.break_even);
        let (break_even_needed, break_even_needed_rpm, break_even_needed_why) = even(study.break_even_needed);
        Self {
            points: study.points.iter().map(point).collect(),
            break_even_rpm,
            break_even,
            break_even_why,
            break_even_needed_rpm,
            break_even_needed,
            break_even_needed_why,
            warnings: study.warnings.iter().map(warned).collect(),
            hot_with: if study.hot_on == On::All { "everything" } else { "what_must_stay_on" },
            cut_in_rpm: number(study.cut_in, rpm),
            stator_w: plain(study.hot_w.0),
            stator_fast_w: study.hot_fast.map(|(w, _)| plain(w)),
            winding_fast: study.hot_fast.map(|(_, hot)| told(hot).0),
            winding_fast_c: study.hot_fast.and_then(|(_, hot)| told(hot).1),
            rectifier_w: study.hot_w.1,
            winding_c,
            winding,
            seen: study
                .seen
                .iter()
                .map(|(s, list)| Seen { speed_rpm: rpm(*s), readings: list.iter().map(reading).collect() })
                .collect(),
            signatures: study
                .signatures
                .iter()
                .map(|s| {
                    let Shown { amps, volts, ripple, leads, unplugged, .. } = s.shown;
                    Signature {
                        fault: fault(s.fault).0,
                        speed_rpm: rpm(s.crank_rad_s),
                        battery_a: amps,
                        plus_v: volts,
                        ripple_v: ripple,
                        leads_v: leads,
                        unplugged_v: unplugged,
                    }
                })
                .collect(),
            looks_like: study.likeness.as_ref().map(|found| Likeness {
                fits: found.fits,
                readings: found.readings,
                faults: found
                    .kinds
                    .iter()
                    .map(|k| {
                        let (fault, place, size) = fault(k.best);
                        Weighed { fault, place, size, share: k.share, misfit: k.misfit }
                    })
                    .collect(),
            }),
            ride: match ride {
                Ok(found) => Part::Found(Ride::of(machine, found)),
                Err(why) => Part::Not { not_studied: not_told(*why) },
            },
        }
    }
}

impl Ride {
    fn of(machine: &Machine, study: &RideStudy) -> Self {
        let (plan, off) = match &study.plan {
            Plan::AllOn => ("all_on", &[][..]),
            Plan::Off(list) => ("switch_off", &list[..]),
            Plan::NotEnough(list) => ("not_enough", &list[..]),
        };
        let alone = |a: &Alone| AloneOnWire {
            lasts_s: plain(a.lasts),
            way_km: number(a.way, |m| m * 1e-3),
            draws_a: a.draws_a,
            left_share: a.left,
        };
        Self {
            lasts_s: study.lasts_s,
            parts: study
                .parts
                .iter()
                .zip(&study.battery_a)
                .map(|(p, amps)| RidePart {
                    speed_rpm: rpm(p.crank_rad_s),
                    road_km_h: p.road_m_s * 3.6,
                    time_share: p.share,
                    battery_a: *amps,
                })
                .collect(),
            start_share: plain(study.ends[0]),
            end_share: plain(study.ends[1]),
            charge: study.charge.iter().map(|p| [p.0, p.1]).collect(),
            plan,
            switch_off: off.iter().map(|k| machine.electric.loads[*k].name.clone()).collect(),
            alone: study.alone.as_ref().map(|both| both.each_ref().map(alone)),
        }
    }
}
