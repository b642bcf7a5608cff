//! An invented machine and an invented study of it, with plausible numbers, for tests of words and pictures.
#![allow(dead_code)]

use physics::law::{Law, Ramp, Segment};
use quantity::{CrankAngle, DriveRatio, Reading, Source, Unit};
use workshop::machine::*;
use workshop::study::{
    curve::{
        BandPoint, CurveReading, CurveStudy, CylinderCurve, LawKind, LawSupport, NextReading, Origin, Parameter, ParameterName,
    },
    idle::{Chance, CycleAtIdle, Dependence, Fold, IdleStudy, RestLinePoint, RestPicture, RestPoint, Verdict},
    load::{Bound, Kick, LoadStudy, Now, Sweep},
    model::SparkPoint,
    sensitivity::{Input, InputShare, Sensitivity, Shares},
    trim::*,
    unknowns::Unknown,
    warning::Warning,
    *,
};

/// Radians per second of turns per minute.
pub fn rad_s(rpm: f64) -> f64 {
    rpm * std::f64::consts::TAU / 60.0
}

fn reading(si: f64, plus_minus_si: f64, unit: Unit) -> Reading {
    Reading { si, plus_minus_si, unit, source: Source::Estimate }
}

fn one(v: f64) -> Reading {
    reading(v, 0.0, Unit::One)
}

fn deg(d: f64, pm: f64) -> Reading {
    reading(d.to_radians(), pm.to_radians(), Unit::Degree)
}

fn mm(v: f64, pm: f64) -> Reading {
    reading(v * 1e-3, pm * 1e-3, Unit::Millimetre)
}

fn speed(rpm: f64, pm: f64) -> Reading {
    reading(rad_s(rpm), rad_s(pm), Unit::Rpm)
}

/// Least and greatest advance of the invented curve [°] and its knees [rpm].
const LEAD: f64 = 38.0;
const ARC: f64 = 34.0;

pub fn law() -> Law {
    let segment = Segment::new(CrankAngle::from_degrees(LEAD), CrankAngle::from_degrees(ARC)).unwrap();
    Law::Ramp(Ramp::from_speeds(segment, rad_s(1150.0), rad_s(3900.0)).unwrap())
}

pub fn machine() -> Machine {
    Machine {
        name: "Invented 360".to_owned(),
        engine: Engine {
            strokes: Strokes::Four,
            cylinders: ["left", "right"]
                .iter()
                .zip([0.0, 540.0])
                .map(|(n, a)| Cylinder { name: n.to_string(), fires_at: deg(a, 0.0) })
                .collect(),
            bore: mm(62.0, 0.05),
            stroke: mm(59.0, 0.1),
            rod: mm(118.0, 0.5),
            pin_offset: mm(0.0, 0.0),
            compression_ratio: one(9.0),
            valves: None,
            inlet: None,
            inertia: reading(0.02, 0.003, Unit::KilogramSquareMetre),
            rotor_mass: None,
            top_speed: speed(8500.0, 0.0),
            kicking_speed: speed(450.0, 100.0),
            octane: one(95.0),
            mixture: one(1.05),
            burn_factor: one(1.0),
            burn_scatter: one(0.05),
            friction_factor: one(1.0),
            friction_slope: None,
            ambient_pressure: reading(101_325.0, 0.0, Unit::Bar),
            ambient_temperature: reading(293.15, 0.0, Unit::Celsius),
        },
        trigger: Some(Trigger {
            drive: DriveRatio::CRANK,
            turns: Turns::Anticlockwise,
            seen_from: SeenFrom::CoverSide,
            rim_diameter: mm(104.0, 0.2),
            segment: SegmentLength::Arc(mm(30.9, 0.3)),
            lead: deg(LEAD, 0.7),
            segment_width: None,
            segment_height: None,
            pickups: vec![],
        }),
        law: None,
        strobe: vec![],
        lamp: Lamp { delay: one(0.0), mark: deg(1.0, 0.0), rev_counter: one(0.02) },
        rotor: None,
        ignition: Default::default(),
        electric: Default::default(),
        idle: Some(IdleSeen {
            speed: speed(1050.0, 40.0),
            hangs_at: Some(speed(2400.0, 100.0)),
            clutch_pulls_down: Some(true),
            tried: Tried::default(),
            rev_counter: None,
            screw_lift: None,
            nudges: vec![],
            screws: vec![],
            run_downs: vec![],
        }),
    }
}

