//! Which pictures belong to which study. Each is drawn by `sheets`; here it is only asked for.

use crate::desk::{Answer, Read};
use physics::law::Law;
use quantity::CrankAngle;
use sheets::{
    chart::{Chart, CurveExtras, Size, chance_chart, curve_chart, rest_chart, run_chart, torque_chart},
    rotor,
    scene::{
        Item, Scene,
        svg::{self, Home},
    },
};
use workshop::machine::{Machine, rotor::Rotor};
use workshop::study::{
    idle::RestPicture,
    load::LoadStudy,
    recording::over::Over,
    rotor::{RotorStudy, balance::Correction, held::HeldStudy},
    trim::{self, CutOutcome, RotorPicture, TrimStudy},
};

/// Width of the rotor drawing [mm]: text in it is as large as running text at 360 CSS pixels, and not much larger
/// at the widest that the page shows it.
const ROTOR_MM: f64 = 92.0;
/// Width of the section's drawing [mm]: the rotor of a twin stands there nearly in its own size.
const SECTION_MM: f64 = 100.0;
/// Width of the wiring [mm]: eight parts side by side.
pub const WIRING_MM: f64 = 176.0;

/// Width of drawings that are saved by themselves [mm]: a sheet of A4 between its margins.
const PAPER_MM: f64 = 170.0;

/// The curve as found, and after a cut of so much crank angle; beside it the limits, where they were computed.
pub fn curve(read: &Read, load: Option<&LoadStudy>, cut: Option<CrankAngle>) -> Option<Chart> {
    let study = read.curve.as_ref().ok()?;
    let after: Vec<Law> = match cut {
        Some(cut) if cut.radians() > 0.0 => study.cylinders.iter().filter_map(|c| c.law.with_trailing_cut(cut)).collect(),
        _ => Vec::new(),
    };
    let idle = read.machine.idle.as_ref();
    let extras = CurveExtras {
        after: &after,
        load,
        idle_rad_s: idle.map(|i| i.speed.si),
        hang_rad_s: idle.and_then(|i| i.hangs_at.as_ref()).map(|h| h.si),
    };
    Some(curve_chart(&read.machine, study, extras))
}

/// Everything that is drawn of a rotor in the hand, each with its name: section, both sides, unbalance, plan of holes.
pub fn rotor_all(
    machine: &Machine,
    found: Option<&RotorStudy>,
    holds: Option<&HeldStudy>,
    answered: bool,
) -> Vec<(&'static str, String)> {
    let section = machine.rotor.as_ref().map(|r| ("rotor-section", section(r, found)));
    let picture = trim::drawing(machine).ok();
    let sides = picture.as_ref().map(|p| ("rotor-sides", rotor::two_sides(p, PAPER_MM)));
    let balance = holds.and_then(|h| h.balance.as_ref().ok()).zip(picture.as_ref());
    let diagram = balance.map(|(b, p)| ("rotor-unbalance", rotor::diagram(b, p, PAPER_MM)));
    let plan =
        balance.filter(|_| answered).and_then(|(b, p)| rotor::drill_plan(b, &rotor::facing(b, p))).map(|s| ("rotor-holes", s));
    [section, sides, diagram, plan].into_iter().flatten().map(|(name, scene)| (name, scene_as_file(&scene))).collect()
}

/// Whether there are holes to drill, so that a plan of them would be drawn.
pub fn has_holes(holds: &HeldStudy) -> bool {
    holds.balance.as_ref().is_ok_and(|b| matches!(b.correction, Ok(Correction::Drill { .. })))
}

/// Where the engine rests as found, and after a cut.
pub fn rest(answer: &Answer, after: Option<&CutOutcome>) -> Option<Chart> {
    let idle = answer.idle().ok()?;
    let after: Option<&RestPicture> = after.filter(|a| a.cut_m > 0.0).map(|a| &a.same_idle);
    Some(rest_chart(&idle.rest, after, idle.opening_m2))
}

/// Chance of a hang against the cut, with one cut [m] marked.
pub fn chance(trim: &TrimStudy, cut_m: f64) -> Chart {
    chance_chart(trim, Some(cut_m))
}

/// Speed against time in the run, with a recording over it.
pub fn run(answer: &Answer, over: Option<&Over>) -> Option<Chart> {
    Some(run_chart(answer.idle().ok()?.run.as_ref()?, over))
}

/// Torque against advance.
pub fn torque(load: &LoadStudy) -> Chart {
    torque_chart(load)
}

/// The rotor with a cut [m].
pub fn rotor(picture: &RotorPicture, cut_m: f64) -> Scene {
    rotor::draw(&RotorPicture { cut_m, ..picture.clone() }, ROTOR_MM)
}

/// The rotor in half section, with the advised cuts where there are any and no cut elsewhere.
pub fn section(rotor: &Rotor, study: Option<&RotorStudy>) -> Scene {
    let plan = study.and_then(|s| s.lighten.as_ref().ok());
    let cuts: Vec<(usize, f64)> = plan.map_or(Vec::new(), |plan| {
        let of = |zone: usize| plan.steps.iter().find(|s| s.zone == zone).map_or(0.0, |s| s.depth.si);
        (0..plan.zones.len()).map(|zone| (zone, of(zone))).collect()
    });
    rotor::section::draw(rotor, &cuts, SECTION_MM)
}

/// The same for a page that draws a section elsewhere too: no id stands in it.
pub fn section_again(rotor: &Rotor, study: Option<&RotorStudy>) -> Scene {
    let mut scene = section(rotor, study);
    for item in &mut scene.items {
        if let Item::Group(group) = item {
            group.attributes.retain(|(name, _)| name != "id");
        }
    }
    scene
}

/// The same with zones cut by so much [m], the others not at all.
pub fn section_cut(rotor: &Rotor, cuts: &[(usize, f64)]) -> Scene {
    let depth = |zone: usize| cuts.iter().find(|(cut, _)| *cut == zone).map_or(0.0, |(_, depth)| *depth);
    let all: Vec<(usize, f64)> = (0..rotor.zones.len()).map(|zone| (zone, depth(zone))).collect();
    rotor::section::draw(rotor, &all, SECTION_MM)
}

/// The wiring as fitted, as many drawings as its wires need.
pub fn wiring(machine: &Machine) -> Vec<Scene> {
    sheets::wiring::draw(machine, WIRING_MM)
}

/// A chart drawn for narrow or for wide places on the page. Ids carry which, because a page holds both.
pub fn on_page(chart: &Chart, place: &str, narrow: bool) -> String {
    let (size, which) = if narrow { (Size::PHONE, "narrow") } else { (Size::WIDE, "wide") };
    let chart = Chart { id: format!("{place}-{}-{which}", chart.id), ..chart.clone() };
    svg::render(&chart.scene(size), Home::Page)
}

/// A scene for the page.
pub fn scene_on_page(scene: &Scene) -> String {
    svg::render(scene, Home::Page)
}

/// A chart as a file of its own.
pub fn as_file(chart: &Chart) -> String {
    svg::render(&chart.scene(Size::WIDE), Home::File)
}

/// A scene as a file of its own.
pub fn scene_as_file(scene: &Scene) -> String {
    svg::render(scene, Home::File)
}
