//! What metal may come off: the plan in words.

use super::found::{depth, grams, kg_cm2, mpa_pm, zone_name};
use crate::words::{Caution, mm, mm_pm, mm_to_hundredth, not_studied, number, percent, pm, rpm_pm};
use workshop::machine::rotor::Rotor;
use workshop::study::Finding;
use workshop::study::rotor::{
    CutFinding, Forbidden, Held, LEAST_BURST, LEAST_RESERVE, Lighten, Limit, MOST_OFF, NEW_CORNER_M, Step, ZonePlan,
};

/// Before metal comes off a rotor (common practice, no source).
pub const fn cautions() -> &'static [Caution] {
    &[
        Caution {
            danger: "A rotor that was thinned, cut with sharp corners or cracked can burst, and its magnets fly.",
            protects: "Test for cracks before and after; cracked means scrap. Never behind magnets, no drilled rows, no welding. Cover on and nobody in the plane of the rotor at the first run.",
        },
        Caution {
            danger: "Chuck jaws on the rim spring it and crack magnets; a chuck key left in flies.",
            protects: "Turn it on a mandrel of the crank's own taper, drawn up by its own nut. Guard, no gloves, key out of the chuck.",
        },
        Caution {
            danger: "Strong magnets draw fingers and swarf, and disturb pacemakers.",
            protects: "Cover them with tape and film; keep pacemakers away; wash and look again.",
        },
        Caution {
            danger: "Metal that is off cannot be put back, and an unbalanced rotor shakes bearings and crank to pieces.",
            protects: "Small cuts, measured after each. Balance it afterwards, mark the timing again, note the new mass.",
        },
    ]
}

/// Before holes are drilled to balance it, besides [`cautions`] (common practice, no source).
pub const fn cautions_for_drilling() -> &'static [Caution] {
    &[Caution {
        danger: "A drill that grabs or goes too deep breaks into a magnet or the bond behind it; its swarf clings to the magnets and cuts winding and skin. A hole in the wrong face or place doubles the unbalance.",
        protects: "Mark face and places with the rotor lying as the plan says. Clamp it, depth stop set, goggles on; magnets covered with tape and film, swarf off them before it goes back.",
    }]
}

/// What is missing, and what to do.
pub const fn held(why: Held) -> &'static str {
    match why {
        Held::NoRotor => "Not studied: the file has no [rotor].",
        Held::NoPieces => {
            "Not studied: the file has no pieces of the rotor's section. Add each turned piece under [[rotor.piece]]."
        }
        Held::NoMetal => {
            "The file does not say what the rotor is of. Without its metal nothing is said of its strength, and no metal is to come off: add “metal” under [rotor]."
        }
        Held::NoTopSpeed => {
            "The file does not say how fast the rotor's maker lets it turn. Without that no metal is to come off: add “top_speed” under [rotor]."
        }
        Held::NotBearing => {
            "Stresses cannot be told: the pieces do not make a boss, a web and a rim that hold each other. Check which part each piece is. No metal is to come off before that."
        }
        Held::NoZones => "The file names no face from which metal might come off. Add one under [[rotor.zone]].",
    }
}

/// The advice in a sentence or two.
pub fn advice(rotor: &Rotor, plan: &Lighten) -> String {
    let Some(last) = plan.steps.last() else {
        return "No face of this rotor may be cut. Leave it as it is.".to_owned();
    };
    let off = last.after.inertia_off.si;
    let whole = plan.as_found.engine_inertia.si;
    let cuts: Vec<String> = plan.steps.iter().map(|s| format!("{} off {}", depth(s.depth), zone_name(rotor, s.zone))).collect();
    let kick = plan
        .kick_unknown
        .map_or_else(String::new, |why| format!(" Whether a kick might turn back was not looked at. {}", not_studied(why)));
    format!(
        "At the most {}. That takes {} and {} off the rotor, {} of all that turns with the crank. It does not move the speeds at which the engine rests: a hang stays where it is.{kick}",
        cuts.join(", then "),
        grams(last.after.mass_off),
        kg_cm2(last.after.inertia_off),
        percent(off / whole)
    )
}

