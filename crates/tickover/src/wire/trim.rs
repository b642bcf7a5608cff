//! The trim plan as JSON.

use super::{
    Chance, Number, Rest, Sensitivity, Warning, deg,
    idle::{Cycle, Verdict, cycle, verdict},
    load::Bound,
    mm, number, rpm, warning,
};
use serde::Serialize;
use workshop::study::trim::{self, Advice as Found, CutOutcome, CutWindow, Limit, ReversibleWay, TrimStudy};

/// What a cut does, and the least that serves.
#[derive(Debug, Serialize)]
pub struct Trim {
    advice: Advice,
    reversible: Vec<Reversible>,
    cuts: Vec<Cut>,
    chances: Order,
    doubt: Option<Sensitivity>,
    warnings: Vec<Warning>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
enum Advice {
    NoneNeeded,
    /// `way` counts from 0 in `reversible`.
    TryReversibleFirst {
        way: usize,
        otherwise: Option<Window>,
    },
    /// `otherwise` is an advice like this one.
    RuleOutFirst {
        explains: super::alike::Verdict,
        otherwise: Box<Advice>,
    },
    Cut {
        window: Window,
    },
    NoCutServes {
        because: &'static str,
    },
}

#[derive(Debug, Serialize)]
struct Window {
    least_mm: f64,
    most_mm: f64,
    advised_mm: Number,
    advised_crank_deg: Number,
    bounded_by: &'static str,
}

#[derive(Debug, Serialize)]
struct Reversible {
    way: &'static str,
    by_deg: Option<f64>,
    start_rpm: Option<f64>,
    full_rpm: Option<f64>,
    least_advance_deg: Option<f64>,
    verdict: Verdict,
    full_advance_deg: f64,
    serves: bool,
    knock: Option<KnockRoom>,
    objections: Vec<Objection>,
}

/// The chances of the cuts follow from the least cut that cures each case. Cases that were tried at every cut, and those of them that hang
/// again at a longer one.
#[derive(Debug, Serialize)]
struct Order {
    tried: usize,
    out_of_order: usize,
}

/// The least room below the knock limit, wide open; negative beyond it.
#[derive(Debug, Serialize)]
struct KnockRoom {
    at_rpm: f64,
    room_deg: Number,
}

#[derive(Debug, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
enum Objection {
    NotSteady,
    MayHang { chance_of_hang: Chance },
    KicksBack,
    TopEndMoves { by_deg: f64 },
    Knocks { at_rpm: f64, room_deg: Number },
    KnockNotKnown { from_rpm: f64 },
}

#[derive(Debug, Serialize)]
struct Cut {
    cut_mm: f64,
    cut_crank_deg: f64,
    least_advance_deg: Number,
    verdict: Verdict,
    chance_of_hang: Option<Chance>,
    rpm_per_percent_air: f64,
    segment_left_mm: f64,
    kick_back: KickBack,
    unbalance: Option<Unbalance>,
    cycle: Cycle,
    rest_same_stop: Rest,
    rest_same_idle: Rest,
}

#[derive(Debug, Serialize)]
struct KickBack {
    work_against_j: f64,
    turning_energy_j: f64,
    passes: bool,
    advance_deg: Number,
    limit: Bound,
    room_deg: Option<Number>,
}

#[derive(Debug, Serialize)]
struct Unbalance {
    made_g_mm: f64,
    permissible_g_mm: f64,
}

impl Trim {
    /// From the study.
    pub fn of(study: &TrimStudy) -> Self {
        Self {
            advice: advice(&study.advice),
            reversible: study
                .reversible
                .iter()
                .map(|r| Reversible {
                    way: match r.way {
                        ReversibleWay::PlateShift { .. } => "plate_shift",
                        ReversibleWay::PickupLeads => "pickup_leads",
                        ReversibleWay::LaterModule { .. } => "later_module",
                    },
                    by_deg: match r.way {
                        ReversibleWay::PlateShift { by_rad } => Some(deg(by_rad)),
                        _ => None,
                    },
                    start_rpm: match r.way {
                        ReversibleWay::LaterModule { start_rad_s, .. } => Some(rpm(start_rad_s)),
                        _ => None,
                    },
                    full_rpm: match r.way {
                        ReversibleWay::LaterModule { full_rad_s, .. } => Some(rpm(full_rad_s)),
                        _ => None,
                    },
                    verdict: verdict(r.verdict),
                    full_advance_deg: deg(r.full_advance_rad),
                    least_advance_deg: match r.way {
                        ReversibleWay::LaterModule { least_advance_rad, .. } => Some(deg(least_advance_rad)),
                        _ => None,
                    },
                    serves: r.serves(),
                    knock: r.knock.as_ref().map(knock_room),
                    objections: r.objections.iter().map(objection).collect(),
                })
                .collect(),
            cuts: study.cuts.iter().map(cut).collect(),
            chances: Order { tried: study.tried.0, out_of_order: study.tried.1 },
            doubt: study.doubt.as_ref().map(Sensitivity::of),
            warnings: warning::all(&study.warnings),
        }
    }
}

fn advice(found: &Found) -> Advice {
    match found {
        Found::NoneNeeded => Advice::NoneNeeded,
        Found::TryReversibleFirst { way, otherwise } => {
            Advice::TryReversibleFirst { way: *way, otherwise: otherwise.as_ref().map(window) }
        }
        Found::RuleOutFirst { explains, otherwise } => {
            Advice::RuleOutFirst { explains: super::alike::verdict(*explains), otherwise: Box::new(advice(otherwise)) }
        }
        Found::Cut(w) => Advice::Cut { window: window(w) },
        Found::NoCutServes { because } => Advice::NoCutServes { because: limit(*because) },
    }
}

fn knock_room(k: &trim::KnockRoom) -> KnockRoom {
    KnockRoom { at_rpm: rpm(k.at_rad_s), room_deg: number(k.room, deg) }
}

fn objection(o: &trim::Objection) -> Objection {
    match o {
        trim::Objection::NotSteady => Objection::NotSteady,
        trim::Objection::MayHang(chance) => Objection::MayHang { chance_of_hang: Chance::of(*chance) },
        trim::Objection::KicksBack => Objection::KicksBack,
        trim::Objection::TopEndMoves { by_rad } => Objection::TopEndMoves { by_deg: deg(*by_rad) },
        trim::Objection::Knocks(k) => Objection::Knocks { at_rpm: rpm(k.at_rad_s), room_deg: number(k.room, deg) },
        trim::Objection::KnockNotKnown { at_rad_s } => Objection::KnockNotKnown { from_rpm: rpm(*at_rad_s) },
    }
}

fn window(w: &CutWindow) -> Window {
    Window {
        least_mm: mm(w.least_m),
        most_mm: mm(w.most_m),
        advised_mm: number(w.advised, mm),
        advised_crank_deg: number(w.advised_crank, deg),
        bounded_by: limit(w.bounded_by),
    }
}

fn limit(l: Limit) -> &'static str {
    match l {
        Limit::KickBack => "kick_back",
        Limit::SegmentLength => "segment_length",
        Limit::HangRemains => "hang_remains",
        Limit::HalfOfSegment => "half_of_segment",
    }
}

