//! Balance of the rotor, and which side is which.

use crate::words::{degrees, degrees_pm, label, mm, mm_to_hundredth, number, pm};
use physics::rotor::{drill::NoPlan, trial_runs::NoAnswer};
use workshop::{
    machine::{CorrectBy, SeenFrom, Turns},
    study::rotor::{
        balance::{BalanceFound, By, Cause, Correction, NoCorrection, NoEdges, NoRuns, Placed, Verdict},
        drilled::Unfit,
        sides::{At, End, Question, View},
    },
};

/// Heading.
pub const BALANCE: &str = "Balance";
/// Heading.
pub const SIDES: &str = "The same rotor from every side";
/// Title of the diagram.
pub const DIAGRAM: &str = "Unbalance and where it is put right";
/// Title of the plan.
pub const DRILL_PLAN: &str = "Where to drill, at true size";
/// Title of the two views.
pub const TWO_SIDES: &str = "One rotor, two sides";
/// In a drawing: the end of the segment that leads.
pub const LEADS: &str = "LEADS";
/// In a drawing.
pub const HEAVY: &str = "heavy side";
/// In a drawing.
pub const LIGHT: &str = "add here";
/// In a drawing.
pub const MARK: &str = "mark";
/// In a drawing.
pub const PERMITTED: &str = "permitted";
/// How places are counted.
pub const COUNTED: &str = "Places are counted on the rotor from its mark, in the turning direction.";
/// On a plan.
pub const LAY_ON: &str =
    "Cut out and lay on the face that this side shows, centre on the shaft, mark on mark. Check the bars of 100 mm first.";

/// Why the plan of holes is not among the pictures.
pub const HOLES_HELD_BACK: &str =
    "rotor-holes.svg is not written: it is to drill by. Say first which end of the segment leads (--leads).";

/// `62 ± 3 g·mm at 312° ± 2°`.
pub fn placed(p: &Placed) -> String {
    // 1 kg·m = 1e6 g·mm.
    format!("{}\u{a0}g·mm at {}", pm(p.size.si * 1e6, p.size.plus_minus_si * 1e6, 0), degrees_pm(p.place))
}

/// What throws it out.
pub fn cause(c: Cause) -> &'static str {
    match c {
        Cause::Cut => "the planned cut of the segment",
        Cause::Hole => "a hole by itself",
        Cause::Magnets => "unequal magnets",
        Cause::RunOut => "run-out",
    }
}

/// What is found, a sentence each; the verdict first.
pub fn balance(b: &BalanceFound) -> Vec<String> {
    let allowed = b.allowed_kg_m.map(|a| format!("{}\u{a0}g·mm", number(a * 1e6, 1)));
    let mut said = vec![match (b.verdict, &b.to_correct, &allowed) {
        (Verdict::MayStay, Some((_, p)), Some(a)) => {
            format!("It may stay: {}, and the grade allows {a} at top speed.", placed(p))
        }
        (Verdict::PutRight, Some((_, p)), Some(a)) => {
            format!("Balance it: {} on the heavy side, and the grade allows {a} at top speed.", placed(p))
        }
        (Verdict::Unsure, Some((By::Sum, p)), Some(a)) => format!(
            "Cannot tell: what is known comes to {}, the grade allows {a} at top speed, and what is not known is in neither. Balancing runs, or knife edges, tell.",
            placed(p)
        ),
        (Verdict::Unsure, Some((_, p)), Some(a)) => {
            format!(
                "Cannot tell: {} lies within its ± of the {a} that the grade allows. Read more closely, or put it right and read again.",
                placed(p)
            )
        }
        (_, Some((_, p)), _) => format!(
            "Unbalance {}. The rotor's mass is not in the file (engine.rotor_mass), so nothing is said of the grade.",
            placed(p)
        ),
        _ => "Nothing is known of its balance: no run, no masses on knife edges, no weighed magnets, no run-out.".to_owned(),
    }];
    match &b.to_correct {
        Some((By::RunsWithPhase, _)) => said.push("Told by runs with phase.".to_owned()),
        Some((By::RunsWithoutPhase { misfit, phases_unused }, _)) => {
            let fits = misfit
                .map_or(String::new(), |m| format!(" They go together within {} of what the instrument shows.", number(m, 2)));
            let unused = if *phases_unused { " The phases that were read are not used: not every run has one." } else { "" };
            said.push(format!("Told by runs without phase.{fits}{unused}"));
        }
        Some((By::KnifeEdges, _)) => {
            said.push("Told by the masses that level it on knife edges; what friction hides is in the ±.".to_owned())
        }
        Some((By::Sum, _)) => {
            said.push("Added up from what is known to throw it out; what is not known is not in it.".to_owned())
        }
        None => {}
    }
    if let Err(why) = b.runs
        && why != NoRuns::None
    {
        said.push(no_runs(why));
    }
    said.extend(knife_edges(b));
    said.extend(b.causes.iter().map(|(c, p)| format!("Known to throw it out: {}, {}.", cause(*c), placed(p))));
    if b.causes.iter().any(|(c, _)| *c == Cause::Cut) {
        said.push("The planned cut counts as done: cut first, then balance.".to_owned());
    }
    if let Some(path) = b.cut_needs {
        said.insert(1, cut_not_counted(path));
    }
    if let Some((weighed, all)) = b.partly_weighed {
        said.push(format!(
            "{weighed} of {all} magnets are weighed: they are in no sum. Weigh all of them (rotor.balance.magnet), or leave them out."
        ));
    }
    said.extend(b.unplaced.iter().map(|size| {
        format!(
            "A hole by itself leaves out {}\u{a0}g·mm; its place is not in the file (rotor.hole.at), so it is in no sum.",
            pm(size.si * 1e6, size.plus_minus_si * 1e6, 0)
        )
    }));
    if let Some((shown, fine)) = b.knife_edges {
        let so = if fine { "fine enough for this grade" } else { "not fine enough for this grade: use runs" };
        said.push(format!("Knife edges show {}\u{a0}g·mm at the least, {so}.", pm(shown.si * 1e6, shown.plus_minus_si * 1e6, 0)));
    }
    said.push(match &b.correction {
        Ok(c) => correction(c),
        Err(why) => no_correction(why),
    });
    said.push(COUNTED.to_owned());
    said
}