/// A step of the plan.
pub fn step(rotor: &Rotor, s: &Step) -> String {
    format!(
        "{}: {} in even facing cuts, corners of at least {}; then {} left, stress {}, bursts at {}, {} times below yielding by spin.",
        zone_name(rotor, s.zone),
        depth(s.depth),
        mm(NEW_CORNER_M),
        percent(s.after.wall_left),
        mpa_pm(s.after.greatest),
        rpm_pm(s.after.bursts_at),
        pm(s.after.reserve.si, s.after.reserve.plus_minus_si, 1)
    )
}

/// A zone in a line.
pub fn zone_line(rotor: &Rotor, k: usize, plan: &ZonePlan) -> String {
    let name = zone_name(rotor, k);
    match plan.forbidden {
        Some(why) => format!("{name}: nothing. {}", forbidden(why)),
        None => format!("{name}: up to {}. {}", mm_to_hundredth(plan.most_m), limit(plan.bounded_by)),
    }
}

/// Why nothing may come off a face.
pub fn forbidden(why: Forbidden) -> String {
    match why {
        Forbidden::BehindMagnets => "It is the wall behind the magnets: their seat, and the way back for their flux.".to_owned(),
        Forbidden::CastIron => "Grey cast iron breaks without yielding. It is not cut without a proper stress review.".to_owned(),
        Forbidden::AsFound(limit) => format!("As found it is beyond a limit already. {}", self::limit(limit)),
    }
}

/// What stops a cut.
pub fn limit(l: Limit) -> String {
    match l {
        Limit::BehindMagnets => forbidden(Forbidden::BehindMagnets),
        Limit::CastIron => forbidden(Forbidden::CastIron),
        Limit::Seat => {
            "With the press of its seat it might yield: check the nut's torque, blue the seat, or have the metal's hardness read."
                .to_owned()
        }
        Limit::Wall => "The wall that must be left stops it.".to_owned(),
        Limit::MagnetEnds => "The magnets' ends must stay on their seat.".to_owned(),
        Limit::Yield => format!("The greatest stress must stay {} times below the proof stress.", number(LEAST_RESERVE, 1)),
        Limit::Burst => format!("It must not burst below {} times its top speed.", number(LEAST_BURST, 1)),
        Limit::Inertia => format!("No more than {} of the rotor's inertia is to come off.", percent(MOST_OFF)),
        Limit::KickBack => "With less inertia a kick might turn back.".to_owned(),
        Limit::NoFactor => "A corner, a step or a row of holes lies beyond the charts, so its stress cannot be told.".to_owned(),
        Limit::Deepest => "That is the deepest that was asked for.".to_owned(),
    }
}

/// What a cut leaves of the puller's threads.
pub fn threads_left(left: Finding) -> String {
    format!("The threads for the puller are {} long then. Screw it in all the way, or it strips them.", mm_pm(left))
}

/// A cut as a row: the metal.
pub fn cut_row(f: &CutFinding) -> Vec<String> {
    vec![
        mm_to_hundredth(f.depth_m),
        grams(f.mass_off),
        kg_cm2(f.inertia_off),
        percent(f.wall_left),
        mpa_pm(f.greatest),
        mpa_pm(f.peak),
    ]
}

/// A cut as a row: the share of the rotor's own inertia that is off, and what it does to rotor and engine.
pub fn engine_row(f: &CutFinding) -> Vec<String> {
    let or_not = |said: Option<String>| said.unwrap_or_else(|| "—".to_owned());
    let seconds = |t: Option<Finding>| or_not(t.map(|t| format!("{}\u{a0}s", pm(t.si, t.plus_minus_si, 2))));
    vec![
        mm_to_hundredth(f.depth_m),
        format!("{}\u{a0}%", number(100.0 * f.inertia_off.si / (f.inertia.si + f.inertia_off.si), 1)),
        rpm_pm(f.bursts_at),
        or_not(f.unevenness.map(|u| format!("{}\u{a0}%", pm(100.0 * u.si, 100.0 * u.plus_minus_si, 1)))),
        seconds(f.rev_up),
        seconds(f.run_down),
    ]
}
