//! Readings set against each other: what cannot be true together is a defect, what is odd a warning.
//!
//! A placeholder for a bad reading is NaN; every comparison here is written so that NaN proves nothing.

mod charging;
mod rotor;
mod spark;

use std::f64::consts::{PI, TAU};

use super::{
    Arrangement, Engine, LawData, Machine, Reading, SegmentLength, Strokes, Trigger, Valves, defect::Inconsistency as Odd,
    walk::Walk,
};
use crate::study::warning::Warning;
use physics::cycle::LEAST_RUNNER;
use quantity::{CrankAngle, Unit};

/// Later than this no trailing edge fires a running engine (common practice, no source): 30° after top dead centre.
const LATEST_TRAILING_EDGE: CrankAngle = CrankAngle::from_degrees(-30.0);

/// A least advance later than this is odd enough to be said (common practice, no source): idle timing is 0° to 12° before.
const LATE_TRAILING_EDGE: CrankAngle = CrankAngle::from_degrees(-5.0);

/// A valve is open for less than a whole turn and a half on any cam (common practice, no source).
const LONGEST_OPEN: CrankAngle = CrankAngle::from_degrees(400.0);

pub(super) fn all(machine: &Machine, walk: &mut Walk<'_>) {
    engine(&machine.engine, walk);
    if let Some(trigger) = &machine.trigger {
        segment(trigger, walk);
        pickups(machine, trigger, walk);
    }
    law(machine, walk);
    speeds(machine, walk);
    strobe(machine, walk);
    rotor::rotor(machine, walk);
    spark::spark(machine, walk);
    charging::electric(machine, walk);
}

fn engine(engine: &Engine, walk: &mut Walk<'_>) {
    let least_m = 0.5 * engine.stroke.si + engine.pin_offset.si.abs();
    if engine.rod.si <= least_m {
        walk.inconsistent("engine.rod", Odd::RodTooShort { rod_m: engine.rod.si, least_m });
    }
    let cycle_rad = match engine.strokes {
        Strokes::Two => TAU,
        Strokes::Four => 2.0 * TAU,
    };
    for (i, cylinder) in engine.cylinders.iter().enumerate() {
        if cylinder.fires_at.si >= cycle_rad {
            walk.inconsistent(&format!("engine.cylinder[{i}].fires_at"), Odd::FiresOutsideCycle { cycle_rad });
        }
        let again = !cylinder.name.is_empty() && engine.cylinders[..i].iter().any(|other| other.name == cylinder.name);
        if again {
            walk.inconsistent(&format!("engine.cylinder[{i}].name"), Odd::SameName);
        }
    }
    if engine.strokes == Strokes::Two {
        for (path, there) in [("engine.valves", engine.valves.is_some()), ("engine.inlet", engine.inlet.is_some())] {
            if there {
                walk.inconsistent(path, Odd::TwoStrokeWithValves);
            }
        }
    }
    if let Some(v) = &engine.valves {
        valves(v, engine.bore.si, walk);
    }
    if let Some(inlet) = &engine.inlet {
        let throttle_m = inlet.throttle_bore.si;
        if inlet.arrangement == Arrangement::Own && throttle_m > engine.bore.si {
            walk.inconsistent("engine.inlet.throttle_bore", Odd::ThrottleExceedsBore { throttle_m, bore_m: engine.bore.si });
        }
        let least_m3 = LEAST_RUNNER * engine.swept_m3();
        if inlet.volume.si < least_m3 {
            walk.inconsistent("engine.inlet.volume", Odd::InletTooSmall { volume_m3: inlet.volume.si, least_m3 });
        }
    }
}

fn valves(valves: &Valves, bore_m: f64, walk: &mut Walk<'_>) {
    for (path, valve_m) in [
        ("engine.valves.inlet_diameter", valves.inlet_diameter.si),
        ("engine.valves.exhaust_diameter", valves.exhaust_diameter.si),
    ] {
        if valve_m >= bore_m {
            walk.inconsistent(path, Odd::ValveExceedsBore { valve_m, bore_m });
        }
    }
    for (path, opens, closes) in [
        ("engine.valves.inlet_closes", &valves.inlet_opens, &valves.inlet_closes),
        ("engine.valves.exhaust_opens", &valves.exhaust_opens, &valves.exhaust_closes),
    ] {
        let duration_rad = opens.si + PI + closes.si;
        if duration_rad <= 0.0 || duration_rad >= LONGEST_OPEN.radians() {
            walk.inconsistent(path, Odd::ValveOpenFor { duration_rad });
        }
    }
}

