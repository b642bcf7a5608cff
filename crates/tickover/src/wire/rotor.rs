//! The rotor in the hand, as JSON.

use super::{Check, Holds, Number, Part, mm, number, reason, rpm};
use physics::rotor::notch::NoFactor;
use serde::Serialize;
use workshop::{
    machine::Machine,
    study::rotor::{self as study, CutFinding, Forbidden, Held, Limit, NotchKind},
};

/// The rotor's study.
#[derive(Debug, Serialize)]
pub struct Rotor {
    section: Section,
    strength: Part<Strength>,
    lighten: Part<Lighten>,
    /// Why the engine's part of it is missing; `null` where it is there.
    engine_not_studied: Option<&'static str>,
    /// What holds and balances it.
    holds: Option<Holds>,
}

#[derive(Debug, Serialize)]
struct Section {
    mass_kg: Number,
    centre_mm: Number,
    inertia_kg_m2: Number,
    pieces: Vec<Piece>,
    magnets: Vec<Own>,
    weighed_kg: Option<Check>,
    swung_kg_m2: Option<Check>,
    /// Of all that turns with the crank.
    ran_down_kg_m2: Option<Check>,
}

#[derive(Debug, Serialize)]
struct Piece {
    name: String,
    #[serde(flatten)]
    own: Own,
}

#[derive(Debug, Serialize)]
struct Own {
    mass_kg: f64,
    inertia_kg_m2: f64,
}

#[derive(Debug, Serialize)]
struct Strength {
    speed_rpm: f64,
    greatest_mpa: Number,
    greatest_at: Place,
    mean_hoop_mpa: Number,
    rim_alone_mpa: Option<Number>,
    between_magnets_mpa: f64,
    opens_mm: f64,
    /// `null` without a seat on its taper in the file: then it is not counted.
    with_seat: Option<Pressed>,
    yields_at_rpm: Number,
    bursts_at_rpm: Number,
    notches: Vec<Notch>,
    return_path: Vec<ReturnPath>,
}

/// With the press of the seat.
#[derive(Debug, Serialize)]
struct Pressed {
    pressure_mpa: Number,
    /// At rest, in the bore.
    hoop_mpa: Number,
    greatest_mpa: Number,
    greatest_at: Place,
    reserve: Number,
}

#[derive(Debug, Serialize)]
struct Place {
    piece: String,
    radius_mm: f64,
    place_mm: f64,
}