fn finding(si: f64, pm: f64) -> Finding {
    Finding { si, plus_minus_si: pm }
}

pub fn curve() -> CurveStudy {
    let law = law();
    let band: Vec<BandPoint> = (0..=160)
        .map(|i| rad_s(450.0 + f64::from(i) * 50.0))
        .map(|s| BandPoint { speed_rad_s: s, advance: finding(law.advance(s).radians(), 1.1f64.to_radians()) })
        .collect();
    let offs: [f64; 7] = [0.4, -0.6, 0.3, -0.2, 7.0, 0.5, -0.3];
    let speeds = [900.0, 1300.0, 1800.0, 2300.0, 2800.0, 3500.0, 4500.0];
    let readings = offs.iter().zip(speeds).enumerate().map(|(index, (off, rpm))| CurveReading {
        index,
        speed: finding(rad_s(rpm), rad_s(0.02 * rpm)),
        advance: finding(law.advance(rad_s(rpm)).radians() + off.to_radians(), 1.2f64.to_radians()),
        residual_rad: off.to_radians(),
        weight: if *off > 5.0 { 0.02 } else { 0.97 },
    });
    let cylinder = CylinderCurve {
        law: law.clone(),
        kind: LawKind::Ramp,
        parameters: vec![
            Parameter { name: ParameterName::Lead, value: finding(LEAD.to_radians(), 0.7f64.to_radians()) },
            Parameter { name: ParameterName::Arc, value: finding(ARC.to_radians(), 0.9f64.to_radians()) },
            Parameter { name: ParameterName::StartSpeed, value: finding(rad_s(1150.0), rad_s(60.0)) },
            Parameter { name: ParameterName::FullSpeed, value: finding(rad_s(3900.0), rad_s(150.0)) },
        ],
        readings: readings.collect(),
        band,
        doubt: Default::default(),
    };
    CurveStudy {
        cylinders: vec![cylinder.clone(), CylinderCurve { readings: vec![], ..cylinder }],
        support: vec![
            LawSupport { kind: LawKind::Ramp, misfit: 0.8, share: 0.93 },
            LawSupport { kind: LawKind::TwoEdge, misfit: 1.9, share: 0.07 },
        ],
        next: vec![NextReading::Parts {
            kinds: (LawKind::Ramp, LawKind::TwoEdge),
            speed_rad_s: rad_s(1800.0),
            apart: finding(-4f64.to_radians(), 1.5f64.to_radians()),
        }],
        agreement: None,
        warnings: vec![Warning::WildReading { index: 4, off_rad: 7f64.to_radians() }],
    }
}

/// A rest line with two folds (as found) or none (after): opening = a polynomial of speed. Invented.
pub fn rest(hangs: bool, idle_opening: f64) -> RestPicture {
    let opening = |rpm: f64| {
        let u = (rpm - 1050.0) / 1000.0;
        let share = if hangs { 0.3 * u * (u - 0.7) * (u - 1.35) } else { 0.28 * u + 0.04 * u * u };
        idle_opening * (1.0 + share)
    };
    let speeds: Vec<f64> = (0..=120).map(|i| 600.0 + 35.0 * f64::from(i)).collect();
    let stable = |rpm: f64| opening(rpm + 1.0) > opening(rpm - 1.0);
    let line: Vec<RestLinePoint> =
        speeds.iter().map(|&r| RestLinePoint { speed_rad_s: rad_s(r), opening_m2: opening(r), stable: stable(r) }).collect();
    let crossing = |w: &[f64]| (opening(w[0]) - idle_opening) * (opening(w[1]) - idle_opening) <= 0.0;
    let points = speeds.windows(2).filter(|w| crossing(w)).map(|w| {
        let r = 0.5 * (w[0] + w[1]);
        RestPoint {
            speed_rad_s: rad_s(r),
            stable: stable(r),
            torque_slope: if stable(r) { -0.02 } else { 0.015 },
            time_constant_s: if stable(r) { 0.9 } else { -1.3 },
            stiffness_rad_s_per_percent: if stable(r) { rad_s(if hangs { 62.0 } else { 23.0 }) } else { -rad_s(50.0) },
            advance_rad: law().advance(rad_s(r)).radians(),
        }
    });
    let folds = speeds
        .windows(2)
        .filter(|w| stable(w[0]) != stable(w[1]))
        .map(|w| Fold { opening_m2: opening(w[0]), speed_rad_s: rad_s(w[0]) });
    RestPicture { points: points.collect(), line, folds: folds.collect() }
}

