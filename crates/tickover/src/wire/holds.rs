//! What holds the rotor and balances it, as JSON.

use super::{
    Number, deg,
    fitting::{Mandrel, Misfit},
    mm, number, rpm,
};
use physics::rotor::bond::Never;
use quantity::Unit;
use serde::Serialize;
use workshop::machine::SeenFrom;
use workshop::study::rotor::{
    balance::{self as study, BalanceFound, Correction, Placed, Verdict},
    flux::{At, OneFault},
    held::{HeldStudy, Ring},
    magnets::{BondFound, Chance, Look, NotFound},
    pulling::{Enough, PullFound},
    sides::{End, View},
    taper::{Carries, TaperFound},
};

/// Bonds, flux, seat, pull, balance and sides.
#[derive(Debug, Serialize)]
pub struct Holds {
    bonds: Vec<Told<Bond>>,
    flux: Told<Flux>,
    /// Missing at the rotor's working temperature beside 20 °C, and back in the cold; `null` without that temperature.
    flux_regained: Option<Regained>,
    /// At the hottest and the coldest; empty without the magnets' grade.
    flux_lost_for_good: Vec<ForGood>,
    seat: Told<Seat>,
    mandrel: Option<Mandrel>,
    /// Empty where all fits.
    puller_misfits: Told<Vec<Misfit>>,
    pulling: Told<Pulling>,
    balance: Told<Balance>,
    /// `null` without a trigger rotor.
    sides: Option<Vec<Side>>,
}

/// A finding, or what is missing for it.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Told<T> {
    Found(T),
    /// The part or key of the machine file that is needed; `beyond_points` for a rotor hotter or colder than its adhesive's points, `impossible` for sizes that cannot be.
    Not {
        needs: &'static str,
    },
}

#[derive(Debug, Serialize)]
struct Bond {
    count: usize,
    pull_n: Number,
    thermal_mpa: Number,
    along_mpa: Number,
    strength_mpa: Number,
    margin: Number,
    /// Across the layer, pulling positive.
    across_mpa: Number,
    cold_c: f64,
    cold_thermal_mpa: Number,
    /// `null` where the adhesive's strength is not known there.
    cold_margin: Option<Number>,
    /// `null` where there is no such speed: `never_used_up` says why.
    used_up_at_rpm: Option<Number>,
    /// `pressed` where speed only presses them on, `already_gone` where heat and shock use the strength up at rest.
    never_used_up: Option<&'static str>,
    lets_go: Share,
    begins_to_part: Share,
    look: &'static str,
}

#[derive(Debug, Serialize)]
struct Share {
    one: f64,
    /// 95 %: how evenly the cases fill, not how sure the inputs are.
    one_interval: [f64; 2],
    any_at_most: f64,
    untold: f64,
}

