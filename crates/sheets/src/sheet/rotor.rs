//! The rotor's sheet, to work from at the lathe: what it is, cautions before the cutting list, the section at true size, both sides, what is to be done after the work.

use super::{SheetOptions, holds, text};
use crate::flow::{self, Cell, Column, Flow, Sign};
use crate::rotor::section;
use crate::scene::{Scene, at, pdf};
use crate::template;
use crate::words::{
    self,
    rotor::{self as found, paper},
};
use physics::balance::{Grade, permissible_unbalance};
use workshop::machine::{Machine, rotor::Rotor};
use workshop::study::{
    rotor::{Held, Lighten, RotorStudy, held::HeldStudy, judged_speed},
    trim,
};

/// Room for the drawing of the section [mm]: beside it stands the bar down, and above it on the page what it says.
const SECTION: (f64, f64) = (flow::WIDTH - 26.0, 195.0);

/// The sheet of the rotor as a PDF, with what holds and balances it where that was studied. The same machine, study and options give the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
///
/// # Example
/// ```
/// use sheets::sheet::{SheetOptions, rotor};
/// use workshop::{machine, study};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let found = study::rotor::study(&machine, Err(study::NotStudied::NoIdleSeen)).unwrap();
/// let holds = study::rotor::held::study(&machine, Some(&found), None).ok();
/// let pdf = rotor(&machine, &found, holds.as_ref(), &SheetOptions::default()).unwrap();
/// assert!(pdf.starts_with(b"%PDF"));
/// ```
pub fn rotor(
    machine: &Machine,
    study: &RotorStudy,
    holds: Option<&HeldStudy>,
    options: &SheetOptions,
) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&rotor_pages(machine, study, holds, options), &format!("{} — {}", machine.name, paper::TITLE))
}

/// The pages of the rotor's sheet as drawings.
pub fn rotor_pages(machine: &Machine, study: &RotorStudy, holds: Option<&HeldStudy>, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(paper::TITLE);
    super::head(&mut flow, machine, paper::TITLE, options);
    section_found(&mut flow, study);
    strength(&mut flow, machine, study);
    if let Some(rotor) = &machine.rotor {
        lighten(&mut flow, rotor, study);
        true_size(&mut flow, rotor, study.lighten.as_ref().ok());
    }
    let cut = study.lighten.as_ref().is_ok_and(|plan| !plan.steps.is_empty());
    let picture = trim::drawing(machine).ok();
    let mut plan = None;
    if let Some(held) = holds {
        holds::both_sides(&mut flow, held, picture.as_ref());
        plan = holds::balance(&mut flow, held, picture.as_ref(), cut);
        holds::rest(&mut flow, held);
    }
    if cut || plan.is_some() {
        after(&mut flow, machine, study);
    }
    super::signed(flow, machine, plan.into_iter().collect())
}

fn section_found(flow: &mut Flow, study: &RotorStudy) {
    flow.heading(found::ROTOR);
    flow.body(&found::section(&study.section));
    for said in found::checks(&study.section) {
        flow.item(Sign::Bullet, &said);
    }
}

fn strength(flow: &mut Flow, machine: &Machine, study: &RotorStudy) {
    flow.heading(found::STRENGTH);
    if let Some(stuff) = &study.stuff {
        flow.body(&found::stuff(stuff));
    }
    let strength = match &study.strength {
        Ok(strength) => strength,
        Err(why) => {
            flow.strong(found::held(*why));
            return study.not_bearing.iter().for_each(|why| flow.body(&found::not_bearing(why)));
        }
    };
    flow.body(&found::strength(machine, strength, study.stuff.as_ref()));
    flow.rows(&found::NOTCHES_HEAD, strength.notches.iter().map(found::notch_row), &[1.2, 0.7, 0.7, 1.4]);
    let worst = study.stuff.and_then(|stuff| found::worst_notch(strength, &stuff));
    for said in worst.into_iter().chain(strength.return_path.iter().map(found::return_path)) {
        flow.item(Sign::Bullet, &said);
    }
    flow.soft(found::HOW_STRESSED);
}

/// Cautions, and after them the cutting list; or why nothing may be cut.
fn lighten(flow: &mut Flow, rotor: &Rotor, study: &RotorStudy) {
    flow.heading(found::LIGHTEN);
    let plan = match &study.lighten {
        Ok(plan) => plan,
        // Said above, where the stresses are.
        Err(why) if study.strength.as_ref().err() == Some(why) && *why == Held::NotBearing => return,
        Err(why) => return flow.strong(found::held(*why)),
    };
    if !plan.steps.is_empty() {
        for c in found::cautions() {
            flow.caution(text::CAUTION, c.danger, c.protects);
        }
    }
    flow.strong(&found::advice(rotor, plan));
    cutting_list(flow, rotor, plan);
    flow.heading(paper::FACES);
    for (k, zone) in plan.zones.iter().enumerate() {
        flow.item(Sign::Bullet, &found::zone_line(rotor, k, zone));
        if let Some(left) = zone.threads_left {
            flow.item(Sign::Bullet, &found::threads_left(left));
        }
    }
    if let Some(said) = found::turning(study) {
        flow.body(&said);
    }
}