/// What masses on knife edges say where the runs count before them, or why they say nothing.
fn knife_edges(b: &BalanceFound) -> Option<String> {
    match b.edges {
        Ok(p) if b.runs.is_ok() => Some(format!("On knife edges it was {}; the runs count.", placed(&p))),
        Ok(_) | Err(NoEdges::None) => None,
        Err(NoEdges::NoMass) => Some(
            "The masses on knife edges tell nothing without the rotor's mass (engine.rotor_mass): it says what friction hides."
                .to_owned(),
        ),
    }
}

fn no_runs(why: NoRuns) -> String {
    match why {
        NoRuns::None => "No runs are in the file.",
        NoRuns::NoneWithout => "The runs lack one without a weight.",
        NoRuns::NoneWith => "The runs lack one with a weight.",
        NoRuns::SeveralWithout => "Several runs have no weight, so the one as found cannot be told. Leave one.",
        NoRuns::NoAnswer(NoAnswer::NoEffect { .. }) => "The trial weight changed no more than the readings' doubt. Use a heavier one.",
        NoRuns::NoAnswer(NoAnswer::Mirrored) => "Without phase the weight must be tried at three places or more that are not in one line: two answers would fit, mirrored.",
        NoRuns::NoAnswer(NoAnswer::UnlikeWeights) => "Without phase the same weight must be used at the same radius in every run.",
        NoRuns::NoAnswer(NoAnswer::BadRun { .. }) => "A run has no amplitude or no weight that can be.",
        NoRuns::NoAnswer(NoAnswer::NotSettled) => "The runs go together with no unbalance. Read them again at one speed.",
    }
    .to_owned()
}

/// A planned cut that is in no sum.
pub fn cut_not_counted(path: &str) -> String {
    format!("The planned cut is not counted here: {path} is not in the file. Balance it after the cut, not before.")
}