const OPENING: f64 = 4.2e-6;

fn cycle(advance_gain: f64) -> CycleAtIdle {
    CycleAtIdle {
        residual_fraction: 0.31,
        half_burned_rad: (38.0 - advance_gain).to_radians(),
        best_advance_rad: 34f64.to_radians(),
        best_is_beyond: false,
        torque_share: 0.55 + 0.02 * advance_gain,
        peak_pressure_pa: 6.4e5,
        runner_pressure_pa: 4.1e4,
    }
}

pub fn doubt() -> Sensitivity {
    let shares = |first: f64, total: f64| Shares { first: finding(first, 0.03), total: finding(total, 0.04) };
    let input = |input: Input, first: f64, total: f64| InputShare {
        input,
        hang: Some(shares(first, total)),
        spare: shares(first + 0.05, total - 0.02),
    };
    Sensitivity {
        inputs: vec![
            input(Input::Of(Unknown::BurnFactor), 0.52, 0.66),
            input(Input::Curve(Origin::Readings), 0.21, 0.35),
            input(Input::Of(Unknown::IdleSpeed), 0.02, 0.06),
        ],
        points: 2560,
    }
}

pub fn idle() -> IdleStudy {
    let hangs = Verdict::Hangs { at_rad_s: rad_s(2400.0) };
    IdleStudy {
        opening_m2: Some(OPENING),
        rest: rest(true, OPENING),
        verdict: hangs,
        chance: Chance { hanging: 164, of: 200, low: 0.76, high: 0.87 },
        doubt: doubt(),
        cycle: cycle(0.0),
        depends: vec![Dependence {
            on: workshop::study::idle::Parameter::BurnFactor,
            low: (0.8, hangs),
            as_given: (1.0, hangs),
            high: (1.2, Verdict::Weak),
        }],
        run: None,
        calibration: None,
        warnings: vec![Warning::DefaultUsed { field: "engine.burn_factor" }],
    }
}

pub fn rotor(cut_m: f64) -> RotorPicture {
    RotorPicture {
        turns: Turns::Anticlockwise,
        seen_from: SeenFrom::CoverSide,
        rim_diameter_m: 0.104,
        segment_arc_m: 0.0309,
        cut_m,
        pickups_rad: vec![0.0, std::f64::consts::PI],
        lead_rotor_rad: LEAD.to_radians(),
        turns_per_crank_turn: 1.0,
    }
}

fn outcome(cut_mm: f64) -> CutOutcome {
    let crank = cut_mm / 52.0;
    let serves = cut_mm > 5.0;
    CutOutcome {
        cut_m: cut_mm * 1e-3,
        cut_crank_rad: crank,
        least_advance: finding((LEAD - ARC).to_radians() + crank, 1.1f64.to_radians()),
        same_stop: rest(!serves, OPENING),
        same_idle: rest(!serves, OPENING * (1.0 - 0.01 * cut_mm)),
        verdict: if serves { Verdict::Steady } else { Verdict::Hangs { at_rad_s: rad_s(2400.0) } },
        chance: Some(if serves {
            Chance { hanging: 4, of: 200, low: 0.008, high: 0.05 }
        } else {
            Chance { hanging: 164, of: 200, low: 0.76, high: 0.87 }
        }),
        stiffness_rad_s_per_percent: rad_s(if serves { 23.0 } else { 62.0 }),
        cycle: cycle(crank.to_degrees()),
        kick_back: KickBack {
            work_against_j: 4.0 + cut_mm,
            turning_energy_j: 22.0,
            passes: cut_mm < 9.0,
            advance: finding((LEAD - ARC).to_radians() + crank, 1.1f64.to_radians()),
            limit: Bound::At(finding(22f64.to_radians(), 6f64.to_radians())),
        },
        segment_left_m: 0.0309 - cut_mm * 1e-3,
        unbalance: Some(Unbalance { made_kg_m: 1.1e-5 * cut_mm, permissible_kg_m: 1.0e-5 }),
    }
}