fn cutting_list(flow: &mut Flow, rotor: &Rotor, plan: &Lighten) {
    if plan.steps.is_empty() {
        return;
    }
    flow.heading(paper::CUTTING_LIST);
    let shares = [0.25, 1.75, 1.05, 0.85, 1.05, 0.8, 1.3];
    let columns: Vec<Column> = paper::LIST_HEAD.iter().zip(shares).map(|(head, share)| Column::new(head, share)).collect();
    let rows = plan.steps.iter().enumerate().map(|(n, step)| {
        let cells = paper::list_row(rotor, n + 1, step).into_iter().enumerate();
        // Number and depth are what is looked for.
        let cells = cells.map(|(k, said)| if k == 0 || k == 2 { Cell::strong(said) } else { Cell::body(said) });
        cells.chain([Cell::Blank(paper::MEASURED)]).collect()
    });
    flow.grid(&columns, rows.collect());
    flow.heading(paper::STEPS);
    for (n, step) in plan.steps.iter().enumerate() {
        flow.item(Sign::Step(n + 1), &found::step(rotor, step));
    }
}

/// The section at true size with both bars; smaller, and said so, where the paper is.
fn true_size(flow: &mut Flow, rotor: &Rotor, plan: Option<&Lighten>) {
    let cut = |k: usize| plan.and_then(|p| p.steps.iter().find(|s| s.zone == k)).map_or(0.0, |s| s.depth.si);
    let cuts: Vec<(usize, f64)> = (0..rotor.zones.len()).map(|k| (k, cut(k))).collect();
    let hatched = if cuts.iter().any(|c| c.1 > 0.0) { paper::HATCHED } else { paper::NOTHING_HATCHED };
    let Some((mut scene, reduced)) = section::to_scale(rotor, &cuts, SECTION.0, SECTION.1) else {
        flow.heading(paper::TRUE_SIZE);
        return flow.body(paper::NO_SECTION);
    };
    if reduced == 1 {
        bars(&mut scene);
    }
    // Heading and sentences stay on the page of the drawing.
    flow.keep(scene.height + 36.0);
    if reduced == 1 {
        flow.heading(paper::TRUE_SIZE);
        flow.body(paper::ACTUAL_SIZE);
    } else {
        flow.heading(paper::REDUCED);
        flow.strong(&paper::reduced(reduced));
    }
    if !rotor.zones.is_empty() {
        flow.body(hatched);
    }
    flow.picture(scene);
}

/// The two bars beside and below a drawing.
fn bars(scene: &mut Scene) {
    scene.width = flow::WIDTH;
    template::bar_down(scene, at(flow::WIDTH - 2.0, 2.0));
    let below = (scene.height + 8.0).max(template::BAR_MM + 2.0);
    template::bar_across(scene, at(2.0, below));
    scene.height = below + 6.0;
}

/// What is done after the work, with boxes to fill in.
fn after(flow: &mut Flow, machine: &Machine, study: &RotorStudy) {
    let last = study.lighten.as_ref().ok().and_then(|plan| plan.steps.last());
    let (mass, inertia) = last.map_or((study.section.mass, study.section.inertia), |step| (step.after.mass, step.after.inertia));
    let balancing = machine.rotor.as_ref().and_then(|r| r.held.balance.as_ref());
    let speed = judged_speed(machine).si;
    // Flywheels are held to G 6.3 where the file names no other (ISO 21940-11).
    let grade = balancing.map_or(Grade::G6_3, |b| b.grade);
    let rim = machine.rotor.iter().flat_map(|r| &r.pieces).flat_map(|p| p.outsides()).map(|d| 0.5 * d.si).fold(0.0, f64::max);
    let radius = balancing.and_then(|b| b.radius.as_ref()).map_or(rim, |r| r.si);
    let permitted = permissible_unbalance(grade, mass.si, speed);
    flow.heading(paper::AFTER);
    let expected = paper::Expected { mass, inertia, balance: (grade, permitted, speed, radius) };
    tasks(flow, paper::tasks(&expected));
    flow.heading(paper::FIRST_RUN);
    for c in paper::cautions_for_first_run().iter().chain(words::cautions_for_run()) {
        flow.caution(text::CAUTION, c.danger, c.protects);
    }
    tasks(flow, vec![paper::first_run()]);
}

fn tasks(flow: &mut Flow, list: Vec<paper::Task>) {
    let columns: Vec<Column> = paper::AFTER_HEAD.iter().zip([1.5, 1.3, 1.2]).map(|(h, s)| Column::new(h, s)).collect();
    let row = |t: paper::Task| vec![Cell::body(t.what), Cell::body(t.should), Cell::Blank(t.boxes)];
    flow.grid(&columns, list.into_iter().map(row).collect());
}