/// What to do.
pub fn correction(c: &Correction) -> String {
    match c {
        Correction::Add { at_rad, mass, radius_m } => format!(
            "Add {}\u{a0}g at {}, {} from the axis.",
            pm(mass.si * 1e3, mass.plus_minus_si * 1e3, 2),
            degrees(*at_rad),
            mm(*radius_m)
        ),
        Correction::Drill { at_rad, plan, drill_m, radius_m, by, face } => {
            let way = match (by, face) {
                (CorrectBy::DrillInward, _) => "inward from the surface, in the middle of the wall's length, at",
                (_, Some(SeenFrom::EngineSide)) => "into the face on the engine side, along the shaft, middles",
                _ => "into the face on the cover side, along the shaft, middles",
            };
            let holes = match plan.places_rad.len() {
                1 => format!("one hole at {}", degrees(*at_rad)),
                n => {
                    let at: Vec<String> =
                        plan.places_rad.iter().map(|p| degrees((at_rad + p).rem_euclid(std::f64::consts::TAU))).collect();
                    format!("{n} holes at {}", at.join(", "))
                }
            };
            format!(
                "Drill {holes} with a drill of {}, {way} {} from the axis, each {} deep at full diameter ({} to the point; the cone is counted), {}\u{a0}g each. Drill short, read again, then to depth.",
                mm(*drill_m),
                mm(*radius_m),
                mm_to_hundredth(plan.depth_m),
                mm_to_hundredth(plan.to_point_m),
                number(plan.each_kg * 1e3, 2)
            )
        }
    }
}

fn unfit(why: Unfit) -> String {
    let so = match why {
        Unfit::NotJudged(why) => format!("what the metal there bears cannot be told. {}", super::held(why)),
        Unfit::NoMetal { wall_m } => format!(
            "no one piece holds them there with {} of metal round each and behind its point. A smaller drill, another radius, less depth, or add a mass.",
            mm(wall_m)
        ),
        Unfit::Magnets => {
            "they would come behind the magnets, or too near their ends. Another face or radius, less depth, or add a mass."
                .to_owned()
        }
        Unfit::HolesMeet => "they may run into holes that are there. Another radius, or add a mass.".to_owned(),
        Unfit::Stress => {
            "the stress at their edges would come too near what the metal bears. A smaller drill, another radius, or add a mass."
                .to_owned()
        }
        Unfit::Burst => "the rotor would burst too near its top speed. Less depth, or add a mass.".to_owned(),
    };
    format!("No holes are planned: {so}")
}

fn no_correction(why: &NoCorrection) -> String {
    match why {
        NoCorrection::NotNeeded => "Nothing is to be put right.".to_owned(),
        NoCorrection::NotKnown => "So nothing is planned.".to_owned(),
        NoCorrection::Missing(path) => format!("No holes are planned: {path} is not in the file."),
        NoCorrection::NoHoles(NoPlan::TooMuch { holes, takes_kg_m }) => format!(
            "Even {holes} holes of that depth take {}\u{a0}g·mm only. A larger radius or drill, or more depth where metal allows; no rows of holes.",
            number(takes_kg_m * 1e6, 0)
        ),
        NoCorrection::NoHoles(NoPlan::TooLittle { takes_kg_m }) => {
            format!(
                "The point of this drill alone takes {}\u{a0}g·mm, more than is wanted. Use a smaller drill.",
                number(takes_kg_m * 1e6, 0)
            )
        }
        NoCorrection::Unfit(why) => unfit(*why),
        NoCorrection::NoHoles(NoPlan::BadSize) => "No holes are planned: drill, radius and depth do not go together.".to_owned(),
    }
}

/// How the rotor lies.
pub fn view(v: View) -> &'static str {
    match v {
        View::OnTheMachine => "on the machine, from outside",
        View::FromTheEngine => "as the engine sees it, from behind",
        View::BenchCoverDown => "on the bench, cover side down",
        View::BenchCoverUp => "on the bench, cover side up",
        View::ChuckCoverOut => "on the mandrel, cover side towards you",
        View::ChuckCoverIn => "on the mandrel, engine side towards you",
    }
}

fn end(e: End) -> &'static str {
    match e {
        End::Left => "left",
        End::Right => "right",
    }
}

/// One line of the table of views.
pub fn side((v, turns, leads): (View, Turns, End)) -> String {
    format!("{}: the engine turns it {}; segment at the top, its {} end leads", view(v), label::turns(turns), end(leads))
}

/// What is asked before a cut is marked out.
pub fn question(q: Question) -> String {
    let at = match q.segment_at {
        At::Top => "at the top",
        At::Bottom => "at the bottom",
    };
    format!("The rotor lies {}, the segment {at}. Which end leads: left or right?", view(q.view))
}

/// What is said to an answer.
pub fn answered(right: bool) -> &'static str {
    if right {
        "Right. Mark that end before anything else."
    } else {
        "Wrong. Nothing is printed to cut by. Take the rotor in hand, find the arrow, and look again from that side."
    }
}
