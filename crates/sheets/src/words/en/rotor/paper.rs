//! What stands on the rotor's sheet alone: headings, the cutting list, boxes to fill in after the work.

use super::found::{depth, grams, kg, kg_cm2, zone_name};
use crate::words::{Caution, mm, mm_to_hundredth, number, percent, rpm};
use physics::balance::Grade;
use workshop::{
    machine::rotor::Rotor,
    study::{
        Finding,
        rotor::{NEW_CORNER_M, Step},
    },
};

/// Heading of the sheet.
pub const TITLE: &str = "The rotor at the lathe";
/// Section.
pub const CUTTING_LIST: &str = "Cutting list";
/// Section.
pub const STEPS: &str = "What each cut leaves";
/// Section.
pub const FACES: &str = "What stops each face";
/// Section.
pub const AFTER: &str = "After the work";
/// Section.
pub const FIRST_RUN: &str = "The first run";
/// Heads of the cutting list.
pub const LIST_HEAD: [&str; 7] = ["", "where", "depth", "corner", "wall left", "off in all", "as measured"];
/// Heads of what is filled in afterwards.
pub const AFTER_HEAD: [&str; 3] = ["do", "it should be", "as found"];
/// To write in at each cut.
pub const MEASURED: &[&str] = &["depth (mm)", "wall (mm)"];
/// Section.
pub const TRUE_SIZE: &str = "The section at true size";
/// Section, where the paper is too small.
pub const REDUCED: &str = "The section, smaller than it is";
/// How to print it.
pub const ACTUAL_SIZE: &str = "Print at actual size (100 %, no fitting to the page). Measure both bars: each must be 100 mm. If not, lay nothing on this drawing.";
/// What the hatching means.
pub const HATCHED: &str = "Hatched in the colour of a cut: what comes off, in the depth of the cutting list.";
/// There is no hatching.
pub const NOTHING_HATCHED: &str = "Nothing comes off. The faces that the file names are numbered.";
/// The section cannot be drawn.
pub const NO_SECTION: &str = "The section is too large for this paper even at 1 to 10, or has no extent.";
/// How a rotor too large for the paper is drawn.
pub fn reduced(by: u32) -> String {
    format!("The rotor is too large for this paper. It is drawn at 1 to {by}: lay nothing on it, and measure nothing from it.")
}

/// Before the first run (common practice, no source).
pub const fn cautions_for_first_run() -> &'static [Caution] {
    &[Caution {
        danger: "A rotor that was worked on can burst at its first run, and its magnets fly.",
        protects: "Guard or cover on. Nobody in the plane of the rotor. Idle first, then speed in steps; stop at any new noise or shake.",
    }]
}

/// A row of the cutting list, but for what is written in by hand: number, face, depth, corner, wall, mass.
pub fn list_row(rotor: &Rotor, n: usize, step: &Step) -> Vec<String> {
    let wall = format!("{} ({})", mm(step.after.wall_left_m), percent(step.after.wall_left));
    vec![
        n.to_string(),
        zone_name(rotor, step.zone),
        depth(step.depth),
        format!("{} or more", mm(NEW_CORNER_M)),
        wall,
        grams(step.after.mass_off),
    ]
}

/// Something to do after the work.
pub struct Task {
    /// What to do.
    pub what: String,
    /// What it should come to.
    pub should: String,
    /// Names of the boxes.
    pub boxes: &'static [&'static str],
}

fn task(what: &str, should: impl Into<String>, boxes: &'static [&'static str]) -> Task {
    Task { what: what.to_owned(), should: should.into(), boxes }
}

/// What the rotor should be after the work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Mass [kg].
    pub mass: Finding,
    /// Moment of inertia [kg·m²].
    pub inertia: Finding,
    /// Balance grade, permitted unbalance [kg·m], speed that it holds for [rad/s], radius to tell it as a mass [m].
    pub balance: (Grade, f64, f64, f64),
}

/// Greatest swing of a gauge at rim and face [m] (common practice, no source): 0.10 mm.
const RUN_OUT_M: f64 = 0.10e-3;

/// What is done before it goes back, in order (common practice, no source; the grade from ISO 21940-11).
pub fn tasks(expected: &Expected) -> Vec<Task> {
    let (grade, permitted, speed, radius) = expected.balance;
    let balance = format!(
        "{} at {}: no more than {}\u{a0}g·mm, that is {}\u{a0}g at {}",
        self::grade(grade),
        rpm(speed),
        number(permitted * 1e6, 1),
        number(permitted / radius * 1e3, 2),
        mm(radius)
    );
    let run_out = format!("below {} each", mm_to_hundredth(RUN_OUT_M));
    vec![
        task("Wash; look for swarf on the magnets. Crack check: dye, or ring it.", "no crack; cracked means scrap", &["result"]),
        task("Run-out of rim and face, turned on its own seat.", run_out, &["rim (mm)", "face (mm)"]),
        task("Balance it.", balance, &["left (g·mm)", "at (°)"]),
        task("Weigh it.", kg(expected.mass), &["new mass (kg)"]),
        task("Swing it again, or take the section's.", kg_cm2(expected.inertia), &["new inertia (kg·cm²)"]),
        task("Blue the taper, dry and clean; key not proud.", "bears over 70 to 80 %, and at the large end", &["bears over (%)"]),
        task("Mark top dead centre and timing again; strobe.", "as before the work", &["idle (°)", "full (°)"]),
    ]
}

/// What is done at the first run.
pub fn first_run() -> Task {
    task(
        "Guard on. Warm it at idle, stop, look; then speed in steps, and look again.",
        "no noise, no shake; nut as tight as before after the first heat",
        &["speed (rpm)", "looked at by, date"],
    )
}

/// `G 6.3`.
pub fn grade(g: Grade) -> String {
    // The grade's name is its speed in mm/s (ISO 21940-11).
    let speed = g.metres_per_second() * 1e3;
    let decimals = usize::from((speed - speed.round()).abs() > 1e-9);
    format!("G\u{a0}{}", number(speed, decimals))
}