/// kg·m to g·mm.
fn g_mm(kg_m: f64) -> f64 {
    kg_m * 1e6
}

fn cut(c: &CutOutcome) -> Cut {
    Cut {
        cut_mm: mm(c.cut_m),
        cut_crank_deg: deg(c.cut_crank_rad),
        least_advance_deg: number(c.least_advance, deg),
        verdict: verdict(c.verdict),
        chance_of_hang: c.chance.map(Chance::of),
        rpm_per_percent_air: rpm(c.stiffness_rad_s_per_percent),
        segment_left_mm: mm(c.segment_left_m),
        kick_back: KickBack {
            work_against_j: c.kick_back.work_against_j,
            turning_energy_j: c.kick_back.turning_energy_j,
            passes: c.kick_back.passes,
            advance_deg: number(c.kick_back.advance, deg),
            limit: Bound::of(c.kick_back.limit),
            room_deg: c.kick_back.limit.room(c.kick_back.advance).map(|room| number(room, deg)),
        },
        unbalance: c.unbalance.map(|u| Unbalance { made_g_mm: g_mm(u.made_kg_m), permissible_g_mm: g_mm(u.permissible_kg_m) }),
        cycle: cycle(c.cycle),
        rest_same_stop: Rest::of(&c.same_stop),
        rest_same_idle: Rest::of(&c.same_idle),
    }
}