fn segment(trigger: &Trigger, walk: &mut Walk<'_>) {
    let diameter_m = trigger.rim_diameter.si;
    let (path, arc_m) = match &trigger.segment {
        SegmentLength::Arc(arc) => ("trigger.segment_arc", arc.si),
        SegmentLength::Chord(chord) if chord.si > diameter_m => {
            walk.inconsistent("trigger.segment_chord", Odd::ChordExceedsRim { chord_m: chord.si, diameter_m });
            return;
        }
        // arc = D asin(chord/D)
        SegmentLength::Chord(chord) => ("trigger.segment_chord", diameter_m * (chord.si / diameter_m).asin()),
    };
    let circumference_m = PI * diameter_m;
    if arc_m >= circumference_m {
        walk.inconsistent(path, Odd::SegmentExceedsRim { arc_m, circumference_m });
        return;
    }
    let arc = trigger.drive.to_crank(quantity::RotorAngle::from_radians(2.0 * arc_m / diameter_m));
    let least = CrankAngle::from_radians(trigger.lead.si) - arc;
    if least < LATEST_TRAILING_EDGE {
        let kind = Odd::TrailingEdgeTooLate { least_advance_rad: least.radians(), limit_rad: LATEST_TRAILING_EDGE.radians() };
        walk.inconsistent(path, kind);
    } else if least < LATE_TRAILING_EDGE {
        walk.warnings.push(Warning::LateTrailingEdge { least_advance_rad: least.radians() });
    }
}

fn pickups(machine: &Machine, trigger: &Trigger, walk: &mut Walk<'_>) {
    if trigger.pickups.iter().any(|pickup| pickup.fires.is_empty()) {
        // A pickup whose cylinders are in doubt has its own defect.
        return;
    }
    for (i, cylinder) in machine.engine.cylinders.iter().enumerate() {
        let pickups = trigger.pickups.iter().filter(|pickup| pickup.fires.contains(&i)).count();
        if pickups != 1 && !trigger.pickups.is_empty() {
            walk.inconsistent("trigger.pickup", Odd::CylinderFiredBy { cylinder: cylinder.name.clone(), pickups });
        }
    }
}

/// Notes a speed that does not lie below another.
fn below(walk: &mut Walk<'_>, path: &str, speed: &Reading, other: &'static str, limit: &Reading) {
    if speed.si >= limit.si {
        let kind = Odd::SpeedNotBelow { speed_rad_s: speed.si, other, other_rad_s: limit.si };
        walk.inconsistent(path, kind);
    }
}

fn law(machine: &Machine, walk: &mut Walk<'_>) {
    match &machine.law {
        Some(LawData::Ramp { start, full } | LawData::TwoEdge { start, full }) => {
            below(walk, "law.start", start, "law.full", full);
            if machine.trigger.is_none() {
                walk.inconsistent("law.kind", Odd::LawNeedsTrigger);
            }
        }
        Some(LawData::Table(points)) => {
            let falls = points.windows(2).any(|pair| pair[1].0.si <= pair[0].0.si);
            if points.len() < 2 || falls {
                walk.inconsistent("law.point", Odd::TableNotRising);
            }
        }
        Some(LawData::BobWeights(weights)) if weights.second_rate.is_some() != weights.second_gap.is_some() => {
            let path = if weights.second_rate.is_some() { "law.second_rate" } else { "law.second_gap" };
            walk.inconsistent(path, Odd::SecondSpringIncomplete);
        }
        Some(LawData::BobWeights(weights)) => {
            let swing = weights.range.si * weights.drive.turns_per_crank_turn() / weights.cam_per_swing.si;
            let open_rad = weights.rest_angle.si + swing;
            if open_rad >= PI {
                walk.inconsistent("law.rest_angle", Odd::WeightsSwingPastShaft { open_rad });
            }
        }
        _ => {}
    }
}

fn speeds(machine: &Machine, walk: &mut Walk<'_>) {
    let engine = &machine.engine;
    below(walk, "engine.kicking_speed", &engine.kicking_speed, "engine.top_speed", &engine.top_speed);
    if let Some(idle) = &machine.idle {
        below(walk, "idle.speed", &idle.speed, "engine.top_speed", &engine.top_speed);
        if let Some(hangs_at) = &idle.hangs_at {
            below(walk, "idle.speed", &idle.speed, "idle.hangs_at", hangs_at);
            below(walk, "idle.hangs_at", hangs_at, "engine.top_speed", &engine.top_speed);
        }
    }
}

fn strobe(machine: &Machine, walk: &mut Walk<'_>) {
    let engine = &machine.engine;
    for (i, reading) in machine.strobe.iter().enumerate() {
        if reading.speed.si > engine.top_speed.si + engine.top_speed.plus_minus_si {
            below(walk, &format!("strobe[{i}].speed"), &reading.speed, "engine.top_speed", &engine.top_speed);
        }
        let travel = matches!(reading.advance.unit, Unit::MillimetreBtdc | Unit::InchBtdc);
        if travel && reading.advance.si > engine.stroke.si {
            let kind = Odd::TravelExceedsStroke { travel_m: reading.advance.si, stroke_m: engine.stroke.si };
            walk.inconsistent(&format!("strobe[{i}].advance"), kind);
        }
    }
}