#[derive(Debug, Serialize)]
struct Flux {
    left_share: Number,
    lost: bool,
    /// Only where flux is lost and the magnets are a ring of pole pairs.
    one_dead_leaves_share: Option<f64>,
    one_reversed_leaves_share: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Regained {
    temperature_c: f64,
    missing_share: Number,
}

/// What a temperature takes from the magnets for good.
#[derive(Debug, Serialize)]
struct ForGood {
    temperature_c: f64,
    to_knee: Number,
    lost_share: f64,
    lost_share_at_worst: f64,
}

#[derive(Debug, Serialize)]
struct Seat {
    clamp_n: Number,
    of_proof_share: Number,
    slips_at_nm: Number,
    worked_home_nm: Number,
    must_carry_nm: Option<Number>,
    /// What the gas asks for with the rotor's share of all that turns; `null` where the engine is not studied.
    by_gas_nm: Option<Number>,
    carries: Option<&'static str>,
    travel_mm: Number,
    release_n: Number,
    holds_itself: bool,
    frees_at_k: Number,
}

#[derive(Debug, Serialize)]
struct Pulling {
    release_n: Number,
    torque_nm: Number,
    strips_at_n: Number,
    most_n: Number,
    most_nm: Number,
    enough: &'static str,
}

#[derive(Debug, Serialize)]
struct Balance {
    allowed_g_mm: Option<f64>,
    verdict: &'static str,
    to_correct: Option<Unbalance>,
    /// How that was told: `runs_with_phase`, `runs_without_phase`, `knife_edges` or `sum`.
    told_by: Option<&'static str>,
    /// What masses on knife edges say; `null` without them or the rotor's mass.
    knife_edges: Option<Unbalance>,
    /// What is known to throw it out; a planned cut counts as done.
    causes: Vec<Cause>,
    /// Holes by themselves whose place is not in the file.
    unplaced_g_mm: Vec<Number>,
    /// What the file lacks to count a planned cut; `null` where it is counted or there is none.
    cut_needs: Option<&'static str>,
    /// Holes, or a mass on the light side; `null` where nothing is planned.
    correction: Option<Correct>,
}

#[derive(Debug, Serialize)]
struct Unbalance {
    g_mm: Number,
    heavy_at_deg: Number,
}

#[derive(Debug, Serialize)]
struct Cause {
    cause: &'static str,
    #[serde(flatten)]
    unbalance: Unbalance,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Correct {
    Drill { face: Option<&'static str>, drill_mm: f64, radius_mm: f64, depth_mm: f64, at_deg: Vec<f64> },
    Add { mass_kg: Number, radius_mm: f64, at_deg: f64 },
}

#[derive(Debug, Serialize)]
struct Side {
    view: &'static str,
    turns: &'static str,
    /// The end that leads, segment at the top.
    leads: &'static str,
}

impl Holds {
    /// From the study.
    pub fn of(study: &HeldStudy) -> Self {
        let [dead, reversed] = [OneFault::Dead, OneFault::Reversed].map(|fault| {
            let found = study.one_pole.iter().flatten().find(|p| p.fault == fault);
            found.map(|p| p.leaves)
        });
        Self {
            bonds: study.rings.iter().map(|Ring { bond, .. }| told(bond, self::bond)).collect(),
            flux: told(&study.flux, |f| Flux {
                left_share: number(f.left, one),
                lost: f.lost,
                one_dead_leaves_share: dead,
                one_reversed_leaves_share: reversed,
            }),
            flux_regained: study.regained.map(|r| Regained {
                temperature_c: Unit::Celsius.from_si(r.temperature_k),
                missing_share: number(r.missing, one),
            }),
            flux_lost_for_good: study.for_good.iter().flat_map(|f| f.hot.iter().chain([&f.cold])).map(for_good).collect(),
            seat: told(&study.taper, seat),
            mandrel: study.mandrel.as_ref().map(Mandrel::of),
            puller_misfits: told(&study.puller_fits, |all| all.iter().map(Misfit::of).collect()),
            pulling: told(&study.pull, pulling),
            balance: told(&study.balance, balance),
            sides: study.sides.map(|all| {
                all.into_iter()
                    .map(|(view, turns, leads)| Side {
                        view: self::view(view),
                        turns: match turns {
                            workshop::machine::Turns::Clockwise => "clockwise",
                            workshop::machine::Turns::Anticlockwise => "anticlockwise",
                        },
                        leads: match leads {
                            End::Left => "left",
                            End::Right => "right",
                        },
                    })
                    .collect()
            }),
        }
    }
}

fn told<S, T>(found: &Result<S, NotFound>, wire: impl FnOnce(&S) -> T) -> Told<T> {
    match found {
        Ok(found) => Told::Found(wire(found)),
        Err(NotFound::Missing(needs)) => Told::Not { needs },
        Err(NotFound::BeyondPoints { .. }) => Told::Not { needs: "beyond_points" },
        Err(NotFound::OnePoint) => Told::Not { needs: "rotor.bond.point" },
        Err(NotFound::Impossible) => Told::Not { needs: "impossible" },
    }
}

fn one(x: f64) -> f64 {
    x
}

fn mpa(pa: f64) -> f64 {
    pa * 1e-6
}

fn g_mm(kg_m: f64) -> f64 {
    kg_m * 1e6
}

fn bond(b: &BondFound) -> Bond {
    let share = |c: &Chance| Share {
        one: c.one,
        one_interval: [c.interval.0, c.interval.1],
        any_at_most: c.any_at_most,
        untold: c.untold,
    };
    Bond {
        count: b.count,
        pull_n: number(b.pull, one),
        thermal_mpa: number(b.thermal, mpa),
        along_mpa: number(b.along, mpa),
        strength_mpa: number(b.strength, mpa),
        margin: number(b.margin, one),
        across_mpa: number(b.across, mpa),
        cold_c: Unit::Celsius.from_si(b.cold.temperature_k),
        cold_thermal_mpa: number(b.cold.thermal, mpa),
        cold_margin: b.cold.margin.map(|m| number(m, one)),
        never_used_up: b.used_up.err().map(|never| match never {
            Never::Pressed => "pressed",
            Never::AlreadyGone => "already_gone",
        }),
        used_up_at_rpm: b.used_up.ok().map(|speed| number(speed, rpm)),
        lets_go: share(&b.chance),
        begins_to_part: share(&b.begins),
        look: match b.look {
            Look::NotToBeRun => "not_to_be_run",
            Look::EachService => "each_service",
            Look::WheneverOff => "whenever_off",
            Look::Specialist => "specialist",
        },
    }
}

fn seat(t: &TaperFound) -> Seat {
    Seat {
        clamp_n: number(t.clamp, one),
        of_proof_share: number(t.of_proof, one),
        slips_at_nm: number(t.slips_at, one),
        worked_home_nm: number(t.worked_home, one),
        must_carry_nm: t.margin.map(|m| number(m.wanted, one)),
        by_gas_nm: t.margin.and_then(|m| m.by_gas).map(|t| number(t, one)),
        carries: t.margin.map(|m| match m.carries {
            Carries::Yes => "yes",
            Carries::Unsure => "unsure",
            Carries::No => "no",
        }),
        travel_mm: number(t.travel, mm),
        release_n: number(t.release, one),
        holds_itself: t.holds_itself,
        frees_at_k: number(t.frees_at, one),
    }
}

fn pulling(p: &PullFound) -> Pulling {
    Pulling {
        release_n: number(p.release, one),
        torque_nm: number(p.torque, one),
        strips_at_n: number(p.strips_at, one),
        most_n: number(p.most.0, one),
        most_nm: number(p.most.1, one),
        enough: match p.enough {
            Enough::Yes => "yes",
            Enough::Perhaps => "perhaps",
            Enough::No => "no",
        },
    }
}

fn balance(b: &BalanceFound) -> Balance {
    let placed = |p: &Placed| Unbalance { g_mm: number(p.size, g_mm), heavy_at_deg: number(p.place, deg) };
    Balance {
        allowed_g_mm: b.allowed_kg_m.map(g_mm),
        verdict: match b.verdict {
            Verdict::MayStay => "may_stay",
            Verdict::PutRight => "put_right",
            Verdict::Unsure => "unsure",
            Verdict::NotTold => "not_told",
        },
        to_correct: b.to_correct.as_ref().map(|(_, p)| placed(p)),
        told_by: b.to_correct.map(|(by, _)| told_by(by)),
        knife_edges: b.edges.as_ref().ok().map(placed),
        causes: b.causes.iter().map(|(c, p)| Cause { cause: cause(*c), unbalance: placed(p) }).collect(),
        unplaced_g_mm: b.unplaced.iter().map(|size| number(*size, g_mm)).collect(),
        cut_needs: b.cut_needs,
        correction: b.correction.as_ref().ok().map(|c| match c {
            Correction::Drill { at_rad, plan, drill_m, radius_m, face, .. } => Correct::Drill {
                face: face.map(|face| match face {
                    SeenFrom::CoverSide => "cover_side",
                    SeenFrom::EngineSide => "engine_side",
                }),
                drill_mm: mm(*drill_m),
                radius_mm: mm(*radius_m),
                depth_mm: mm(plan.depth_m),
                at_deg: plan.places_rad.iter().map(|beside| deg(at_rad + beside).rem_euclid(360.0)).collect(),
            },
            Correction::Add { at_rad, mass, radius_m } => {
                Correct::Add { mass_kg: number(*mass, one), radius_mm: mm(*radius_m), at_deg: deg(*at_rad) }
            }
        }),
    }
}

fn told_by(by: study::By) -> &'static str {
    match by {
        study::By::RunsWithPhase => "runs_with_phase",
        study::By::RunsWithoutPhase { .. } => "runs_without_phase",
        study::By::KnifeEdges => "knife_edges",
        study::By::Sum => "sum",
    }
}

fn cause(c: study::Cause) -> &'static str {
    match c {
        study::Cause::Cut => "planned_cut",
        study::Cause::Hole => "hole",
        study::Cause::Magnets => "magnets",
        study::Cause::RunOut => "run_out",
    }
}

fn for_good(at: &At) -> ForGood {
    ForGood {
        temperature_c: Unit::Celsius.from_si(at.temperature_k),
        to_knee: number(at.to_knee, one),
        lost_share: at.lost,
        lost_share_at_worst: at.lost_at_worst,
    }
}

fn view(v: View) -> &'static str {
    match v {
        View::OnTheMachine => "on_the_machine",
        View::FromTheEngine => "from_the_engine",
        View::BenchCoverDown => "bench_cover_down",
        View::BenchCoverUp => "bench_cover_up",
        View::ChuckCoverOut => "chuck_cover_out",
        View::ChuckCoverIn => "chuck_cover_in",
    }
}