pub fn window() -> CutWindow {
    CutWindow {
        least_m: 5.2e-3,
        most_m: 8.8e-3,
        advised: finding(6.3e-3, 0.3e-3),
        advised_crank: finding(6.3 / 52.0, 0.3 / 52.0),
        bounded_by: Limit::KickBack,
    }
}

fn knock_room(degrees: f64) -> KnockRoom {
    KnockRoom { at_rad_s: rad_s(2125.0), room: finding(degrees.to_radians(), 5f64.to_radians()) }
}

/// Humps of torque, half a per cent down for 4° off the best.
pub fn load() -> LoadStudy {
    let sweep = |rpm: f64, best: f64, now: f64, most: f64| {
        let torque = |deg: f64| most * (1.0 - 3e-4 * (deg - best).powi(2));
        let point = |deg: f64| SparkPoint {
            advance_rad: deg.to_radians(),
            torque_nm: torque(deg),
            peak_pa: 3e6 + 6e4 * deg,
            peak_at_rad: (14.0 + 0.4 * (best - deg)).to_radians(),
            settled: true,
        };
        Sweep {
            speed_rad_s: rad_s(rpm),
            opening_m2: 3e-4,
            points: (-5..=30).map(|i| point(2.0 * f64::from(i))).collect(),
            best: Bound::At(finding(best.to_radians(), 4f64.to_radians())),
            at_best: point(best),
            knock: if rpm < 7000.0 {
                Bound::At(finding((best + 6.0).to_radians(), 5f64.to_radians()))
            } else {
                Bound::Above(1.0)
            },
            now: Some(Now {
                advance: finding(now.to_radians(), 1.1f64.to_radians()),
                torque_share: torque(now) / most,
                peak_pa: point(now).peak_pa,
                peak_at_rad: point(now).peak_at_rad,
            }),
        }
    };
    LoadStudy {
        idle: Some(sweep(1050.0, 44.0, 4.0, 2.1)),
        wide_open: (2..=8).map(|k| sweep(8500.0 * f64::from(k) / 8.0, 26.0 + f64::from(k), 38.0, 30.0)).collect(),
        octane: finding(95.0, 1.0),
        kick: Kick {
            speed: finding(rad_s(450.0), rad_s(100.0)),
            now: Some(finding(4f64.to_radians(), 1.1f64.to_radians())),
            limit: Bound::At(finding(22f64.to_radians(), 6f64.to_radians())),
            energy: finding(14.5, 7.3),
            taken_now: Some(finding(1.2, 0.4)),
        },
        warnings: vec![],
    }
}

pub fn trim() -> TrimStudy {
    TrimStudy {
        advice: Advice::Cut(window()),
        cuts: [0.0, 2.0, 4.0, 6.3, 8.0, 10.0].map(outcome).to_vec(),
        drawing: rotor(6.3e-3),
        tried: (160, 1),
        doubt: Some(Sensitivity { inputs: vec![InputShare { hang: None, ..doubt().inputs[0] }], points: 2560 }),
        reversible: vec![
            Reversible {
                way: ReversibleWay::PlateShift { by_rad: 6f64.to_radians() },
                verdict: Verdict::Steady,
                full_advance_rad: 44f64.to_radians(),
                knock: Some(knock_room(-2.0)),
                objections: vec![Objection::TopEndMoves { by_rad: 6f64.to_radians() }, Objection::Knocks(knock_room(-2.0))],
            },
            Reversible {
                way: ReversibleWay::LaterModule {
                    start_rad_s: rad_s(2000.0),
                    full_rad_s: rad_s(4500.0),
                    least_advance_rad: 0.07,
                },
                verdict: Verdict::Steady,
                full_advance_rad: 38f64.to_radians(),
                knock: None,
                objections: vec![Objection::MayHang(Chance { hanging: 30, of: 200, low: 0.11, high: 0.21 })],
            },
        ],
        warnings: vec![],
    }
}

pub fn study() -> Study {
    Study { curve: curve(), idle: Ok(idle()), alike: Err(NotStudied::NoHangSeen), load: Ok(load()), trim: Ok(trim()) }
}