#[derive(Debug, Serialize)]
struct Notch {
    kind: &'static str,
    /// Row of holes, counted from 1.
    hole: Option<usize>,
    at: Place,
    smooth_mpa: f64,
    peak_mpa: Option<Number>,
    no_factor: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct ReturnPath {
    magnet: usize,
    wall_mm: f64,
    flux_t: Number,
    saturates_t: Number,
    least_wall_mm: f64,
    carries: bool,
}

#[derive(Debug, Serialize)]
struct Lighten {
    as_found: Cut,
    zones: Vec<Zone>,
    steps: Vec<Step>,
    /// Why it was not looked at whether a kick might turn back; `null` where it was.
    kick_not_looked_at: Option<&'static str>,
    rest_points_stay: bool,
}

#[derive(Debug, Serialize)]
struct Zone {
    /// Counted from 1.
    zone: usize,
    piece: String,
    forbidden: Option<&'static str>,
    most_mm: f64,
    bounded_by: &'static str,
    threads_left_mm: Option<Number>,
    cuts: Vec<Cut>,
}

#[derive(Debug, Serialize)]
struct Step {
    zone: usize,
    depth_mm: Number,
    after: Cut,
}

/// The rotor with a cut.
#[derive(Debug, Serialize)]
pub struct Cut {
    depth_mm: f64,
    mass_kg: Number,
    mass_off_kg: Number,
    inertia_kg_m2: Number,
    inertia_off_kg_m2: Number,
    engine_inertia_kg_m2: Number,
    wall_left_share: f64,
    wall_left_mm: f64,
    greatest_mpa: Number,
    peak_mpa: Number,
    reserve: Number,
    reserve_at_seat: Option<Number>,
    bursts_at_rpm: Number,
    unevenness_share: Option<Number>,
    rev_up_s: Option<Number>,
    run_down_s: Option<Number>,
    breaks: Option<&'static str>,
}

/// Pa to MPa.
fn mpa(pa: f64) -> f64 {
    pa * 1e-6
}

/// As it is.
fn one(x: f64) -> f64 {
    x
}

impl Rotor {
    /// From the study.
    pub fn of(machine: &Machine, s: &study::RotorStudy, holds: Option<&study::held::HeldStudy>) -> Self {
        let name = |k: usize| machine.rotor.as_ref().and_then(|r| r.pieces.get(k)).map_or_else(String::new, |p| p.name.clone());
        let place = |p: study::Place| Place { piece: name(p.piece), radius_mm: mm(p.radius_m), place_mm: mm(p.place_m) };
        let own = |[mass_kg, inertia_kg_m2]: [f64; 2]| Own { mass_kg, inertia_kg_m2 };
        let section = Section {
            mass_kg: number(s.section.mass, one),
            centre_mm: number(s.section.centre, mm),
            inertia_kg_m2: number(s.section.inertia, one),
            pieces: s.section.pieces.iter().enumerate().map(|(k, p)| Piece { name: name(k), own: own(*p) }).collect(),
            magnets: s.section.magnets.iter().map(|m| own(*m)).collect(),
            weighed_kg: s.section.weighed.map(Check::of),
            swung_kg_m2: s.section.swung.map(Check::of),
            ran_down_kg_m2: s.section.ran_down.map(Check::of),
        };
        let strength = |found: &study::Strength| Strength {
            speed_rpm: rpm(found.speed_rad_s),
            greatest_mpa: number(found.greatest, mpa),
            greatest_at: place(found.greatest_at),
            mean_hoop_mpa: number(found.mean_hoop, mpa),
            rim_alone_mpa: found.rim_alone.map(|r| number(r, mpa)),
            between_magnets_mpa: mpa(found.between_magnets_pa),
            opens_mm: mm(found.opens_m),
            with_seat: found.pressed.map(|p| Pressed {
                pressure_mpa: number(p.pressure, mpa),
                hoop_mpa: number(p.hoop, mpa),
                greatest_mpa: number(p.greatest, mpa),
                greatest_at: place(p.at),
                reserve: number(p.reserve, one),
            }),
            yields_at_rpm: number(found.yields_at, rpm),
            bursts_at_rpm: number(found.bursts_at, rpm),
            notches: found
                .notches
                .iter()
                .map(|n| {
                    let (kind, hole) = notch(n.kind);
                    Notch {
                        kind,
                        hole,
                        at: place(n.at),
                        smooth_mpa: mpa(n.smooth_pa),
                        peak_mpa: n.peak.ok().map(|p| number(p, mpa)),
                        no_factor: n.peak.err().map(no_factor),
                    }
                })
                .collect(),
            return_path: found
                .return_path
                .iter()
                .map(|p| ReturnPath {
                    magnet: p.magnet + 1,
                    wall_mm: mm(p.wall_m),
                    flux_t: number(p.flux, one),
                    saturates_t: number(p.saturates, one),
                    least_wall_mm: mm(p.least_wall_m),
                    carries: p.carries(),
                })
                .collect(),
        };
        let lighten = |plan: &study::Lighten| Lighten {
            as_found: Cut::of(&plan.as_found),
            zones: plan
                .zones
                .iter()
                .enumerate()
                .map(|(k, z)| Zone {
                    zone: k + 1,
                    piece: machine.rotor.as_ref().and_then(|r| r.zones.get(k)).map_or_else(String::new, |z| name(z.piece)),
                    forbidden: z.forbidden.map(forbidden),
                    most_mm: mm(z.most_m),
                    bounded_by: limit(z.bounded_by),
                    threads_left_mm: z.threads_left.map(|left| number(left, mm)),
                    cuts: z.cuts.iter().map(Cut::of).collect(),
                })
                .collect(),
            steps: plan
                .steps
                .iter()
                .map(|s| Step { zone: s.zone + 1, depth_mm: number(s.depth, mm), after: Cut::of(&s.after) })
                .collect(),
            kick_not_looked_at: plan.kick_unknown.map(reason),
            rest_points_stay: plan.rest_points_stay,
        };
        let part = |why: Held| held(why);
        Self {
            section,
            strength: s.strength.as_ref().map_or_else(|why| Part::Not { not_studied: part(*why) }, |f| Part::Found(strength(f))),
            lighten: s.lighten.as_ref().map_or_else(|why| Part::Not { not_studied: part(*why) }, |f| Part::Found(lighten(f))),
            engine_not_studied: s.turning.err().map(reason),
            holds: holds.map(Holds::of),
        }
    }
}

impl Cut {
    /// From the finding.
    pub fn of(f: &CutFinding) -> Self {
        Self {
            depth_mm: mm(f.depth_m),
            mass_kg: number(f.mass, one),
            mass_off_kg: number(f.mass_off, one),
            inertia_kg_m2: number(f.inertia, one),
            inertia_off_kg_m2: number(f.inertia_off, one),
            engine_inertia_kg_m2: number(f.engine_inertia, one),
            wall_left_share: f.wall_left,
            wall_left_mm: mm(f.wall_left_m),
            greatest_mpa: number(f.greatest, mpa),
            peak_mpa: number(f.peak, mpa),
            reserve: number(f.reserve, one),
            reserve_at_seat: f.reserve_at_seat.map(|r| number(r, one)),
            bursts_at_rpm: number(f.bursts_at, rpm),
            unevenness_share: f.unevenness.map(|u| number(u, one)),
            rev_up_s: f.rev_up.map(|t| number(t, one)),
            run_down_s: f.run_down.map(|t| number(t, one)),
            breaks: f.breaks.map(limit),
        }
    }
}

fn notch(kind: NotchKind) -> (&'static str, Option<usize>) {
    match kind {
        NotchKind::Keyway => ("keyway", None),
        NotchKind::BossCorner => ("boss_corner", None),
        NotchKind::RimCorner => ("rim_corner", None),
        NotchKind::Step => ("step", None),
        NotchKind::Hole(k) => ("hole", Some(k + 1)),
    }
}

fn no_factor(why: NoFactor) -> &'static str {
    match why {
        NoFactor::BadLength => "bad_length",
        NoFactor::OffChart { .. } => "off_chart",
        NoFactor::Crowded { .. } => "crowded",
    }
}

/// What is missing, as a code.
pub fn held(why: Held) -> &'static str {
    match why {
        Held::NoRotor => "no_rotor",
        Held::NoPieces => "no_pieces",
        Held::NoMetal => "no_metal",
        Held::NoTopSpeed => "no_top_speed",
        Held::NotBearing => "not_bearing",
        Held::NoZones => "no_zones",
    }
}

fn forbidden(why: Forbidden) -> &'static str {
    match why {
        Forbidden::BehindMagnets => "behind_magnets",
        Forbidden::CastIron => "cast_iron",
        Forbidden::AsFound(_) => "as_found",
    }
}

fn limit(l: Limit) -> &'static str {
    match l {
        Limit::BehindMagnets => "behind_magnets",
        Limit::CastIron => "cast_iron",
        Limit::Seat => "seat",
        Limit::Wall => "wall",
        Limit::MagnetEnds => "magnet_ends",
        Limit::Yield => "yield",
        Limit::Burst => "burst",
        Limit::Inertia => "inertia",
        Limit::KickBack => "kick_back",
        Limit::NoFactor => "no_factor",
        Limit::Deepest => "deepest",
    }
}
