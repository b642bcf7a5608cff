//! The fault sheet: what was complained of, tested and found, what is open, each caution before its test.

use super::{SheetOptions, text};
use crate::beside::{Beside, beside};
use crate::chart::Size;
use crate::flow::{self, Cell, Column, Flow, Sign};
use crate::scene::{Scene, pdf};
use crate::words::fault::{self as found, paper};
use workshop::{
    machine::Machine,
    study::fault::{Advice, Case, FaultStudy, Standing, Step, Studies, expected},
};

/// Causes on the sheet at least, and the share from which more are.
const CAUSES: usize = 8;
const SHARE_SHOWN: f64 = 0.01;
/// Height of the chart beside the test that is next [mm].
const CHART_MM: f64 = 62.0;
/// Open tests that are written out.
const OPEN: usize = 5;

/// The fault sheet as a PDF. The same case gives the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
///
/// # Example
/// ```
/// use sheets::sheet::{SheetOptions, fault};
/// use workshop::{machine, study::fault::{Bike, Case, Studies, base}};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let complaint = base().complaint("revs-hang").unwrap();
/// let case = Case::new(base(), Bike::of(&machine), complaint, Default::default()).unwrap();
/// let pdf = fault(&machine, &case, &case.study(), Studies::default(), &SheetOptions::default()).unwrap();
/// assert!(pdf.starts_with(b"%PDF"));
/// ```
pub fn fault(
    machine: &Machine,
    case: &Case,
    study: &FaultStudy,
    studies: Studies,
    options: &SheetOptions,
) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&fault_pages(machine, case, study, studies, options), &format!("{} — {}", machine.name, paper::TITLE))
}

/// The pages of the fault sheet as drawings.
pub fn fault_pages(machine: &Machine, case: &Case, study: &FaultStudy, studies: Studies, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(paper::TITLE);
    super::head(&mut flow, machine, paper::TITLE, options);
    flow.strong(&found::owner_says(case.it()));
    if let Some(stop) = found::stop_first(case, study) {
        flow.caution(text::CAUTION, &stop, paper::DANGER);
    }
    flow.heading(paper::TESTED);
    tested(&mut flow, case, study);
    let read = found::evidence::all(case);
    if !read.is_empty() {
        flow.heading(found::READ);
        read.iter().for_each(|s| flow.item(Sign::Bullet, s));
    }
    flow.body(&found::spent(study));
    flow.heading(found::CAUSES);
    let listed = study.causes.iter().enumerate().filter(|(k, c)| *k < CAUSES || c.chance >= SHARE_SHOWN || c.mended);
    // The name first: what stands first is set to the left.
    let row = |row: Vec<String>| vec![row[2].clone(), row[0].clone(), row[1].clone()];
    let rows = listed.map(|(_, c)| row(found::cause_row(case, c)));
    flow.rows(&paper::CAUSES_HEAD, rows.chain([row(found::other_row(study))]), &[4.0, 0.7, 0.7]);
    found::remarks(case, study).iter().for_each(|s| flow.item(Sign::Bullet, s));
    flow.heading(found::NEXT);
    flow.strong(&found::advice(case, study));
    flow.body(&found::reason(case, study));
    if let Advice::Test(next) = &study.next {
        let test = &case.faults.tests[next.test];
        match beside(test, machine, studies, flow::WIDTH) {
            Some(Beside::Chart(chart)) => _ = flow.picture(chart.scene(Size { width: flow::WIDTH, height: CHART_MM })),
            // One that no page has room for is left out; it has a sheet of its own.
            Some(Beside::Drawing(drawing)) => _ = flow.picture(drawing),
            None => {}
        }
    }
    open(&mut flow, machine, case, study, studies);
    flow.soft(found::HOW);
    flow.blanks(&[paper::FOUND_IN_THE_END]);
    super::signed(flow, machine, Vec::new())
}

fn tested(flow: &mut Flow, case: &Case, study: &FaultStudy) {
    if study.steps.is_empty() {
        flow.body(paper::NOTHING_DONE);
        return;
    }
    let row = |(k, step): (usize, &Step)| match step {
        Step::Tested(t, how) => {
            let test = &case.faults.tests[*t];
            let minutes = found::minutes(case.minutes(*t, k));
            vec![test.name.clone(), test.expect.clone(), found::said(*how).to_owned(), minutes]
        }
        Step::Untried(c) | Step::PutRight(c) => {
            let done = if matches!(step, Step::Untried(_)) { paper::PUT_RIGHT_UNTRIED } else { paper::PUT_RIGHT_DONE };
            let minutes = found::minutes(case.took_min(*step, k));
            vec![case.faults.causes[*c].name.clone(), String::new(), done.to_owned(), minutes]
        }
    };
    flow.rows(&paper::TESTED_HEAD, study.steps.iter().enumerate().map(row), &[1.6, 2.0, 0.9, 0.7]);
}

/// The tests that are open, the one advised first; the cautions of all of them stand before the table.
fn open(flow: &mut Flow, machine: &Machine, case: &Case, study: &FaultStudy, studies: Studies) {
    let advised = if let Advice::Test(next) = &study.next { Some(next.test) } else { None };
    let others = study.tests.iter().filter(|t| t.standing == Standing::Open && Some(t.test) != advised).map(|t| t.test);
    let list: Vec<usize> = advised.into_iter().chain(others).take(OPEN).collect();
    if list.is_empty() {
        return;
    }
    flow.heading(paper::OPEN);
    for t in &list {
        let test = &case.faults.tests[*t];
        if let Some(danger) = &test.danger {
            flow.caution(text::CAUTION, &format!("{}: {danger}", test.name), paper::DANGER);
        }
    }
    let names: Vec<String> = machine.engine.cylinders.iter().map(|c| c.name.clone()).collect();
    let columns: Vec<Column> = paper::OPEN_HEAD.iter().zip([1.3, 2.2, 1.4, 0.9]).map(|(h, s)| Column::new(h, s)).collect();
    let row = |t: usize| {
        let test = &case.faults.tests[t];
        let here = expected(test, machine, studies);
        let how = here.map_or_else(
            || test.how.clone(),
            |e| format!("{} {}: {}", test.how, found::HERE, found::evidence::expected(&e, &names)),
        );
        vec![Cell::body(&test.name), Cell::body(how), Cell::body(&test.positive), Cell::Blank(paper::FOUND)]
    };
    flow.grid(&columns, list.into_iter().map(row).collect());
}
